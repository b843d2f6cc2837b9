"""Typed lines: a reading set, a finding, or a corner that was looked over in each."""

from __future__ import annotations

import re
from typing import TextIO

from brakelog.errors import InvalidInput, Problem, clip
from brakelog.intake.bounded import BoundedLine, bounded_lines
from brakelog.intake.check import check_reading
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, LookedOver, ReadingEntry
from brakelog.intake.finding import read_finding
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.problems import MOST_PROBLEMS, bad_input, problem_from
from brakelog.intake.split import split_words
from brakelog.intake.tokens import join_units
from brakelog.intake.words import has_control
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.quantity import Quantity, parse_quantity
from brakelog.record.reading import Stage

LONGEST_LINE = 10_000
"""Characters of a line. Assumption: 500 values with units need less."""
MOST_LINES = 100_000
"""Assumption: a visit has a few dozen lines; more is a wrong file, or a stream without end."""
FINDING = "finding"
LOOKED_OVER = "looked-over"
_Place = tuple[Corner, Quantity, Stage, int | None]
"""What can be read once in one go; a rotor can be read at one position after another."""
_HEAD = re.compile(r"(?P<corner>\S+)(?:\s+(?P<what>\S+))?\s*")


def parse_line(
    text: str, number: int, context: Context, source: str = "standard input"
) -> Entry | None:
    """Return what one line says; None for a blank line or a comment.

    Parameters
    ----------
    text : str
        The line, with or without its line end.
    number : int
        Which line it is, from 1.
    context : Context
        Gauges, people, declared unit and stage.
    source : str
        Where the lines come from.

    Raises
    ------
    InvalidInput
        With the first thing in the line that is wrong.

    Examples
    --------
    >>> entry = parse_line("LF pad-in 3.2mm 3.0mm", 1, Context())
    >>> entry.values_nm
    (3200000, 3000000)
    """
    body = text.strip()
    if not body or body.startswith("#"):
        return None
    if has_control(body):
        raise InvalidInput("the line holds characters that are no text", hint="type it again")
    head = _HEAD.match(body)
    assert head is not None
    where = f"{source}:{number}"
    corner = parse_corner(head["corner"])
    what = (head["what"] or "").lower()
    rest = body[head.end() :]
    if what == FINDING:
        return read_finding(rest, source=where, corner=corner, context=context)
    if what == LOOKED_OVER:
        return _looked_over(rest, where, corner, context)
    return _reading(rest, where, corner, _quantity(what), context)


def _quantity(what: str) -> Quantity:
    if not what:
        raise InvalidInput("the line ends behind the corner", hint="such as LF pad-in 3.2 3.0")
    try:
        return parse_quantity(what)
    except InvalidInput:
        words = [*(each.value for each in Quantity), FINDING, LOOKED_OVER]
        raise InvalidInput(
            f"{clip(what)!r} is not a quantity", hint=did_you_mean(what, words)
        ) from None


def _looked_over(rest: str, where: str, corner: Corner, context: Context) -> LookedOver:
    context.brake_of(corner)
    if rest:
        raise InvalidInput(
            f"{clip(rest)!r} stands behind looked-over", hint="findings go on lines of their own"
        )
    return LookedOver(source=where, corner=corner)


def _reading(
    rest: str, where: str, corner: Corner, quantity: Quantity, context: Context
) -> ReadingEntry:
    values, options = split_words(rest)
    return check_reading(
        source=where,
        corner=corner,
        quantity=quantity,
        tokens=join_units(values),
        options=options,
        context=context,
    )


def read_lines(stream: TextIO, context: Context, source: str = "standard input") -> list[Entry]:
    """Return what all lines say.

    Parameters
    ----------
    stream : TextIO
        Read line by line; bytes that are no text may come as surrogate escapes.
    context : Context
        Gauges, people, declared unit and stage.
    source : str
        Where the lines come from, for messages.

    Raises
    ------
    BadSheet
        With every problem found, at most ``MOST_PROBLEMS`` of them.
    InvalidInput
        Where nothing was typed, or far too many lines.
    """
    entries: list[Entry] = []
    problems: list[Problem] = []
    first_seen: dict[_Place, int] = {}
    try:
        for line in bounded_lines(stream, longest=LONGEST_LINE):
            if line.number > MOST_LINES:
                raise InvalidInput(
                    f"{source} has more than {MOST_LINES} lines", hint="send one visit at a time"
                )
            problem = _take(line, context, source, entries, first_seen)
            if problem is not None:
                problems.append(problem)
            if len(problems) >= MOST_PROBLEMS:
                break
    except UnicodeDecodeError as error:
        raise InvalidInput(f"{source} is not UTF-8 text", hint="send plain text") from error
    if problems:
        raise bad_input(problems, source, "nothing was kept")
    if not entries:
        raise InvalidInput("nothing was typed", hint="such as LF pad-in 3.2 3.0")
    return entries


def _take(
    line: BoundedLine,
    context: Context,
    source: str,
    entries: list[Entry],
    first_seen: dict[_Place, int],
) -> Problem | None:
    """Add what the line says; return what is wrong with it."""
    where = f"{source}:{line.number}"
    if line.is_too_long:
        return Problem(
            source=where, message=f"the line has more than {LONGEST_LINE} characters, skipped"
        )
    text = line.text.removeprefix("\ufeff") if line.number == 1 else line.text
    if has_control(text.rstrip("\r\n")):
        return Problem(
            source=where, message="the line holds bytes or control characters that are no text"
        )
    try:
        entry = parse_line(text, line.number, context, source)
    except InvalidInput as error:
        return problem_from(error, where)
    if entry is None:
        return None
    if isinstance(entry, ReadingEntry):
        place = (entry.corner, entry.quantity, entry.stage, entry.rotor_index)
        if place in first_seen:
            return Problem(
                source=where,
                message=f"{entry.corner} {entry.quantity.value} {entry.stage.value} "
                f"is typed twice, first on line {first_seen[place]}",
                value=clip(text.strip()),
            )
        first_seen[place] = line.number
    entries.append(entry)
    return None
