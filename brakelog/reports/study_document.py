"""A gauge study as a document for machines; lengths are decimal strings in mm."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.metrology.gauge_study import GaugeStudy
from brakelog.metrology.study import Variation
from brakelog.metrology.study_anova import Anova, Interaction, Squares
from brakelog.metrology.study_ranges import Ranges

FORMAT = "brakelog.gauge-study/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""
Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


def study_document(study: GaugeStudy, name: str) -> dict[str, Json]:
    """Return the study as plain values."""
    crossed = study.study
    share = study.share_of_tolerance
    return {
        "format": FORMAT,
        "file": name,
        "unit": study.unit.value,
        "parts": list(crossed.parts),
        "appraisers": list(crossed.appraisers),
        "trials": list(crossed.trials),
        "readings": crossed.count,
        "tolerance_mm": None if study.tolerance is None else decimal_mm(study.tolerance.nm),
        "share_of_tolerance": None if share is None else _share(share),
        "categories": study.categories,
        "gauge_dof": f"{study.gauge_dof:.6f}" if math.isfinite(study.gauge_dof) else None,
        "proves_from_mm": _mm(study.proves_from_nm),
        "tells_from_mm": _mm(study.tells_from_nm),
        "no_ranges": study.no_ranges or None,
        "ranges": _ranges(study.ranges, crossed.appraisers) if study.ranges else None,
        "anova": _anova(study.anova),
    }


def _ranges(found: Ranges, appraisers: tuple[str, ...]) -> dict[str, Json]:
    return {
        "by_appraiser": [
            {"appraiser": who, "mean_mm": _mm(mean), "range_mm": _mm(span)}
            for who, mean, span in zip(appraisers, found.means_nm, found.ranges_nm, strict=True)
        ],
        "mean_range_mm": _mm(found.mean_range_nm),
        "range_limit_mm": _mm(found.limit_nm),
        "between_appraisers_mm": _mm(found.between_people_nm),
        "between_parts_mm": _mm(found.between_parts_nm),
        "beyond": [
            {"part": each.part, "appraiser": each.appraiser, "range_mm": decimal_mm(each.range_nm)}
            for each in found.beyond
        ],
        "few_ranges": found.has_few_ranges,
        "variation": _variation(found.variation),
    }


def _anova(found: Anova) -> dict[str, Json]:
    crossed = found.interaction.squares if found.interaction else None
    lines = (
        ("parts", found.parts),
        ("appraisers", found.appraisers),
        ("interaction", crossed),
        ("repeats", found.repeats),
        ("error", found.error),
        ("total", found.total),
    )
    return {
        "table": [_squares(name, line) for name, line in lines if line is not None],
        "interaction": _interaction(found.interaction) if found.interaction else None,
        "variation": _variation(found.variation),
    }


def _squares(name: str, line: Squares) -> dict[str, Json]:
    return {
        "source": name,
        "dof": line.dof,
        "sum_of_squares_mm2": _mm2(line.sum_nm2),
        "mean_square_mm2": _mm2(line.mean_nm2),
    }


def _interaction(found: Interaction) -> dict[str, Json]:
    return {
        "f": None if math.isinf(found.ratio) else f"{found.ratio:.6f}",
        "critical_f": f"{found.critical:.6f}",
        "p": _share(found.chance),
        "pooled": found.is_pooled,
    }


def _variation(found: Variation) -> dict[str, Json]:
    people = found.people1_nm
    return {
        "repeats_u1_mm": _mm(found.repeats1_nm),
        "appraisers_u1_mm": None if people is None else _mm(people),
        "interaction_u1_mm": _mm(found.interaction1_nm),
        "gauge_u1_mm": _mm(found.gauge1_nm),
        "parts_u1_mm": _mm(found.parts1_nm),
        "total_u1_mm": _mm(found.total1_nm),
        "gauge_share": _share(found.share_of_total(found.gauge1_nm)),
        "categories": found.categories,
        "set_to_zero": list(found.zeroed),
    }


def _mm(nm: float | Fraction) -> str:
    return decimal_mm(round(nm))


def _mm2(nm2: Fraction) -> str:
    """Return square millimetres, rounded to the square nanometre."""
    whole, part = divmod(round(nm2), 10**12)
    return f"{whole}.{part:012d}".rstrip("0").rstrip(".")


def _share(share: float) -> str:
    return f"{share:.6f}"
