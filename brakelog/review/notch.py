"""The rods of a drum gauge in the wrong notch: a whole step, to the hundredth."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.gauge import GaugeKind
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about, shifted
from brakelog.review.change import Change
from brakelog.review.figures import all_as_typed, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.thimble import is_inch

METRIC_NOTCH_NM = 2 * NM_PER_MM
INCH_NOTCH_NM = NM_PER_INCH // 8
"""One notch of the rods: 2 mm, or 1/8 in. Common practice. [nm]"""
EXACT_NM = 100_000
"""How far a wrong notch may look from a notch, wear apart: 0.1 mm. Assumption: twice what a drum
gauge is good for. [nm]"""


def ask_notch(
    look: Look, changes: Mapping[str, Change], beyond: Container[str]
) -> Iterator[Question]:
    """Yield a question for each drum that is a notch away from its last reading or its mate.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : mapping of str to Change
        Since the last readings, by the id of the set.
    beyond : container of str
        Ids of sets that lie beyond new.
    """
    asked: set[str] = set()
    for moment in look.drums:
        reading = moment.reading
        if not _has_rods(look, reading) or reading.id in asked:
            continue
        change = changes.get(reading.id)
        if change is not None:
            by_nm = _notches(look, change)
            if by_nm:
                yield _beside_history(change, by_nm)
            continue
        mate = look.at(reading.corner.mate, reading.quantity)
        if mate is None or mate.id in changes or not _has_rods(look, mate):
            continue
        notch = _notch_nm(look, reading)
        if abs(abs(look.level_nm(reading) - look.level_nm(mate)) - notch) <= EXACT_NM:
            asked.add(mate.id)
            yield _beside_mate(look, reading, mate, notch, beyond)


def _has_rods(look: Look, reading: ReadingSet) -> bool:
    """Whether a drum was read with a drum gauge; one that is not on file is taken for one."""
    gauge = look.gauge(reading)
    return gauge is None or gauge.kind is GaugeKind.DRUM


def _notch_nm(look: Look, reading: ReadingSet) -> int:
    return INCH_NOTCH_NM if is_inch(look, reading) else METRIC_NOTCH_NM


def _notches(look: Look, change: Change) -> int:
    """Return the notch that the drum seems to have jumped, with its sign; 0 for none. [nm]"""
    notch = _notch_nm(look, change.reading)
    slack_nm = EXACT_NM + change.expected_u1_nm
    for by_nm in (notch, -notch):
        if abs(change.lost_nm - by_nm - change.expected_nm) <= slack_nm:
            return by_nm
    return 0


def _beside_history(change: Change, by_nm: int) -> Question:
    reading = change.reading
    return ask_about(
        Suspicion.NOTCH,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        against=[change.before.reading],
        instead_nm=shifted(reading, -by_nm),
        reads_high=by_nm > 0,
        evidence=(
            f"{what(reading)}, {all_as_typed(reading)}: it read "
            f"{all_as_typed(change.before.reading)} on {change.before.visit.day.isoformat()}. "
            f"One notch of the rods is {_step(reading, by_nm)}."
        ),
        ask=_ask(reading),
    )


def _beside_mate(
    look: Look, reading: ReadingSet, mate: ReadingSet, notch: int, beyond: Container[str]
) -> Question:
    """Ask about both drums: without a history either may be the one that is off."""
    high, low = sorted((reading, mate), key=look.level_nm, reverse=True)
    suspects = {**shifted(high, -notch), **shifted(low, notch)}
    if low.id in beyond:
        suspects = shifted(low, notch)
    sets = [each for each in (reading, mate) if each.id in suspects]
    return ask_about(
        Suspicion.NOTCH,
        sets,
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        against=[reading, mate],
        instead_nm=suspects,
        reads_high=False if len(sets) == 1 else None,
        evidence=(
            f"{what(reading)}, {all_as_typed(reading)}, and {what(mate)}, {all_as_typed(mate)}: "
            f"{_step(reading, look.level_nm(high) - look.level_nm(low))} apart, one notch of the "
            "rods."
        ),
        ask=_ask(reading),
    )


def _step(reading: ReadingSet, by_nm: int) -> str:
    return length(abs(by_nm), unit_of(reading), reading.quantity)


def _ask(reading: ReadingSet) -> str:
    return (
        "Set both rods of the drum gauge to the same mark and read the "
        f"{reading.corner} drum again; a second reading set answers it."
    )
