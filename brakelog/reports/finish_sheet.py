"""The state of a job at its end, for the tech at the car."""

from __future__ import annotations

from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.corner import axle_name
from brakelog.record.torque import Fastener
from brakelog.reports.closing_words import (
    agreement_words,
    declined_words,
    newest_agreements,
    recheck_words,
)
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.closing_item import Gap, OpenItem
from brakelog.rules.figure import counted, distance
from brakelog.rules.left_torques import wanted_for
from brakelog.rules.tightening import STEPS

CHECK = "check"
"""The word that a line about a check begins with."""


def finish_sheet(file: CaseFile, closing: Closing, *, width: int = WIDTH) -> list[Line]:
    """Return what is open, in the order of the hand, then what is on record."""
    vehicle, visit = file.vehicle, file.visit
    name = vehicle.tag + (f", {vehicle.description}" if vehicle.description else "")
    when = f"Visit of {visit.day.isoformat()}, {distance(visit.odometer_mm, visit.odometer_unit)}"
    if visit.odometer_out_mm is not None:
        when += f", out at {distance(visit.odometer_out_mm, visit.odometer_unit)}"
    lines = [Line(text=shown(f"Finishing {name}"), role="title"), Line(text=when), Line()]
    lines += _status(closing, width)
    if closing.earlier is not None:
        day = closing.earlier.isoformat()
        lines += wrapped(
            shown(
                f"The job of {day} is not finished: brakelog finish {vehicle.tag} --visit {day}."
            ),
            role="open",
            width=width,
        )
    for number, item in enumerate(closing.open, start=1):
        lines += _open(number, item, width)
    lines += _cautions(closing, width)
    lines += _on_record(closing, width)
    for title, texts in (
        ("Declined", [declined_words(file, each) for each in closing.declined]),
        ("Early re-check", [recheck_words(file, each) for each in closing.rechecks]),
        ("Notes", list(closing.notes)),
    ):
        lines += _listed(title, texts, width)
    return lines


def _status(closing: Closing, width: int) -> list[Line]:
    match closing.status:
        case Status.NO_WORK:
            return wrapped("Nothing to finish: nothing was worked on in this visit.", width=width)
        case Status.FINISHED:
            return [Line(text="FINISHED", role="heading")]
        case _:
            count = counted(len(closing.open), "thing")
            return [Line(text=f"NOT FINISHED: {count} open", role="required")]


def _open(number: int, item: OpenItem, width: int) -> list[Line]:
    stop = "" if item.text.endswith(("?", ".")) else "."
    lines = wrapped(
        f"{number}. {item.text}{stop}",
        first="  ",
        rest="     ",
        role="open" if item.gap.is_blank else "required",
        width=width,
    )
    if item.gap is not Gap.CHECK_BLANK:
        lines += wrapped(f"{item.do[:1].upper()}{item.do[1:]}.", first="     ", width=width)
    if item.line:
        lines += wrapped(
            f"type: {item.line}{_answers(item)}", first="     ", role="quiet", width=width
        )
    return lines


def _answers(item: OpenItem) -> str:
    """Return the words that a line may end with, where there are only a few."""
    words = item.line.split()
    if words[0] != CHECK:
        return "..."
    return "/".join(Check(words[1]).facts.answers)


def _cautions(closing: Closing, width: int) -> list[Line]:
    """Say each caution that belongs to something open, once."""
    texts = [
        item.check.facts.caution
        for item in closing.open
        if item.check is not None and item.check.facts.caution
    ]
    return _listed("Take care", list(dict.fromkeys(texts)), width)


def _on_record(closing: Closing, width: int) -> list[Line]:
    record = closing.record
    texts = [torque_words(closing, each) for each in newest_torques(closing)]
    texts += [
        f"{axle_name(each.axle).capitalize()} wheels: {STEPS}, {each.order}"
        for each in closing.orders
    ]
    texts += [said_words(each) for each in newest_answers(closing)]
    texts += [agreement_words(each) for each in newest_agreements(record.agreements)]
    return _listed("On record", texts, width)


def newest_answers(closing: Closing) -> list[ClosingAnswer]:
    """Return what was said last about each thing, without what was taken back."""
    newest = {each.about: each for each in closing.record.answers}
    return [each for each in newest.values() if not each.is_taken_back]


def said_words(each: ClosingAnswer) -> str:
    """Return an answer with its question: ``Fluid level? Between``."""
    place = each.corner.code if each.corner else axle_name(each.axle) if each.axle else ""
    part = f" {each.part.value}" if each.part else ""
    where = f"{place[:1].upper()}{place[1:]}{part}: " if place else ""
    note = f" ({each.note})" if each.note else ""
    said = each.said.replace("-", " ").capitalize()
    return f"{where}{each.check.facts.question} {said}{note}"


def newest_torques(closing: Closing) -> list[TorqueLeft]:
    """Return what was put on file last for each fastener, without what was taken back."""
    newest = {(each.axle, each.corner, each.fastener): each for each in closing.record.torques}
    return [each for each in newest.values() if not each.is_taken_back]


def torque_words(closing: Closing, each: TorqueLeft) -> str:
    """Return a torque with that of the sheet: ``front wheel bolts: 110 N·m; sheet 110 N·m``."""
    kind = next((f for f in Fastener if f.value == each.fastener), None)
    place = each.corner.code if each.corner else axle_name(each.axle)
    wanted = wanted_for(closing.record.wanted, each.axle, each.fastener)
    sheet = f"; sheet {' or '.join(w.figure for w in wanted)}" if wanted else ""
    figure = each.figure or "not undone"
    return f"{place} {kind.label if kind else each.fastener}: {figure}{sheet}"


def _listed(title: str, texts: list[str], width: int) -> list[Line]:
    if not texts:
        return []
    lines = [Line(), Line(text=title, role="heading")]
    for text in texts:
        lines += wrapped(text, first="  - ", rest="    ", width=width)
    return lines
