"""The bay card as plain text: for any printer, and read aloud line by line."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.reports.bay_card_model import BayCard, Blank, BlankKind, CornerBand, Row
from brakelog.reports.plain import Line, as_text, wrapped

DATUMS = ("lining only", "with plate")
DAY = "Day, year-month-day"
ODOMETER = "Odometer"
WHO = "Measured by"
GAUGE = "Gauge"
NOTE = "other: part, what"
LOOKED_OVER = "all of it looked over"
AS_BEFORE = "limits as above"
ENTERING = "To put it on file"
_BLANK = "________"
_TICK = "[ ]"
_INDENT = "  "
_HARD_BLANK = "\u00a0"


def bay_card_text(card: BayCard) -> str:
    """Return the card as plain text of at most 80 columns, in the order of the hand."""
    lines = [
        *wrapped(f"Bay card of {card.tag}, {card.stage}", rest=_INDENT),
        *(line for text in card.about for line in wrapped(text, first=_INDENT, rest=_INDENT * 2)),
        *wrapped(card.as_of, first=_INDENT),
        Line(),
        *wrapped(f"{DAY}: ____-__-__"),
        *wrapped(_odometer(card)),
        *wrapped(f"{WHO}: {_BLANK}"),
    ]
    for gauge in card.gauges:
        in_unit = f", in {gauge.unit}" if gauge.unit else ""
        usual = f"{gauge.usual}, or " if gauge.usual else ""
        lines += wrapped(f"{GAUGE} for {gauge.words}{in_unit}: {usual}{_BLANK}", rest=_INDENT)
    lines += [Line(), *wrapped(card.how)]
    for caution in card.cautions:
        lines += wrapped(caution, rest=_INDENT)
    for band in card.corners:
        lines += [Line(), *_band(band)]
    lines.append(Line())
    for note in card.notes:
        lines += wrapped(note, rest=_INDENT)
    lines += [Line(), Line(text=ENTERING)]
    for way in card.entering:
        lines += wrapped(way.when, first=_INDENT)
        if way.command:
            lines += wrapped(way.command, first=_INDENT * 2, rest=_INDENT * 3)
    return as_text(lines)


def _odometer(card: BayCard) -> str:
    last = f" (last {card.odometer_last})" if card.odometer_last else ""
    return f"{ODOMETER}: {_BLANK} {card.odometer_unit}{last}"


def _band(band: CornerBand) -> Iterator[Line]:
    yield from wrapped(f"{band.code}, {band.place}")
    if band.caution:
        yield from wrapped(band.caution, first=_INDENT)
    told: tuple[str, ...] = ()
    for row in band.rows:
        yield from _row(band.code, row, is_told=bool(row.bounds) and row.bounds == told)
        told = row.bounds
    for ticks in band.ticks:
        words = [f"{_TICK} {word}" for word in ticks.words]
        yield from _unbroken([f"{ticks.part}:", *words], _INDENT)
    yield from wrapped(f"{_TICK} {NOTE}: {_BLANK * 3}", first=_INDENT)
    if band.flag:
        yield from wrapped(band.flag, first=_INDENT)
    yield from wrapped(f"{LOOKED_OVER}: yes / no", first=_INDENT)


def _row(code: str, row: Row, *, is_told: bool) -> Iterator[Line]:
    in_unit = f", in {row.unit}" if row.unit else ", with its unit"
    yield from wrapped(f"{code} {row.word}: {row.name}{in_unit}", first=_INDENT)
    if row.caution:
        yield from wrapped(row.caution, first=_INDENT * 2)
    yield from _unbroken([_blank(blank) for blank in row.blanks], _INDENT * 2)
    if row.asks_datum:
        yield from _unbroken([f"{_TICK} {datum}" for datum in DATUMS], _INDENT * 2)
    yield from wrapped(row.last, first=_INDENT * 2, rest=_INDENT * 3)
    for bound in (AS_BEFORE,) if is_told else row.bounds:
        yield from wrapped(bound, first=_INDENT * 2, rest=_INDENT * 3)
    if row.to_find and not is_told:
        yield from wrapped(f"{row.to_find}: {_BLANK} {row.unit}", first=_INDENT * 2)


def _blank(blank: Blank) -> str:
    match blank.kind:
        case BlankKind.YES_NO:
            return f"{blank.caption}: yes / no"
        case BlankKind.FASTENERS:
            return f"{blank.caption}: ____ / {blank.of or '____'}"
        case BlankKind.NUMBER:
            return f"{blank.caption}: {_BLANK}"


def _unbroken(items: list[str], indent: str) -> Iterator[Line]:
    """Yield lines that break between items only."""
    text = "  ".join(item.replace(" ", _HARD_BLANK) for item in items)
    for line in wrapped(text, first=indent, rest=indent):
        yield Line(text=line.text.replace(_HARD_BLANK, " "))
