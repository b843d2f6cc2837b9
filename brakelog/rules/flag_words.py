"""The words for uneven wear: both figures, the difference, and from where on it is looked into."""

from __future__ import annotations

from brakelog.record.corner import axle_name
from brakelog.record.quantity import Part
from brakelog.record.shop import Shop
from brakelog.rules.figure import both_units, one_unit
from brakelog.rules.flag import Flag, FlagKind

_PLURAL = {Part.ROTOR: "rotors", Part.PADS: "pads", Part.DRUM: "drums", Part.SHOES: "shoes"}


def flag_sentence(flag: Flag, shop: Shop) -> str:
    """Return one flag in one or two sentences for the service writer."""
    return f"{flag_fact(flag, shop)}; {_from(flag, shop)}."


def flag_fact(flag: Flag, shop: Shop) -> str:
    """Return what was read and how far it differs, without what follows."""
    fine = flag.kind.is_information
    apart = both_units(flag.difference_nm, shop, fine=fine, against=[flag.threshold_nm])
    worn, other = (one_unit(spot.nm, shop, fine=fine) for spot in (flag.worn, flag.other))
    match flag.kind:
        case FlagKind.INNER_OUTER | FlagKind.SHOES:
            return (
                f"{flag.worn.corner} {flag.worn.position.label} {worn}, "
                f"{flag.other.position.label} {other}: {apart} apart"
            )
        case FlagKind.TAPER:
            return (
                f"{flag.worn.corner} {flag.worn.position.label} {worn} at the {flag.worn.place}, "
                f"{other} at the {flag.other.place}: {apart} taper"
            )
        case FlagKind.SIDES:
            return (
                f"{_pair(flag)}, thinnest: {flag.worn.corner} {worn}, "
                f"{flag.other.corner} {other}, {apart} apart"
            )
        case _:
            return (
                f"{_pair(flag)}: {flag.worn.corner} {worn}, {flag.other.corner} {other}, "
                f"{apart} apart"
            )


def _pair(flag: Flag) -> str:
    return f"{axle_name(flag.axle)} {_PLURAL[flag.part]}".capitalize()


def _from(flag: Flag, shop: Shop) -> str:
    threshold = one_unit(flag.threshold_nm, shop, fine=flag.kind.is_information)
    match flag.kind:
        case FlagKind.ROTORS:
            return "for information"
        case FlagKind.DRUMS:
            return f"for information: one repair manual allows {threshold} after cutting"
        case FlagKind.TAPER if flag.is_severe:
            return "beyond 3 mm common practice is to replace, and to look for the cause"
        case _:
            caliper = ", fixed caliper" if flag.for_fixed else ""
            return f"look for the cause from {threshold} on (common practice{caliper})"
