"""What a new row of evidence touches: the vehicles whose part lives or outlook it may change.

Every table of evidence says here where its rows lead. Leading to too many vehicles costs time;
leading past one would leave it with an outlook that holds no more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, Table, select

from brakelog.store.tables import (
    agreements,
    answers,
    closing_answers,
    corrections,
    events,
    findings,
    fittings,
    gauges,
    limit_confirmations,
    limit_sheets,
    limits,
    odometer_corrections,
    reading_sets,
    sheet_traits,
    shop_settings,
    torques,
    torques_left,
    vehicles,
    verdicts,
    visit_facts,
    visits,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """Where the new rows of a table lead; each a query for ids."""

    everybody: bool = False
    vehicles: tuple[Select[Any], ...] = ()
    visits: tuple[Select[Any], ...] = ()
    sheets: tuple[Select[Any], ...] = ()
    limits: tuple[Select[Any], ...] = ()


CORRECTED = {
    "amend": reading_sets,
    "void set": reading_sets,
    "void finding": findings,
    "void fitting": fittings,
    "void visit": visits,
    "move visit": visits,
    "withdraw limit": limits,
}
"""The table that each kind of correction names a row of."""


def _nobody(mark: int) -> Touch:
    return Touch()


def _everybody(mark: int) -> Touch:
    return Touch(everybody=True)


def _through_visit(table: Table) -> Callable[[int], Touch]:
    return lambda mark: Touch(visits=(select(table.c.visit_id).where(table.c.row > mark),))


def _through_sheet(table: Table) -> Callable[[int], Touch]:
    return lambda mark: Touch(sheets=(select(table.c.sheet_id).where(table.c.row > mark),))


def _of_vehicles(mark: int) -> Touch:
    return Touch(vehicles=(select(vehicles.c.key).where(vehicles.c.row > mark),))


def _of_visits(mark: int) -> Touch:
    return Touch(visits=(select(visits.c.id).where(visits.c.row > mark),))


def _of_sheets(mark: int) -> Touch:
    return Touch(sheets=(select(limit_sheets.c.key).where(limit_sheets.c.row > mark),))


def _of_limits(mark: int) -> Touch:
    """A limit that follows another may stand on another sheet than that did."""
    new = limits.c.row > mark
    followed = select(limits.c.replaces).where(new, limits.c.replaces.is_not(None))
    return Touch(limits=(select(limits.c.id).where(new), followed))


def _of_confirmations(mark: int) -> Touch:
    table = limit_confirmations
    return Touch(limits=(select(table.c.limit_id).where(table.c.row > mark),))


def _of_corrections(mark: int) -> Touch:
    """The visit or the limit of what was corrected; a visit leads to all who ever had it."""

    def targets(table: Table) -> Select[Any]:
        kinds = [kind for kind, corrected in CORRECTED.items() if corrected is table]
        return select(corrections.c.target_id).where(
            corrections.c.row > mark, corrections.c.kind.in_(kinds)
        )

    return Touch(
        visits=(
            targets(visits),
            *(
                select(table.c.visit_id).where(table.c.id.in_(targets(table)))
                for table in (reading_sets, findings, fittings)
            ),
        ),
        limits=(targets(limits),),
    )


TOUCHES: Mapping[Table, Callable[[int], Touch]] = {
    shop_settings: _everybody,
    limit_sheets: _of_sheets,
    vehicles: _of_vehicles,
    # A set keeps the revision that it was read with; whether another gauge touches anybody, and
    # whom a point that was read twice does, is said in ``touching``.
    gauges: _nobody,
    visits: _of_visits,
    visit_facts: _through_visit(visit_facts),
    reading_sets: _through_visit(reading_sets),
    findings: _through_visit(findings),
    fittings: _through_visit(fittings),
    corrections: _of_corrections,
    limits: _of_limits,
    limit_confirmations: _of_confirmations,
    torques: _through_sheet(torques),
    verdicts: _nobody,
    sheet_traits: _through_sheet(sheet_traits),
    answers: _through_visit(answers),
    odometer_corrections: _through_visit(odometer_corrections),
    closing_answers: _through_visit(closing_answers),
    torques_left: _nobody,
    agreements: _nobody,
    events: _nobody,
}
"""For each table of evidence, where its rows above a mark lead."""
