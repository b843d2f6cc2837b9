"""Readings at the wrong corner: exchanging two makes both fit."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.beyond import new_size_nm
from brakelog.review.change import Change
from brakelog.review.figures import as_a_whole, what
from brakelog.review.look import Look, lost_nm, wears_down
from brakelog.review.question import Confidence, Question, Scope, Suspicion

SURE_IN_U1 = 3.0
"""Standard uncertainties by which the exchange has to make the whole fit better; common practice.
[-]"""
UNLIKE = 0.15
"""Share of the wear by which the two sides of an axle usually differ; assumption. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Swap:
    """Two corners, the changes that speak for their exchange, and how loudly."""

    one: Corner
    other: Corner
    pairs: tuple[tuple[Change, Change], ...]
    gain: float


def ask_corners(
    look: Look, changes: Sequence[Change], beyond: Container[str]
) -> Iterator[Question]:
    """Yield a question for each two corners that fit only when exchanged.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : sequence of Change
        Since the last readings.
    beyond : container of str
        Ids of sets that lie beyond new.
    """
    at: dict[Corner, dict[Quantity, Change]] = {}
    for change in changes:
        at.setdefault(change.corner, {})[change.quantity] = change
    # Nothing is exchanged where nothing grew: what is worn less than it was is the sign of it.
    grown = {change.corner for change in changes if _grew(change)}
    found: list[_Swap] = []
    for one, other in combinations(at, 2):
        if one in grown or other in grown:
            swap = _swap(one, other, at[one], at[other])
            if swap is not None:
                found.append(swap)
    taken: set[Corner] = set()
    for swap in sorted(found, key=lambda each: -each.gain):
        if swap.one not in taken and swap.other not in taken:
            taken |= {swap.one, swap.other}
            yield _corners_question(look, swap)
    yield from _beyond_new(look, taken, beyond)


def _swap(
    one: Corner, other: Corner, here: dict[Quantity, Change], there: dict[Quantity, Change]
) -> _Swap | None:
    """Return the exchange of two corners where it makes them fit; None where it does not."""
    pairs = [
        (here[quantity], there[quantity])
        for quantity in here
        if quantity in there and here[quantity].reading.datum is there[quantity].reading.datum
    ]
    gains = [_gain(a, b, is_axle=one.axle == other.axle) for a, b in pairs]
    # A quantity that fits as it is was not typed at the other corner.
    kept = [(pair, gain) for pair, gain in zip(pairs, gains, strict=True) if gain > -SURE_IN_U1]
    total = sum(gain for _, gain in kept)
    if not kept or total <= SURE_IN_U1 * math.sqrt(len(kept)):
        return None
    if not any(_grew(a) or _grew(b) for (a, b), _ in kept):
        return None
    if any(_grows_exchanged(a, b) or _grows_exchanged(b, a) for (a, b), _ in kept):
        return None
    return _Swap(one=one, other=other, pairs=tuple(pair for pair, _ in kept), gain=total)


def _gain(a: Change, b: Change, *, is_axle: bool) -> float:
    """Return by how much the exchange lessens the inconsistency. [standard uncertainties]

    On one axle both sides are taken to have worn alike, whatever that was; between axles, each as
    it was to be expected.
    """
    if is_axle:
        worn_a = worn_b = (a.lost_nm + b.lost_nm) / 2.0
        u1_nm = UNLIKE * abs(worn_a)
    else:
        worn_a, worn_b = a.expected_nm, b.expected_nm
        u1_nm = math.hypot(a.expected_u1_nm, b.expected_u1_nm)
    as_typed = abs(a.lost_nm - worn_a) + abs(b.lost_nm - worn_b)
    exchanged = abs(_lost_exchanged(a, b) - worn_a) + abs(_lost_exchanged(b, a) - worn_b)
    return (as_typed - exchanged) / math.hypot(a.sigma1_nm, b.sigma1_nm, u1_nm)


def _lost_exchanged(change: Change, other: Change) -> int:
    """Return what was lost at a corner if the other corner's reading were its own. [nm]"""
    return lost_nm(change.quantity, change.before_nm, other.now_nm)


def _grew(change: Change) -> bool:
    return -change.lost_nm > 2.0 * change.sigma1_nm


