"""The words for a runout: what was read, why it is not used, what a share is worth."""

from __future__ import annotations

from collections.abc import Iterable

from brakelog.lengths import LengthUnit, print_length
from brakelog.metrology.indexing import best_turn, stud_alias
from brakelog.metrology.profile import NOISE_FACTOR, component_sd1_nm, worst_share
from brakelog.metrology.runout import READ_WITH_NUTS_NM, Gate
from brakelog.metrology.shares import Mark, NoAdvice
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.bound import BoundState
from brakelog.rules.figure import both_units, counted
from brakelog.rules.judgement_words import limit_words
from brakelog.rules.runout_study import Expected, NoSplit, RunoutRead, RunoutStudy

_ESTIMATE_PLACES = {LengthUnit.MM: 3, LengthUnit.INCH: 4}
"""Decimals of a figure that was worked out: more than any share of a runout is sure of."""


def estimate(nm: float, shop: Shop, against: Iterable[int] = ()) -> str:
    """Return a length that was worked out, in the shop's own unit: ``0.020 mm``."""
    unit = LengthUnit.INCH if shop.unit.is_inch else LengthUnit.MM
    text = print_length(round(nm), unit, decimals=_ESTIMATE_PLACES[unit], against=against)
    return f"{text} {unit.value}"


def near_stud(angle_deg: float, studs: int | None) -> str:
    """Return an angle from stud 1, with the stud that is nearest.

    >>> near_stud(70.2, 5)
    '70 deg, nearest stud 2'
    """
    text = f"{round(angle_deg) % 360} deg"
    if studs is None:
        return text
    return f"{text}, nearest stud {round(angle_deg * studs / 360.0) % studs + 1}"


def limit_sentence(study: RunoutStudy) -> str:
    """Return the runout limit as printed, or why there is none."""
    bound = study.bound
    if bound.strictest is not None:
        text = limit_words(bound, bound.strictest)
        return f"{text[:1].upper()}{text[1:]}."
    if bound.state is BoundState.CONTRADICTS:
        return "The runout limit contradicts itself and decides nothing until it is confirmed."
    return "No runout limit on file: nobody can say whether it must be put right."


def read_sentence(read: RunoutRead, study: RunoutStudy) -> str:
    """Return one runout as it was read, with where the rotor stood."""
    shop, against = study.file.shop, [figure.nm for figure in study.bound.figures]
    size = both_units(read.tir_nm, shop, fine=True, against=against)
    if not read.is_profile:
        return f"Total reading {size}, without angles."
    where = "Index not said" if Gate.INDEX_NOT_SAID in read.gates else f"Index {read.index}"
    if read.index_is_assumed and Gate.INDEX_NOT_SAID not in read.gates:
        where += " (not typed; taken as the first mounting)"
    points = counted(len(read.reading.values_nm), "point")
    text = f"{where}: {size}, highest minus lowest of {points}"
    if read.wave is not None:
        sd1_nm = component_sd1_nm(read.spread.u1r_nm, read.wave.points)
        text += (
            f"; once per turn {estimate(read.wave.peak_to_peak_nm, shop, against)}, "
            f"U2 {estimate(4 * sd1_nm, shop)}"
        )
        if read.wave.amplitude_nm > NOISE_FACTOR * sd1_nm:
            studs = study.studs if study.ask.mark is Mark.HUB else None
            text += f", high at {near_stud(read.wave.high_deg[0], studs)}"
    return f"{text}."


def short_by(read: RunoutRead) -> str:
    """Return by how much highest minus lowest of so few points can be short."""
    points = len(read.reading.values_nm)
    share = 1.0 - worst_share(points, 1)
    return (
        f"Highest minus lowest of {points} points can be up to {100 * share:.0f} % short of a "
        f"runout once per turn; its fitted wave is not."
    )


def gates_sentence(read: RunoutRead) -> str:
    """Return why a runout is not used."""
    text = f"Not used: {'; '.join(gate.value for gate in read.gates)}."
    if Gate.FASTENERS_MISSING in read.gates:
        read_with = [f"{nm / 25_400_000:.3f} in with {n}" for n, nm in READ_WITH_NUTS_NM.items()]
        text += f" A trade text reads one rotor at {', '.join(read_with)} nuts."
    return text


def higher_sentence(read: RunoutRead, shop: Shop) -> str:
    """Return the waves that no stud position cures; empty where there are none."""
    if not read.higher:
        return ""
    waves = ", ".join(
        f"{each.wave.order} per turn {estimate(each.wave.peak_to_peak_nm, shop)}"
        for each in read.higher
    )
    return f"Besides once per turn: {waves}. Turning the rotor on its studs does not cure that."


def no_split_sentences(study: RunoutStudy) -> list[str]:
    """Return why hub and rotor are not told apart, and what is missing for it."""
    assert study.no_split is not None
    text = f"Hub and rotor cannot be told apart: {study.no_split.value}."
    if study.no_split in (NoSplit.STUDS_DIFFER, NoSplit.OTHER_STUDS):
        return [text, "Correct the reading or the sheet that is wrong."]
    turned = study.studs and best_turn(study.studs)
    by = f"by {counted(turned, 'stud')} of {study.studs}" if turned else "by half of its studs"
    recipe = (
        f"read a profile at {enough_points(study.studs)} or more marks, evenly spaced, with all "
        f"nuts torqued "
        f"(nuts=, bearing=ok), turn the rotor {by}, and read the same marks again (index=)."
    )
    if study.no_split is NoSplit.ONE_MOUNTING:
        recipe = (
            f"mark the rotor at stud 1, turn it {by} in the direction in which the points were "
            f"read, torque all nuts, and read the same marks again"
            + (f" (index={turned})." if turned else " (index=).")
        )
    return [text, f"What is missing: {recipe}"]


def enough_points(studs: int | None) -> int:
    """Return how many marks to read: 8, or more where a bend by the nuts would pass for less.

    "At least 8" positions stand in service information of several makers.

    >>> enough_points(5), enough_points(6)
    (8, 10)
    """
    fair = (points for points in (8, 10, 12) if not studs or stud_alias(points, studs) is None)
    return next(fair, 12)


def doubt_sentence(doubt: NoAdvice) -> str:
    """Return why no advice rests on a split."""
    match doubt:
        case NoAdvice.SMALL:
            return "All mountings run out less than 0.02 mm: a split of that is noise."
        case NoAdvice.DISAGREE:
            return (
                "The mountings do not agree with each other: dirt, another torque, or an index "
                "that is wrong. Clean, and read them again."
            )
        case _:
            return f"{doubt.value.capitalize()}: turning the rotor is not known to change much."


def mark_sentence(mark: Mark) -> str:
    """Return where angles count from."""
    if mark is Mark.ROTOR:
        return "Points counted from a mark that travels with the rotor; shares from stud 1."
    return "Angles count from stud 1 of the hub, in the direction in which the points were read."


def expected_words(expected: Expected | None) -> str:
    """``, inside the limit`` and the like; empty without a limit."""
    return "" if expected is None else f", {expected.value}"


def section(title: str, texts: Iterable[str], width: int) -> list[Line]:
    """Return a section of a sheet: its heading, then its paragraphs."""
    lines = [Line(), Line(text=title, role="heading")]
    for text in texts:
        lines += wrapped(text, first="  ", rest="    ", width=width)
    return lines
