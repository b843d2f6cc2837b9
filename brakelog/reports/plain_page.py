"""The headings and fixed words of the customer's page, in one place."""

from __future__ import annotations

from datetime import date

from brakelog.reports.customer_drawing import Drawing
from brakelog.reports.customer_measured import Measured
from brakelog.reports.plain_measured import WHEN_FITTED

CHECK_BAR_MM = 50
"""Length of the line that shows whether the page was printed at its size. [mm]"""

TITLES = {"final": "Your brakes", "preliminary": "Preliminary: your brakes"}
HEADINGS = {
    "open": "What is still open",
    "know": "What you should know",
    "measured": "What we measured",
    "means": "What it means",
    "if_you_wait": "If you wait",
    "to_expect": "How far it should go",
    "pictures": "How it wore",
    "done": "What we did today",
    "declined": "What was declined",
    "watch": "What to watch for",
    "back": "When to come back",
}
"""In the order of the page."""
WORDS = {
    "for_whom": "For {}",
    "preliminary": "This page is preliminary: the work on this vehicle is not finished.",
    "still_open": "Still open:",
    "mark": "PRELIMINARY",
    "now": "now",
    "limit": "limit",
    "last_time": "last time",
    "not_known": "not known",
    "when_fitted": WHEN_FITTED,
    "another_part": "another part",
    "nothing_measured": "Nothing was measured.",
    "drawn": (
        "Linings and discs are drawn at actual size, seen from above with the front of the vehicle "
        "at the top; left and right are seen from the driver's seat."
    ),
    "key_left": "what may still wear",
    "key_stays": "what has to stay",
    "key_limit": "the limit",
    "key_ghost": "worn since last time",
    "check_bar": (
        "This line is 50 mm (1.97 in) long. If it is not, the page was scaled, and the drawings "
        "with it: print at actual size."
    ),
    "at_least": "9 of 10 such vehicles get at least",
    "seldom_more": "few get more than",
    "unsaid": "not told",
    "picture_key": (
        "Dots: readings. Level line: the limit. Broken lines: how far 9 of 10 such parts get at "
        "least (\u25bc), half (\u25c6), 1 in 10 (\u25ba)."
    ),
    "sign": "Date and signature:",
}


FOOTER = (
    "This page is arithmetic on what was measured; a qualified person decides, and the "
    "inspection law of your place applies."
)


def when_words(day: date, odometer: str, *, is_left: bool) -> str:
    """Return the day and odometer of a visit, and whether it is the state after the work."""
    if is_left:
        return f"{day.isoformat()}, {odometer}, after our work"
    return f"{day.isoformat()}, {odometer}"


def earlier_job(day: date) -> str:
    """Return that the work of an earlier visit was not finished."""
    return (
        f"Our work of {day.isoformat()} is not finished on our record; please let us look at it "
        f"again."
    )


def old_readings(months: int) -> str:
    """Return that the readings are too old."""
    return f"This is how your brakes were {months} months ago; have them measured again."


def measured_words(place: str, row: Measured) -> str:
    """Return one row of what was measured as a line, with its place where one is given."""
    name = f"{place} {row.name}".lstrip()
    if row.before:
        return f"{name}: {row.today}, limit {row.limit_in_words}, last time {row.last_time}"
    return f"{name}: {row.today}, limit {row.limit_in_words}"


def drawing_words(drawing: Drawing) -> dict[str, str]:
    """Return the title, the description and the note of a drawing.

    The description says what the drawing shows, for who cannot see it.
    """
    return {
        "title": f"{drawing.place.capitalize()} brake, drawn at actual size",
        "desc": " ".join(f"{_capital(measured_words('', row))}." for row in drawing.rows),
        "note": _drum_note(drawing),
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _drum_note(drawing: Drawing) -> str:
    if drawing.factor > 1:
        return f"Drum: what it may still grow, drawn {drawing.factor} times as large."
    if drawing.factor == 1:
        return "Drum: what it may still grow, at actual size."
    if drawing.undrawn_drum:
        return "Drum: not drawn, as its size when new or its limit is not known."
    return ""


def picture_units(*, inch: bool, mile: bool) -> str:
    """Return the units of the pictures."""
    if inch:
        return "Inches by miles." if mile else "Inches by kilometres."
    return "Millimetres by miles." if mile else "Millimetres by kilometres."
