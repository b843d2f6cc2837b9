"""Tapered correction plates between hub and rotor: what each would give, by trying them all."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from brakelog.errors import InvalidInput
from brakelog.metrology.shares import Split, rotation

COMMON_PLATES_NM = (76_200, 152_400, 228_600)
"""Plates that are sold: 0.003, 0.006 and 0.009 in of total indicator reading; common practice.
[nm]"""
MOST_PLATES = 20
"""Sizes tried in one go. Assumption: no shop keeps more."""


class Face(enum.Enum):
    """The face of the rotor that the indicator stands on."""

    OUTER = "outer"
    INNER = "inner"

    @property
    def sign(self) -> int:
        """Whether the thick side of a plate lifts this face towards its indicator. [-]"""
        return 1 if self is Face.OUTER else -1


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateChoice:
    """One way to mount the rotor: at a stud position, with or without a plate."""

    index: int
    """Studs that the rotor is turned from its first position."""
    plate_nm: int
    """Taper of the plate as total indicator reading at the indicator; 0 for none. [nm]"""
    place: int | None
    """Studs from stud 1 of the hub at which its thick side stands; None for no plate."""
    tir_nm: float
    """Predicted total indicator reading. [nm]"""
    u1_nm: float
    """Its standard uncertainty; the plate counts as exact. [nm]"""


def plate_choices(
    found: Split, plates_nm: Sequence[int] = COMMON_PLATES_NM, *, face: Face = Face.OUTER
) -> tuple[PlateChoice, ...]:
    """Return every way to mount the rotor, least runout first.

    Parameters
    ----------
    found : Split
        The shares of hub and rotor.
    plates_nm : sequence of int
        Tapers, as total indicator reading where the indicator stands. [nm]
    face : Face
        The face of the rotor that the indicator read.

    Notes
    -----
    T = H + R e^(i psi_k) + (taper / 2) e^(2 pi i j / N) for every index k and every place j of
    the plate's thick side, which is fixed to the hub: N (1 + N x plates) ways. Of ways that come
    to the same, the one with the smaller plate stands first. On the inner face the plate's sign
    is the other: its thick side pushes the rotor away from an indicator there.
    """
    if len(plates_nm) > MOST_PLATES or any(plate <= 0 for plate in plates_nm):
        raise InvalidInput("a plate is thicker than nothing", hint=f"at most {MOST_PLATES} sizes")
    bare = [
        PlateChoice(
            index=index,
            plate_nm=0,
            place=None,
            tir_nm=2.0 * abs(found.at(index)),
            u1_nm=2.0 * found.sd1_at_nm(index),
        )
        for index in range(found.studs)
    ]
    with_plate = [
        PlateChoice(
            index=index,
            plate_nm=plate_nm,
            place=place,
            tir_nm=2.0
            * abs(found.at(index) + face.sign * plate_nm / 2.0 * rotation(place, found.studs)),
            u1_nm=2.0 * found.sd1_at_nm(index),
        )
        for index in range(found.studs)
        for plate_nm in sorted(set(plates_nm))
        for place in range(found.studs)
    ]
    return tuple(
        sorted([*bare, *with_plate], key=lambda each: (round(each.tir_nm, 3), each.plate_nm))
    )


def taper_at_indicator_nm(
    difference_nm: int, plate_radius_nm: int, indicator_radius_nm: int
) -> int:
    """Return the total indicator reading that a plate gives where the indicator stands. [nm]

    Parameters
    ----------
    difference_nm : int
        Thickest minus thinnest of the plate, across its diameter. [nm]
    plate_radius_nm : int
        Radius at which that difference holds. [nm]
    indicator_radius_nm : int
        Radius from the middle of the wheel at which the rotor is read. [nm]

    Examples
    --------
    >>> taper_at_indicator_nm(76_200, 70_000_000, 140_000_000)
    152400
    """
    return round(Fraction(difference_nm * indicator_radius_nm, plate_radius_nm))
