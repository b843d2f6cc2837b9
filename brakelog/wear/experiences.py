"""The experience of a whole shop: which belief goes with which part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from brakelog.wear.experience import VEHICLE_SHARE, Experience, WearKind, general_experience


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Part lives that share one experience.

    Parameters
    ----------
    kind
        Group of parts.
    axle
        1 for the front axle, 2 for any axle behind it.
    vehicle_class
        Class of the vehicle; empty for all classes together, and where nobody has named it.
    model
        Limit sheet of the vehicle; empty for all models of the class together.
    """

    kind: WearKind
    axle: int
    vehicle_class: str = ""
    model: str = ""

    @property
    def above(self) -> Group | None:
        """The group that this one is a part of; None for a component and axle."""
        if self.model and self.vehicle_class:
            return Group(kind=self.kind, axle=self.axle, vehicle_class=self.vehicle_class)
        if self.model or self.vehicle_class:
            return Group(kind=self.kind, axle=self.axle)
        return None


def group_of(kind: WearKind, *, axle: int, vehicle_class: str | None, model: str | None) -> Group:
    """Return the narrowest group that a part may belong to."""
    return Group(
        kind=kind,
        axle=min(axle, 2),
        vehicle_class=vehicle_class or "",
        model=model or "",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Experiences:
    """What a shop has learned, by group; nothing where it has no data of its own."""

    by_group: Mapping[Group, Experience] = field(default_factory=dict)
    vehicle_share: float = VEHICLE_SHARE
    """Share of the variance between rates that stays with a vehicle from set to set. [-]"""

    def of(self, group: Group, *, new_mm: float | None, limit_mm: float) -> Experience:
        """Return the experience of the narrowest group that has one, else the general one.

        Parameters
        ----------
        group
            The narrowest group of the part.
        new_mm
            New size, if it is known. [mm]
        limit_mm
            Size at which the part must go. [mm]
        """
        at: Group | None = group
        while at is not None:
            found = self.by_group.get(at)
            if found is not None:
                return found
            at = at.above
        return general_experience(group.kind, new_mm=new_mm, limit_mm=limit_mm)
