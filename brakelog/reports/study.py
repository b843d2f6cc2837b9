"""A gauge study in plain words: what the gauge can and cannot prove, and how that was found."""

from __future__ import annotations

from fractions import Fraction

from brakelog.lengths import LengthUnit, print_length
from brakelog.metrology.gauge_study import GaugeStudy
from brakelog.metrology.study import Variation
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.reports.study_method import how_it_was_found
from brakelog.rules.figure import counted

ENOUGH_CATEGORIES = 5
"""Sizes that a gauge should tell apart (AIAG Measurement Systems Analysis, 4th ed., from memory).
[-]"""
SMALL_SHARE, LARGE_SHARE = 0.10, 0.30
"""Shares of a tolerance up to which a gauge is taken to be good, and beyond which it is not (same
manual, from memory). [-]"""
_DECIMALS = {
    LengthUnit.MM: 4,
    LengthUnit.INCH: 5,
    LengthUnit.THOU: 2,
    LengthUnit.MICROMETRE: 1,
}
"""Decimals of a standard deviation: a tenth of a micrometre, or thereabouts."""


def study_text(study: GaugeStudy, name: str, *, width: int = WIDTH) -> list[Line]:
    """Return the study as lines.

    Parameters
    ----------
    study : GaugeStudy
        The study, worked out.
    name : str
        Name of the sheet.
    width : int
        Columns to wrap to.
    """
    crossed = study.study
    lines = [Line(text=f"Gauge study {shown(name)}", role="title")]
    lines += wrapped(
        f"{counted(len(crossed.parts), 'part')}, {counted(len(crossed.appraisers), 'appraiser')}, "
        f"{len(crossed.trials)} trials: {crossed.count} readings. "
        f"Standard deviations (u1) in {study.unit.value}, and their share of all variation.",
        width=width,
    )
    lines += [Line(), *_table(study)]
    for title, sentences in (
        ("Read again first", _read_again(study)),
        ("What the gauge can and cannot prove", _proves(study)),
        ("How that was found", how_it_was_found(study)),
    ):
        if sentences:
            lines += [Line(), Line(text=title, role="heading")]
        for sentence in sentences:
            lines += wrapped(sentence, first="  - ", rest="    ", width=width)
    return lines


def _table(study: GaugeStudy) -> list[Line]:
    """Both methods side by side."""
    found = study.variations
    heads = (["averages, ranges"] if study.ranges else []) + ["analysis of variance"]
    rows: list[tuple[str, list[float | None]]] = [
        ("one person again", [each.repeats1_nm for each in found]),
        ("between people", [each.people1_nm for each in found]),
        ("people by parts", [each.interaction1_nm or None for each in found]),
        ("the gauge as used", [each.gauge1_nm for each in found]),
        ("between parts", [each.parts1_nm for each in found]),
        ("all together", [each.total1_nm for each in found]),
    ]
    lines = [_row("", heads)]
    for name, values in rows:
        if any(value is not None for value in values):
            cells = [
                _cell(value, each, study.unit) for value, each in zip(values, found, strict=True)
            ]
            lines.append(_row(name, cells))
    sizes = ["-" if each.categories is None else f"{each.categories:>8}" for each in found]
    return [*lines, _row("sizes told apart", sizes)]


def _row(name: str, cells: list[str]) -> Line:
    return Line(text=f"  {name:<20}" + "".join(f"{cell:<24}" for cell in cells))


def _cell(value1_nm: float | None, variation: Variation, unit: LengthUnit) -> str:
    if value1_nm is None:
        return "-"
    share = variation.share_of_total(value1_nm)
    return f"{_in(value1_nm, unit):>8}  {100 * share:5.1f} %"


def _in(nm: float | Fraction, unit: LengthUnit) -> str:
    return print_length(round(nm), unit, decimals=_DECIMALS[unit])


def _with_unit(nm: float | Fraction, unit: LengthUnit) -> str:
    return f"{_in(nm, unit)} {unit.value}"


def _read_again(study: GaugeStudy) -> list[str]:
    if study.ranges is None:
        return []
    return [
        f"Part {each.part} by {each.appraiser}: the readings are "
        f"{_with_unit(each.range_nm, study.unit)} apart, and chance allows "
        f"{_with_unit(study.ranges.limit_nm, study.unit)}. Until that is cleared up, the gauge "
        "looks worse than it may be."
        for each in study.ranges.beyond
    ]


def _proves(study: GaugeStudy) -> list[str]:
    unit = study.unit
    if study.categories is None:
        return [
            "Nothing yet: every reading of a part was the same, so that the step of the gauge "
            "hides its scatter. Read it one digit finer, or on parts that differ."
        ]
    return [
        _categories(study, study.categories),
        _tolerance(study),
        "As far as its scatter goes, one reading proves that a part is inside a limit from "
        f"{_with_unit(study.proves_from_nm, unit)} inside it on (95 %, {study.proven_factor:.2f} "
        "u1, more than 1.645 because few readings say how large u1 is).",
        f"A difference of up to {_with_unit(study.tells_from_nm, unit)} between two readings by "
        "one person may be the gauge's own (U2).",
        "It cannot prove that the gauge is right: an error that is the same every time, such as "
        "a wrong zero, does not show in a study.",
    ]


def _categories(study: GaugeStudy, categories: int) -> str:
    both = {each.categories for each in study.variations}
    methods = "" if len(both) == 1 else ", by the method that finds fewer"
    if categories < 2:
        return f"It cannot tell these parts apart{methods}: their differences drown in its scatter."
    told = f"It tells {categories} sizes apart among these parts{methods}"
    if categories < ENOUGH_CATEGORIES:
        return (
            f"{told}. That sorts them roughly and does not follow a small change; "
            f"{ENOUGH_CATEGORIES} are commonly asked for."
        )
    return f"{told}; {ENOUGH_CATEGORIES} are commonly asked for."


def _tolerance(study: GaugeStudy) -> str:
    share, width = study.share_of_tolerance, study.tolerance
    if share is None or width is None:
        return "Nothing is said of a limit, because no tolerance was named (--tolerance)."
    told = (
        f"It takes up {100 * share:.0f} % of the tolerance of {width.text.strip()} "
        "(6 u1 over its width)."
    )
    if share <= SMALL_SHARE:
        return f"{told} Up to {100 * SMALL_SHARE:.0f} % is commonly taken as good."
    if share <= LARGE_SHARE:
        return (
            f"{told} More than {100 * SMALL_SHARE:.0f} % is commonly allowed only where nothing "
            "finer is at hand: near a limit, read several times."
        )
    return (
        f"{told} More than {100 * LARGE_SHARE:.0f} % is commonly too much: near a limit, chance "
        "decides. Use a finer gauge for it."
    )
