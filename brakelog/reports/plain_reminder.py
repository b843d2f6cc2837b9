"""What a customer is told before a part runs out, in plain words and whole sentences."""

from __future__ import annotations

from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.reports.plain_names import POSITION_NAMES, place_of
from brakelog.rules.due import DueEntry
from brakelog.rules.figure import distance
from brakelog.rules.outlook import PartOutlook
from brakelog.wear.projection import BOUND_STEP, Refusal

TITLE = "About your brakes"


def lead(entry: DueEntry) -> str:
    """Return what the note is about."""
    if entry.part.refusal is Refusal.AT_LIMIT:
        return (
            "When we last measured your brakes, a part was at or past its limit. On our record "
            "nothing has been done about it since."
        )
    if entry.part.refusal is Refusal.WITHIN_ERROR:
        return (
            "When we last measured your brakes, a part was so close to its limit that we cannot "
            "say how long it will go."
        )
    if entry.by_time:
        return "Your brakes are due to be looked at, however little the car was driven."
    if entry.is_past:
        return "By our estimate a part of your brakes may have reached its limit by now."
    return "By our estimate a part of your brakes will reach its limit before long."


def part_sentence(part: PartOutlook, unit: DistanceUnit, today: date) -> str:
    """Return when one part runs out: the earliest day first, then the middle of the range."""
    name = f"{place_of(part.corner)} {POSITION_NAMES[part.position]}".capitalize()
    if part.refusal is Refusal.AT_LIMIT:
        return f"{name}: at or past its limit {_read_on(part)}."
    if part.refusal is Refusal.WITHIN_ERROR:
        return f"{name}: too close to its limit to be sure {_read_on(part)}."
    if part.at_least_mm is None or part.from_odometer_mm is None:
        return ""
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


def _read_on(part: PartOutlook) -> str:
    return "when it was measured" if part.read_on is None else f"on {part.read_on.isoformat()}"


def what_to_do(entry: DueEntry) -> str:
    """Return what the customer should do."""
    if entry.part.refusal is Refusal.AT_LIMIT:
        return "Please call us before you drive any further."
    if entry.part.refusal is Refusal.WITHIN_ERROR or entry.is_past:
        return "Please call us now, so that we can measure it."
    if entry.day is None:
        return "Please make an appointment with us before then, so that we can measure it."
    return (
        f"Please make an appointment with us before {entry.day.isoformat()}, so that we can "
        f"measure it."
    )


def about_estimate(entry: DueEntry) -> str:
    """Return what the note rests on."""
    day = entry.vehicle.last_day.isoformat()
    return (
        f"This is an estimate from what we measured until {day} and from how you drove until then. "
        f"It is no verdict: what has to be done we say only when we have measured again."
    )


def about_odometer(entry: DueEntry) -> str:
    """Return that the odometer on file is old."""
    day = entry.vehicle.last_day.isoformat()
    return f"We last saw your odometer on {day}; if you drove more than usual since, come sooner."


def stop_sentence() -> str:
    """Return what goes before any estimate."""
    return (
        "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
        "stop and call us, whatever this note says."
    )
