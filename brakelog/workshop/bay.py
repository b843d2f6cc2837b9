"""In the bay: readings and findings are put on file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TextIO

from brakelog.errors import InvalidInput
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.line import read_lines
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.finding import Finding
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.workshop.visiting import VisitTyped, open_visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Filed:
    """What was put on file in one go."""

    visit: Visit
    reading_sets: tuple[ReadingSet, ...]
    findings: tuple[Finding, ...]
    looked_over: tuple[Corner, ...]


def context_of(
    store: Store, vehicle: Vehicle, *, unit: LengthUnit | None, stage: Stage = Stage.AS_FOUND
) -> Context:
    """Return what is known before anything is typed for a vehicle."""
    return Context(
        gauges={gauge.tag.lower(): gauge for gauge in store.gauges()},
        people={person.tag.lower(): person.id for person in store.people()},
        declared=unit,
        stage=stage,
        brakes=vehicle.brakes,
    )


def measure_lines(
    store: Store,
    vehicle_name: str,
    stream: TextIO,
    typed: VisitTyped,
    *,
    unit: LengthUnit | None = None,
    stage: Stage = Stage.AS_FOUND,
    by: str | None = None,
    source: str = "standard input",
) -> Filed:
    """Put typed lines on file for a visit: all of them, or none.

    Raises
    ------
    BadSheet
        With every line that could not be read.
    """
    vehicle = store.vehicle(vehicle_name)
    context = context_of(store, vehicle, unit=unit, stage=stage)
    entries = read_lines(stream, context, source)
    person_id = store.person(by).id if by else None
    with store.writing(by=person_id):
        visit = open_visit(store, vehicle, typed, person_id=person_id)
        return file_entries(store, visit, entries, context, person_id=person_id)


def file_entries(
    store: Store,
    visit: Visit,
    entries: Iterable[Entry],
    context: Context,
    *,
    person_id: str | None = None,
) -> Filed:
    """Put entries on file under a visit, in one transaction."""
    sets: list[ReadingSet] = []
    findings: list[Finding] = []
    corners: list[Corner] = []
    for entry in entries:
        match entry:
            case ReadingEntry():
                sets.append(reading_set(entry, store.new_id(), visit.id, context, person_id))
            case FindingEntry():
                findings.append(_finding(entry, store.new_id(), visit.id, context, person_id))
            case LookedOver():
                corners.append(entry.corner)
    with store.writing(by=person_id):
        if any(each.put_right for each in findings):
            # An earlier visit may have found it, and nobody said so far that it was put right.
            _check_put_right(findings, store.findings_of_vehicles([visit.vehicle_id]))
        if sets:
            store.add_reading_sets(sets)
        if findings:
            store.add_findings(findings)
        new = [corner for corner in dict.fromkeys(corners) if corner not in visit.looked_over]
        store.add_visit_facts(visit.id, looked_over=new)
    return Filed(
        visit=visit,
        reading_sets=tuple(sets),
        findings=tuple(findings),
        looked_over=tuple(dict.fromkeys(corners)),
    )


def _check_put_right(new: list[Finding], known: list[Finding]) -> None:
    """Refuse to put right what nobody found, a slip of the corner, or what is right by now."""
    found: Counter[tuple[object, ...]] = Counter()
    put_right: Counter[tuple[object, ...]] = Counter()
    for each in (*known, *new):
        (put_right if each.put_right else found)[each.corner, each.kind, each.part] += 1
    for each in new:
        what = (each.corner, each.kind, each.part)
        if each.put_right and not found[what]:
            raise InvalidInput(
                f"nobody found {each.kind.value} at {each.corner}",
                hint="check the corner; fixed=yes is said of a finding that is on file",
            )
        if each.put_right and put_right[what] > found[what]:
            raise InvalidInput(
                f"{each.kind.value} at {each.corner} is already put right",
                hint="if that was a mistake: brakelog amend list, then amend drop",
            )


def reading_set(
    entry: ReadingEntry, id: str, visit_id: str, context: Context, person_id: str | None
) -> ReadingSet:
    """Return the row of evidence for a reading that was typed."""
    return ReadingSet(
        id=id,
        visit_id=visit_id,
        corner=entry.corner,
        quantity=entry.quantity,
        stage=entry.stage,
        values_nm=entry.values_nm,
        typed=entry.typed,
        unit=entry.unit,
        datum=entry.datum,
        again_nm=entry.again_nm,
        again_typed=entry.again_typed,
        gauge_id=entry.gauge.id if entry.gauge else None,
        tips=entry.tips,
        person_id=context.people[entry.person] if entry.person else person_id,
        temperature_dc=entry.temperature_dc,
        zero_error_nm=entry.zero_error_nm,
        radius_nm=entry.radius_nm,
        fasteners_fitted=entry.fasteners_fitted,
        fasteners_of=entry.fasteners_of,
        bearing_checked=entry.bearing_checked,
        returned_to_start=entry.returned_to_start,
        rotor_index=entry.rotor_index,
        lip=entry.lip,
        in_groove=entry.in_groove,
    )


def _finding(
    entry: FindingEntry, id: str, visit_id: str, context: Context, person_id: str | None
) -> Finding:
    if entry.part is None:
        raise InvalidInput(
            f"the part of {entry.kind.value} cannot be told", hint="part=rotor and the like"
        )
    return Finding(
        id=id,
        visit_id=visit_id,
        corner=entry.corner,
        stage=entry.stage,
        kind=entry.kind,
        part=entry.part,
        note=entry.note,
        put_right=entry.put_right,
        person_id=context.people[entry.person] if entry.person else person_id,
    )
