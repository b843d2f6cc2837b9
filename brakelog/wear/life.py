"""One part life: a physical part at one place, from fitting or refinishing to removal."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from brakelog.wear.experience import WearKind

NOMINAL_U1_NM = {
    WearKind.FRONT_LINING: 500_000.0,
    WearKind.REAR_LINING: 500_000.0,
    WearKind.ROTOR: 50_000.0,
    WearKind.SHOE: 500_000.0,
    WearKind.DRUM: 50_000.0,
}
"""Standard uncertainty of a new size that was looked up and not measured. [nm]

Assumption: 0.5 mm for linings, 0.05 mm for rotors and drums. Makes of lining for one car differ
by that much, and a start believed too well makes the bound too long.
"""


def _check_u1(sigma1_nm: float) -> None:
    if not sigma1_nm >= 0.0:
        raise ValueError("a standard uncertainty is zero or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """The deciding value of one reading set, as the wear sees it.

    Parameters
    ----------
    odometer_mm
        Odometer of the visit. [mm]
    value_nm
        Thickness, or diameter of a drum. [nm]
    sigma1_nm
        Standard uncertainty, placement from visit to visit included. [nm]
    day
        Day of the visit.

    Raises
    ------
    ValueError
        If the uncertainty is negative or not a number.
    """

    odometer_mm: int
    value_nm: int
    sigma1_nm: float
    day: datetime.date

    def __post_init__(self) -> None:
        _check_u1(self.sigma1_nm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """The fitting record: what the part began with.

    Parameters
    ----------
    odometer_mm
        Odometer when it was fitted or refinished. [mm]
    size_nm
        New or refinished size. [nm]
    sigma1_nm
        Standard uncertainty of that size. [nm]
    measured
        False if the size is the nominal one of a sheet.

    Raises
    ------
    ValueError
        If the uncertainty is negative or not a number.
    """

    odometer_mm: int
    size_nm: int
    sigma1_nm: float
    measured: bool

    def __post_init__(self) -> None:
        _check_u1(self.sigma1_nm)


def nominal_start(kind: WearKind, *, odometer_mm: int, size_nm: int) -> Start:
    """Start of a part that was fitted without being measured.

    Parameters
    ----------
    kind
        Group of parts; decides how far the nominal size is trusted.
    odometer_mm
        Odometer when it was fitted. [mm]
    size_nm
        Nominal new size. [nm]
    """
    return Start(
        odometer_mm=odometer_mm,
        size_nm=size_nm,
        sigma1_nm=NOMINAL_U1_NM[kind],
        measured=False,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLife:
    """Everything a projection of one part rests on.

    Parameters
    ----------
    kind
        Group of parts.
    grows
        True where wear makes the size larger (drum diameter).
    start
        Fitting record, if there is one. A part without one was never "new at 0 km".
    readings
        In order of odometer.
    limit_nm
        Size at which the part must go; None if none is on file. [nm]
    new_nm
        New size of the sheet; None if unknown. [nm]
    as_of
        Day for which the projection is asked.
    as_of_odometer_mm
        Odometer on that day. [mm]
    is_out
        Whether the last reading is out by the limit's own comparator.
    unresolved
        Open questions about the readings, in plain words.
    """

    kind: WearKind
    grows: bool
    start: Start | None
    readings: tuple[Reading, ...]
    limit_nm: int | None
    new_nm: int | None
    as_of: datetime.date
    as_of_odometer_mm: int
    is_out: bool
    unresolved: tuple[str, ...] = ()
