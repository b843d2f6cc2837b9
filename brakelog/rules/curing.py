"""Runout that was put right between two readings: what was read before it does not count."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from brakelog.record.closing import Check, ClosingAnswer, answers_that_stand
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.visit import Visit


def after_cures(
    visit: Visit, sets: tuple[ReadingSet, ...], answers: Iterable[ClosingAnswer]
) -> tuple[ReadingSet, ...]:
    """Return the sets without the runouts as left that were read before a cure of that corner.

    A part is not measured until it passes; but a rotor that was cleaned, turned, shimmed or cut
    after a reading does not run as it did then. The readings before stay on file.

    Parameters
    ----------
    visit : Visit
        The judged visit; sets of others are not looked at.
    sets : tuple of ReadingSet
        The record, in entry order.
    answers : iterable of ClosingAnswer
        What was said at the end of visits, oldest first.
    """
    cured: dict[Corner, datetime] = {
        each.corner: each.recorded_at
        for each in answers_that_stand(answers)
        if each.check is Check.RUNOUT_CURE
        and each.visit_id == visit.id
        and each.corner is not None
        and each.recorded_at is not None
    }
    if not cured:
        return sets
    return tuple(each for each in sets if not _is_before(each, visit, cured))


def _is_before(each: ReadingSet, visit: Visit, cured: dict[Corner, datetime]) -> bool:
    return (
        each.visit_id == visit.id
        and each.quantity is Quantity.RUNOUT
        and each.stage is Stage.AS_LEFT
        and each.corner in cured
        and each.recorded_at is not None
        and each.recorded_at <= cured[each.corner]
    )
