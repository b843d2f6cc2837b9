"""One place drawn in the terminal: size against odometer, marks that need no colour."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

from brakelog.record.shop import Shop
from brakelog.reports.wear_scale import Scale, label, scale_of, step_of, ticks
from brakelog.rules.fan import Share
from brakelog.rules.part_history import FinishedPart, PlaceHistory, RecordedReading, RunningPart
from brakelog.wear.life import Start

HEIGHT = 16
"""Rows of a drawing: assumption, two of them fit on a screen beside what is said of them."""
_ROOM = 0.04
"""Share of a range that is left free at its ends, so that no mark stands on the frame."""
_TICK_COLUMNS = 12
"""Columns that a figure on the lower edge takes with its gap."""

READ, FITTED, ODD, NOT_COUNTED = "O", "+", "?", "x"
LINE, EARLIER_LINE, RAY = "-", "~", "."
ENDS = {Share.NINE_OF_TEN: "A", Share.HALF: "H", Share.ONE_IN_TEN: "L"}
"""What is drawn for what; letters and signs, so that neither colour nor shade is needed."""

KEY = (
    f"{READ} read; {FITTED} size when fitted; {ODD} fits badly and counts less; {NOT_COUNTED} not "
    f"counted; {LINE} the line through them; {EARLIER_LINE} an earlier part. From the last reading "
    f"to the limit: {ENDS[Share.NINE_OF_TEN]} 9 of 10 such parts get at least so far, "
    f"{ENDS[Share.HALF]} half get so far, {ENDS[Share.ONE_IN_TEN]} 1 in 10 gets past it."
)


def wear_chart(place: PlaceHistory, shop: Shop, width: int, height: int = HEIGHT) -> list[str]:
    """Draw the parts of one place; nothing where there is nothing to draw.

    Parameters
    ----------
    place : PlaceHistory
        The place.
    shop : Shop
        Says the units.
    width, height : int
        Columns and rows.
    """
    drawing = _Drawing(place, scale_of(shop))
    if not drawing.points:
        return []
    return drawing.rows(width, height)


class _Drawing:
    """What is to be drawn, gathered before the drawing library is asked for."""

    def __init__(self, place: PlaceHistory, scale: Scale) -> None:
        self.place, self.scale = place, scale
        self.segments: list[tuple[str, tuple[float, float], tuple[float, float]]] = []
        self.points: list[tuple[str, float, float]] = []
        for finished in place.finished:
            self._finished(finished)
        if place.running is not None:
            self._running(place.running)

    def _finished(self, part: FinishedPart) -> None:
        if part.ends is not None:
            self._segment(EARLIER_LINE, *part.ends)
        self._marks(part.life.start, part.readings)

    def _running(self, part: RunningPart) -> None:
        fan, trend = part.fan, part.trend
        if fan is not None:
            for end in fan.ends:
                tip = (end.odometer_mm, end.size_nm)
                self._segment(RAY, (fan.from_mm, fan.from_nm), tip)
        if trend is not None:
            self._segment(LINE, (trend.from_mm, trend.from_nm), (trend.to_mm, trend.to_nm))
        self._marks(part.life.start, part.readings)
        if fan is not None:
            for end in fan.ends:
                self._point(ENDS[end.share], end.odometer_mm, end.size_nm)

    def _marks(self, start: Start | None, readings: tuple[RecordedReading, ...]) -> None:
        if start is not None:
            self._point(FITTED, start.odometer_mm, start.size_nm)
        for each in drawn(readings):
            sign = ODD if each.is_flagged else READ if each.counts else NOT_COUNTED
            self._point(sign, each.odometer_mm, each.size_nm)

    def _point(self, sign: str, odometer_mm: int, size_nm: int) -> None:
        self.points.append((sign, self.scale.at(odometer_mm), self.scale.size(size_nm)))

    def _segment(self, sign: str, start: tuple[int, int], end: tuple[int, int]) -> None:
        (x0, y0), (x1, y1) = start, end
        scale = self.scale
        ends = (scale.at(x0), scale.at(x1)), (scale.size(y0), scale.size(y1))
        self.segments.append((sign, *ends))

    @property
    def limit_nm(self) -> int | None:
        part = self.place.running or self.place.finished[-1]
        return part.life.limit_nm

    @property
    def new_nm(self) -> int | None:
        part = self.place.running or self.place.finished[-1]
        return part.life.new_nm

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return the least and most odometer and size, with room at the ends."""
        xs = [x for _, x, _ in self.points]
        ys = [y for _, _, y in self.points]
        ys += [self.scale.size(nm) for nm in (self.limit_nm, self.new_nm) if nm is not None]
        return _with_room(min(xs), max(xs)), _with_room(min(ys), max(ys))

    def rows(self, width: int, height: int) -> list[str]:
        """Return the drawing as text."""
        import plotext

        (x0, x1), (y0, y1) = self.ranges()
        # The library has one figure for the whole process, and measures the terminal by itself.
        plotext.terminal.limit(False, False)
        figure: Any = plotext.figure
        figure.clear.all()
        figure.theme("colorless")
        figure.plot_size(width, height)
        figure.ruler("x").lim(x0, x1)
        figure.ruler("y").lim(y0, y1)
        figure.ruler("x").ticks(*_spread(ticks(x0, x1, width // _TICK_COLUMNS)))
        figure.ruler("y").ticks(*self._size_ticks(y0, y1, height))
        if self.limit_nm is not None:
            figure.line(self.scale.size(self.limit_nm), orientation="horizontal")
        for sign, xs, ys in self.segments:
            figure.draw(figure.segment(xs, ys, marker=sign))
        for sign, x, y in self.points:
            figure.draw(figure.signal([x], [y], marker=sign))
        drawn_text: str = figure.build().string(colorless=True)
        return [row.rstrip() for row in drawn_text.splitlines()]

    def _size_ticks(self, low: float, high: float, height: int) -> tuple[list[float], list[str]]:
        """Return the sizes beside the drawing: limit and new size by name, round ones between."""
        named = [
            (self.scale.size(nm), f"{name} {self.scale.figure(nm)}")
            for name, nm in (("limit", self.limit_nm), ("new", self.new_nm))
            if nm is not None
        ]
        row = (high - low) / height
        most = max(height // 2 - 1, 2)
        round_ones, step = ticks(low, high, most), step_of(high - low, most)
        between = [
            (value, label(value, step))
            for value in round_ones
            if all(abs(value - taken) > 1.5 * row for taken, _ in named)
        ]
        pairs = sorted([*named, *between])
        return [value for value, _ in pairs], [text for _, text in pairs]


def drawn(readings: tuple[RecordedReading, ...]) -> Iterator[RecordedReading]:
    """Yield the readings that can stand on one scale: those of another datum cannot."""
    counted = {each.datum for each in readings if each.counts}
    for each in readings:
        if each.counts or each.datum in counted or not counted:
            yield each


def _with_room(low: float, high: float) -> tuple[float, float]:
    room = (high - low) * _ROOM or abs(high) * _ROOM or 1.0
    return low - room, high + room


def _spread(values: list[float]) -> tuple[list[float], list[str]]:
    step = min((b - a for a, b in itertools.pairwise(values)), default=1.0)
    return values, [label(value, step) for value in values]
