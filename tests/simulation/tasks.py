"""What is simulated: a measure, the gauge that reads it, and the limit that it meets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from brakelog.lengths import NM_PER_MM
from brakelog.metrology.uncertainty import spread_of
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.limit import Limit, LimitKind, OutWhen, parse_figures
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.compare import is_out
from brakelog.rules.measure import Measure
from tests.simulation import gauges
from tests.simulation.gauges import MM, Tool, not_on_file, tool

EACH_WAY = 5.0
"""Standard uncertainties on each side of the limit over which true sizes are drawn. [-]"""


@dataclass(frozen=True, kw_only=True)
class Task:
    """One measure read with one gauge against one limit."""

    name: str
    """The gauge."""
    measure: Measure
    tool: Tool
    figure: str
    out_when: OutWhen
    others_um: tuple[float, float]
    """How much further than six u1 the other parts of the axle lie inside the limit. [um]"""

    @property
    def quantity(self) -> Quantity:
        """What is read; of a drum, at its open edge."""
        return self.measure.facts.quantities[0]

    @property
    def brake(self) -> AxleBrake:
        is_drum = self.measure is Measure.DRUM_DIAMETER
        return AxleBrake.DRUM if is_drum else AxleBrake.DISC

    @property
    def is_difference(self) -> bool:
        return self.measure in (Measure.THICKNESS_VARIATION, Measure.RUNOUT)

    @cached_property
    def limit(self) -> Limit:
        return limit(self.measure.facts.limit, self.figure, self.out_when)

    @cached_property
    def limit_nm(self) -> int:
        return self.limit.figures[0].nm

    @cached_property
    def u1_nm(self) -> float:
        """What the program itself states at the limit. [nm]"""
        # As the program does it: the size to the next whole millimetre.
        size_nm = None if self.is_difference else (self.limit_nm // NM_PER_MM + 1) * NM_PER_MM
        spread = spread_of(self.quantity, self.tool.on_file, size_nm=size_nm)
        return spread.u1_difference_nm if self.is_difference else spread.u1_nm

    @property
    def sign(self) -> int:
        """1 where a larger size is better, -1 where a smaller one is."""
        return 1 if self.out_when in (OutWhen.BELOW, OutWhen.AT_OR_BELOW) else -1

    def is_out(self, true_nm: float) -> bool:
        """Whether a true size lies beyond the limit."""
        return is_out(round(true_nm), self.out_when, self.limit_nm)

    def drawn_um(self, share: float) -> float:
        """Return a true size within five u1 of the limit, none below zero. [um]

        Parameters
        ----------
        share : float
            How far along that range, from 0 to 1.
        """
        reach = EACH_WAY * self.u1_nm
        least, most = max(self.limit_nm - reach, 0.0), self.limit_nm + reach
        return (least + share * (most - least)) / 1000

    def others_inside_um(self, share: float) -> float:
        """Return a size of another part of the axle, well inside the limit. [um]"""
        least, most = self.others_um
        inside_um = 6 * self.u1_nm / 1000 + least + share * (most - least)
        return self.limit_nm / 1000 + self.sign * inside_um


def limit(kind: LimitKind, figure: str, out_when: OutWhen | None = None) -> Limit:
    """Return a limit of the simulated sheet."""
    return Limit(
        id=kind.value,
        kind=kind,
        axle=1,
        sheet="Sheet",
        source="Sheet, page 1",
        figures=parse_figures(figure, "", declared=MM),
        out_when=out_when,
    )


def _rotor(name: str, one: Tool, figure: str = "26.0 mm") -> Task:
    return Task(
        name=name,
        measure=Measure.ROTOR_THICKNESS,
        tool=one,
        figure=figure,
        out_when=OutWhen.AT_OR_BELOW,
        others_um=(300.0, 600.0),
    )


def _lining(name: str, one: Tool, figure: str) -> Task:
    return Task(
        name=name,
        measure=Measure.INNER_LINING,
        tool=one,
        figure=figure,
        out_when=OutWhen.BELOW,
        others_um=(800.0, 1500.0),
    )


def _drum(name: str, one: Tool) -> Task:
    return Task(
        name=name,
        measure=Measure.DRUM_DIAMETER,
        tool=one,
        figure="205.2 mm",
        out_when=OutWhen.AT_OR_ABOVE,
        others_um=(300.0, 600.0),
    )


def _variation(name: str, one: Tool, figure: str) -> Task:
    return Task(
        name=name,
        measure=Measure.THICKNESS_VARIATION,
        tool=one,
        figure=figure,
        out_when=OutWhen.ABOVE,
        others_um=(0.0, 0.0),
    )


def _runout(name: str, one: Tool, figure: str) -> Task:
    return Task(
        name=name,
        measure=Measure.RUNOUT,
        tool=one,
        figure=figure,
        out_when=OutWhen.ABOVE,
        others_um=(0.0, 0.0),
    )


_UM = tool(GaugeKind.MICROMETER, gauges.MICROMETER_UM, Tips.POINTED)
_TENTH = tool(GaugeKind.MICROMETER, gauges.MICROMETER_TENTH, Tips.POINTED)
_CENT = tool(GaugeKind.MICROMETER, gauges.MICROMETER_CENT, Tips.POINTED)
_THOU = tool(GaugeKind.MICROMETER, gauges.MICROMETER_THOU, Tips.POINTED)
_CALLIPER = tool(GaugeKind.CALLIPER, gauges.CALLIPER_ROTOR, Tips.CALLIPER)
_ANY_ON_ROTOR = not_on_file(
    gauges.MICROMETER_UM,
    gauges.MICROMETER_TENTH,
    gauges.MICROMETER_CENT,
    gauges.MICROMETER_THOU,
    gauges.CALLIPER_ROTOR,
    gauges.CALLIPER_VERNIER,
)
_ANY_ON_LINING = not_on_file(gauges.CALLIPER_PAD, gauges.DEPTH_GAUGE, gauges.STEPPED, gauges.BY_EYE)
TASKS = (
    _rotor("micrometer 0.001 mm", _UM),
    _rotor("micrometer 0.0001 in", _TENTH, "1.024 in"),
    _rotor("micrometer 0.01 mm", _CENT),
    _rotor("micrometer 0.001 in", _THOU),
    _rotor("calliper 0.01 mm", _CALLIPER),
    _rotor("gauge not on file", _ANY_ON_ROTOR),
    _drum("drum gauge 0.01 mm", tool(GaugeKind.DRUM, gauges.DRUM_GAUGE)),
    _drum("gauge not on file", not_on_file(gauges.DRUM_GAUGE, gauges.DRUM_GAUGE_INCH)),
    _lining("calliper, pad off", tool(GaugeKind.CALLIPER, gauges.CALLIPER_PAD), "2.0 mm"),
    _lining("depth gauge 0.1 mm", tool(GaugeKind.DEPTH, gauges.DEPTH_GAUGE), "1.6 mm"),
    _lining("stepped gauge 1 mm", tool(GaugeKind.STEPPED, gauges.STEPPED), "2.0 mm"),
    _lining("by eye", tool(GaugeKind.EYE, gauges.BY_EYE), "2.0 mm"),
    _lining("gauge not on file", _ANY_ON_LINING, "2.0 mm"),
    _variation("micrometer 0.001 mm", _UM, "0.015 mm"),
    _variation("micrometer 0.0001 in", _TENTH, "0.0005 in"),
    _variation("micrometer 0.01 mm", _CENT, "0.015 mm"),
    _variation("micrometer 0.001 in", _THOU, "0.001 in"),
    _runout("dial indicator 0.01 mm", tool(GaugeKind.DIAL, gauges.DIAL_CENT), "0.05 mm"),
    _runout("dial indicator 0.001 in", tool(GaugeKind.DIAL, gauges.DIAL_THOU), "0.003 in"),
)
"""Limits as makers print them: thickness and lining in millimetres also where the gauge is in
inches, so that no step of the scale lies on the limit."""

ROTOR_POINTS = 9
ANGLES = tuple(math.tau * n / ROTOR_POINTS for n in range(ROTOR_POINTS))
"""Guided entry asks for nine points round the rotor."""
