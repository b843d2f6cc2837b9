"""Plain words beside what was measured, and for the drawings of it."""

from __future__ import annotations

from brakelog.reports.customer_drawing import Drawing
from brakelog.reports.customer_measured import Measured
from brakelog.reports.language.figures import with_other
from brakelog.reports.language.language import Language, capital


def measured_words(lang: Language, name: str, row: Measured) -> str:
    """Return one row of what was measured as a line, under a name."""
    today = with_other(lang, row.size, row.size_other)
    words = {
        "name": name,
        "today": f"{today}, {row.state}" if row.state else today,
        "limit": with_other(lang, row.limit, row.limit_other),
    }
    if not row.before:
        return lang.say("measured.row", **words)
    return lang.say(
        "measured.row_before", before=with_other(lang, row.before, row.before_other), **words
    )


def named_row(lang: Language, row: Measured) -> str:
    """Return one row of what was measured as a line, with its place."""
    name = lang.say("measured.named", place=row.place, name=row.name)
    return measured_words(lang, name, row)


def drawing_words(lang: Language, drawing: Drawing) -> dict[str, str]:
    """Return the place, the title, the description and the note of a drawing.

    The description says what the drawing shows, for who cannot see it.
    """
    said = (capital(measured_words(lang, row.name, row)) for row in drawing.rows)
    return {
        "place": capital(drawing.place),
        "title": lang.sentence("drawing.title", place=drawing.place),
        "desc": " ".join(f"{each}." for each in said),
        "note": _drum_note(lang, drawing),
    }


def _drum_note(lang: Language, drawing: Drawing) -> str:
    if drawing.factor > 1:
        return lang.count("drawing.drum_larger", drawing.factor)
    if drawing.factor == 1:
        return lang.say("drawing.drum_actual")
    return lang.say("drawing.drum_undrawn") if drawing.undrawn_drum else ""
