"""What the vehicle leaves with: every reading as typed, parts, torques, checks, who and when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import TypeAlias

from brakelog.record.closing import ClosingAnswer, TorqueLeft
from brakelog.record.corner import Corner, walking_order
from brakelog.record.finding import Effect, Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.reports.counter_page_blanks import blanks_of
from brakelog.reports.counter_page_model import Evidence, Left
from brakelog.reports.finish_sheet import (
    newest_answers,
    newest_torques,
    said_words,
    torque_words,
)
from brakelog.reports.plain import shown
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.figure import one_unit
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import fittings_here, is_work

Entered: TypeAlias = ReadingSet | Fitting | Finding | TorqueLeft | ClosingAnswer
"""A row of evidence: somebody put it on record at some time."""
NO_GAUGE = "no gauge named"
NOBODY = "nobody named"
_LEADS = {
    Status.NO_WORK: "No work is on record for this visit: it leaves as it was found.",
    Status.NOT_FINISHED: "The job is not finished: this is what is on record so far.",
    Status.FINISHED: "The job is finished: this is what it left with.",
}


def left_with(verdict: VehicleVerdict, closing: Closing, names: Mapping[str, str]) -> Left:
    """Return what a later claim can be held against.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict of the visit, of either stage.
    closing : Closing
        The end of its job.
    names : mapping
        Names of people by their initials.
    """
    file = replace(verdict.file, stage=Stage.AS_LEFT)
    sets = list(_sets(file))
    blanks = blanks_of(verdict, closing, sets)
    return Left(
        lead=_LEADS[closing.status],
        readings=tuple(_evidence(file, each) for each in sets),
        work=tuple(map(shown, _work(file, closing))),
        keys=tuple(map(shown, _keys(file, sets, closing, names))),
        is_complete=not blanks,
        blanks=tuple(map(shown, blanks)),
    )


def _sets(file: CaseFile) -> Iterator[ReadingSet]:
    """Yield the sets that hold as left, corner by corner."""
    for corner in _corners(file):
        for quantity in Quantity:
            yield from (each for each in file.sets_at(corner, quantity) if each.measured_nm)


def _corners(file: CaseFile) -> list[Corner]:
    """Return the corners axle by axle, left first."""
    corners = walking_order(len(file.vehicle.brakes))
    return sorted(corners, key=lambda each: (each.axle, each.side.value))


def _evidence(file: CaseFile, reading: ReadingSet) -> Evidence:
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    typed = " ".join(text.strip() or "x" for text in reading.typed)
    return Evidence(
        what=f"{reading.corner} {reading.quantity.facts.label}",
        typed=shown(f"{typed} {reading.unit.value}"),
        beside=shown("; ".join(_beside(file, reading))),
        gauge=shown(gauge.tag) if gauge else NO_GAUGE,
        by=shown(_who(file, reading.person_id)),
        entered=_when(reading.recorded_at),
    )


def _beside(file: CaseFile, reading: ReadingSet) -> Iterator[str]:
    """Yield what was said beside the values, in the words of the trade."""
    if reading.stage is Stage.AS_FOUND and is_work(file):
        yield reading.stage.value
    if reading.datum is Datum.WITH_PLATE:
        yield reading.datum.value
    if reading.again_typed:
        yield f"point 1 again {reading.again_typed.strip()}"
    if reading.fasteners_fitted is not None:
        yield f"nuts {reading.fasteners_fitted}/{reading.fasteners_of}"
    yield from _yes_or_no(reading.bearing_checked, "bearing checked", "bearing not checked")
    yield from _yes_or_no(reading.returned_to_start, "back at start", "not back at start")
    if reading.rotor_index is not None:
        yield f"rotor turned by {reading.rotor_index}"
    if reading.radius_nm is not None:
        yield f"at {one_unit(reading.radius_nm, file.shop, fine=False)}"
    if reading.tips is not None:
        yield f"{reading.tips.value} tips"
    yield from _yes_or_no(reading.lip, "lip", "no lip")
    yield from _yes_or_no(reading.in_groove, "in the groove", "beside the groove")
    if reading.temperature_dc is not None:
        yield f"{reading.temperature_dc / 10:g} °C"
    if reading.zero_error_nm:
        yield f"zero error {one_unit(reading.zero_error_nm, file.shop, fine=True)}"
    if reading.corrects is not None:
        yield "corrected"


def _yes_or_no(said: bool | None, yes: str, no: str) -> Iterator[str]:
    if said is not None:
        yield yes if said else no


def _work(file: CaseFile, closing: Closing) -> Iterator[str]:
    """Yield parts, findings, torques and checks; each with who answers for it."""
    yield from _fitted(file)
    yield from _seen(file)
    for torque in newest_torques(closing):
        yield f"Torque: {torque_words(closing, torque)}{_signed(file, torque)}"
    for answer in newest_answers(closing):
        yield f"{said_words(answer)}{_signed(file, answer)}"


def _fitted(file: CaseFile) -> Iterator[str]:
    """Yield what was done to parts, once for what was done alike at a corner."""
    groups: dict[tuple[object, ...], list[Fitting]] = {}
    for each in fittings_here(file):
        same = (each.corner, each.event, each.size_typed, each.basis, each.person_id)
        groups.setdefault(same, []).append(each)
    for group in groups.values():
        first = group[0]
        labels = " and ".join(each.position.label for each in group)
        moved = f" from {first.from_corner}" if first.from_corner else ""
        size = f", {first.size_typed.strip()} {first.basis.value}" if first.size_typed else ""
        gone = first.event is FittingEvent.REMOVED
        size = "" if gone else size or ", size not on record"
        note = f" ({first.note})" if first.note else ""
        yield (
            f"Parts: {first.corner} {labels} {first.event.value}{moved}{size}{note}"
            f"{_signed(file, first)}"
        )


def _seen(file: CaseFile) -> Iterator[str]:
    """Yield the findings that still hold, then what was put right."""
    for corner in _corners(file):
        for finding in file.findings_at(corner):
            what = f"{corner} {finding.part.value}: {_finding(finding)}"
            yield f"Seen: {what}{_signed(file, finding)}"
    for finding in file.findings:
        if finding.put_right and finding.kind.facts.effect is not Effect.NOTE:
            what = f"{finding.corner} {finding.part.value}: {_finding(finding)}"
            yield f"Put right: {what}{_signed(file, finding)}"


def _finding(finding: Finding) -> str:
    label = "" if finding.kind is FindingKind.OTHER else finding.kind.facts.label
    if label and finding.note:
        return f"{label} ({finding.note})"
    return label or finding.note


def _signed(file: CaseFile, each: Entered) -> str:
    who, when = _who(file, each.person_id), _when(each.recorded_at)
    return f" [{', '.join(text for text in (who, when) if text)}]"


def _who(file: CaseFile, person_id: str | None) -> str:
    return file.people.get(person_id or "", NOBODY)


def _when(moment: datetime | None) -> str:
    """Return when something was put on record, to the minute."""
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M}" if moment else ""


def _keys(
    file: CaseFile, sets: Iterable[ReadingSet], closing: Closing, names: Mapping[str, str]
) -> Iterator[str]:
    """Yield what the short names of gauges and people stand for."""
    used = dict.fromkeys(each.gauge_id for each in sets if each.gauge_id)
    for gauge in (file.gauges[id] for id in used if id in file.gauges):
        checked = f", checked {gauge.checked_on}" if gauge.checked_on else ", check not on record"
        step = one_unit(gauge.resolution_nm, file.shop, fine=True)
        yield f"{gauge.tag}: {gauge.kind.value}, step {step}{checked}"
    entered: tuple[Entered, ...] = (
        *sets,
        *fittings_here(file),
        *file.findings,
        *newest_torques(closing),
        *newest_answers(closing),
    )
    ids = dict.fromkeys(each.person_id for each in entered if each.person_id)
    for initials in dict.fromkeys(file.people[id] for id in ids if id in file.people):
        if names.get(initials, initials) != initials:
            yield f"{initials}: {names[initials]}"
