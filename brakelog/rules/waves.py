"""The thickness round one circle of a rotor: its waves, and what so few points cannot see."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.metrology.profile import (
    LEAST_POINTS,
    OrderFound,
    blind_orders,
    folded,
    missed_share,
    orders,
)
from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.spreading import spread_for


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessWaves:
    """One reading set of a rotor's thickness, by its waves."""

    reading: ReadingSet
    spread: Spread
    variation_nm: int
    """Highest minus lowest. [nm]"""
    found: tuple[OrderFound, ...]
    """Every order that the points determine; empty where a point is missing."""
    blind: tuple[int, ...]
    """Orders up to 6 that so many points can miss altogether."""
    missed: tuple[float, ...]
    """Share of the orders 1 to 4 that so many points can miss. [-]"""
    studs: int | None
    """Number of wheel fasteners, where it is known."""

    @property
    def points(self) -> int:
        """Places round the circle, measured or not."""
        return len(self.reading.values_nm)

    @property
    def has_gap(self) -> bool:
        """Whether a point was not measured, so that the rest is not evenly spaced."""
        return len(self.reading.measured_nm) < self.points

    @property
    def real(self) -> tuple[OrderFound, ...]:
        """The orders that stand out of the noise, largest first."""
        return tuple(
            sorted(
                (each for each in self.found if each.is_real),
                key=lambda each: -each.wave.amplitude_nm,
            )
        )

    @property
    def studs_pass_for(self) -> int | None:
        """The lower order as which a distortion by the nuts would appear; None where it does not,
        or where it cannot be seen at all."""
        if self.studs is None or 2 * self.studs < self.points:
            return None
        order = folded(self.studs, self.points)
        return order if order and order != self.studs else None


def thickness_waves(file: CaseFile, corner: Corner, studs: int | None) -> ThicknessWaves | None:
    """Return the newest thickness profile of the visit by its waves; None where there is none."""
    sets = [
        each
        for each in file.sets_at(corner, Quantity.ROTOR)
        if len(each.measured_nm) >= LEAST_POINTS
    ]
    if not sets:
        return None
    reading = sets[-1]
    spread = spread_for(file, reading)
    measured = reading.measured_nm
    points = len(reading.values_nm)
    return ThicknessWaves(
        reading=reading,
        spread=spread,
        variation_nm=max(measured) - min(measured),
        found=orders(measured, spread.u1r_nm) if len(measured) == points else (),
        blind=blind_orders(points),
        missed=missed_share(points),
        studs=studs,
    )
