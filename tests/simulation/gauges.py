"""Gauges as they are on file, and what each really does wrong when a part is read with it.

The errors stand here a second time, drawn one by one, and nothing is taken from the program's own
budgets: a budget that is made too small is noticed here.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from brakelog.lengths import LengthUnit
from brakelog.record.gauge import Gauge, GaugeKind, Tips

MM, INCH = LengthUnit.MM, LengthUnit.INCH


@dataclass(frozen=True, kw_only=True)
class Instrument:
    """What a gauge does to a size, whatever is on file about it. [um]"""

    unit: LengthUnit
    step: str
    """One step of the display or scale, in its unit."""
    own_um: float = 0.0
    """Its own error lies anywhere within, each way, and is the same at every reading."""
    seat_um: tuple[float, float] = (0.0, 0.0)
    """How it is held, or where the eye is: between, the same for one column of readings."""
    s_um: float
    """Standard deviation of one reading."""
    travel_um: float = 0.0
    """Error within a short travel, each way; once for each runout."""
    says_at_least: bool = False
    """Whether it shows the step that is passed and not the nearest one."""

    @property
    def step_nm(self) -> int:
        return round(float(self.step) * self.unit.nm)

    @property
    def decimals(self) -> int:
        return len(self.step.partition(".")[2])


MICROMETER_UM = Instrument(unit=MM, step="0.001", own_um=4.0, s_um=1.0)
MICROMETER_TENTH = Instrument(unit=INCH, step="0.0001", own_um=8.5, s_um=1.0)
MICROMETER_CENT = Instrument(unit=MM, step="0.01", own_um=4.0, seat_um=(-2.0, 2.0), s_um=3.0)
MICROMETER_THOU = Instrument(unit=INCH, step="0.001", own_um=8.5, seat_um=(-2.0, 2.0), s_um=3.0)
"""Error limits: DIN 863-1 for 25 to 50 mm, and a third of a thousandth for an inch scale (common
practice). They repeat to 0.001 mm with a ratchet on a display or a vernier, to 0.003 mm on a scale
(common practice)."""
CALLIPER_ROTOR = Instrument(unit=MM, step="0.01", own_um=20.0, seat_um=(0.0, 30.0), s_um=15.0)
CALLIPER_VERNIER = Instrument(unit=MM, step="0.05", own_um=50.0, seat_um=(0.0, 30.0), s_um=15.0)
"""Error limits: DIN 862. Jaws held askew read thick, never thin; 0.03 mm at the most is an
assumption."""
DRUM_GAUGE = Instrument(unit=MM, step="0.01", own_um=40.0, seat_um=(-30.0, 30.0), s_um=16.0)
DRUM_GAUGE_INCH = Instrument(unit=INCH, step="0.005", own_um=40.0, seat_um=(-30.0, 30.0), s_um=16.0)
"""A drum gauge errs by 0.05 mm and repeats to 0.016 mm: common practice. Beside the diameter it
reads small, tilted it reads large."""
CALLIPER_PAD = Instrument(unit=MM, step="0.01", own_um=20.0, seat_um=(-50.0, 50.0), s_um=40.0)
DEPTH_GAUGE = Instrument(unit=MM, step="0.1", own_um=100.0, seat_um=(-150.0, 150.0), s_um=60.0)
STEPPED = Instrument(
    unit=MM, step="1", own_um=50.0, seat_um=(-200.0, 200.0), s_um=150.0, says_at_least=True
)
BY_EYE = Instrument(unit=MM, step="1", seat_um=(-1000.0, 1000.0), s_um=400.0)
"""Linings: 0.1 mm off the car, 0.25 mm on it, 0.5 to 1 mm with a stepped gauge and 1 to 2 mm by
eye, all at twice the standard deviation and with the step: common practice."""
DIAL_CENT = Instrument(unit=MM, step="0.01", s_um=2.5, travel_um=5.0)
DIAL_THOU = Instrument(unit=INCH, step="0.001", s_um=2.5, travel_um=5.0)
"""Travel within a tenth of a revolution: JIS B7503:2011; one reading repeats to 0.0025 mm (common
practice)."""

ASKEW = 1.015
"""A plunger up to 10 degrees off square reads up to 1.5 % high: 1 / cos. [-]"""


@dataclass(frozen=True, kw_only=True)
class Held:
    """One instrument in one shop: its own error stays with it. [um]"""

    instrument: Instrument
    own_um: float

    def column(self, rng: random.Random, sizes_um: list[float]) -> list[int]:
        """Read a part at its points, one after the other. [nm]"""
        seat_um = self.own_um + rng.uniform(*self.instrument.seat_um)
        return [
            self.shown_nm(each + seat_um + rng.gauss(0.0, self.instrument.s_um))
            for each in sizes_um
        ]

    def total_nm(self, rng: random.Random, runout_um: float) -> int:
        """Read a runout: zeroed at the low spot, read at the high one. [nm]"""
        instrument = self.instrument
        zero_um = rng.uniform(-0.25, 0.25) * instrument.step_nm / 1000 + rng.gauss(
            0.0, instrument.s_um
        )
        high_um = runout_um * rng.uniform(1.0, ASKEW) + rng.gauss(0.0, instrument.s_um)
        travel_um = rng.uniform(-instrument.travel_um, instrument.travel_um)
        return self.shown_nm(high_um - zero_um + travel_um)

    def shown_nm(self, um: float) -> int:
        """Return what the display or scale shows; never below zero. [nm]"""
        step_nm = self.instrument.step_nm
        steps = max(um, 0.0) * 1000 / step_nm
        return step_nm * (int(steps) if self.instrument.says_at_least else round(steps))


def held(rng: random.Random, instrument: Instrument) -> Held:
    """Take one instrument of its kind into the hand."""
    return Held(instrument=instrument, own_um=rng.uniform(-instrument.own_um, instrument.own_um))


@dataclass(frozen=True, kw_only=True)
class Tool:
    """What is on file about a gauge, and the instruments that it may really be."""

    really: tuple[Instrument, ...]
    on_file: Gauge | None


def tool(kind: GaugeKind, instrument: Instrument, tips: Tips | None = None) -> Tool:
    """Return a gauge that is on file as what it is."""
    gauge = Gauge(
        id=f"{kind.value} {instrument.step} {instrument.unit.value}",
        tag="G1",
        kind=kind,
        unit=instrument.unit,
        resolution_nm=instrument.step_nm,
        resolution_text=instrument.step,
        tips=tips,
    )
    return Tool(really=(instrument,), on_file=gauge)


def not_on_file(*really: Instrument) -> Tool:
    """Return a gauge that nobody named: it may be any of these."""
    return Tool(really=really, on_file=None)
