"""What gauges of each kind do in trained hands in a workshop, where nothing better is on file.

The figures of a standard are error limits of a new instrument; where the trade's experience is
wider, the trade's figure stands here and says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.gauge import GaugeKind
from brakelog.record.quantity import Quantity

_UM = 1_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """The default budget of one kind of gauge on one kind of part."""

    error_limit_nm: float
    """Limit of error of the gauge itself, each way. [nm]"""
    s_nm: float
    """Repeatability of one reading. [nm]"""
    seat_nm: float = 0.0
    """How the gauge sits on the part, each way: neither a certificate nor repeated readings show
    it. [nm]"""
    travel_nm: float = 0.0
    """Error within a short travel of an indicator, each way; it does not cancel in a difference.
    [nm]"""
    label: str = ""
    """What it is called, where its kind alone does not say it."""


DIN_863_NM = 4_000
DIN_863_RANGE_MM = 25
DIN_863_SLOPE_MM = 50
"""External micrometers come in ranges of 25 mm; the first errs by 4 micrometres at most, and the
limit grows by one for every 50 mm (DIN 863-1). [nm, mm, mm]"""


def din_863_limit_nm(range_start_mm: int) -> int:
    """Return the error limit of an external micrometer by the lower end of its range. [nm]

    floor(4 + A / 50) micrometres: 4 up to 50 mm, 5 up to 100 mm.

    References
    ----------
    DIN 863-1, table of error limits; the formula gives every printed column (tests/published).
    """
    return DIN_863_NM + 1_000 * (range_start_mm // DIN_863_SLOPE_MM)


FINE_STEP_NM = 1_270
"""Steps up to 0.001 mm or 0.00005 in: a digital micrometer. [nm]"""
VERNIER_STEP_NM = 2_540
"""Steps up to 0.0001 in: a vernier read by eye. [nm]"""
FINE_S_NM = 1.01 * _UM
SCALE_S_NM = 3.1 * _UM
"""Repeatability of one thickness: with a ratchet, read from a display or a vernier, and read from
a scale of 0.01 mm or 0.001 in. Common practice: with the step they give the random parts 0.00105,
0.0042 and 0.0080 mm that the trade counts with. [nm]"""
SCALE_SEAT_NM = 2 * _UM
"""How the line of a scale is looked at: assumption, half of the error limit. [nm]"""
INCH_SCALE_LIMIT_NM = NM_PER_INCH / 3_000
"""Error limit of an inch micrometer read by eye: a third of a thousandth. Common practice; with it
a reading to 0.0001 in comes to the 0.005 mm that the trade counts with. [nm]"""


def _micrometer(resolution_nm: int, *, is_inch: bool, range_start_mm: int) -> Practice:
    is_fine = resolution_nm <= FINE_STEP_NM
    limit_nm = float(din_863_limit_nm(range_start_mm))
    if is_inch and not is_fine:
        limit_nm = max(limit_nm, INCH_SCALE_LIMIT_NM)
    if is_fine or (is_inch and resolution_nm <= VERNIER_STEP_NM):
        return Practice(error_limit_nm=limit_nm, s_nm=FINE_S_NM)
    return Practice(error_limit_nm=limit_nm, s_nm=SCALE_S_NM, seat_nm=SCALE_SEAT_NM)


_CALLIPER_LIMITS_NM = ((20_000, 20_000), (25_400, 25_400), (NM_PER_MM, 50_000))
"""Resolution up to, and error limit: DIN 862 up to 100 mm, 20 micrometres for a reading of 0.01 or
0.02 mm and 50 for a vernier of 0.05 or 0.1 mm; between them 0.001 in over the first 6 in (US Army
TB 9-5210-208-35). [nm]"""
CALLIPER_SEAT_NM = 30 * _UM
"""Calliper on a rotor: the lip, and jaws held askew. Assumption, so that the whole comes to the
0.025 mm that the trade counts with. [nm]"""
CALLIPER_S_NM = 14.7 * _UM
"""Repeatability of a calliper on a rotor: common practice. [nm]"""


def _calliper_limit_nm(resolution_nm: int) -> float:
    for step_nm, limit_nm in _CALLIPER_LIMITS_NM:
        if resolution_nm <= step_nm:
            return float(limit_nm)
    return float(resolution_nm)


DIAL_LIMIT_NM = 15 * _UM
"""Error of a dial indicator of 0.01 mm over its entire range of 10 mm: JIS B7503:2011 for ranges
over 5 up to 10 mm, bezel of 50 mm or more. It cancels in a runout. [nm]"""
DIAL_TRAVEL_NM = 5 * _UM
"""Error of the same indicator within any tenth of a revolution, which is as far as a runout moves
it. [nm]"""
DIAL_S_NM = 2.3 * _UM
"""Repeatability of one reading with retrace, on a turning rotor. Common practice: with step and
travel it gives the random parts 0.0042 and 0.0080 mm that the trade counts with. [nm]"""

DRUM_LIMIT_NM = 40 * _UM
DRUM_SEAT_NM = 30 * _UM
"""A drum gauge errs by 0.05 mm each way: common practice, taken as 0.04 of the gauge itself and
0.03 of how it is held; a certificate shows the first only. [nm]"""
DRUM_S_NM = 15.7 * _UM
"""Repeatability of one diameter: common practice, 0.016 mm with a step of 0.01 mm. [nm]"""

DEPTH_LIMIT_NM = 100 * _UM
DEPTH_SEAT_NM = 150 * _UM
DEPTH_S_NM = 62.9 * _UM
"""A depth gauge on the car: how far it errs, how it sits on a pad that is worn askew, and how far
it repeats. Common practice: 0.125 mm in all with a step of 0.1 mm. [nm]"""

PAD_OFF_SEAT_NM = 50 * _UM
PAD_OFF_S_NM = 40 * _UM
"""A calliper on a pad that is off the car: an uneven face, and how far it repeats. Common practice:
0.05 mm in all. [nm]"""


def practice_of(
    quantity: Quantity,
    kind: GaugeKind,
    *,
    resolution_nm: int,
    is_inch: bool,
    range_start_mm: int = DIN_863_RANGE_MM,
) -> Practice | None:
    """Return the default budget of a gauge, or None where its kind is none for the quantity.

    Parameters
    ----------
    quantity : Quantity
        What is measured; a depth of groove, a stepped gauge and an estimate by eye have no budget
        of this form.
    kind : GaugeKind
        What kind of instrument it is.
    resolution_nm : int
        One step of its display or scale. [nm]
    is_inch : bool
        Whether its scale is in inches.
    range_start_mm : int
        Lower end of the range of the micrometer that the part needs. [mm]
    """
    if quantity.is_lining:
        return _on_lining(kind, resolution_nm)
    match quantity, kind:
        case Quantity.ROTOR, GaugeKind.MICROMETER:
            return _micrometer(resolution_nm, is_inch=is_inch, range_start_mm=range_start_mm)
        case Quantity.ROTOR, GaugeKind.CALLIPER:
            return Practice(
                error_limit_nm=_calliper_limit_nm(resolution_nm),
                seat_nm=CALLIPER_SEAT_NM,
                s_nm=CALLIPER_S_NM,
                label="calliper",
            )
        case Quantity.RUNOUT | Quantity.HUB_RUNOUT, GaugeKind.DIAL:
            return Practice(error_limit_nm=DIAL_LIMIT_NM, travel_nm=DIAL_TRAVEL_NM, s_nm=DIAL_S_NM)
        case Quantity.DRUM_OPEN | Quantity.DRUM_CLOSED, GaugeKind.DRUM:
            return Practice(
                error_limit_nm=DRUM_LIMIT_NM,
                seat_nm=DRUM_SEAT_NM,
                s_nm=DRUM_S_NM,
                label="drum gauge",
            )
    return None


def _on_lining(kind: GaugeKind, resolution_nm: int) -> Practice | None:
    if kind is GaugeKind.DEPTH:
        return Practice(
            error_limit_nm=DEPTH_LIMIT_NM,
            seat_nm=DEPTH_SEAT_NM,
            s_nm=DEPTH_S_NM,
            label="depth gauge on the car",
        )
    if kind is GaugeKind.CALLIPER:
        return Practice(
            error_limit_nm=_calliper_limit_nm(resolution_nm),
            seat_nm=PAD_OFF_SEAT_NM,
            s_nm=PAD_OFF_S_NM,
            label="calliper, pad off the car",
        )
    return None
