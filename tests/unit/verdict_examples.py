"""A small invented car to judge: short functions that read like a workshop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import count
from typing import Any

from brakelog.lengths import DistanceUnit, LengthUnit, parse_length
from brakelog.record.corner import Corner, Side, parse_corner, walking_order
from brakelog.record.draft import Unfiled
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.limit import Limit, LimitKind, OutWhen, parse_figures
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import PartVerdict

LF = Corner(axle=1, side=Side.LEFT)
RF = Corner(axle=1, side=Side.RIGHT)
UNFILED = Unfiled(stage=Stage.AS_FOUND, person_id=None, unit=LengthUnit.MM, entries=3)
"""Three answers of an entry that was interrupted."""
MICROMETER = Gauge(
    id="m",
    tag="M",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1_000,
    resolution_text="0.001",
    tips=Tips.POINTED,
)
DIAL = Gauge(
    id="d",
    tag="D",
    kind=GaugeKind.DIAL,
    unit=LengthUnit.MM,
    resolution_nm=10_000,
    resolution_text="0.01",
)
DEPTH = Gauge(
    id="p",
    tag="P",
    kind=GaugeKind.DEPTH,
    unit=LengthUnit.MM,
    resolution_nm=100_000,
    resolution_text="0.1",
)
DRUM_GAUGE = Gauge(
    id="t",
    tag="T",
    kind=GaugeKind.DRUM,
    unit=LengthUnit.MM,
    resolution_nm=10_000,
    resolution_text="0.01",
)
GAUGES = {gauge.id: gauge for gauge in (MICROMETER, DIAL, DEPTH, DRUM_GAUGE)}
_USUAL = {Quantity.ROTOR: "m", Quantity.RUNOUT: "d", Quantity.SCORING: "d"}
_numbers = count(1)


def limit(
    kind: LimitKind,
    figure: str,
    other: str = "",
    *,
    out_when: OutWhen | None = None,
    axle: int = 1,
    datum: Datum | None = None,
) -> Limit:
    return Limit(
        id=f"limit-{next(_numbers)}",
        kind=kind,
        axle=axle,
        sheet="Sheet",
        source="Sheet, page 1",
        figures=parse_figures(figure, other, declared=LengthUnit.MM),
        out_when=out_when,
        datum=datum,
    )


FRONT_DISC = (
    limit(LimitKind.ROTOR_NEW, "28.0"),
    limit(LimitKind.ROTOR_MACHINE_TO, "26.4", out_when=OutWhen.BELOW),
    limit(LimitKind.ROTOR_DISCARD, "26.0", out_when=OutWhen.AT_OR_BELOW),
    limit(LimitKind.THICKNESS_VARIATION, "0.015", out_when=OutWhen.ABOVE),
    limit(LimitKind.RUNOUT, "0.05", out_when=OutWhen.ABOVE),
    limit(LimitKind.SCORING, "1.5", out_when=OutWhen.ABOVE),
    limit(LimitKind.PAD_NEW, "11.0"),
    limit(LimitKind.PAD_MINIMUM, "2.0", out_when=OutWhen.BELOW),
)


def visit(name: str = "visit", day: date = date(2026, 3, 2), km: int = 60_000) -> Visit:
    return Visit(
        id=name,
        vehicle_id="car",
        day=day,
        odometer_mm=km * 1_000_000,
        odometer_text=str(km),
        odometer_unit=DistanceUnit.KM,
        looked_over=frozenset(walking_order(2)),
    )


NOW = visit()


def readings(
    corner: str,
    quantity: Quantity,
    text: str,
    *,
    gauge: str | None = "usual",
    of: Visit = NOW,
    stage: Stage = Stage.AS_FOUND,
    **circumstances: Any,
) -> ReadingSet:
    typed = tuple("" if word == "x" else word for word in text.split())
    if gauge == "usual":
        gauge = _USUAL.get(quantity, "t" if quantity.value.startswith("drum") else "p")
    row = ReadingSet(
        id=f"set-{next(_numbers)}",
        visit_id=of.id,
        corner=parse_corner(corner),
        quantity=quantity,
        stage=stage,
        unit=LengthUnit.MM,
        typed=typed,
        values_nm=tuple(
            parse_length(word, declared=LengthUnit.MM).nm if word else None for word in typed
        ),
        datum=Datum.LINING if quantity.is_lining else None,
        gauge_id=gauge,
    )
    return replace(row, **circumstances)


def runout(corner: str, text: str, **circumstances: Any) -> ReadingSet:
    said: dict[str, Any] = {
        "fasteners_fitted": 5,
        "fasteners_of": 5,
        "bearing_checked": True,
        "returned_to_start": True,
    }
    return readings(corner, Quantity.RUNOUT, text, **{**said, **circumstances})


EIGHT = "27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401"
EIGHT_OF_THE_MATE = "27.421 27.424 27.425 27.423 27.420 27.418 27.419 27.420"


def circle(least: str, variation: str = "0.007") -> str:
    """Eight points as a micrometer finds them: that minimum, that variation, no two runs alike."""
    low, rise = round(float(least) * 1000), round(float(variation) * 1000)
    parts = (4, 7, 8, 6, 2, 0, 1, 3)
    return " ".join(f"{(low + rise * part // 8) / 1000:.3f}" for part in parts)


def healthy(corner: str) -> tuple[ReadingSet, ...]:
    """Readings of a corner in good order; the two sides never agree to the last digit."""
    return (
        readings(corner, Quantity.ROTOR, EIGHT if corner.startswith("L") else EIGHT_OF_THE_MATE),
        runout(corner, "0.026"),
        readings(corner, Quantity.PAD_INNER, "8.2 8.0"),
        readings(corner, Quantity.PAD_OUTER, "8.5 8.4"),
    )


def case(
    sets: Iterable[ReadingSet],
    *,
    limits: Iterable[Limit] = FRONT_DISC,
    brakes: tuple[AxleBrake, ...] = (AxleBrake.DISC,),
    visits: tuple[Visit, ...] = (NOW,),
    stage: Stage = Stage.AS_FOUND,
    findings: tuple[Finding, ...] = (),
    fittings: tuple[Fitting, ...] = (),
    shop: Shop | None = None,
) -> CaseFile:
    return CaseFile(
        vehicle=Vehicle(
            id="car",
            tag="CAR-1",
            description="Invented 1.0",
            brakes=brakes,
            odometer_unit=DistanceUnit.KM,
            sheet="Sheet",
        ),
        visit=visits[-1],
        stage=stage,
        shop=shop or Shop(),
        limits=tuple(limits),
        gauges=GAUGES,
        visits=visits,
        sets=tuple(sets),
        findings=findings,
        fittings=fittings,
    )


def verdict_on(file: CaseFile, corner: Corner, part: Part) -> PartVerdict:
    found = judge_vehicle(file)
    return next(each for each in found.parts if each.corner == corner and each.part is part)


def instead(sets: Iterable[ReadingSet], new: ReadingSet) -> tuple[ReadingSet, ...]:
    """The sets, with one of them measured otherwise."""
    rest = [s for s in sets if (s.corner, s.quantity) != (new.corner, new.quantity)]
    return (*rest, new)
