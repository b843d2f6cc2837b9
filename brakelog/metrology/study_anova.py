"""A gauge study by analysis of variance, which uses every reading.

Sums of squares are exact fractions; floats begin at the square root and the distribution.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from brakelog.metrology.distributions import f_quantile, f_tail
from brakelog.metrology.study import Study, Variation

POOLED_ABOVE = 0.25
"""An interaction that chance gives more often than this is no interaction, and counts as repeats
(AIAG Measurement Systems Analysis, 4th ed., 2010; other programs use 0.05). [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Squares:
    """One line of the table: a sum of squares with its degrees of freedom."""

    sum_nm2: Fraction
    """[nm^2]"""
    dof: int

    @property
    def mean_nm2(self) -> Fraction:
        """The mean square. [nm^2]"""
        return self.sum_nm2 / self.dof

    def and_(self, other: Squares) -> Squares:
        """Return both as one line."""
        return Squares(sum_nm2=self.sum_nm2 + other.sum_nm2, dof=self.dof + other.dof)


@dataclass(frozen=True, slots=True, kw_only=True)
class Interaction:
    """Whether people differ on some parts more than on others, as far as can be told."""

    squares: Squares
    ratio: float
    """Its mean square over that of the repeats, F. [-]"""
    critical: float
    """The ratio that chance alone exceeds one time in four. [-]"""
    chance: float
    """Probability that chance alone gives such a ratio or a larger one, p. [-]"""

    @property
    def is_pooled(self) -> bool:
        """Whether it is counted as repeats."""
        return self.chance > POOLED_ABOVE


@dataclass(frozen=True, slots=True, kw_only=True)
class Anova:
    """What the analysis of variance finds."""

    parts: Squares
    appraisers: Squares | None
    """None where only one took part."""
    interaction: Interaction | None
    repeats: Squares
    total: Squares
    error: Squares
    """What the others are set against: repeats, with the interaction where it is pooled."""
    variation: Variation


def by_variance(study: Study) -> Anova:
    """Return what the analysis of variance says of a study.

    Parameters
    ----------
    study : Study
        Two parts and two trials or more; with one appraiser the table has no line for people.

    Notes
    -----
    Parts and people are taken as drawn at random. With p parts, a people and r trials, and the
    interaction in the error: EV^2 = MSe, AV^2 = (MSa - MSe) / (p r), PV^2 = (MSp - MSe) / (a r).
    Otherwise the interaction's mean square stands in for MSe in the last two, and its own variance
    is (MSpa - MSe) / r. A variance below zero is set to zero, and said.

    References
    ----------
    AIAG Measurement Systems Analysis, 4th ed. (2010), chapter III section B.
    """
    values = study.values_nm
    p, a, r = len(study.parts), len(study.appraisers), len(study.trials)
    correction = Fraction(sum(nm for row in values for cell in row for nm in cell) ** 2, p * a * r)
    raw = sum(nm * nm for row in values for cell in row for nm in cell)
    cells = Fraction(sum(sum(cell) ** 2 for row in values for cell in row), r)
    by_part = Fraction(sum(sum(map(sum, row)) ** 2 for row in values), a * r)
    by_person = Fraction(
        sum(sum(sum(row[index]) for row in values) ** 2 for index in range(a)), p * r
    )
    parts = Squares(sum_nm2=by_part - correction, dof=p - 1)
    repeats = Squares(sum_nm2=raw - cells, dof=p * a * (r - 1))
    total = Squares(sum_nm2=raw - correction, dof=p * a * r - 1)
    if a == 1:
        return Anova(
            parts=parts,
            appraisers=None,
            interaction=None,
            repeats=repeats,
            total=total,
            error=repeats,
            variation=_alone(parts, repeats, r),
        )
    people = Squares(sum_nm2=by_person - correction, dof=a - 1)
    crossed = Squares(sum_nm2=cells - by_part - by_person + correction, dof=(p - 1) * (a - 1))
    interaction = _interaction(crossed, repeats)
    error = repeats.and_(crossed) if interaction.is_pooled else repeats
    return Anova(
        parts=parts,
        appraisers=people,
        interaction=interaction,
        repeats=repeats,
        total=total,
        error=error,
        variation=_variation(parts, people, interaction, error, (p, a, r)),
    )


def _interaction(crossed: Squares, repeats: Squares) -> Interaction:
    if repeats.sum_nm2:
        ratio = float(crossed.mean_nm2 / repeats.mean_nm2)
    else:
        # Every repeat showed the same figure: any interaction at all is beyond chance.
        ratio = math.inf if crossed.sum_nm2 else 0.0
    return Interaction(
        squares=crossed,
        ratio=ratio,
        critical=f_quantile(1 - POOLED_ABOVE, crossed.dof, repeats.dof),
        chance=f_tail(ratio, crossed.dof, repeats.dof),
    )


def _alone(parts: Squares, repeats: Squares, trials: int) -> Variation:
    zeroed: list[str] = []
    return Variation(
        repeats1_nm=math.sqrt(repeats.mean_nm2),
        people1_nm=None,
        interaction1_nm=0.0,
        parts1_nm=_deviation(parts.mean_nm2 - repeats.mean_nm2, trials, "between parts", zeroed),
        zeroed=tuple(zeroed),
    )


def _variation(
    parts: Squares,
    people: Squares,
    interaction: Interaction,
    error: Squares,
    sizes: tuple[int, int, int],
) -> Variation:
    p, a, r = sizes
    zeroed: list[str] = []
    base = error if interaction.is_pooled else interaction.squares
    crossed1 = (
        0.0
        if interaction.is_pooled
        else _deviation(base.mean_nm2 - error.mean_nm2, r, "people by parts", zeroed)
    )
    return Variation(
        repeats1_nm=math.sqrt(error.mean_nm2),
        people1_nm=_deviation(people.mean_nm2 - base.mean_nm2, p * r, "between people", zeroed),
        interaction1_nm=crossed1,
        parts1_nm=_deviation(parts.mean_nm2 - base.mean_nm2, a * r, "between parts", zeroed),
        zeroed=tuple(zeroed),
    )


def _deviation(variance_nm2: Fraction, count: int, name: str, zeroed: list[str]) -> float:
    """Return the standard deviation of one component; zero, and noted, where it is negative."""
    if variance_nm2 < 0:
        zeroed.append(name)
        return 0.0
    return math.sqrt(variance_nm2 / count)
