"""At the desk: the job of an earlier visit that nobody finished."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from brakelog.record.reading import Stage
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.worked import is_work
from brakelog.store.store import Store
from brakelog.workshop.counter import case_file
from brakelog.workshop.finishing import closing_of

HISTORY = timedelta(days=7)
"""What was entered later than this after its day was not entered at the car; assumption: then it
is history, and nobody went on to finish it here unless its end was begun."""


def with_earlier(
    store: Store,
    file: CaseFile,
    closing: Closing,
    case_as_left: Callable[[Visit], CaseFile] | None = None,
) -> Closing:
    """Return a closing that names the last earlier visit with work, where that is not finished.

    Parameters
    ----------
    store : Store
        The store.
    file : CaseFile
        The record of the visit that the closing is about.
    closing : Closing
        The state of its own job.
    case_as_left : callable, optional
        Gives the case of an earlier visit as left, where it has been read already.
    """
    with store.reading():
        for visit in reversed([each for each in file.visits if each.id != file.visit.id]):
            if not _may_be_job(file, visit):
                continue
            if case_as_left is not None:
                before = case_as_left(visit)
            else:
                before = case_file(store, file.vehicle, visit.id, Stage.AS_LEFT)
            if not is_work(before):
                continue
            earlier = closing_of(store, judge_vehicle(before))
            record = earlier.record
            is_begun = bool(record.answers or record.torques or record.agreements)
            if earlier.is_preliminary and (is_begun or _was_live(before, visit)):
                return replace(closing, earlier=visit.day)
            return closing
    return closing


def _may_be_job(file: CaseFile, visit: Visit) -> bool:
    """Whether something was fitted or read as left in an earlier visit, without judging it."""
    return any(each.visit_id == visit.id for each in file.fittings) or any(
        each.visit_id == visit.id and each.stage is Stage.AS_LEFT for each in file.sets
    )


def _was_live(file: CaseFile, visit: Visit) -> bool:
    """Whether the work was entered near its day."""
    times: list[datetime | None] = [
        *(each.recorded_at for each in file.fittings if each.visit_id == visit.id),
        *(each.recorded_at for each in file.sets if each.visit_id == visit.id),
    ]
    return any(each is not None and each.date() - visit.day <= HISTORY for each in times)
