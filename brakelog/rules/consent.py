"""Whether the customer agreed to what was fitted."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.agreement import Agreement, Consent, Work, newest_about
from brakelog.record.corner import Corner, axle_name
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem, axle_word
from brakelog.rules.worked import fittings_here

_MOVES = (FittingEvent.MOVED, FittingEvent.REMOVED)


def agreements_open(file: CaseFile, agreements: tuple[Agreement, ...]) -> Iterator[OpenItem]:
    """Yield parts that were fitted or machined without the customer's word.

    Parts that only changed places are no new work.
    """
    fitted = dict.fromkeys(
        (each.corner.axle, each.position.part)
        for each in fittings_here(file)
        if each.event not in _MOVES and each.corner.axle <= len(file.vehicle.brakes)
    )
    uncovered = [
        (axle, part) for axle, part in fitted if not _is_agreed(file, agreements, axle, part)
    ]
    if not uncovered:
        return
    has_any = any(each.consent is Consent.AGREED for each in agreements)
    if not has_any:
        names = ", ".join(f"{axle_name(axle)} {part.value}" for axle, part in uncovered)
        yield _item(
            Gap.NO_AGREEMENT, f"No agreement on record for what was fitted: {names}", uncovered
        )
        return
    for axle, part in uncovered:
        yield _item(
            Gap.NEW_AGREEMENT,
            f"{axle_name(axle).capitalize()} {part.value}: fitted, and not among what the customer "
            f"agreed to: needs a new agreement",
            [(axle, part)],
        )


def _is_agreed(file: CaseFile, agreements: tuple[Agreement, ...], axle: int, part: Part) -> bool:
    corners = {
        each.corner
        for each in fittings_here(file)
        if each.corner.axle == axle and each.position.part is part and each.event not in _MOVES
    }
    return all(_says_yes(agreements, corner, part) for corner in corners)


def _says_yes(agreements: tuple[Agreement, ...], corner: Corner, part: Part) -> bool:
    newest = newest_about(agreements, corner, Work.of(part))
    return newest is not None and newest.consent is Consent.AGREED


def _item(gap: Gap, text: str, parts: list[tuple[int, Part]]) -> OpenItem:
    words = " ".join(f"{axle_word(axle)} {part.value}" for axle, part in parts)
    axle, part = parts[0]
    return OpenItem(
        gap=gap,
        hand=Hand.PAPER,
        text=text,
        do="ask the customer, and record who agreed, when and how",
        line=f"agreed {words} ",
        axle=axle if len(parts) == 1 else None,
        part=part if len(parts) == 1 else None,
    )
