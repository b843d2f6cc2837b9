"""How often what was stated held, for people and for machines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

from brakelog.reports.experience import group_name
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.figure import counted

if TYPE_CHECKING:
    from brakelog.wear.bulk.backtest import BackTest, Tried
    from brakelog.wear.bulk.hits import HitRate

FORMAT = "brakelog.back-test/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

Json: TypeAlias = Any


def back_test_lines(found: BackTest, *, width: int = 80) -> list[Line]:
    """Return what a back-test found, all parts together first."""
    from brakelog.wear.bulk.backtest import ENOUGH_READINGS

    lines = [Line(text="How often the bounds held", role="title")]
    lines += wrapped(
        "Every reading that has one before it is predicted from those before it, by an experience "
        "that has not seen it. The bound is meant to hold for 90 of 100, the range for 90 of 100.",
        width=width,
    )
    if found.overall is None:
        lines += [
            Line(),
            *wrapped("Nothing yet: no part has been read twice since its start.", width=width),
        ]
        return lines
    lines += [
        Line(),
        Line(
            text=_row(("parts", "readings", "bound held in", "range held in", "off", "widened")),
            role="heading",
        ),
    ]
    for tried in (found.overall, *found.groups):
        lines.append(Line(text=_row(_cells(tried))))
    few = [tried for tried in found.groups if not tried.is_enough]
    if few:
        lines += [
            Line(),
            *wrapped(
                f"Shares are told from {ENOUGH_READINGS} readings on; "
                f"{counted(len(few), 'group has', 'groups have')} fewer.",
                role="quiet",
                width=width,
            ),
        ]
    lines += [
        Line(),
        *wrapped(
            "In brackets: where the true share lies, 95 of 100 times. Off: how far half of the "
            "middle distances were off. Widened: what uncertainties are multiplied by, so that "
            "the bound holds as often as it says; bounds that hold more often stay as they are.",
            role="quiet",
            width=width,
        ),
    ]
    return lines


def _row(cells: tuple[str, ...]) -> str:
    name, readings, bound, both, error, widened = cells
    return f"{name:<14} {readings:>8} {bound:>18} {both:>18} {error:>6} {widened:>8}".rstrip()


def _cells(tried: Tried) -> tuple[str, ...]:
    name = "all" if tried.group is None else group_name(tried.group)
    readings = f"{tried.bound.count:,}"
    if not tried.is_enough:
        return name, readings, "", "", "", ""
    return (
        name,
        readings,
        _share(tried.bound),
        _share(tried.both),
        f"{100 * tried.median_error:.0f} %",
        f"{tried.widened:.2f}" if tried.widened > 1.0 else "",
    )


def _share(rate: HitRate) -> str:
    low, high = (f"{100 * each:.0f}" for each in (rate.low, rate.high))
    return f"{100 * rate.share:.1f} ({low}..{high})"


def back_test_document(found: BackTest) -> dict[str, Json]:
    """Return the same as plain values."""
    return {
        "format": FORMAT,
        "overall": _document(found.overall) if found.overall else None,
        "groups": [_document(tried) for tried in found.groups],
    }


def _document(tried: Tried) -> dict[str, Json]:
    return {
        "kind": tried.group.kind.value if tried.group else None,
        "axle": tried.group.axle if tried.group else None,
        "lives": tried.lives,
        "vehicles": tried.vehicles,
        "readings": tried.bound.count,
        "is_enough": tried.is_enough,
        "bound": _hits(tried.bound),
        "range": _hits(tried.both),
        "median_error": round(tried.median_error, 4),
        "factor": None if tried.factor is None else round(tried.factor, 4),
        "widened": round(tried.widened, 4),
    }


def _hits(rate: HitRate) -> dict[str, Json]:
    return {
        "held": rate.hits,
        "of": rate.count,
        "share": round(rate.share, 4),
        "low": round(rate.low, 4),
        "high": round(rate.high, 4),
    }
