"""Exact lengths and distances: read what people type, print it in either system.

A length is an integer number of nanometres, a distance an integer number of millimetres.
Both unit systems are exact in them: 0.0001 in is 2540 nm, 1/64 in is 396 875 nm, a mile is
1 609 344 mm. No float takes part in reading, comparing or printing.
"""

from __future__ import annotations

import enum
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from brakelog.errors import InvalidInput, clip

NM_PER_MM = 1_000_000
NM_PER_INCH = 25_400_000
"""1 in = 25.4 mm exactly (international yard and pound agreement, 1959; NIST SP 811 App. B)."""
MM_PER_KM = 1_000_000
MM_PER_MILE = 1_609_344
"""1 mi = 1609.344 m exactly (same agreement)."""
LONGEST_NM = 10_000 * NM_PER_MM
"""Nothing on a brake is longer than 10 m; assumption, so that a slip cannot become a number."""
LONGEST_TEXT = 64
"""Characters of one number. Assumption: no gauge sends more."""
LONGEST_DISTANCE_MM = 10_000_000 * MM_PER_KM
"""No odometer shows more than ten million; assumption."""


class LengthUnit(enum.Enum):
    """The unit that a figure was typed or printed in."""

    MM = "mm"
    INCH = "in"
    THOU = "thou"
    MICROMETRE = "um"

    __hash__ = object.__hash__
    """One object for each; the library would hash its name, in Python, for every look-up."""

    @property
    def nm(self) -> int:
        """Size of the unit. [nm]"""
        return _UNIT_NM[self]

    @property
    def is_inch(self) -> bool:
        """Whether the unit belongs to the inch system."""
        return self in (LengthUnit.INCH, LengthUnit.THOU)


_UNIT_NM = {
    LengthUnit.MM: NM_PER_MM,
    LengthUnit.INCH: NM_PER_INCH,
    LengthUnit.THOU: NM_PER_INCH // 1000,
    LengthUnit.MICROMETRE: 1000,
}


class DistanceUnit(enum.Enum):
    """The unit of an odometer."""

    KM = "km"
    MILE = "mi"

    @property
    def mm(self) -> int:
        """Size of the unit. [mm]"""
        return MM_PER_KM if self is DistanceUnit.KM else MM_PER_MILE


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedLength:
    """A length as somebody typed it, with the exact value that it stands for."""

    nm: int
    """The exact value. [nm]"""
    text: str
    """What was typed, character for character."""
    unit: LengthUnit
    """The unit typed with it, or else the declared one."""
    last_digit_nm: int
    """What one step of the last printed digit is worth; 0 for a fraction, which is exact. [nm]"""
    unit_typed: bool
    """Whether the unit stood in the text itself."""

    @property
    def half_digit_nm(self) -> Fraction:
        """Half of the last printed digit: how far the figure may have been rounded. [nm]"""
        return Fraction(self.last_digit_nm, 2)


_UNIT_WORDS = {
    "mm": LengthUnit.MM,
    "in": LengthUnit.INCH,
    "inch": LengthUnit.INCH,
    "inches": LengthUnit.INCH,
    '"': LengthUnit.INCH,
    "″": LengthUnit.INCH,
    "”": LengthUnit.INCH,
    "thou": LengthUnit.THOU,
    "um": LengthUnit.MICROMETRE,
    "µm": LengthUnit.MICROMETRE,
    "μm": LengthUnit.MICROMETRE,
}
_NUMBER = re.compile(r"(?P<sign>[+-]?)(?P<whole>[0-9]*)(?:[.,](?P<part>[0-9]*))?", re.ASCII)
_FRACTION = re.compile(
    r"(?P<sign>[+-]?)(?:(?P<whole>[0-9]+)(?:[ ]+|-))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)", re.ASCII
)
_CONTROL = re.compile("[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_DISTANCE_WORDS = {
    "km": DistanceUnit.KM,
    "mi": DistanceUnit.MILE,
    "mile": DistanceUnit.MILE,
    "miles": DistanceUnit.MILE,
}


