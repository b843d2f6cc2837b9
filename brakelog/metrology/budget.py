"""Uncertainty budgets: what each influence adds to the standard uncertainty of a result.

One convention: ``u1`` is a standard uncertainty (k = 1), ``U2`` twice that. The engine knows no
units: components, sensitivities and the sum are in whatever unit the caller works in. There is no
comparison of uncertain values here, on purpose; whether a part conforms is asked as a probability
(``conformance``).

References
----------
JCGM 100:2008 (GUM): evaluation of measurement data, guide to the expression of uncertainty.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal


class Shape(enum.Enum):
    """Distribution that a component is taken to have."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    U_SHAPED = "u-shaped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One influence on the result."""

    name: str
    u1: float
    """Standard uncertainty of the influence. [its own unit]"""
    sensitivity: float = 1.0
    """How far the result moves for one unit of the influence. [unit of the result per its own]"""
    dof: float = math.inf
    """Degrees of freedom: how well ``u1`` itself is known. [-]"""
    shape: Shape = Shape.NORMAL

    @property
    def share1(self) -> float:
        """What it adds: sensitivity times ``u1``, without sign. [unit of the result]"""
        return abs(self.sensitivity) * self.u1


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """Independent influences on one result."""

    components: tuple[Component, ...]

    @property
    def u1(self) -> float:
        """Standard uncertainty of the result (GUM 5.1.2). [unit of the result]"""
        return math.hypot(*(each.share1 for each in self.components))

    @property
    def dof(self) -> float:
        """Effective degrees of freedom after Welch and Satterthwaite, unrounded (GUM G.4.1). [-]

        A factor from Student's distribution is asked for with this number as it is, or rounded
        down at the very end; rounding what goes into it gives other numbers.
        """
        total1 = self.u1
        spent = sum(each.share1**4 / each.dof for each in self.components)
        return total1**4 / spent if spent else math.inf

    def as_component(self, name: str, *, sensitivity: float = 1.0) -> Component:
        """Return the whole as one component of a larger budget."""
        return Component(name=name, u1=self.u1, sensitivity=sensitivity, dof=self.dof)


def rectangular(
    name: str, half_width: float, *, sensitivity: float = 1.0, dof: float = math.inf
) -> Component:
    """Return a component that lies anywhere within limits, all values alike: a / sqrt(3).

    Parameters
    ----------
    name : str
        What it is.
    half_width : float
        Half the distance between the limits, a. [its own unit]
    sensitivity : float
        How far the result moves for one unit. [-]
    dof : float
        Degrees of freedom, where the limits themselves are doubtful. [-]

    References
    ----------
    GUM 4.3.7; the other shapes GUM 4.3.9, 4.4.5 and H.1.3.4.
    """
    return Component(
        name=name,
        u1=half_width / math.sqrt(3.0),
        sensitivity=sensitivity,
        dof=dof,
        shape=Shape.RECTANGULAR,
    )


def triangular(name: str, half_width: float, *, sensitivity: float = 1.0) -> Component:
    """Return a component within limits, values in the middle likelier: a / sqrt(6)."""
    return Component(
        name=name,
        u1=half_width / math.sqrt(6.0),
        sensitivity=sensitivity,
        shape=Shape.TRIANGULAR,
    )


def u_shaped(name: str, half_width: float, *, sensitivity: float = 1.0) -> Component:
    """Return a component that swings between limits and lingers at them: a / sqrt(2)."""
    return Component(
        name=name,
        u1=half_width / math.sqrt(2.0),
        sensitivity=sensitivity,
        shape=Shape.U_SHAPED,
    )


def resolution(name: str, step: float, *, sensitivity: float = 1.0) -> Component:
    """Return what the step of a display or scale hides: half a step each way, r / sqrt(12)."""
    return Component(
        name=name,
        u1=step / math.sqrt(12.0),
        sensitivity=sensitivity,
        shape=Shape.RECTANGULAR,
    )


def type_a(name: str, values: Sequence[float], *, sensitivity: float = 1.0) -> Component:
    """Return the component of a mean of repeated values: s / sqrt(n), n - 1 degrees of freedom.

    Raises
    ------
    ValueError
        Where there are fewer than two values.

    References
    ----------
    GUM 4.2.2 and 4.2.3.
    """
    spread = deviation(values)
    return repeated(name, spread.s1, len(values), dof=spread.dof, sensitivity=sensitivity)


def repeated(
    name: str, s1: float, count: int, *, dof: float, sensitivity: float = 1.0
) -> Component:
    """Return the component of a mean of ``count`` values whose standard deviation is known.

    Parameters
    ----------
    name : str
        What it is.
    s1 : float
        Standard deviation of one value, perhaps pooled over earlier repeats. [its own unit]
    count : int
        Values in the mean. [-]
    dof : float
        Degrees of freedom of ``s1``, which need not be ``count - 1``. [-]
    sensitivity : float
        How far the result moves for one unit. [-]
    """
    return Component(name=name, u1=s1 / math.sqrt(count), sensitivity=sensitivity, dof=dof)


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """A standard deviation with its degrees of freedom."""

    s1: float
    """[unit of the values]"""
    dof: float
    """[-]"""


def deviation(values: Sequence[float]) -> Deviation:
    """Return the standard deviation of repeated values (GUM 4.2.2).

    Raises
    ------
    ValueError
        Where there are fewer than two values.
    """
    count = len(values)
    if count < 2:
        raise ValueError("one value has no standard deviation")
    mean = math.fsum(values) / count
    squares = math.fsum((value - mean) ** 2 for value in values)
    return Deviation(s1=math.sqrt(squares / (count - 1)), dof=count - 1)


def pooled(spreads: Iterable[Deviation]) -> Deviation:
    """Return one standard deviation for groups that scatter alike.

    Each counts by its degrees of freedom: s^2 = sum(dof s^2) / sum(dof) (GUM 4.2.4, H.5.2.5).
    """
    known = [each for each in spreads if each.dof]
    if not known:
        raise ValueError("nothing to pool")
    dof = math.fsum(each.dof for each in known)
    squares = math.fsum(each.dof * each.s1**2 for each in known)
    return Deviation(s1=math.sqrt(squares / dof), dof=dof)


def dof_of_doubt(relative: float) -> float:
    """Return the degrees of freedom of a ``u1`` that may itself be wrong by a share of it. [-]

    References
    ----------
    GUM G.4.2, equation G.3: dof = 1 / (2 share^2).

    Examples
    --------
    Known to a quarter:

    >>> dof_of_doubt(0.25)
    8.0
    """
    return 1.0 / (2.0 * relative**2)


ROUNDING_SLACK = Decimal("0.01")
"""How much of an uncertainty may be lost by rounding it: 1 %. Assumption; with it both examples
of GUM 7.2.6 come out, 10.47 as 11 and 28.05 as 28. [-]"""


def rounded_up(u1: float, *, digits: int = 2) -> Decimal:
    """Return an uncertainty with so many digits, rounded up unless next to nothing is lost.

    >>> str(rounded_up(10.47)), str(rounded_up(28.05))
    ('11', '28')
    """
    exact = Decimal(repr(u1))
    if not exact:
        return exact
    last = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    near = exact.quantize(last, rounding=ROUND_HALF_EVEN)
    if near < exact * (1 - ROUNDING_SLACK):
        near = exact.quantize(last, rounding=ROUND_CEILING)
    return near


def rounded_like(value: Decimal, u1: Decimal) -> Decimal:
    """Return a result with its last digit at the place of the uncertainty's (GUM 7.2.6).

    >>> str(rounded_like(Decimal("10.05762"), Decimal("0.027")))
    '10.058'
    """
    return value.quantize(u1, rounding=ROUND_HALF_EVEN)
