"""Invented cars that wear, and are read with every kind of gauge; slips are put in by hand.

A seeded generator, so that a rate that is stated can be measured again.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from brakelog.lengths import NM_PER_MM, DistanceUnit, LengthUnit, print_length
from brakelog.metrology.uncertainty import spread_of
from brakelog.record.corner import Corner, Side
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit
from brakelog.review.evidence import Evidence

KM = 1_000_000
MM, INCH = LengthUnit.MM, LengthUnit.INCH


def gauge(id: str, kind: GaugeKind, unit: LengthUnit, step: str, tips: Tips | None = None) -> Gauge:
    return Gauge(
        id=id,
        tag=id,
        kind=kind,
        unit=unit,
        resolution_nm=round(float(step) * unit.nm),
        resolution_text=step,
        tips=tips,
    )


ROTOR_GAUGES = (
    gauge("M-um", GaugeKind.MICROMETER, MM, "0.001", Tips.POINTED),
    gauge("M-tenth", GaugeKind.MICROMETER, INCH, "0.0001", Tips.POINTED),
    gauge("M-cent", GaugeKind.MICROMETER, MM, "0.01", Tips.POINTED),
    gauge("M-thou", GaugeKind.MICROMETER, INCH, "0.001", Tips.FLAT),
    gauge("C-rotor", GaugeKind.CALLIPER, MM, "0.01", Tips.CALLIPER),
    None,
)
LINING_GAUGES = (
    gauge("C-off", GaugeKind.CALLIPER, MM, "0.01"),
    gauge("P-mm", GaugeKind.DEPTH, MM, "0.1"),
    gauge("P-in", GaugeKind.DEPTH, INCH, "0.005"),
    gauge("S-mm", GaugeKind.STEPPED, MM, "1"),
    gauge("E-mm", GaugeKind.EYE, MM, "1"),
    None,
)
DRUM_GAUGES = (
    gauge("W-mm", GaugeKind.DRUM, MM, "0.05"),
    gauge("W-in", GaugeKind.DRUM, INCH, "0.005"),
    None,
)
DIALS = (
    gauge("D-mm", GaugeKind.DIAL, MM, "0.01"),
    gauge("D-fine", GaugeKind.DIAL, MM, "0.001"),
    gauge("D-in", GaugeKind.DIAL, INCH, "0.001"),
    None,
)
GAUGES = {
    each.id: each
    for each in (*ROTOR_GAUGES, *LINING_GAUGES, *DRUM_GAUGES, *DIALS)
    if each is not None
}
PADS = (Quantity.PAD_INNER, Quantity.PAD_OUTER)
SHOES = (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING)
EDGES = (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)


OWN_C, SHARED_C = 0.14, 0.8
"""Variance of the wear over rate squared and distance, of one part alone and of the driving that
all parts of the car share; together the 0.94 of the wear model. [1000 km]"""


@dataclass
class Part:
    """What is true of one wearing part. [mm, mm/1000 km]"""

    size: float
    rate: float

    def wear(self, thousands: float, random: random.Random) -> float:
        """Wear by a gamma process: mean rate * x, variance OWN_C * rate^2 * x."""
        if thousands <= 0.0:
            return 0.0
        return random.gammavariate(thousands / OWN_C, OWN_C * self.rate)


@dataclass
class Car:
    """One car with its brakes, its driver and its shop."""

    random: random.Random
    drum_rear: bool
    shop: tuple[Gauge | None, Gauge | None, Gauge | None, Gauge | None] | None
    """The gauges that are always taken; None: another at every visit."""
    unit: DistanceUnit = DistanceUnit.KM
    parts: dict[tuple[Corner, Quantity], Part] = field(default_factory=dict)
    new_nm: dict[tuple[int, Position], int] = field(default_factory=dict)
    limits_nm: dict[tuple[int, Position], int] = field(default_factory=dict)
    visits: list[Visit] = field(default_factory=list)
    sets: list[ReadingSet] = field(default_factory=list)
    fittings: list[Fitting] = field(default_factory=list)
    waves: dict[Corner, tuple[float, ...]] = field(default_factory=dict)
    count: int = 0

    def number(self, letter: str) -> str:
        self.count += 1
        return f"{letter}{self.count}"

    def evidence(self, upto: int, stage: Stage) -> Evidence:
        visits = tuple(self.visits[: upto + 1])
        ids = {each.id for each in visits}
        return Evidence(
            brakes=(AxleBrake.DISC, AxleBrake.DRUM if self.drum_rear else AxleBrake.DISC),
            odometer_unit=self.unit,
            visit=visits[-1],
            stage=stage,
            visits=visits,
            sets=tuple(each for each in self.sets if each.visit_id in ids),
            fittings=tuple(each for each in self.fittings if each.visit_id in ids),
            gauges=GAUGES,
            new_nm=self.new_nm,
            least_or_most_nm=self.limits_nm,
        )


SPECS = {
    # new, least or most; front and rear [mm]
    (1, Position.ROTOR): (28.0, 26.0),
    (2, Position.ROTOR): (12.0, 10.0),
    (1, Position.PAD_INNER): (11.0, 2.0),
    (1, Position.PAD_OUTER): (11.0, 2.0),
    (2, Position.PAD_INNER): (10.0, 2.0),
    (2, Position.PAD_OUTER): (10.0, 2.0),
    (2, Position.DRUM): (203.2, 205.2),
    (2, Position.SHOE_LEADING): (4.5, 1.0),
    (2, Position.SHOE_TRAILING): (4.5, 1.0),
}
CORNERS = tuple(Corner(axle=axle, side=side) for axle in (1, 2) for side in Side)


def car(seed: int, *, visits: int = 4, shop: str = "steady") -> Car:
    """Return a car that was read at some visits; ``shop`` is steady, fine or mixed."""
    rng = random.Random(seed)
    gauges = None
    if shop == "steady":
        gauges = (
            rng.choice(ROTOR_GAUGES),
            rng.choice(LINING_GAUGES),
            rng.choice(DRUM_GAUGES),
            rng.choice(DIALS),
        )
    elif shop == "fine":
        gauges = (
            rng.choice(ROTOR_GAUGES[:3]),
            rng.choice(LINING_GAUGES[:3]),
            DRUM_GAUGES[0],
            DIALS[0],
        )
    made = Car(random=rng, drum_rear=rng.random() < 0.4, shop=gauges)
    for (axle, position), (new, least) in SPECS.items():
        if position.part.value in (
            ("rotor", "pads") if made.drum_rear and axle == 2 else ("drum", "shoes")
        ):
            continue
        made.new_nm[axle, position] = round(new * NM_PER_MM)
        made.limits_nm[axle, position] = round(least * NM_PER_MM)
    _make_parts(made)
    odometer = rng.uniform(5, 60)
    day = date(2018, 1, 1) + timedelta(days=rng.randrange(400))
    a_day = math.exp(rng.gauss(math.log(37), 0.4))
    _read(made, day, odometer)
    for _ in range(visits - 1):
        thousands = _interval(made)
        days = max(round(thousands * 1000 / (a_day * math.exp(rng.gauss(0, 0.25)))), 14)
        odometer += thousands
        day += timedelta(days=days)
        use = rng.gammavariate(thousands / SHARED_C, SHARED_C / thousands)
        for (_, quantity), part in made.parts.items():
            worn = part.wear(thousands * use, rng)
            if quantity not in EDGES:
                part.size -= worn
            else:
                part.size += worn
        _read(made, day, odometer)
    return made


def _interval(made: Car) -> float:
    """Return the distance to the next visit: service, or sooner for thin linings. [1000 km]"""
    planned = max(made.random.gauss(12.0, 5.0), 2.0)
    linings = [part for (_, quantity), part in made.parts.items() if quantity in (*PADS, *SHOES)]
    soonest = min((part.size - 0.8) / part.rate for part in linings)
    return max(min(planned, 0.6 * soonest), 1.0)


def _make_parts(made: Car) -> None:
    rng = made.random

    def spread(sd: float) -> float:
        return math.exp(rng.gauss(0.0, sd))

    for axle in (1, 2):
        lining = (0.13 if axle == 1 else 0.10) * spread(0.4)
        share = 0.09 * spread(0.3)
        inner = spread(0.12)
        is_drum = made.drum_rear and axle == 2
        worn = rng.uniform(0.0, 30.0)
        for corner in CORNERS:
            if corner.axle != axle:
                continue
            side = spread(0.06)
            if is_drum:
                made.parts[corner, Quantity.DRUM_OPEN] = Part(203.2, 0.0075 * spread(0.3))
                made.parts[corner, Quantity.DRUM_CLOSED] = Part(203.2, 0.007 * spread(0.3))
                made.parts[corner, Quantity.SHOE_LEADING] = Part(4.5, 0.029 * side * spread(0.3))
                made.parts[corner, Quantity.SHOE_TRAILING] = Part(4.5, 0.024 * side * spread(0.3))
                continue
            new = SPECS[axle, Position.PAD_INNER][0]
            made.parts[corner, Quantity.PAD_INNER] = Part(new, lining * side * inner)
            made.parts[corner, Quantity.PAD_OUTER] = Part(new, lining * side / inner)
            rotor = SPECS[axle, Position.ROTOR][0] + rng.gauss(0.0, 0.02)
            made.parts[corner, Quantity.ROTOR] = Part(rotor, lining * side * share)
        for (corner, quantity), part in made.parts.items():
            if corner.axle == axle:
                lost = min(part.wear(worn, rng), 6.0 if quantity in PADS else 2.5)
                if quantity in SHOES:
                    lost = min(lost, 1.5)
                part.size += lost if quantity in EDGES else -lost
    for corner in CORNERS:
        made.waves[corner] = (
            rng.uniform(0.0005, 0.003),
            rng.uniform(0.0, 6.28),
            rng.uniform(0.0, 0.002),
            rng.uniform(0.0, 6.28),
        )


def _read(made: Car, day: date, odometer: float) -> None:
    """Read the whole car as found; fit what is worn out, and read that as left."""
    rng = made.random
    km = round(odometer * 1000)
    visit = Visit(
        id=made.number("v"),
        vehicle_id="car",
        day=day,
        odometer_mm=km * KM,
        odometer_text=str(km),
        odometer_unit=DistanceUnit.KM,
    )
    made.visits.append(visit)
    gauges = made.shop or (
        rng.choice(ROTOR_GAUGES),
        rng.choice(LINING_GAUGES),
        rng.choice(DRUM_GAUGES),
        rng.choice(DIALS),
    )
    for corner in CORNERS:
        for (at, quantity), part in list(made.parts.items()):
            if at == corner:
                made.sets.append(_set(made, visit, corner, quantity, part, gauges, Stage.AS_FOUND))
        if (corner, Quantity.ROTOR) in made.parts and rng.random() < 0.7:
            made.sets.append(_runout(made, visit, corner, gauges[3]))
    for axle in (1, 2):
        linings = [
            (corner, quantity)
            for corner, quantity in made.parts
            if corner.axle == axle and quantity in (*PADS, *SHOES)
        ]
        margin = 1.5 if axle == 1 or not made.drum_rear else 0.5
        limit = SPECS[axle, linings[0][1].position][1]  # type: ignore[index]
        if min(made.parts[each].size for each in linings) < limit + margin:
            _fit(made, visit, axle, linings, gauges)


def _fit(
    made: Car,
    visit: Visit,
    axle: int,
    linings: list[tuple[Corner, Quantity]],
    gauges: tuple[Gauge | None, ...],
) -> None:
    rng = made.random
    cut = rng.uniform(0.2, 0.5) if rng.random() < 0.3 else 0.0
    for corner, quantity in linings:
        position = quantity.position
        assert position is not None
        new = SPECS[axle, position][0] + rng.gauss(0.0, 0.15)
        made.parts[corner, quantity] = Part(new, made.parts[corner, quantity].rate)
        _record(made, visit, corner, position, FittingEvent.NEW, new)
    for corner in CORNERS:
        if corner.axle != axle or (corner, Quantity.ROTOR) not in made.parts:
            continue
        part = made.parts[corner, Quantity.ROTOR]
        if part.size - cut < SPECS[axle, Position.ROTOR][1] + 0.6:
            part.size = SPECS[axle, Position.ROTOR][0] + rng.gauss(0.0, 0.02)
            _record(made, visit, corner, Position.ROTOR, FittingEvent.NEW, part.size)
        elif cut:
            part.size -= cut
            _record(made, visit, corner, Position.ROTOR, FittingEvent.REFINISHED, part.size)
    for corner in CORNERS:
        for (at, quantity), part in list(made.parts.items()):
            if at == corner and corner.axle == axle and quantity not in EDGES:
                made.sets.append(_set(made, visit, corner, quantity, part, gauges, Stage.AS_LEFT))


def _record(
    made: Car, visit: Visit, corner: Corner, position: Position, event: FittingEvent, size: float
) -> None:
    made.fittings.append(
        Fitting(
            id=made.number("f"),
            visit_id=visit.id,
            day=visit.day,
            odometer_mm=visit.odometer_mm,
            corner=corner,
            position=position,
            event=event,
            basis=SizeBasis.MEASURED,
            size_nm=round(size * NM_PER_MM),
        )
    )


def _gauge_of(quantity: Quantity, gauges: tuple[Gauge | None, ...]) -> Gauge | None:
    if quantity is Quantity.ROTOR:
        return gauges[0]
    return gauges[2] if quantity in EDGES else gauges[1]


def _set(
    made: Car,
    visit: Visit,
    corner: Corner,
    quantity: Quantity,
    part: Part,
    gauges: tuple[Gauge | None, ...],
    stage: Stage,
) -> ReadingSet:
    """Read one part as a tech would, with everything that makes two readings differ. [mm]"""
    rng = made.random
    tool = _gauge_of(quantity, gauges)
    spread = spread_of(quantity, tool)
    random_mm = spread.u1r_nm / NM_PER_MM
    common_mm = math.sqrt(max(spread.u1_nm**2 - spread.u1r_nm**2, 0.0)) / NM_PER_MM
    count = 2
    level = part.size + rng.gauss(0.0, common_mm)
    points = []
    if quantity is Quantity.ROTOR:
        count = rng.choice((8, 9))
        level += rng.gauss(0.0, 0.004)
        one, phase, two, other = made.waves[corner]
        points = [
            level
            + one * math.cos(6.2832 * n / count - phase)
            + two * math.cos(12.566 * n / count - other)
            + rng.gauss(0.0, random_mm)
            for n in range(count)
        ]
    elif quantity in EDGES:
        level += rng.gauss(0.0, 0.02)
        points = [level + rng.gauss(0.0, random_mm) for _ in range(count)]
    else:
        level += rng.gauss(0.0, 0.15)
        taper = 0.02 * (11.0 - part.size)
        points = [level + sign * taper + rng.gauss(0.0, random_mm) for sign in (1, -1)]
    again = points[0] + rng.gauss(0.0, random_mm)
    return _typed(made, visit, corner, quantity, tool, points, again, stage)


def _runout(made: Car, visit: Visit, corner: Corner, tool: Gauge | None) -> ReadingSet:
    rng = made.random
    total = rng.uniform(0.012, 0.06)
    noise = 0.004
    if rng.random() < 0.5:
        count = rng.choice((8, 10, 12))
        phase = rng.uniform(0, 6.28)
        wave = [
            total / 2 * math.cos(6.2832 * n / count - phase) + rng.gauss(0, noise / 3)
            for n in range(count)
        ]
        points = [max(each - min(wave), 0.0) for each in wave]
        again: float | None = max(points[0] + rng.gauss(0, noise / 3), 0.0)
    else:
        points, again = [max(total + rng.gauss(0, noise), 0.01)], None
    return _typed(made, visit, corner, Quantity.RUNOUT, tool, points, again, Stage.AS_FOUND)


def _typed(
    made: Car,
    visit: Visit,
    corner: Corner,
    quantity: Quantity,
    tool: Gauge | None,
    points: list[float],
    again: float | None,
    stage: Stage,
) -> ReadingSet:
    unit = tool.unit if tool else MM
    step = tool.resolution_nm if tool else 10_000
    decimals = len(tool.resolution_text.partition(".")[2]) if tool else 2

    def shown(mm: float) -> int:
        if tool is not None and tool.kind is GaugeKind.STEPPED:
            return math.floor(max(mm, 0.0) * NM_PER_MM / step) * step
        return max(round(mm * NM_PER_MM / step) * step, 0)

    values = [shown(each) for each in points]
    return ReadingSet(
        id=made.number("s"),
        visit_id=visit.id,
        corner=corner,
        quantity=quantity,
        stage=stage,
        values_nm=tuple(values),
        typed=tuple(print_length(nm, unit, decimals=decimals) for nm in values),
        unit=unit,
        datum=Datum.LINING if quantity.is_lining else None,
        again_nm=None if again is None else shown(again),
        again_typed="" if again is None else print_length(shown(again), unit, decimals=decimals),
        gauge_id=tool.id if tool else None,
        tips=tool.tips if tool else None,
        fasteners_fitted=5,
        fasteners_of=5,
        bearing_checked=True,
    )


def looks(made: Car) -> Iterator[Evidence]:
    """Yield what a review gets to see at every visit and stage."""
    for n in range(len(made.visits)):
        for stage in Stage:
            yield made.evidence(n, stage)


def with_set(made: Car, old: ReadingSet, **changed: object) -> None:
    """Put other readings in the place of a set."""
    made.sets[made.sets.index(old)] = replace(old, **changed)  # type: ignore[arg-type]


def retyped(reading: ReadingSet, values: list[int | None]) -> dict[str, object]:
    """Return the values with the texts that would have been typed for them."""
    tool = GAUGES.get(reading.gauge_id or "")
    decimals = len(tool.resolution_text.partition(".")[2]) if tool else 2
    return {
        "values_nm": tuple(values),
        "typed": tuple(
            "" if nm is None else print_length(nm, reading.unit, decimals=decimals) for nm in values
        ),
    }