def _grows_exchanged(change: Change, other: Change) -> bool:
    return -_lost_exchanged(change, other) > 2.0 * math.hypot(change.sigma1_nm, other.sigma1_nm)


def _corners_question(look: Look, swap: _Swap) -> Question:
    quantities = {a.quantity for a, _ in swap.pairs}
    against = [each.before.reading for pair in swap.pairs for each in pair]
    said = []
    for a, b in swap.pairs[:_MOST_NAMED]:
        for change in (a, b):
            said.append(
                f"{what(change.reading)} reads {as_a_whole(change.reading)} and read "
                f"{as_a_whole(change.before.reading)}"
            )
    return _exchange(
        look,
        swap.one,
        swap.other,
        quantities,
        against=against,
        evidence=f"{'; '.join(said)}. Exchanged, {swap.one} and {swap.other} both fit: none grows "
        "and none wears double.",
        confidence=Confidence.HIGH,
    )


_MOST_NAMED = 2


def _exchange(
    look: Look,
    one: Corner,
    other: Corner,
    quantities: set[Quantity],
    *,
    against: list[ReadingSet],
    evidence: str,
    confidence: Confidence,
) -> Question:
    """Return the question whether two corners are exchanged, with everything read at either."""
    sets: list[ReadingSet] = []
    instead: dict[str, tuple[int | None, ...]] = {}
    only_some = any(
        quantity not in quantities
        for quantity in Quantity
        if look.at(one, quantity) is not None
        and look.at(other, quantity) is not None
        and quantity.position is not None
    )
    for moment in look.newest:
        reading = moment.reading
        if reading.corner not in (one, other):
            continue
        if only_some and reading.quantity not in quantities:
            continue
        away = look.at(other if reading.corner == one else one, reading.quantity)
        sets.append(reading)
        instead[reading.id] = fitted_to(away, reading)
    return ask_about(
        Suspicion.CORNERS,
        sets,
        scope=Scope.CORNERS,
        confidence=confidence,
        against=against,
        instead_nm=instead,
        evidence=evidence,
        ask=f"Go back to {one} and {other} and read one of them again; a second reading set of "
        "either answers it.",
    )


def fitted_to(source: ReadingSet | None, place: ReadingSet) -> tuple[int | None, ...]:
    """Return the values of one set in as many points as another has.

    Too few are filled up as not measured; of too many the lowest and the highest stay, because
    those decide.
    """
    points = len(place.values_nm)
    if source is None:
        return (None,) * points
    values = list(source.measured_nm)
    if len(values) > points:
        extremes = (
            [min(values), max(values)]
            if wears_down(place.quantity)
            else [
                max(values),
                min(values),
            ]
        )
        values = [*extremes, *values][:points]
    return (*values, *(None for _ in range(points - len(values))))


def _beyond_new(look: Look, taken: set[Corner], beyond: Container[str]) -> Iterator[Question]:
    """Ask about two axles of which each reads like the other, where there is no history."""
    for moment in look.newest:
        reading = moment.reading
        if reading.id not in beyond or reading.corner in taken:
            continue
        for axle in range(1, len(look.evidence.brakes) + 1):
            other = Corner(axle=axle, side=reading.corner.side)
            away = look.at(other, reading.quantity)
            if away is None or other == reading.corner or other in taken:
                continue
            if not (_fits(look, reading, away) and _fits(look, away, reading)):
                continue
            if reading.datum is not away.datum:
                continue
            taken |= {reading.corner, other}
            yield _exchange(
                look,
                reading.corner,
                other,
                {q for q in Quantity if look.at(reading.corner, q) and look.at(other, q)},
                against=[],
                evidence=(
                    f"{what(reading)} reads {as_a_whole(reading)}, which is beyond a new part "
                    f"there, and {what(away)} reads {as_a_whole(away)}. Exchanged, both are "
                    "within a new part."
                ),
                confidence=Confidence.MEDIUM,
            )
            break


def _fits(look: Look, place: ReadingSet, source: ReadingSet) -> bool:
    """Whether the readings of one corner are within the new size of another."""
    new_nm = new_size_nm(look, place)
    if new_nm is None:
        return False
    return lost_nm(place.quantity, new_nm, look.level_nm(source)) >= 0
