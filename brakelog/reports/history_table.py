"""The readings of one kind of part of one axle: a row for each visit, a column for each place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import DistanceUnit, print_length
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.reading import Stage
from brakelog.record.shop import Shop
from brakelog.reports.history_chart import NOT_COUNTED, ODD
from brakelog.reports.history_order import Section
from brakelog.reports.history_words import (
    EVENTS,
    NOMINAL,
    is_iron,
    is_nominal,
    short_name,
)
from brakelog.reports.plain import Line
from brakelog.reports.wear_scale import scale_of
from brakelog.rules.figure import distance, one_unit
from brakelog.rules.part_history import FinishedPart, PlaceHistory, RecordedReading

_ROW = 31
"""Columns before the figures: day, odometer, and when in the visit."""
_WIDEST = 13
_WHEN = ("found", "fitted", "left")
"""When in a visit: as found, what was done, as left."""
_WORN_BY_FAULT = "!"

_MEANINGS = {
    NOMINAL: f"{NOMINAL} looked up, not measured",
    ODD: f"{ODD} fits the others badly and counts less",
    NOT_COUNTED: (
        f"{NOT_COUNTED} not counted: read with its backing plate, or worn by a fault until then"
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cell:
    day: date
    odometer_mm: int
    when: int
    text: str


def readings_table(section: Section, shop: Shop, width: int) -> list[Line]:
    """Return every reading and fitting on record, oldest first, and how fast it wears now."""
    unit = scale_of(shop).unit
    columns = [list(_cells(place, shop)) for place in section.places]
    keys = sorted({(c.day, c.odometer_mm, c.when) for cells in columns for c in cells})
    wide = max(8, min(_WIDEST, (width - _ROW) // len(columns)))
    names = "".join(short_name(place).rjust(wide) for place in section.places)
    lines = [Line(text=f"  {'day':<12}{'odometer':>10}  {unit.value:<5}{names}", role="quiet")]
    texts = [{(c.day, c.odometer_mm, c.when): c.text for c in cells} for cells in columns]
    before: tuple[date, int] | None = None
    for day, odometer_mm, when in keys:
        # The day stands once, however much was done on it.
        is_same = (day, odometer_mm) == before
        head = (
            ""
            if is_same
            else f"{day.isoformat():<12}{distance(odometer_mm, shop.distance_unit):>10}"
        )
        row = "".join(each.get((day, odometer_mm, when), "").rjust(wide) for each in texts)
        lines.append(Line(text=f"  {head:<22} {_WHEN[when]:<6}{row}"))
        before = day, odometer_mm
    rates = [_rate(place, shop) for place in section.places]
    if any(rates):
        row = "".join(text.rjust(wide) for text in rates)
        lines.append(Line(text=f"  {f'wear {_per(shop)}':<29}{row}"))
    return lines


def meanings(section: Section, shop: Shop) -> list[str]:
    """Return what the signs in a table mean, those that stand in it."""
    text = " ".join(c.text for place in section.places for c in _cells(place, shop))
    return [meaning for sign, meaning in _MEANINGS.items() if sign in text]


def earlier_table(section: Section, shop: Shop) -> list[Line]:
    """Return what the parts before lasted; nothing where there were none."""
    rows = list(_earlier(section))
    if not rows:
        return []
    head = f"  {'earlier':<13}{'on':<12}{'off':<12}{'distance':>14}{'worn':>10}{_per(shop):>15}"
    lines = [Line(text=head, role="quiet")]
    for place, part in rows:
        worn, rate = part.worn_nm, part.rate_nm_per_1000km
        lines.append(
            Line(
                text=f"  {short_name(place):<13}{_on(part):<12}{part.ended.day.isoformat():<12}"
                f"{_lasted(part, shop):>14}"
                f"{'' if worn is None else _size(worn, place, shop):>10}"
                f"{'' if rate is None else _print_rate(rate, place, shop):>15}"
                f" {_WORN_BY_FAULT if part.worn_by_fault else ''}"
            )
        )
    return lines


def earlier_meanings(section: Section) -> list[str]:
    """Return what the signs among the earlier parts mean, those that stand there."""
    parts = [part for _, part in _earlier(section)]
    said = []
    if any(not part.is_whole for part in parts):
        said.append("> fitted before the record began: it lasted longer")
    if any(part.worn_by_fault for part in parts):
        said.append(f"{_WORN_BY_FAULT} a stuck slide or piston wore it")
    return said


def _earlier(section: Section) -> Iterator[tuple[PlaceHistory, FinishedPart]]:
    """Yield the parts before; one that was read once, when it came off, lasted nobody knows."""
    for place in section.places:
        for part in place.finished:
            if part.lasted_mm:
                yield place, part


def _cells(place: PlaceHistory, shop: Shop) -> Iterator[_Cell]:
    for part in place.finished:
        yield from _begun(part.begun, place, shop)
        for each in part.readings:
            yield _read(each, part.life.limit_nm, place, shop)
        if part.ended.event is FittingEvent.REMOVED:
            yield _cell(part.ended, EVENTS[FittingEvent.REMOVED])
    if place.running is not None:
        yield from _begun(place.running.begun, place, shop)
        for each in place.running.readings:
            yield _read(each, place.running.life.limit_nm, place, shop)


def _begun(fitting: Fitting | None, place: PlaceHistory, shop: Shop) -> Iterator[_Cell]:
    if fitting is None:
        return
    text = EVENTS[fitting.event]
    if fitting.size_nm is not None:
        sign = NOMINAL if is_nominal(fitting) else ""
        text = f"{sign}{_size(fitting.size_nm, place, shop)} {text}"
    yield _cell(fitting, text)


def _cell(fitting: Fitting, text: str) -> _Cell:
    return _Cell(day=fitting.day, odometer_mm=fitting.odometer_mm, when=1, text=text)


def _read(reading: RecordedReading, limit_nm: int | None, place: PlaceHistory, shop: Shop) -> _Cell:
    sign = ODD if reading.is_flagged else "" if reading.counts else NOT_COUNTED
    size = _size(reading.size_nm, place, shop, limit_nm)
    return _Cell(
        day=reading.day,
        odometer_mm=reading.odometer_mm,
        when=0 if reading.stage is Stage.AS_FOUND else 2,
        text=f"{sign} {size}".strip(),
    )


def _size(nm: int, place: PlaceHistory, shop: Shop, limit_nm: int | None = None) -> str:
    """Return a size in the unit that stands above, never rounded across its limit."""
    against = () if limit_nm is None else (limit_nm,)
    return one_unit(nm, shop, fine=is_iron(place), against=against).split()[0]


def _on(part: FinishedPart) -> str:
    if part.first_day is None:
        return ""
    return f"{'' if part.is_whole else '>'}{part.first_day.isoformat()}"


def _lasted(part: FinishedPart, shop: Shop) -> str:
    return f"{'' if part.is_whole else '>'}{distance(part.lasted_mm or 0, shop.distance_unit)}"


def _rate(place: PlaceHistory, shop: Shop) -> str:
    rate = place.running.told.projection.rate_nm_per_1000km if place.running else None
    return "" if rate is None else _print_rate(round(rate), place, shop)


def _print_rate(nm_per_1000km: int, place: PlaceHistory, shop: Shop) -> str:
    """Return wear by a thousand kilometres, or miles where the odometer counts miles."""
    unit = scale_of(shop).unit
    decimals = (4 if unit.is_inch else 3) + is_iron(place)
    nm = nm_per_1000km * shop.distance_unit.mm // DistanceUnit.KM.mm
    return print_length(nm, unit, decimals=decimals)


def _per(shop: Shop) -> str:
    return f"per 1,000 {shop.distance_unit.value}"
