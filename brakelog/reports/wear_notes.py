"""What the wear says, on the counter sheet: differences first, then patterns, in short."""

from __future__ import annotations

from brakelog.record.corner import axle_name
from brakelog.reports.plain import Line, shown, wrapped
from brakelog.rules.flag_words import flag_sentence
from brakelog.rules.hint import Hint, Pattern
from brakelog.rules.verdict import VehicleVerdict

_TOLD_BY_FLAG = frozenset(
    {
        Pattern.INNER_WORN,
        Pattern.OUTER_WORN,
        Pattern.ONE_WHEEL_WORN,
        Pattern.ONE_WHEEL_IDLE,
        Pattern.TAPERED,
        Pattern.TAPERED_OPPOSITE,
        Pattern.PARKING_BRAKE,
        Pattern.SHOES_ONE_SIDE,
    }
)
"""Patterns whose figures stand in the lines above them."""


def wear_notes(verdict: VehicleVerdict, width: int) -> list[Line]:
    """Return the section on uneven wear and its patterns; nothing where there is none."""
    if not verdict.flags and not verdict.hints:
        return []
    lines = [Line(), Line(text="What the wear says", role="heading"), Line()]
    for flag in verdict.flags:
        text = flag_sentence(flag, verdict.file.shop)
        lines += wrapped(text, first="  - ", rest="    ", width=width)
    for hint in verdict.hints:
        lines += _hint(hint, width)
    return lines


def _hint(hint: Hint, width: int) -> list[Line]:
    """Return three lines: the pattern, its probable causes, the next checks."""
    pattern, *rows = hint_texts(hint, width)
    lines = wrapped(pattern, first="  - ", rest="    ", width=width)
    for row in rows:
        lines += wrapped(row, first=_INDENT, rest=_INDENT, width=width)
    return lines


def hint_texts(hint: Hint, width: int) -> tuple[str, str, str]:
    """Return the pattern, its probable causes and the next checks, each for lines of a width."""
    return (
        _pattern(hint, width),
        _row("Probable", hint.probable_causes, width),
        _row("Next", hint.next_checks, width),
    )


def _row(title: str, texts: tuple[str, ...], width: int) -> str:
    """Return as many as one line holds, the likeliest first; the JSON has all of them."""
    row = f"{title}: {texts[0]}"
    for text in texts[1:]:
        longer = f"{row}; {text}"
        if len(longer) + len(_INDENT) + 1 > width:
            break
        row = longer
    return f"{row}."


_INDENT = " " * 4


def _pattern(hint: Hint, width: int) -> str:
    """Return where and what, with the first figure that shows it if that fits on the line."""
    short = f"{where(hint)}: {hint.pattern.label} ({hint.pattern.value})."
    if not hint.evidence or hint.pattern in _TOLD_BY_FLAG:
        return short
    long = f"{short[:-1]}: {hint.evidence[0]}."
    return long if len(shown(long)) + 4 <= width else short


def where(hint: Hint) -> str:
    """Return the wheels, the axle or the vehicle that a pattern is about."""
    if hint.axle is None:
        return "All axles"
    if len(hint.corners) == 1:
        return hint.corners[0].code
    return axle_name(hint.axle).capitalize()
