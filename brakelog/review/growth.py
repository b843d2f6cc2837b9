"""Parts that have more material than at the last visit, without a record of a new one."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part
from brakelog.review.asking import ask_about, shifted
from brakelog.review.change import (
    LEAST_GROWTH_NM,
    Change,
    grown_at_least_nm,
    has_more,
    least_believed_nm,
)
from brakelog.review.figures import as_a_whole, corners, odometer, what
from brakelog.review.look import Look, lost_nm, wears_down
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.settled import is_confirmed

LIKE_NEW_NM = {Part.ROTOR: 300_000, Part.DRUM: 300_000, Part.PADS: 1_000_000, Part.SHOES: 1_000_000}
"""How near to the new size a part is that looks new: what new parts differ by, common practice.
[nm]"""


def ask_growth(
    look: Look,
    changes: Sequence[Change],
    past: Sequence[Sequence[Change]],
    unusable: Collection[str],
) -> Iterator[Question]:
    """Yield a question for each part of an axle that has more material than before.

    What a second reading set confirms, and what grew at an earlier visit, is no longer a question
    about readings: then only the history of the part hangs on it.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : sequence of Change
        Since the last readings.
    past : sequence of sequence of Change
        The same for each earlier visit and stage.
    unusable : collection of str
        Sets that another question takes out altogether.
    """
    for group in _by_axle(look, changes):
        if all(each.reading.id in unusable for each in group):
            continue
        question = _grew(look, group)
        if all(is_confirmed(look, each.reading) for each in group):
            question = _about_history(question, group)
        yield question
    for earlier in past:
        for group in _by_axle(look, earlier):
            yield _about_history(_grew(look, group), group)


def _by_axle(look: Look, changes: Sequence[Change]) -> list[list[Change]]:
    groups: dict[tuple[int, Part], list[Change]] = {}
    for change in changes:
        if has_grown(look, change):
            place = (change.corner.axle, change.quantity.facts.part)
            groups.setdefault(place, []).append(change)
    return list(groups.values())


POINT_IN_U1 = 4.0
"""Standard uncertainties by which a single end of a lining has to grow. Assumption: there are twice
as many of them, and the place at one end is met less well. [-]"""


def has_grown(look: Look, change: Change) -> bool:
    """Whether a part gained material, as a whole or at one of the points of a lining."""
    if has_more(look, change):
        return True
    now, before = change.reading, change.before.reading
    if not change.quantity.is_lining or len(now.values_nm) != len(before.values_nm):
        return False
    zero_nm = now.zero_error_nm - before.zero_error_nm
    most_nm = max(
        (
            new - old - zero_nm
            for old, new in zip(before.values_nm, now.values_nm, strict=True)
            if old is not None and new is not None
        ),
        default=0,
    )
    # The trade's figure first: it is the least that growth can be.
    is_more = most_nm > LEAST_GROWTH_NM[change.quantity.facts.part]
    return is_more and most_nm > grown_at_least_nm(look, change, in_u1=POINT_IN_U1)


def _grew(look: Look, group: list[Change]) -> Question:
    is_new = all(looks_new(look, each) for each in group)
    return ask_about(
        Suspicion.GREW,
        [each.reading for each in group],
        scope=Scope.SET,
        confidence=Confidence.CERTAIN,
        against=[each.before.reading for each in group],
        instead_nm=_instead(look, group),
        reads_high=wears_down(group[0].quantity),
        settled_by_looking=is_new,
        evidence=_evidence(group, is_new=is_new),
        ask=_ask(look, group, is_new=is_new),
    )


def _about_history(question: Question, group: list[Change]) -> Question:
    """Return the same with the same key, about the life of the part instead of its readings."""
    return replace(
        question,
        suspicion=Suspicion.REPLACED,
        scope=Scope.LIFE,
        set_ids=(*question.set_ids, *(each.before.reading.id for each in group)),
        instead_nm={},
        reads_high=None,
        settled_by_looking=True,
        ask=f"What was done to the {_part(group)}, and when? Record what was replaced or moved, or "
        "correct the earlier reading. Until then no wear is projected.",
    )


def _instead(look: Look, group: list[Change]) -> dict[str, tuple[int | None, ...]]:
    """Return the sets as they would be if the part had gone on wearing, and fast at that."""
    instead: dict[str, tuple[int | None, ...]] = {}
    for change in group:
        by_nm = least_believed_nm(look, change) - change.now_nm
        values = shifted(change.reading, by_nm)[change.reading.id]
        instead[change.reading.id] = tuple(None if nm is None else max(nm, 0) for nm in values)
    return instead


def looks_new(look: Look, change: Change) -> bool:
    """Whether a part reads like a new one."""
    position = change.quantity.position
    assert position is not None
    new_nm = look.evidence.new_nm.get((change.corner.axle, position))
    if new_nm is None:
        return False
    worn_nm = lost_nm(change.quantity, new_nm, change.now_nm)
    return abs(worn_nm) <= LIKE_NEW_NM[position.part] + 3.0 * change.sigma1_nm


def _evidence(group: list[Change], *, is_new: bool) -> str:
    said = "; ".join(
        f"{what(each.reading)} reads {as_a_whole(each.reading)} and read "
        f"{as_a_whole(each.before.reading)} on {each.before.visit.day.isoformat()} "
        f"at {odometer(each.before.visit)}"
        for each in group[:_MOST_NAMED]
    )
    more = len(group) - _MOST_NAMED
    rest = f"; and {more} more" if more > 0 else ""
    if group[0].quantity.facts.part is Part.DRUM:
        rule = "a drum does not get smaller by wear"
    else:
        rule = "wear adds no material"
    looks = ", and it reads like a new part" if is_new else ""
    return f"{said}{rest}: {rule}, and no fitting is on file in between{looks}."


_MOST_NAMED = 4


def _part(group: list[Change]) -> str:
    """Return the parts with their corners: ``pads at LF and RF``."""
    at = dict.fromkeys(each.corner for each in group)
    part = group[0].quantity.facts.part
    is_pair = part in (Part.PADS, Part.SHOES)
    return f"{part.value}{'' if is_pair or len(at) == 1 else 's'} at {corners(at)}"


def _ask(look: Look, group: list[Change], *, is_new: bool) -> str:
    part = _part(group)
    fitting = look.fitted_here(group[0].corner, group[0].quantity.position)
    if fitting is not None and fitting.event is not FittingEvent.REMOVED:
        return (
            f"Were the new {part} typed as found? What was fitted in this visit is read as left; "
            "amend the set, or read it again."
        )
    if is_new:
        return (
            f"Look for new {part}, and record the fitting; if nothing is new there, check corner, "
            "unit and digits, and read it again."
        )
    also = {
        Part.ROTOR: "lip, rust, ",
        Part.DRUM: "notch of the gauge, warm drum last time, ",
    }.get(group[0].quantity.facts.part, "backing plate, ")
    return (
        f"Check {also}corner, unit and digits, and read the {part} again; a second reading set "
        "answers it. If something was replaced, record the fitting."
    )
