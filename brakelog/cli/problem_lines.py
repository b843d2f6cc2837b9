"""Problems as lines to read: what is wrong in many rows alike is said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from brakelog.errors import Problem

ROWS_NAMED = 5
"""Rows that are named where many have the same problem; assumption: enough to find the others."""


def lines_of(problems: Iterable[Problem]) -> list[str]:
    """Return a line for each thing that is wrong, with the rows that have it.

    In the order in which they come up first.

    >>> lines_of([Problem(source=f"s.csv:{row}", message="empty") for row in range(2, 10)])
    ['s.csv:2, 3, 4, 5, 6 and 3 more: empty']
    """
    alike: dict[tuple[str, str, str], list[str]] = {}
    firsts: dict[tuple[str, str, str], Problem] = {}
    for problem in problems:
        before, colon, row = problem.source.rpartition(":")
        is_row = bool(colon) and row.isdecimal()
        # What stands in no row of its own is like nothing else.
        key = (before + colon if is_row else problem.source, problem.message, problem.value)
        firsts.setdefault(key, problem)
        alike.setdefault(key, []).append(row if is_row else "")
    return [
        str(replace(problem, source=key[0] + _rows(alike[key]))) for key, problem in firsts.items()
    ]


def _rows(rows: Iterable[str]) -> str:
    """Return the rows that are named; the same row twice is one."""
    different = list(dict.fromkeys(rows))
    more = len(different) - ROWS_NAMED
    named = ", ".join(different[:ROWS_NAMED])
    return f"{named} and {more} more" if more > 0 else named
