"""The order in which the fasteners of a wheel are tightened, and how tight they were left."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from brakelog.record.torque import angle_of, printed_torques

FEWEST, MOST = 3, 12
"""Fasteners of a wheel for which an order is given: common practice has no other."""
STEPS = "crosswise in two steps: about half the torque first, then all of it"
"""Common practice; published advice is near-universal on crosswise order in stages."""
WRENCH = Fraction(4, 100)
"""How far a torque may be from the printed one: a torque wrench is good for 4 %; common
practice."""


def tightening_order(fasteners: int) -> tuple[int, ...]:
    """Return the order, for fasteners numbered one after the other round the wheel.

    An odd number goes to every other one, twice round, which is the star. An even number cannot
    reach all of them that way: it goes straight across, pair by pair, and the pairs from the
    fourth on are taken every other one too.

    Raises
    ------
    ValueError
        Where a wheel is not held by that many.

    References
    ----------
    "Go around the wheel tightening every other nut until they are all tight": an owner's manual
    of 2003; crosswise: common practice.

    Examples
    --------
    >>> tightening_order(5), tightening_order(4), tightening_order(6)
    ((1, 3, 5, 2, 4), (1, 3, 2, 4), (1, 4, 2, 5, 3, 6))
    """
    if not FEWEST <= fasteners <= MOST:
        raise ValueError(f"no wheel is held by {fasteners} fasteners")
    if fasteners % 2:
        return _every_other(fasteners)
    pairs = fasteners // 2
    starts = _every_other(pairs) if pairs > 3 else tuple(range(1, pairs + 1))
    return tuple(place for start in starts for place in (start, start + pairs))


def _every_other(number: int) -> tuple[int, ...]:
    return (*range(1, number + 1, 2), *range(2, number + 1, 2))


def printed_order(fasteners: int) -> str:
    """Return the order as it is printed.

    >>> printed_order(5)
    '1-3-5-2-4'
    """
    return "-".join(str(place) for place in tightening_order(fasteners))


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """How a torque as left stands to the one that is printed."""

    is_off: bool = False
    lacks_angle: bool = False
    """The sheet wants the fastener turned on by an angle, and that is not on record."""
    adds_angle: bool = False
    """It was turned on by an angle, and the sheet wants none."""
    is_readable: bool = True
    """Whether the printed figure can be read as a torque at all."""
    contradicts: bool = False
    """The printed figures are further apart than a wrench is good for."""


def compare_torque(left: str, printed: str) -> Compared:
    """Compare a torque as left with the printed one; every printed figure counts.

    >>> compare_torque("81 lb ft", "110 N·m (81 lb ft)").is_off
    False
    >>> compare_torque("90 N·m", "110 N·m").is_off
    True
    """
    wanted, given = printed_torques(printed), printed_torques(left)
    if not wanted or not given:
        return Compared(is_readable=False)
    apart = any(
        not _within(one.least, other.least, other.most)
        and not _within(other.least, one.least, one.most)
        for n, one in enumerate(wanted)
        for other in wanted[n + 1 :]
    )
    return Compared(
        is_off=any(not _within(given[0].least, each.least, each.most) for each in wanted),
        lacks_angle=angle_of(printed) != angle_of(left) and angle_of(printed) is not None,
        adds_angle=angle_of(printed) is None and angle_of(left) is not None,
        contradicts=apart,
    )


def _within(value: Fraction, least: Fraction, most: Fraction) -> bool:
    return least * (1 - WRENCH) <= value <= most * (1 + WRENCH)
