"""One corner as a drawing at actual size: what is left to wear, the limit, and the last visit.

A disc brake is cut across: a pad, the disc seen on its edge, the other pad, all as thick as they
are. A drum is too large for paper, so between its linings stands what it may still grow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brakelog.record.corner import Side, parse_corner
from brakelog.record.quantity import Position
from brakelog.reports.customer_measured import Bar, Measured, Shape

OPENING_MM = 52.0
"""Room between the two plates, so that small and large brakes stand alike; it grows for brakes
that need more. [mm]

Assumption: a disc of 28 mm between two pads of 11 mm, and air."""
AIR_MM = 1.2
"""Air between a pad and the disc at the least, so that each is seen by itself. [mm]"""
COLUMN_MM = 72.0
"""Widest drawing that two corners beside each other have room for. [mm]"""
_HEIGHT, _DISC, _LINING = 14.0, 11.0, 8.0
"""Heights of a drawing, of a disc and of a lining; not to scale. [mm]"""
_PLATE = 1.4
"""Width of what stands for a backing plate; not to scale. [mm]"""
_TICK = 1.5
"""How far a limit reaches beyond what it bounds. [mm]"""
LINE_MM = 0.4
"""Width of the line that marks a limit; the edge that is away from the plate is the limit. [mm]"""
LEAST_GHOST_MM = 0.02
"""Wear since the last visit below which no outline is drawn: it would be the edge itself. [mm]"""
_FACTORS = (10, 5, 2, 1)
"""How many times as large the growth of a drum is drawn: the largest that there is room for."""
_GROWTH_ROOM = 36.0
"""Room for the growth of a drum. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One rectangle of a drawing. [mm]"""

    kind: str
    """``plate``, ``left`` (to wear), ``stays`` (up to the limit), ``unknown`` (no limit),
    ``ghost``, ``limit`` or ``new``."""
    x: str
    y: str
    width: str
    height: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One corner."""

    corner: str
    place: str
    width: str
    height: str
    pieces: tuple[Piece, ...]
    rows: tuple[Measured, ...]
    """What is drawn, from left to right."""
    factor: int
    """How many times as large the growth of its drum is drawn; 0 where no drum is drawn."""
    is_wide: bool
    """Whether it needs more room than half a page."""

    @property
    def has_before(self) -> bool:
        """Whether anything is known of the last time."""
        return any(row.before for row in self.rows)

    @property
    def undrawn_drum(self) -> bool:
        """Whether a drum was measured that could not be drawn."""
        return not self.factor and any(row.bar.shape is Shape.DRUM for row in self.rows)


def corner_drawings(rows: Sequence[Measured]) -> tuple[Drawing, ...]:
    """Return a drawing for every corner, left before right, from the front."""
    corners = sorted(
        {row.corner for row in rows},
        key=lambda code: (parse_corner(code).axle, parse_corner(code).side is Side.RIGHT),
    )
    return tuple(_drawing([row for row in rows if row.corner == code]) for code in corners)


def _drawing(rows: list[Measured]) -> Drawing:
    ordered = _left_to_right(rows)
    factor = next((_factor(row.bar) for row in ordered if row.bar.shape is Shape.DRUM), 0)
    opening = max(OPENING_MM, _needed(ordered, factor))
    width = opening + 2 * _PLATE
    pieces = [piece for row in ordered for piece in _pieces(row, width, factor)]
    return Drawing(
        corner=rows[0].corner,
        place=rows[0].place,
        width=_text(width),
        height=_text(_HEIGHT),
        pieces=tuple(pieces),
        rows=tuple(ordered),
        factor=factor,
        is_wide=width > COLUMN_MM,
    )


_ORDER = {
    Position.PAD_OUTER: 0,
    Position.ROTOR: 1,
    Position.PAD_INNER: 2,
    Position.SHOE_LEADING: 0,
    Position.DRUM: 1,
    Position.SHOE_TRAILING: 2,
}
"""From left to right at a left corner; the pads of a right one stand the other way round."""


def _left_to_right(rows: list[Measured]) -> list[Measured]:
    """Return the parts as they stand, seen from above with the front at the top."""
    return sorted(rows, key=_place)


def _place(row: Measured) -> int:
    place = _ORDER[Position(row.position)]
    is_pad = row.position in (Position.PAD_OUTER.value, Position.PAD_INNER.value)
    is_right = parse_corner(row.corner).side is Side.RIGHT
    return 2 - place if is_pad and is_right else place


def _needed(rows: list[Measured], factor: int) -> float:
    middle = 0.0
    for row in rows:
        if row.bar.shape is Shape.DISC:
            middle = _extent(row.bar)
        elif row.bar.shape is Shape.DRUM and factor:
            middle = _growth(row.bar) * factor
    linings = [_extent(row.bar) for row in rows if row.bar.shape is Shape.LINING]
    # Both sides get the room of the thicker one, so that the middle stays in the middle.
    return middle + 2 * (max(linings, default=0.0) + AIR_MM)


