"""The counter sheet: a verdict that a service writer can read aloud from."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from brakelog.record.corner import axle_name
from brakelog.record.reading import Stage
from brakelog.reports.counter_part import Sources, axle_part, is_fitted
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.reports.wear_notes import wear_notes
from brakelog.reports.what_follows import what_follows
from brakelog.rules.figure import counted, distance
from brakelog.rules.part import next_planned_mm
from brakelog.rules.questioning import is_answered
from brakelog.rules.unfiled import going_on, unfiled_count
from brakelog.rules.verdict import (
    PartVerdict,
    VehicleVerdict,
)

if TYPE_CHECKING:
    from brakelog.rules.closing import Closing

CAUTION = (
    "These verdicts are arithmetic on what was typed. A qualified person decides, and the "
    "inspection law of the place applies."
)


def counter_sheet(
    verdict: VehicleVerdict,
    *,
    width: int = WIDTH,
    today: date | None = None,
    closing: Closing | None = None,
) -> list[Line]:
    """Return the counter sheet as lines; says how old the readings are where today is given.

    The end of the job stands on it where it is given; it is no part of the verdict.
    """
    sources = Sources()
    lines = head_lines(verdict, width)
    lines += stale_lines(verdict, today, width)
    lines += at_a_glance(verdict, width)
    lines += local_rules_lines(verdict, width, glance=True)
    if closing is not None:
        from brakelog.reports.closing_section import closing_section

        lines += closing_section(verdict.file, closing, width)
    for axle, of_axle in groupby(verdict.axles, key=lambda each: each.axle):
        lines += [Line(), Line(text=axle_title(axle), role="heading")]
        for each in of_axle:
            lines += axle_part(verdict, each, sources, width)
        lines += what_follows(verdict, axle, width)
    lines += wear_notes(verdict, width)
    lines += local_rules_lines(verdict, width)
    lines += _foot(verdict, sources, width)
    return lines


def local_rules_lines(verdict: VehicleVerdict, width: int, *, glance: bool = False) -> list[Line]:
    """Return what local rules say, where any are on; else nothing is loaded for them."""
    if not verdict.file.packs:
        return []
    from brakelog.reports.local_rules import local_rules_glance, local_rules_section

    return (local_rules_glance if glance else local_rules_section)(verdict, width)


def stale_lines(verdict: VehicleVerdict, today: date | None, width: int) -> list[Line]:
    """Say how old the readings are, where the next planned visit should have been by now."""
    if today is None or not verdict.is_stale(today):
        return []
    return wrapped(
        f"These readings are {verdict.months_old(today)} months old. What was measured since "
        f"is not on file; measure again before you decide.",
        rest="  ",
        role="open",
        width=width,
    )


def head_lines(verdict: VehicleVerdict, width: int) -> list[Line]:
    """Return whose brakes they are, as of when, the complaint, and whether entry was finished."""
    file = verdict.file
    visit, vehicle = file.visit, file.vehicle
    name = vehicle.tag + (f", {vehicle.description}" if vehicle.description else "")
    when = (
        f"As of {visit.day.isoformat()}, {distance(visit.odometer_mm, visit.odometer_unit)}, "
        f"{file.stage.value}"
    )
    if file.stage is Stage.AS_LEFT and visit.odometer_out_mm is not None:
        when += f", out at {distance(visit.odometer_out_mm, visit.odometer_unit)}"
    lines = [Line(text=shown(f"Brakes of {name}"), role="title"), Line(text=when)]
    if visit.moved_from is not None:
        lines += wrapped("This visit was first entered for another vehicle.", width=width)
    if visit.complaint:
        lines += wrapped(f"Complaint: {visit.complaint}", rest="  ", width=width)
    if file.unfiled:
        lines += wrapped(
            f"Entry is not finished: {counted(unfiled_count(file), 'answer')} not filed yet, and "
            f"not judged. Go on with: {going_on(file)}",
            role="open",
            rest="  ",
            width=width,
        )
    return lines


def at_a_glance(verdict: VehicleVerdict, width: int) -> list[Line]:
    """Return what is required, suggested and not judged, each on a line of its own."""
    lines = [Line()]
    fitted = [each for each in verdict.parts if is_fitted(verdict, each)]
    not_judged = tuple(each for each in verdict.not_judged if each not in fitted)
    for title, role, parts in (
        ("Required", "required", verdict.required),
        ("Suggested", "suggested", verdict.suggested),
        ("Not judged", "open", not_judged),
    ):
        texts = [f"{each.corner} {each.part.value} {_word_for(each, role)}" for each in parts]
        text = "; ".join(texts) if texts else "nothing"
        lines += wrapped(
            f"{title}: {text}.", rest="  ", role=role if texts else "plain", width=width
        )
    if fitted:
        names = "; ".join(f"{each.corner} {each.part.value}" for each in fitted)
        lines += wrapped(f"Fitted and measured today: {names}.", rest="  ", width=width)
    asked = [each for each in verdict.file.questions if not is_answered(verdict.file, each)]
    if asked:
        text = (
            f"Asked: {counted(len(asked), 'question')} open about the readings; see brakelog "
            f"answer {verdict.file.vehicle.tag}."
        )
        lines += wrapped(text, rest="  ", role="open", width=width)
    return lines


def _word_for(part: PartVerdict, role: str) -> str:
    """The word of the part, or of the required action that is open beside it."""
    return part.required[0].word.value if role == "required" else part.word.value


def axle_title(axle: int) -> str:
    """``Front axle``, ``Axle 3``."""
    name = axle_name(axle).capitalize()
    return name if "axle" in name.lower() else f"{name} axle"


def _foot(verdict: VehicleVerdict, sources: Sources, width: int) -> list[Line]:
    return [
        Line(),
        *sources.lines(width),
        *wrapped(how_it_was_judged(verdict), role="quiet", width=width),
        *wrapped(CAUTION, width=width),
    ]


def how_it_was_judged(verdict: VehicleVerdict) -> str:
    """Return the rule that a number was judged by."""
    shop = verdict.file.shop
    planned = distance(next_planned_mm(verdict.file), shop.distance_unit)
    return (
        f"p is the probability that the part conforms (JCGM 106); from "
        f"{float(shop.probability):.2f} on it counts as in limits. A reading beyond a limit is "
        f"out whatever its uncertainty. U2 is twice the standard uncertainty of a reading: the "
        f"gauge's step and error limit, its repeatability, the part's warmth. Next planned visit "
        f"after {planned}. Rules {verdict.policy[:12]}."
    )
