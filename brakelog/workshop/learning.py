"""What the shop learns of wear and of driving, from every part life it has on record."""

from __future__ import annotations

import json
from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brakelog.store.derived import ExperienceRow
from brakelog.store.store import Store
from brakelog.wear.experience import WearKind
from brakelog.wear.experiences import Group, group_of
from brakelog.wear.usage import Usage
from brakelog.workshop.experience import SHARE_MARK, USAGE_MARK

if TYPE_CHECKING:
    from brakelog.wear.bulk.backtest import BackTest
    from brakelog.wear.bulk.grouping import Grouping
    from brakelog.wear.bulk.lives import Counts, Floats, Lives


@dataclass(frozen=True, slots=True, kw_only=True)
class Experienced:
    """Every part life of the shop that says how fast such parts wear."""

    lives: Lives
    grouping: Grouping
    general_log_rate: Floats
    vehicles: Counts
    """A number for the vehicle of each life."""
    before: Counts
    """The life that was at the same place of the vehicle before; -1 where none was."""
    distance_km: Floats
    """Distance of each vehicle between its first and its last visit. [km]"""
    days: Floats
    """Days between the two. [day]"""


def experienced(documents: Iterable[tuple[str, str]]) -> Experienced:
    """Gather the part lives to learn from.

    Parameters
    ----------
    documents : iterable of (str, str)
        Vehicles with the text that is kept of their part lives.
    """
    import numpy as np

    from brakelog.wear.bulk.grouping import Grouping
    from brakelog.wear.bulk.lives import lives_from_rows

    places: dict[Group, int] = {}
    kinds = {kind.value: kind for kind in WearKind}
    codes, visits, vehicles, before = array("q"), array("q"), array("q"), array("q")
    general, margin, u1, readings = array("d"), array("d"), array("d"), array("d")
    distance_km, days = array("d"), array("d")
    known: dict[tuple[str, int, str | None, str | None], int] = {}
    for number, (_, text) in enumerate(documents):
        if not text:
            continue
        found = json.loads(text)
        first_mm, last_mm = found["odometers"]
        first, last = found["days"]
        distance_km.append((last_mm - first_mm) / 1e6)
        days.append(last - first)
        base = len(codes)
        for row in found["learned"]:
            kind, axle, general_log_rate, margin_mm, u1_mm, numbers, forerunner = row
            key = (kind, axle, found["class"], found["model"])
            code = known.get(key)
            if code is None:
                group = group_of(
                    kinds[kind], axle=axle, vehicle_class=found["class"], model=found["model"]
                )
                code = known[key] = places.setdefault(group, len(places))
            codes.append(code)
            visits.append(len(numbers) // 3)
            vehicles.append(number)
            before.append(-1 if forerunner < 0 else base + forerunner)
            general.append(general_log_rate)
            margin.append(margin_mm)
            u1.append(u1_mm)
            readings.extend(numbers)
    rows = np.array(readings).reshape(-1, 3)
    return Experienced(
        lives=lives_from_rows(
            margin_mm=np.array(margin),
            u1_mm=np.array(u1),
            visits=np.array(visits, dtype=np.int64),
            x=rows[:, 0],
            visit_margin_mm=rows[:, 1],
            visit_u1_mm=rows[:, 2],
        ),
        grouping=Grouping(groups=tuple(places), codes=np.array(codes, dtype=np.int64)),
        general_log_rate=np.array(general),
        vehicles=np.array(vehicles, dtype=np.int64),
        before=np.array(before, dtype=np.int64),
        distance_km=np.array(distance_km),
        days=np.array(days),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What the shop has learned, ready to be kept."""

    rows: tuple[ExperienceRow, ...]
    marks: dict[str, str]


def lesson_from(store: Store) -> Lesson:
    """Learn from the part lives that are kept; holds up nobody who writes meanwhile."""
    from brakelog.wear.bulk.backtest import widened
    from brakelog.wear.bulk.believed import believed
    from brakelog.wear.bulk.distance import learn_usage
    from brakelog.wear.bulk.learning import learn
    from brakelog.wear.bulk.vehicle_share import learned_vehicle_share

    found = experienced(store.lives_documents())
    learned = learn(
        found.lives,
        found.grouping,
        general_log_rate=found.general_log_rate,
        vehicles=found.vehicles,
    )
    usage = learn_usage(found.distance_km, found.days, Usage())
    share = learned_vehicle_share(
        found.lives,
        believed(found.grouping, learned.experiences, found.general_log_rate),
        before=found.before,
        vehicles=found.vehicles,
    )
    own = widened(learned.experiences, _tested(found)).by_group
    return Lesson(
        rows=tuple(
            ExperienceRow(
                group=count.group,
                experience=own[count.group],
                lives=count.lives,
                visits=count.visits,
                vehicles=count.vehicles,
            )
            for count in learned.counts
            if count.group in own
        ),
        marks={USAGE_MARK: usage_text(usage), SHARE_MARK: repr(share)},
    )


def keep_lesson(store: Store, lesson: Lesson) -> None:
    """Keep what was learned, in place of what was kept before.

    Raises
    ------
    StoreError
        Where it cannot be kept.
    """
    with store.writing():
        store.keep_experience(lesson.rows)
        store.keep_marks(lesson.marks)


def tested(store: Store) -> BackTest:
    """Return how often what would have been stated held, over all that is on record."""
    return _tested(experienced(store.lives_documents()))


def _tested(found: Experienced) -> BackTest:
    from brakelog.wear.bulk.backtest import back_test

    return back_test(
        found.lives,
        found.grouping,
        general_log_rate=found.general_log_rate,
        vehicles=found.vehicles,
    )


def usage_text(usage: Usage) -> str:
    """Return what was learned of driving as it is kept."""
    return f"{usage.log_km_per_day!r} {usage.log_sd!r}"
