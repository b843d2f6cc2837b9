"""The due list as lines: one vehicle each, the earliest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.lengths import DistanceUnit
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, shown, wrapped
from brakelog.rules.due import DueEntry, DueList, grounds_counted, is_required_now
from brakelog.rules.figure import about, counted, distance
from brakelog.wear.projection import BOUND_STEP, Refusal

WIDE = 110
"""Columns from which a line has room for the odometer and for whose experience it rests on."""
_MOST_TAGS = 6
"""Vehicles named for each reason that keeps some out of the list."""
CAUTION = (
    "A distance or a day is where 9 of 10 such parts are still above their limit; 1 in 10 is "
    "not. It is no verdict: look at the vehicle before anything is said of it. Local rules and "
    "the vehicle maker's instructions go first."
)

_WHY = {
    "unresolved": "something has to be cleared up first",
    "no limit": "no usable limit on file",
    "limit not inside the new size": "the limit is not inside the new size",
    "reading too old": "the last reading is too old",
    "no basis for a rate": "too little on record to say how fast it wears",
    "no reading": "fitted, but not measured since",
}
"""Reasons in words, where the reason is not words already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Widths:
    when: int = 21
    tag: int = 10
    part: int = 17
    left: int = 9
    far: int = 10
    grounds: int = 9


def due_lines(found: DueList, shop: Shop, *, width: int = 80, aloud: bool = False) -> list[Line]:
    """Return the list for people.

    Parameters
    ----------
    aloud : bool
        Whether it is read aloud: then each vehicle is a sentence of its own, and no figure is
        understood by the column that it stands in.
    """
    return [*_list(found, shop, width, aloud), *wrapped(CAUTION, role="quiet", width=width)]


def _list(found: DueList, shop: Shop, width: int, aloud: bool) -> list[Line]:
    longest = max((len(shown(entry.tag)) for entry in found.entries), default=0)
    widths = _Widths(tag=max(min(longest, 9 if width < WIDE else 24), 7))
    lines = [
        Line(text=f"Due list of {found.today}", role="title"),
        *wrapped(_summary(found), width=width),
        Line(),
    ]
    if aloud:
        lines += [_said(entry, shop) for entry in found.entries]
        lines.append(Line())
    elif found.entries:
        lines.append(Line(text=_head(widths, width), role="heading"))
        lines += [_entry(entry, shop, widths, width) for entry in found.entries]
        lines.append(Line())
    return [*lines, *_missed(found, width)]


def due_of_sites_lines(
    found: Sequence[tuple[str, Shop, DueList]], *, width: int = 80, aloud: bool = False
) -> list[Line]:
    """Return the lists of several sites, one after the other, the caution once."""
    lines: list[Line] = []
    for site, shop, due in found:
        lines += [
            Line(text=f"Site {shown(site)}", role="title"),
            *_list(due, shop, width, aloud),
            Line(),
        ]
    return [*lines, *wrapped(CAUTION, role="quiet", width=width)]


def _summary(found: DueList) -> str:
    if not found.vehicles:
        return "No vehicle is on file."
    text = f"{len(found.entries)} of {counted(found.vehicles, 'vehicle')} listed, earliest first."
    counts = grounds_counted(found)
    said = [
        f"{counts[name]} {words}"
        for name, words in (
            ("required", "with required work"),
            ("suggested", "due before the next planned visit"),
            ("open", "with something to measure or answer first"),
        )
        if counts[name]
    ]
    if said:
        text += f" {', '.join(said).capitalize()}."
    unknown = sum(bool(entry.not_projected) for entry in found.entries)
    if unknown:
        text += f" Of {unknown} of them some parts are not known."
    if found.outside:
        text += f" {counted(found.outside, 'vehicle')} outside what was asked for."
    return text


def _head(widths: _Widths, width: int) -> str:
    cells = ("not before", "vehicle", "ends first", "left", "to go", "needs")
    text = _row(cells, widths)
    return f"{text}  at odometer   rests on" if width >= WIDE else text


def _row(cells: tuple[str, ...], widths: _Widths) -> str:
    when, tag, part, left, far, grounds = cells
    return (
        f"{when:<{widths.when}} {tag:<{widths.tag}} {part:<{widths.part}}"
        f" {left:>{widths.left}} {far:>{widths.far}} {grounds:<{widths.grounds}}"
    ).rstrip()


