"""The part lives and the outlook of the whole store, brought up to date with its record.

What is kept can always be thrown away and computed again. It is brought up to date in three
steps: the part lives of every vehicle that the record touched since; what the shop learns from
all of them, where enough has changed; and how far each part will go.
"""

from __future__ import annotations

import gc
import json
import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from typing import TypeAlias

from brakelog import __version__
from brakelog.errors import StoreError
from brakelog.record.vehicle import Vehicle
from brakelog.rules.part import next_planned_mm
from brakelog.rules.policy import RULES
from brakelog.rules.vehicle_lives import lives_of_vehicle
from brakelog.store.address import Address
from brakelog.store.store import Store
from brakelog.wear.experiences import Experiences
from brakelog.wear.usage import Usage
from brakelog.workshop.caseload import Caseload, Shared
from brakelog.workshop.experience import learned_experiences, usual_usage
from brakelog.workshop.learning import keep_lesson, lesson_from
from brakelog.workshop.life_document import LAYOUT, lives_text
from brakelog.workshop.outlook import outlook_texts

AT_ONCE = 200
"""Vehicles that are read together."""
KEPT_AT_ONCE = 4_000
"""Vehicles whose documents are written in one transaction; assumption: some megabytes."""
MOST_WORKERS = 4
"""Processes that work side by side, where the machine has as many cores: each takes some 170 MB,
measured, and all of them together less than a gigabyte."""
ALONE = 1_500
"""Vehicles up to which a second process does not pay; measured."""
RELEARN_SHARE = 0.02
"""Share of the vehicles that must have changed before the shop learns again; assumption: fewer
do not move what is believed by as much as it is uncertain."""

TRIES = 10
"""Times that a run begins again where another program has overtaken it."""

_RECORD, _PROGRAM, _CHANGED = "record", "program", "changed since learned"
_WRITER = "writer"
"""Names of the marks that are kept."""

Told: TypeAlias = Callable[[str, int, int], None]
"""Is told what is done, how many of how many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refreshed:
    """What bringing the store up to date came to."""

    vehicles: int
    """Vehicles whose part lives were gathered again."""
    has_learned: bool
    projected: int
    """Vehicles whose parts were projected again."""


def workers() -> int:
    """Return how many processes are to work side by side: one for each core, but not too many."""
    if hasattr(os, "sched_getaffinity"):
        # A program may be held to fewer cores than the machine has.
        return min(MOST_WORKERS, len(os.sched_getaffinity(0)))
    return min(MOST_WORKERS, os.cpu_count() or 1)


def refresh(store: Store, told: Told, *, rebuild: bool = False, alone: bool = False) -> Refreshed:
    """Bring part lives, experience and outlook up to date with the record.

    Parameters
    ----------
    store : Store
        The store.
    told : callable
        Is told how far it is.
    rebuild : bool
        Whether to work everything out anew. What is kept stays until there is something newer to
        put in its place: a verdict given meanwhile must not fall back to general experience.
    alone : bool
        Whether this process does all of it, because others beside it do the same for other stores.

    Raises
    ------
    StoreError
        Where what was computed cannot be kept, or other programs do the same again and again.
    """
    for _ in range(TRIES):
        try:
            return _refreshed(store, told, rebuild=rebuild, alone=alone)
        except _Overtaken:
            continue
    raise StoreError(
        "another program is working the list out at the same time", hint="try again when it is done"
    )


class _Overtaken(Exception):
    """Another program has begun the same later, with a newer record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """What has to be worked out, as the store stands at one moment."""

    record: str
    """The marks of the evidence, as text."""
    ids: tuple[str, ...]
    """Vehicles that were touched."""
    is_all: bool
    count: int
    """Vehicles on file."""
    changed: int
    """Vehicles that changed since the shop learned last."""


def _plan(store: Store, program: str, *, rebuild: bool) -> _Plan:
    with store.reading():
        marks = store.derived_marks()
        touched = None
        if marks.get(_PROGRAM) == program and _RECORD in marks and not rebuild:
            touched = store.vehicles_touched(json.loads(marks[_RECORD]))
        every = [] if touched is not None and not touched else _ids(store)
        ids = every if touched is None else sorted(touched)
        before = 0 if touched is None else int(marks.get(_CHANGED, "0"))
        return _Plan(
            record=json.dumps(store.evidence_marks()),
            ids=tuple(ids),
            is_all=touched is None,
            count=len(every),
            changed=before + len(ids),
        )


def _refreshed(store: Store, told: Told, *, rebuild: bool, alone: bool) -> Refreshed:
    program = f"{__version__} {RULES} {LAYOUT}"
    if not _plan(store, program, rebuild=rebuild).ids:
        return Refreshed(vehicles=0, has_learned=False, projected=0)
    with store.writing():
        # Looked at again, so that nothing comes between the look and the claim.
        plan = _plan(store, program, rebuild=rebuild)
        kept = _Kept(store, workers=1 if alone else workers())
    ids, changed = plan.ids, plan.changed
    _gather(kept, ids, told)
    has_learned = plan.is_all or changed >= RELEARN_SHARE * plan.count
    if has_learned:
        told("learning", 0, 1)
        lesson = lesson_from(store)
        with kept.writing():
            keep_lesson(store, lesson)
        told("learning", 1, 1)
        changed = 0
    again: Sequence[str] = _ids(store) if has_learned else ids
    _project(kept, again, told)
    with kept.writing():
        store.keep_marks({_PROGRAM: program, _RECORD: plan.record, _CHANGED: str(changed)})
    return Refreshed(vehicles=len(ids), has_learned=has_learned, projected=len(again))


