"""Rotors that lost what a cut takes off while their pads hardly wore."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from brakelog.lengths import NM_PER_MM
from brakelog.record.quantity import Quantity
from brakelog.review.asking import ask_about
from brakelog.review.change import Change
from brakelog.review.figures import as_a_whole, corners, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion

LEAST_CUT_NM = 200_000
MOST_CUT_NM = 600_000
"""What refinishing takes off a rotor: 0.2 to 0.6 mm, common practice. [nm]"""
HARDLY_WORN_NM = 500_000
"""Lining lost by pads that hardly wore: 0.5 mm. Assumption: what a gauge on the car can miss.
[nm]"""
NEARLY_NEW_NM = NM_PER_MM
"""Lining lost by pads from which their wear is no longer little: 1 mm, assumption. [nm]"""
CUT_SHARE = 0.3
"""Rotor lost per lining lost that no wear reaches. Assumption: half as much again as the most that
cars show (0.07 to 0.2). [-]"""
_PADS = (Quantity.PAD_INNER, Quantity.PAD_OUTER)


def ask_refinish(
    look: Look, changes: Sequence[Change], past: Sequence[Sequence[Change]]
) -> Iterator[Question]:
    """Yield a question for each axle on which a rotor lost what a cut takes and the pads did not.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : sequence of Change
        Since the last readings.
    past : sequence of sequence of Change
        The same for each earlier visit and stage.
    """
    for each in (*past, changes):
        cut: dict[int, list[Change]] = {}
        for change in each:
            if change.quantity is Quantity.ROTOR and _lost_a_cut(look, change, each):
                cut.setdefault(change.corner.axle, []).append(change)
        for group in cut.values():
            yield _question(group)


def _lost_a_cut(look: Look, rotor: Change, changes: Sequence[Change]) -> bool:
    """Whether a rotor lost what a cut takes, and its pads too little to explain it."""
    least_nm = max(LEAST_CUT_NM, 3.0 * rotor.sigma1_nm)
    if not least_nm <= rotor.lost_nm <= MOST_CUT_NM + max(rotor.expected_nm, 0.0):
        return False
    if rotor.now.visit is rotor.before.visit:
        return True
    worn = _pads_worn(look, rotor, changes)
    if worn is None:
        return False
    worn_nm, u1_nm = worn
    if rotor.lost_nm <= CUT_SHARE * (max(worn_nm, 0.0) + 2.0 * u1_nm):
        return False
    # Pads that grew are another question.
    return -HARDLY_WORN_NM <= worn_nm <= NEARLY_NEW_NM


def _pads_worn(look: Look, rotor: Change, changes: Sequence[Change]) -> tuple[float, float] | None:
    """Return what the pads lost since the rotor was last read, with its uncertainty. [nm]

    Pads that were fitted at that visit have lost what they are short of their size then.
    """
    worn: list[float] = []
    variance = 0.0
    for change in changes:
        if change.corner == rotor.corner and change.quantity in _PADS:
            if change.before.visit is not rotor.before.visit:
                return None
            worn.append(float(change.lost_nm))
            variance += change.sigma1_nm**2
    if worn:
        return sum(worn) / len(worn), math.sqrt(variance) / len(worn)
    for quantity in _PADS:
        fitting = look.fitted(rotor.corner, quantity.position, rotor.now.order)
        if fitting is None or fitting.visit_id != rotor.before.visit.id:
            continue
        position = fitting.position
        size_nm = fitting.size_nm or look.evidence.new_nm.get((rotor.corner.axle, position))
        for moment in look.moments(rotor.corner, quantity):
            if moment.order == rotor.now.order and size_nm is not None:
                worn.append(float(size_nm - look.level_nm(moment.reading)))
                variance += (2.0 * look.sigma1_nm(moment.reading)) ** 2
    return (sum(worn) / len(worn), math.sqrt(variance) / len(worn)) if worn else None


def _question(group: list[Change]) -> Question:
    readings = [each.reading for each in group]
    before = [each.before.reading for each in group]
    said = "; ".join(
        f"{what(each.reading)} lost {length(each.lost_nm, unit_of(each.reading), Quantity.ROTOR)} "
        f"since {each.before.visit.day.isoformat()}: {as_a_whole(each.before.reading)}, then "
        f"{as_a_whole(each.reading)}"
        for each in group
    )
    asked = ask_about(
        Suspicion.REFINISHED,
        readings,
        scope=Scope.LIFE,
        confidence=Confidence.HIGH,
        against=before,
        instead_nm={},
        settled_by_looking=True,
        evidence=f"{said}. That is what a cut takes, and the pads there are new or hardly worn.",
        ask=f"Was the {corners(each.corner for each in group)} rotor refinished? Record it with "
        "its size after the cut, or its wear is projected too fast.",
    )
    return replace(asked, set_ids=(*asked.set_ids, *(each.id for each in before)))
