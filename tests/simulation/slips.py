"""The slips that are simulated: what they are called, and to which readings they happen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.rules.measure import Measure
from tests.simulation.slipping import (
    Slipping,
    copied,
    copied_visit,
    corners,
    digits_swapped,
    in_unit,
    lip,
    notch,
    off,
    plate,
    point_moved,
    typed_otherwise,
)
from tests.simulation.tasks import Task


@dataclass(frozen=True, kw_only=True)
class Slip:
    """One kind of slip."""

    name: str
    reads: str
    """``high``, ``low`` or empty, where it may be either."""
    happens_to: Callable[[Task], bool]
    put: Slipping
    needs_history: bool = False


def _thickness(task: Task) -> bool:
    return task.measure is Measure.ROTOR_THICKNESS


def _micrometer(task: Task) -> bool:
    gauge = task.tool.on_file
    return _thickness(task) and gauge is not None and gauge.kind is GaugeKind.MICROMETER


def _thimble(task: Task) -> bool:
    """Whether a thimble is read by eye; a display slips no turn."""
    return _micrometer(task) and task.tool.really[0].step_nm > _DISPLAY_NM


_DISPLAY_NM = 1_270


def _lining(task: Task) -> bool:
    return task.quantity.is_lining


def _drum(task: Task) -> bool:
    return task.quantity is Quantity.DRUM_OPEN


def _runout(task: Task) -> bool:
    return task.quantity is Quantity.RUNOUT


def _any(task: Task) -> bool:
    return True


_TURN = (NM_PER_MM // 2, NM_PER_INCH // 40)
_SLEEVE = (NM_PER_MM, NM_PER_INCH // 10)
"""One turn of a thimble and one figure of a sleeve, in millimetres and in inches. [nm]"""
HIGH_LOW = (("high", 1), ("low", -1))
SLIPS = (
    *(
        Slip(
            name=f"rotor: one {what} off, {where}",
            reads=reads,
            happens_to=happens_to,
            put=off(*step, sign, everywhere=where == "all points"),
        )
        for what, step, happens_to in (
            ("turn", _TURN, _thimble),
            ("sleeve figure", _SLEEVE, _micrometer),
        )
        for where in ("one point", "all points")
        for reads, sign in HIGH_LOW
    ),
    Slip(
        name="rotor: decimal point, one point",
        reads="low",
        happens_to=_thickness,
        put=typed_otherwise(point_moved(-1), everywhere=False),
    ),
    *(
        Slip(
            name=f"{part}: two digits swapped, one value",
            reads=reads,
            happens_to=happens_to,
            put=digits_swapped(sign),
        )
        for part, happens_to in (
            ("rotor", _thickness),
            ("lining", _lining),
            ("drum", _drum),
            ("runout", _runout),
        )
        for reads, sign in HIGH_LOW
        # With nothing before its last digit a runout can only become larger.
        if (part, reads) != ("runout", "low")
    ),
    Slip(
        name="rotor: lip read, tips not said",
        reads="high",
        happens_to=_thickness,
        put=lip(None, None),
    ),
    Slip(
        name="rotor: lip read, flat tips said, lip not judged",
        reads="high",
        happens_to=_thickness,
        put=lip(Tips.FLAT, None),
    ),
    Slip(
        name="rotor: lip read, flat tips said, and no lip",
        reads="high",
        happens_to=_thickness,
        put=lip(Tips.FLAT, False),
    ),
    *(
        Slip(
            name=f"{part}: decimal point, all values",
            reads=reads,
            happens_to=happens_to,
            put=typed_otherwise(point_moved(sign), everywhere=True),
        )
        for part, happens_to in (("lining", _lining), ("runout", _runout))
        for reads, sign in HIGH_LOW
    ),
    Slip(
        name="lining: 32nds of an inch as mm",
        reads="high",
        happens_to=_lining,
        put=in_unit(NM_PER_INCH // 32, 0),
    ),
    Slip(
        name="lining: inches as mm",
        reads="low",
        happens_to=_lining,
        put=in_unit(NM_PER_INCH, 2),
    ),
    Slip(name="lining: backing plate too", reads="high", happens_to=_lining, put=plate),
    *(
        Slip(name="drum: wrong notch", reads=reads, happens_to=_drum, put=notch(sign))
        for reads, sign in HIGH_LOW
    ),
    Slip(name="any: left and right swapped", reads="", happens_to=_any, put=corners),
    Slip(name="any: copied from the other side", reads="", happens_to=_any, put=copied),
    Slip(
        name="any: copied from the last visit",
        reads="",
        happens_to=_any,
        put=copied_visit,
        needs_history=True,
    ),
)
"""A decimal point further right makes a rotor or a drum thicker than any, which is refused as it
is typed; so is one further left for a drum."""
