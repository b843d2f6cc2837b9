"""The end of a job in words, for the shop."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.record.agreement import Agreement
from brakelog.record.corner import axle_name
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Declined
from brakelog.rules.figure import distance
from brakelog.rules.left_parts import required_words
from brakelog.rules.recheck import Recheck
from brakelog.rules.sentence import reason_sentence

NOT_TO_BE_DRIVEN = "Not to be driven on."


def declined_words(file: CaseFile, each: Declined) -> str:
    """Return declined work for the people of the shop."""
    said = reason_sentence(each.reason, file.shop)
    when = f"{each.agreement.day.isoformat()} {each.agreement.time}".strip()
    who = ", ".join(text for text in (each.agreement.who, each.agreement.how.label, when) if text)
    stop = f" {NOT_TO_BE_DRIVEN}" if each.is_unsafe else ""
    return (
        f"{each.corner} {each.part.part.value}, {required_words(each.reason)}, declined "
        f"({who}). {said}{stop}"
    )


def newest_agreements(agreements: tuple[Agreement, ...]) -> list[Agreement]:
    """Return the agreements that are the newest about some work, oldest first."""
    newest = {item: each for each in agreements for item in each.items}
    return [each for each in agreements if any(newest[item] is each for item in each.items)]


def agreement_words(each: Agreement) -> str:
    """Return what the customer said: ``agreed: front pads; Pia Quill, phone, 2026-03-02 10:20``."""
    when = f"{each.day.isoformat()} {each.time}".strip()
    said = (each.who, each.how.label, each.number, when, each.cost)
    by = ", ".join(text for text in said if text)
    note = f" ({each.note})" if each.note else ""
    return f"{each.consent.value}: {each.what}; {by}{note}"


def recheck_words(file: CaseFile, each: Recheck) -> str:
    """Return an early re-check for the people of the shop."""
    answered = "not proven" if each.is_answered else "not said to be proven"
    return (
        f"{axle_name(each.axle).capitalize()} axle: look at the linings again after "
        f"{_whole(each.distance_mm, file.shop.distance_unit)}, at "
        f"{_whole(each.odometer_mm, file.shop.distance_unit)} or {each.day.isoformat()}, whichever "
        f"is first. The cause of the uneven wear is {answered} ({'; '.join(each.why)}). Half of "
        f"{each.basis.value}."
    )


def _whole(mm: int, unit: DistanceUnit) -> str:
    """Return a distance, never rounded up: it is the latest that is allowed."""
    return distance(mm // unit.mm * unit.mm, unit)
