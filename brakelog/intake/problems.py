"""Everything wrong with one input, reported together."""

from __future__ import annotations

from brakelog.errors import BadSheet, InvalidInput, Problem

MOST_PROBLEMS = 1_000
"""Problems listed; nobody reads more, and the list must not grow without end."""


def bad_input(problems: list[Problem], source: str, outcome: str) -> BadSheet:
    """Return the error that carries all problems of one input."""
    count = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
    if len(problems) >= MOST_PROBLEMS:
        count = f"{MOST_PROBLEMS} problems or more"
    return BadSheet(
        f"{count} in {source}, {outcome}",
        tuple(problems[:MOST_PROBLEMS]),
        hint="correct them and send all of it again",
    )


def problem_from(error: InvalidInput, source: str, *, before: str = "") -> Problem:
    """Return a problem that says what the error says, with what to do."""
    said = f"{before}{error}"
    return Problem(source=source, message=f"{said}; {error.hint}" if error.hint else said)
