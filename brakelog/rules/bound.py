"""Which figures bound a measure, and whether they agree with each other."""

from __future__ import annotations

import enum
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from brakelog.lengths import TypedLength
from brakelog.record.corner import Corner
from brakelog.record.limit import Confirmation, Limit, LimitKind, OutWhen, WhichPad, print_figure
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Datum
from brakelog.record.vehicle import AxleBrake

if TYPE_CHECKING:
    from brakelog.rules.judgement import Judgement
    from brakelog.rules.measure import Measure


class BoundState(enum.Enum):
    """Whether a bound can decide."""

    USABLE = "usable"
    MISSING = "no limit on file"
    OTHER_DATUM = "limit has another datum"
    CONTRADICTS = "contradicts itself"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundFigure:
    """One figure of one limit: a limit of its own, exact in its own unit."""

    limit: Limit
    index: int
    nm: int = field(init=False, compare=False, repr=False)
    """Its exact value. [nm]"""
    out_when: OutWhen = field(init=False, compare=False, repr=False)
    """The failing condition that is judged by."""

    def __post_init__(self) -> None:
        """Read what every judgement asks for off the limit, once."""
        object.__setattr__(self, "nm", self.figure.nm)
        object.__setattr__(self, "out_when", self.limit.comparator)

    @property
    def figure(self) -> TypedLength:
        """The figure itself."""
        return self.limit.figures[self.index]

    def overlaps(self, other: BoundFigure) -> bool:
        """Whether the rounding intervals, half of the last printed digit each way, meet."""
        reach: Fraction = self.figure.half_digit_nm + other.figure.half_digit_nm
        return abs(self.nm - other.nm) <= reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """Everything on file that bounds one measure at one corner."""

    kind: LimitKind
    state: BoundState
    figures: tuple[BoundFigure, ...] = ()
    """The figures that are judged; empty unless usable."""
    rejected: tuple[BoundFigure, ...] = ()
    """Figures set aside, by a person or by an independent mark."""
    limits: tuple[Limit, ...] = ()
    """All limits looked at."""
    settled_by: str = ""
    """How a contradiction was settled."""
    strictest: BoundFigure | None = field(init=False, compare=False, repr=False)
    """The figure that is reached first."""

    def __post_init__(self) -> None:
        """Pick the strictest figure, once: a bound serves every vehicle of its sheet."""
        pick = max if self.kind.facts.least else min
        strictest = pick(self.figures, key=lambda each: each.nm, default=None)
        object.__setattr__(self, "strictest", strictest)

    def printed(self, figure: BoundFigure) -> str:
        """Return a limit as printed, without a figure that was set aside."""
        if any(each.limit.id == figure.limit.id for each in self.rejected):
            return print_figure(figure.figure)
        return figure.limit.as_printed

    @property
    def points(self) -> int | None:
        """The largest number of points that a source asks for."""
        wanted = [limit.points for limit in self.limits if limit.points]
        return max(wanted) if wanted else None


SizesByPlace: TypeAlias = tuple[
    Mapping[tuple[int, Position], int], Mapping[tuple[int, Position], int]
]
"""New sizes, and limits, by axle and position. [nm]"""


class Bounds:
    """What bounds each measure at each corner, worked out once for the same limits.

    Parameters
    ----------
    limits : tuple of Limit
        All limits of a vehicle; vehicles of one sheet without marks have the same.
    confirmations : mapping of limit id to Confirmation
        Which figure a person has confirmed, oldest decision first.
    """

    __slots__ = ("_found", "confirmations", "limits", "sizes", "unread")

    def __init__(
        self, limits: tuple[Limit, ...], confirmations: Mapping[str, Confirmation]
    ) -> None:
        self.limits = limits
        self.confirmations = confirmations
        self._found: dict[tuple[LimitKind, Corner, WhichPad | None, Datum | None], Bound] = {}
        self.unread: dict[tuple[Corner, Measure], Judgement] = {}
        """The judgements of measures that nobody read, once they were asked for."""
        self.sizes: dict[tuple[AxleBrake, ...], SizesByPlace] = {}
        """The sizes that they give to a vehicle with such brakes, once they were gathered."""

    def is_of(self, limits: tuple[Limit, ...], confirmations: Mapping[str, Confirmation]) -> bool:
        """Whether they are the bounds of just these limits and decisions."""
        return self.limits is limits and self.confirmations is confirmations

    def of(
        self,
        kind: LimitKind,
        corner: Corner,
        *,
        which_pad: WhichPad | None = None,
        datum: Datum | None = None,
    ) -> Bound:
        """Return what bounds a measure at a corner; see ``bound_for``."""
        key = (kind, corner, which_pad, datum)
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = bound_for(
                kind, corner, self.limits, self.confirmations, which_pad=which_pad, datum=datum
            )
        return found


