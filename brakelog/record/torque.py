"""Tightening torques: read what people type and what sheets print, exactly."""

from __future__ import annotations

import enum
import re
from dataclasses import dataclass
from fractions import Fraction

from brakelog.errors import InvalidInput, clip


class Fastener(enum.Enum):
    """The fasteners that every job undoes; the value is the word typed."""

    CALIPER = "caliper"
    BRACKET = "bracket"
    WHEEL = "wheel"

    @property
    def label(self) -> str:
        """The trade's name."""
        return _LABELS[self]


_LABELS = {
    Fastener.CALIPER: "caliper fasteners",
    Fastener.BRACKET: "caliper bracket bolts",
    Fastener.WHEEL: "wheel fasteners",
}
_OTHER_PARTS_OF_A_WHEEL = ("cylinder", "bearing", "sensor", "speed", "hub")
"""Words beside "wheel" that make it another fastener than those that hold the wheel on."""


def fastener_of(name: str) -> Fastener | None:
    """Return which fastener a name on a sheet is for; None where it is another one.

    >>> fastener_of("Wheel bolts"), fastener_of("wheel cylinder bolt")
    (<Fastener.WHEEL: 'wheel'>, None)
    """
    words = name.lower().replace("calliper", "caliper")
    if "bracket" in words or "carrier" in words:
        return Fastener.BRACKET
    if "caliper" in words or "guide pin" in words or "slide pin" in words:
        return Fastener.CALIPER
    is_wheel = "wheel" in words or words.strip() in ("lug nut", "lug nuts", "lug bolts")
    if is_wheel and not any(other in words for other in _OTHER_PARTS_OF_A_WHEEL):
        return Fastener.WHEEL
    return None


class TorqueUnit(enum.Enum):
    """The unit of a torque; the value is how it is printed."""

    NEWTON_METRE = "N·m"
    POUND_FOOT = "lb ft"
    POUND_INCH = "lb in"
    KILOGRAM_METRE = "kgf·m"

    @property
    def newton_metres(self) -> Fraction:
        """Its exact size. [N·m]"""
        return _SIZES[self]


_POUND_FORCE_N = Fraction("0.45359237") * Fraction("9.80665")
"""1 lbf = 0.453 592 37 kg x 9.806 65 m/s2 exactly (NIST SP 811, App. B). [N]"""
_SIZES = {
    TorqueUnit.NEWTON_METRE: Fraction(1),
    TorqueUnit.POUND_FOOT: _POUND_FORCE_N * Fraction("0.3048"),
    TorqueUnit.POUND_INCH: _POUND_FORCE_N * Fraction("0.0254"),
    TorqueUnit.KILOGRAM_METRE: Fraction("9.80665"),
}
_POUND = r"(?:lbs?f?|pounds?)"
_FOOT = r"f(?:oo|ee)?t"
_WORDS = (
    (TorqueUnit.NEWTON_METRE, r"n[ .·*-]?m"),
    (TorqueUnit.POUND_FOOT, rf"{_POUND}[ .·*-]?{_FOOT}|{_FOOT}[ .·*-]?{_POUND}"),
    (TorqueUnit.POUND_INCH, r"lbs?f?[ .·*-]?in|in[ .·*-]?lbs?f?"),
    (TorqueUnit.KILOGRAM_METRE, r"kgf?[ .·*-]?m"),
)
_NUMBER = r"(?<![0-9.,])[0-9]{1,4}(?:[.,][0-9]{1,2})?(?![0-9.,])"
_UNITS = "|".join(f"(?P<u{n}>{words})" for n, (_, words) in enumerate(_WORDS))
_PRINTED = re.compile(
    rf"(?P<first>{_NUMBER})\s*(?:(?P<to>-|–|to|±|\+/-)\s*(?P<second>{_NUMBER})\s*)?"
    rf"(?:{_UNITS})(?![a-z])",
    re.IGNORECASE | re.ASCII,
)
_ANGLE = re.compile(r"([0-9]{1,3})\s*(?:°|deg)", re.IGNORECASE | re.ASCII)
LEAST, MOST = Fraction(1), Fraction(2000)
"""Torques that a fastener of a brake or wheel can have. Assumption: from a retaining screw to the
wheel nuts of a heavy truck. [N·m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedTorque:
    """One figure of a torque: from and to, the same where one number is printed."""

    least: Fraction
    """[N·m]"""
    most: Fraction
    """[N·m]"""


def printed_torques(text: str) -> tuple[PrintedTorque, ...]:
    """Return the figures that a text holds, one for each unit; none where it cannot be read.

    >>> [float(each.least) for each in printed_torques("110 N·m (81 lb ft)")]
    [110.0, 109.8]
    """
    return tuple(_printed(found) for found in _PRINTED.finditer(text))


def _printed(found: re.Match[str]) -> PrintedTorque:
    size = _unit(found).newton_metres
    first = _number(found["first"]) * size
    if found["second"] is None:
        return PrintedTorque(least=first, most=first)
    second = _number(found["second"]) * size
    if found["to"] in ("±", "+/-"):
        return PrintedTorque(least=first - second, most=first + second)
    return PrintedTorque(least=min(first, second), most=max(first, second))


def _unit(found: re.Match[str]) -> TorqueUnit:
    return next(unit for n, (unit, _) in enumerate(_WORDS) if found[f"u{n}"] is not None)


def _number(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


def angle_of(text: str) -> int | None:
    """Return the angle that a fastener is turned on by after its torque. [degrees]

    >>> angle_of("30 N·m + 90°"), angle_of("110 N·m")
    (90, None)
    """
    found = _ANGLE.search(text)
    return int(found[1]) if found else None


def parse_torque(text: str, *, declared: TorqueUnit | None = None) -> str:
    """Return a torque as it is kept: what was typed, with a unit.

    Parameters
    ----------
    text : str
        ``110 N·m``, ``110Nm``, ``81 lb ft``; an angle may follow: ``30 N·m + 90°``.
    declared : TorqueUnit, optional
        The unit of a number typed without one; None means that it must be typed.

    Raises
    ------
    InvalidInput
        Where it is not one torque with its unit, or no fastener has it.
    """
    body = " ".join(text.replace('"', " ").split())
    if declared is not None and re.fullmatch(_NUMBER, body, re.ASCII):
        body = f"{body} {declared.value}"
    found = printed_torques(body)
    at_front = _PRINTED.match(body)
    if len(found) != 1 or at_front is None or at_front["second"] is not None:
        raise InvalidInput(
            f"{clip(text)!r} is not one torque with its unit",
            hint='such as "110 N·m" or "81 lb ft"',
        )
    rest = body[at_front.end() :].strip(" +,")
    if rest and _ANGLE.fullmatch(rest.removesuffix("rees").removesuffix("ree")) is None:
        raise InvalidInput(f"{clip(rest)!r} stands behind the torque", hint="such as 30 N·m + 90°")
    if not LEAST <= found[0].least <= MOST:
        raise InvalidInput(f"{clip(text)!r} is no torque of a fastener", hint="check the unit")
    return body
