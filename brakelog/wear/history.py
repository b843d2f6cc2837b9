"""A part life in the floats that the method computes with."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.wear.experience import WearKind
from brakelog.wear.life import PartLife

NM_PER_MM = 1e6
MM_PER_1000KM = 1e9

LEAST_U1_MM = {
    WearKind.FRONT_LINING: 0.01,
    WearKind.REAR_LINING: 0.01,
    WearKind.ROTOR: 0.001,
    WearKind.SHOE: 0.01,
    WearKind.DRUM: 0.001,
}
"""Standard uncertainty below which no reading is believed. [mm]

Assumption: no surface in service is flatter, and a zero would let one reading outweigh the rest.
"""

MOST_U1_MM = 1000.0
"""Standard uncertainty above which a reading says nothing in any case. [mm]

Assumption: far larger than every brake part; keeps the arithmetic finite.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One reading as the method sees it.

    Parameters
    ----------
    x
        Distance since the start. [1000 km]
    margin_mm
        Material read above the limit. [mm]
    u1_mm
        Standard uncertainty of it, above zero. [mm]
    """

    x: float
    margin_mm: float
    u1_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A start and the visits after it, in order of distance.

    Parameters
    ----------
    margin_mm
        Material above the limit at the start. [mm]
    u1_mm
        Standard uncertainty of it. [mm]
    visits
        Readings after the start.
    """

    margin_mm: float
    u1_mm: float
    visits: tuple[Visit, ...]


def believed_u1_mm(kind: WearKind, sigma1_nm: float) -> float:
    """Standard uncertainty of a reading, held between the least and the most. [mm]"""
    return min(max(sigma1_nm / NM_PER_MM, LEAST_U1_MM[kind]), MOST_U1_MM)


def margin_mm(life: PartLife, size_nm: int, limit_nm: int) -> float:
    """Material between a size and the limit; negative beyond it. [mm]"""
    # Subtracted as integers: exact whatever the size is, and a drum only turns the sign.
    return (limit_nm - size_nm if life.grows else size_nm - limit_nm) / NM_PER_MM


def start_odometer_mm(life: PartLife) -> int:
    """Odometer at the fitting record or, without one, at the first reading. [mm]"""
    return life.readings[0].odometer_mm if life.start is None else life.start.odometer_mm


def last_odometer_mm(life: PartLife) -> int:
    """Odometer at the last reading or, without one, at the fitting record. [mm]"""
    return life.readings[-1].odometer_mm if life.readings else start_odometer_mm(life)


def first_visit(life: PartLife) -> int:
    """Index of the reading that is the first visit after the start. [-]"""
    return 1 if life.start is None else 0


def history_of(life: PartLife, limit_nm: int) -> History:
    """The part life as floats, relative to its start and its limit.

    Without a fitting record the first reading is the start, so there must be one.

    Parameters
    ----------
    life
        The part life, with its odometers in order.
    limit_nm
        Its limit. [nm]
    """
    if life.start is None:
        first = life.readings[0]
        size_nm, u1_mm = first.value_nm, believed_u1_mm(life.kind, first.sigma1_nm)
    else:
        size_nm = life.start.size_nm
        u1_mm = min(life.start.sigma1_nm / NM_PER_MM, MOST_U1_MM)
    origin_mm = start_odometer_mm(life)
    return History(
        margin_mm=margin_mm(life, size_nm, limit_nm),
        u1_mm=u1_mm,
        visits=tuple(
            Visit(
                x=(reading.odometer_mm - origin_mm) / MM_PER_1000KM,
                margin_mm=margin_mm(life, reading.value_nm, limit_nm),
                u1_mm=believed_u1_mm(life.kind, reading.sigma1_nm),
            )
            for reading in life.readings[first_visit(life) :]
        ),
    )
