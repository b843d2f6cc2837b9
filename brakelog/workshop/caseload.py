"""Gathering what a verdict looks at: for one vehicle, or for many in a few statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, TypeVar

from brakelog.lengths import DistanceUnit
from brakelog.metrology.repeatability import Repeatability, repeatability_from
from brakelog.metrology.uncertainty import default_repeatability_nm
from brakelog.record.answer import Answer
from brakelog.record.closing import ClosingAnswer
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.gauge import Gauge
from brakelog.record.limit import Limit
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.bound import Bounds
from brakelog.rules.casefile import NO_BOUNDS, CaseFile
from brakelog.rules.curing import after_cures
from brakelog.rules.policy import Policy
from brakelog.store.repeats import Repeats
from brakelog.store.store import Store
from brakelog.workshop.experience import learned_experiences, usage_from, usual_usage

if TYPE_CHECKING:
    from brakelog.rules.pack import Pack

MOST_REPEATS = 200
"""Repeated points of one gauge that its scatter is taken from, the newest; assumption: enough to
know it to 5 %, and what a gauge did years ago says little of it now."""
VEHICLES_AT_ONCE = 200
"""Vehicles that are read together: their ids fit into one statement three times over."""


def _packs(store: Store, shop: Shop) -> tuple[Pack, ...]:
    """Return the packs that are on; where none is, nothing is loaded for it."""
    if not shop.packs:
        return ()
    from brakelog.workshop.packs import packs_on

    return packs_on(store, shop)


class Shared:
    """What holds for every vehicle of the shop, read once.

    Where only one vehicle is asked for, no more is read of what every gauge repeated than counts
    for it: then the size of the store does not matter.
    """

    def __init__(self, store: Store, *, for_one: bool = False) -> None:
        self.store = store
        self._for_one = for_one
        self.shop = store.shop()
        self.packs = _packs(store, self.shop)
        self.gauges = tuple(store.gauges())
        self.experiences = learned_experiences(store)
        self.usage = usual_usage(store, self.shop)
        self.people = {person.id: person.tag for person in store.people()}
        self._policies: dict[DistanceUnit, Policy] = {}
        self._used: dict[str, Gauge] = {}
        self._sheets: dict[str, Bounds] = {}
        self._traits: dict[str, dict[tuple[int, str], str]] = {}
        self._repeats: dict[str, Repeats] = {}

    def policy_in(self, unit: DistanceUnit) -> Policy:
        """Return the shop's policy, with distances told in a unit."""
        if unit not in self._policies:
            shop = replace(self.shop, distance_unit=unit)
            self._policies[unit] = Policy(shop, self.packs, self.experiences)
        return self._policies[unit]

    def limits_of_sheet(self, sheet: str | None) -> tuple[Limit, ...]:
        """Return the limits of a sheet."""
        return self.bounds_of_sheet(sheet).limits

    def bounds_of_sheet(self, sheet: str | None) -> Bounds:
        """Return the limits of a sheet with what they come to: for all of its vehicles once."""
        if sheet is None:
            return NO_BOUNDS
        if sheet not in self._sheets:
            self._sheets[sheet] = self.bounds_of(tuple(self.store.limits_of_sheet(sheet)))
        return self._sheets[sheet]

    def bounds_of(self, limits: tuple[Limit, ...]) -> Bounds:
        """Return limits with the newest decision on each that has one."""
        decided = self.store.confirmations_of([limit.id for limit in limits])
        return Bounds(limits, {each.limit_id: each for each in decided})

    def traits_of_sheet(self, sheet: str | None) -> dict[tuple[int, str], str]:
        """Return what is known of a variant, by axle (0: the vehicle) and name."""
        if sheet is None:
            return {}
        if sheet not in self._traits:
            rows = self.store.traits_of_sheet(sheet)
            self._traits[sheet] = {(each.axle, each.name): each.value for each in rows}
        return self._traits[sheet]

    def gauges_of(self, sets: Sequence[ReadingSet]) -> dict[str, Gauge]:
        """Return the gauges of the sets, as they stood when they were used."""
        ids = {each.gauge_id for each in sets if each.gauge_id}
        unknown = ids - self._used.keys()
        if unknown:
            self._used |= self.store.gauges_by_ids(unknown)
        return {id: self._used[id] for id in ids if id in self._used}

    def repeats_until(self, gauge_id: str, until: datetime) -> tuple[tuple[int, int], ...]:
        """Return the newest first points that a gauge read twice, up to a time. [nm]"""
        if self._for_one:
            found = self.store.repeats_of_gauge(gauge_id, until=until, most=MOST_REPEATS)
            return tuple(pair for _, pair in found[-MOST_REPEATS:])
        if gauge_id not in self._repeats:
            self._repeats[gauge_id] = self.store.every_repeat_of_gauge(gauge_id)
        return self._repeats[gauge_id].newest(until, MOST_REPEATS)


