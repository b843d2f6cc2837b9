"""The parts of one place drawn onto axes: readings, line, limit, and how far it will go."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MaxNLocator

from brakelog.record.shop import Shop
from brakelog.reports.history_chart import drawn
from brakelog.reports.history_words import is_cut_short, name_of, told
from brakelog.reports.plain import shown
from brakelog.reports.wear_scale import Scale, scale_of
from brakelog.rules.fan import Fan, FanEnd, Share
from brakelog.rules.figure import distance
from brakelog.rules.part_history import FinishedPart, PlaceHistory, RecordedReading, RunningPart
from brakelog.wear.life import PartLife

BEYOND, AHEAD, EARLIER = "#D55E00", "#0072B2", "#6E6E6E"
"""Okabe and Ito (2008), and a grey. Lines and marks tell the same without colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """How one line of a fan is drawn."""

    dashes: tuple[float, tuple[float, ...]]
    sign: str
    """The mark at its end."""
    label: str


STROKES = {
    Share.NINE_OF_TEN: Stroke(dashes=(0, (5, 2)), sign="v", label="9 of 10 get at least so far"),
    Share.HALF: Stroke(dashes=(0, (6, 2, 1, 2)), sign="D", label="half get so far"),
    Share.ONE_IN_TEN: Stroke(dashes=(0, (1, 2)), sign=">", label="1 in 10 gets past it"),
}
READ, FITTED, ODD, NOT_COUNTED = "o", "s", "P", "x"
"""Marks of a reading, of a size when fitted, of a reading that fits badly, of one not counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How large one drawing is."""

    width_in: float
    height_in: float
    letters: int
    """Letters of a line of what is said inside it; 0 where there is no room to say anything."""
    line: float
    """Share of its height that such a line takes, found by trial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisWords:
    """What stands beside the axes, in the language of who reads it."""

    limit: str = "limit"
    new: str = "new"
    figure: Callable[[str], str] = str
    """Makes a size as printed into one of the language."""
    whole: Callable[[int], str] = "{:,}".format
    """Prints a whole number, such as an odometer."""


SHOP_WORDS = AxisWords()
"""What the people of the shop read."""
ALONE = Room(width_in=8.0, height_in=4.8, letters=84, line=0.045)
STACKED = Room(width_in=8.0, height_in=2.8, letters=84, line=0.085)
BESIDE = Room(width_in=4.7, height_in=2.6, letters=54, line=0.09)
_MOST_LINES = 6
_MOST_TICKS = 7
_LEAST_GAP = 0.11
"""Share of the width below which two days beside each other would overlap."""


def draw_life(
    axes: Axes,
    place: PlaceHistory,
    shop: Shop,
    room: Room = ALONE,
    words: AxisWords = SHOP_WORDS,
) -> None:
    """Draw the parts of one place onto axes: readings, line, limit, and how far it will go.

    Parameters
    ----------
    axes : Axes
        Where to draw.
    place : PlaceHistory
        The place.
    shop : Shop
        Says the units.
    room : Room
        How large the drawing is.
    words : AxisWords
        What stands beside the axes.
    """
    scale = scale_of(shop)
    axes.set_title(name_of(place), loc="left", fontweight="bold", fontsize=9)
    if place.is_bare:
        axes.set_axis_off()
        axes.text(0.0, 0.9, "nothing on record", transform=axes.transAxes, va="top")
        return
    for finished in place.finished:
        _finished(axes, finished, scale)
    running = place.running
    if running is not None:
        _ahead(axes, running, scale)
        _readings(axes, running.life, running.readings, scale, colour="black")
    _bounds(axes, (running or place.finished[-1]).life, scale, words)
    axes.margins(0.06, 0.07)
    if running is not None and room.letters:
        _said(axes, running, shop, room)
    axes.xaxis.set_major_locator(MaxNLocator(_MOST_TICKS, steps=[1, 2, 5, 10]))
    axes.set_ylabel(scale.unit.value)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: words.whole(round(value))))
    axes.grid(visible=True, linewidth=0.3, color="#C8C8C8")
    axes.set_axisbelow(True)


def _readings(
    axes: Axes,
    life: PartLife,
    readings: tuple[RecordedReading, ...],
    scale: Scale,
    *,
    colour: str,
) -> None:
    """Draw what was read, each with twice its standard uncertainty, and the size when fitted."""
    marks: dict[str, list[tuple[float, float, float]]] = {}
    start = life.start
    if start is not None:
        at = scale.at(start.odometer_mm), scale.size(start.size_nm)
        marks[FITTED] = [(*at, 2 * start.sigma1_nm / scale.unit.nm)]
    for each in drawn(readings):
        sign = ODD if each.is_flagged else READ if each.counts else NOT_COUNTED
        at = scale.at(each.odometer_mm), scale.size(each.size_nm)
        marks.setdefault(sign, []).append((*at, 2 * each.u1_nm / scale.unit.nm))
    for sign, points in marks.items():
        _mark(axes, points, sign, colour)


def _mark(axes: Axes, points: list[tuple[float, float, float]], sign: str, colour: str) -> None:
    """Draw marks of one kind, each with what it may be wrong by."""
    x, y, u2 = zip(*points, strict=True)
    axes.errorbar(
        x,
        y,
        yerr=u2,
        fmt=sign,
        mfc="white" if sign in (FITTED, ODD) else colour,
        color=colour,
        ms=4.5,
        elinewidth=0.8,
        capsize=2,
    )


def _finished(axes: Axes, part: FinishedPart, scale: Scale) -> None:
    if part.ends is not None:
        (x0, y0), (x1, y1) = part.ends
        axes.plot(
            [scale.at(x0), scale.at(x1)],
            [scale.size(y0), scale.size(y1)],
            color=EARLIER,
            linewidth=0.8,
        )
    _readings(axes, part.life, part.readings, scale, colour=EARLIER)


def _ahead(axes: Axes, part: RunningPart, scale: Scale) -> None:
    """Draw the line through the readings, and the fan as far as it is told."""
    trend = part.trend
    if trend is not None:
        axes.plot(
            [scale.at(trend.from_mm), scale.at(trend.to_mm)],
            [scale.size(trend.from_nm), scale.size(trend.to_nm)],
            color="black",
            linewidth=1.0,
        )
    if part.fan is not None:
        _fan(axes, part.fan, scale)


def _fan(axes: Axes, fan: Fan, scale: Scale) -> None:
    for end in fan.ends:
        stroke = STROKES[end.share]
        tip = scale.at(end.odometer_mm), scale.size(end.size_nm)
        axes.plot(
            [scale.at(fan.from_mm), tip[0]],
            [scale.size(fan.from_nm), tip[1]],
            color=AHEAD,
            linestyle=stroke.dashes,
            linewidth=1.1,
        )
        axes.plot(*([x] for x in tip), stroke.sign, color=AHEAD, ms=5, zorder=4)


def _bounds(axes: Axes, life: PartLife, scale: Scale, words: AxisWords) -> None:
    """Draw limit and new size, with their figures beyond the right edge."""
    if life.limit_nm is not None:
        limit = scale.size(life.limit_nm)
        axes.axhline(limit, color=BEYOND, linewidth=1.6)
        _beside(axes, f"{words.limit}\n{words.figure(scale.figure(life.limit_nm))}", limit, BEYOND)
    if life.new_nm is not None:
        new = scale.size(life.new_nm)
        axes.axhline(new, color=EARLIER, linewidth=0.8, linestyle=(0, (1, 3)))
        _beside(axes, f"{words.new}\n{words.figure(scale.figure(life.new_nm))}", new, EARLIER)


def _beside(axes: Axes, text: str, size: float, colour: str) -> None:
    axes.annotate(
        text,
        (1.0, size),
        xycoords=("axes fraction", "data"),
        xytext=(3, 0),
        textcoords="offset points",
        va="center",
        color=colour,
        fontsize=7,
        annotation_clip=False,
    )


def _said(axes: Axes, part: RunningPart, shop: Shop, room: Room) -> None:
    """Say how far it will go, or why that is not said, on the side that wear leads away from."""
    lines = _words(part, shop, room.letters)
    (x, _), (low, high) = axes.dataLim.intervalx, axes.dataLim.intervaly
    free = (high - low) * room.line * (len(lines) + 0.5)
    is_low = part.life.grows
    # As data, so that axes that share their sizes make room once and not each for itself.
    axes.update_datalim([(x, low - free if is_low else high + free)])
    axes.autoscale_view()
    axes.text(
        0.985,
        0.03 if is_low else 0.97,
        "\n".join(lines),
        transform=axes.transAxes,
        ha="right",
        va="bottom" if is_low else "top",
        fontsize=7,
        parse_math=False,
        zorder=5,
    )


def _words(part: RunningPart, shop: Shop, letters: int) -> list[str]:
    if part.fan is not None:
        first, *others = (_end_words(end, shop) for end in part.fan.ends)
        if is_cut_short(part):
            others = ["no more is said than three times what was driven"]
        return [first, "; ".join(others)] if others else [first]
    lines = textwrap.wrap(shown(told(part, shop)), letters)
    if len(lines) > _MOST_LINES:
        lines = [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1][: letters - 4]} ..."]
    return lines


def _end_words(end: FanEnd, shop: Shop) -> str:
    """``9 of 10: at least 6,500 km, not before 2027-02-01`` and the like."""
    far = distance(end.distance_mm, shop.distance_unit)
    if end.share is not Share.NINE_OF_TEN:
        return f"{end.share.value}: {far}"
    day = "" if end.day is None else f", not before {end.day.isoformat()}"
    return f"{end.share.value}: at least {far}{day}"


def write_days(axes: Axes, place: PlaceHistory, shop: Shop) -> None:
    """Write the months of the visits along the upper edge, as many as there is room for.

    After everything is drawn, because axes that share their odometers widen each other.
    """
    scale = scale_of(shop)
    parts: list[FinishedPart | RunningPart] = [*place.finished]
    if place.running is not None:
        parts.append(place.running)
    days = {each.odometer_mm: each.day for part in parts for each in part.readings}
    days |= {part.begun.odometer_mm: part.begun.day for part in parts if part.begun}
    low, high = axes.get_xlim()
    at: list[float] = []
    texts: list[str] = []
    # The newest first: it is the one that people ask for.
    for odometer_mm, day in sorted(days.items(), reverse=True):
        x = scale.at(odometer_mm)
        if all(abs(x - other) > _LEAST_GAP * (high - low) for other in at):
            at.append(x)
            texts.append(day.isoformat()[:7])
    above = axes.secondary_xaxis("top")
    above.set_xticks(at, texts, fontsize=6.5)
    above.tick_params(length=2, pad=1)
