"""Mean and variance of what many units have in common, from one unsure value of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from brakelog.wear.bulk.grouping import evenly
from brakelog.wear.bulk.lives import Counts, Floats

Limits: TypeAlias = tuple[float, float]

ROUNDS = 30
"""Most rounds of the search. [-]

Assumption: groups of half a dozen settle in about ten, large ones in five.
"""

SETTLED = 1e-6
"""Relative change of mean and spread from which a group is left alone. [-]

Assumption: far below what any number of part lives can tell.
"""

START_VALUES = 100
"""Values of a group that the start of its search is taken from. [-]

Assumption: a middle to a tenth of the spread is near enough to start from.
"""

CHUNK = 16_384
"""Values worked on at a time, so that they stay in the cache of the processor. [-]

Assumption: found by trial; from 8,000 to 32,000 it makes no difference.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """Mean and variance between the units of each group, each array of shape (G,).

    Parameters
    ----------
    mean, var
        Zero and one where a group has fewer than two values.
    units_behind
        Units known exactly that would say as much of the mean. [-]
    """

    mean: Floats
    var: Floats
    units_behind: Floats


def moments(
    values: Floats,
    variances: Floats,
    codes: Counts,
    count: int,
    *,
    pulled_in_from: Limits,
    least_sd: float = 0.0,
    least_relative_sd: float = 0.0,
    counts_as: Floats | None = None,
    start: Moments | None = None,
    settled: float = SETTLED,
) -> Moments:
    """Return the mean and the variance between units of each group.

    Parameters
    ----------
    values
        One value a unit.
    variances
        Its own variance.
    codes
        Group of each unit, below ``count``.
    count
        Number of groups.
    pulled_in_from
        Standardised distances below and above the mean from which a value counts as if it lay
        there, so that one absurd value cannot move a group far. [-]
    least_sd, least_relative_sd
        The standard deviation between units is held above the larger of the first, and the
        second times the mean.
    counts_as
        Share of the values of each group that would say as much if none depended on another;
        all of them without it. [-]
    start
        Where the search starts; without it at the median, and half of that for the spread.
    settled
        Relative change of mean and spread from which a group is left alone. [-]

    Notes
    -----
    Normal units seen with normal errors: the mean is weighted by w = 1 / (v + t2), and the
    variance t2 between the units is the mean, weighted by w^2, of the squared deviation less v.
    These are the equations of greatest likelihood, with n / (n - 1) for the mean that was not
    known. For equal v they give the variance of the sample less v, as the moment estimators do.

    References
    ----------
    R. C. Paule and J. Mandel, "Consensus values and weighting factors", J. Res. Natl. Bur.
    Stand. 87 (1982) 377-385. C. N. Morris, "Parametric empirical Bayes inference", J. Am. Stat.
    Assoc. 78 (1983) 47-55.
    """
    size = np.bincount(codes, minlength=count)
    if start is None:
        some = evenly(codes, START_VALUES)
        mean = medians(values[some], codes[some], count)
        var = np.maximum(np.square(mean / 2.0), least_sd**2)
    else:
        mean, var = start.mean, start.var
    var = np.where((size > 1) & (var > 0.0), var, 1.0)
    free = size if counts_as is None else size * counts_as
    moving = (size > 1) & (free > 1.0)
    bessel = np.where(moving, free / np.where(moving, free - 1.0, 1.0), 0.0)
    enough = moving.copy()
    rest = (values, variances, codes)
    for _ in range(ROUNDS):
        if not moving.any():
            break
        if np.count_nonzero(here := moving[rest[2]]) < len(here) // 2:
            rest = (rest[0][here], rest[1][here], rest[2][here])
        next_mean, next_var = _round(*rest, mean, var, bessel, pulled_in_from)
        least = np.maximum(np.square(least_relative_sd * next_mean), least_sd**2)
        next_var = np.maximum(next_var, least)
        moved = (np.abs(next_mean - mean) > settled * np.abs(mean)) | (
            np.abs(next_var - var) > settled * var
        )
        mean, var = np.where(moving, next_mean, mean), np.where(moving, next_var, var)
        moving &= moved
    behind = np.zeros(count)
    for begin in range(0, len(values), CHUNK):
        chunk = slice(begin, begin + CHUNK)
        own = var[codes[chunk]]
        behind += np.bincount(codes[chunk], own / (own + variances[chunk]), count)
    if counts_as is not None:
        behind *= counts_as
    return Moments(
        mean=np.where(enough, mean, 0.0), var=var, units_behind=np.where(enough, behind, 0.0)
    )


def medians(values: Floats, codes: Counts, count: int) -> Floats:
    """Return the median of each group, zero of an empty one; shape (``count``,)."""
    order = np.argsort(values)
    # Stable, so that the values stay in order within their group.
    order = order[np.argsort(codes[order].astype(np.min_scalar_type(count)), kind="stable")]
    size = np.bincount(codes, minlength=count)
    first = np.cumsum(size) - size
    if not len(values):
        return np.zeros(count)
    last = len(values) - 1
    low = values[order[np.minimum(first + np.maximum(size - 1, 0) // 2, last)]]
    high = values[order[np.minimum(first + size // 2, last)]]
    return np.where(size > 0, (low + high) / 2.0, 0.0)


def _round(
    values: Floats,
    variances: Floats,
    codes: Counts,
    mean: Floats,
    var: Floats,
    bessel: Floats,
    pulled_in_from: Limits,
) -> tuple[Floats, Floats]:
    """Return the next mean and variance of each group; of a group left out, as they were."""
    count = len(mean)
    low, high = pulled_in_from
    weight, first, squared, second = np.zeros((4, count))
    for begin in range(0, len(values), CHUNK):
        chunk = slice(begin, begin + CHUNK)
        code = codes[chunk]
        w = var[code]
        w += variances[chunk]
        sd = np.sqrt(w)
        np.divide(1.0, w, out=w)
        off = values[chunk] - mean[code]
        np.minimum(off, high * sd, out=off)
        np.maximum(off, np.multiply(sd, -low, out=sd), out=off)
        off *= w
        weight += np.bincount(code, w, count)
        first += np.bincount(code, off, count)
        squared += np.bincount(code, np.square(w, out=w), count)
        second += np.bincount(code, np.square(off, out=off), count)
    gone = weight == 0.0
    # What is to be taken off, the sum of w^2 v, is that of w less var times that of w^2.
    more = (bessel * second - weight) / np.where(gone, 1.0, squared)
    return mean + first / np.where(gone, 1.0, weight), var + more