def bound_for(
    kind: LimitKind,
    corner: Corner,
    limits: Iterable[Limit],
    confirmations: Mapping[str, Confirmation],
    *,
    which_pad: WhichPad | None = None,
    datum: Datum | None = None,
) -> Bound:
    """Return what bounds a measure at a corner.

    Parameters
    ----------
    kind : LimitKind
        The kind of limit.
    corner : Corner
        The corner; limits of its axle and marks cast on its own part count.
    limits : iterable of Limit
        All limits of the vehicle.
    confirmations : mapping of limit id to Confirmation
        Which figure a person has confirmed, oldest decision first.
    which_pad : WhichPad, optional
        The pad or shoe, for linings.
    datum : Datum, optional
        The datum of the reading, for linings. A limit that states none is one for the lining.
        Where nothing was read, the lining's own limit is looked at if there is one.

    Notes
    -----
    Two figures whose rounding intervals do not meet contradict each other, within one limit as
    well as between a sheet and a cast mark. Then none decides until a person confirms one, or a
    mark on the part itself agrees with the *strictest* printed figure; the strictest is
    never set aside by the program.
    """
    found = tuple(
        limit
        for limit in limits
        if limit.kind is kind
        and limit.axle == corner.axle
        and limit.corner in (None, corner)
        and (which_pad is None or limit.which_pad in (WhichPad.BOTH, which_pad))
    )
    if not found:
        return Bound(kind=kind, state=BoundState.MISSING)
    if kind.facts.part in (Part.PADS, Part.SHOES):
        has_lining = any((limit.datum or Datum.LINING) is Datum.LINING for limit in found)
        datum = datum or (Datum.LINING if has_lining else Datum.WITH_PLATE)
        matching = tuple(limit for limit in found if (limit.datum or Datum.LINING) is datum)
        if not matching:
            return Bound(kind=kind, state=BoundState.OTHER_DATUM, limits=found)
        found = matching
    figures = tuple(
        BoundFigure(limit=limit, index=index)
        for limit in found
        for index in range(len(limit.figures))
    )
    if _agree(figures):
        return Bound(kind=kind, state=BoundState.USABLE, figures=figures, limits=found)
    kept = _confirmed(figures, confirmations)
    if kept and _agree(kept):
        reasons = [confirmations[f.limit.id].reason for f in kept if f.limit.id in confirmations]
        return _settled(kind, found, figures, kept, f"confirmed: {reasons[0]}")
    kept = _supported_by_mark(kind, figures)
    if kept:
        mark = next(figure for figure in kept if figure.limit.vehicle_id is not None)
        reason = f"the mark on the part agrees with {mark.figure.text.strip()} instead"
        return _settled(kind, found, figures, kept, reason)
    return Bound(kind=kind, state=BoundState.CONTRADICTS, limits=found)


def _agree(figures: tuple[BoundFigure, ...]) -> bool:
    return all(one.overlaps(other) for n, one in enumerate(figures) for other in figures[n + 1 :])


def _confirmed(
    figures: tuple[BoundFigure, ...], confirmations: Mapping[str, Confirmation]
) -> tuple[BoundFigure, ...]:
    """Return the figures that stand after what people have confirmed; empty where nothing was."""
    on_file = {figure.limit.id for figure in figures}
    decisions = [each for each in confirmations.values() if each.limit_id in on_file]
    set_aside: set[str] = set()
    # Newest first: what it sets aside stays so, whatever was confirmed about that before.
    for decision in reversed(decisions):
        if decision.limit_id not in set_aside:
            set_aside.update(decision.over)
    holding = {d.limit_id: d.figure for d in decisions if d.limit_id not in set_aside}
    if not holding:
        return ()
    return tuple(
        figure
        for figure in figures
        if figure.limit.id not in set_aside
        and holding.get(figure.limit.id, figure.index) == figure.index
    )


def _supported_by_mark(
    kind: LimitKind, figures: tuple[BoundFigure, ...]
) -> tuple[BoundFigure, ...]:
    """Return the figures that a mark on the part supports, if the strictest is among them."""
    pick = max if kind.facts.least else min
    printed = [figure for figure in figures if figure.limit.vehicle_id is None]
    marks = tuple(figure for figure in figures if figure.limit.vehicle_id is not None)
    if not printed or not marks or not _agree(marks):
        return ()
    strictest = pick(printed, key=lambda each: each.nm)
    kept = tuple(f for f in figures if all(f.overlaps(mark) for mark in marks))
    return kept if strictest in kept and _agree(kept) else ()


def _settled(
    kind: LimitKind,
    limits: tuple[Limit, ...],
    figures: tuple[BoundFigure, ...],
    kept: tuple[BoundFigure, ...],
    settled_by: str,
) -> Bound:
    return Bound(
        kind=kind,
        state=BoundState.USABLE,
        figures=kept,
        rejected=tuple(figure for figure in figures if figure not in kept),
        limits=limits,
        settled_by=settled_by,
    )