def parse_length(
    text: str,
    *,
    declared: LengthUnit | None,
    close_blanks: bool = False,
    signed: bool = False,
) -> TypedLength:
    """Read one length as people and gauges type it.

    Parameters
    ----------
    text : str
        ``27.41``, ``27,41``, ``27.41mm``, ``1.0791"``, ``7/32``, ``1 1/16 in``, ``1-1/16``,
        ``2 thou``; a leading ``+`` is allowed.
    declared : LengthUnit or None
        The unit of a number that carries none; None means that the unit must be typed.
    close_blanks : bool
        Whether blanks inside a number are closed up, as gauges send them. Only for a prompt
        that asks for one value.
    signed : bool
        Whether a value below zero is allowed (a runout profile).

    Returns
    -------
    TypedLength
        The exact value [nm] with the text as typed.

    Raises
    ------
    InvalidInput
        With the reason: no number, two points, letters that are no unit, a fraction whose unit
        cannot be told, below zero, finer than a nanometre, longer than any brake part.

    Examples
    --------
    >>> parse_length("27,41", declared=LengthUnit.MM).nm
    27410000
    >>> parse_length('7/32"', declared=LengthUnit.MM).nm
    5556250
    >>> parse_length("+ 2.1380, MM", declared=None, close_blanks=True).nm
    2138000
    """
    if len(text) > LONGEST_TEXT:
        raise InvalidInput(f"too long for a number: {clip(text)!r}", hint="type one value")
    _refuse_control(text)
    body = text.replace("\u00a0", " ").replace("\u2212", "-").strip()
    if not body:
        raise InvalidInput("no number typed", hint="type a value, or leave it out")
    number, unit_word = _split_unit(body)
    unit = _UNIT_WORDS.get(unit_word.lower()) if unit_word else None
    if unit_word and unit is None:
        raise InvalidInput(
            f"{clip(text)!r} has letters that are no unit", hint='units: mm, in, ", thou, um'
        )
    value, last_digit, is_fraction = _read_number(number, text, close_blanks=close_blanks)
    if is_fraction and unit is None and (declared is None or not declared.is_inch):
        raise InvalidInput(
            f"{clip(text)!r} is a fraction without a unit where inches are not declared",
            hint=f'type {clip(body)}" if inches are meant',
        )
    if is_fraction and unit is not None and unit is not LengthUnit.INCH:
        raise InvalidInput(f"{clip(text)!r}: only inches come in fractions", hint='such as 7/32"')
    if is_fraction and unit is None:
        unit, unit_typed = LengthUnit.INCH, False
    else:
        unit_typed = unit is not None
        unit = unit or declared
    if unit is None:
        raise InvalidInput(
            f"the unit of {clip(text)!r} cannot be told", hint='type mm, in, " or thou behind it'
        )
    exact = value * unit.nm
    if exact < 0 and not signed:
        raise InvalidInput(
            f"{clip(text)!r} is below zero", hint="a thickness, lining or depth is never negative"
        )
    if exact.denominator != 1:
        raise InvalidInput(
            f"{clip(text)!r} is finer than a nanometre", hint="type the digits that the gauge shows"
        )
    if abs(exact) > LONGEST_NM:
        raise InvalidInput(f"{clip(text)!r} is longer than any brake part", hint="check the unit")
    return TypedLength(
        nm=int(exact),
        text=text,
        unit=unit,
        last_digit_nm=0 if is_fraction else max(int(last_digit * unit.nm), 1),
        unit_typed=unit_typed,
    )


def _refuse_control(text: str) -> None:
    """Refuse control characters; some of them count as blanks, and would be kept with the text."""
    if _CONTROL.search(text.strip(" \t\r\n")):
        raise InvalidInput(
            f"{clip(text)!r} holds characters that are no text", hint="type it again"
        )


def _split_unit(body: str) -> tuple[str, str]:
    """Split ``1 1/16 in`` into its number and its unit word; the word may be empty."""
    end = len(body)
    while end and not (body[end - 1].isdigit() or body[end - 1] in ".,/+-"):
        end -= 1
    number, word = body[:end].rstrip(), body[end:].strip()
    if word and number.endswith(",") and number[:-1].strip():
        # Some gauges put a comma between the number and its unit.
        number = number[:-1].rstrip()
    return number, word


def _read_number(number: str, text: str, *, close_blanks: bool) -> tuple[Fraction, Fraction, bool]:
    """Return value, worth of its last digit, and whether it was a fraction; all in the unit."""
    if "/" in number:
        found = _FRACTION.fullmatch(number)
        if found is None or int(found["bottom"]) == 0:
            raise InvalidInput(
                f"{clip(text)!r} is not a fraction", hint='such as 7/32" or 1-1/16 in'
            )
        size = int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"]))
        return (-size if found["sign"] == "-" else size), Fraction(0), True
    if close_blanks:
        number = "".join(number.split())
    elif any(sign.isspace() for sign in number.lstrip("+-").strip()):
        raise InvalidInput(f"{clip(text)!r} holds more than one number", hint="type one value")
    else:
        number = "".join(number.split())
    if number.count(".") + number.count(",") > 1:
        raise InvalidInput(
            f"{clip(text)!r} has two decimal points", hint="no thousands separators, one point"
        )
    found = _NUMBER.fullmatch(number)
    if found is None or not (found["whole"] or found["part"]):
        raise InvalidInput(f"{clip(text)!r} is not a number", hint="digits and one point or comma")
    part = found["part"] or ""
    digits = int((found["whole"] or "0") + part)
    step = Fraction(1, 10 ** len(part))
    return (-digits if found["sign"] == "-" else digits) * step, step, False


