"""What is worth knowing about new parts, and keeps nothing open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.rules.casefile import CaseFile
from brakelog.rules.figure import one_unit
from brakelog.rules.judgement import Judgement
from brakelog.rules.left_sizes import new_size
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.verdict import PartVerdict, VehicleVerdict
from brakelog.rules.worked import is_empty, last_event


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRotor:
    """What a new replacement rotor may have at most."""

    variation_nm: int
    """[nm]"""
    runout_nm: int
    """[nm]"""


LIGHT = NewRotor(variation_nm=15_000, runout_nm=50_000)
HEAVY = NewRotor(variation_nm=30_000, runout_nm=150_000)
"""UN Regulation No. 90, 02 series, 5.3.3.1.1, as reprinted in GRRF-80-12 (UNECE, 2015): vehicles
of categories M1, N1, O1, O2; and M2, M3, N2, N3, O3, O4. Figures of the part by itself, new; no
service limits. [nm]"""


def notes_on_new_parts(left: VehicleVerdict) -> Iterator[str]:
    """Yield a note where a new rotor has more than a new one may, or its size has no sheet."""
    for part in left.parts:
        if _is_new(left.file, part):
            yield from _rotor(left.file, part)
            yield from _no_size(left.file, part)


def _is_new(file: CaseFile, part: PartVerdict) -> bool:
    return any(_new_at(file, part, position) for position in _positions(part))


def _positions(part: PartVerdict) -> tuple[Position, ...]:
    return tuple(p for m in measures_of(part.part) if (p := m.facts.position) is not None)


def _new_at(file: CaseFile, part: PartVerdict, position: Position) -> bool:
    if is_empty(file, part.corner, position):
        return False
    event = last_event(file, part.corner, position)
    return event is not None and event.event is FittingEvent.NEW


def _rotor(file: CaseFile, part: PartVerdict) -> Iterator[str]:
    if part.part is not Part.ROTOR:
        return
    allowed = HEAVY if file.traits.get((0, "class")) == "heavy" else LIGHT
    for measure, most_nm in (
        (Measure.THICKNESS_VARIATION, allowed.variation_nm),
        (Measure.RUNOUT, allowed.runout_nm),
    ):
        judgement = _of(part, measure)
        if judgement is None or judgement.value_nm is None or judgement.value_nm <= most_nm:
            continue
        read = one_unit(judgement.value_nm, file.shop, fine=True, against=[most_nm])
        allows = one_unit(most_nm, file.shop, fine=True)
        on_hub = ", hub included" if measure is Measure.RUNOUT else ""
        yield (
            f"{part.corner} new rotor: {measure.value} {read} as left{on_hub}; UN R90 allows a new "
            f"replacement rotor {allows} by itself. That is no service limit."
        )


def _of(part: PartVerdict, measure: Measure) -> Judgement | None:
    return next((each for each in part.judgements if each.measure is measure), None)


def _no_size(file: CaseFile, part: PartVerdict) -> Iterator[str]:
    bounds = [
        new_size(file, part.corner, measure)
        for measure in measures_of(part.part)
        if measure.facts.new is not None
    ]
    if not any(bound is not None and bound.figures for bound in bounds):
        yield (
            f"{part.corner} {part.part.value}: new size not on the sheet, so that nobody can say "
            f"whether it is the right part by its size."
        )