def _extent(bar: Bar) -> float:
    return max(float(text) for text in (bar.size_mm, bar.limit_mm, bar.previous_mm) if text)


def _growth(bar: Bar) -> float:
    """Return from new to the limit, or to today's size where that is beyond. [mm]"""
    return max(float(bar.limit_mm), float(bar.size_mm)) - float(bar.new_mm)


def _factor(bar: Bar) -> int:
    if not bar.new_mm or not bar.limit_mm or float(bar.limit_mm) <= float(bar.new_mm):
        return 0
    growth = _growth(bar)
    return next((each for each in _FACTORS if growth * each <= _GROWTH_ROOM), 0)


def _pieces(row: Measured, width: float, factor: int) -> Iterator[Piece]:
    if row.bar.shape is Shape.LINING:
        yield from _lining(row.bar, width, is_left=_place(row) == 0)
    elif row.bar.shape is Shape.DISC:
        yield from _disc(row.bar, width / 2)
    elif factor:
        yield from _drum(row.bar, width / 2, factor)


def _lining(bar: Bar, width: float, *, is_left: bool) -> Iterator[Piece]:
    """Draw a lining on its plate; it wears from the side of the disc."""
    height, high = _LINING, (_HEIGHT - _LINING) / 2

    def across(kind: str, start: float, end: float, reach: float = 0.0) -> Piece:
        x = _PLATE + start if is_left else width - _PLATE - end
        return _piece(kind, x, high - reach, end - start, height + 2 * reach)

    size, limit, previous = _sizes(bar)
    if not bar.has_plate:
        yield across("plate", -_PLATE, 0.0, 0.6)
    if limit is None:
        yield across("unknown", 0.0, size)
    else:
        yield across("stays", 0.0, min(size, limit))
        if size > limit:
            yield across("left", limit, size)
    if previous is not None and previous - size >= LEAST_GHOST_MM:
        yield across("ghost", size, previous)
    if limit is not None:
        # Its far edge is the limit, so that it hides nothing of what may still wear.
        yield across("limit", limit - LINE_MM, limit, _TICK)


def _disc(bar: Bar, middle: float) -> Iterator[Piece]:
    """Draw a disc on its edge; it wears from both sides alike."""
    height, high = _DISC, (_HEIGHT - _DISC) / 2

    def band(kind: str, inner: float, outer: float) -> Iterator[Piece]:
        """Draw what lies between two thicknesses: half of it on either side."""
        half = (outer - inner) / 2
        yield _piece(kind, middle - outer / 2, high, half, height)
        yield _piece(kind, middle + inner / 2, high, half, height)

    size, limit, previous = _sizes(bar)
    if limit is None:
        yield _piece("unknown", middle - size / 2, high, size, height)
    else:
        core = min(size, limit)
        yield _piece("stays", middle - core / 2, high, core, height)
        if size > limit:
            yield from band("left", limit, size)
    if previous is not None and previous - size >= LEAST_GHOST_MM:
        yield from band("ghost", size, previous)
    if limit is not None:
        for at in (middle - limit / 2, middle + limit / 2 - LINE_MM):
            yield _piece("limit", at, high - _TICK, LINE_MM, height + 2 * _TICK)


def _drum(bar: Bar, middle: float, factor: int) -> Iterator[Piece]:
    """Draw what a drum may still grow, from new at the left to its limit at the right."""
    height, high = 4.0, (_HEIGHT - 4.0) / 2
    size, limit, previous = _sizes(bar)
    new = float(bar.new_mm)
    assert limit is not None
    left = middle - _growth(bar) * factor / 2

    def at(diameter: float) -> float:
        return left + (diameter - new) * factor

    # A drum that reads less than new has all of it left.
    now = max(size, new)
    if previous is not None and now - previous >= LEAST_GHOST_MM:
        start = at(max(previous, new))
        yield _piece("ghost", start, high, at(min(now, limit)) - start, height)
    if now < limit:
        yield _piece("left", at(now), high, at(limit) - at(now), height)
    elif now > limit:
        yield _piece("stays", at(limit), high, at(now) - at(limit), height)
    yield _piece("new", left - 0.1, high - _TICK, 0.2, height + 2 * _TICK)
    yield _piece("limit", at(limit), high - 2 * _TICK, LINE_MM, height + 4 * _TICK)


def _sizes(bar: Bar) -> tuple[float, float | None, float | None]:
    limit = float(bar.limit_mm) if bar.limit_mm else None
    previous = float(bar.previous_mm) if bar.previous_mm else None
    return float(bar.size_mm), limit, previous


def _piece(kind: str, x: float, y: float, width: float, height: float) -> Piece:
    return Piece(kind=kind, x=_text(x), y=_text(y), width=_text(width), height=_text(height))


def _text(mm: float) -> str:
    return f"{mm:.3f}".rstrip("0").rstrip(".")
