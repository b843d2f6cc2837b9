"""The runout of one corner: the readings that tell most are gathered and studied."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from brakelog.errors import InvalidInput, clip
from brakelog.intake.tokens import join_units
from brakelog.lengths import NM_PER_MM, parse_length
from brakelog.metrology.judder import parse_tyre
from brakelog.metrology.plates import COMMON_PLATES_NM, MOST_PLATES, Face, taper_at_indicator_nm
from brakelog.metrology.shares import Mark
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.runout import study_runout, telling_stage
from brakelog.rules.runout_study import Ask, RunoutStudy
from brakelog.store.store import Store
from brakelog.workshop.counter import case_file, read_stage
from brakelog.workshop.visiting import pick_visit

THICKEST_PLATE_NM = NM_PER_MM
"""Assumption: no correction plate tapers by more than 1 mm. [nm]"""
LARGEST_RADIUS_NM = 500 * NM_PER_MM
"""Assumption: no rotor of a road vehicle has a larger radius. [nm]"""
NO_PLATES = "none"
"""Typed where no plate is to be tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunoutTyped:
    """What was typed beside vehicle and corner."""

    visit: str | None = None
    stage: str | None = None
    mark: Mark = Mark.HUB
    face: Face = Face.OUTER
    plates: str | None = None
    plate_radius: str | None = None
    indicator_radius: str | None = None
    tyre: str | None = None


def runout_of(store: Store, vehicle_name: str, corner_code: str, typed: RunoutTyped) -> RunoutStudy:
    """Study the runout of one corner: hub and rotor, stud positions, plates, thickness.

    The visit is the newest in which a runout of the corner was read, unless one is named.

    Raises
    ------
    InvalidInput
        Where a corner, plate, radius or tyre cannot be read, or the corner has no rotor.
    NotFound
        Where there is no such vehicle or visit.
    """
    corner = parse_corner(corner_code)
    stage = read_stage(typed.stage)
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        _need_disc(vehicle, corner)
        visits = store.visits_of(vehicle.id)
        sets = store.reading_sets_of_vehicle(vehicle.id)
        visit = (_telling_visit(visits, sets, corner) if not typed.visit else None) or pick_visit(
            vehicle, visits, typed.visit
        )
        stage = stage or telling_stage([s for s in sets if s.visit_id == visit.id], corner)
        file = case_file(store, vehicle, visit.id, stage)
        traits = _traits(store, vehicle)
        later = {each.id for each in visits[visits.index(visit) + 1 :]}
        changed = _is_changed(store.fittings_of_vehicle(vehicle.id), later, corner)
    ask = read_ask(typed, tyre=traits.get((0, "tyre")))
    return study_runout(replace(file, traits=traits), corner, ask, changed_since=changed)


def read_ask(typed: RunoutTyped, *, tyre: str | None = None) -> Ask:
    """Return what was asked beside the record; the tyre of the sheet unless another is typed.

    Raises
    ------
    InvalidInput
        Naming what cannot be read.
    """
    indicator_nm = _radius("indicator-radius", typed.indicator_radius)
    plate_nm = _radius("plate-radius", typed.plate_radius)
    if plate_nm and not indicator_nm:
        raise InvalidInput(
            "a plate's radius says nothing without that of the indicator",
            hint='--indicator-radius "140 mm", from the middle of the wheel',
        )
    size = typed.tyre or tyre
    return Ask(
        mark=typed.mark,
        face=typed.face,
        plates_nm=_plates(typed.plates, plate_nm, indicator_nm),
        indicator_radius_nm=indicator_nm,
        tyre=parse_tyre(size) if size else None,
    )


def _plates(text: str | None, plate_nm: int | None, indicator_nm: int | None) -> tuple[int, ...]:
    if text is not None and text.strip().lower() == NO_PLATES:
        return ()
    sizes = COMMON_PLATES_NM if text is None else tuple(_sizes(text))
    if plate_nm and indicator_nm:
        sizes = tuple(taper_at_indicator_nm(size, plate_nm, indicator_nm) for size in sizes)
    return tuple(sorted(set(sizes)))


def _sizes(text: str) -> Iterable[int]:
    words = join_units(text.replace(";", " ").split())
    if not 0 < len(words) <= MOST_PLATES:
        raise InvalidInput(
            f"{len(words)} plates are typed",
            hint=f'--plates "3 thou 6 thou", at most {MOST_PLATES}, or none',
        )
    for word in words:
        nm = parse_length(word, declared=None).nm
        if not 0 < nm <= THICKEST_PLATE_NM:
            raise InvalidInput(f"{clip(word)!r} is no taper of a plate", hint="check the unit")
        yield nm


def _radius(name: str, text: str | None) -> int | None:
    if not text:
        return None
    nm = parse_length(text, declared=None).nm
    if not 0 < nm <= LARGEST_RADIUS_NM:
        raise InvalidInput(f"{name}: {clip(text)!r} is no radius of a rotor", hint="check the unit")
    return nm


def _need_disc(vehicle: Vehicle, corner: Corner) -> None:
    if corner.axle > len(vehicle.brakes):
        raise InvalidInput(
            f"{vehicle.tag} has no corner {corner}", hint="brakelog vehicle show says its axles"
        )
    if vehicle.brakes[corner.axle - 1] is AxleBrake.DRUM:
        raise InvalidInput(f"{corner} has a drum, no rotor", hint="check the corner")


def _telling_visit(
    visits: Sequence[Visit], sets: Sequence[ReadingSet], corner: Corner
) -> Visit | None:
    for quantities in ((Quantity.RUNOUT, Quantity.HUB_RUNOUT), (Quantity.ROTOR,)):
        ids = {s.visit_id for s in sets if s.corner == corner and s.quantity in quantities}
        for visit in reversed(visits):
            if visit.id in ids:
                return visit
    return None


def _traits(store: Store, vehicle: Vehicle) -> dict[tuple[int, str], str]:
    if not vehicle.sheet:
        return {}
    return {(each.axle, each.name): each.value for each in store.traits_of_sheet(vehicle.sheet)}


def _is_changed(fittings: Iterable[Fitting], visits: set[str], corner: Corner) -> bool:
    return any(
        each.visit_id in visits
        and corner in (each.corner, each.from_corner)
        and each.position is Position.ROTOR
        for each in fittings
    )
