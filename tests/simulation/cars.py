"""A car of which the true sizes are known, and the readings that somebody takes of it."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, field

from brakelog.record.corner import Corner, Side
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.measure import Measure
from tests.simulation import gauges
from tests.simulation.gauges import Held, Tool, held, tool
from tests.simulation.tasks import ANGLES, Task

LEFT, RIGHT = (Corner(axle=1, side=side) for side in Side)
CORNERS = (LEFT, RIGHT)
Place = tuple[Corner, Quantity]
EARLIER = 3
"""Visits of the same parts before the one that is judged, where there is a history."""

_IRON = (Quantity.ROTOR, Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)
_DRUM = (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)
_WORN_UM = {
    Quantity.ROTOR: -400.0,
    Quantity.PAD_INNER: -2000.0,
    Quantity.PAD_OUTER: -2000.0,
    Quantity.DRUM_OPEN: 300.0,
    Quantity.DRUM_CLOSED: 300.0,
    Quantity.SHOE_LEADING: -450.0,
    Quantity.SHOE_TRAILING: -450.0,
}
"""Wear between two visits, 15,000 km apart: about what the program's experience of such parts has
for its middle ones. [um]"""
_USUAL = {
    Quantity.ROTOR: tool(GaugeKind.MICROMETER, gauges.MICROMETER_UM, Tips.POINTED),
    Quantity.DRUM_OPEN: tool(GaugeKind.DRUM, gauges.DRUM_GAUGE),
    Quantity.DRUM_CLOSED: tool(GaugeKind.DRUM, gauges.DRUM_GAUGE),
    Quantity.RUNOUT: tool(GaugeKind.DIAL, gauges.DIAL_CENT),
}
_USUAL_LINING = tool(GaugeKind.DEPTH, gauges.DEPTH_GAUGE)
"""What the other parts of the axle are read with."""
WARM_K = 30.0
"""A car that was driven in: its iron is up to 30 K above 20 degrees. Assumption. [K]"""
EXPANSION_PER_K = (10.5e-6, 12.0e-6)
"""Grey iron; material summaries. [1/K]"""


@dataclass(kw_only=True)
class Column:
    """The readings of one quantity at one corner."""

    tool: Tool
    instrument: gauges.Instrument
    values_nm: list[int]
    typed: list[str] | None = None
    """What was typed, where a slip of typing made it."""
    again_nm: int | None = None
    tips: Tips | None = None
    tips_on_file: bool = True
    """Whether the gauge on file says which tips it has."""
    lip: bool | None = None


@dataclass(kw_only=True)
class Car:
    """One axle with its true sizes as they are at the visit that is judged."""

    task: Task
    rng: random.Random
    true_um: float
    """The size in the balance: at the left corner. [um]"""
    points_um: dict[Place, list[float]] = field(default_factory=dict)
    """True sizes at the points that are read, at 20 degrees. [um]"""
    pace: dict[Place, float] = field(default_factory=dict)
    """Wear of each part, in shares of the usual. [-]"""
    hands: dict[Quantity, tuple[Tool, Held]] = field(default_factory=dict)
    """The gauge that each quantity is read with, the same at every visit."""

    @property
    def is_out(self) -> bool:
        return self.task.is_out(self.true_um * 1000)

    def read(self, age: int) -> dict[Place, Column]:
        """Read the whole axle, so many visits ago."""
        warm = 1.0 + self.rng.uniform(0.0, WARM_K) * self.rng.uniform(*EXPANSION_PER_K)
        return {place: self._column(place, age, warm) for place in self.points_um}

    def _column(self, place: Place, age: int, warm: float) -> Column:
        quantity = place[1]
        tool, hand = self.hands[quantity]
        points = self.points_um[place]
        if quantity is Quantity.RUNOUT:
            # An earlier runout says nothing of this one.
            return Column(
                tool=tool,
                instrument=hand.instrument,
                values_nm=[hand.total_nm(self.rng, points[0])],
            )
        back_um = -age * _WORN_UM[quantity] * self.pace[place]
        factor = warm if quantity in _IRON else 1.0
        sizes = [(each + back_um) * factor for each in points]
        if quantity is not Quantity.ROTOR:
            values = hand.column(self.rng, sizes)
            return Column(tool=tool, instrument=hand.instrument, values_nm=values)
        *values, again = hand.column(self.rng, [*sizes, sizes[0]])
        has_points = tool.on_file is not None and tool.on_file.tips is Tips.POINTED
        return Column(
            tool=tool,
            instrument=hand.instrument,
            values_nm=values,
            again_nm=again,
            # Without pointed tips somebody looked at the edge, and there is no lip.
            lip=None if has_points else False,
        )


def car(task: Task, rng: random.Random) -> Car:
    """Return a car of which one part lies about its limit, and all others well inside."""
    made = Car(task=task, rng=rng, true_um=task.drawn_um(rng.random()))
    quantities = _quantities(task)
    for quantity in quantities:
        same = _read_alike(task, quantity)
        with_what = task.tool if same else _USUAL.get(quantity, _USUAL_LINING)
        made.hands[quantity] = (with_what, held(rng, rng.choice(with_what.really)))
    for one, other in _ONE_GAUGE:
        if one in made.hands:
            made.hands[other] = made.hands[one]
    for corner in CORNERS:
        share = rng.uniform(0.85, 1.15)
        for quantity in quantities:
            made.points_um[corner, quantity] = _points(made, corner, quantity)
            made.pace[corner, quantity] = share
    return made


def _quantities(task: Task) -> tuple[Quantity, ...]:
    if task.brake is AxleBrake.DRUM:
        return (*_DRUM, Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING)
    disc = (Quantity.ROTOR, Quantity.PAD_INNER, Quantity.PAD_OUTER)
    return (*disc, Quantity.RUNOUT) if task.measure is Measure.RUNOUT else disc


def _read_alike(task: Task, quantity: Quantity) -> bool:
    """Whether a quantity is read with the gauge of the task."""
    both_linings = quantity.is_lining and task.quantity.is_lining
    return quantity is task.quantity or both_linings


_ONE_GAUGE = (
    (Quantity.PAD_INNER, Quantity.PAD_OUTER),
    (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED),
    (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING),
)
"""Quantities that are read with the same instrument."""


def _points(made: Car, corner: Corner, quantity: Quantity) -> list[float]:
    """Return the true sizes of one part at the points that are read. [um]"""
    task, rng = made.task, made.rng
    is_drawn = corner == LEFT and quantity in task.measure.facts.quantities
    if quantity is Quantity.RUNOUT:
        return [made.true_um if is_drawn else rng.uniform(15.0, 25.0)]
    if quantity is Quantity.ROTOR:
        return _rotor(made, is_drawn)
    if quantity in _DRUM:
        return _drum(made, corner, quantity)
    if quantity in (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING):
        thinnest = rng.uniform(2500.0, 3200.0)
    elif is_drawn:
        thinnest = made.true_um
    elif task.quantity.is_lining:
        thinnest = task.others_inside_um(rng.random())
    else:
        thinnest = rng.uniform(4500.0, 6000.0)
    ends = [thinnest, thinnest + rng.uniform(0.0, 400.0)]
    rng.shuffle(ends)
    return ends


def _rotor(made: Car, is_drawn: bool) -> list[float]:
    """Return a thickness with one and two waves a turn; its lowest point is the true size. [um]

    A variation is that of the whole circle, so that what nine points miss of it counts.
    """
    task, rng = made.task, made.rng
    wave = _wave(rng)
    points = [wave(angle) for angle in ANGLES]
    if task.measure is Measure.ROTOR_THICKNESS:
        least = made.true_um if is_drawn else task.others_inside_um(rng.random())
        return [least + each - min(points) for each in points]
    least = 27_400.0 + rng.uniform(-50.0, 50.0)
    if task.measure is Measure.THICKNESS_VARIATION and is_drawn:
        circle = [wave(math.tau * n / _ROUND) for n in range(_ROUND)]
        scale = made.true_um / (max(circle) - min(circle))
        points = [scale * each for each in points]
    return [least + each - min(points) for each in points]


_ROUND = 90
"""Places round the circle at which its true variation is looked for."""


def _wave(rng: random.Random) -> Callable[[float], float]:
    one, two = rng.uniform(0.5, 3.0), rng.uniform(0.0, 2.0)
    phase, other = rng.uniform(0.0, math.tau), rng.uniform(0.0, math.tau)
    return lambda angle: one * math.cos(angle - phase) + two * math.cos(2 * angle - other)


def _drum(made: Car, corner: Corner, quantity: Quantity) -> list[float]:
    """Return two diameters of one edge; the largest of all four is the true size. [um]"""
    task, rng = made.task, made.rng
    if quantity is Quantity.DRUM_CLOSED:
        # A drum opens towards its open edge.
        largest = max(made.points_um[corner, Quantity.DRUM_OPEN]) - rng.uniform(10.0, 40.0)
    else:
        largest = made.true_um if corner == LEFT else task.others_inside_um(rng.random())
    angles = [largest, largest - rng.uniform(0.0, 20.0)]
    rng.shuffle(angles)
    return angles
