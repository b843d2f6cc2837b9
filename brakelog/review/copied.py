"""Readings that are those of another corner or another visit, digit for digit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from brakelog.lengths import MM_PER_KM
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.change import driven_mm
from brakelog.review.figures import all_as_typed, corners, what
from brakelog.review.look import Look, Moment
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.settled import COPY_CHANCE, chance_of_repeating

LEAST_POINTS = 6
"""Points from which equal readings are no accident; common practice."""
LEAST_DRIVEN_MM = 1_000 * MM_PER_KM
"""Distance over which linings wear by a digit or two: 1,000 km, assumption. [mm]"""
LEAST_LININGS = 8
"""Lining values of a visit that cannot all repeat by accident; assumption."""
LEAST_DIFFERENT = 3
"""Different values in a set from which its pattern cannot repeat by accident; assumption."""


def ask_copied(look: Look) -> Iterator[Question]:
    """Yield the questions about sets that are the same digit for digit."""
    seen: dict[tuple[int | None, ...], Moment] = {}
    for moment in look.rotors:
        reading = moment.reading
        if not _is_pattern(look, reading):
            continue
        earlier = seen.setdefault(reading.values_nm, moment)
        if earlier is not moment:
            yield _copied([earlier.reading, reading], "of the same visit")
            continue
        for past in _past(look, reading):
            if past.reading.values_nm == reading.values_nm and _is_elsewhere(look, past, moment):
                yield _copied([reading], f"on {past.visit.day.isoformat()}", past.reading)
                break
    yield from _like_one_read_again(look, seen)
    yield from _copied_linings(look)


def _like_one_read_again(
    look: Look, seen: Mapping[tuple[int | None, ...], Moment]
) -> Iterator[Question]:
    """Yield the questions about sets like one of another corner that was read again since.

    Reading one of two twins again tells nothing of the other.
    """
    for moment in look.rotors:
        reading = moment.reading
        if seen.get(reading.values_nm) is not moment:
            continue
        for other in look.evidence.sets:
            if (
                other.visit_id == reading.visit_id
                and other.stage is reading.stage
                and other.quantity is reading.quantity
                and other.corner != reading.corner
                and other.values_nm == reading.values_nm
                and not any(other.id == each.reading.id for each in look.newest)
            ):
                yield _copied([reading], "of the same visit", other)
                break


def _is_pattern(look: Look, reading: ReadingSet) -> bool:
    """Whether a rotor has so many digits that chance does not repeat them."""
    values = reading.measured_nm
    if len(values) < LEAST_POINTS:
        return False
    different = len(set(values))
    return different > 1 and (
        different >= LEAST_DIFFERENT or chance_of_repeating(look, reading) < COPY_CHANCE
    )


def _past(look: Look, reading: ReadingSet) -> Iterator[Moment]:
    for corner, quantity in look.places():
        if quantity is reading.quantity:
            yield from look.moments(corner, quantity)


def _is_elsewhere(look: Look, past: Moment, now: Moment) -> bool:
    """Whether a moment lies in an earlier visit."""
    return past.order // 2 < now.order // 2


def _copied(readings: list[ReadingSet], where: str, past: ReadingSet | None = None) -> Question:
    original = past or readings[0]
    copy = readings[-1]
    return ask_about(
        Suspicion.COPIED,
        readings,
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        against=[original],
        evidence=f"{what(copy)}, {all_as_typed(copy)}: the same as {what(original)} {where}, digit "
        "for digit. Two readings never agree so well.",
        ask=f"Was one copied? Read {corners(each.corner for each in readings)} again; a second "
        "reading set answers it.",
    )


def _copied_linings(look: Look) -> Iterator[Question]:
    """Ask where all linings of a visit are those of the last one although the car was driven."""
    now = look.linings
    if sum(len(each.reading.measured_nm) for each in now) < LEAST_LININGS:
        return
    pairs: list[tuple[Moment, Moment]] = []
    for each in now:
        before = look.before(each)
        if not before or before[0].reading.values_nm != each.reading.values_nm:
            return
        pairs.append((each, before[0]))
    past = pairs[0][1]
    if driven_mm(past.visit, look.evidence.visit) < LEAST_DRIVEN_MM:
        return
    readings = [each.reading for each in now]
    yield ask_about(
        Suspicion.COPIED,
        readings,
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        against=[each.reading for _, each in pairs],
        evidence=f"All {sum(len(r.measured_nm) for r in readings)} linings read as on "
        f"{past.visit.day.isoformat()}, digit for digit: {what(readings[0])}, "
        f"{all_as_typed(readings[0])}, and so on.",
        ask="Were they copied? Read the linings again; second reading sets answer it.",
    )
