"""A half-turn line missed on every point of a rotor: the set agrees with itself, and is a turn off.

Only the other side and the last visit show it: both sides of an axle wear about alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brakelog.record.quantity import Quantity
from brakelog.review.asking import ask_about, shifted
from brakelog.review.change import Change
from brakelog.review.figures import as_a_whole, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.thimble import has_display, has_thimble, noise_nm, turn_nm

UNLIKE_SIDES = 0.15
"""Share of the wear by which the two sides of an axle usually differ; assumption. [-]"""


MOST_NOISE_NM = 150_000
"""Noise above which a turn cannot be told from wear: 0.15 mm, less than a third of a turn.
Assumption. [nm]"""


def ask_whole_turn(look: Look, changes: Sequence[Change]) -> Iterator[Question]:
    """Yield a question where one rotor of an axle changed by a turn more than the other."""
    rotors = {each.corner: each for each in changes if each.quantity is Quantity.ROTOR}
    for change in rotors.values():
        mate = rotors.get(change.corner.mate)
        if mate is None or has_display(look, change.reading):
            continue
        if not has_thimble(look, change.reading):
            continue
        more_nm = mate.lost_nm - change.lost_nm
        turn = turn_nm(look, change.reading)
        slack_nm = _noise_nm(look, change, mate)
        if slack_nm > MOST_NOISE_NM or abs(abs(more_nm) - turn) > slack_nm:
            continue
        by_nm = -turn if more_nm > 0 else turn
        # The one whose own change is strange is the one that slipped.
        if abs(change.odd_nm) > turn / 2 > abs(mate.odd_nm):
            yield _question(change, mate, by_nm)


def _noise_nm(look: Look, change: Change, mate: Change) -> float:
    chance_nm = 2.0 * math.hypot(change.sigma1_nm, mate.sigma1_nm)
    return max(noise_nm(look, change.reading), chance_nm) + UNLIKE_SIDES * max(
        mate.expected_nm, 0.0
    )


def _question(change: Change, mate: Change, by_nm: int) -> Question:
    reading, unit = change.reading, unit_of(change.reading)
    turn = length(abs(by_nm), unit, Quantity.ROTOR)
    side = "above" if by_nm < 0 else "below"
    gap = length(abs(mate.lost_nm - change.lost_nm), unit, Quantity.ROTOR)
    return ask_about(
        Suspicion.TURN_ON_ALL,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        against=[change.before.reading, mate.reading, mate.before.reading],
        instead_nm=shifted(reading, by_nm),
        reads_high=by_nm < 0,
        evidence=(
            f"{what(reading)}, {as_a_whole(reading)}: next to its last reading, "
            f"{as_a_whole(change.before.reading)}, all of it lies {gap} {side} what "
            f"{mate.corner} did in the same time. One turn of the thimble is {turn}."
        ),
        ask=f"Check the half-turn line of the sleeve and read the {reading.corner} rotor again; a "
        "second reading set answers it.",
    )
