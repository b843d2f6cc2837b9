"""Names of places and parts for a customer."""

from __future__ import annotations

from brakelog.record.corner import Corner, Side
from brakelog.record.finding import Finding
from brakelog.record.quantity import Part, Position
from brakelog.reports.language.language import Language
from brakelog.rules.verdict import PartVerdict

_AXLES = {1: "front", 2: "rear"}
"""Axles that have names; further ones are counted."""
_SIDES = {Side.LEFT: "left", Side.RIGHT: "right"}


def axle_words(lang: Language, axle: int) -> str:
    """Return an axle: ``front``."""
    return lang.say(f"axle.{_AXLES.get(axle, 'other')}", number=str(axle))


def axle_heading(lang: Language, axle: int) -> str:
    """Return an axle as a heading: ``Front axle``."""
    return lang.say(f"axle_heading.{_AXLES.get(axle, 'other')}", number=str(axle))


def place_of(lang: Language, corner: Corner) -> str:
    """Return the place of a corner: ``left front``."""
    key = f"place.{_SIDES[corner.side]}_{_AXLES.get(corner.axle, 'other')}"
    return lang.say(key, number=str(corner.axle))


def axle_parts(lang: Language, axle: int, part: Part) -> str:
    """Return the parts of an axle: ``front brake pads``."""
    return lang.say(f"axle_parts.{part.value}", axle=axle_words(lang, axle))


def axle_part(lang: Language, axle: int, part: Part) -> str:
    """Return one part of an axle, whichever side: ``front brake disc``."""
    return lang.say(f"axle_part.{part.value}", axle=axle_words(lang, axle))


def brakes_of(lang: Language, axle: int) -> str:
    """Return the brakes of an axle as a whole: ``Front brakes``."""
    return lang.sentence("axle_parts.brakes", axle=axle_words(lang, axle))


def part_at(lang: Language, corner: Corner, part: Part | None) -> str:
    """Return the part of a corner, or its brakes: ``left front brake disc``."""
    key = "brakes" if part is None else part.value
    return lang.say(f"part_at.{key}", place=place_of(lang, corner))


def position_name(lang: Language, position: Position, *, has_plate: bool = False) -> str:
    """Return a part whose size was read: ``inner pad``."""
    return lang.say(f"position{'_with_plate' if has_plate else ''}.{position.value}")


def position_at(lang: Language, corner: Corner, position: Position) -> str:
    """Return such a part with its place: ``left front inner pad``."""
    return lang.say(f"position_at.{position.value}", place=place_of(lang, corner))


def finding_words(lang: Language, finding: Finding) -> str:
    """Return what was found on a part, to stand behind its name or place."""
    return lang.say(f"finding.{finding.kind.value}.{finding.part.value}")


def both_sides(lang: Language, parts: list[PartVerdict]) -> list[str]:
    """Name parts by axle where both sides are among them, else by corner."""
    names = []
    for part in parts:
        twin = any(p.corner == part.corner.mate and p.part is part.part for p in parts)
        if twin:
            names.append(axle_parts(lang, part.corner.axle, part.part))
        else:
            names.append(part_at(lang, part.corner, part.part))
    return list(dict.fromkeys(names))
