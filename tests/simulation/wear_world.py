"""Simulated part lives whose remaining distance is known, because it is drawn with them.

Distances are in 1000 km and rates in mm per 1000 km, as in ``brakelog.wear``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from brakelog.wear.bulk.lives import Counts, Floats, Lives

LEAST_GAP = 1.0
AHEAD = 60
"""Intervals ahead that are drawn where each has a rate of its own; no part lasts longer."""
CHANGED_BY = 60.0
"""Distance by which a car that changes its use has done so. [1000 km]"""


@dataclass(frozen=True, kw_only=True)
class World:
    """How parts wear and how they are read, and what is believed of the reading.

    A lining of 11 mm that is replaced at 3 mm, unless something else is said.
    """

    new_mm: float = 11.0
    """Size on file."""
    limit_mm: float = 3.0
    new_off_mm: float = 0.0
    """By how much new parts differ from it, on the whole."""
    new_sd_mm: float = 0.15
    """By how much they differ from each other."""
    believed_new_u1_mm: float | None = None
    """Standard uncertainty of the new size as the method is told it; the truth if None."""
    rate: float = 0.13
    """Median between vehicles."""
    cv_between: float = 0.4
    process_c: float = 0.94
    gap: float = 12.0
    """Distance between visits, on average."""
    gap_sd: float = 5.0
    u1_mm: float = 0.2
    believed_u1_mm: float | None = None
    """Standard uncertainty of a reading as the method is told it; the truth if None."""
    step_mm: float = 0.0
    """Step that readings are rounded to."""
    gross_share: float = 0.0
    """Share of readings that are wrong by 1.5 to 5 mm, either way."""
    interval_cv: float = 0.0
    """Variation of the rate from interval to interval, where it is that which varies."""
    changing_share: float = 0.0
    """Share of vehicles that get another rate for good, drawn like the first."""
    near_mm: float = math.inf
    """Margin of the last reading below which a life is counted."""

    @property
    def log_sd(self) -> float:
        """Standard deviation of the logarithm of the rate between vehicles. [-]"""
        return math.sqrt(math.log1p(self.cv_between**2))


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """Part lives as they are recorded, and what is really left of them."""

    lives: Lives
    left: Floats
    """Distance after the last visit at which the limit is really reached. [1000 km]"""


@dataclass(frozen=True, kw_only=True)
class _Parts:
    """Parts as they wear. Visits in rows, parts in columns."""

    x: Floats
    read_mm: Floats
    margin_mm: Floats
    """What is really left above the limit, at the start and after each visit."""
    rates: tuple[Floats, Floats]
    """Before and after the use of the vehicle changes."""
    change: Floats
    """Distance at which that happens; infinite for most."""


def running(world: World, lives: int, visits: int, rng: np.random.Generator) -> Drawn:
    """Draw parts that are still on after some visits: every reading of them is above the limit."""
    pieces: list[Drawn] = []
    found = 0
    while found < lives:
        parts = _worn(world, 2 * lives, visits, rng)
        above_mm = parts.read_mm - world.limit_mm
        kept = np.flatnonzero((above_mm > 0.0).all(axis=0) & (above_mm[-1] < world.near_mm))
        kept = kept[: lives - found]
        found += len(kept)
        parts = _some(parts, kept)
        pieces.append(
            Drawn(
                lives=_recorded(world, parts, np.full(len(kept), visits)),
                left=_left(world, parts, rng),
            )
        )
    return _joined(pieces)


def past(world: World, lives: int, rng: np.random.Generator, *, most: int = 4) -> Lives:
    """Draw lives with one visit or more that ended, at the latest, with a reading at the limit."""
    parts = _worn(world, lives, most, rng)
    visits = rng.integers(1, most + 1, lives)
    is_worn = parts.read_mm <= world.limit_mm
    until = np.where(is_worn.any(axis=0), is_worn.argmax(axis=0) + 1, most)
    return _recorded(world, parts, np.minimum(visits, until))


def _worn(world: World, count: int, visits: int, rng: np.random.Generator) -> _Parts:
    rates = tuple(np.exp(rng.normal(math.log(world.rate), world.log_sd, count)) for _ in range(2))
    change = np.where(
        rng.random(count) < world.changing_share, rng.uniform(0.0, CHANGED_BY, count), math.inf
    )
    gaps = np.maximum(rng.normal(world.gap, world.gap_sd, (visits, count)), LEAST_GAP)
    x = np.cumsum(gaps, axis=0)
    before = np.clip(change - (x - gaps), 0.0, gaps)
    worn = rates[0] * _wear(world, before, rng) + rates[1] * _wear(world, gaps - before, rng)
    start_mm = rng.normal(world.new_mm + world.new_off_mm, world.new_sd_mm, count)
    size_mm = np.vstack([start_mm, start_mm - np.cumsum(worn, axis=0)])
    read_mm = size_mm[1:] + rng.normal(0.0, world.u1_mm, x.shape)
    wrong_mm = rng.uniform(1.5, 5.0, x.shape) * rng.choice([-1.0, 1.0], x.shape)
    read_mm += np.where(rng.random(x.shape) < world.gross_share, wrong_mm, 0.0)
    if world.step_mm:
        read_mm = np.rint(read_mm / world.step_mm) * world.step_mm
    return _Parts(
        x=x,
        read_mm=read_mm,
        margin_mm=size_mm - world.limit_mm,
        rates=(rates[0], rates[1]),
        change=change,
    )


def _wear(world: World, gaps: Floats, rng: np.random.Generator) -> Floats:
    """Wear over distances, for a rate of one."""
    if world.interval_cv:
        return gaps * _interval_rates(world, gaps.shape, rng)
    worn: Floats = rng.gamma(gaps / world.process_c, world.process_c)
    return worn


def _interval_rates(world: World, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
    """Log-normal factors with a mean of one."""
    log_sd = math.sqrt(math.log1p(world.interval_cv**2))
    return np.exp(rng.normal(-(log_sd**2) / 2.0, log_sd, shape))


def _some(parts: _Parts, which: Counts) -> _Parts:
    return _Parts(
        x=parts.x[:, which],
        read_mm=parts.read_mm[:, which],
        margin_mm=parts.margin_mm[:, which],
        rates=(parts.rates[0][which], parts.rates[1][which]),
        change=parts.change[which],
    )


def _recorded(world: World, parts: _Parts, visits: Counts) -> Lives:
    count = len(visits)
    new_u1_mm, u1_mm = world.believed_new_u1_mm, world.believed_u1_mm
    return Lives(
        margin_mm=np.full(count, world.new_mm - world.limit_mm),
        u1_mm=np.full(count, world.new_sd_mm if new_u1_mm is None else new_u1_mm),
        visits=visits,
        x=parts.x,
        visit_margin_mm=parts.read_mm - world.limit_mm,
        visit_u1_mm=np.full(parts.x.shape, world.u1_mm if u1_mm is None else u1_mm),
    )


def _left(world: World, parts: _Parts, rng: np.random.Generator) -> Floats:
    """Distance from the last visit to the limit; 0 where it was passed before."""
    margin_mm, last = np.maximum(parts.margin_mm[-1], 0.0), parts.x[-1]
    if world.interval_cv:
        return _left_by_intervals(world, margin_mm, parts.rates[0], rng)
    ahead = np.maximum(parts.change - last, 0.0)
    usual, other = parts.rates
    left = _crossing(world, margin_mm, np.where(ahead > 0.0, usual, other), rng)
    changes = np.flatnonzero((ahead > 0.0) & (left > ahead))
    if changes.size:
        # Not at the limit when the use changes: what is left then, and the way from there.
        steps = ahead[changes] / world.process_c
        scale = usual[changes] * world.process_c
        below = special.gammainc(steps, margin_mm[changes] / scale) * rng.random(changes.size)
        rest_mm = margin_mm[changes] - special.gammaincinv(steps, below) * scale
        left[changes] = ahead[changes] + _crossing(world, rest_mm, other[changes], rng)
    return left


def _crossing(world: World, margin_mm: Floats, rate: Floats, rng: np.random.Generator) -> Floats:
    """Distance at which a gamma process first passes the margin.

    The wear over a distance d is gamma with the shape d / c; so the distance is c times the shape
    at which a probability drawn evenly is reached.
    """
    reach = margin_mm / (rate * world.process_c)
    is_left = reach > 0.0
    found = np.zeros_like(reach)
    chance = rng.uniform(1e-12, 1.0 - 1e-12, int(is_left.sum()))
    found[is_left] = world.process_c * special.gdtrib(1.0, chance, reach[is_left])
    return found


def _left_by_intervals(
    world: World, margin_mm: Floats, rate: Floats, rng: np.random.Generator
) -> Floats:
    """Distance to the limit where each interval has one rate, the next one beginning now."""
    rates = rate * _interval_rates(world, (AHEAD, len(rate)), rng)
    ends_mm = np.cumsum(rates * world.gap, axis=0)
    into = np.minimum((ends_mm < margin_mm).sum(axis=0), AHEAD - 1)
    each = np.arange(len(rate))
    short_mm = ends_mm[into, each] - margin_mm
    left: Floats = (into + 1) * world.gap - short_mm / rates[into, each]
    return left


def _joined(pieces: list[Drawn]) -> Drawn:
    first, *rest = pieces
    if not rest:
        return first
    lives = [each.lives for each in pieces]
    return Drawn(
        lives=replace(
            lives[0],
            margin_mm=np.concatenate([each.margin_mm for each in lives]),
            u1_mm=np.concatenate([each.u1_mm for each in lives]),
            visits=np.concatenate([each.visits for each in lives]),
            x=np.hstack([each.x for each in lives]),
            visit_margin_mm=np.hstack([each.visit_margin_mm for each in lives]),
            visit_u1_mm=np.hstack([each.visit_u1_mm for each in lives]),
        ),
        left=np.concatenate([each.left for each in pieces]),
    )
