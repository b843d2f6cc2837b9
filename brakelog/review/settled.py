"""Whether a second reading set has already answered a question."""

from __future__ import annotations

import math

from brakelog.record.gauge import Tips
from brakelog.record.reading import ReadingSet
from brakelog.review.figures import typed_length
from brakelog.review.look import Look, true_nm
from brakelog.review.question import Question, Scope
from brakelog.review.suspicion import SettledBy

COPY_CHANCE = 0.01
"""Chance below which every digit the same is a copy and not a second reading; assumption. [-]"""
_SPREAD_OF_TWO = 2.0 * math.sqrt(math.pi)
"""Two normal readings of standard deviation s fall on the same step of a scale with probability
step / (2 sqrt(pi) s), as long as the step is the smaller."""


def is_settled(look: Look, question: Question) -> bool:
    """Whether an earlier set of the same visit shows the same as the newest.

    For swapped corners one of the sets is enough: whoever went back to a corner saw which one it
    was. For all others every set has to be confirmed.
    """
    how = question.suspicion.facts.settled_by
    if how is SettledBy.NOTHING or not question.set_ids:
        return False
    found = [moment.reading for moment in look.newest if moment.reading.id in set(question.set_ids)]
    points = question.points if question.scope is Scope.POINTS else ()
    confirmed = [_is_confirmed(look, each, points, how) for each in found]
    if question.scope is Scope.CORNERS:
        return any(confirmed)
    return bool(confirmed) and all(confirmed)


def is_confirmed(look: Look, reading: ReadingSet) -> bool:
    """Whether a second reading set of the visit shows the same at every point."""
    return _is_confirmed(look, reading, (), SettledBy.READING)


def _is_confirmed(look: Look, reading: ReadingSet, points: tuple[int, ...], how: SettledBy) -> bool:
    return any(
        _shows_the_same(look, reading, other, points)
        and not is_copy(look, reading, other)
        and _is_independent(look, reading, other, how)
        for other in look.earlier_versions(reading)
    )


def _is_independent(look: Look, one: ReadingSet, other: ReadingSet, how: SettledBy) -> bool:
    if how is SettledBy.POINTED:
        return any(look.tips(each) is Tips.POINTED or each.lip is False for each in (one, other))
    if how is SettledBy.OTHER_UNIT:
        return one.unit is not other.unit or _has_its_unit(one) or _has_its_unit(other)
    return True


def _has_its_unit(reading: ReadingSet) -> bool:
    """Whether every value was typed with its unit."""
    typed = [typed_length(reading, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    return all(each is not None and each.unit_typed for each in typed)


def _shows_the_same(
    look: Look, reading: ReadingSet, other: ReadingSet, points: tuple[int, ...]
) -> bool:
    """Whether both read the same at the points, within twice the uncertainty of a difference."""
    if reading.datum is not other.datum:
        return False
    wanted = points or tuple(range(len(reading.values_nm)))
    allowed_nm = 2.0 * look.sigma1_difference_nm(reading, other)
    compared = 0
    for index in wanted:
        nm = reading.values_nm[index]
        if nm is None:
            continue
        again = other.values_nm[index] if index < len(other.values_nm) else None
        if again is None or abs(true_nm(reading, nm) - true_nm(other, again)) > allowed_nm:
            return False
        compared += 1
    return compared > 0


def is_copy(look: Look, one: ReadingSet, other: ReadingSet) -> bool:
    """Whether two sets are the same digit for digit although chance hardly makes them so."""
    if one.values_nm != other.values_nm:
        return False
    return chance_of_repeating(look, one) < COPY_CHANCE


def chance_of_repeating(look: Look, reading: ReadingSet) -> float:
    """Return how likely every digit comes out the same when the set is read once more. [-]"""
    step_nm = look.step_nm(reading)
    s_nm = max(look.spread(reading).u1r_nm, 1.0)
    each = min(1.0, step_nm / (_SPREAD_OF_TWO * s_nm))
    return float(each ** len(reading.measured_nm))
