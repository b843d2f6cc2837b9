"""Short words for a part in a table, and the plain straight line as one sentence."""

from __future__ import annotations

from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.quantity import Part, Position
from brakelog.record.shop import Shop
from brakelog.rules.figure import distance
from brakelog.rules.life_words import life_sentence
from brakelog.rules.part_history import PlaceHistory, RunningPart
from brakelog.wear.projection import Note, Refusal, at_least_rounded_mm
from brakelog.wear.straight import PlainCheck

_POSITIONS = {
    Position.ROTOR: "",
    Position.PAD_INNER: "inner",
    Position.PAD_OUTER: "outer",
    Position.DRUM: "",
    Position.SHOE_LEADING: "leading",
    Position.SHOE_TRAILING: "trailing",
}
EVENTS = {
    FittingEvent.NEW: "new",
    FittingEvent.USED: "used",
    FittingEvent.REFINISHED: "cut",
    FittingEvent.MOVED: "moved",
    FittingEvent.REMOVED: "off",
}
"""What was done to a part, short enough for a column."""
NOMINAL = "~"
"""Before a size that was looked up and not measured."""

_REFUSALS = {
    Refusal.NO_LIMIT: "no usable limit",
    Refusal.LIMIT_NOT_INSIDE_NEW: "limit not inside new size",
    Refusal.UNRESOLVED: "to be cleared up first",
    Refusal.TOO_OLD: "reading too old",
    Refusal.AT_LIMIT: "at or beyond the limit",
    Refusal.NO_BASIS: "no rate of its own yet",
    Refusal.NO_READING: "not read since fitted",
}
_FEWEST_POINTS = 3
"""Points below which a straight line fits exactly, whatever they are."""
BEYOND_DATES = "over 5 years"


def name_of(place: PlaceHistory) -> str:
    """``LF inner pad`` and the like."""
    return f"{place.corner} {place.position.label}"


def short_name(place: PlaceHistory) -> str:
    """``LF inner`` and the like, under a heading that names the part."""
    return f"{place.corner} {_POSITIONS[place.position]}".rstrip()


def is_iron(place: PlaceHistory) -> bool:
    """Whether the part is a rotor or a drum, whose sizes take a decimal more."""
    return place.position.part in (Part.ROTOR, Part.DRUM)


def short_refusal(part: RunningPart, unit: DistanceUnit) -> str:
    """Return in a few words why no distance is told; empty where one is."""
    projection = part.told.projection
    if part.life.is_out:
        return _REFUSALS[Refusal.AT_LIMIT]
    if projection.refusal is Refusal.WITHIN_ERROR or (
        projection.refusal is None and not at_least_rounded_mm(projection, unit.mm)
    ):
        return "too close to tell" if part.told.is_close else "wears too fast to tell"
    return _REFUSALS[projection.refusal] if projection.refusal is not None else ""


def not_before(part: RunningPart, today: date | None) -> str:
    """Return the earliest day that the limit is reached; what is past is said so."""
    dates = part.told.dates
    if dates is None:
        return ""
    if dates.at_least is None:
        return BEYOND_DATES
    if today is not None and dates.is_past(today):
        return "may be due"
    return dates.at_least.isoformat()


def is_nominal(fitting: Fitting) -> bool:
    """Whether the size at fitting was looked up and not measured."""
    return fitting.basis is not SizeBasis.MEASURED


def told(part: RunningPart, shop: Shop) -> str:
    """Return how far a part will go, or why not; what is out is said first, whatever is open."""
    sentence = life_sentence(part.told, shop)
    if part.life.is_out and part.told.projection.refusal is not Refusal.AT_LIMIT:
        return f"At or beyond the limit when it was read last. {sentence}"
    return sentence


def is_cut_short(part: RunningPart) -> bool:
    """Whether the bound was cut at three times what was driven."""
    return Note.FAR_EXTRAPOLATION in part.told.projection.notes


def straight_sentence(part: RunningPart, unit: DistanceUnit) -> str:
    """Return what the plain straight line says beside a projection; nothing without one."""
    check = part.check
    if check is None:
        return ""
    reach = check.line_reaches
    if reach is None:
        says = "it does not come to the limit"
    elif reach.expected_mm <= 0:
        says = "it has passed the limit already"
    elif is_cut_short(part) and reach.expected_mm > (part.told.projection.at_least_mm or 0):
        says = "at the limit farther on than three times what was driven"
    else:
        says = f"at the limit after {_rounded(reach.expected_mm, unit)} ({_range(check, unit)})"
    return f"Plain straight line through the readings: {says}; a check only, it decides nothing."


def _range(check: PlainCheck, unit: DistanceUnit) -> str:
    reach = check.line_reaches
    assert reach is not None
    if check.line is None:
        why = "too few points" if check.points < _FEWEST_POINTS else "the points lie exactly on it"
        return f"no range: {why}"
    if check.is_too_straight:
        return "no range: the points lie straighter than the gauge reads"
    if reach.earliest_mm is None or reach.latest_mm is None:
        return "its range has no end"
    early, late = (_rounded(max(mm, 0), unit) for mm in (reach.earliest_mm, reach.latest_mm))
    return f"{round(100 * check.probability)} % range {early} to {late}"


def _rounded(mm: int, unit: DistanceUnit) -> str:
    """Return a distance to the nearest hundred."""
    step = 100 * unit.mm
    return distance((mm + step // 2) // step * step, unit)
