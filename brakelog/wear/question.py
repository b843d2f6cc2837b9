"""Questions that a part life raises about itself, in plain words.

A worn part does not gain material and an odometer does not run back. Where the record says so,
somebody has to be asked: to split the life or to drop a reading without asking would hide either
a new part or a slip.
"""

from __future__ import annotations

import itertools
import math

from brakelog.wear.experience import WearKind
from brakelog.wear.history import NM_PER_MM, History, believed_u1_mm, first_visit, margin_mm
from brakelog.wear.life import NOMINAL_U1_NM, PartLife, Reading
from brakelog.wear.rate import Screening

GROWTH_Z = 3.0
"""Standardised gain of material from which it is not chance. [-]

Source: common practice (three standard deviations, 1 false alarm in 1000 readings or fewer).
"""

LININGS = frozenset({WearKind.FRONT_LINING, WearKind.REAR_LINING, WearKind.SHOE})


def odometer_questions(life: PartLife) -> tuple[str, ...]:
    """Every place where the odometer runs back.

    Parameters
    ----------
    life
        The part life.
    """
    asked = []
    readings = life.readings
    if life.start is not None and readings and readings[0].odometer_mm < life.start.odometer_mm:
        asked.append(
            f"the odometer on {readings[0].day} is lower than when the part was fitted: "
            "which of the two is right?"
        )
    for before, reading in itertools.pairwise(readings):
        if reading.odometer_mm < before.odometer_mm:
            asked.append(
                f"the odometer on {reading.day} is lower than on {before.day}: "
                "which of the two is right?"
            )
    if readings and life.as_of_odometer_mm < readings[-1].odometer_mm:
        asked.append(
            f"the odometer on {life.as_of} is lower than at the reading of {readings[-1].day}: "
            "which of the two is right?"
        )
    return tuple(asked)


def growth_questions(
    life: PartLife, limit_nm: int, history: History, screening: Screening
) -> tuple[str, ...]:
    """Every reading that shows more material than there can be, at most one question each.

    Parameters
    ----------
    life
        The part life, with its odometers in order.
    limit_nm
        Its limit. [nm]
    history
        The same life in floats.
    screening
        The robust look at it.
    """
    asked = []
    for index, reading in enumerate(life.readings):
        visit = index - first_visit(life)
        # A first reading that serves as the start is expected to be what it is.
        innovation = screening.innovations[visit] if visit >= 0 else 0.0
        if _exceeds_new(life, limit_nm, reading):
            asked.append(_more_than_new(life, reading))
            continue
        if index > 0 and _grew(life, limit_nm, life.readings[index - 1], reading):
            than_what = f"on {life.readings[index - 1].day}"
        elif innovation > GROWTH_Z:
            than_what = "its wear so far allows"
        else:
            continue
        is_like_new = _may_be_new(life, limit_nm, history, screening, index)
        asked.append(_more_than_before(life, reading, than_what, is_like_new=is_like_new))
    return tuple(asked)


def has_grown(life: PartLife, limit_nm: int) -> bool:
    """Whether a reading shows more material than the one before it, beyond chance."""
    return any(
        _grew(life, limit_nm, before, reading)
        for before, reading in itertools.pairwise(life.readings)
    ) or any(_exceeds_new(life, limit_nm, reading) for reading in life.readings)


def _new_margin(life: PartLife, limit_nm: int) -> tuple[float, float] | None:
    """Margin of the part as it began, with its standard uncertainty. [mm]"""
    if life.start is not None:
        return margin_mm(life, life.start.size_nm, limit_nm), life.start.sigma1_nm / NM_PER_MM
    if life.new_nm is not None:
        return margin_mm(life, life.new_nm, limit_nm), NOMINAL_U1_NM[life.kind] / NM_PER_MM
    return None


def _exceeds_new(life: PartLife, limit_nm: int, reading: Reading) -> bool:
    new = _new_margin(life, limit_nm)
    if new is None:
        return False
    u1_mm = math.hypot(new[1], believed_u1_mm(life.kind, reading.sigma1_nm))
    return margin_mm(life, reading.value_nm, limit_nm) - new[0] > GROWTH_Z * u1_mm


def _grew(life: PartLife, limit_nm: int, before: Reading, reading: Reading) -> bool:
    gained_mm = margin_mm(life, reading.value_nm, limit_nm) - margin_mm(
        life, before.value_nm, limit_nm
    )
    u1_mm = math.hypot(
        believed_u1_mm(life.kind, before.sigma1_nm), believed_u1_mm(life.kind, reading.sigma1_nm)
    )
    return gained_mm > GROWTH_Z * u1_mm


def _may_be_new(
    life: PartLife, limit_nm: int, history: History, screening: Screening, index: int
) -> bool:
    """Whether a part fitted since the last visit would read like this."""
    new = _new_margin(life, limit_nm)
    if new is None:
        return False
    visit = index - first_visit(life)
    reading = history.visits[visit]
    gap = reading.x - (history.visits[visit - 1].x if visit > 0 else 0.0)
    u1_mm = math.hypot(new[1], reading.u1_mm)
    return reading.margin_mm >= new[0] - GROWTH_Z * u1_mm - screening.rate * gap


def _more_than_new(life: PartLife, reading: Reading) -> str:
    if life.kind in LININGS:
        ask = "does the figure include the backing plate?"
    else:
        ask = "check the corner, the unit and the gauge, or record the new part"
    return f"the {life.kind.value} of {reading.day} reads {_odd(life)} than new: {ask}"


def _more_than_before(
    life: PartLife, reading: Reading, than_what: str, *, is_like_new: bool
) -> str:
    if is_like_new:
        ask = "and looks like a new part: was it replaced?"
    else:
        ask = "and no wear does that: check the corner, the unit and the gauge"
    return f"the {life.kind.value} of {reading.day} reads {_odd(life)} than {than_what} {ask}"


def _odd(life: PartLife) -> str:
    """The word for a size that wear does not lead to."""
    return "smaller" if life.grows else "thicker"
