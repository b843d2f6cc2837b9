"""Linings in the wrong unit, with the point or two digits moved: known by their history only.

Millimetres, inches and thirty-seconds of an inch overlap where linings are measured, so that
nothing is said without another reading to hold it against.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.beyond import new_size_nm
from brakelog.review.change import Change
from brakelog.review.figures import all_as_typed, length, typed_length, unit_of, what
from brakelog.review.lining import Expected, because, expected_of, wore_as_expected
from brakelog.review.lining_point import ask_one_point
from brakelog.review.look import Look
from brakelog.review.question import Question, Scope, Suspicion

LIKE_NEW_NM = 700_000
"""How near to new a lining is that may be new: 0.7 mm; assumption. [nm]"""
_UNITS = (
    ("mm", NM_PER_MM, 1),
    ("inches", NM_PER_INCH, 1),
    ("32nds of an inch", NM_PER_INCH, 32),
)


def ask_linings(look: Look, changes: Mapping[str, Change]) -> Iterator[Question]:
    """Yield the questions about unit, decimal point and digits of linings.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : mapping of str to Change
        Since the last readings, by the id of the set.
    """
    for moment in look.linings:
        reading = moment.reading
        change = changes.get(reading.id)
        question = None
        if change is None or not wore_as_expected(change):
            expected = expected_of(look, reading, change)
            question = None if expected is None else _whole_set(look, reading, expected)
        if question is None and change is not None:
            question = ask_one_point(look, change)
        if question is not None:
            yield question


def _whole_set(look: Look, reading: ReadingSet, expected: Expected) -> Question | None:
    """Ask about the unit or the decimal point where every value is far and one change fits all."""
    measured = reading.measured_nm
    if any(abs(nm - expected.nm) <= expected.far_nm and nm <= expected.most_nm for nm in measured):
        return None
    new_nm = new_size_nm(look, reading)
    for name, suspicion, values in _other_readings(reading):
        fits = [nm for nm in values if nm is not None]
        if suspicion is Suspicion.DECIMAL and expected.day is None:
            # The other side may well be the worn one.
            continue
        if max(fits) < min(measured) <= expected.most_nm:
            # It reads less than before, as a worn lining does, only not as little as expected.
            continue
        if all(abs(nm - expected.nm) <= expected.near_nm for nm in fits) and not (
            # What reads like a new part may well be one.
            new_nm is not None and all(abs(nm - new_nm) <= LIKE_NEW_NM for nm in measured)
        ):
            return _set_question(reading, expected, name, suspicion, values)
    return None


def _other_readings(
    reading: ReadingSet,
) -> Iterator[tuple[str, Suspicion, tuple[int | None, ...]]]:
    """Yield what the typed numbers would be in other units, and with the point moved. [nm]"""
    unit = unit_of(reading)
    for name, top, bottom in _UNITS:
        if unit.nm * bottom == top:
            continue
        if bottom == _THIRTY_SECONDS and not _are_whole(reading):
            continue
        yield (
            name,
            Suspicion.LINING_UNIT,
            tuple(
                None if nm is None else round(nm * top / (unit.nm * bottom))
                for nm in reading.values_nm
            ),
        )
    for name, top, bottom in (("a tenth of it", 1, 10), ("ten times as much", 10, 1)):
        yield (
            name,
            Suspicion.DECIMAL,
            tuple(None if nm is None else nm * top // bottom for nm in reading.values_nm),
        )


_THIRTY_SECONDS = 32


def _are_whole(reading: ReadingSet) -> bool:
    """Whether every value was typed as a whole number, as thirty-seconds are."""
    typed = [typed_length(reading, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    return all(each is not None and each.nm % each.unit.nm == 0 for each in typed)


def _set_question(
    reading: ReadingSet,
    expected: Expected,
    name: str,
    suspicion: Suspicion,
    values: tuple[int | None, ...],
) -> Question:
    fits = [nm for nm in values if nm is not None]
    unit = unit_of(reading)
    shown = ", ".join(length(nm, unit, reading.quantity) for nm in fits)
    is_unit = suspicion is Suspicion.LINING_UNIT
    meant = f"in {name} it is" if is_unit else f"{name} is"
    return ask_about(
        suspicion,
        [reading],
        scope=Scope.UNIT if is_unit else Scope.SET,
        confidence=expected.confidence,
        against=[expected.other],
        instead_nm={reading.id: values},
        reads_high=max(reading.measured_nm) > max(fits),
        evidence=f"{what(reading)}, {all_as_typed(reading)}: {because(expected)}, and {meant} "
        f"{shown}, which fits.",
        ask=_ASK_UNIT.format(reading=what(reading)) if is_unit else _ASK.format(what(reading)),
    )


_ASK_UNIT = (
    "Which unit was the {reading} read in? Read it again with the unit typed behind each number."
)
_ASK = "Read the {} again; a second reading set answers it."
