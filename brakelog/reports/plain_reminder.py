"""What a customer is told before a part runs out, in plain words and whole sentences."""

from __future__ import annotations

import enum
from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.reports.language.language import Language
from brakelog.reports.plain_names import position_at
from brakelog.rules.due import DueEntry
from brakelog.rules.outlook import PartOutlook
from brakelog.wear.projection import BOUND_STEP, Refusal


class Due(enum.Enum):
    """How a vehicle stands, as its gravest or earliest part says; the value names its sentence."""

    AT_LIMIT = "at_limit"
    NEEDED = "needed"
    NOT_SURE = "not_sure"
    BY_AGE = "by_age"
    PAST = "past"
    AHEAD = "ahead"


def lead_of(lang: Language, due: Due) -> str:
    """Return what a note is about."""
    return lang.say(f"note.lead.{due.value}")


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


def part_sentence(lang: Language, part: PartOutlook, unit: DistanceUnit, today: date) -> str:
    """Return when one part runs out: the earliest day first, then the middle of the range."""
    name = position_at(lang, part.corner, part.position)
    now = _as_it_was(part)
    if now and part.read_on is None:
        return lang.sentence(f"note.part.{now}_undated", part=name)
    if now and part.read_on is not None:
        return lang.sentence(f"note.part.{now}", part=name, day=lang.day(part.read_on))
    if part.at_least_mm is None or part.from_odometer_mm is None:
        return lang.sentence("note.part.unknown", part=name)
    step_mm = BOUND_STEP * unit.mm
    # Rounded down: sooner is the safe side.
    at_mm = (part.from_odometer_mm + part.at_least_mm) // step_mm * step_mm
    odometer = lang.distance(at_mm, unit)
    if part.not_before is None:
        return lang.sentence("note.part.odometer", part=name, odometer=odometer)
    words = {"part": name, "odometer": odometer, "day": lang.day(part.not_before)}
    if part.not_before <= today:
        return lang.sentence("note.part.past", **words)
    if part.median_day is None:
        return lang.sentence("note.part.ahead", **words)
    return lang.sentence("note.part.ahead_half", month=lang.month(part.median_day), **words)


def _as_it_was(part: PartOutlook) -> str:
    """Return the name of the sentence on a part that was not good any more; else nothing."""
    if part.refusal is Refusal.AT_LIMIT:
        return "at_limit"
    if part.grounds == "required":
        return "needed"
    return "not_sure" if part.refusal is Refusal.WITHIN_ERROR else ""


def what_to_do(lang: Language, due: Due, day: date | None) -> str:
    """Return what the customer should do, before which day where there is one."""
    if due in (Due.AT_LIMIT, Due.NEEDED):
        return lang.say("note.do.call_first")
    if due in (Due.NOT_SURE, Due.PAST):
        return lang.say("note.do.call_now")
    if day is None:
        return lang.say("note.do.before_then")
    return lang.say("note.do.before", day=lang.day(day))


def about_estimate(lang: Language, last_day: date) -> str:
    """Return what the note rests on."""
    return lang.say("note.estimate", day=lang.day(last_day))


def about_odometer(lang: Language, last_day: date) -> str:
    """Return that the odometer on file is old."""
    return lang.say("note.odometer", day=lang.day(last_day))
