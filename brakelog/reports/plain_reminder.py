"""What a customer is told before a part runs out, in plain words and whole sentences."""

from __future__ import annotations

import enum
from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.reports.plain_names import POSITION_NAMES, place_of
from brakelog.rules.due import DueEntry
from brakelog.rules.figure import distance
from brakelog.rules.outlook import PartOutlook
from brakelog.wear.projection import BOUND_STEP, Refusal

TITLE = "About your brakes"


class Due(enum.Enum):
    """How a vehicle stands, as its gravest or earliest part says."""

    AT_LIMIT = "at its limit"
    NEEDED = "work is needed"
    NOT_SURE = "too close to its limit"
    BY_AGE = "due by age"
    PAST = "the earliest day is past"
    AHEAD = "ahead"


LEADS = {
    Due.AT_LIMIT: (
        "When we last measured your brakes, a part was at or past its limit. On our record "
        "nothing has been done about it since."
    ),
    Due.NEEDED: (
        "When we last looked at your brakes, work was needed. On our record it has not been done "
        "since."
    ),
    Due.NOT_SURE: (
        "When we last measured your brakes, a part was so close to its limit that we cannot say "
        "how long it will go."
    ),
    Due.BY_AGE: "Your brakes are due to be looked at, however little the car was driven.",
    Due.PAST: "By our estimate a part of your brakes may have reached its limit by now.",
    Due.AHEAD: "By our estimate a part of your brakes will reach its limit before long.",
}
STOP_NOTE = (
    "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
    "stop and call us, whatever this note says."
)


def due_of(first: PartOutlook, entry: DueEntry, today: date) -> Due:
    """Return how a vehicle stands.

    Parameters
    ----------
    first : PartOutlook
        The part that is told first.
    entry : DueEntry
        The line of the vehicle on the due list.
    today : date
        The day of the note.
    """
    if first.refusal is Refusal.AT_LIMIT:
        return Due.AT_LIMIT
    if first.grounds == "required":
        return Due.NEEDED
    if first.refusal is Refusal.WITHIN_ERROR:
        return Due.NOT_SURE
    if entry.by_time and first is entry.part:
        return Due.BY_AGE
    is_past = first.not_before is not None and first.not_before <= today
    return Due.PAST if is_past else Due.AHEAD


def part_sentence(part: PartOutlook, unit: DistanceUnit, today: date) -> str:
    """Return when one part runs out: the earliest day first, then the middle of the range."""
    name = f"{place_of(part.corner)} {POSITION_NAMES[part.position]}".capitalize()
    on = "when it was measured" if part.read_on is None else f"on {part.read_on.isoformat()}"
    if part.refusal is Refusal.AT_LIMIT:
        return f"{name}: at or past its limit {on}."
    if part.grounds == "required":
        return f"{name}: work was needed {on}."
    if part.refusal is Refusal.WITHIN_ERROR:
        return f"{name}: too close to its limit to be sure {on}."
    if part.at_least_mm is None or part.from_odometer_mm is None:
        return f"{name}: how far it will go cannot be said without measuring it again."
    step_mm = BOUND_STEP * unit.mm
    # Rounded down: sooner is the safe side.
    at = distance((part.from_odometer_mm + part.at_least_mm) // step_mm * step_mm, unit)
    if part.not_before is None:
        return f"{name}: 9 of 10 such parts last at least until the odometer shows {at}."
    first = part.not_before.isoformat()
    if part.not_before <= today:
        return (
            f"{name}: 9 of 10 such parts last until {first}, or until the odometer shows {at}. "
            f"That day is past: it may be at its limit now."
        )
    if part.median_day is None:
        return (
            f"{name}: 9 of 10 such parts last at least until {first}, or until the odometer shows "
            f"{at}."
        )
    return (
        f"{name}: 9 of 10 such parts last at least until {first}, or until the odometer shows "
        f"{at}; half of them last until {part.median_day.isoformat()[:7]}."
    )


def what_to_do(due: Due, day: date | None) -> str:
    """Return what the customer should do, before which day where there is one."""
    if due in (Due.AT_LIMIT, Due.NEEDED):
        return "Please call us before you drive any further."
    if due in (Due.NOT_SURE, Due.PAST):
        return "Please call us now, so that we can measure it."
    if day is None:
        return "Please make an appointment with us before then, so that we can measure it."
    return (
        f"Please make an appointment with us before {day.isoformat()}, so that we can measure it."
    )


def about_estimate(last_day: date) -> str:
    """Return what the note rests on."""
    return (
        f"This is an estimate from what we measured until {last_day.isoformat()} and from how you "
        f"drove until then. It is no verdict: what has to be done we say only when we have "
        f"measured again."
    )


def about_odometer(last_day: date) -> str:
    """Return that the odometer on file is old."""
    return (
        f"We last saw your odometer on {last_day.isoformat()}; if you drove more than usual since, "
        f"come sooner."
    )
