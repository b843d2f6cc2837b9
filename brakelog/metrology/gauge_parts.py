"""What a gauge brings into the budget of a reading: what repeats scatter, and what they share."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from brakelog.lengths import LengthUnit, decimal_mm, print_length
from brakelog.metrology.budget import Component, rectangular, resolution
from brakelog.metrology.practice import Practice, practice_of
from brakelog.metrology.repeatability import Repeatability
from brakelog.record.gauge import GaugeKind
from brakelog.record.quantity import Quantity

STEP = "step of the gauge"
ERROR_LIMIT = "error limit of the gauge"
SEAT = "how it sits on the part"
TRAVEL = "short travel of the indicator"
REPEATS = "repeatability of one reading"
"""Names of the components that come from a gauge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeParts:
    """The components of one gauge on one quantity. [nm]"""

    random: tuple[Component, ...]
    """What does not cancel in a difference of two readings."""
    common: tuple[Component, ...] = ()
    """What is the same in both."""
    label: str
    is_known: bool = True
    proves: bool = True
    takes_differences: bool = True


def parts_of(
    quantity: Quantity,
    kind: GaugeKind,
    *,
    resolution_nm: int,
    is_inch: bool,
    error_limit_nm: int | None,
    range_start_mm: int,
    repeatability: Repeatability | None,
) -> GaugeParts:
    """Return what a gauge on file brings into the budget.

    Parameters
    ----------
    quantity : Quantity
        What is measured.
    kind : GaugeKind
        What kind of instrument it is; where it is none for the quantity, the worst that is.
    resolution_nm : int
        One step of its display or scale. [nm]
    is_inch : bool
        Whether its scale is in inches.
    error_limit_nm : int or None
        From its certificate or maker; the default of its kind where not known. [nm]
    range_start_mm : int
        Lower end of the range of the micrometer that the part needs. [mm]
    repeatability : Repeatability or None
        The shop's own; the default of its kind where not known.
    """
    if quantity is Quantity.SCORING:
        return _groove(kind, resolution_nm, error_limit_nm)
    if quantity.is_lining and kind is GaugeKind.EYE:
        return _BY_EYE
    if quantity.is_lining and kind is GaugeKind.STEPPED:
        return _stepped(resolution_nm, error_limit_nm)
    practice = practice_of(
        quantity,
        kind,
        resolution_nm=resolution_nm,
        is_inch=is_inch,
        range_start_mm=range_start_mm,
    )
    if practice is None:
        return worst_parts(quantity, f"{kind.value}, no gauge for this")
    parts = _from_practice(
        practice,
        resolution_nm=resolution_nm,
        error_limit_nm=error_limit_nm,
        repeatability=repeatability,
        is_lining=quantity.is_lining,
    )
    return replace(
        parts,
        label=practice.label or f"{kind.value} {_step_text(resolution_nm, is_inch)}",
        takes_differences=kind is not GaugeKind.CALLIPER,
    )


def _from_practice(
    practice: Practice,
    *,
    resolution_nm: int,
    error_limit_nm: int | None = None,
    repeatability: Repeatability | None = None,
    is_lining: bool = False,
) -> GaugeParts:
    limit_nm = practice.error_limit_nm if error_limit_nm is None else error_limit_nm
    random = [resolution(STEP, resolution_nm)]
    common = [rectangular(ERROR_LIMIT, limit_nm)]
    if practice.seat_nm:
        # Two pads have two faces: how the gauge sits on one says nothing of the other.
        (random if is_lining else common).append(rectangular(SEAT, practice.seat_nm))
    if practice.travel_nm:
        # It counts once between the two readings of a difference, which is sqrt(2) times this.
        random.append(rectangular(TRAVEL, practice.travel_nm, sensitivity=math.sqrt(0.5)))
    if repeatability is None:
        random.append(Component(name=REPEATS, u1=practice.s_nm))
    else:
        random.append(Component(name=REPEATS, u1=repeatability.s_nm, dof=repeatability.dof))
    return GaugeParts(random=tuple(random), common=tuple(common), label=practice.label)


_UM = 1_000.0
_BY_EYE = GaugeParts(
    random=(Component(name="estimate by eye", u1=750 * _UM),),
    label="by eye through the wheel",
    proves=False,
)
"""A lining seen through the wheel: common practice. [nm]"""
_STEPPED_NM = 350 * _UM
"""A stepped gauge says "at least this step": common practice, with steps of up to 1 mm. [nm]"""
_GROOVE = Component(name="depth of a groove", u1=25 * _UM)
"""Whatever it is read with: as a calliper; assumption, on the wide side. [nm]"""
_GROOVE_BY_EYE = Component(name="depth of a groove by eye", u1=500 * _UM)
"""Assumption. [nm]"""
_NO_DIAL = Component(name="no dial indicator", u1=25 * _UM)
"""A runout read with anything else: as a calliper; assumption. [nm]"""
_COARSEST_NM = {
    Quantity.ROTOR: (GaugeKind.CALLIPER, 50_000),
    Quantity.DRUM_OPEN: (GaugeKind.DRUM, 127_000),
    Quantity.DRUM_CLOSED: (GaugeKind.DRUM, 127_000),
    Quantity.SCORING: (GaugeKind.DEPTH, 100_000),
}
"""The worst that is commonly used: a calliper with a vernier of 0.05 mm, a drum gauge in steps of
0.005 in, a depth gauge in steps of 0.1 mm; common practice. [nm]"""


def worst_parts(quantity: Quantity, label: str) -> GaugeParts:
    """Return the worst of a quantity, for a reading whose gauge is not on file or is none for it.

    A reading never gains from its gauge not being named.
    """
    if quantity.is_lining:
        return replace(_BY_EYE, label=label, is_known=False)
    if quantity not in _COARSEST_NM:
        return GaugeParts(random=(_NO_DIAL,), label=label, is_known=False)
    kind, resolution_nm = _COARSEST_NM[quantity]
    if quantity is Quantity.SCORING:
        return replace(_groove(kind, resolution_nm, None), label=label, is_known=False)
    practice = practice_of(quantity, kind, resolution_nm=resolution_nm, is_inch=False)
    assert practice is not None
    return replace(
        _from_practice(practice, resolution_nm=resolution_nm),
        label=label,
        is_known=False,
        takes_differences=kind is not GaugeKind.CALLIPER,
    )


def _stepped(resolution_nm: int, error_limit_nm: int | None) -> GaugeParts:
    step = resolution(STEP, resolution_nm)
    whole = Component(name="stepped gauge", u1=max(_STEPPED_NM, step.u1))
    return GaugeParts(random=(whole, *_given(error_limit_nm)), label="stepped gauge")


def _groove(kind: GaugeKind, resolution_nm: int, error_limit_nm: int | None) -> GaugeParts:
    if kind is GaugeKind.EYE:
        return GaugeParts(random=(_GROOVE_BY_EYE,), label="by eye", proves=False)
    step = resolution(STEP, resolution_nm)
    return GaugeParts(random=(_GROOVE, step, *_given(error_limit_nm)), label=kind.value)


def _given(error_limit_nm: int | None) -> tuple[Component, ...]:
    return () if error_limit_nm is None else (rectangular(ERROR_LIMIT, error_limit_nm),)


def _step_text(resolution_nm: int, is_inch: bool) -> str:
    if not is_inch:
        return f"{decimal_mm(resolution_nm)} mm"
    text = print_length(resolution_nm, LengthUnit.INCH, decimals=_INCH_DECIMALS)
    return f"{text.rstrip('0').rstrip('.')} in"


_INCH_DECIMALS = 6
"""Enough for every step of an inch gauge."""
