"""Readings as left that are no readings of what was fitted."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part
from brakelog.record.reading import ReadingSet, Stage
from brakelog.review.asking import ask_about
from brakelog.review.beyond import BEYOND_NEW_NM, new_size_nm
from brakelog.review.figures import as_a_whole, length, unit_of, what
from brakelog.review.look import Look, lost_nm
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.settled import is_copy


def ask_not_as_left(look: Look) -> Iterator[Question]:
    """Yield a question for each reading as left that is no reading of what was fitted."""
    if look.evidence.stage is not Stage.AS_LEFT:
        return
    for moment in look.newest:
        reading = moment.reading
        fitting = look.fitted_here(reading.corner, reading.quantity.position)
        if fitting is None or fitting.event in (FittingEvent.MOVED, FittingEvent.REMOVED):
            continue
        found = [
            each
            for each in look.moments(reading.corner, reading.quantity)
            if each.order == look.order - 1
        ]
        size_nm = fitting.size_nm or new_size_nm(look, reading)
        worn_nm = (
            None if size_nm is None else lost_nm(reading.quantity, size_nm, look.level_nm(reading))
        )
        is_worn = worn_nm is not None and _is_worn(look, reading, worn_nm)
        same = [each.reading for each in found if each.reading.values_nm == reading.values_nm]
        if same and (is_worn or is_copy(look, reading, same[0])):
            yield _not_as_left(reading, "the same as found, digit for digit", same)
        elif is_worn and fitting.event is FittingEvent.NEW:
            unit = unit_of(reading)
            yield _not_as_left(
                reading,
                f"{length(worn_nm or 0, unit, reading.quantity)} off the new part that was fitted, "
                f"{length(size_nm or 0, unit, reading.quantity)}",
                [each.reading for each in found],
            )


def _is_worn(look: Look, reading: ReadingSet, worn_nm: int) -> bool:
    """Whether a reading is so far off a new part that it is none of it."""
    like_new_nm = BEYOND_NEW_NM[reading.quantity.facts.part]
    if worn_nm <= like_new_nm:
        return False
    return worn_nm > max(like_new_nm + look.step_nm(reading), 3.0 * look.sigma1_nm(reading))


def _not_as_left(reading: ReadingSet, why: str, found: list[ReadingSet]) -> Question:
    part = reading.quantity.facts.part
    also = " A new part that is so thin may be the wrong one." if part is Part.PADS else ""
    return ask_about(
        Suspicion.NOT_AS_LEFT,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        against=found,
        evidence=f"{what(reading)} as left, {as_a_whole(reading)}: {why}, and a part was fitted "
        "there in this visit.",
        ask=f"Was the {reading.corner} reading as found typed as left? Read the new part; a second "
        f"reading set answers it.{also}",
    )
