"""How a slip of reading or typing changes the readings of the visit that is judged."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Sequence
from dataclasses import replace

from brakelog.errors import InvalidInput
from brakelog.lengths import NM_PER_INCH, NM_PER_MM, parse_length
from brakelog.record.gauge import Tips
from brakelog.record.quantity import Quantity
from tests.simulation.cars import LEFT, RIGHT, Column, Place
from tests.simulation.cases import typed_of
from tests.simulation.tasks import Task

Readings = dict[Place, Column]
Slipping = Callable[[Task, Readings, Sequence[Readings], random.Random], Readings | None]
"""Takes the readings of the visit and those of earlier ones, the last first; None where the slip
cannot happen there, or where the number would be refused as it is typed."""


def _mine(task: Task) -> Place:
    return (LEFT, task.quantity)


def _with(now: Readings, place: Place, column: Column) -> Readings:
    return {**now, place: column}


def _in_window(quantity: Quantity, values_nm: Sequence[int]) -> bool:
    """Whether no value is refused as it is typed."""
    facts = quantity.facts
    return all(facts.least_nm <= nm <= facts.most_nm for nm in values_nm)


def off(metric_nm: int, inch_nm: int, sign: int, *, everywhere: bool) -> Slipping:
    """Return a slip by a whole step of the scale, at one point or at all."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        column = now[_mine(task)]
        by_nm = sign * (inch_nm if column.instrument.unit.is_inch else metric_nm)
        where = rng.randrange(len(column.values_nm))
        values = [
            nm + by_nm if everywhere or n == where else nm for n, nm in enumerate(column.values_nm)
        ]
        again = column.again_nm
        if everywhere and again is not None:
            again += by_nm
        return _with(now, _mine(task), replace(column, values_nm=values, again_nm=again))

    return put


def typed_otherwise(change: Callable[[str], str | None], *, everywhere: bool) -> Slipping:
    """Return a slip of typing, at one value or at all."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        column = now[_mine(task)]
        typed, values = list(typed_of(column)), list(column.values_nm)
        where = range(len(typed)) if everywhere else [rng.randrange(len(typed))]
        for n in where:
            text = change(typed[n])
            if text is None:
                return None
            typed[n] = text
            try:
                values[n] = parse_length(text, declared=column.instrument.unit).nm
            except InvalidInput:
                return None
        if values == column.values_nm or not _in_window(task.quantity, values):
            return None
        return _with(now, _mine(task), replace(column, values_nm=values, typed=typed))

    return put


def point_moved(by: int) -> Callable[[str], str | None]:
    """Return what is typed with the decimal point so many places further right."""

    def change(text: str) -> str | None:
        whole, _, part = text.partition(".")
        if by > 0:
            part = part or "0"
            return f"{whole}{part[0]}".lstrip("0").rjust(1, "0") + f".{part[1:]}".rstrip(".")
        return f"{whole[:-1] or '0'}.{whole[-1]}{part}"

    return change


def digits_swapped(sign: int) -> Slipping:
    """Return a slip that swaps two neighbouring digits of one value, to a larger or smaller one."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        column = now[_mine(task)]
        n = rng.randrange(len(column.values_nm))
        text = typed_of(column)[n]
        spots = [spot for spot, letter in enumerate(text) if letter.isdigit()]
        found = []
        for one, other in itertools.pairwise(spots):
            letters = list(text)
            letters[one], letters[other] = letters[other], letters[one]
            nm = parse_length("".join(letters), declared=column.instrument.unit).nm
            is_wanted = (nm > column.values_nm[n]) if sign > 0 else (nm < column.values_nm[n])
            if is_wanted and _in_window(task.quantity, [nm]):
                found.append("".join(letters))
        if not found:
            return None
        typed, values = list(typed_of(column)), list(column.values_nm)
        typed[n] = rng.choice(found)
        values[n] = parse_length(typed[n], declared=column.instrument.unit).nm
        return _with(now, _mine(task), replace(column, values_nm=values, typed=typed))

    return put


def lip(tips: Tips | None, lip: bool | None) -> Slipping:
    """Return a slip that rests every point on an unworn lip of 0.3 to 2 mm."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        column = now[_mine(task)]
        step_nm = column.instrument.step_nm
        by_nm = round(rng.uniform(300_000, 2_000_000) / step_nm) * step_nm
        # A lip is no smoother than the rest of the edge.
        rough = [
            nm + by_nm + step_nm * round(rng.gauss(0.0, 5_000.0) / step_nm)
            for nm in column.values_nm
        ]
        again = None if column.again_nm is None else rough[0] + rng.choice((-1, 0, 1)) * step_nm
        return _with(
            now,
            _mine(task),
            replace(
                column, values_nm=rough, again_nm=again, tips=tips, tips_on_file=False, lip=lip
            ),
        )

    return put


def in_unit(numerator_nm: int, decimals: int) -> Slipping:
    """Return a slip that types a lining's number of another unit as millimetres."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        column = now[_mine(task)]
        typed = [f"{nm / numerator_nm:.{decimals}f}" for nm in column.values_nm]
        values = [round(float(text) * NM_PER_MM) for text in typed]
        return _with(now, _mine(task), replace(column, values_nm=values, typed=typed))

    return put


def plate(task: Task, now: Readings, past: Sequence[Readings], rng: random.Random) -> Readings:
    column = now[_mine(task)]
    step_nm = column.instrument.step_nm
    by_nm = round(rng.uniform(4_500_000, 6_500_000) / step_nm) * step_nm
    values = [nm + by_nm for nm in column.values_nm]
    return _with(now, _mine(task), replace(column, values_nm=values))


def notch(sign: int) -> Slipping:
    """Return a drum gauge set to the wrong notch, at both edges."""

    def put(
        task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
    ) -> Readings | None:
        for quantity in (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED):
            column = now[LEFT, quantity]
            is_inch = column.instrument.unit.is_inch
            by_nm = sign * (NM_PER_INCH // 8 if is_inch else 2 * NM_PER_MM)
            values = [nm + by_nm for nm in column.values_nm]
            now = _with(now, (LEFT, quantity), replace(column, values_nm=values))
        return now

    return put


def corners(task: Task, now: Readings, past: Sequence[Readings], rng: random.Random) -> Readings:
    """Exchange the readings of the two sides of the axle."""
    other = {LEFT: RIGHT, RIGHT: LEFT}
    return {(corner, quantity): now[other[corner], quantity] for corner, quantity in now}


def copied(task: Task, now: Readings, past: Sequence[Readings], rng: random.Random) -> Readings:
    """Take the column of the other side for that of this one."""
    for quantity in task.measure.facts.quantities:
        now = _with(now, (LEFT, quantity), now[RIGHT, quantity])
    return now


def copied_visit(
    task: Task, now: Readings, past: Sequence[Readings], rng: random.Random
) -> Readings | None:
    """Take the column of the last visit."""
    if not past:
        return None
    for quantity in task.measure.facts.quantities:
        now = _with(now, (LEFT, quantity), past[0][LEFT, quantity])
    return now
