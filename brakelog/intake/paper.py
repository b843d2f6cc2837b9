"""The questions of guided entry before anything is measured, to be answered on paper."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from brakelog.intake.notebook import Notebook
from brakelog.intake.step import Step, StepKind
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake

_SOME_NUMBER = "1"
"""Stands for a point that somebody will measure; it goes nowhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRow:
    """The questions about one quantity, in the order in which they are asked."""

    quantity: Quantity
    steps: tuple[Step, ...]
    gauge: Gauge | None
    """The one that is taken where none is named."""
    unit: LengthUnit | None
    """The unit of a number without one; None where it has to be written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperCorner:
    """Everything that guided entry would ask at one corner."""

    corner: Corner
    brake: AxleBrake
    rows: tuple[PaperRow, ...]
    after: tuple[Step, ...]
    """What is asked once everything is measured: what was seen, and whether all was looked at."""

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of all questions, in order."""
        rows = [step.key for row in self.rows for step in row.steps]
        return (*rows, *(step.key for step in self.after))


def paper_corner(notebook: Notebook, corner: Corner) -> PaperCorner:
    """Return the questions of a corner where every point is measured and one thing is seen.

    The steps are those of the notebook that guided entry keeps, so that what is written down in
    their order can be typed in that order.

    Parameters
    ----------
    notebook : Notebook
        One without answers for the corner; it is full of invented ones afterwards.
    corner : Corner
        Which corner.
    """
    steps: list[Step] = []
    taken: dict[Quantity, tuple[Gauge | None, LengthUnit | None]] = {}
    # The notebook yields what follows from the answers, so that each is answered as it comes.
    for step in notebook.steps(corner):
        if step.kind is StepKind.CONFIRM:
            continue
        steps.append(step)
        if step.quantity is not None and step.quantity not in taken:
            quantity = step.quantity
            taken[quantity] = notebook.gauge(corner, quantity), notebook.unit(corner, quantity)
        if step.kind is StepKind.FINDING:
            notebook.leave_out(corner, step)
        else:
            notebook.keep(corner, step, _SOME_NUMBER, LengthUnit.MM)
    rows = []
    for quantity, group in groupby(steps, key=lambda step: step.quantity):
        if quantity is not None:
            gauge, unit = taken[quantity]
            rows.append(PaperRow(quantity=quantity, steps=tuple(group), gauge=gauge, unit=unit))
    return PaperCorner(
        corner=corner,
        brake=notebook.context.brakes[corner.axle - 1],
        rows=tuple(rows),
        after=tuple(step for step in steps if step.quantity is None),
    )
