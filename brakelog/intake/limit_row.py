"""Sheets of service limits and tightening torques."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.intake.cells import Cells
from brakelog.intake.check import MOST_RADIUS_NM, MOST_VALUES
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.words import parse_count, parse_datum, parse_day, parse_unit
from brakelog.lengths import LengthUnit, TypedLength, parse_length
from brakelog.record.corner import parse_axle
from brakelog.record.limit import LimitKind, OutWhen, WhichPad, parse_figures
from brakelog.record.quantity import Part, Quantity, check_window
from brakelog.record.reading import Datum
from brakelog.record.torque import LEAST, printed_torques

COLUMNS = (
    "sheet",
    "axle",
    "limit",
    "figure",
    "other_figure",
    "unit",
    "out_when",
    "datum",
    "which_pad",
    "points",
    "radius",
    "fastener",
    "source",
    "source_date",
    "note",
)
REQUIRED = ("sheet", "axle", "limit", "figure", "source")
TORQUE = "torque"
"""Stands in the ``limit`` column of a tightening torque."""

_WINDOWS = {
    LimitKind.ROTOR_NEW: Quantity.ROTOR,
    LimitKind.ROTOR_MACHINE_TO: Quantity.ROTOR,
    LimitKind.ROTOR_DISCARD: Quantity.ROTOR,
    LimitKind.THICKNESS_VARIATION: Quantity.RUNOUT,
    LimitKind.RUNOUT: Quantity.RUNOUT,
    LimitKind.SCORING: Quantity.SCORING,
    LimitKind.HUB_RUNOUT: Quantity.HUB_RUNOUT,
    LimitKind.PAD_NEW: Quantity.PAD_INNER,
    LimitKind.PAD_MINIMUM: Quantity.PAD_INNER,
    LimitKind.DRUM_NEW: Quantity.DRUM_OPEN,
    LimitKind.DRUM_MACHINE_TO: Quantity.DRUM_OPEN,
    LimitKind.DRUM_DISCARD: Quantity.DRUM_OPEN,
    LimitKind.OUT_OF_ROUND: Quantity.RUNOUT,
    LimitKind.BELL_MOUTH: Quantity.RUNOUT,
    LimitKind.SHOE_NEW: Quantity.SHOE_LEADING,
    LimitKind.SHOE_MINIMUM: Quantity.SHOE_LEADING,
}
"""What a figure of each kind is a size of; variations share the bounds of a runout."""
_WHICH = {
    Part.PADS: (WhichPad.BOTH, WhichPad.INNER, WhichPad.OUTER),
    Part.SHOES: (WhichPad.BOTH, WhichPad.LEADING, WhichPad.TRAILING),
}
_BELOW = (OutWhen.BELOW, OutWhen.AT_OR_BELOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """One service limit as printed."""

    source: str
    sheet: str
    axle: int
    kind: LimitKind
    figures: tuple[TypedLength, ...]
    limit_source: str
    """The document and page."""
    out_when: OutWhen | None = None
    datum: Datum | None = None
    """None where it is not stated."""
    which_pad: WhichPad = WhichPad.BOTH
    points: int | None = None
    radius_nm: int | None = None
    """[nm]"""
    source_date: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueRow:
    """One tightening torque as printed."""

    source: str
    sheet: str
    axle: int
    fastener: str
    figure: str
    """With its unit."""
    limit_source: str


def read_limit(cells: Cells) -> LimitRow | TorqueRow:
    """Return the limit or the torque of one row."""
    if cells["limit"].lower() == TORQUE:
        return _torque(cells)
    kind = cells.needed("limit", parse_limit_kind, LimitKind.ROTOR_DISCARD)
    unit = cells.maybe("unit", parse_unit, None)
    figures: tuple[TypedLength, ...] = ()
    if not cells["figure"]:
        cells.refuse("figure is empty")
    else:
        figures = cells.attempt(
            lambda: possible_figures(cells["figure"], cells["other_figure"], kind=kind, unit=unit),
            (),
        )
    cells.must_be_empty(("fastener",), "is for torques only")
    row = LimitRow(
        source=cells.source,
        sheet=cells.name("sheet"),
        axle=cells.needed("axle", parse_axle, 1),
        kind=kind,
        figures=figures,
        limit_source=cells.needed("source", _parse_source, ""),
        out_when=cells.maybe("out_when", parse_out_when, None),
        datum=cells.maybe("datum", parse_datum, None),
        which_pad=cells.maybe("which_pad", parse_which_pad, WhichPad.BOTH),
        points=cells.maybe("points", _parse_points, None),
        radius_nm=cells.maybe("radius", lambda text: _parse_radius(text, unit), None),
        source_date=cells.maybe("source_date", parse_day, None),
        note=cells.note("note"),
    )
    _check_fit(cells, row)
    return row


def parse_limit_kind(text: str) -> LimitKind:
    """Read the word for a limit."""
    word = "-".join(text.lower().replace("_", "-").split())
    try:
        return LimitKind(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a limit",
            hint=did_you_mean(word, [*(kind.value for kind in LimitKind), TORQUE]),
        ) from None


def parse_out_when(text: str) -> OutWhen:
    """Read when the part is out: ``below``, ``at or below``, ``above`` or ``at or above``."""
    word = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
    try:
        return OutWhen(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} does not say when the part is out",
            hint="below, at or below, above, at or above",
        ) from None


def parse_which_pad(text: str) -> WhichPad:
    """Read which pad or shoe of a corner a lining limit is for."""
    word = text.strip().lower()
    try:
        return WhichPad(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is no pad or shoe",
            hint=did_you_mean(word, [which.value for which in WhichPad]),
        ) from None


def _torque(cells: Cells) -> TorqueRow:
    cells.must_be_empty(
        ("out_when", "datum", "which_pad", "points", "radius"), "does not belong to a torque"
    )
    return TorqueRow(
        source=cells.source,
        sheet=cells.name("sheet"),
        axle=cells.needed("axle", parse_axle, 1),
        fastener=cells.name("fastener"),
        figure=cells.needed("figure", lambda text: _torque_figure(text, cells), ""),
        limit_source=cells.needed("source", _parse_source, ""),
    )


def _torque_figure(text: str, cells: Cells) -> str:
    figure = " ".join(text.split())
    if not any(sign.isalpha() for sign in figure) and cells["unit"]:
        figure = f"{figure} {cells['unit']}"
    if not any(sign.isdigit() for sign in figure) or not any(sign.isalpha() for sign in figure):
        raise InvalidInput(
            f"{clip(text)!r} is no torque with its unit", hint="such as 110 N·m (81 lb ft)"
        )
    if any(each.most < LEAST for each in printed_torques(figure)):
        raise InvalidInput(f"{clip(text)!r} is no torque of a fastener", hint="check the page")
    return f"{figure} ({cells['other_figure']})" if cells["other_figure"] else figure


def possible_figures(
    first: str, second: str, *, kind: LimitKind, unit: LengthUnit | None
) -> tuple[TypedLength, ...]:
    """Read the figures as printed; one of them at least must be possible.

    A misprint in one of two figures is kept, because it is what the page says.
    """
    figures = parse_figures(first, second, declared=unit)
    refused: InvalidInput | None = None
    for figure in figures:
        try:
            check_window(_WINDOWS[kind], figure.nm, figure.text, figure.unit)
        except InvalidInput as error:
            refused = refused or error
        else:
            return figures
    assert refused is not None
    raise refused


def _check_fit(cells: Cells, row: LimitRow) -> None:
    facts = row.kind.facts
    if row.out_when is not None and not facts.is_bound:
        cells.refuse(f"out_when does not belong to {row.kind.value}, which bounds nothing")
    elif row.out_when is not None and facts.least != (row.out_when in _BELOW):
        right = "below" if facts.least else "above"
        cells.refuse(f"out_when: a part is out {right} its {facts.label}, not the other way")
    if facts.part not in _WHICH:
        cells.must_be_empty(("datum", "which_pad"), "is for pads and shoes only")
    elif row.which_pad not in _WHICH[facts.part]:
        words = ", ".join(each.value for each in _WHICH[facts.part])
        cells.refuse(f"which_pad: {row.which_pad.value} does not fit {facts.part.value}; {words}")
    if row.kind is not LimitKind.HUB_RUNOUT:
        cells.must_be_empty(("radius",), "is for hub-runout only")


def _parse_source(text: str) -> str:
    if not any(sign.isalnum() for sign in text):
        raise InvalidInput(f"{clip(text)!r} names no source", hint="the document and its page")
    return " ".join(text.split())


def _parse_points(text: str) -> int:
    return parse_count(text, most=MOST_VALUES, what="points")


def _parse_radius(text: str, unit: LengthUnit | None) -> int:
    nm = parse_length(text, declared=unit).nm
    if not 0 < nm <= MOST_RADIUS_NM:
        raise InvalidInput(f"{clip(text)!r} is no radius of a hub", hint="check the unit")
    return nm
