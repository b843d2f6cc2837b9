"""What a micrometer can slip by: a turn of its thimble, a figure of its sleeve."""

from __future__ import annotations

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.gauge import GaugeKind
from brakelog.record.reading import ReadingSet
from brakelog.review.figures import unit_of
from brakelog.review.look import Look

METRIC_TURN_NM = NM_PER_MM // 2
INCH_TURN_NM = NM_PER_INCH // 40
"""One turn of a thimble: 0.50 mm, or 0.025 in at 40 threads to the inch. Common practice. [nm]"""
METRIC_SLEEVE_NM = NM_PER_MM
INCH_SLEEVE_NM = NM_PER_INCH // 10
"""One figure of the sleeve: 1 mm, or 0.100 in. Common practice. [nm]"""
METRIC_NOISE_NM = 30_000
INCH_NOISE_NM = NM_PER_INCH // 1000
"""How far a slip of a whole turn may look from a turn: 0.03 mm, 0.001 in. Common practice. [nm]"""
DISPLAY_STEP_NM = 1_270
"""Up to this step a micrometer has a display, and shows no turn too many; common practice. [nm]"""


def has_thimble(look: Look, reading: ReadingSet) -> bool:
    """Whether the set may have been read with a micrometer; one that is not on file may be one."""
    gauge = look.gauge(reading)
    return gauge is None or gauge.kind is GaugeKind.MICROMETER


def has_display(look: Look, reading: ReadingSet) -> bool:
    """Whether the gauge shows figures, and so no turn too many."""
    gauge = look.gauge(reading)
    return gauge is not None and gauge.resolution_nm <= DISPLAY_STEP_NM


def is_inch(look: Look, reading: ReadingSet) -> bool:
    """Whether the scale of the gauge is in inches."""
    gauge = look.gauge(reading)
    return gauge.unit.is_inch if gauge is not None else unit_of(reading).is_inch


def turn_nm(look: Look, reading: ReadingSet) -> int:
    """Return what one turn of the thimble is worth. [nm]"""
    return INCH_TURN_NM if is_inch(look, reading) else METRIC_TURN_NM


def sleeve_nm(look: Look, reading: ReadingSet) -> int:
    """Return what one figure of the sleeve is worth. [nm]"""
    return INCH_SLEEVE_NM if is_inch(look, reading) else METRIC_SLEEVE_NM


def noise_nm(look: Look, reading: ReadingSet) -> int:
    """Return how far a slip of a whole turn may look from a turn. [nm]"""
    return INCH_NOISE_NM if is_inch(look, reading) else METRIC_NOISE_NM
