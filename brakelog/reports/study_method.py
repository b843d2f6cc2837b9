"""How a gauge study was worked out: every choice that was made, and why the methods differ."""

from __future__ import annotations

from brakelog.metrology.gauge_study import GaugeStudy
from brakelog.metrology.study import CATEGORIES
from brakelog.metrology.study_anova import Interaction


def how_it_was_found(study: GaugeStudy) -> list[str]:
    """Return the sentences."""
    said = [_interaction(study.anova.interaction)]
    if study.ranges:
        said += _zeroed(study.ranges.variation.zeroed, "averages and ranges")
    said += _zeroed(study.anova.variation.zeroed, "analysis of variance")
    if study.ranges is None:
        said.append(f"Averages and ranges are left out: {study.no_ranges}.")
    elif study.ranges.has_few_ranges:
        said.append(
            "There are 15 ranges or fewer, so that averages and ranges make the repeats a little "
            "too small."
        )
    if study.ranges:
        said.append(_why_they_differ(study))
    said.append(
        f"Sizes told apart are {CATEGORIES} times the parts over the gauge, cut to a whole number "
        "(AIAG Measurement Systems Analysis, 4th ed.). Shares add up in squares, not as they stand."
    )
    return said


def _interaction(found: Interaction | None) -> str:
    if found is None:
        return "One appraiser took part: nothing is said of differences between people."
    chance = f"the ratio that chance exceeds one time in four (p is {found.chance:.3f})"
    if found.is_pooled:
        return (
            "Whether people differ more on some parts than on others cannot be told: pooled with "
            f"the repeats because F {found.ratio:.3f} < {found.critical:.3f}, {chance}."
        )
    return (
        "People differ more on some parts than on others: not pooled with the repeats because "
        f"F {found.ratio:.3f} > {found.critical:.3f}, {chance}."
    )


def _zeroed(names: tuple[str, ...], method: str) -> list[str]:
    return [
        f"By {method}, the variance {name} came out below zero, which no variance is; it is set "
        "to zero."
        for name in names
    ]


def _why_they_differ(study: GaugeStudy) -> str:
    interaction = study.anova.interaction
    if interaction is None:
        counted = "every reading"
    elif interaction.is_pooled:
        counted = "every reading and counts what people do on single parts as repeats"
    else:
        counted = "every reading and counts what people do on single parts for itself"
    return (
        "The methods differ because averages and ranges look at the largest and the smallest "
        f"only, while the analysis of variance uses {counted}; where they differ, the worse counts."
    )
