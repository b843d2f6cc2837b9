"""Parts judged and counted: how often a worn one passes, and how often a good one goes."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from brakelog.record.shop import Shop
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.verdict import Grounds, PartVerdict, Word
from tests.simulation.cars import EARLIER, Car, car
from tests.simulation.cases import judge
from tests.simulation.counts import Gauged, Slipped
from tests.simulation.slipping import Readings
from tests.simulation.slips import SLIPS, Slip
from tests.simulation.tasks import TASKS, Task

SEED = "2026"
SLIP_SHARE = 0.02
"""Share of the columns in the balance that hold a slip: assumption, one in fifty. [-]"""
USUAL = Shop()
"""The shop as the program has it: 0.95."""
JUST_OUT_IN_U1 = 0.5
"""How far beyond its limit a part is just out. [-]"""


@dataclass(frozen=True, kw_only=True)
class End:
    """How it ended for the part in the balance."""

    verdict: PartVerdict
    judgement: Judgement

    @property
    def is_reuse(self) -> bool:
        return self.verdict.word is Word.REUSE

    @property
    def is_in(self) -> bool:
        return self.judgement.outcome is Outcome.IN

    @property
    def is_condemned(self) -> bool:
        return self.verdict.grounds is Grounds.REQUIRED

    @property
    def is_suggested(self) -> bool:
        return self.verdict.grounds is Grounds.SUGGESTED

    @property
    def is_open(self) -> bool:
        return self.verdict.word in (Word.MEASURE_AGAIN, Word.NO_VERDICT)

    @property
    def asks(self) -> set[str]:
        """What is suspected of the readings so that nothing is decided."""
        return {each.suspicion.value for each in self.judgement.questions}


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One car that was read, now and perhaps before."""

    made: Car
    by_age: tuple[Readings, ...]
    rng: random.Random
    """For the slips, so that the readings are the same with and without one."""
    shop: Shop

    def end(self, now: Readings | None = None) -> End:
        """Judge the readings, or others in the place of those of the visit."""
        first = self.by_age[0] if now is None else now
        verdict, judgement = judge(self.made.task, (first, *self.by_age[1:]), self.shop)
        return End(verdict=verdict, judgement=judgement)

    def with_slip(self, slip: Slip) -> Readings | None:
        """Return the readings of the visit with a slip; None where it cannot happen."""
        return slip.put(self.made.task, self.by_age[0], self.by_age[1:], self.rng)


def trial(task: Task, number: int, *, with_history: bool, shop: Shop = USUAL) -> Trial:
    """Return the car of this number; the same on every machine."""
    name = f"{SEED} {task.measure.value} {task.name} {number} {with_history}"
    made = car(task, random.Random(name))
    ages = EARLIER + 1 if with_history else 1
    return Trial(
        made=made,
        by_age=tuple(made.read(age) for age in range(ages)),
        rng=random.Random(f"slip {name}"),
        shop=shop,
    )


def count_gauge(task: Task, parts: int, *, with_history: bool, shop: Shop = USUAL) -> Gauged:
    """Judge so many parts read with one gauge, one in fifty with a slip."""
    count = Gauged(
        measure=task.measure.value,
        gauge=task.name,
        with_history=with_history,
        u1_nm=round(task.u1_nm),
        out_when=f"{task.out_when.value} {task.figure}",
    )
    happening = [
        each for each in SLIPS if each.happens_to(task) and (with_history or not each.needs_history)
    ]
    for number in range(parts):
        one = trial(task, number, with_history=with_history, shop=shop)
        slipped = None
        if one.rng.random() < SLIP_SHARE:
            slipped = one.with_slip(one.rng.choice(happening))
        _add(count, one, one.end(slipped), is_slipped=slipped is not None)
    return count


def _add(count: Gauged, one: Trial, end: End, *, is_slipped: bool) -> None:
    is_out = one.made.is_out
    if is_slipped:
        count.slipped += 1
        count.slipped_out_reuse += is_out and end.is_reuse
        count.slipped_out_in += is_out and end.is_in
        return
    count.parts += 1
    if not is_out:
        count.good_condemned += end.is_condemned
        count.good_reuse += end.is_reuse
        count.good_open += end.is_open
        count.good_suggested += end.is_suggested
        return
    count.out += 1
    count.out_reuse += end.is_reuse
    count.out_in += end.is_in
    beyond_nm = abs(one.made.true_um * 1000 - one.made.task.limit_nm)
    if beyond_nm <= JUST_OUT_IN_U1 * one.made.task.u1_nm:
        count.just_out += 1
        count.just_out_in += end.is_in


def count_slip(slip: Slip, cases: int, *, with_history: bool) -> Slipped:
    """Put one kind of slip into so many cases, gauge by gauge in turn."""
    count = Slipped(slip=slip.name, reads=slip.reads, with_history=with_history)
    for one in _trials(slip, with_history=with_history):
        if count.tried == cases:
            break
        now = one.with_slip(slip)
        if now is None:
            continue
        count.tried += 1
        slipped = one.end(now)
        what = fate(is_out=one.made.is_out, without=one.end(), slipped=slipped)
        setattr(count, what, getattr(count, what) + 1)
        count.out_in += one.made.is_out and slipped.is_in
    return count


def _trials(slip: Slip, *, with_history: bool) -> Iterator[Trial]:
    tasks = [each for each in TASKS if slip.happens_to(each) and can_prove(each)]
    for number in itertools.count():
        for task in tasks:
            yield trial(task, number, with_history=with_history)


def can_prove(task: Task) -> bool:
    """Whether a reading with this gauge can ever prove a part to be in limits."""
    return not task.quantity.is_lining or task.name not in ("by eye", "gauge not on file")


def fate(*, is_out: bool, without: End, slipped: End) -> str:
    """Say what a slip did: ``unsafe``, ``caught``, ``costly`` or ``harmless``.

    Parameters
    ----------
    is_out : bool
        Whether the part is truly beyond its limit.
    without, slipped : End
        How it ended without the slip, and with it.
    """
    if is_out and slipped.is_reuse:
        return "unsafe"
    if slipped.asks - without.asks or (slipped.is_open and not without.is_open):
        return "caught"
    if not is_out and slipped.is_condemned and not without.is_condemned:
        return "costly"
    return "harmless"


Say = Callable[[str], None]


def count_gauges(parts: int, with_history: int, *, say: Say) -> tuple[Gauged, ...]:
    """Count so many parts for each gauge, at a first visit and with a history."""
    found = []
    for has_history, many in ((False, parts), (True, with_history)):
        for task in TASKS:
            found.append(count_gauge(task, many, with_history=has_history))
            say(f"{task.measure.value}, {task.name}: {many} parts")
    return tuple(found)


def count_slips(cases: int, *, say: Say) -> tuple[Slipped, ...]:
    """Count so many cases of each slip, at a first visit and again with a history."""
    found = []
    for has_history in (False, True):
        for slip in SLIPS:
            if has_history or not slip.needs_history:
                found.append(count_slip(slip, cases, with_history=has_history))
                say(f"{slip.name}: {cases} cases")
    return tuple(found)
