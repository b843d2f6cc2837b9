"""At the counter: the history of one vehicle's parts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.record.corner import Corner, Side, parse_corner
from brakelog.record.quantity import Part
from brakelog.record.vehicle import BRAKE_OF, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import VehicleHistory
from brakelog.rules.questioning import with_questions
from brakelog.rules.tracing import place_history
from brakelog.store.store import Store
from brakelog.workshop.caseload import Caseload, Shared
from brakelog.workshop.visiting import pick_visit


def history_of(
    store: Store,
    vehicle_name: str,
    *,
    today: date,
    corner_code: str | None = None,
    part_word: str | None = None,
) -> VehicleHistory:
    """Gather the part lives of one vehicle, or of one corner or kind of part of it.

    Raises
    ------
    InvalidInput
        Where a corner or part cannot be read, or the vehicle has none such.
    NotFound
        Where there is no such vehicle, or it has no visit.
    """
    corner = parse_corner(corner_code) if corner_code else None
    part = read_part(part_word) if part_word else None
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        measures = list(_measures(vehicle, corner, part))
        load = Caseload(Shared(store, for_one=True), [vehicle])
        cases = _Cases(load, vehicle)
        file = cases.of(pick_visit(vehicle, load.visits[vehicle.id], None))
        return VehicleHistory(
            file=file,
            places=tuple(
                place_history(file, at, measure, case_of=cases.of, today=today)
                for at, measure in measures
            ),
            is_narrowed=corner is not None or part is not None,
        )


def read_part(text: str) -> Part:
    """Return the kind of part typed.

    Raises
    ------
    InvalidInput
        Where it is none.
    """
    try:
        return Part(text.strip().lower())
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a part", hint=f"parts: {', '.join(p.value for p in Part)}"
        ) from None


def _measures(
    vehicle: Vehicle, corner: Corner | None, part: Part | None
) -> Iterator[tuple[Corner, Measure]]:
    """Yield every place that is asked for, from the front, with the measure of its size."""
    if corner is not None and corner.axle > len(vehicle.brakes):
        raise InvalidInput(
            f"{vehicle.tag} has no corner {corner}", hint="brakelog vehicle show says its axles"
        )
    found = [
        (at, measure)
        for at in _corners(vehicle)
        for measure in Measure
        if measure.facts.position is not None
        and BRAKE_OF[measure.facts.part] is vehicle.brakes[at.axle - 1]
        and corner in (None, at)
        and part in (None, measure.facts.part)
    ]
    if not found:
        assert part is not None
        where = corner or vehicle.tag
        raise InvalidInput(f"{where} has no {part.value}", hint="brakelog vehicle show says why")
    yield from found


def _corners(vehicle: Vehicle) -> Iterator[Corner]:
    for axle in range(1, len(vehicle.brakes) + 1):
        for side in Side:
            yield Corner(axle=axle, side=side)


class _Cases:
    """The cases of the visits, each made when it is asked for, in the state it left in."""

    def __init__(self, load: Caseload, vehicle: Vehicle) -> None:
        self._load = load
        self._vehicle = vehicle
        self._made: dict[str, CaseFile] = {}

    def of(self, visit: Visit) -> CaseFile:
        """Return the case of a visit, with what its readings ask about themselves."""
        if visit.id not in self._made:
            file = self._load.case_as_left(self._vehicle, visit)
            self._made[visit.id] = with_questions(file)
        return self._made[visit.id]
