"""The history of a small invented car, made in memory."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import count

from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import Limit
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import PlaceHistory, RunningPart, VehicleHistory
from brakelog.rules.questioning import with_questions
from brakelog.rules.tracing import place_history
from tests.unit.verdict_examples import FRONT_DISC, LF, case, readings, visit

FIRST = visit("first", date(2024, 3, 4), 20_000)
SECOND = visit("second", date(2025, 3, 3), 32_000)
THIRD = visit("third", date(2026, 3, 2), 45_000)
VISITS = (FIRST, SECOND, THIRD)
TODAY = date(2026, 4, 1)
_LEFT = Stage.AS_LEFT
_ids = count(1)


def fitted(
    corner: str,
    position: Position,
    size: str = "",
    *,
    of: Visit = FIRST,
    event: FittingEvent = FittingEvent.NEW,
    basis: SizeBasis = SizeBasis.MEASURED,
) -> Fitting:
    return Fitting(
        id=f"fit-{next(_ids)}",
        visit_id=of.id,
        day=of.day,
        odometer_mm=of.odometer_mm,
        corner=parse_corner(corner),
        position=position,
        event=event,
        basis=basis if size else SizeBasis.UNKNOWN,
        size_nm=parse_length(size, declared=LengthUnit.MM).nm if size else None,
        size_typed=size,
    )


def pad(text: str, of: Visit, corner: str = "LF", stage: Stage = Stage.AS_FOUND) -> ReadingSet:
    return readings(corner, Quantity.PAD_INNER, text, of=of, stage=stage)


def stuck_slide(of: Visit, *, put_right: bool = False) -> Finding:
    return Finding(
        id=f"finding-{next(_ids)}",
        visit_id=of.id,
        corner=LF,
        part=Part.PADS,
        kind=FindingKind.STUCK_SLIDE,
        stage=Stage.AS_LEFT if put_right else Stage.AS_FOUND,
        put_right=put_right,
    )


def history(
    sets: Iterable[ReadingSet],
    *,
    visits: tuple[Visit, ...] = VISITS,
    fittings: Iterable[Fitting] = (),
    findings: Iterable[Finding] = (),
    limits: Iterable[Limit] = FRONT_DISC,
    brakes: tuple[AxleBrake, ...] = (AxleBrake.DISC,),
    shop: Shop | None = None,
    today: date = TODAY,
    tag: str = "CAR-1",
    measures: Iterable[Measure] = (Measure.INNER_LINING,),
    corners: Iterable[Corner] = (LF,),
) -> VehicleHistory:
    """The history of the left front inner pad, unless other places are named."""
    all_sets, all_fittings, all_findings = tuple(sets), tuple(fittings), tuple(findings)

    def case_of(one: Visit) -> CaseFile:
        upto = visits[: visits.index(one) + 1]
        ids = {each.id for each in upto}
        is_left = (
            any(each.visit_id == one.id for each in all_fittings)
            or any(each.visit_id == one.id and each.stage is _LEFT for each in all_sets)
            or any(each.visit_id == one.id and each.stage is _LEFT for each in all_findings)
        )
        file = case(
            [each for each in all_sets if each.visit_id in ids],
            limits=limits,
            brakes=brakes,
            visits=upto,
            stage=_LEFT if is_left else Stage.AS_FOUND,
            findings=tuple(each for each in all_findings if each.visit_id == one.id),
            fittings=tuple(each for each in all_fittings if each.visit_id in ids),
            shop=shop,
        )
        file = replace(
            file,
            vehicle=replace(file.vehicle, tag=tag),
            earlier_findings=tuple(
                each for each in all_findings if each.visit_id in ids - {one.id}
            ),
        )
        return with_questions(file)

    newest = case_of(visits[-1])
    return VehicleHistory(
        file=newest,
        places=tuple(
            place_history(newest, corner, measure, case_of=case_of, today=today)
            for corner in corners
            for measure in measures
        ),
        is_narrowed=False,
    )


def place(found: VehicleHistory) -> PlaceHistory:
    (only,) = found.places
    return only


def running(found: VehicleHistory) -> RunningPart:
    part = place(found).running
    assert part is not None
    return part


STEADY = (pad("9.0", FIRST), pad("7.5", SECOND), pad("5.9", THIRD))
"""An inner pad that loses 1.25 mm in 10,000 km; its limit is 2.0 mm."""
_FOURTH = visit("fourth", date(2026, 3, 30), 50_000)
FITS_BADLY = history(
    [pad("9.8", SECOND), pad("8.6", THIRD), pad("4.0", _FOURTH)],
    visits=(*VISITS, _FOURTH),
    fittings=[fitted("LF", Position.PAD_INNER, "11.0")],
)
"""One whose last reading lies far below what its wear so far promised."""
