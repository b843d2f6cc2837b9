"""The tables of docs/explanation/unsafe-errors.md, from what was counted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tests.simulation.counts import Counted, Gauged, Slipped

FIRST_VISIT = "At a first visit"
WITH_HISTORY = "With a history"
BY_GAUGE = "By gauge"
SLIPS_FIRST_VISIT = "By slip, at a first visit"
SLIPS_WITH_HISTORY = "By slip, with a history"
"""Headings of the page; under each stands one table."""


def tables(counted: Counted) -> dict[str, str]:
    """Return the table for each heading."""
    first = [each for each in counted.gauges if not each.with_history]
    later = [each for each in counted.gauges if each.with_history]
    return {
        FIRST_VISIT: _without_slips(first),
        WITH_HISTORY: _without_slips(later),
        BY_GAUGE: _with_slips(first, later),
        SLIPS_FIRST_VISIT: _slips(each for each in counted.slips if not each.with_history),
        SLIPS_WITH_HISTORY: _slips(each for each in counted.slips if each.with_history),
    }


def with_tables(page: str, counted: Counted) -> str:
    """Return a page with its tables put in the place of those that it has."""
    for heading, table in tables(counted).items():
        before, title, rest = page.partition(f"# {heading}\n")
        start = rest.index("\n|") + 1
        end = rest.find("\n\n", start)
        rest = rest[:start] + table + (rest[end:] if end >= 0 else "\n")
        page = before + title + rest
    return page


def _without_slips(rows: Sequence[Gauged]) -> str:
    head = (
        "measure",
        "gauge",
        "out when",
        "u1 [mm]",
        "parts",
        "out, `reuse` [%]",
        "out, `in` [%]",
        "just out, `in` [%]",
        "good, condemned [%]",
        "good, suggested [%]",
        "good, measure again [%]",
        "good, `reuse` [%]",
    )
    return _table(
        head,
        (
            (
                each.measure,
                each.gauge,
                each.out_when,
                f"{each.u1_nm / 1e6:.4f}",
                f"{each.parts:,}",
                _percent(each.out_reuse, each.parts, decimals=2),
                _percent(each.out_in, each.parts, decimals=2),
                _percent(each.just_out_in, each.just_out),
                _percent(each.good_condemned, each.parts),
                _percent(each.good_suggested, each.parts),
                _percent(each.good_open, each.parts),
                _percent(each.good_reuse, each.parts),
            )
            for each in rows
        ),
    )


def _with_slips(first: Sequence[Gauged], later: Sequence[Gauged]) -> str:
    head = (
        "measure",
        "gauge",
        "slips, first visit",
        "of them out, `reuse`",
        "all parts: out, `reuse` [%]",
        "slips, with a history",
        "of them out, `reuse`",
        "all parts: out, `reuse` [%]",
    )
    return _table(
        head,
        (
            (
                one.measure,
                one.gauge,
                *(
                    text
                    for each in (one, other)
                    for text in (
                        f"{each.slipped:,}",
                        f"{each.slipped_out_reuse:,}",
                        f"{100 * each.unsafe_with_slips:.2f}",
                    )
                ),
            )
            for one, other in zip(first, later, strict=True)
        ),
    )


def _slips(rows: Iterable[Slipped]) -> str:
    head = (
        "slip",
        "reads",
        "cases",
        "caught [%]",
        "harmless [%]",
        "unsafe [%]",
        "costly [%]",
        "out, `in` [%]",
    )
    return _table(
        head,
        (
            (
                each.slip,
                each.reads or "either",
                f"{each.tried:,}",
                *(
                    _percent(count, each.tried)
                    for count in (
                        each.caught,
                        each.harmless,
                        each.unsafe,
                        each.costly,
                        each.out_in,
                    )
                ),
            )
            for each in rows
        ),
    )


def _percent(count: int, whole: int, *, decimals: int = 1) -> str:
    return f"{100 * count / whole:.{decimals}f}" if whole else "–"


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(cells) + " |" for cells in (head, *rows)]
    return "\n".join([lines[0], "|---" * len(head) + "|", *lines[1:]])
