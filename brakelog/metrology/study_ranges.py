"""A gauge study by averages and ranges, as it is done on paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from brakelog.metrology.study import Study, Variation

MANY_RANGES = 15
"""Ranges beyond which their mean is worth the constant for many; with fewer, the constant makes the
repeatability a little too small (AIAG Measurement Systems Analysis, 4th ed., 2010). [-]"""

_K1 = (0.8862, 0.5908, 0.4857, 0.4299, 0.3946, 0.3698, 0.3512, 0.3367, 0.3249)
"""1 / d2 for 2 to 10 trials: from a mean range of many to a standard deviation. [-]"""
_K2 = (
    *(
        0.7071,
        0.5231,
        0.4467,
        0.4030,
        0.3742,
        0.3534,
        0.3375,
        0.3249,
        0.3146,
        0.3059,
        0.2985,
        0.2921,
    ),
    *(
        0.2864,
        0.2814,
        0.2770,
        0.2729,
        0.2692,
        0.2659,
        0.2628,
        0.2599,
        0.2573,
        0.2548,
        0.2525,
        0.2504,
    ),
)
"""1 / d2* for one range of 2 to 25 values: K2 for appraisers, K3 for parts. [-]"""
_D4 = tuple(
    Fraction(text)
    for text in (
        "3.267", "2.574", "2.282", "2.114", "2.004", "1.924", "1.864", "1.816", "1.777",
    )
)  # fmt: skip
"""Upper limit of a range of 2 to 10 values over their mean. [-]

K1 for 3 trials, K2 for 3 appraisers, K3 for 10 parts and D4 for 3 trials are those of the AIAG
manual's form; all of K1, K2 and K3 are recomputed in tests/published. D4 is the control chart
factor of the same books (from memory), printed to three decimals."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """Repeats that lie too far apart to be chance."""

    part: str
    appraiser: str
    range_nm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """What the average-and-range method finds."""

    means_nm: tuple[Fraction, ...]
    """Mean of all readings of each appraiser. [nm]"""
    ranges_nm: tuple[Fraction, ...]
    """Mean range of each appraiser. [nm]"""
    mean_range_nm: Fraction
    limit_nm: Fraction
    """Upper limit of a range. [nm]"""
    between_people_nm: Fraction
    """Largest minus smallest mean of the appraisers. [nm]"""
    between_parts_nm: Fraction
    """Largest minus smallest mean of the parts. [nm]"""
    beyond: tuple[Beyond, ...]
    """Cells whose range is above the limit: read them again before anything is made of it."""
    has_few_ranges: bool
    variation: Variation


def no_ranges_because(study: Study) -> str:
    """Return why the method does not do for a study; empty where it does."""
    if len(study.trials) > len(_K1) + 1:
        return f"the constants end at {len(_K1) + 1} trials"
    if max(len(study.parts), len(study.appraisers)) > len(_K2) + 1:
        return f"the constants end at {len(_K2) + 1} parts or people"
    return ""


def by_ranges(study: Study) -> Ranges:
    """Return what averages and ranges say of a study.

    Parameters
    ----------
    study : Study
        One for which ``no_ranges_because`` says nothing.

    Returns
    -------
    Ranges
        With one appraiser only, nothing is said of the difference between people.

    Notes
    -----
    EV = K1 Rbar; AV^2 = (K2 Xdiff)^2 - EV^2 / (parts x trials), zero where that is negative;
    PV = K3 Rp. An interaction between people and parts is not told apart.

    References
    ----------
    AIAG Measurement Systems Analysis, 4th ed. (2010), chapter III section B.
    """
    people, parts = len(study.appraisers), len(study.parts)
    spans = [(part, who, max(cell) - min(cell)) for part, who, cell in study.cells()]
    ranges = [
        _mean([span for _, who, span in spans if who == appraiser])
        for appraiser in study.appraisers
    ]
    means = [_mean([nm for row in study.values_nm for nm in row[index]]) for index in range(people)]
    part_means = [_mean([nm for cell in row for nm in cell]) for row in study.values_nm]
    mean_range = sum(ranges, Fraction(0)) / people
    limit = _D4[len(study.trials) - 2] * mean_range
    between_people, between_parts = max(means) - min(means), max(part_means) - min(part_means)
    repeats1 = _K1[len(study.trials) - 2] * float(mean_range)
    people1, zeroed = _people(study, between_people, repeats1)
    return Ranges(
        means_nm=tuple(means),
        ranges_nm=tuple(ranges),
        mean_range_nm=mean_range,
        limit_nm=limit,
        between_people_nm=between_people,
        between_parts_nm=between_parts,
        beyond=tuple(
            Beyond(part=part, appraiser=who, range_nm=span)
            for part, who, span in spans
            if span > limit
        ),
        has_few_ranges=len(spans) <= MANY_RANGES,
        variation=Variation(
            repeats1_nm=repeats1,
            people1_nm=people1,
            interaction1_nm=0.0,
            parts1_nm=_K2[parts - 2] * float(between_parts),
            zeroed=zeroed,
        ),
    )


def _people(
    study: Study, between: Fraction, repeats1_nm: float
) -> tuple[float | None, tuple[str, ...]]:
    """Return the variation between people, which their repeats alone would already show some of."""
    people = len(study.appraisers)
    if people == 1:
        return None, ()
    seen1 = _K2[people - 2] * float(between)
    variance = seen1**2 - repeats1_nm**2 / (len(study.parts) * len(study.trials))
    if variance < 0:
        return 0.0, ("between people",)
    return math.sqrt(variance), ()


def _mean(values: list[int]) -> Fraction:
    return Fraction(sum(values), len(values))
