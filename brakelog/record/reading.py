"""Reading sets: the values taken in one go of one quantity at one corner with one gauge."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.gauge import Tips
from brakelog.record.member import Member
from brakelog.record.quantity import Quantity


class Stage(Member):
    """Before or after the work of a visit."""

    AS_FOUND = "as found"
    AS_LEFT = "as left"


class Datum(Member):
    """Where a lining reading starts."""

    LINING = "lining"
    WITH_PLATE = "with plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSet:
    """One row of evidence; never changed once written."""

    id: str
    visit_id: str
    corner: Corner
    quantity: Quantity
    stage: Stage
    values_nm: tuple[int | None, ...]
    """In the order taken; None where a point was not measured. [nm]"""
    typed: tuple[str, ...]
    """What was typed for each value, character for character; empty where not measured."""
    unit: LengthUnit
    """The unit declared for numbers typed without one."""
    datum: Datum | None = None
    """For linings only."""
    again_nm: int | None = None
    """The first point, read once more at the end. [nm]"""
    again_typed: str = ""
    gauge_id: str | None = None
    tips: Tips | None = None
    person_id: str | None = None
    temperature_dc: int | None = None
    """Temperature of the part. [tenths of a degree Celsius]"""
    zero_error_nm: int = 0
    """Zero error of the day: indicated minus true. [nm]"""
    radius_nm: int | None = None
    """Where it was read: distance from the rotor's edge, or radius on a hub face. [nm]"""
    fasteners_fitted: int | None = None
    fasteners_of: int | None = None
    bearing_checked: bool | None = None
    returned_to_start: bool | None = None
    """Whether the indicator came back to its start after one turn."""
    rotor_index: int | None = None
    """For a runout: studs that the rotor was turned on its hub, counted from its first mark."""
    lip: bool | None = None
    """Whether the rotor has an unworn lip at its edge; None where nobody said."""
    in_groove: bool | None = None
    """Whether the lowest point of a scored rotor was read down in its groove."""
    corrects: str | None = None
    """The set that this one stands in for."""
    recorded_at: datetime | None = None

    measured_nm: tuple[int, ...] = field(init=False, compare=False, repr=False)
    """The values that were measured, in order. [nm]"""

    def __post_init__(self) -> None:
        """Pick the values that were measured, once: every rule asks for them."""
        measured = tuple(value for value in self.values_nm if value is not None)
        object.__setattr__(self, "measured_nm", measured)

    @property
    def every_nm(self) -> tuple[int, ...]:
        """The values that were measured, and the first point where it was read once more. [nm]"""
        return self.measured_nm if self.again_nm is None else (*self.measured_nm, self.again_nm)
