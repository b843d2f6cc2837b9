"""A gauge study: the same parts read by several people, several times each.

Two methods work it out, ``study_ranges`` and ``study_anova``; both give a ``Variation``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brakelog.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyReading:
    """One reading of one part by one person."""

    part: str
    appraiser: str
    trial: str
    """Which time it was."""
    value_nm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """A crossed and balanced study: everybody read every part equally often."""

    parts: tuple[str, ...]
    appraisers: tuple[str, ...]
    trials: tuple[str, ...]
    values_nm: tuple[tuple[tuple[int, ...], ...], ...]
    """By part, then appraiser, then trial. [nm]"""

    @property
    def count(self) -> int:
        """How many readings there are. [-]"""
        return len(self.parts) * len(self.appraisers) * len(self.trials)

    def cells(self) -> Iterator[tuple[str, str, tuple[int, ...]]]:
        """Yield part, appraiser and readings of every cell. [nm]"""
        for part, row in zip(self.parts, self.values_nm, strict=True):
            for appraiser, cell in zip(self.appraisers, row, strict=True):
                yield part, appraiser, cell


def gaps(readings: Iterable[StudyReading]) -> tuple[str, ...]:
    """Return what keeps readings from being a crossed and balanced study, one sentence each."""
    given = tuple(readings)
    parts, appraisers, trials = _names(given)
    found = []
    if len(parts) < 2:
        found.append("a study needs two parts or more, to see whether the gauge tells them apart")
    if len(trials) < 2:
        found.append("a study needs two trials or more, to see whether the gauge repeats")
    seen: dict[tuple[str, str, str], int] = {}
    for each in given:
        key = (each.part, each.appraiser, each.trial)
        seen[key] = seen.get(key, 0) + 1
    for part in parts:
        for appraiser in appraisers:
            for trial in trials:
                count = seen.get((part, appraiser, trial), 0)
                if count != 1:
                    what = "is missing" if count == 0 else f"is there {count} times"
                    found.append(f"part {part}, appraiser {appraiser}, trial {trial} {what}")
    return tuple(found)


def crossed(readings: Iterable[StudyReading]) -> Study:
    """Return the study that readings make.

    Raises
    ------
    InvalidInput
        Where it is not balanced: then neither method says what it seems to say.
    """
    given = tuple(readings)
    wrong = gaps(given)
    if wrong:
        more = f", and {len(wrong) - 1} more" if len(wrong) > 1 else ""
        raise InvalidInput(
            f"{wrong[0]}{more}", hint="every appraiser reads every part equally often"
        )
    parts, appraisers, trials = _names(given)
    by_cell = {(each.part, each.appraiser, each.trial): each.value_nm for each in given}
    return Study(
        parts=parts,
        appraisers=appraisers,
        trials=trials,
        values_nm=tuple(
            tuple(
                tuple(by_cell[part, appraiser, trial] for trial in trials)
                for appraiser in appraisers
            )
            for part in parts
        ),
    )


def _names(
    readings: tuple[StudyReading, ...],
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Return parts, appraisers and trials in the order in which they first appear."""
    return (
        tuple(dict.fromkeys(each.part for each in readings)),
        tuple(dict.fromkeys(each.appraiser for each in readings)),
        tuple(dict.fromkeys(each.trial for each in readings)),
    )


CATEGORIES = 1.41
"""Distinct categories: 1.41 times the variation of the parts over that of the gauge, cut to a whole
number (AIAG Measurement Systems Analysis, 4th ed., 2010). It is the square root of two as the
manual prints it; rounding instead of cutting gives one more where the fraction is large. [-]"""
OF_TOLERANCE = 6.0
"""Standard deviations that are set against a tolerance: six (same manual). [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation:
    """Standard deviations that a study finds, by where they come from."""

    repeats1_nm: float
    """One person reading one part again: equipment variation. [nm]"""
    people1_nm: float | None
    """Between people: appraiser variation; None where only one took part. [nm]"""
    interaction1_nm: float
    """People who differ on some parts more than on others; 0 where it is not told apart. [nm]"""
    parts1_nm: float
    """Between parts. [nm]"""
    zeroed: tuple[str, ...] = ()
    """What came out below zero, which no variation is, and was set to zero."""

    @property
    def gauge1_nm(self) -> float:
        """The gauge as it is used, by all of them: repeats and people together. [nm]"""
        return math.hypot(self.repeats1_nm, self.people1_nm or 0.0, self.interaction1_nm)

    @property
    def total1_nm(self) -> float:
        """Gauge and parts together. [nm]"""
        return math.hypot(self.gauge1_nm, self.parts1_nm)

    @property
    def categories(self) -> int | None:
        """How many sizes the gauge tells apart among such parts; None where it shows no spread."""
        if self.gauge1_nm == 0:
            return None
        return math.floor(CATEGORIES * self.parts1_nm / self.gauge1_nm)

    def share_of_total(self, deviation1_nm: float) -> float:
        """Return a standard deviation as a share of all variation; shares do not add up. [-]"""
        return deviation1_nm / self.total1_nm if self.total1_nm else 0.0

    def share_of_tolerance(self, tolerance_nm: int) -> float:
        """Return how much of a tolerance the gauge takes up: 6 deviations over its width. [-]"""
        return OF_TOLERANCE * self.gauge1_nm / tolerance_nm