def _entry(entry: DueEntry, shop: Shop, widths: _Widths, width: int) -> Line:
    part = entry.part
    unit = shop.distance_unit
    tag = shown(entry.tag)
    if len(tag) > widths.tag:
        tag = tag[: widths.tag - 1] + "…"
    left = "" if part.margin_nm is None else about(part.margin_nm, shop, against=(0,))
    cells = (
        when_due(entry),
        tag,
        f"{part.corner.code} {part.position.label}",
        left,
        _to_go_of(entry, unit),
        "" if entry.grounds == "none" else entry.grounds,
    )
    text = _row(cells, widths)
    if width >= WIDE:
        at = ""
        ends = (part.from_odometer_mm, part.at_least_mm)
        if None not in ends and not is_required_now(entry.part):
            at = distance(sum(mm for mm in ends if mm is not None), unit)
        rest = f"{counted(part.readings, 'reading')}, {part.source}"
        if entry.not_projected:
            rest += f"; {counted(entry.not_projected, 'part')} unknown"
        text = f"{text:<{_width_of(widths)}}  {at:>11}   {rest}"
    return Line(text=text, role=_role(entry))


_NEEDS = {
    "required": "work required",
    "suggested": "work suggested",
    "open": "something to measure or answer first",
}


def _said(entry: DueEntry, shop: Shop) -> Line:
    """Return one vehicle in words that stand by themselves."""
    part = entry.part
    when = when_due(entry).replace(" old km", ", from an odometer of long ago")
    said = [
        f"{part.corner.code} {part.position.label}",
        when if when[:1].isalpha() else f"not before {when}",
    ]
    if part.margin_nm is not None:
        rest = about(abs(part.margin_nm), shop, against=(0,))
        said.append(f"{rest} {'left to' if part.margin_nm >= 0 else 'past'} its limit")
    if far := _to_go_of(entry, shop.distance_unit):
        said.append(f"{far} to go")
    if entry.grounds != "none" and not is_required_now(entry.part):
        said.append(_NEEDS[entry.grounds])
    return Line(text=f"{shown(entry.tag)}: {', '.join(said)}.", role=_role(entry))


def _width_of(widths: _Widths) -> int:
    cells = (widths.when, widths.tag, widths.part, widths.left, widths.far, widths.grounds)
    return sum(cells) + len(cells) - 1


def _to_go(left_mm: int, unit: DistanceUnit) -> str:
    step_mm = BOUND_STEP * unit.mm
    return distance(left_mm // step_mm * step_mm, unit)


def when_due(entry: DueEntry) -> str:
    """Return when a vehicle is due: a day, now, or beyond what can be said."""
    if entry.part.refusal is Refusal.AT_LIMIT:
        return "now: at its limit"
    if entry.part.refusal is Refusal.WITHIN_ERROR:
        return "now: not proven"
    if is_required_now(entry.part):
        return "now: work required"
    if entry.part.refusal is not None:
        return "open: no distance" if entry.part.grounds == "open" else "now: no distance"
    if entry.day is None:
        return "over 5 years ahead"
    if entry.by_time:
        return f"{entry.day} by age" + (", past" if entry.is_past else "")
    if entry.is_past:
        return f"{entry.day} maybe now"
    return f"{entry.day}" + (" old km" if entry.is_odometer_old else "")


def _to_go_of(entry: DueEntry, unit: DistanceUnit) -> str:
    """Return the distance that is left; none where nothing may be driven before the work."""
    if entry.left_mm is None or is_required_now(entry.part):
        return ""
    return _to_go(entry.left_mm, unit)


def _role(entry: DueEntry) -> str:
    return entry.grounds if entry.grounds in ("required", "suggested", "open") else "plain"


def _missed(found: DueList, width: int) -> list[Line]:
    """Return the vehicles that nothing can be said of, counted by reason."""
    if not found.not_projected:
        return []
    total = sum(len(tags) for tags in found.not_projected.values())
    lines = [Line(text=f"Not projected: {counted(total, 'vehicle')}", role="heading")]
    for reason, tags in found.not_projected.items():
        named = ", ".join(shown(tag) for tag in tags[:_MOST_TAGS])
        more = len(tags) - _MOST_TAGS
        rest = f" and {more} more" if more > 0 else ""
        lines += wrapped(
            f"{len(tags)}: {_WHY.get(reason, reason)} ({named}{rest})",
            first="  ",
            rest="     ",
            width=width,
        )
    lines.append(Line())
    return lines
