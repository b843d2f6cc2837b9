"""In the office: service limits as printed, marks cast on parts, and what people confirm."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from brakelog.errors import Conflict, InvalidInput, NotFound, clip
from brakelog.intake.limit_row import LimitRow, TorqueRow, possible_figures
from brakelog.lengths import parse_length
from brakelog.record.corner import Corner, Side, parse_axle
from brakelog.record.limit import Confirmation, Limit, Torque, WhichPad
from brakelog.record.reading import Datum
from brakelog.record.trait import Trait, check_trait
from brakelog.record.vehicle import BRAKE_OF
from brakelog.rules.bound import BoundFigure, BoundState, bound_for
from brakelog.store.store import Store
from brakelog.workshop.office import check_name, known_sheet


def add_sheet(store: Store, name: str, note: str = "") -> str:
    """Put an empty limit sheet on file."""
    clean = check_name(name, "sheet name")
    store.add_sheet(clean, note)
    return clean


def rename_sheet(store: Store, name: str, new_name: str) -> tuple[str, str]:
    """Give a limit sheet another name; return the old one and the new one."""
    clean = check_name(new_name, "sheet name")
    with store.writing():
        old = known_sheet(store, name)
        store.rename_sheet(old, clean)
    return old, clean


def limit_of(
    store: Store,
    row: LimitRow,
    *,
    sheet: str | None = None,
    vehicle_id: str | None = None,
    corner: Corner | None = None,
) -> Limit:
    """Return the limit of a row, on a sheet or cast on a part of one vehicle."""
    return Limit(
        id=store.new_id(),
        kind=row.kind,
        figures=row.figures,
        source=row.limit_source,
        axle=row.axle,
        sheet=sheet,
        vehicle_id=vehicle_id,
        corner=corner,
        out_when=row.out_when,
        datum=row.datum,
        which_pad=row.which_pad,
        points=row.points,
        radius_nm=row.radius_nm,
        source_date=row.source_date,
        note=row.note,
    )


def add_limit(store: Store, row: LimitRow) -> Limit:
    """Put a limit on a sheet.

    Raises
    ------
    Conflict
        Where the sheet has one of that kind, axle, pad, datum and source already.
    """
    with store.writing():
        name = known_sheet(store, row.sheet)
        limit = limit_of(store, row, sheet=name)
        twin = twin_of(limit, store.limits_of_sheet(name))
        if twin is not None:
            raise Conflict(
                f"{name} has this limit already: {twin.as_printed} ({clip(twin.source)})",
                hint=f"brakelog limits change {twin.id[:12]} ...",
            )
        store.add_limits([limit])
    return limit


def twin_of(limit: Limit, others: list[Limit]) -> Limit | None:
    """Return the limit that bounds the same thing by the same source, if there is one."""
    return next(
        (
            other
            for other in others
            if (other.kind, other.axle, other.which_pad, other.datum, other.source, other.corner)
            == (limit.kind, limit.axle, limit.which_pad, limit.datum, limit.source, limit.corner)
        ),
        None,
    )


def change_limit(store: Store, limit_id: str, typed_figures: tuple[str, str], reason: str) -> Limit:
    """Follow a limit by another one with other figures; the old one is kept.

    Raises
    ------
    InvalidInput
        Where no reason is given.
    """
    if not reason.strip():
        raise InvalidInput("a changed limit needs a reason", hint='--why "new edition"')
    with store.writing():
        old = find_limit(store, limit_id)
        figures = possible_figures(*typed_figures, kind=old.kind, unit=None)
        note = f"{old.note}; {reason}" if old.note else reason
        new = replace(old, id=store.new_id(), figures=figures, note=note)
        store.add_limits([new], replaces={new.id: old.id})
    return new


def find_limit(store: Store, text: str) -> Limit:
    """Return the limit whose id was typed, whole or as printed.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return store.limit_by_id(store.full_limit_id(text.strip().lower()))


def cast_mark(store: Store, vehicle_name: str, corner: Corner, row: LimitRow) -> Limit:
    """Put on file what is cast on a part of one vehicle."""
    with store.writing():
        vehicle = store.vehicle(vehicle_name)
        if corner.axle > len(vehicle.brakes):
            raise InvalidInput(f"{vehicle.tag} has no corner {corner}", hint="check the corner")
        if BRAKE_OF[row.kind.facts.part] is not vehicle.brakes[corner.axle - 1]:
            raise InvalidInput(
                f"{corner} of {vehicle.tag} has no {row.kind.facts.part.value}",
                hint="check the corner and the limit",
            )
        limit = limit_of(store, row, vehicle_id=vehicle.id, corner=corner)
        store.add_limits([limit])
    return limit


