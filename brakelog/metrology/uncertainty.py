"""What an instrument can tell: standard uncertainty by kind of gauge.

One convention: ``u1`` is a standard uncertainty (k = 1), ``U2`` is twice that. Every name carries
the 1 or the 2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

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

    @property
    def u1_difference_nm(self) -> float:
        """Standard uncertainty of a difference of two readings. [nm]

        What is common to both cancels; the random part enters twice: sqrt(2) * u1r.
        """
        return math.sqrt(2.0) * self.u1r_nm


_UM = 1000.0
_MICROMETERS = (
    # resolution up to [nm], u1 [nm], u1r [nm], label
    (1_270, 2.5 * _UM, 1.05 * _UM, "micrometer 0.001 mm"),
    (2_540, 5.0 * _UM, 1.25 * _UM, "micrometer 0.0001 in"),
    (10_000, 5.0 * _UM, 4.2 * _UM, "micrometer 0.01 mm"),
    (25_400, 8.5 * _UM, 8.0 * _UM, "micrometer 0.001 in"),
)
_DIALS = (
    (10_000, 4.2 * _UM, "dial indicator 0.01 mm"),
    (25_400, 8.0 * _UM, "dial indicator 0.001 in"),
)
_CALLIPER = Spread(u1_nm=25.0 * _UM, u1r_nm=15.0 * _UM, label="calliper", takes_differences=False)
_DRUM_GAUGE = Spread(u1_nm=25.0 * _UM, u1r_nm=16.0 * _UM, label="drum gauge")
_LININGS = {
    GaugeKind.CALLIPER: Spread(
        u1_nm=50.0 * _UM, u1r_nm=50.0 * _UM, label="calliper, pad off the car"
    ),
    GaugeKind.DEPTH: Spread(u1_nm=125.0 * _UM, u1r_nm=125.0 * _UM, label="depth gauge on the car"),
    GaugeKind.STEPPED: Spread(u1_nm=350.0 * _UM, u1r_nm=350.0 * _UM, label="stepped gauge"),
    GaugeKind.EYE: Spread(
        u1_nm=750.0 * _UM, u1r_nm=750.0 * _UM, label="by eye through the wheel", proves=False
    ),
}
"""Default uncertainties by kind of gauge: common practice."""

_UNFIT_DIAL_NM = 25.0 * _UM
"""A runout read with anything else than a dial indicator: as a calliper; assumption."""
_DEPTH_OF_GROOVE_NM = 25.0 * _UM
"""Depth of a groove, whatever it is read with: as a calliper; assumption, on the wide side."""
_GROOVE_BY_EYE_NM = 500.0 * _UM
"""Depth of a groove judged by eye: assumption."""


def spread_of(quantity: Quantity, gauge: Gauge | None) -> Spread:
    """Return the uncertainty of one reading of a quantity with a gauge.

    Where the gauge is not on file, or is none for this quantity, the worst of the quantity is
    taken and ``is_known`` is false, so that the page can say so.
    """
    if quantity.is_lining:
        known = _LININGS.get(gauge.kind) if gauge else None
        return known or _unknown(_LININGS[GaugeKind.EYE], gauge)
    if quantity is Quantity.ROTOR:
        return _rotor(gauge)
    if quantity in (Quantity.RUNOUT, Quantity.HUB_RUNOUT):
        return _runout(gauge)
    if quantity is Quantity.SCORING and gauge is not None and gauge.kind is GaugeKind.EYE:
        return Spread(
            u1_nm=_GROOVE_BY_EYE_NM, u1r_nm=_GROOVE_BY_EYE_NM, label="by eye", proves=False
        )
    if quantity is Quantity.SCORING:
        return Spread(
            u1_nm=_DEPTH_OF_GROOVE_NM,
            u1r_nm=_DEPTH_OF_GROOVE_NM,
            label=gauge.kind.value if gauge else "gauge not on file",
            is_known=gauge is not None,
        )
    if gauge is not None and gauge.kind is GaugeKind.DRUM:
        return _DRUM_GAUGE
    return _unknown(_DRUM_GAUGE, gauge)


def _rotor(gauge: Gauge | None) -> Spread:
    if gauge is not None and gauge.kind is GaugeKind.CALLIPER:
        return _CALLIPER
    if gauge is not None and gauge.kind is GaugeKind.MICROMETER:
        for resolution_nm, u1_nm, u1r_nm, label in _MICROMETERS:
            if gauge.resolution_nm <= resolution_nm:
                return Spread(u1_nm=u1_nm, u1r_nm=u1r_nm, label=label)
    return _unknown(_CALLIPER, gauge)


def _runout(gauge: Gauge | None) -> Spread:
    if gauge is not None and gauge.kind is GaugeKind.DIAL:
        for resolution_nm, u1r_nm, label in _DIALS:
            if gauge.resolution_nm <= resolution_nm:
                return Spread(u1_nm=u1r_nm, u1r_nm=u1r_nm, label=label)
    return Spread(
        u1_nm=_UNFIT_DIAL_NM,
        u1r_nm=_UNFIT_DIAL_NM,
        label=_unfit_label(gauge),
        is_known=False,
    )


def _unfit_label(gauge: Gauge | None) -> str:
    return "gauge not on file" if gauge is None else f"{gauge.kind.value}, no gauge for this"


def _unknown(worst: Spread, gauge: Gauge | None) -> Spread:
    return Spread(
        u1_nm=worst.u1_nm,
        u1r_nm=worst.u1r_nm,
        label=_unfit_label(gauge),
        is_known=False,
        proves=worst.proves,
        takes_differences=worst.takes_differences,
    )


LINING_PLACEMENT_NM = 150.0 * _UM
ROTOR_PLACEMENT_NM = 4.0 * _UM
DRUM_PLACEMENT_NM = 20.0 * _UM
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
