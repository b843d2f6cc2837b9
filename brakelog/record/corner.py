"""The corners of a vehicle, seen from the driver's seat."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from brakelog.errors import InvalidInput, clip
from brakelog.record.member import Member


class Side(Member):
    """Left or right, seen from the driver's seat."""

    LEFT = "L"
    RIGHT = "R"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corner:
    """One wheel position: the axle counted from the front, and the side.

    There is one object for each, so that two are the same where they are one object: everything
    on file is kept by corner, and no other value is compared and looked up so often.
    """

    axle: int
    side: Side

    def __new__(cls, *, axle: int, side: Side) -> Corner:
        """Return the one object of a corner."""
        return _CORNERS.setdefault((axle, side), object.__new__(cls))

    def __getnewargs_ex__(self) -> tuple[tuple[()], dict[str, object]]:
        """Return what a copy, or another process, finds the one object by."""
        return (), {"axle": self.axle, "side": self.side}

    @property
    def code(self) -> str:
        """``LF``, ``RF``, ``LR``, ``RR``; further axles ``L3``, ``R3`` and so on."""
        return _code_of(self)

    @property
    def mate(self) -> Corner:
        """The other side of the same axle."""
        return _mate_of(self)

    def __str__(self) -> str:
        return self.code


_CORNERS: dict[tuple[int, Side], Corner] = {}


@cache
def _code_of(corner: Corner) -> str:
    return str(corner.side.value) + {1: "F", 2: "R"}.get(corner.axle, str(corner.axle))


@cache
def _mate_of(corner: Corner) -> Corner:
    other = Side.RIGHT if corner.side is Side.LEFT else Side.LEFT
    return Corner(axle=corner.axle, side=other)


MOST_AXLES = 9
"""Axles of a vehicle, at most: what a corner code has digits for."""
_CODE = re.compile(r"([LR])(F|R|[3-9])", re.ASCII)


def parse_corner(text: str) -> Corner:
    """Read a corner code.

    Raises
    ------
    InvalidInput
        Where the text is no corner.

    Examples
    --------
    >>> parse_corner("rf").axle, parse_corner("L3").code
    (1, 'L3')
    """
    found = _CODE.fullmatch(text.strip().upper())
    if found is None:
        raise InvalidInput(
            f"{clip(text)!r} is not a corner", hint="corners: LF RF LR RR, further axles L3 R3"
        )
    axle = {"F": 1, "R": 2}.get(found[2]) or int(found[2])
    return Corner(axle=axle, side=Side(found[1]))


def walking_order(axles: int) -> tuple[Corner, ...]:
    """Return the corners in the order in which a person walks round the vehicle.

    Left front, right front, then back along the right side and up the left (common practice).

    >>> [str(c) for c in walking_order(3)]
    ['LF', 'RF', 'RR', 'R3', 'L3', 'LR']
    """
    left_front = Corner(axle=1, side=Side.LEFT)
    right = [Corner(axle=n, side=Side.RIGHT) for n in range(1, axles + 1)]
    left = [Corner(axle=n, side=Side.LEFT) for n in range(axles, 1, -1)]
    return (left_front, *right, *left)


def axle_name(axle: int) -> str:
    """``front``, ``rear``, ``axle 3`` and so on."""
    return {1: "front", 2: "rear"}.get(axle, f"axle {axle}")


def parse_axle(text: str) -> int:
    """Read an axle name: ``front``, ``rear``, or a number from 1 to 9.

    Raises
    ------
    InvalidInput
        Where the text names no axle.
    """
    word = text.strip().lower().removeprefix("axle").strip()
    named = {"front": 1, "f": 1, "rear": 2, "r": 2}.get(word)
    if named:
        return named
    if len(word) == 1 and word in "123456789":
        return int(word)
    raise InvalidInput(f"{clip(text)!r} is not an axle", hint="axles: front, rear, 3, 4 ...")
