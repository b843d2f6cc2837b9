"""A small invented car whose readings are looked at: short words, millimetres unless said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import count
from typing import Any

from brakelog.lengths import NM_PER_MM, DistanceUnit, LengthUnit, parse_distance, parse_length
from brakelog.record.corner import parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import parse_brakes
from brakelog.record.visit import Visit
from brakelog.review.evidence import Evidence
from brakelog.review.question import Question, Suspicion
from brakelog.review.review import review

ROTOR, RUNOUT, SCORING = Quantity.ROTOR, Quantity.RUNOUT, Quantity.SCORING
IN, OUT = Quantity.PAD_INNER, Quantity.PAD_OUTER
LEAD, TRAIL = Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING
OPEN, CLOSED = Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED


def _gauge(
    tag: str, kind: GaugeKind, step: str, unit: LengthUnit, tips: Tips | None = None
) -> Gauge:
    return Gauge(
        id=tag,
        tag=tag,
        kind=kind,
        unit=unit,
        resolution_nm=parse_length(step, declared=unit).nm,
        resolution_text=step,
        tips=tips,
    )


MM, INCH = LengthUnit.MM, LengthUnit.INCH
GAUGES = {
    each.tag: each
    for each in (
        _gauge("fine", GaugeKind.MICROMETER, "0.001", MM, Tips.POINTED),
        _gauge("thimble", GaugeKind.MICROMETER, "0.01", MM, Tips.POINTED),
        _gauge("inch", GaugeKind.MICROMETER, "0.0001", INCH, Tips.POINTED),
        _gauge("flat", GaugeKind.MICROMETER, "0.001", MM, Tips.FLAT),
        _gauge("calliper", GaugeKind.CALLIPER, "0.01", MM, Tips.CALLIPER),
        _gauge("depth", GaugeKind.DEPTH, "0.1", MM),
        _gauge("inch-depth", GaugeKind.DEPTH, "0.005", INCH),
        _gauge("off-car", GaugeKind.CALLIPER, "0.01", MM),
        _gauge("drum", GaugeKind.DRUM, "0.05", MM),
        _gauge("inch-drum", GaugeKind.DRUM, "0.005", INCH),
        _gauge("dial", GaugeKind.DIAL, "0.01", MM),
        _gauge("fine-dial", GaugeKind.DIAL, "0.001", MM),
    )
}
_USUAL = {ROTOR: "fine", RUNOUT: "dial", SCORING: "depth", OPEN: "drum", CLOSED: "drum"}
NEW = {
    (1, Position.ROTOR): 28.0,
    (1, Position.PAD_INNER): 11.0,
    (1, Position.PAD_OUTER): 11.0,
    (2, Position.ROTOR): 12.0,
    (2, Position.PAD_INNER): 10.0,
    (2, Position.PAD_OUTER): 10.0,
    (2, Position.DRUM): 203.2,
    (2, Position.SHOE_LEADING): 4.5,
    (2, Position.SHOE_TRAILING): 4.5,
}


@dataclass
class Car:
    """A car with its visits; the newest one is looked at."""

    brakes: str = "disc/disc"
    new: Mapping[tuple[int, Position], float] = field(default_factory=lambda: NEW)
    traits: Mapping[tuple[int, str], str] = field(default_factory=dict)
    odometer_unit: DistanceUnit = DistanceUnit.KM
    visits: list[Visit] = field(default_factory=list)
    sets: list[ReadingSet] = field(default_factory=list)
    fittings: list[Fitting] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    numbers: Any = field(default_factory=lambda: count(1))

    def comes(self, day: str, odometer: str) -> Car:
        mm, unit = parse_distance(odometer, declared=self.odometer_unit)
        visit = Visit(
            id=f"visit-{day}",
            vehicle_id="car",
            day=date.fromisoformat(day),
            odometer_mm=mm,
            odometer_text=odometer,
            odometer_unit=unit,
        )
        self.visits.append(visit)
        self.findings.clear()
        return self

    def reads(
        self,
        corner: str,
        quantity: Quantity,
        text: str,
        gauge: str | None = "usual",
        *,
        unit: LengthUnit | None = None,
        again: str = "",
        **circumstances: Any,
    ) -> ReadingSet:
        if gauge == "usual":
            gauge = _USUAL.get(quantity, "depth")
        declared = unit or (GAUGES[gauge].unit if gauge else MM)
        typed = tuple("" if word == "x" else word for word in text.split())
        values: dict[str, Any] = {
            "stage": Stage.AS_FOUND,
            "datum": Datum.LINING if quantity.is_lining else None,
        }

        def nm(word: str) -> int:
            return parse_length(word, declared=declared, signed=True).nm

        row = ReadingSet(
            id=f"set-{next(self.numbers)}",
            visit_id=self.visits[-1].id,
            corner=parse_corner(corner),
            quantity=quantity,
            unit=declared,
            typed=typed,
            values_nm=tuple(nm(word) if word else None for word in typed),
            again_nm=nm(again) if again else None,
            again_typed=again,
            gauge_id=gauge,
            **(values | circumstances),
        )
        self.sets.append(row)
        return row

    def fits(
        self,
        corner: str,
        position: Position,
        event: FittingEvent = FittingEvent.NEW,
        size: str = "",
        from_corner: str = "",
    ) -> Car:
        self.fittings.append(
            Fitting(
                id=f"fitting-{next(self.numbers)}",
                visit_id=self.visits[-1].id,
                day=self.visits[-1].day,
                odometer_mm=self.visits[-1].odometer_mm,
                corner=parse_corner(corner),
                position=position,
                event=event,
                basis=SizeBasis.MEASURED if size else SizeBasis.UNKNOWN,
                size_nm=round(float(size) * NM_PER_MM) if size else None,
                from_corner=parse_corner(from_corner) if from_corner else None,
            )
        )
        return self

    def shows(self, corner: str, kind: FindingKind, part: Part) -> Car:
        self.findings.append(
            Finding(
                id=f"finding-{next(self.numbers)}",
                visit_id=self.visits[-1].id,
                corner=parse_corner(corner),
                stage=Stage.AS_FOUND,
                kind=kind,
                part=part,
            )
        )
        return self

    def evidence(self, stage: Stage = Stage.AS_FOUND) -> Evidence:
        brakes = parse_brakes(self.brakes)
        return Evidence(
            brakes=brakes,
            odometer_unit=self.odometer_unit,
            visit=self.visits[-1],
            stage=stage,
            visits=tuple(self.visits),
            sets=tuple(self.sets),
            fittings=tuple(self.fittings),
            findings=tuple(self.findings),
            gauges=GAUGES,
            new_nm={place: round(mm * NM_PER_MM) for place, mm in self.new.items()},
            traits=self.traits,
        )

    def asked(self, stage: Stage = Stage.AS_FOUND) -> tuple[Question, ...]:
        return review(self.evidence(stage))

    def suspects(self, stage: Stage = Stage.AS_FOUND) -> list[Suspicion]:
        return [question.suspicion for question in self.asked(stage)]

    def the_question(self, stage: Stage = Stage.AS_FOUND) -> Question:
        (question,) = self.asked(stage)
        return question


def car(**facts: Any) -> Car:
    """A car at its first visit."""
    return Car(**facts).comes("2025-03-03", "60000")


def instead_mm(question: Question, reading: ReadingSet) -> list[float | None]:
    """What the set would read if the suspicion were right. [mm]"""
    return [
        None if nm is None else round(nm / NM_PER_MM, 4) for nm in question.instead_nm[reading.id]
    ]