class Caseload:
    """What is on file about some vehicles, read together.

    Made in one reading transaction; refused where a row is not as it was written.
    """

    def __init__(self, shared: Shared, vehicles: Sequence[Vehicle]) -> None:
        store = shared.store
        self._shared = shared
        ids = [vehicle.id for vehicle in vehicles]
        store.need_intact(ids)
        self.visits = store.visits_of_vehicles(ids)
        newest = [visits[-1].id for visits in self.visits.values() if visits]
        every = [visit.id for visits in self.visits.values() for visit in visits]
        self._sets = _grouped(store.reading_sets_of_vehicles(ids))
        self._findings = _grouped(store.findings_of_vehicles(ids))
        self._fittings = _grouped(store.fittings_of_vehicles(ids))
        self._answers = store.answers_of_visits(every)
        self._cures = _grouped(store.runout_cures_of(every))
        self._drafts = store.unfiled_of(newest if len(ids) > 1 else every)
        self._marked: dict[str, Bounds] = {}
        self._marks: dict[str, list[Limit]] = defaultdict(list)
        for mark in store.marks_of_vehicles(ids):
            self._marks[mark.vehicle_id or ""].append(mark)

    def case(self, vehicle: Vehicle, visit: Visit, stage: Stage | None) -> CaseFile:
        """Return the record of a vehicle up to and including one of its visits.

        As left where anything was read or found so, unless a stage is named.
        """
        shared = self._shared
        visits = self.visits[vehicle.id]
        upto = tuple(visits[: [each.id for each in visits].index(visit.id) + 1])
        sets = _of(upto, self._sets)
        sets = after_cures(visit, sets, self._cures.get(visit.id, ()))
        findings = tuple(self._findings.get(visit.id, ()))
        if stage is None:
            here = (*self._sets.get(visit.id, ()), *findings)
            left = any(each.stage is Stage.AS_LEFT for each in here)
            stage = Stage.AS_LEFT if left else Stage.AS_FOUND
        bounds = self._bounds_of(vehicle)
        # Distances are told in the unit that the driver sees.
        policy = shared.policy_in(vehicle.odometer_unit)
        return CaseFile(
            vehicle=vehicle,
            visit=upto[-1],
            stage=stage,
            shop=policy.shop,
            policy=policy,
            limits=bounds.limits,
            confirmations=bounds.confirmations,
            bounds=bounds,
            gauges=shared.gauges_of(sets),
            visits=upto,
            sets=sets,
            findings=findings,
            earlier_findings=_of(upto[:-1], self._findings),
            experiences=shared.experiences,
            usage=usage_from(upto, shared.usage),
            fittings=tuple(
                # A corrected odometer holds for what was fitted in that visit too.
                replace(each, odometer_mm=one.odometer_mm) if one.odometer_was else each
                for one in upto
                for each in self._fittings.get(one.id, ())
            ),
            people=shared.people,
            unfiled=self._drafts.get(visit.id, ()),
            packs=shared.packs,
            traits=shared.traits_of_sheet(vehicle.sheet),
            shop_gauges=shared.gauges,
            repeats=self._repeats(self._sets.get(visit.id, [])),
            answers=self._answers_of(upto),
        )

    def case_as_left(self, vehicle: Vehicle, visit: Visit) -> CaseFile:
        """Return the same in the state in which the vehicle left: with what was fitted on it."""
        is_fitted = bool(self._fittings.get(visit.id))
        return self.case(vehicle, visit, Stage.AS_LEFT if is_fitted else None)

    def _bounds_of(self, vehicle: Vehicle) -> Bounds:
        """Return the limits of a vehicle: those of its sheet, then the marks cast on its parts."""
        on_sheet = self._shared.bounds_of_sheet(vehicle.sheet)
        marks = self._marks.get(vehicle.id)
        if not marks:
            return on_sheet
        if vehicle.id not in self._marked:
            self._marked[vehicle.id] = self._shared.bounds_of((*on_sheet.limits, *marks))
        return self._marked[vehicle.id]

    def _answers_of(self, visits: Sequence[Visit]) -> dict[str, Answer]:
        """Return the newest answer to each question of some visits."""
        if not self._answers:
            return {}
        ids = {each.id for each in visits}
        return {each.question_key: each for each in self._answers if each.visit_id in ids}

    def _repeats(self, sets: Sequence[ReadingSet]) -> dict[str, Repeatability]:
        """Return what point 1, read again, says of the gauges used, up to the visit's readings.

        Later ones do not count, so that a verdict does not change because another car came in.
        """
        times = [each.recorded_at for each in sets if each.recorded_at]
        if not times:
            return {}
        found = {}
        for gauge in self._shared.gauges_of(sets).values():
            default_nm = default_repeatability_nm(Quantity.ROTOR, gauge)
            pairs = () if default_nm is None else self._shared.repeats_until(gauge.id, max(times))
            if default_nm is not None and pairs:
                found[gauge.id] = repeatability_from(pairs, default_nm)
        return found


def caseloads(store: Store, vehicles: Sequence[Vehicle]) -> Iterator[tuple[Vehicle, CaseFile]]:
    """Yield the case of every vehicle that has a visit: its newest, a few vehicles at a time."""
    shared = Shared(store)
    for start in range(0, len(vehicles), VEHICLES_AT_ONCE):
        chunk = vehicles[start : start + VEHICLES_AT_ONCE]
        load = Caseload(shared, chunk)
        for vehicle in chunk:
            if load.visits[vehicle.id]:
                yield vehicle, load.case(vehicle, load.visits[vehicle.id][-1], None)


_T = TypeVar("_T", ReadingSet, Finding, Fitting, Answer, ClosingAnswer)


def _of(visits: Sequence[Visit], by_visit: Mapping[str, Sequence[_T]]) -> tuple[_T, ...]:
    """Return what belongs to some visits, one visit after the other."""
    return tuple(each for visit in visits for each in by_visit.get(visit.id, ()))


def _grouped(rows: Sequence[_T]) -> dict[str, list[_T]]:
    groups: dict[str, list[_T]] = defaultdict(list)
    for row in rows:
        groups[row.visit_id].append(row)
    return groups
