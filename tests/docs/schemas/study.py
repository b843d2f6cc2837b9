"""A gauge study."""

from __future__ import annotations

from tests.docs.schemas.kinds import Closed, Form, Many, Maybe, Record
from tests.docs.schemas.scalars import (
    COUNT,
    DECIMAL,
    FLAG,
    LENGTH,
    LENGTH_UNIT,
    ORDINAL,
    PROBABILITY,
    SIZE,
    WORDS,
)

_VARIATION = Record(
    name="variation",
    says="The standard deviations found.",
    keys={
        "repeats_u1_mm": SIZE,
        "appraisers_u1_mm": Maybe(SIZE),
        "interaction_u1_mm": SIZE,
        "gauge_u1_mm": SIZE,
        "parts_u1_mm": SIZE,
        "total_u1_mm": SIZE,
        "gauge_share": DECIMAL,
        "categories": COUNT,
        "set_to_zero": Many(
            Closed(
                name="variance",
                says="A variance that came out below zero.",
                words=("between parts", "people by parts", "between people"),
            )
        ),
    },
    at=("`variation`",),
)
_RANGES = Record(
    name="ranges",
    says="Averages and ranges.",
    keys={
        "by_appraiser": Many(
            Record(
                name="appraiser",
                says="Mean and range of one person.",
                keys={"appraiser": WORDS, "mean_mm": LENGTH, "range_mm": SIZE},
                at=("`ranges`",),
            ),
            least=1,
        ),
        "mean_range_mm": SIZE,
        "range_limit_mm": SIZE,
        "between_appraisers_mm": SIZE,
        "between_parts_mm": SIZE,
        "beyond": Many(
            Record(
                name="repeats_apart",
                says="Repeats that lie too far apart.",
                keys={"part": WORDS, "appraiser": WORDS, "range_mm": SIZE},
                at=("`ranges`",),
            )
        ),
        "few_ranges": FLAG,
        "variation": _VARIATION,
    },
    at=("`ranges`",),
)
_ANOVA = Record(
    name="anova",
    says="Analysis of variance.",
    keys={
        "table": Many(
            Record(
                name="source_of_variation",
                says="One source of variation.",
                keys={
                    "source": Closed(
                        name="source",
                        says="What varies.",
                        words=("parts", "appraisers", "interaction", "repeats", "error", "total"),
                    ),
                    "dof": COUNT,
                    "sum_of_squares_mm2": DECIMAL,
                    "mean_square_mm2": DECIMAL,
                },
                at=("`anova`",),
            )
        ),
        "interaction": Maybe(
            Record(
                name="interaction",
                says="Whether people differ more on some parts than on others.",
                keys={
                    "f": Maybe(DECIMAL),
                    "critical_f": DECIMAL,
                    "p": PROBABILITY,
                    "pooled": FLAG,
                },
                at=("`anova`",),
            )
        ),
        "variation": _VARIATION,
    },
    at=("`anova`",),
)
STUDY = Form(
    name="gauge-study",
    version=1,
    title="Gauge study",
    says="How well a gauge repeats.",
    body={
        "file": WORDS,
        "unit": LENGTH_UNIT,
        "parts": Many(WORDS, least=2),
        "appraisers": Many(WORDS, least=1),
        "trials": Many(WORDS, least=2),
        "readings": ORDINAL,
        "tolerance_mm": Maybe(SIZE),
        "share_of_tolerance": Maybe(DECIMAL),
        "categories": COUNT,
        "gauge_dof": Maybe(DECIMAL),
        "proves_from_mm": SIZE,
        "tells_from_mm": SIZE,
        "no_ranges": Maybe(WORDS),
        "ranges": Maybe(_RANGES),
        "anova": _ANOVA,
    },
)