class _Kept:
    """What one run keeps, as long as no other one has begun since.

    A slow run that was overtaken would write older documents beneath newer marks.
    """

    def __init__(self, store: Store, *, workers: int) -> None:
        self.store = store
        self.workers = workers
        self._token = store.new_id()
        store.keep_marks({_WRITER: self._token})

    @contextmanager
    def writing(self) -> Iterator[None]:
        with self.store.writing():
            if self.store.derived_marks().get(_WRITER) != self._token:
                raise _Overtaken
            yield


def _ids(store: Store) -> list[str]:
    return sorted(store.vehicle_tags())


def _gather(kept: _Kept, ids: Sequence[str], told: Told) -> None:
    """Gather the part lives of vehicles anew."""
    found = _shared_out(kept, ids, _gather_some, ())
    _keep(kept, kept.store.keep_lives, found, lambda done: told("part lives", done, len(ids)))


def _project(kept: _Kept, ids: Sequence[str], told: Told) -> None:
    """Project the parts of vehicles anew."""
    store = kept.store
    known = (learned_experiences(store), usual_usage(store, store.shop()))
    found = _shared_out(kept, ids, _project_some, known)
    _keep(kept, store.keep_due, found, lambda done: told("outlook", done, len(ids)))


def _keep(
    kept: _Kept,
    keep: Callable[[dict[str, str]], None],
    found: Iterable[dict[str, str]],
    told: Callable[[int], None],
) -> None:
    """Keep what was found, some vehicles in one transaction."""
    waiting: dict[str, str] = {}
    done = 0
    for texts in found:
        waiting |= texts
        done += len(texts)
        told(done)
        if len(waiting) >= KEPT_AT_ONCE:
            with kept.writing():
                keep(waiting)
            waiting = {}
    with kept.writing():
        keep(waiting)


_Work: TypeAlias = Callable[..., dict[str, str]]


def _shared_out(
    kept: _Kept, ids: Sequence[str], work: _Work, known: tuple[object, ...]
) -> Iterator[dict[str, str]]:
    """Yield what some work makes of the vehicles, a few at a time, by several processes."""
    store = kept.store
    chunks = [list(ids[start : start + AT_ONCE]) for start in range(0, len(ids), AT_ONCE)]
    if len(ids) <= ALONE or kept.workers == 1:
        shared = Shared(store) if work is _gather_some else None
        for chunk in chunks:
            yield work(store, shared, chunk, *known)
        return
    with _pool(store.path, kept.workers) as pool:
        # No more waiting than can be worked on, so that results do not pile up.
        waiting: deque[Future[dict[str, str]]] = deque()
        for chunk in chunks:
            waiting.append(pool.submit(_elsewhere, work, chunk, known))
            if len(waiting) > 2 * kept.workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


@contextmanager
def _pool(path: Address, count: int) -> Iterator[ProcessPoolExecutor]:
    # Started afresh: a copy of this process would share its connection to the store.
    with ProcessPoolExecutor(
        count, mp_context=get_context("spawn"), initializer=_begin, initargs=(path,)
    ) as pool:
        yield pool


YOUNG_OBJECTS = 100_000
"""Objects that a process beside this one makes before it looks for cycles of references: about as
many as the vehicles that are read together come to. With the default of 700 it walks their record
over and over: 5 % of the work, measured."""
_here: list[Store | Shared] = []
"""The store of a process that works for another one, and what holds for all its vehicles."""


def _begin(path: Address) -> None:
    from brakelog.store.opening import open_store

    gc.set_threshold(YOUNG_OBJECTS)
    store = open_store(path, create=False)
    _here[:] = [store, Shared(store)]


def _elsewhere(work: _Work, chunk: list[str], known: tuple[object, ...]) -> dict[str, str]:
    return work(*_here, chunk, *known)


def _gather_some(store: Store, shared: Shared, ids: list[str]) -> dict[str, str]:
    with store.reading():
        vehicles = store.vehicles_by_ids(ids)
        load = Caseload(shared, vehicles)
    return {vehicle.id: _lives(load, vehicle) for vehicle in vehicles}


def _lives(load: Caseload, vehicle: Vehicle) -> str:
    visits = load.visits[vehicle.id]
    if not visits:
        return ""
    newest = load.case_as_left(vehicle, visits[-1])
    found = lives_of_vehicle(newest, lambda visit: load.case_as_left(vehicle, visit))
    return lives_text(found, planned_mm=next_planned_mm(newest))


def _project_some(
    store: Store, _shared: Shared | None, ids: list[str], experiences: Experiences, usual: Usage
) -> dict[str, str]:
    return outlook_texts(dict(store.lives_documents(ids)), experiences, usual)
