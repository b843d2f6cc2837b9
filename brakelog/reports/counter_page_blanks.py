"""What of the vehicle was not measured or looked at, so that a later claim can be answered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brakelog.record.reading import ReadingSet
from brakelog.reports.closing_section import first_sentence
from brakelog.reports.counter_part import is_fitted, is_untouched
from brakelog.rules.closing import Closing
from brakelog.rules.figure import counted
from brakelog.rules.unfiled import unfiled_count
from brakelog.rules.verdict import PartVerdict, VehicleVerdict


def blanks_of(
    verdict: VehicleVerdict, closing: Closing, sets: Iterable[ReadingSet]
) -> tuple[str, ...]:
    """Return the blanks of a visit, each with the corners that it is about; none where complete.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict of the visit.
    closing : Closing
        The end of its job: what it names as blank is none of the readings.
    sets : iterable of ReadingSet
        The readings that hold when the vehicle leaves.
    """
    found: dict[str, list[str]] = {}
    for part in verdict.parts:
        for what in _of_part(verdict, part):
            found.setdefault(what, []).append(part.corner.code)
    for each in sets:
        for what in _of_set(each):
            found.setdefault(what, []).append(f"{each.corner} {each.quantity.facts.label}")
    texts = [f"{what}: {', '.join(dict.fromkeys(where))}" for what, where in found.items()]
    if verdict.file.unfiled:
        answers = counted(unfiled_count(verdict.file), "answer")
        texts.append(f"{answers} of an interrupted entry not filed")
    texts += [first_sentence(each.text).rstrip(".") for each in closing.open if each.gap.is_blank]
    return tuple(dict.fromkeys(texts))


def _of_part(verdict: VehicleVerdict, part: PartVerdict) -> Iterator[str]:
    if is_untouched(part) and not is_fitted(verdict, part):
        fitted = verdict.file.fittings_at(part.corner, part.part)
        yield f"{part.part.value} {'fitted, not measured' if fitted else 'not inspected'}"
    else:
        sizes = [] if is_fitted(verdict, part) else part.judgements
        for each in sizes:
            if each.measure.facts.is_safety and each.value_nm is None:
                yield f"{each.measure.value} not measured"
        for measure in part.not_measured:
            yield f"{measure.value} not measured"
    if not part.condition_recorded:
        yield "condition not recorded"


def _of_set(each: ReadingSet) -> Iterator[str]:
    """Yield what keeps a reading from being traced."""
    if each.gauge_id is None:
        yield "gauge not on record"
    if each.person_id is None:
        yield "not on record who read it"
