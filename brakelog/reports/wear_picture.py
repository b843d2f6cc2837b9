"""The history of a vehicle's parts as one picture file."""

from __future__ import annotations

import enum
import io
import textwrap
import warnings
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

import matplotlib.style
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from brakelog.record.corner import Side
from brakelog.reports.history_words import name_of, told
from brakelog.reports.plain import shown
from brakelog.reports.wear_axes import (
    AHEAD,
    ALONE,
    BESIDE,
    EARLIER,
    FITTED,
    NOT_COUNTED,
    ODD,
    READ,
    STACKED,
    STROKES,
    draw_life,
    write_days,
)
from brakelog.rules.figure import distance, one_unit
from brakelog.rules.part_history import FinishedPart, PlaceHistory, RunningPart, VehicleHistory

_SETTINGS = {
    "font.family": "DejaVu Sans",
    "font.size": 8,
    "svg.fonttype": "none",
    "svg.hashsalt": "brakelog",
}
"""Text stays text in an SVG, so that it can be searched and read aloud; ids do not change."""
_DOTS_PER_INCH = 150
_FOR_TITLE_AND_KEY_IN = 1.1


class Kind(enum.Enum):
    """How a picture is kept; the value is the ending of its file."""

    PNG = "png"
    SVG = "svg"


def wear_picture(history: VehicleHistory, kind: Kind) -> bytes:
    """Return the picture of every part of a history; the same history gives the same bytes.

    Left and right stand beside each other as they do on the vehicle, front axle at the top.
    """
    with matplotlib.style.context(["default", _SETTINGS]), warnings.catch_warnings():
        # A sign that the font lacks is shown as a box, and that is no news to anybody.
        warnings.filterwarnings("ignore", message=r"Glyph .* missing")
        figure = _composed(history)
        out = io.BytesIO()
        # Neither the day nor the program: the same history gives the same file.
        unsaid = ("Software",) if kind is Kind.PNG else ("Date", "Creator")
        metadata = dict.fromkeys(unsaid) | {"Title": _title(history)}
        figure.savefig(out, format=kind.value, metadata=metadata)
    if kind is Kind.PNG:
        return out.getvalue()
    return _described(out.getvalue().decode("utf-8"), alt_text(history)).encode("utf-8")


def alt_text(history: VehicleHistory) -> str:
    """Return in words what the picture shows."""
    shop = history.file.shop
    texts = []
    for place in history.places:
        part = place.running
        if part is None or not part.readings:
            continue
        last = part.readings[-1]
        size = one_unit(last.size_nm, shop, fine=not part.told.is_lining)
        texts.append(f"{name_of(place)}, {size} on {last.day.isoformat()}: {told(part, shop)}")
    return " ".join([f"{_title(history)}.", *(shown(text) for text in texts)])


def _title(history: VehicleHistory) -> str:
    vehicle = history.file.vehicle
    name = vehicle.tag + (f", {vehicle.description}" if vehicle.description else "")
    return shown(f"Wear of {name}")


def _composed(history: VehicleHistory) -> Figure:
    shop, visit = history.file.shop, history.file.visit
    rows = list(_rows(history.places))
    across = max(len(row) for row in rows)
    room = BESIDE if across > 1 else STACKED if len(rows) > 1 else ALONE
    figure = Figure(
        figsize=(room.width_in * across, room.height_in * len(rows) + _FOR_TITLE_AND_KEY_IN),
        dpi=_DOTS_PER_INCH,
        layout="constrained",
    )
    grid = figure.subplots(len(rows), across, squeeze=False, sharex="row", sharey="row")
    for row, line in zip(rows, grid, strict=True):
        for place, axes in zip(row, line, strict=True):
            if place is None:
                axes.set_axis_off()
            else:
                draw_life(axes, place, shop, room)
    for row, line in zip(rows, grid, strict=True):
        for place, axes in zip(row, line, strict=True):
            if place is not None and not place.is_bare:
                write_days(axes, place, shop)
    for axes in grid[-1]:
        axes.set_xlabel(f"odometer, {shop.distance_unit.value}")
    figure.suptitle(
        f"{textwrap.fill(_title(history), ALONE.letters)}\nas of {visit.day.isoformat()}, "
        f"{distance(visit.odometer_mm, visit.odometer_unit)}",
        parse_math=False,
        fontsize=10,
    )
    figure.legend(handles=list(_key(history)), loc="outside lower center", ncols=3, frameon=False)
    return figure


def _rows(places: Sequence[PlaceHistory]) -> Iterator[list[PlaceHistory | None]]:
    """Yield left and right of each position; nothing where neither is on record."""
    kinds = dict.fromkeys((place.corner.axle, place.position) for place in places)
    sides = [side for side in Side if any(place.corner.side is side for place in places)]
    by_place = {(p.corner.axle, p.position, p.corner.side): p for p in places}
    found = [[by_place.get((*kind, side)) for side in sides] for kind in kinds]
    known = [row for row in found if any(place and not place.is_bare for place in row)]
    yield from known or found[:1]


def _key(history: VehicleHistory) -> Iterator[Line2D]:
    """Yield what the marks and lines mean, those that stand in the picture."""
    running = [place.running for place in history.places if place.running is not None]
    finished = [part for place in history.places for part in place.finished]
    parts: list[RunningPart | FinishedPart] = [*running, *finished]
    readings = [each for part in parts for each in part.readings]
    if readings:
        yield _mark(READ, "read, with twice its uncertainty")
    if any(part.life.start for part in parts):
        yield _mark(FITTED, "size when fitted", inside="white")
    if any(each.is_flagged for each in readings):
        yield _mark(ODD, "fits badly, counts less", inside="white")
    if any(not each.counts for each in readings):
        yield _mark(NOT_COUNTED, "not counted")
    if any(part.trend for part in running):
        yield Line2D([], [], color="black", linewidth=1.0, label="the line through them")
    if finished:
        yield Line2D([], [], color=EARLIER, linewidth=0.8, label="an earlier part")
    shares = {end.share for part in running if part.fan for end in part.fan.ends}
    for share, stroke in STROKES.items():
        if share in shares:
            yield Line2D(
                [],
                [],
                color=AHEAD,
                linestyle=stroke.dashes,
                linewidth=1.1,
                marker=stroke.sign,
                ms=4,
                label=stroke.label,
            )


def _mark(sign: str, label: str, *, inside: str = "black") -> Line2D:
    return Line2D(
        [], [], color="black", linestyle="none", marker=sign, mfc=inside, ms=4.5, label=label
    )


def _described(svg: str, text: str) -> str:
    """Return the SVG with a description that a screen reader reads instead of the picture."""
    head, tag, rest = svg.partition("</title>")
    head = head.replace("<svg ", '<svg role="img" ', 1)
    return f"{head}{tag}\n <desc>{escape(text)}</desc>{rest}"
