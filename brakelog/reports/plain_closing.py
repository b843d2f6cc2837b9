"""The end of a job in plain words, for the customer: what is open, declined, put right."""

from __future__ import annotations

from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.record.agreement import Agreement
from brakelog.record.corner import Corner
from brakelog.record.finding import Finding
from brakelog.record.quantity import Part
from brakelog.reports.language.language import Language, capital
from brakelog.reports.plain_names import (
    axle_part,
    axle_parts,
    axle_words,
    brakes_of,
    finding_words,
    part_at,
    place_of,
    position_at,
)
from brakelog.reports.plain_reasons import plain_reason
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Declined
from brakelog.rules.closing_item import Gap, OpenItem
from brakelog.rules.recheck import Basis, Recheck


def plain_recheck(lang: Language, file: CaseFile, each: Recheck, today: date | None = None) -> str:
    """Return an early re-check for the customer; one that should have been says so."""
    if today is not None and each.day < today:
        axle = axle_words(lang, each.axle)
        return lang.say("back.recheck_past", axle=axle, day=lang.day(each.day))
    said = lang.say(
        "back.recheck",
        axle=axle_words(lang, each.axle),
        odometer=_whole(lang, each.odometer_mm, file.shop.distance_unit),
        day=lang.day(each.day),
    )
    return said if each.basis is Basis.PLANNED else f"{said} {lang.say('back.recheck_half')}"


def _whole(lang: Language, mm: int, unit: DistanceUnit) -> str:
    """Return a distance, never rounded up: it is the latest that is allowed."""
    return lang.distance(mm // unit.mm * unit.mm, unit)


def plain_declined(lang: Language, each: Declined) -> str:
    """Return declined work for the customer, with the caution that belongs to it."""
    said = plain_reason(lang, each.part, each.reason, names_part=True)
    stop = lang.say("declined.stop") if each.is_unsafe else ""
    return " ".join(text for text in (said, declined_when(lang, each.agreement), stop) if text)


def declined_when(lang: Language, agreement: Agreement, corner: Corner | None = None) -> str:
    """Return when and how something was declined, at a corner or altogether."""
    day, how = lang.day(agreement.day), lang.say(f"declined.how.{agreement.how.value}")
    if corner is None:
        return lang.say("declined.when", day=day, how=how)
    return lang.sentence("declined.when_side", place=place_of(lang, corner), day=day, how=how)


def plain_put_right(lang: Language, each: Finding) -> str:
    """Return for the customer what was found and put right."""
    return lang.sentence(
        "done.put_right_note" if each.note else "done.put_right",
        part=part_at(lang, each.corner, each.part),
        finding=finding_words(lang, each),
        note=each.note,
    )


def plain_open(lang: Language, closing: Closing) -> tuple[str, ...]:
    """Return what is open for the customer, each sentence once."""
    return tuple(dict.fromkeys(_open(lang, each) for each in closing.open))


_WHOLE = {
    Gap.UNFILED: "unfiled",
    Gap.BY_WHOM: "by_whom",
    Gap.ODOMETER_FAR: "odometer_far",
    Gap.ODOMETER_OUT_BLANK: "odometer_blank",
    Gap.NOT_DRIVEN: "not_driven",
    Gap.NO_AGREEMENT: "agreement",
    Gap.NEW_AGREEMENT: "agreement",
}
"""What is said in the same words always."""
_OF_PART = {
    Gap.NOTHING_FITTED: "nothing_fitted",
    Gap.WRONG_PART: "wrong_part",
    Gap.SIZE_OUT: "size_out",
    Gap.SIZE_BLANK: "size_blank",
    Gap.MACHINED: "machined",
    Gap.LIMIT_OPEN: "limit_open",
}
"""What is said of one part."""


def _open(lang: Language, item: OpenItem) -> str:
    if item.gap in _WHOLE:
        return lang.say(f"open.{_WHOLE[item.gap]}")
    if item.gap in _OF_PART:
        return lang.sentence(f"open.{_OF_PART[item.gap]}", part=_part(lang, item))
    match item.gap:
        case Gap.NO_BASELINE if item.corner is not None:
            return lang.sentence("open.no_baseline", part=part_at(lang, item.corner, Part.ROTOR))
        case Gap.TORQUE_BLANK | Gap.TORQUE_OFF:
            what = "wheels" if item.fastener == "wheel" else "brake"
            how = "off" if item.gap is Gap.TORQUE_OFF else "blank"
            return lang.sentence(f"open.{what}_{how}", place=_place(lang, item))
        case Gap.SAID_WRONG if item.corner is not None and item.part is not None:
            return lang.sentence("open.said_wrong_part", part=_part(lang, item))
        case Gap.SAID_WRONG:
            return lang.say("open.said_wrong")
        case _:
            return _checked(lang, item)


def _place(lang: Language, item: OpenItem) -> str:
    """Return the corner or the axle of what is open."""
    if item.corner is not None:
        return place_of(lang, item.corner)
    return axle_words(lang, _axle(item))


def _part(lang: Language, item: OpenItem) -> str:
    """Return the part that something is open about, with its place."""
    if item.corner is None:
        axle = _axle(item)
        return brakes_of(lang, axle) if item.part is None else axle_part(lang, axle, item.part)
    if item.position is not None and item.position.part in (Part.PADS, Part.SHOES):
        return position_at(lang, item.corner, item.position)
    return part_at(lang, item.corner, item.part)


def _checked(lang: Language, item: OpenItem) -> str:
    if item.check is not None and item.reason is None:
        what = capital(lang.say(f"check.{item.check.value}"))
        if item.axle is None:
            return lang.say("open.check", what=what)
        return lang.say("open.check_axle", what=what, axle=axle_words(lang, item.axle))
    key = {Gap.LEFT_OUT: "left_out", Gap.LEFT_NOT_PROVEN: "left_not_proven"}
    part = _left(lang, item)
    return lang.sentence(f"open.{key.get(item.gap, 'not_done')}", part=part)


def _left(lang: Language, item: OpenItem) -> str:
    """Return the part that the verdict as left is about; pads and shoes as the pair they are."""
    if item.corner is not None:
        return part_at(lang, item.corner, item.part)
    axle = _axle(item)
    return axle_parts(lang, axle, item.part) if item.part else brakes_of(lang, axle)


def _axle(item: OpenItem) -> int:
    """Return the axle of what is open; whatever is about a part or fastener names it."""
    assert item.axle is not None
    return item.axle
