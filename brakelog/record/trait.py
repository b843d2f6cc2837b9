"""Traits of a vehicle variant: what kind of brake it is, beyond its limits."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brakelog.errors import InvalidInput, clip

TRAITS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "caliper": ("floating", "fixed"),
        "parking-brake": ("none", "cable", "drum-in-hat", "electric"),
        "faster-pad": ("inner", "outer"),
        "faster-axle": ("front", "rear"),
        "shoes": ("leading-trailing", "duo-servo"),
        "lining": ("bonded", "riveted"),
        "actuation": ("hydraulic", "air", "electric"),
        "steering": ("yes", "no"),
        "class": ("car", "light", "heavy"),
        "rotor-matched": ("yes", "no"),
        "machining": ("allowed", "not-allowed"),
        "wear-sensor": ("yes", "no"),
        "fasteners": (),
        "tyre": (),
    }
)
"""Name to the words that are allowed; none listed: free text in a form of its own.

``faster-pad`` and ``faster-axle`` name the wear that is normal for the variant, so that it raises
no alarm. ``rotor-matched`` means that rotor and hub were mounted to suit each other."""

WHOLE_VEHICLE = frozenset({"faster-axle", "class", "tyre"})
"""Traits of the vehicle, not of an axle; their axle is 0."""
_FORMS = {
    "fasteners": (re.compile(r"[3-9]|1[0-2]"), "a number of wheel fasteners from 3 to 12"),
    "tyre": (re.compile(r"\d{3}/\d{2}Z?R\d{2}(\.\d)?", re.ASCII), "such as 205/55R16"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trait:
    """One trait of the variant that a limit sheet is for."""

    id: str
    sheet: str
    axle: int
    """0 for the vehicle as a whole."""
    name: str
    value: str
    source: str = ""


def check_trait(name: str, value: str, axle: int) -> tuple[str, str]:
    """Return name and value of a trait as they are kept.

    Raises
    ------
    InvalidInput
        Where there is no such trait, the value is none of its words, or it does not belong to an
        axle.
    """
    name = name.strip().lower()
    if name not in TRAITS:
        raise InvalidInput(f"{clip(name)!r} is not a trait", hint=" ".join(TRAITS))
    if (axle == 0) != (name in WHOLE_VEHICLE):
        wanted = "the vehicle" if name in WHOLE_VEHICLE else "an axle"
        raise InvalidInput(f"{name} is a trait of {wanted}", hint="front, rear, axle 3 or vehicle")
    text = value.strip()
    if name in _FORMS:
        form, hint = _FORMS[name]
        text = text.upper()
        if form.fullmatch(text) is None:
            raise InvalidInput(f"{clip(value)!r} is not allowed for {name}", hint=hint)
        return name, text
    text = text.lower()
    if text not in TRAITS[name]:
        raise InvalidInput(
            f"{clip(value)!r} is not allowed for {name}", hint=" ".join(TRAITS[name])
        )
    return name, text
