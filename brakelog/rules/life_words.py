"""The words for how far a part will go, or why that cannot be said."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.record.shop import Shop
from brakelog.rules.figure import counted, distance
from brakelog.rules.lives import PositionLife
from brakelog.wear.experience import Experience
from brakelog.wear.projection import (
    Note,
    Projection,
    Refusal,
    at_least_rounded_mm,
    latest_rounded_mm,
    median_rounded_mm,
)
from brakelog.wear.usage import Usage


def life_sentence(life: PositionLife, shop: Shop) -> str:
    """Return how far a part will go, or why that cannot be said."""
    projection = life.projection
    if projection.refusal is not None:
        return _refusal_sentence(life, shop)
    unit = shop.distance_unit
    bound_mm = at_least_rounded_mm(projection, unit.mm)
    if bound_mm == 0:
        return _WITHIN_ERROR if life.is_close else _TOO_FAST
    bound = distance(bound_mm, unit)
    where = "this reading" if projection.readings_used else "its fitting"
    text = f"9 of 10 such parts get at least {bound} from {where}"
    is_far = Note.FAR_EXTRAPOLATION in projection.notes
    median_mm = median_rounded_mm(projection, unit.mm)
    if median_mm is not None and not is_far:
        text += f"; half get about {distance(median_mm, unit)} or more"
    latest_mm = latest_rounded_mm(projection, unit.mm)
    if latest_mm is not None and not is_far and life.is_lining:
        text += f", 1 in 10 gets past {distance(latest_mm, unit)}"
    text += f" ({_basis(projection)})."
    notes = [_NOTE_WORDS[note] for note in projection.notes if note in _NOTE_WORDS]
    return " ".join([text, *_dates(life, shop), *_restarted(life), *notes])


def _dates(life: PositionLife, shop: Shop) -> list[str]:
    """Return the earliest day and the middle one, as the vehicle is driven."""
    dates = life.dates
    if dates is None:
        return []
    text = f"Driven {daily(dates.usage, shop.distance_unit)}, that is "
    if dates.at_least is None:
        return [f"{text}more than five years ahead."]
    text += f"not before {dates.at_least}"
    is_far = Note.FAR_EXTRAPOLATION in life.projection.notes
    if dates.median is not None and not is_far:
        text += f", for half of them {dates.median:%Y-%m} or later"
    return [f"{text}."]


def daily(usage: Usage, unit: DistanceUnit) -> str:
    """Return how far a vehicle is driven in a day, and whether that is its own."""
    whole = max(round(usage.km_per_day * DistanceUnit.KM.mm / unit.mm), 1)
    whose = "" if usage.days_behind else " (usual here)"
    return f"about {whole} {unit.value} a day{whose}"


def _restarted(life: PositionLife) -> list[str]:
    if life.restarted_on is None:
        return []
    return [f"Counted from {life.restarted_on}, when what had worn it was put right."]


def rounded_distance(mm: int, shop: Shop) -> str:
    """Return a distance that is said of typical parts, to 1,000 of the shop's unit."""
    step = 1000 * shop.distance_unit.mm
    return distance(round(mm / step) * step, shop.distance_unit)


def _basis(projection: Projection) -> str:
    share, experience = projection.own_share, projection.experience
    other = whose_experience(experience)
    if share >= 0.7:
        whose = f"mostly this part's own readings, the rest {other}"
    elif share >= 0.3:
        whose = f"partly this part's own readings, partly {other}"
    else:
        whose = f"mostly {other}"
    source = "" if experience.lives_behind else "; no shop data yet"
    return f"{whose}, {counted(projection.readings_used, 'reading')}{source}"


def whose_experience(experience: Experience) -> str:
    """Return whose experience a projection used, and how many part lives are behind it."""
    text = experience.source
    if experience.lives_behind:
        lives = round(experience.lives_behind)
        text += f" ({counted(lives, 'part life', 'part lives') if lives else 'hardly any'})"
    if experience.after_earlier_set:
        text += " and this vehicle's earlier part"
    return text


_NOTE_WORDS = {
    Note.FAR_EXTRAPOLATION: "Far extrapolation: no more is said than three times what was driven.",
    Note.BOUND_ONLY_CLOSE: "Close to the limit: only the bound is worth saying.",
    Note.BOUND_ONLY_UNKNOWN: "Too little is known for a forecast beyond that.",
    Note.ACCELERATING: "Wear is accelerating.",
    Note.NOMINAL_START: "The size at fitting is nominal, not measured.",
    Note.OUTLIER_DOWNWEIGHTED: "One reading does not fit the others and counts less.",
    Note.NO_START: "No fitting is on record; counted from the first reading.",
}


_WITHIN_ERROR = (
    "Within measurement error of the limit: measure again or replace; no safe distance can be "
    "stated."
)


_TOO_FAST = "It wears so fast that no safe distance can be stated; look for the cause."


def _refusal_sentence(life: PositionLife, shop: Shop) -> str:
    projection = life.projection
    match projection.refusal:
        case Refusal.NO_LIMIT:
            return "No projection: no usable limit for this part."
        case Refusal.LIMIT_NOT_INSIDE_NEW:
            return "No projection: the limit is not inside the new size; check the limit sheet."
        case Refusal.UNRESOLVED:
            return f"No projection until this is cleared up: {'; '.join(projection.unresolved)}."
        case Refusal.TOO_OLD:
            return "No projection: the reading is too old; measure again."
        case Refusal.AT_LIMIT:
            return "At or beyond the limit now."
        case Refusal.WITHIN_ERROR:
            return _WITHIN_ERROR if life.is_close else _TOO_FAST
        case Refusal.NO_BASIS:
            text = "Hardly driven since it was fitted: too early to say how fast it wears."
            if life.restarted_on is not None:
                text = (
                    f"What had worn it was put right on {life.restarted_on}: too early to say how "
                    "fast it wears without."
                )
            elif Note.NO_START in projection.notes and life.start is not None:
                text = "Its size at fitting is unknown: one reading says how thick, not how fast."
            elif Note.NO_START in projection.notes:
                text = "One reading without a fitting record says how thick, not how fast."
            if projection.typical_mm:
                typical = rounded_distance(projection.typical_mm, shop)
                text += (
                    f" Typical parts would last about {typical}; that is no projection for this "
                    "car."
                )
            return text
        case _:
            return "No projection: no reading."
