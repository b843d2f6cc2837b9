"""What is known before anything is typed: gauges, people, the declared unit, the stage."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from brakelog.errors import InvalidInput, clip
from brakelog.intake.nearest import did_you_mean
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, axle_name
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Stage
from brakelog.record.vehicle import AxleBrake

NO_GAUGE = "none"
"""Says that none of the gauges on file was used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What holds for everything typed in one go."""

    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    """By tag, in lower case."""
    earlier_gauges: Mapping[str, Gauge] = field(default_factory=dict)
    """By id: gauges as they stood when an answer of a draft was given."""
    people: Mapping[str, str] = field(default_factory=dict)
    """Tag in lower case to the id of the person."""
    declared: LengthUnit | None = None
    """The unit of the visit, for numbers with neither a unit nor a gauge."""
    stage: Stage = Stage.AS_FOUND
    brakes: tuple[AxleBrake, ...] = ()
    """The brake of each axle where the vehicle is known; empty checks nothing."""

    def gauge_for(self, quantity: Quantity) -> Gauge | None:
        """The gauge taken where none is named; None where no gauge or several would do."""
        found = [gauge for gauge in self.gauges.values() if quantity in gauge.used_for]
        return found[0] if len(found) == 1 else None

    def gauge_by_id(self, gauge_id: str | None) -> Gauge | None:
        """The gauge with that id, if it is among those known."""
        now = next((gauge for gauge in self.gauges.values() if gauge.id == gauge_id), None)
        return now or self.earlier_gauges.get(gauge_id or "")

    def brake_of(self, corner: Corner) -> AxleBrake | None:
        """The brake of the corner; None where the vehicle is not known.

        Raises
        ------
        InvalidInput
            Where the vehicle has no such axle.
        """
        if not self.brakes:
            return None
        if corner.axle > len(self.brakes):
            raise InvalidInput(
                f"there is no corner {corner}: the vehicle has no {axle_name(corner.axle)}",
                hint=f"it has {len(self.brakes)} axle(s)",
            )
        return self.brakes[corner.axle - 1]

    def gauge_called(self, text: str) -> Gauge | None:
        """The gauge of that tag; None for ``none``.

        Raises
        ------
        InvalidInput
            Where no gauge goes by it.
        """
        tag = text.strip().lower()
        if tag in self.gauges:
            return self.gauges[tag]
        if tag == NO_GAUGE:
            return None
        raise InvalidInput(
            f"no gauge {clip(text)!r} is on file",
            hint=did_you_mean(tag, sorted(self.gauges)) or "add it to the gauges first",
        )

    def person_called(self, text: str) -> str:
        """The tag in lower case.

        Raises
        ------
        InvalidInput
            Where nobody goes by it.
        """
        tag = text.strip().lower()
        if tag not in self.people:
            raise InvalidInput(
                f"nobody called {clip(text)!r} is on file",
                hint=did_you_mean(tag, sorted(self.people)) or "add the person first",
            )
        return tag
