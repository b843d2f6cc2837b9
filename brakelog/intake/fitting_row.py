"""Sheets of fittings: new and used parts, refinishing, parts moved and removed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from brakelog.errors import InvalidInput, clip
from brakelog.intake.cells import Cells
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.tokens import join_units
from brakelog.intake.value import read_value
from brakelog.intake.visit_cells import parse_odometer, read_day
from brakelog.intake.words import parse_unit
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, Side, parse_corner
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.quantity import POSITIONS_OF, Part, Position, Quantity

COLUMNS = (
    "vehicle",
    "date",
    "odometer",
    "corner",
    "part",
    "event",
    "size",
    "unit",
    "basis",
    "from_corner",
    "by",
    "note",
)
REQUIRED = ("vehicle", "date", "odometer", "corner", "part", "event")
_QUANTITY = {
    Position.ROTOR: Quantity.ROTOR,
    Position.PAD_INNER: Quantity.PAD_INNER,
    Position.PAD_OUTER: Quantity.PAD_OUTER,
    Position.DRUM: Quantity.DRUM_OPEN,
    Position.SHOE_LEADING: Quantity.SHOE_LEADING,
    Position.SHOE_TRAILING: Quantity.SHOE_TRAILING,
}
_REFINISHED = (Position.ROTOR, Position.DRUM)
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingRow:
    """One event in the life of one part, or of both pads or shoes of a corner, as listed."""

    source: str
    vehicle: str
    day: date
    odometer: str
    corner: Corner
    positions: tuple[Position, ...]
    event: FittingEvent
    sizes: tuple[str, ...]
    """None, one for every position, or one for each in order."""
    unit: LengthUnit | None
    basis: SizeBasis
    from_corner: Corner | None = None
    by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedSize:
    """One position of a fitting with its size."""

    position: Position
    size_nm: int | None
    """[nm]"""
    typed: str


def read_fitting(cells: Cells) -> FittingRow:
    """Return the fitting of one row, checked as far as the sheet alone allows."""
    no_sizes: list[str] = []
    sizes = tuple(cells.maybe("size", lambda text: join_units(text.split()), no_sizes))
    row = FittingRow(
        source=cells.source,
        vehicle=cells.name("vehicle"),
        day=read_day(cells),
        odometer=cells.needed("odometer", parse_odometer, ""),
        corner=cells.needed("corner", parse_corner, Corner(axle=1, side=Side.LEFT)),
        positions=cells.needed("part", parse_positions, (Position.ROTOR,)),
        event=cells.needed("event", parse_event, FittingEvent.NEW),
        sizes=sizes,
        unit=cells.maybe("unit", parse_unit, None),
        basis=cells.maybe("basis", parse_basis, SizeBasis.MEASURED if sizes else SizeBasis.UNKNOWN),
        from_corner=cells.maybe("from_corner", parse_corner, None),
        by=cells.name_if_any("by"),
        note=cells.note("note"),
    )
    if not cells.problems:
        _check_fit(cells, row)
    return row


def fitted_sizes(row: FittingRow, declared: LengthUnit | None) -> tuple[FittedSize, ...]:
    """Return every position of the row with its size.

    Parameters
    ----------
    row : FittingRow
        As read from the sheet; its own unit goes before the declared one.
    declared : LengthUnit or None
        The shop's unit.

    Raises
    ------
    InvalidInput
        Where a size cannot be that part, or its unit cannot be told.
    """
    if not row.sizes:
        return tuple(FittedSize(position=each, size_nm=None, typed="") for each in row.positions)
    texts = row.sizes if len(row.sizes) > 1 else row.sizes * len(row.positions)
    found = []
    for position, text in zip(row.positions, texts, strict=True):
        value = read_value(_QUANTITY[position], text, row.unit or declared)
        found.append(FittedSize(position=position, size_nm=value.nm, typed=value.text))
    return tuple(found)


def parse_positions(text: str) -> tuple[Position, ...]:
    """Read the word for a part; ``pads`` and ``shoes`` stand for both of a corner.

    >>> [each.value for each in parse_positions("pads")]
    ['pad-in', 'pad-out']
    """
    word = text.strip().lower()
    if word in (Part.PADS.value, Part.SHOES.value):
        return POSITIONS_OF[Part(word)]
    try:
        return (Position(word),)
    except ValueError:
        words = [*(each.value for each in Position), Part.PADS.value, Part.SHOES.value]
        raise InvalidInput(
            f"{clip(text)!r} is not a part", hint=did_you_mean(word, words)
        ) from None


def parse_event(text: str) -> FittingEvent:
    """Read what happened to the part."""
    return _member(text, FittingEvent, "is no event", [each.value for each in FittingEvent])


def parse_basis(text: str) -> SizeBasis:
    """Read how the size is known."""
    return _member(
        text, SizeBasis, "does not say how the size is known", [each.value for each in SizeBasis]
    )


def _member(text: str, make: Callable[[str], _T], wrong: str, words: list[str]) -> _T:
    word = text.strip().lower()
    if word not in words:
        raise InvalidInput(f"{clip(text)!r} {wrong}", hint=did_you_mean(word, words))
    return make(word)


def _check_fit(cells: Cells, row: FittingRow) -> None:
    moved = row.event is FittingEvent.MOVED
    if moved and row.from_corner is None:
        cells.refuse("a moved part needs from_corner, the corner it comes from")
    elif moved and row.from_corner == row.corner:
        cells.refuse("from_corner is the corner itself")
    elif not moved:
        cells.must_be_empty(("from_corner",), "is for parts that were moved")
    if row.event is FittingEvent.REFINISHED and row.positions[0] not in _REFINISHED:
        cells.refuse("only rotors and drums are refinished")
    if row.event is FittingEvent.REMOVED and row.sizes:
        cells.refuse("size does not belong to a removed part; its last reading says it")
    if row.basis is SizeBasis.UNKNOWN and row.sizes:
        cells.refuse("basis says that the size is unknown, and there is a size")
    if row.basis is not SizeBasis.UNKNOWN and not row.sizes:
        cells.refuse(f"basis is {row.basis.value}, and size is empty")
    if len(row.sizes) > len(row.positions):
        cells.refuse(f"{len(row.sizes)} sizes typed for {len(row.positions)} part(s)")
    elif row.sizes:
        cells.attempt(lambda: _check_sizes(row), None, before="size: ")


def _check_sizes(row: FittingRow) -> None:
    """Refuse sizes that are wrong whatever the shop's unit is."""
    first: InvalidInput | None = None
    for unit in LengthUnit if row.unit is None else (row.unit,):
        try:
            fitted_sizes(row, unit)
        except InvalidInput as error:
            first = first or error
        else:
            return
    if first is not None:
        raise first
