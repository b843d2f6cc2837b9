"""Another vehicle: so much does not fit the history that a slip of one reading cannot be it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.review.asking import ask_about
from brakelog.review.change import Change, has_more
from brakelog.review.figures import as_a_whole, listed, what
from brakelog.review.growth import looks_new
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion

LEAST_CORNERS = 3
"""Corners at which something has to contradict the history; assumption: two can be exchanged, or
be one axle that was worked on elsewhere."""
FAR_IN_U1 = 5.0
"""Standard uncertainties by which a loss has to exceed what was expected. Assumption: the spread
between vehicles is in it already. [-]"""
LEAST_LOSS_NM = {Quantity.ROTOR: 700_000}
"""Loss beyond what was expected that is no cut either: more than the 0.6 mm that refinishing takes
(common practice). [nm]"""
_OTHER_LOSS_NM = 2_000_000
"""The same for linings and drums: 2 mm, assumption. [nm]"""


def ask_vehicle(
    look: Look, changes: Sequence[Change], exchanged: Collection[Corner]
) -> Iterator[Question]:
    """Yield the question whether it is another car, where most corners contradict the history.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : sequence of Change
        Since the last readings.
    exchanged : collection of Corner
        Corners that fit once they are exchanged.
    """
    odd = [
        each
        for each in changes
        if each.corner not in exchanged and (_grew(look, each) or _lost_too_much(each))
    ]
    corners = {each.corner for each in odd}
    if len(corners) < LEAST_CORNERS or len({each.axle for each in corners}) < 2:
        return
    if 2 * len(odd) <= len([each for each in changes if each.corner not in exchanged]):
        return
    said = "; ".join(
        f"{what(each.reading)} {as_a_whole(each.reading)} after {as_a_whole(each.before.reading)}"
        for each in odd[:_MOST_NAMED]
    )
    more = f"; and {len(odd) - _MOST_NAMED} more" if len(odd) > _MOST_NAMED else ""
    yield ask_about(
        Suspicion.VEHICLE,
        [moment.reading for moment in look.newest],
        scope=Scope.VEHICLE,
        confidence=Confidence.HIGH,
        against=[each.before.reading for each in odd],
        settled_by_looking=True,
        evidence=f"{said}{more}. That does not fit the history at "
        f"{listed(sorted(str(each) for each in corners))}.",
        ask="Is it this vehicle? Compare plate and VIN; if it is another, move the visit there.",
    )


_MOST_NAMED = 3


def _grew(look: Look, change: Change) -> bool:
    """Whether a part grew, and not to what a new part reads."""
    return has_more(look, change) and not looks_new(look, change)


def _lost_too_much(change: Change) -> bool:
    least_nm = LEAST_LOSS_NM.get(change.quantity, _OTHER_LOSS_NM)
    if change.odd_nm <= least_nm:
        return False
    return change.odd_nm > FAR_IN_U1 * math.hypot(change.sigma1_nm, change.expected_u1_nm)
