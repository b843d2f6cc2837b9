"""Readings that scatter less than parts do: invented, or shown by a gauge that stood still."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.change import Change
from brakelog.review.figures import all_as_typed, corners, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion

LEAST_POINTS = 6
"""Points from which equal readings are no accident; common practice."""
EVEN_STEP_NM = 1_000
"""Step up to which a gauge shows the scatter of any rotor: 0.001 mm, common practice (real rotors
scatter by 0.001 to 0.003 mm). [nm]"""
FROZEN_RUN = 7
"""Equal readings in a row of a set that scatters elsewhere: a display on hold. Assumption: rotors
scatter by more than one step of 0.001 mm over half a turn."""
HELD_STEP_NM = 10_000
"""Step up to which linings differ from corner to corner: 0.01 mm, assumption. [nm]"""
AROUND_ZERO_NM = 300_000
"""Readings that may be a gauge counting from a zero of its own: up to 0.3 mm. Assumption. [nm]"""


def ask_even(look: Look) -> Iterator[Question]:
    """Yield the questions about sets that scatter less than parts do."""
    for moment in look.rotors:
        reading = moment.reading
        if len(reading.measured_nm) < LEAST_POINTS:
            continue
        if look.step_nm(reading) > EVEN_STEP_NM:
            continue
        if len(set(reading.measured_nm)) == 1:
            yield _even(look, reading)
        elif _frozen(reading) >= FROZEN_RUN:
            yield _held(reading)
    yield from _held_linings(look)


def _even(look: Look, reading: ReadingSet) -> Question:
    count = len(reading.measured_nm)
    step = length(look.step_nm(reading), unit_of(reading), Quantity.ROTOR)
    return ask_about(
        Suspicion.TOO_EVEN,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        evidence=f"{what(reading)}, {all_as_typed(reading)}: {count} points and no variation at "
        f"all, with a gauge of {step}. Rotors scatter by 0.001 to 0.003 mm.",
        ask=f"Was every point of the {reading.corner} rotor read, and was the gauge on hold? "
        "Please read them once more; a second reading set answers it.",
    )


def _frozen(reading: ReadingSet) -> int:
    """Return the most equal readings in a row."""
    best = run = 0
    last: int | None = None
    for nm in reading.values_nm:
        run = run + 1 if nm is not None and nm == last else 1
        last = nm
        best = max(best, run)
    return best


def _held(reading: ReadingSet) -> Question:
    return ask_about(
        Suspicion.HOLD,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        evidence=f"{what(reading)}, {all_as_typed(reading)}: {_frozen(reading)} readings in a row "
        "are the same, and the others scatter.",
        ask=f"Take the gauge off hold and read the {reading.corner} rotor again.",
    )


def _held_linings(look: Look) -> Iterator[Question]:
    """Ask where a fine lining gauge shows one and the same figure wherever it is put."""
    by_gauge: dict[str | None, list[ReadingSet]] = {}
    for moment in look.linings:
        reading = moment.reading
        if look.step_nm(reading) <= HELD_STEP_NM:
            by_gauge.setdefault(reading.gauge_id, []).append(reading)
    for readings in by_gauge.values():
        values = [nm for each in readings for nm in each.measured_nm]
        if len(readings) < 2 or len(values) < LEAST_POINTS or len(set(values)) > 1:
            continue
        if all(look.fitted_here(r.corner, r.quantity.position) for r in readings):
            continue
        yield ask_about(
            Suspicion.HOLD,
            readings,
            scope=Scope.SET,
            confidence=Confidence.MEDIUM,
            evidence=f"{corners(each.corner for each in readings)}: all {len(values)} linings read "
            f"{length(values[0], unit_of(readings[0]), readings[0].quantity)}. A gauge on hold "
            "shows that.",
            ask="Take the gauge off hold and read the linings again.",
        )


def ask_around_zero(look: Look, changes: Sequence[Change]) -> Iterator[Question]:
    """Yield a question for each lining that reads about nothing although much was left."""
    for change in changes:
        reading = change.reading
        if not reading.quantity.is_lining or max(reading.measured_nm) > AROUND_ZERO_NM:
            continue
        doubt_nm = 3.0 * (change.sigma1_nm + change.expected_u1_nm)
        if change.odd_nm <= doubt_nm or change.odd_nm <= AROUND_ZERO_NM:
            continue
        yield ask_about(
            Suspicion.HOLD,
            [reading],
            scope=Scope.SET,
            confidence=Confidence.MEDIUM,
            against=[change.before.reading],
            reads_high=False,
            evidence=f"{what(reading)}, {all_as_typed(reading)}: about nothing, and it read "
            f"{all_as_typed(change.before.reading)} on "
            f"{change.before.visit.day.isoformat()}. A gauge zeroed on the part shows that.",
            ask=f"Zero the gauge closed and read the {reading.corner} lining again; if it is worn "
            "to the plate, say metal-contact.",
        )
