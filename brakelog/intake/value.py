"""One value of one quantity."""

from __future__ import annotations

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import LengthUnit, TypedLength, decimal_mm, parse_length
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity, check_window

NOT_MEASURED = "x"
"""Stands for a point that was not measured."""
_NOT_VALUES = frozenset({"-", "--", "_", "?", "n/a", "na", "nil", "none"})


def read_value(
    quantity: Quantity, text: str, unit: LengthUnit | None, *, close_blanks: bool = False
) -> TypedLength:
    """Return one value of the quantity.

    Raises
    ------
    InvalidInput
        Where it is no number, its unit cannot be told, or it cannot be that quantity.
    """
    if text.strip().lower() in _NOT_VALUES:
        raise InvalidInput(
            f"{clip(text)!r} is not a number", hint="x stands for a point that was not measured"
        )
    value = parse_length(text, declared=unit, close_blanks=close_blanks)
    check_window(quantity, value.nm, value.text, value.unit)
    return value


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
