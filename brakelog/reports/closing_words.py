"""The end of a job in words, for the shop and for the customer."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.record.agreement import Agreement
from brakelog.record.corner import axle_name
from brakelog.record.finding import Finding
from brakelog.record.quantity import Part
from brakelog.reports.plain_names import ONE_PART, POSITION_NAMES, place_of
from brakelog.reports.plain_reasons import plain_reason
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Declined
from brakelog.rules.closing_item import Gap, OpenItem
from brakelog.rules.figure import distance
from brakelog.rules.left_parts import required_words
from brakelog.rules.recheck import Basis, Recheck
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


def plain_recheck(file: CaseFile, each: Recheck) -> str:
    """Return an early re-check for the customer."""
    unit = file.shop.distance_unit
    basis = ""
    if each.basis is not Basis.PLANNED:
        basis = " That is half of what the last set lasted."
    return (
        f"Come back early to have the {axle_name(each.axle)} linings looked at: at "
        f"{_whole(each.odometer_mm, unit)} or on {each.day.isoformat()}, whichever is first. The "
        f"old ones wore unevenly, and it is not proven that the cause is gone.{basis}"
    )


def plain_declined(each: Declined) -> str:
    """Return declined work for the customer, with the caution that belongs to it."""
    place = place_of(each.corner).capitalize()
    said = plain_reason(each.part, each.reason)
    said = said.replace(f"{place}: ", f"{place} {ONE_PART[each.part.part]}: ", 1)
    stop = " Please do not drive until it is done." if each.is_unsafe else ""
    return f"{said} You declined this {declined_when(each.agreement)}.{stop}"


def declined_when(agreement: Agreement) -> str:
    """Return when and how something was declined: ``on 2026-03-02 (in person)``."""
    return f"on {agreement.day.isoformat()} ({agreement.how.label})"


def plain_put_right(each: Finding) -> str:
    """Return for the customer what was found and put right."""
    place = place_of(each.corner).capitalize()
    note = f" ({each.note})" if each.note else ""
    return f"{place} {ONE_PART[each.part]}: put right: {each.kind.facts.plain}{note}."


def plain_open(file: CaseFile, closing: Closing) -> tuple[str, ...]:
    """Return what is open for the customer, each sentence once."""
    return tuple(dict.fromkeys(_plain(file, each) for each in closing.open))


def _plain(file: CaseFile, item: OpenItem) -> str:
    place = place_of(item.corner).capitalize() if item.corner else ""
    axle = axle_name(item.axle) if item.axle else ""
    part = ONE_PART[item.part] if item.part else ""
    if item.position is not None and item.position.part in (Part.PADS, Part.SHOES):
        part = POSITION_NAMES[item.position]
    match item.gap:
        case Gap.UNFILED:
            return "Not all that was read has been put on record yet."
        case Gap.NOTHING_FITTED:
            return f"{place} {part}: it was taken off and nothing has been fitted yet."
        case Gap.WRONG_PART:
            return f"{place} {part}: its size is not what we expect; we are checking the part."
        case Gap.SIZE_OUT:
            return f"{place} {part}: what was fitted is past its limit and must come off again."
        case Gap.SIZE_BLANK:
            return f"{place} {part}: it has not been measured yet."
        case Gap.MACHINED:
            return f"{place} {part}: it was machined, and its maker does not allow that."
        case Gap.LIMIT_OPEN:
            where = f"{place} {part}" if place else f"{axle.capitalize()} {part}"
            return f"{where}: we have no dependable limit to judge it by yet."
        case Gap.BY_WHOM:
            return "Who checked the work has not been recorded yet."
        case Gap.ODOMETER_FAR:
            return "The odometer after the road test is not confirmed yet."
        case Gap.NO_BASELINE:
            return f"{place} brake disc: how true it runs has not been recorded yet."
        case Gap.TORQUE_BLANK | Gap.TORQUE_OFF:
            return _plain_torque(item, place or axle.capitalize())
        case Gap.ODOMETER_OUT_BLANK:
            return "The odometer after the road test has not been recorded yet."
        case Gap.NOT_DRIVEN:
            return "The odometer does not show that the road test was driven."
        case Gap.SAID_WRONG:
            where = f"{place} {part}: " if place and part else ""
            text = "a reading is known to be wrong and has not been corrected yet."
            return f"{where}{text}" if where else text.capitalize()
        case Gap.NO_AGREEMENT | Gap.NEW_AGREEMENT:
            return "Your agreement to some of the work is not on our record yet."
        case _:
            return _plain_checked(item, axle)


def _plain_torque(item: OpenItem, place: str) -> str:
    what = "wheels" if item.fastener == "wheel" else "brake"
    if item.gap is Gap.TORQUE_OFF:
        return (
            f"{place} {what}: how tight the fasteners are does not agree with the maker's figure."
        )
    return f"{place} {what}: how tight the fasteners are has not been recorded yet."


def _plain_checked(item: OpenItem, axle: str) -> str:
    if item.check is not None and item.reason is None:
        where = f" ({axle})" if axle else ""
        text = item.check.facts.plain
        return f"{text[:1].upper()}{text[1:]}{where}."
    place = place_of(item.corner).capitalize() if item.corner else ""
    part = ONE_PART[item.part] if item.part else "brakes"
    match item.gap:
        case Gap.LEFT_OUT:
            return f"{place} {part}: it is not in limits yet after our work."
        case Gap.LEFT_NOT_PROVEN:
            return f"{place} {part}: a reading after our work must be taken again."
        case _:
            return f"{place} {part}: work that is needed is neither done nor declined."
