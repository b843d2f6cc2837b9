"""A gauge study worked out by both methods, and what follows for what the gauge can prove."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brakelog.lengths import LengthUnit, TypedLength
from brakelog.metrology.budget import Budget, Component
from brakelog.metrology.coverage import coverage_factor
from brakelog.metrology.study import Study, Variation
from brakelog.metrology.study_anova import Anova, by_variance
from brakelog.metrology.study_ranges import Ranges, by_ranges, no_ranges_because

PROVEN_FROM = 0.95
"""Probability of conformance from which a reading counts as proven: the default of
ISO 14253-1:2017. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStudy:
    """Both methods side by side; where they differ, the worse of the two counts."""

    study: Study
    unit: LengthUnit
    """The unit that the readings were typed in."""
    ranges: Ranges | None
    no_ranges: str
    """Why there is no average-and-range method; empty where there is."""
    anova: Anova
    tolerance: TypedLength | None
    """Width of a tolerance to set the gauge against."""

    @property
    def variations(self) -> tuple[Variation, ...]:
        """What each method finds."""
        both = (self.ranges.variation if self.ranges else None, self.anova.variation)
        return tuple(each for each in both if each is not None)

    @property
    def worst(self) -> Variation:
        """The variation of the method that makes more of the gauge's own."""
        return max(self.variations, key=lambda each: each.gauge1_nm)

    @property
    def categories(self) -> int | None:
        """How many sizes the gauge tells apart, the smaller number; None where it shows no spread.

        ``study.CATEGORIES`` states the rule.
        """
        found = [each.categories for each in self.variations if each.categories is not None]
        return min(found) if found else None

    @property
    def share_of_tolerance(self) -> float | None:
        """How much of the tolerance the gauge takes up; None where none was given. [-]"""
        if self.tolerance is None:
            return None
        return self.worst.share_of_tolerance(self.tolerance.nm)

    @property
    def gauge_dof(self) -> float:
        """Effective degrees of freedom of the gauge's u1: few people say little of people. [-]"""
        anova, found = self.anova, self.worst
        crossed = anova.interaction.squares.dof if anova.interaction else math.inf
        people = anova.appraisers.dof if anova.appraisers else math.inf
        return Budget(
            components=(
                Component(name="repeats", u1=found.repeats1_nm, dof=anova.error.dof),
                Component(name="people", u1=found.people1_nm or 0.0, dof=people),
                Component(name="people by parts", u1=found.interaction1_nm, dof=crossed),
            )
        ).dof

    @property
    def proven_factor(self) -> float:
        """How many u1 inside one limit a reading is proven at 95 %; more where u1 is doubtful."""
        return coverage_factor(PROVEN_FROM, dof=self.gauge_dof, sides=1)

    @property
    def proves_from_nm(self) -> float:
        """How far inside a limit one reading must lie, as far as the gauge's scatter goes. [nm]

        An error that is the same for everybody at every trial, as of a wrong zero, does not show
        in a study.
        """
        return self.proven_factor * self.worst.gauge1_nm

    @property
    def tells_from_nm(self) -> float:
        """U2 of a difference of two readings by one person. [nm]"""
        return 2 * math.sqrt(2.0) * max(each.repeats1_nm for each in self.variations)


def work_out(study: Study, *, unit: LengthUnit, tolerance: TypedLength | None = None) -> GaugeStudy:
    """Return a study worked out by averages and ranges and by analysis of variance."""
    no_ranges = no_ranges_because(study)
    return GaugeStudy(
        study=study,
        unit=unit,
        ranges=None if no_ranges else by_ranges(study),
        no_ranges=no_ranges,
        anova=by_variance(study),
        tolerance=tolerance,
    )