def parse_distance(text: str, *, declared: DistanceUnit | None) -> tuple[int, DistanceUnit]:
    """Read an odometer: a whole number, with or without its unit.

    Returns
    -------
    tuple of int and DistanceUnit
        The distance [mm] and the unit that it was read in.

    Raises
    ------
    InvalidInput
        With the reason: not whole, separators inside, no unit to be told, too long.

    Examples
    --------
    >>> parse_distance("62400 km", declared=None)
    (62400000000, <DistanceUnit.KM: 'km'>)
    """
    if len(text) > LONGEST_TEXT:
        raise InvalidInput(f"too long for an odometer: {clip(text)!r}", hint="type one number")
    _refuse_control(text)
    body = text.replace("\u00a0", " ").strip().lower()
    found = re.fullmatch(r"([0-9][0-9., ']*)\s*([a-z]*)", body, re.ASCII)
    if found is None:
        raise InvalidInput(f"{clip(text)!r} is not an odometer reading", hint="such as 62400 km")
    figure, word = found[1].rstrip(), found[2]
    if not figure.isdigit():
        digits = "".join(sign for sign in figure if sign.isdigit())
        raise InvalidInput(
            f"{clip(text)!r}: {digits}? An odometer is a whole number",
            hint=f"type {digits} if that is meant, without tenths and separators",
        )
    unit = _DISTANCE_WORDS.get(word) if word else declared
    if unit is None:
        raise InvalidInput(
            f"the unit of {clip(text)!r} cannot be told"
            if not word
            else f"{clip(word)!r} is no unit of distance",
            hint="type km or mi behind it",
        )
    distance_mm = int(figure) * unit.mm
    if distance_mm > LONGEST_DISTANCE_MM:
        raise InvalidInput(f"{clip(text)!r} is more than any odometer shows", hint="check it")
    return distance_mm, unit


def decimal_mm(nm: int) -> str:
    """Return the exact value in millimetres as a decimal string, without trailing zeros.

    >>> decimal_mm(27_402_000), decimal_mm(5_556_250), decimal_mm(-1)
    ('27.402', '5.55625', '-0.000001')
    """
    whole, part = divmod(abs(nm), NM_PER_MM)
    tail = f"{part:06d}".rstrip("0")
    return ("-" if nm < 0 else "") + (f"{whole}.{tail}" if tail else str(whole))


def print_length(
    nm: int, unit: LengthUnit, *, decimals: int | None = None, against: Iterable[int] = ()
) -> str:
    """Return the value in a unit, rounded for reading but never across a limit.

    Parameters
    ----------
    nm : int
        The exact value. [nm]
    unit : LengthUnit
        The unit to print in.
    decimals : int, optional
        Decimals to show at least; 2 for mm, 3 for inches where not given.
    against : iterable of int
        Limits that stand beside it [nm]: digits are added until the printed figure lies on the
        same side of each of them as the value itself.

    Examples
    --------
    >>> print_length(21_996_000, LengthUnit.MM, decimals=1, against=[22_000_000])
    '21.996'
    """
    wanted = _DECIMALS[unit] if decimals is None else decimals
    # A value at the limit itself prints like the limit, whatever the digits.
    limits = tuple(limit for limit in against if limit != nm)
    scaled, places = 0, wanted
    for places in range(wanted, max(wanted, _MOST_DECIMALS) + 1):
        scaled = round(Fraction(nm, unit.nm) * 10**places)
        shown_nm = Fraction(scaled, 10**places) * unit.nm
        if all((shown_nm > limit) == (nm > limit) and shown_nm != limit for limit in limits):
            break
    return _place_point(scaled, places)


_DECIMALS = {
    LengthUnit.MM: 2,
    LengthUnit.INCH: 3,
    LengthUnit.THOU: 1,
    LengthUnit.MICROMETRE: 0,
}
_MOST_DECIMALS = 9
"""Fine enough to tell two neighbouring nanometres apart in every unit."""


def _place_point(scaled: int, places: int) -> str:
    digits = f"{abs(scaled):0{places + 1}d}"
    sign = "-" if scaled < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"
