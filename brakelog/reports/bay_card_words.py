"""The small print of a card: bounds, and what was read or fitted last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import Limit, LimitKind, print_figure
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.rules.bound import Bound, BoundState
from brakelog.rules.card_file import LastKnown
from brakelog.rules.figure import one_unit
from brakelog.rules.judgement_words import full_source

NOT_STATED = "*"
"""Stands behind a failing condition that the source does not state."""
NOT_STATED_NOTE = f"{NOT_STATED} not stated by the source; the stricter condition is taken"
_FINE = frozenset({Quantity.ROTOR, Quantity.RUNOUT})
_LARGEST_WORST = frozenset({Quantity.SCORING, Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED})
_FEW = 2
"""Values of a set that are all told; of more, the worst."""


def unit_word(unit: LengthUnit | None) -> str:
    """Return the unit of a blank as it is written and typed; ``in`` beside a word would be one."""
    if unit is None:
        return ""
    return "inch" if unit is LengthUnit.INCH else unit.value


class Sources:
    """The sources of limits, by the number that stands for them."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def cite(self, limit: Limit) -> str:
        """Return the number that stands for the source of a limit."""
        number = self._numbers.setdefault(full_source(limit), len(self._numbers) + 1)
        return f"[{number}]"

    @property
    def all(self) -> tuple[str, ...]:
        """The sources with their numbers, in the order in which they were named."""
        return tuple(f"[{number}] {source}" for source, number in self._numbers.items())


def bound_words(bound: Bound, sources: Sources) -> str:
    """Return a bound with its failing condition and source, or why it decides nothing."""
    label = bound.kind.facts.label
    if bound.kind in (LimitKind.ROTOR_MACHINE_TO, LimitKind.DRUM_MACHINE_TO):
        label += ", only after refinishing"
    match bound.state:
        case BoundState.USABLE:
            return f"{label}: {_usable(bound, sources)}"
        case BoundState.CONTRADICTS:
            printed = " and ".join(
                f"{each.as_printed} {sources.cite(each)}" for each in bound.limits
            )
            return (
                f"{label}: {printed} contradicts itself, decides nothing until somebody "
                f"confirms one figure"
            )
        case _:
            return f"{label}: {bound.state.value}"


def _usable(bound: Bound, sources: Sources) -> str:
    told: dict[str, str] = {}
    for figure in bound.figures:
        limit = figure.limit
        mark = NOT_STATED if limit.out_when is None else ""
        datum = " with plate" if limit.datum is Datum.WITH_PLATE else ""
        cast = " cast on it" if limit.vehicle_id is not None else ""
        told.setdefault(
            limit.id,
            f"out when {limit.comparator.value}{mark} {bound.printed(figure)}{datum}{cast} "
            f"{sources.cite(limit)}",
        )
    text = "; ".join(told.values())
    strictest = bound.strictest
    assert strictest is not None
    if len(told) > 1 or strictest.index:
        text += f"; the stricter decides: {print_figure(strictest.figure)}"
    if bound.rejected:
        aside = ", ".join(print_figure(each.figure) for each in bound.rejected)
        text += f"; {aside} was set aside"
    return text


def last_words(
    last: LastKnown | None,
    at: Corner,
    *,
    unit: LengthUnit | None,
    shop: Shop,
    against: Iterable[int] = (),
) -> str:
    """Return what was read last, as typed, with its date, and what was done to the part since.

    Parameters
    ----------
    last : LastKnown or None
        The newest reading of the quantity.
    at : Corner
        Where it was read.
    unit : LengthUnit or None
        The unit that the blanks are filled in with: a reading of the other system is told in it
        as well.
    shop : Shop
        Says which unit comes first.
    against : iterable of int
        Limits that a converted figure must not be rounded across. [nm]
    """
    if last is None:
        return "not read before"
    if last.reading is None or last.visit is None:
        assert last.since is not None
        return f"{_done(last.since, at, shop)}; not read since"
    reading = last.reading
    told = _values(reading, shop)
    if unit is not None and unit.is_inch != reading.unit.is_inch:
        its = replace(shop, unit=LengthUnit.INCH if unit.is_inch else LengthUnit.MM)
        worst = one_unit(_worst_nm(reading), its, fine=reading.quantity in _FINE, against=against)
        told += f" ({worst})"
    words = [f"last {told}", last.visit.day.isoformat()]
    if reading.stage is Stage.AS_LEFT:
        words.append(reading.stage.value)
    if reading.datum is Datum.WITH_PLATE:
        words.append(reading.datum.value)
    if last.is_in_question:
        words.append("in question")
    since = f"; since then {_done(last.since, at, shop)}" if last.since else ""
    return ", ".join(words) + since


def _worst_nm(reading: ReadingSet) -> int:
    if reading.quantity is Quantity.RUNOUT and len(reading.values_nm) > 1:
        return max(reading.measured_nm) - min(reading.measured_nm)
    if reading.quantity in _LARGEST_WORST or reading.quantity is Quantity.RUNOUT:
        return max(reading.measured_nm)
    return min(reading.measured_nm)


def _values(reading: ReadingSet, shop: Shop) -> str:
    """Return the values as typed, with their unit; of many the worst, of a profile its height."""
    worst_nm = _worst_nm(reading)
    if reading.quantity is Quantity.RUNOUT and len(reading.values_nm) > 1:
        return f"{one_unit(worst_nm, shop, fine=True)} over {len(reading.values_nm)} angles"
    if len(reading.values_nm) > _FEW:
        which = "largest" if reading.quantity in _LARGEST_WORST else "lowest"
        index = reading.values_nm.index(worst_nm)
        return f"{which} of {len(reading.measured_nm)} points {_with_unit(reading, index)}"
    texts = [
        "x" if value is None else _with_unit(reading, n)
        for n, value in enumerate(reading.values_nm)
    ]
    unit = f" {reading.unit.value}"
    if all(text == "x" or text.endswith(unit) for text in texts):
        return " / ".join(text.removesuffix(unit) for text in texts) + unit
    return " / ".join(texts)


def _with_unit(reading: ReadingSet, index: int) -> str:
    figure = parse_length(
        reading.typed[index], declared=reading.unit, close_blanks=True, signed=True
    )
    return print_figure(figure)


_EVENTS = {
    FittingEvent.NEW: "new",
    FittingEvent.USED: "used part fitted",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.REMOVED: "removed",
}


def _done(fitting: Fitting, at: Corner, shop: Shop) -> str:
    if fitting.event is not FittingEvent.MOVED:
        event = _EVENTS[fitting.event]
    elif fitting.corner == at:
        event = f"moved here from {fitting.from_corner}"
    else:
        return f"moved to {fitting.corner} {fitting.day.isoformat()}"
    text = f"{event} {fitting.day.isoformat()}"
    if fitting.size_nm is None:
        return text
    basis = f" {fitting.basis.value}" if fitting.basis is not SizeBasis.MEASURED else ""
    return f"{text}, {one_unit(fitting.size_nm, shop, fine=False)}{basis}"
