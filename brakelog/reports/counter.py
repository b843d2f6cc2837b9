"""The counter sheet: a verdict that a service writer can read aloud from."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from brakelog.record.corner import axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting
from brakelog.record.limit import Limit
from brakelog.record.reading import Stage
from brakelog.record.shop import Shop
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.reports.wear_notes import wear_notes
from brakelog.reports.what_follows import what_follows
from brakelog.rules.bound import BoundState
from brakelog.rules.figure import counted, distance
from brakelog.rules.judgement_words import full_source, judgement_sentence, service_phrase
from brakelog.rules.life_words import life_sentence
from brakelog.rules.lives import PositionLife
from brakelog.rules.measure import Measure
from brakelog.rules.part import next_planned_mm
from brakelog.rules.questioning import is_answered
from brakelog.rules.sentence import reason_sentence
from brakelog.rules.verdict import (
    AxleVerdict,
    Grounds,
    PartVerdict,
    Reason,
    VehicleVerdict,
    Word,
)
from brakelog.rules.world_words import PLURAL

if TYPE_CHECKING:
    from brakelog.rules.closing import Closing

CAUTION = (
    "These verdicts are arithmetic on what was typed. A qualified person decides, and the "
    "inspection law of the place applies."
)


class Sources:
    """Sources of limits, named once at the foot and by number above."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def cite(self, limit: Limit) -> str:
        """Return the number that stands for the source of a limit."""
        number = self._numbers.setdefault(full_source(limit), len(self._numbers) + 1)
        return f"source {number}"

    def lines(self, width: int) -> list[Line]:
        """Return the list of sources."""
        return [
            line
            for source, number in self._numbers.items()
            for line in wrapped(f"Source {number}: {source}", rest="  ", width=width)
        ]


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
    lines += _local_rules(verdict, width, glance=True)
    if closing is not None:
        from brakelog.reports.closing_section import closing_section

        lines += closing_section(verdict.file, closing, width)
    for axle, of_axle in groupby(verdict.axles, key=lambda each: each.axle):
        lines += [Line(), Line(text=axle_title(axle), role="heading")]
        for each in of_axle:
            lines += axle_part(verdict, each, sources, width)
        lines += what_follows(verdict, axle, width)
    lines += wear_notes(verdict, width)
    lines += _local_rules(verdict, width)
    lines += _foot(verdict, sources, width)
    return lines


def _local_rules(verdict: VehicleVerdict, width: int, *, glance: bool = False) -> list[Line]:
    """Return what local rules say, where any are on; else nothing is loaded for them."""
    if not verdict.file.packs:
        return []
    from brakelog.reports.local_rules import local_rules_glance, local_rules_section

    return (local_rules_glance if glance else local_rules_section)(verdict, width)


def verdict_words(word: Word, grounds: Grounds | None) -> str:
    """``replace, required`` and the like."""
    return f"{word.value}, {grounds.value}" if grounds else word.value


def _role(word: Word, grounds: Grounds | None) -> str:
    if grounds is not None:
        return grounds.value
    return "plain" if word is Word.REUSE else "open"


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
            f"Entry is not finished: {counted(file.unfiled, 'answer')} not filed yet, and not "
            f"judged. "
            f"Go on with: brakelog measure {vehicle.tag}",
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


def is_fitted(verdict: VehicleVerdict, part: PartVerdict) -> bool:
    """Whether the part went on in this visit and is known by the size that it had then."""
    if verdict.file.stage is Stage.AS_FOUND:
        return False
    from brakelog.reports.plain_reasons import fitted_today

    return bool(fitted_today(verdict, part))


def _word_for(part: PartVerdict, role: str) -> str:
    """The word of the part, or of the required action that is open beside it."""
    return part.required[0].word.value if role == "required" else part.word.value


def axle_title(axle: int) -> str:
    """``Front axle``, ``Axle 3``."""
    name = axle_name(axle).capitalize()
    return name if "axle" in name.lower() else f"{name} axle"


def axle_part(
    verdict: VehicleVerdict, axle: AxleVerdict, sources: Sources, width: int
) -> list[Line]:
    """Return one kind of part of an axle: its word, then either side with its reasons."""
    sides = sides_of(verdict, axle)
    lines = [
        Line(),
        Line(
            text=f"  {axle_words(axle)}",
            role=_role(axle.word, axle.grounds),
        ),
    ]
    for side in sides:
        lines += _part(verdict, side, sources, width)
    return lines


def axle_words(axle: AxleVerdict) -> str:
    """``Front pads: replace, suggested``."""
    name = f"{axle_name(axle.axle)} {PLURAL[axle.part]}".capitalize()
    return f"{name}: {verdict_words(axle.word, axle.grounds)}"


def sides_of(verdict: VehicleVerdict, axle: AxleVerdict) -> list[PartVerdict]:
    """Return both sides of one kind of part of an axle."""
    return [
        each for each in verdict.parts if each.corner.axle == axle.axle and each.part is axle.part
    ]


