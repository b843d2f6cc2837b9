"""Findings that hold: of whatever visit, and neither put right nor gone with the part."""

from __future__ import annotations

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, Finding
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import POSITIONS_OF, Part
from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile


def holding_findings(file: CaseFile, corner: Corner, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a part, of every visit up to the judged one, that still hold.

    What condemns a part goes with it when all of its positions are fitted anew; what a cut takes
    away goes with the cut. What must be put right holds until somebody says that it was.
    """
    found = [
        each
        for each in (*file.earlier_findings, *file.findings)
        if each.corner == corner and each.part is part
    ]
    if not found:
        return ()
    order = file.placed.order
    holding: list[Finding] = []
    for each in sorted(found, key=lambda one: (order[one.visit_id], one.stage is Stage.AS_LEFT)):
        if each.put_right:
            first = next((one for one in holding if one.kind is each.kind), None)
            if first is not None:
                holding.remove(first)
        else:
            holding.append(each)
    return tuple(each for each in holding if not _is_gone(file, corner, part, each))


def _is_gone(file: CaseFile, corner: Corner, part: Part, finding: Finding) -> bool:
    """Whether the part that a finding was made on has been changed, or cut, since."""
    effect = finding.kind.facts.effect
    if effect is Effect.CORRECT:
        return False
    ends = {FittingEvent.NEW, FittingEvent.USED, FittingEvent.MOVED, FittingEvent.REMOVED}
    if effect is Effect.MACHINE:
        ends.add(FittingEvent.REFINISHED)
    order = file.placed.order
    found = order[finding.visit_id]
    # What was seen as left was seen on the part that the visit had put on.
    first = found + (finding.stage is Stage.AS_LEFT)
    last = order[file.visit.id] - (file.stage is Stage.AS_FOUND)
    changed = {
        event.position
        for position in POSITIONS_OF[part]
        for event in file.placed.events_at(corner, position)
        if event.event in ends and first <= order.get(event.visit_id, -1) <= last
    }
    return changed.issuperset(POSITIONS_OF[part])
