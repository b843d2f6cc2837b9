"""One value of one quantity."""

from __future__ import annotations

import re
from functools import lru_cache

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import LengthUnit, TypedLength, decimal_mm, parse_length
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity, check_window

VALUES_KNOWN = 16_384
"""Values that are kept in mind: the readings of one gauge come again and again. [-]"""
NOT_MEASURED = "x"
"""Stands for a point that was not measured."""
_NOT_VALUES = frozenset({"-", "_", "?", "n/a", "na", "nil", "none"})
_VIN = re.compile(r"[A-Z0-9]{17}", re.ASCII | re.IGNORECASE)
_UNIT_BEHIND = re.compile(r"\s*(mm|in|\")$", re.IGNORECASE)
_SAID_BY_A_GAUGE = (
    (re.compile(r"[-_–—]{2,}"), "dashes: the gauge had no reading"),
    (re.compile(r"e(rr|rror)?[ -]?[0-9]*|error.*", re.IGNORECASE), "an error of the gauge"),
    (re.compile(r"\+?(ol|o\.l\.?|hi|over)", re.IGNORECASE), "beyond the range of the gauge"),
    (
        re.compile(r"-?(low?|ul|under)", re.IGNORECASE),
        "below the range of the gauge, or its battery",
    ),
    (
        re.compile(r"(lo|low)?[ -_]?(b|bat|batt|battery)([ -_]?(lo|low))?|b", re.IGNORECASE),
        "a low battery of the gauge",
    ),
    (re.compile(r"h|hold", re.IGNORECASE), "a gauge on hold"),
)
"""What gauges send in place of a number; common practice."""


@lru_cache(maxsize=VALUES_KNOWN)
def read_value(
    quantity: Quantity,
    text: str,
    unit: LengthUnit | None,
    *,
    close_blanks: bool = False,
    signed: bool = False,
) -> TypedLength:
    """Return one value of the quantity; below zero only in a profile by angle.

    Raises
    ------
    InvalidInput
        Where it is no number, its unit cannot be told, or it cannot be that quantity.
    """
    _refuse_other_things(text.strip())
    value = parse_length(text, declared=unit, close_blanks=close_blanks, signed=signed)
    check_window(quantity, abs(value.nm), value.text, value.unit)
    return value


def _refuse_other_things(body: str) -> None:
    """Say what it is where a gauge or a scanner sent something that is no reading."""
    if body.lower() in _NOT_VALUES:
        raise InvalidInput(
            f"{clip(body)!r} is not a number", hint="x stands for a point that was not measured"
        )
    if _VIN.fullmatch(body):
        raise InvalidInput(
            f"{clip(body)!r} is a VIN, not a reading",
            hint="17 characters are a VIN; type the reading",
        )
    for said, meaning in _SAID_BY_A_GAUGE:
        if said.fullmatch(_UNIT_BEHIND.sub("", body)):
            raise InvalidInput(
                f"{clip(body)!r} is not a number but {meaning}",
                hint="read the point again, or type x for a point that was not measured",
            )


def finer_than_gauge(value: TypedLength, gauge: Gauge) -> bool:
    """Whether the value shows more decimals than the gauge has.

    A number in the other unit system may show one decimal more: a display that switches over
    keeps its step and needs that decimal.
    """
    step_nm = _last_digit_nm(gauge)
    if not value.last_digit_nm or not step_nm:
        return False
    if value.unit.is_inch == gauge.unit.is_inch:
        return value.last_digit_nm < step_nm
    return value.last_digit_nm * 10 <= step_nm


def shown_step(gauge: Gauge) -> str:
    """Return the step of the gauge with its unit: ``0.001 mm``."""
    text = gauge.resolution_text.strip()
    try:
        step = parse_length(text, declared=gauge.unit)
    except InvalidInput:
        return f"{decimal_mm(gauge.resolution_nm)} mm"
    return text if step.unit_typed else f"{text} {step.unit.value}"


def _last_digit_nm(gauge: Gauge) -> int:
    try:
        return parse_length(gauge.resolution_text, declared=gauge.unit).last_digit_nm
    except InvalidInput:
        return gauge.resolution_nm
