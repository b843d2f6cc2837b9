"""In which order the parts of a vehicle are told: what ends first comes first."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from brakelog.record.corner import axle_name
from brakelog.record.quantity import Part
from brakelog.rules.part_history import PlaceHistory, RunningPart, VehicleHistory
from brakelog.wear.projection import Refusal

_PLURAL = {Part.ROTOR: "rotors", Part.PADS: "pads", Part.DRUM: "drums", Part.SHOES: "shoes"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The places that are bought together: one kind of part of one axle."""

    axle: int
    part: Part
    places: tuple[PlaceHistory, ...]
    """In the order of the corners; only those with anything on record."""

    @property
    def name(self) -> str:
        """``Front pads`` and the like."""
        return f"{axle_name(self.axle)} {_PLURAL[self.part]}".capitalize()

    @property
    def first(self) -> PlaceHistory:
        """The place whose part ends first, and with it the set."""
        return min(self.places, key=_of_place)


def sections_of(history: VehicleHistory) -> list[Section]:
    """Return what is on record by axle and kind of part, what ends first at the top."""
    known = [place for place in history.places if not place.is_bare]
    known.sort(key=_kind)
    sections = [
        Section(axle=axle, part=part, places=tuple(places))
        for (axle, _, part), places in groupby(
            known, key=lambda place: (*_kind(place), _part(place))
        )
    ]
    return sorted(sections, key=lambda section: _of_place(section.first))


def running_first(history: VehicleHistory) -> list[tuple[PlaceHistory, RunningPart]]:
    """Return the parts that are on the vehicle, what ends first at the top."""
    pairs = [(place, place.running) for place in history.places if place.running is not None]
    return sorted(pairs, key=lambda pair: urgency(pair[1]))


def urgency(part: RunningPart) -> tuple[int, int]:
    """Return what sorts a part: the smaller, the sooner somebody has to look at it.

    At its limit or too close to it; waiting for an answer; by the distance that is stated, or
    that a typical part would last; last of all where neither is known.
    """
    projection = part.told.projection
    if part.life.is_out or projection.refusal is Refusal.WITHIN_ERROR:
        return 0, 0
    if projection.refusal is Refusal.UNRESOLVED:
        return 1, projection.typical_mm or 0
    if projection.refusal is None:
        return 2, projection.uncapped_at_least_mm or 0
    if projection.typical_mm is not None:
        return 2, projection.typical_mm
    return 3, 0


def _of_place(place: PlaceHistory) -> tuple[int, int]:
    return (4, 0) if place.running is None else urgency(place.running)


def _part(place: PlaceHistory) -> Part:
    return place.position.part


def _kind(place: PlaceHistory) -> tuple[int, str]:
    return place.corner.axle, _part(place).value
