"""Figures in the words of a question: as typed, and in millimetres beside it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from brakelog.errors import InvalidInput
from brakelog.lengths import LengthUnit, TypedLength, parse_length, print_length
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit

_FINE = frozenset({Quantity.ROTOR, Quantity.RUNOUT, Quantity.HUB_RUNOUT})


def typed_length(reading: ReadingSet, index: int) -> TypedLength | None:
    """Return one value with the unit that it was typed in; None where the text says nothing."""
    if index >= len(reading.typed) or not reading.typed[index]:
        return None
    try:
        return parse_length(
            reading.typed[index], declared=reading.unit, close_blanks=True, signed=True
        )
    except InvalidInput:
        return None


def finest_digit_nm(reading: ReadingSet) -> int:
    """Return what the last digit is worth in the value that was typed with the most. [nm]"""
    finest = 0
    for index, text in enumerate(reading.typed):
        if _BARE.fullmatch(text):
            places = len(text.replace(",", ".").partition(".")[2])
            digit_nm = reading.unit.nm // 10**places
        else:
            typed = typed_length(reading, index) if index < len(reading.values_nm) else None
            digit_nm = typed.last_digit_nm if typed else 0
        if digit_nm and (not finest or digit_nm < finest):
            finest = digit_nm
    return finest or 1


_BARE = re.compile(r"[0-9]+[.,]?[0-9]*", re.ASCII)


def unit_of(reading: ReadingSet) -> LengthUnit:
    """Return the unit of the first value that was measured."""
    for index, nm in enumerate(reading.values_nm):
        if nm is not None:
            if index < len(reading.typed) and _BARE.fullmatch(reading.typed[index]):
                return reading.unit
            typed = typed_length(reading, index)
            return typed.unit if typed else reading.unit
    return reading.unit


def as_typed(reading: ReadingSet, index: int) -> str:
    """Return one value as it was typed, with millimetres behind it where those were not typed."""
    nm = reading.values_nm[index]
    if nm is None:
        return "not measured"
    typed = typed_length(reading, index)
    if typed is None:
        return length(nm, reading.unit, reading.quantity)
    text = reading.typed[index].strip()
    if not typed.unit_typed:
        text = f"{text} {typed.unit.value}"
    if typed.unit is LengthUnit.MM:
        return text
    return f"{text} ({_in_mm(nm, reading.quantity)})"


def all_as_typed(reading: ReadingSet) -> str:
    """Return all values of a set as they were typed, in mm beside it where that was another unit.

    A long set is cut short.
    """
    measured = [n for n, nm in enumerate(reading.values_nm) if nm is not None]
    shown = measured if len(measured) <= _MOST_SHOWN else measured[:_MOST_SHOWN]
    text = " ".join(reading.typed[n].strip() for n in shown if n < len(reading.typed))
    more = " ..." if len(measured) > len(shown) else ""
    unit = unit_of(reading)
    if not text:
        return ", ".join(length(reading.values_nm[n] or 0, unit, reading.quantity) for n in shown)
    bare = all(not (t := typed_length(reading, n)) or not t.unit_typed for n in shown)
    text = f"{text}{more} {reading.unit.value}" if bare else f"{text}{more}"
    if unit is LengthUnit.MM:
        return text
    low, high = min(reading.measured_nm), max(reading.measured_nm)
    span = _in_mm(low, reading.quantity)
    if high != low:
        span = f"{span.removesuffix(' mm')} to {_in_mm(high, reading.quantity)}"
    return f"{text} ({span})"


_MOST_SHOWN = 12


def as_a_whole(reading: ReadingSet) -> str:
    """Return what a set reads: its values, of many only how many and from where to where."""
    measured = [n for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(measured) <= _FEW:
        return all_as_typed(reading)
    low = min(measured, key=lambda n: reading.values_nm[n] or 0)
    high = max(measured, key=lambda n: reading.values_nm[n] or 0)
    if reading.values_nm[low] == reading.values_nm[high]:
        return f"{len(measured)} points of {as_typed(reading, low)}"
    return f"{len(measured)} points from {as_typed(reading, low)} to {as_typed(reading, high)}"


_FEW = 4
"""Values that are read at a glance."""


def length(nm: int, unit: LengthUnit, quantity: Quantity) -> str:
    """Return a length in the unit that people typed, with millimetres behind it."""
    if unit is LengthUnit.MM:
        return _in_mm(nm, quantity)
    decimals = 4 if quantity in _FINE else 3
    if unit is LengthUnit.MICROMETRE:
        decimals = 0
    elif unit is LengthUnit.THOU:
        decimals = 1
    return f"{print_length(nm, unit, decimals=decimals)} {unit.value} ({_in_mm(nm, quantity)})"


def _in_mm(nm: int, quantity: Quantity) -> str:
    decimals = 3 if quantity in _FINE else 2
    return f"{print_length(nm, LengthUnit.MM, decimals=decimals)} mm"


def place(reading: ReadingSet, index: int) -> str:
    """Return where one value was read: ``point 5``, ``leading end``."""
    names = reading.quantity.facts.points
    if reading.quantity is Quantity.ROTOR or index >= len(names):
        return f"point {index + 1}"
    return names[index]


def what(reading: ReadingSet) -> str:
    """Return what a set is of: ``LF rotor thickness``."""
    return f"{reading.corner} {reading.quantity.facts.label}"


def listed(words: Iterable[str]) -> str:
    """Join words with commas and a last ``and``.

    >>> listed(["LF", "RF", "RR"])
    'LF, RF and RR'
    """
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def corners(of: Iterable[Corner]) -> str:
    """Return the corners as a list in words."""
    return listed(str(each) for each in dict.fromkeys(of))


def odometer(visit: Visit) -> str:
    """Return the odometer as it was typed, with kilometres behind it where it was miles."""
    text = visit.odometer_text.strip() or str(visit.odometer_mm // visit.odometer_unit.mm)
    if text[-1:].isdigit():
        text = f"{text} {visit.odometer_unit.value}"
    return (
        text if visit.odometer_unit.value == "km" else f"{text} ({kilometres(visit.odometer_mm)})"
    )


def kilometres(distance_mm: int) -> str:
    """Return a distance in whole kilometres."""
    return f"{round(distance_mm / 1_000_000)} km"
