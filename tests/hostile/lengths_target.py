"""Numbers as they are typed: lengths, distances, and the figures beside them."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction

from brakelog.errors import InvalidInput
from brakelog.intake.span import parse_span
from brakelog.intake.value import read_value
from brakelog.intake.words import (
    parse_count,
    parse_day,
    parse_nuts,
    parse_temperature,
    parse_unit,
)
from brakelog.lengths import (
    LONGEST_DISTANCE_MM,
    LONGEST_NM,
    DistanceUnit,
    LengthUnit,
    TypedLength,
    decimal_mm,
    parse_distance,
    parse_length,
    print_length,
)
from brakelog.record.corner import parse_axle, parse_corner
from brakelog.record.limit import parse_figures, print_figure
from brakelog.record.quantity import Quantity
from brakelog.record.torque import TorqueUnit, parse_torque
from tests.hostile.parts import as_text, is_said_shortly, split

WORDS = (
    *('"', "mm", "in", "inch", "inches", "thou", "um", "\u00b5m", "\u03bcm", "\u2033", "\u201d"),
    *("km", "mi", "mile", "/", "-", "+", ".", ",", "1/0", "1e999", "\u00b2", "\u0663", "\u2212"),
    *("\u00a0", "x", "NaN", "inf", "0x1F", "1_000", "'", " of ", "Nm", "lbf ft", "\u00bd"),
)
_DECLARED = (None, *LengthUnit)
_NM: dict[str, int] = {
    **dict.fromkeys(("in", "inch", "inches", '"', "\u2033", "\u201d"), 25_400_000),
    **dict.fromkeys(("um", "\u00b5m", "\u03bcm"), 1_000),
    "mm": 1_000_000,
    "thou": 25_400,
}
"""The units again, written down a second time so that a slip in the program is seen. [nm]"""
_AMOUNT = re.compile(r"[0-9+\-.,/ ]+", re.ASCII)


def seeds() -> list[bytes]:
    """Examples of what people and gauges type."""
    typed = (
        *("27.41", "27,41 mm", '1.0791"', "7/32", '1-1/16"', "1 1/16 in", "2 thou", "402 um"),
        *("+ 2.1380, MM", "+000.35mm", "0.000001", "-0.02", "62400 km", "38 774 mi", "5/5"),
        *("31,5 C", "88 F", "2026-03-02", "1e999999999", "9" * 70, "1/0", "\u0667", "1\u00b2"),
        *("1/" + "9" * 60, "6 weeks", "3000 km", "120 Nm", "LF", "axle 2", "", "Err 2", "OL"),
    )
    found_once = (b"\xb6-" + b"\x1d" * 30 + b"2", b"\x08,mm", b"\x01\x1c62400 km")
    examples = [bytes([way]) + text.encode() for way in range(len(WAYS)) for text in typed]
    return [*examples, *found_once]


def check(data: bytes) -> None:
    """Read the text in one of the ways; it is refused in a sentence, or is exactly what it says."""
    way, rest = split(data)
    try:
        WAYS[way % len(WAYS)](as_text(rest), way // len(WAYS))
    except InvalidInput as error:
        is_said_shortly(error)


def exactly(text: str, declared: LengthUnit | None) -> Fraction:
    """Work out the length again, by decimals instead of by the program's own way. [nm]"""
    body = text.replace("\u00a0", " ").replace("\u2212", "-").strip()
    word = max((word for word in _NM if body.lower().endswith(word)), key=len, default="")
    amount = body[: len(body) - len(word)].strip().removesuffix(",")
    amount = " ".join(amount.split())
    assert _AMOUNT.fullmatch(amount), text
    assert word or declared or "/" in amount
    nm = _NM[word] if word else (declared.nm if declared else 25_400_000)
    if "/" not in amount:
        return Fraction(Decimal("".join(amount.split()).replace(",", "."))) * nm
    top, bottom = amount.split("/")
    sign = -1 if top.startswith("-") else 1
    whole, _, part = top.lstrip("+-").replace("-", " ").rpartition(" ")
    value = int(whole or 0) + Fraction(int(part), int(bottom))
    return sign * value * 25_400_000


def _length(text: str, choice: int) -> None:
    declared = _DECLARED[choice % len(_DECLARED)]
    signed = choice & 8 > 0
    found = parse_length(text, declared=declared, close_blanks=choice & 16 > 0, signed=signed)
    _is_sound(found, text, declared)
    assert signed or found.nm >= 0
    again = parse_length(f"{decimal_mm(found.nm)} mm", declared=None, signed=True)
    assert again.nm == found.nm
    for unit in LengthUnit:
        # Nine decimals tell two neighbouring nanometres apart, in any unit.
        printed = Fraction(Decimal(print_length(found.nm, unit, decimals=9))) * unit.nm
        assert abs(printed - found.nm) < Fraction(1, 2)


def _is_sound(found: TypedLength, text: str, declared: LengthUnit | None) -> None:
    assert found.text == text
    assert abs(found.nm) <= LONGEST_NM
    assert found.nm == exactly(text, declared)
    assert found.last_digit_nm >= 0
    assert found.half_digit_nm * 2 == found.last_digit_nm


def _distance(text: str, choice: int) -> None:
    declared = (None, *DistanceUnit)[choice % 3]
    mm, unit = parse_distance(text, declared=declared)
    digits = re.match(r"[0-9]+", text.replace("\u00a0", " ").strip(), re.ASCII)
    assert digits is not None
    assert mm == int(digits[0]) * (1_000_000 if unit is DistanceUnit.KM else 1_609_344)
    assert 0 <= mm <= LONGEST_DISTANCE_MM


def _value(text: str, choice: int) -> None:
    quantities = tuple(Quantity)
    unit = _DECLARED[choice % len(_DECLARED)]
    found = read_value(quantities[choice % len(quantities)], text, unit, signed=choice & 4 > 0)
    _is_sound(found, text, unit)


def _figures(text: str, choice: int) -> None:
    first, _, second = text.partition("|")
    for found in parse_figures(first, second, declared=_DECLARED[choice % len(_DECLARED)]):
        assert abs(found.nm) <= LONGEST_NM
        assert print_figure(found)


def _temperature(text: str, _choice: int) -> None:
    tenths = parse_temperature(text)
    assert -400 <= tenths <= 7000


def _nuts(text: str, _choice: int) -> None:
    fitted, of = parse_nuts(text)
    assert 0 <= fitted <= of <= 32


def _count(text: str, choice: int) -> None:
    assert 1 <= parse_count(text, most=choice + 1, what="things") <= choice + 1


def _day(text: str, _choice: int) -> None:
    assert parse_day(text).isoformat() == text.strip()


def _unit(text: str, _choice: int) -> None:
    assert text.strip().lower() in _NM
    parse_unit(text)


def _a_unit(text: str, choice: int) -> None:
    parse_unit(text)
    _unit(text, choice)


def _corner(text: str, _choice: int) -> None:
    corner = parse_corner(text)
    assert parse_corner(str(corner)) == corner


def _axle(text: str, _choice: int) -> None:
    assert parse_axle(text) >= 1


def _span(text: str, choice: int) -> None:
    parse_span(text, today=date(2026, 1, 10), declared=(None, *DistanceUnit)[choice % 3])


def _torque(text: str, choice: int) -> None:
    units = (None, *TorqueUnit)
    parse_torque(text, declared=units[choice % len(units)])


WAYS: tuple[Callable[[str, int], None], ...] = (
    _length,
    _distance,
    _value,
    _figures,
    _temperature,
    _nuts,
    _count,
    _day,
    _a_unit,
    _corner,
    _axle,
    _span,
    _torque,
)
