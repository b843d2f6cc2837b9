"""The words for what may become of an axle: which part ends it, and when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brakelog.record.quantity import POSITIONS_OF, Part
from brakelog.record.shop import Shop
from brakelog.rules.advice_words import cut_sentence, match_sentence
from brakelog.rules.figure import about, distance
from brakelog.rules.life_words import rounded_distance, whose_experience
from brakelog.rules.lives import PositionLife
from brakelog.rules.verdict import Grounds
from brakelog.rules.world import Bar, Obstacle, Plan, World
from brakelog.wear.projection import Note, Refusal, at_least_rounded_mm, median_rounded_mm

PLURAL = {Part.ROTOR: "rotors", Part.PADS: "pads", Part.DRUM: "drums", Part.SHOES: "shoes"}

AT_ONCE = "Noise, pull, a warning lamp or a soft pedal: come back at once."
"""Common practice: a distance is no promise."""


def world_sentence(world: World, shop: Shop) -> str:
    """Return what follows from one plan for an axle, or why it is not open."""
    first, *rest = _sentences(world, shop) or ["nothing can be said."]
    return " ".join([f"{_head(world)}: {first}", *(_capital(each) for each in rest)])


def basis_sentence(worlds: Iterable[World], shop: Shop) -> str:
    """Return what the distances of new parts rest on; empty where none has one."""
    lives = [
        life
        for world in worlds
        for life in world.stated
        if Note.EXPERIENCE_ONLY in life.projection.notes
    ]
    experiences = [life.projection.experience for life in lives]
    whose = dict.fromkeys(whose_experience(each) for each in experiences)
    if not whose:
        return ""
    text = "What is new or cut counts from "
    if all(Note.NOMINAL_START in life.projection.notes for life in lives):
        text += "a size on paper"
    else:
        text += "its size when fitted"
    text += f"; its pace is that of {', and of '.join(whose)}"
    if not all(each.lives_behind for each in experiences):
        text += "; no shop data yet"
    return f"{text}."


def _sentences(world: World, shop: Shop) -> list[str]:
    if not world.is_told:
        return [_why_not(world, shop)]
    come_back = _come_back(world, shop)
    if come_back:
        return [come_back, *_silent(world, shop), AT_ONCE]
    return [
        *_cut(world, shop),
        *_stated(world, shop),
        *_silent(world, shop),
        *_match(world, shop),
    ]


def _head(world: World) -> str:
    linings, irons = PLURAL[world.lining], PLURAL[world.iron]
    match world.plan:
        case Plan.LEFT:
            return "If left"
        case Plan.KEPT:
            text = f"New {linings}, {irons} kept"
        case Plan.REFINISHED:
            text = f"New {linings}, {irons} refinished"
            if world.is_told and not world.cut_is_asked:
                text += ", which is not asked for"
        case Plan.NEW:
            text = f"New {linings} and {irons}"
    if world.is_told and world.needs_correction:
        text += ", once what is required is put right"
    return text


# Where the plan is not open


def _why_not(world: World, shop: Shop) -> str:
    if world.plan is Plan.LEFT:
        texts = [
            f"{each.corner} {each.part.value} {each.word.value}"
            for each in world.obstacles
            if each.word is not None
        ]
        grounds = Grounds.REQUIRED.value
        return f"it must not be left as it is ({grounds}: {'; '.join(texts)})."
    return _sentence(_obstacles(world.obstacles, shop))


def _obstacles(obstacles: Iterable[Obstacle], shop: Shop) -> Iterator[str]:
    """Yield each reason once, with the parts that it is about."""
    places: dict[tuple[Part, str], list[str]] = {}
    for each in obstacles:
        text = _BAR_WORDS.get(each.bar, "")
        if not text and each.option is not None:
            text = _small(cut_sentence(each.option.because, each.option.cut, shop))
        places.setdefault((each.part, text), []).append(each.corner.code)
    for (part, text), corners in places.items():
        name = part.value if len(corners) == 1 else PLURAL[part]
        yield f"{' and '.join(dict.fromkeys(corners))} {name}: {text}"


_BAR_WORDS = {
    Bar.MUST_GO: "must be replaced",
    Bar.MUST_BE_CUT: "must be refinished",
    Bar.NOT_MEASURED: "not measured",
    Bar.NO_LIMIT: "no usable limit on file",
    Bar.IN_QUESTION: "a reading is in question",
    Bar.MEASURE_AGAIN: "to be measured again first",
    Bar.NOT_PROVEN: "not proven to be in limits",
    Bar.NO_NEW_SIZE: "no new size on file",
    Bar.CUT_LIMIT_UNKNOWN: "no machine-to limit on file, so that nobody can say",
}


# Which part ends first


def _come_back(world: World, shop: Shop) -> str:
    """Return when to come back where suggested work is left; nothing where none is suggested."""
    if not world.suggested:
        return ""
    going = {(each.corner, each.part) for each in world.suggested}
    first = next(
        (each for each in world.stated if (each.corner, each.position.part) in going), None
    )
    if first is None:
        return "no distance can be named for what is suggested."
    bound_mm = at_least_rounded_mm(first.projection, shop.distance_unit.mm)
    name = f"{first.corner} {first.position.label}"
    if not bound_mm:
        return f"no distance can be promised; {name} may reach its limit any day."
    text = f"come back within {distance(bound_mm, shop.distance_unit)}"
    if first.dates and first.dates.at_least:
        text += f" or by {first.dates.at_least}"
    text += f", when {name} may be at its limit"
    if world.match is not None:
        corner, match = world.match
        size = about(match.end_nm, shop, against=[match.figure.nm])
        side = "beyond" if match.is_out else "still inside"
        limit = match.figure.figure.text.strip()
        text += f"; the {corner} rotor would then be about {size}, {side} discard {limit}"
    return f"{text}."


def _stated(world: World, shop: Shop) -> Iterator[str]:
    """Yield the end of the part that is first, then that of its counterpart."""
    told: set[Part] = set()
    for life in world.stated:
        part = life.position.part
        if part in told:
            continue
        leads = not told
        told.add(part)
        yield _end(world, life, shop, leads=leads)


def _end(world: World, life: PositionLife, shop: Shop, *, leads: bool) -> str:
    projection, unit = life.projection, shop.distance_unit
    name = _name(world, life)
    bound_mm = at_least_rounded_mm(projection, unit.mm)
    if not bound_mm:
        return f"{name}: no safe distance can be stated."
    is_first = leads and world.is_complete and Note.FAR_EXTRAPOLATION not in projection.notes
    text = f"{name} first: " if is_first else f"{name}: "
    text += ("9 of 10 get " if leads else "") + f"at least {distance(bound_mm, unit)}"
    if life.dates is not None:
        day = life.dates.at_least
        text += f", not before {day}" if day else ", more than five years ahead"
    if Note.FAR_EXTRAPOLATION in projection.notes:
        return f"{text}; no more can be said yet."
    median_mm = median_rounded_mm(projection, unit.mm)
    if leads and median_mm is not None:
        text += f"; half get about {distance(median_mm, unit)} or more"
    return f"{text}."


def _name(world: World, life: PositionLife) -> str:
    """Return the part by its place, or its kind where all of that kind end together."""
    part = life.position.part
    alike = [
        each
        for each in world.stated
        if each.position.part is part and each.projection.at_least_mm == life.projection.at_least_mm
    ]
    if len(alike) == 2 * len(POSITIONS_OF[part]):
        return f"the {PLURAL[part]}"
    return f"{life.corner} {life.position.label}"


# What nothing can be said of


def _silent(world: World, shop: Shop) -> Iterator[str]:
    typical = ", ".join(_typical(world, shop))
    if typical:
        yield f"no projection for this car; typical ones would last: {typical}."
    texts = [*_refusals(world), *_obstacles(world.passed_over, shop)]
    if texts:
        yield _sentence(texts)


def _is_typical(life: PositionLife) -> bool:
    """Whether nothing is known of the part but how long such parts usually last."""
    projection = life.projection
    return (
        projection.refusal in (Refusal.NO_BASIS, Refusal.NO_READING)
        and projection.typical_mm is not None
    )


def _typical(world: World, shop: Shop) -> Iterator[str]:
    """Yield for each kind of part the shortest distance that a typical one would last."""
    found: dict[Part, list[PositionLife]] = {}
    for life in filter(_is_typical, world.unstated):
        found.setdefault(life.position.part, []).append(life)
    for part, lives in found.items():
        shortest_mm = min(life.projection.typical_mm or 0 for life in lives)
        name = _names(part, lives).removeprefix("the ")
        yield f"{name} about {rounded_distance(shortest_mm, shop)}"


def _refusals(world: World) -> Iterator[str]:
    by_text: dict[str, dict[Part, list[PositionLife]]] = {}
    for life in world.unstated:
        if not _is_typical(life):
            text = _REFUSALS.get(life.projection.refusal, "nothing can be said")
            by_text.setdefault(text, {}).setdefault(life.position.part, []).append(life)
    for text, parts in by_text.items():
        names = [_names(part, lives) for part, lives in parts.items()]
        yield f"{' and '.join(names)}: {text}"


def _names(part: Part, lives: list[PositionLife]) -> str:
    if len(lives) == 2 * len(POSITIONS_OF[part]):
        return f"the {PLURAL[part]}"
    return " and ".join(f"{each.corner} {each.position.label}" for each in lives)


_REFUSALS: dict[Refusal | None, str] = {
    Refusal.NO_LIMIT: "no usable limit on file",
    Refusal.LIMIT_NOT_INSIDE_NEW: "the limit is not inside the new size",
    Refusal.UNRESOLVED: "no projection until what is open about the wear is cleared up",
    Refusal.TOO_OLD: "the reading is too old",
    Refusal.NO_BASIS: "how fast it wears is not known",
    Refusal.NO_READING: "its size is not known",
}


# Rotors


def _cut(world: World, shop: Shop) -> Iterator[str]:
    """Yield what the cut leaves at the corner where that is least."""
    if not world.options:
        return
    pick = min if world.iron is Part.ROTOR else max
    corner, option = pick(world.options, key=lambda pair: pair[1].cut.after_nm)
    yield f"at {corner} {_small(cut_sentence(option.because, option.cut, shop))}."


def _match(world: World, shop: Shop) -> Iterator[str]:
    """Yield how the rotor would stand after these pads; a reason of the verdict is not repeated."""
    if world.match is None:
        return
    corner, match = world.match
    if world.plan is Plan.REFINISHED:
        end = about(match.end_nm, shop, against=[match.figure.nm])
        side = "beyond" if match.is_out else "still inside"
        limit = match.figure.figure.text.strip()
        yield f"after these pads the {corner} rotor would be {end}, {side} discard {limit}."
    elif not match.is_out:
        yield f"{corner}: {match_sentence(match, shop)}"


def _sentence(texts: Iterable[str]) -> str:
    return "; ".join(texts) + "."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _small(text: str) -> str:
    return (text[:1].lower() + text[1:]).rstrip(".")