def confirm_limit(
    store: Store, limit_id: str, figure: str, reason: str, *, by: str
) -> tuple[Limit, Confirmation]:
    """Confirm one figure of a limit that contradicts itself or another one.

    Raises
    ------
    InvalidInput
        Where no reason is given, or the limit has no such figure.
    """
    if not reason.strip():
        raise InvalidInput("a confirmation needs a reason", hint='--why "looked at the part"')
    with store.writing(by=store.person(by).id):
        limit = find_limit(store, limit_id)
        index = _figure_index(limit, figure)
        confirmation = Confirmation(
            id=store.new_id(),
            limit_id=limit.id,
            figure=index,
            person_id=store.person(by).id,
            reason=reason.strip(),
            over=_rivals(store, limit, index),
        )
        store.add_confirmation(confirmation)
    return limit, confirmation


def _figure_index(limit: Limit, text: str) -> int:
    typed = parse_length(text, declared=None if len(limit.figures) > 1 else limit.figures[0].unit)
    for index, figure in enumerate(limit.figures):
        if figure.nm == typed.nm and figure.unit.is_inch == typed.unit.is_inch:
            return index
    raise InvalidInput(
        f"{limit.as_printed} has no figure {clip(text)!r}", hint="type it with its unit, as printed"
    )


def _rivals(store: Store, limit: Limit, index: int) -> tuple[str, ...]:
    """Return the ids of the limits on file now that the confirmed figure contradicts.

    A limit with a figure that agrees with it is none of them: both go on being judged.

    For a limit of a sheet those of the sheet only: a mark cast on one vehicle's part is never
    set aside by what somebody confirmed for all of them.
    """
    if limit.vehicle_id is not None:
        near = store.limits_for(store.vehicle_by_id(limit.vehicle_id))
    else:
        near = store.limits_of_sheet(limit.sheet or "")
    held = BoundFigure(limit=limit, index=index)
    return tuple(
        other.id
        for other in near
        if other.id != limit.id
        and not any(
            held.overlaps(BoundFigure(limit=other, index=n)) for n in range(len(other.figures))
        )
        and other.kind is limit.kind
        and other.axle == limit.axle
        and (limit.corner is None or other.corner in (None, limit.corner))
    )


def contradicting(store: Store, limits: list[Limit]) -> set[str]:
    """Return the ids of those limits that contradict themselves or each other, unsettled."""
    confirmed = {c.limit_id: c for c in store.confirmations_of([each.id for each in limits])}
    found: set[str] = set()
    for kind, axle in {(each.kind, each.axle) for each in limits}:
        for side in Side:
            bound = bound_for(kind, Corner(axle=axle, side=side), limits, confirmed)
            pads = {limit.which_pad for limit in bound.limits} or {WhichPad.BOTH}
            for pad, datum in product(pads, Datum):
                each = bound_for(
                    kind,
                    Corner(axle=axle, side=side),
                    limits,
                    confirmed,
                    which_pad=pad,
                    datum=datum,
                )
                if each.state is BoundState.CONTRADICTS:
                    found.update(limit.id for limit in each.limits)
    return found


def torque_of(store: Store, row: TorqueRow) -> Torque:
    """Return the torque of a row."""
    return Torque(
        id=store.new_id(),
        sheet=known_sheet(store, row.sheet),
        axle=row.axle,
        fastener=row.fastener,
        figure=row.figure,
        source=row.limit_source,
    )


def add_torque(store: Store, row: TorqueRow) -> Torque:
    """Put a torque on a sheet, as printed."""
    with store.writing():
        torque = torque_of(store, row)
        store.add_torques([torque])
    return torque


def add_trait(
    store: Store, sheet: str, axle: str, name: str, value: str, source: str = ""
) -> Trait:
    """Say what kind of brake a sheet is for; the newest of an axle and name counts.

    Raises
    ------
    InvalidInput
        Where there is no such trait, or the value is none of its words.
    """
    number = 0 if axle.strip().lower() == "vehicle" else parse_axle(axle)
    name, value = check_trait(name, value, number)
    with store.writing():
        trait = Trait(
            id=store.new_id(),
            sheet=known_sheet(store, sheet),
            axle=number,
            name=name,
            value=value,
            source=source.strip(),
        )
        store.add_traits([trait])
    return trait


def limits_of(
    store: Store, name: str, *, is_vehicle: bool = False
) -> tuple[str, list[Limit], list[Torque]]:
    """Return a sheet with its limits and torques; for a vehicle with its cast marks.

    Raises
    ------
    NotFound
        Where neither a sheet nor a vehicle goes by that name.
    """
    try:
        sheet = "" if is_vehicle else known_sheet(store, name)
    except NotFound:
        sheet = ""
    if not sheet:
        vehicle = store.vehicle(name)
        torques = store.torques_of_sheet(vehicle.sheet) if vehicle.sheet else []
        return vehicle.sheet or vehicle.tag, store.limits_for(vehicle), torques
    return sheet, store.limits_of_sheet(sheet), store.torques_of_sheet(sheet)
