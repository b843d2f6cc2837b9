"""Names of places and parts for a customer."""

from __future__ import annotations

from brakelog.record.corner import Corner, Side, axle_name
from brakelog.record.quantity import Part, Position
from brakelog.rules.verdict import (
    PartVerdict,
)

_NAMES = {
    Part.PADS: "brake pads",
    Part.ROTOR: "brake discs",
    Part.SHOES: "brake shoes",
    Part.DRUM: "brake drums",
}


ONE_PART = {
    Part.PADS: "brake pads",
    Part.ROTOR: "brake disc",
    Part.SHOES: "brake shoes",
    Part.DRUM: "brake drum",
}


POSITION_NAMES = {
    Position.ROTOR: "brake disc",
    Position.PAD_INNER: "inner pad",
    Position.PAD_OUTER: "outer pad",
    Position.DRUM: "brake drum",
    Position.SHOE_LEADING: "leading shoe",
    Position.SHOE_TRAILING: "trailing shoe",
}
_SIDES = {Side.LEFT: "left", Side.RIGHT: "right"}


def place_of(corner: Corner) -> str:
    """Return the place of a corner: ``left front``."""
    side, axle = _SIDES[corner.side], axle_name(corner.axle)
    return f"{side} {axle}" if corner.axle <= 2 else f"{side} side of {axle}"


def axle_parts(axle: int, part: Part) -> str:
    """Return the parts of an axle: ``front brake pads``."""
    return f"{axle_name(axle)} {_NAMES[part]}"


def brakes_of(axle: int) -> str:
    """Return the brakes of an axle as a whole: ``Front brakes``."""
    return f"{axle_name(axle)} brakes".capitalize()


def both_sides(parts: list[PartVerdict]) -> list[str]:
    """Name parts by axle where both sides are among them, else by corner."""
    names = []
    for part in parts:
        twin = any(p.corner == part.corner.mate and p.part is part.part for p in parts)
        if twin:
            names.append(axle_parts(part.corner.axle, part.part))
        else:
            names.append(f"{place_of(part.corner)} {ONE_PART[part.part]}")
    return list(dict.fromkeys(names))


def listed(names: list[str]) -> str:
    """Return names in a row: ``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
