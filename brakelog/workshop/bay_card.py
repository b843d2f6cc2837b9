"""In the bay without a terminal: what stands on the card that is filled in by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brakelog.intake.notebook import Notebook
from brakelog.intake.paper import PaperCorner, paper_corner
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import Vehicle
from brakelog.review.question import Scope
from brakelog.rules.card_file import CardFile
from brakelog.store.store import Store
from brakelog.workshop.answering import questions_about
from brakelog.workshop.bay import context_of
from brakelog.workshop.guiding import check_corners, points_wanted


def bay_card_of(
    store: Store,
    vehicle_name: str,
    *,
    unit: LengthUnit | None = None,
    stage: Stage = Stage.AS_FOUND,
    corners: tuple[Corner, ...] = (),
) -> tuple[tuple[PaperCorner, ...], CardFile]:
    """Return what is asked at each corner, in the order of guided entry, and what is on file.

    Parameters
    ----------
    store : Store
        Nothing is written to it.
    vehicle_name : str
        Tag, plate or VIN.
    unit : LengthUnit, optional
        Of numbers written without one where no gauge is taken; the shop's if not given.
    stage : Stage
        Before or after the work.
    corners : tuple of Corner
        Those wanted; all where empty.

    Raises
    ------
    NotFound
        Where there is no such vehicle.
    InvalidInput
        Where it has no such corner.
    """
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        check_corners(vehicle, corners)
        file = _file(store, vehicle)
        context = context_of(store, vehicle, unit=unit or file.shop.unit, stage=stage)
        notebook = Notebook(context, points_wanted(file.limits), person_id=None)
        walk = tuple(
            paper_corner(notebook, corner)
            for corner in notebook.order
            if not corners or corner in corners
        )
        in_question = frozenset(_in_question(store, file, walk))
    return walk, replace(file, in_question=in_question)


def _file(store: Store, vehicle: Vehicle) -> CardFile:
    limits = tuple(store.limits_for(vehicle))
    confirmations = store.confirmations_of(limit.id for limit in limits)
    traits = store.traits_of_sheet(vehicle.sheet) if vehicle.sheet else []
    return CardFile(
        vehicle=vehicle,
        shop=store.shop(),
        limits=limits,
        confirmations={each.limit_id: each for each in confirmations},
        traits={(each.axle, each.name): each.value for each in traits},
        visits=tuple(store.visits_of(vehicle.id)),
        sets=tuple(store.reading_sets_of_vehicle(vehicle.id)),
        fittings=tuple(store.fittings_of_vehicle(vehicle.id)),
    )


_OF_HISTORY = frozenset({Scope.ODOMETER, Scope.LIFE})
"""What such a question touches is what happened between two visits, not what was read."""


def _in_question(store: Store, file: CardFile, walk: tuple[PaperCorner, ...]) -> Iterator[str]:
    """Yield the ids of the sets, of those that the card shows, with a question that is open."""
    shown: dict[tuple[str, Stage], list[ReadingSet]] = {}
    for paper in walk:
        for row in paper.rows:
            last = file.last_at(paper.corner, row.quantity)
            if last is not None and last.reading is not None:
                of = (last.reading.visit_id, last.reading.stage)
                shown.setdefault(of, []).append(last.reading)
    for (visit_id, stage), sets in shown.items():
        for question in questions_about(store, visit_id, sets, stage=stage):
            if question.scope not in _OF_HISTORY:
                yield from question.set_ids
