"""Who checked and tightened: what nobody put their initials to, nobody answers for."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.closing import ClosingAnswer, TorqueLeft, answers_that_stand
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.left_torques import torque_at
from brakelog.rules.worked import corners_of

_MOST_NAMED = 4


def by_whom(
    file: CaseFile, answers: tuple[ClosingAnswer, ...], torques: tuple[TorqueLeft, ...]
) -> Iterator[OpenItem]:
    """Yield, once, the answers and torques that count and that nobody's initials stand beside."""
    newest = {each.about: each for each in answers_that_stand(answers)}
    held = {
        each.id: each
        for axle in range(1, len(file.vehicle.brakes) + 1)
        for corner in corners_of(axle)
        for fastener in dict.fromkeys(torque.fastener for torque in torques)
        if (each := torque_at(torques, corner, fastener)) is not None
    }
    names = [each.check.value for each in newest.values() if each.person_id is None]
    names += [f"{each.fastener} torque" for each in held.values() if each.person_id is None]
    if not names:
        return
    known = list(dict.fromkeys(names))
    more = len(known) - _MOST_NAMED
    named = ", ".join(known[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
    yield OpenItem(
        gap=Gap.BY_WHOM,
        hand=Hand.PAPER,
        text=f"By whom? Nobody's initials are on record for: {named}",
        do="type them again with --by and the initials of who did it, or set BRAKELOG_BY",
    )