def _part(verdict: VehicleVerdict, part: PartVerdict, sources: Sources, width: int) -> list[Line]:
    shop = verdict.file.shop
    words, role = part_words(verdict, part)
    lines = [Line(text=f"    {part.corner}: {words}", role=role)]
    fittings = verdict.file.fittings_at(part.corner, part.part)
    for text in _texts(part, fittings, shop, sources):
        lines += wrapped(text, first="       - ", rest="         ", width=width)
    for text in (*how_far(part, shop), *noted(part)):
        lines += wrapped(text, first="       - ", rest="         ", width=width)
    gaps = gaps_of(part)
    if gaps:
        lines += wrapped(
            f"{'; '.join(gaps).capitalize()}.",
            first="       - ",
            rest="         ",
            role="quiet",
            width=width,
        )
    return lines


def part_words(verdict: VehicleVerdict, part: PartVerdict) -> tuple[str, str]:
    """Return the word of a part with its grounds, and its role."""
    if is_fitted(verdict, part):
        return "fitted", "plain"
    return verdict_words(part.word, part.grounds), _role(part.word, part.grounds)


def how_far(part: PartVerdict, shop: Shop) -> list[str]:
    """Return how far a part will go, unless it must go now or a reason said so already."""
    if part.word is Word.REPLACE and part.grounds is Grounds.REQUIRED:
        return []
    told = {id(reason.life) for reason in part.reasons if reason.life is not None}
    return [
        f"How far, {life.position.label}: {life_sentence(life, shop)}"
        for life in _limiting(part)
        if id(life) not in told
    ]


def noted(part: PartVerdict) -> list[str]:
    """Return the findings of a part that are noted only."""
    texts = []
    for finding in part.noted:
        label = "" if finding.kind is FindingKind.OTHER else finding.kind.facts.label
        texts.append(f"Noted: {': '.join(text for text in (label, finding.note) if text)}.")
    return texts


def _texts(
    part: PartVerdict, fittings: tuple[Fitting, ...], shop: Shop, sources: Sources
) -> list[str]:
    """Return the reasons, then what else was measured, each once."""
    if is_untouched(part):
        return instead_of_readings(part, fittings)
    texts, told = reasons_told(part.reasons, shop, sources)
    rest = [j for j in part.judgements if j.value_nm is not None and j.measure not in told]
    texts += [judgement_sentence(j, shop, sources.cite) for j in rest if j.measure.facts.is_safety]
    service = [service_phrase(j, shop) for j in rest if not j.measure.facts.is_safety]
    if service:
        texts.append(f"Also read: {'; '.join(service)}.")
    return list(dict.fromkeys(text for text in texts if text))


def reasons_told(
    reasons: Iterable[Reason], shop: Shop, sources: Sources
) -> tuple[list[str], set[Measure]]:
    """Return reasons in full, a reading only where it was not told before, and which were told."""
    told: set[Measure] = set()
    texts = []
    for reason in reasons:
        measure = reason.judgement.measure if reason.judgement else None
        texts.append(reason_sentence(reason, shop, sources.cite, with_reading=measure not in told))
        if measure is not None:
            told.add(measure)
    return texts, told


def is_untouched(part: PartVerdict) -> bool:
    """Whether nothing was read of a part, and nothing is required of it."""
    return all(each.value_nm is None for each in part.judgements) and not part.required


def instead_of_readings(part: PartVerdict, fittings: tuple[Fitting, ...]) -> list[str]:
    """Return what is said of a part that nobody measured."""
    return _fitted(fittings) or [_untouched(part)]


def _untouched(part: PartVerdict) -> str:
    """Return one line for a part that nobody measured, instead of one for each measure."""
    bounds = [each.bound for each in part.judgements if each.measure.facts.is_safety]
    if all(bound.state is BoundState.MISSING for bound in bounds):
        return "Not inspected. No limit on file for it either."
    return "Not inspected."


def _fitted(fittings: tuple[Fitting, ...]) -> list[str]:
    """Return what was fitted in this visit and not measured again as left."""
    return [
        f"{each.position.label.capitalize()} {each.event.value}, {each.size_typed.strip()} "
        f"{each.basis.value} at fitting; not measured as left."
        for each in fittings
        if each.size_typed
    ]


def _limiting(part: PartVerdict) -> list[PositionLife]:
    """Return the life that ends first, or the first that says why nothing can be said."""
    stated = [life for life in part.lives if life.projection.at_least_mm is not None]
    if stated:
        return [min(stated, key=lambda life: life.projection.at_least_mm or 0)]
    return list(part.lives[:1])


def gaps_of(part: PartVerdict) -> list[str]:
    """Return what was not measured or looked at of a part that was judged."""
    gaps = []
    if part.not_measured:
        gaps.append("not measured: " + ", ".join(each.value for each in part.not_measured))
    if not part.condition_recorded:
        gaps.append("condition not recorded")
    return gaps


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
