"""What an instrument can tell: the uncertainty of one reading, from a budget of its parts.

One convention: ``u1`` is a standard uncertainty (k = 1), ``U2`` is twice that. Every name carries
the 1 or the 2. All components are in nanometres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from brakelog.lengths import NM_PER_MM
from brakelog.metrology.budget import Component
from brakelog.metrology.gauge_parts import GaugeParts, parts_of, worst_parts
from brakelog.metrology.practice import DIN_863_RANGE_MM, practice_of
from brakelog.metrology.repeatability import Repeatability
from brakelog.metrology.warmth import warmth
from brakelog.record.gauge import Gauge, GaugeKind
from brakelog.record.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Uncertainty of one reading with one gauge."""

    u1_nm: float
    """Standard uncertainty of one reading. [nm]"""
    u1r_nm: float
    """Its random part, which does not cancel in a difference. [nm]"""
    label: str
    """The instrument that the figure belongs to."""
    is_known: bool = True
    """False where the gauge is not on file, or not one for this quantity: then the worst."""
    proves: bool = True
    """False where a reading never proves that a part is in limits."""
    takes_differences: bool = True
    """False for an instrument that must not be used for a variation or runout."""
    budget: tuple[Component, ...] = ()
    """What ``u1_nm`` is made of, the random part first. [nm]"""

    @property
    def u1_difference_nm(self) -> float:
        """Standard uncertainty of a difference of two readings. [nm]

        What is common to both cancels; the random part enters twice: sqrt(2) * u1r.
        """
        return math.sqrt(2.0) * self.u1r_nm


def spread_of(
    quantity: Quantity,
    gauge: Gauge | None,
    *,
    size_nm: int | None = None,
    temperature_dc: int | None = None,
    repeatability: Repeatability | None = None,
) -> Spread:
    """Return the uncertainty of one reading of a quantity with a gauge.

    Parameters
    ----------
    quantity : Quantity
        What was measured.
    gauge : Gauge or None
        The gauge on file; its step and error limit enter the budget.
    size_nm : int, optional
        The size as read; without it nothing is said of the part's temperature, as for a
        difference. [nm]
    temperature_dc : int, optional
        Temperature of the part; where not given, a size of iron has a warm allowance.
        [tenths of a degree Celsius]
    repeatability : Repeatability, optional
        The shop's own; what the trade counts with where not given.

    Returns
    -------
    Spread
        Where the gauge is not on file, or is none for this quantity, the worst of the quantity,
        and ``is_known`` is false, so that the page can say so.

    References
    ----------
    JCGM 100:2008 (GUM) 4.3 and 5.1; ``practice`` names the source of each default.
    """
    if gauge is None:
        return _spread(quantity, None, 0, False, None, size_nm, temperature_dc, None)
    return _spread(
        quantity,
        gauge.kind,
        gauge.resolution_nm,
        gauge.unit.is_inch,
        gauge.error_limit_nm,
        size_nm,
        temperature_dc,
        repeatability,
    )


def default_repeatability_nm(quantity: Quantity, gauge: Gauge) -> float | None:
    """Return what the trade counts with for repeated readings.

    Returns
    -------
    float or None
        Standard deviation of one reading; None where the kind of gauge has no budget for the
        quantity, so that repeats change nothing. [nm]
    """
    practice = practice_of(
        quantity, gauge.kind, resolution_nm=gauge.resolution_nm, is_inch=gauge.unit.is_inch
    )
    return None if practice is None else practice.s_nm


_REMEMBERED = 8_192
"""Spreads kept in mind; one verdict asks for the same ones many times. [-]"""


@lru_cache(maxsize=_REMEMBERED)
def _spread(
    quantity: Quantity,
    kind: GaugeKind | None,
    resolution_nm: int,
    is_inch: bool,
    error_limit_nm: int | None,
    size_nm: int | None,
    temperature_dc: int | None,
    repeatability: Repeatability | None,
) -> Spread:
    """Add what the part brings to what the gauge brings."""
    spread = _of_gauge(
        quantity,
        kind,
        resolution_nm,
        is_inch,
        error_limit_nm,
        _range_start_mm(quantity, size_nm),
        repeatability,
    )
    parts = () if size_nm is None else warmth(quantity, size_nm, temperature_dc)
    if not parts:
        return spread
    return Spread(
        u1_nm=math.hypot(spread.u1_nm, *(each.share1 for each in parts)),
        u1r_nm=spread.u1r_nm,
        label=spread.label,
        is_known=spread.is_known,
        proves=spread.proves,
        takes_differences=spread.takes_differences,
        budget=(*spread.budget, *parts),
    )


def _range_start_mm(quantity: Quantity, size_nm: int | None) -> int:
    """Return the lower end of the range of the micrometer that reads the size. [mm]"""
    if quantity is not Quantity.ROTOR or size_nm is None:
        return DIN_863_RANGE_MM
    return size_nm // (DIN_863_RANGE_MM * NM_PER_MM) * DIN_863_RANGE_MM


@lru_cache(maxsize=_REMEMBERED)
def _of_gauge(
    quantity: Quantity,
    kind: GaugeKind | None,
    resolution_nm: int,
    is_inch: bool,
    error_limit_nm: int | None,
    range_start_mm: int,
    repeatability: Repeatability | None,
) -> Spread:
    if kind is None:
        return _sum(worst_parts(quantity, "gauge not on file"))
    return _sum(
        parts_of(
            quantity,
            kind,
            resolution_nm=resolution_nm,
            is_inch=is_inch,
            error_limit_nm=error_limit_nm,
            range_start_mm=range_start_mm,
            repeatability=repeatability,
        )
    )


def _sum(parts: GaugeParts) -> Spread:
    u1r_nm = math.hypot(*(each.share1 for each in parts.random))
    return Spread(
        u1_nm=math.hypot(u1r_nm, *(each.share1 for each in parts.common)),
        u1r_nm=u1r_nm,
        label=parts.label,
        is_known=parts.is_known,
        proves=parts.proves,
        takes_differences=parts.takes_differences,
        budget=(*parts.random, *parts.common),
    )


LINING_PLACEMENT_NM = 150.0 * 1_000.0
ROTOR_PLACEMENT_NM = 4.0 * 1_000.0
DRUM_PLACEMENT_NM = 20.0 * 1_000.0
"""How far the place of a reading moves from visit to visit: linings 0.15 mm and rotors 0.004 mm
are common practice; drums 0.02 mm is an assumption. [nm]"""


def sigma1_between_visits_nm(quantity: Quantity, u1_nm: float) -> float:
    """Return the standard uncertainty of a reading that is compared with another visit's. [nm]"""
    if quantity.is_lining:
        placement = LINING_PLACEMENT_NM
    elif quantity is Quantity.ROTOR:
        placement = ROTOR_PLACEMENT_NM
    else:
        placement = DRUM_PLACEMENT_NM
    return math.hypot(u1_nm, placement)
