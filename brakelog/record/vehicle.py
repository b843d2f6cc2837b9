"""Vehicles and how they are told apart."""

from __future__ import annotations

import re
from dataclasses import dataclass

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import DistanceUnit
from brakelog.record.member import Member
from brakelog.record.quantity import Part


class AxleBrake(Member):
    """The brake of one axle."""

    DISC = "disc"
    DRUM = "drum"


BRAKE_OF = {
    Part.PADS: AxleBrake.DISC,
    Part.ROTOR: AxleBrake.DISC,
    Part.SHOES: AxleBrake.DRUM,
    Part.DRUM: AxleBrake.DRUM,
}
"""The brake that a part belongs to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """One vehicle of the shop."""

    id: str
    tag: str
    """The shop's own short name for it, unique."""
    description: str
    brakes: tuple[AxleBrake, ...]
    """The brake of each axle from the front."""
    odometer_unit: DistanceUnit
    sheet: str | None = None
    """Name of the limit sheet."""
    plate: str = ""
    vin: str = ""
    customer_id: str | None = None


def parse_brakes(text: str) -> tuple[AxleBrake, ...]:
    """Read ``disc/drum`` and the like, from the front axle to the last.

    Raises
    ------
    InvalidInput
        Where a word is neither disc nor drum, or there are more than nine axles.
    """
    words = [word.strip().lower() for word in text.split("/")]
    if not 1 <= len(words) <= 9 or any(word not in ("disc", "drum") for word in words):
        raise InvalidInput(
            f"{clip(text)!r} does not say the brakes", hint="such as disc/disc or disc/drum"
        )
    return tuple(AxleBrake(word) for word in words)


_VIN = re.compile(r"[A-HJ-NPR-Z0-9]{17}", re.ASCII)
_VALUES = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", "12345678123457923456789", strict=True))
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""Transliteration and weights of 49 CFR 565.15(c); from memory."""


def check_vin(text: str) -> str:
    """Return the VIN in capitals.

    The ninth character is a check digit on vehicles built for North America, whose first
    character is 1 to 5; elsewhere any character may stand there (ISO 3779; from memory).

    Raises
    ------
    InvalidInput
        Where it has not 17 characters, has I, O or Q, or its check digit is wrong.

    Examples
    --------
    >>> check_vin("11111111111111111")
    '11111111111111111'
    """
    vin = "".join(text.split()).upper()
    if _VIN.fullmatch(vin) is None:
        raise InvalidInput(
            f"{clip(text)!r} is not a VIN", hint="17 characters, letters without I, O and Q"
        )
    if vin[0] in "12345":
        total = sum(
            weight * int(_VALUES.get(sign, sign))
            for weight, sign in zip(_WEIGHTS, vin, strict=True)
        )
        expected = "0123456789X"[total % 11]
        if vin[8] != expected:
            raise InvalidInput(
                f"the check digit of VIN {vin} is {vin[8]} and should be {expected}",
                hint="read it from the vehicle again",
            )
    return vin
