"""A wheel drawn in plain characters: the studs, and what the rotor runs out at each of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

WIDTH = 64
"""Columns of the drawing. [-]"""
_RING_ROWS, _RING_COLUMNS = 5, 12
_MIDDLE_ROW, _MIDDLE_COLUMN = 7, WIDTH // 2
_ROWS = 2 * _MIDDLE_ROW + 1
_RING_DOTS = 48
_INSIDE = 0.62
"""How far out the marks inside the ring stand. [-]"""


def wheel(
    labels: Sequence[str],
    *,
    now: int | None,
    best: int | None,
    marks: Mapping[str, float] | None = None,
) -> list[str]:
    """Return the lines of a wheel, seen as the studs are counted: stud 1 on top, then clockwise.

    Parameters
    ----------
    labels : sequence of str
        One short text for each stud, from stud 1.
    now : int, optional
        Index of the stud at which the rotor's mark stands, drawn in round brackets.
    best : int, optional
        Index of the best stud, drawn in square brackets.
    marks : mapping of str to float, optional
        Letters drawn inside the ring, with their angle from stud 1. [degrees]

    Examples
    --------
    >>> for line in wheel(["0.10", "0.02", "0.10", "0.14"], now=0, best=1)[:3]:
    ...     print(line.strip())
    0.10
    . ..(1).. .
    ...           ...
    """
    canvas = [[" "] * WIDTH for _ in range(_ROWS)]
    for dot in range(_RING_DOTS):
        row, column = _spot(dot / _RING_DOTS, 1.0)
        canvas[row][column] = "."
    studs = len(labels)
    for index, label in enumerate(labels):
        share = index / studs
        row, column = _spot(share, 1.0)
        sign = _sign(index, now=now, best=best)
        _write(canvas, row, column - len(sign) // 2, sign)
        _label(canvas, share, label, len(sign))
    for letter, angle_deg in (marks or {}).items():
        row, column = _spot(angle_deg / 360.0, _INSIDE)
        while canvas[row][column] != " ":
            column += 1
        _write(canvas, row, column, letter)
    lines = ["".join(row).rstrip() for row in canvas]
    while lines and not lines[0]:
        del lines[0]
    while lines and not lines[-1]:
        del lines[-1]
    return lines


def _sign(index: int, *, now: int | None, best: int | None) -> str:
    name = str(index + 1)
    if index == best:
        name = f"[{name}]"
    return f"({name})" if index == now else (name if index == best else f" {name} ")


def _spot(share: float, reach: float) -> tuple[int, int]:
    """Return row and column of a place on the ring; a share of one turn, clockwise from the top."""
    angle = 2.0 * math.pi * share
    up, across = _RING_ROWS * math.cos(angle), _RING_COLUMNS * math.sin(angle)
    return _MIDDLE_ROW - _near(reach * up), _MIDDLE_COLUMN + _near(reach * across)


def _near(value: float) -> int:
    """Round halves away from zero, so that left and right come out alike."""
    return int(math.copysign(math.floor(abs(round(value, 6)) + 0.5), value))


def _label(canvas: list[list[str]], share: float, label: str, sign: int) -> None:
    row, column = _spot(share, 1.0)
    across = math.sin(2.0 * math.pi * share)
    if abs(across) < 0.2:
        # Above the top stud, below the bottom one: beside them stands the ring.
        row += -1 if row < _MIDDLE_ROW else 1
        _write(canvas, row, column - len(label) // 2, label)
    elif across > 0:
        _write(canvas, row, column + sign // 2 + 1, f" {label} ")
    else:
        _write(canvas, row, column - sign // 2 - 2 - len(label), f" {label} ")


def _write(canvas: list[list[str]], row: int, column: int, text: str) -> None:
    for n, letter in enumerate(text):
        if 0 <= column + n < WIDTH:
            canvas[row][column + n] = letter
