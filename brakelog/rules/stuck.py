"""Linings that a stuck slide or piston wore: their wear says nothing of what comes after it."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.corner import Corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile

FAULTS = (FindingKind.STUCK_SLIDE, FindingKind.STUCK_PISTON)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fault:
    """One fault, from the visit that found it to the one that put it right."""

    found: Visit
    cured: Visit | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """The visit since which a lining wears free of a fault."""

    visit: Visit


def worn_free_since(
    file: CaseFile, corner: Corner, part: Part, begun: Fitting | None, until: Visit | None = None
) -> Cure | None:
    """Return the earlier visit in which the last fault that wore a lining was put right.

    Parameters
    ----------
    file : CaseFile
        The case.
    corner : Corner
        The corner.
    part : Part
        The lining; other parts have no such faults.
    begun : Fitting or None
        The event that put it there.
    until : Visit, optional
        The visit that ended its life; the judged one unless given.

    Returns
    -------
    Cure or None
        None where no fault wore it, or the only ones are of the judged visit.
    """
    faults = _faults(file, corner, part, begun)
    if not faults:
        return None
    order = file.placed.order
    last = order[(until or file.visit).id]
    cured = [
        fault.cured
        for fault in faults
        if fault.cured is not None
        and order[fault.found.id] <= last
        and (until is not None or order[fault.found.id] < last)
    ]
    return Cure(visit=max(cured, key=lambda visit: order[visit.id])) if cured else None


def stuck_text(
    file: CaseFile,
    corner: Corner,
    part: Part,
    begun: Fitting | None,
    until: Visit | None = None,
    *,
    is_freed: bool = False,
) -> str | None:
    """Return why no rate can be taken from the wear of a lining; None where one can.

    A fault that the judged visit found wore what it measured. One of an earlier visit goes on
    wearing until somebody says that it was put right; ``is_freed`` takes it that what the judged
    visit found is put right with the work that it orders.
    """
    if part not in (Part.PADS, Part.SHOES):
        return None
    faults = _faults(file, corner, part, begun)
    if not faults:
        return None
    order = file.placed.order
    last = order[(until or file.visit).id]
    # A lining put on in the visit that found it did not wear by it so far.
    is_fresh = until is None and begun is not None and begun.visit_id == file.visit.id
    for fault in faults:
        if order[fault.found.id] == last and not is_fresh:
            return "a slide or piston was stuck, and no rate can be taken from wear by a fault"
        if is_freed and order[fault.found.id] == last:
            continue
        if order[fault.found.id] <= last and fault.cured is None:
            return (
                f"a slide or piston was stuck on {fault.found.day}, and nobody has said that it "
                "was put right"
            )
    return None


def _faults(file: CaseFile, corner: Corner, part: Part, begun: Fitting | None) -> list[_Fault]:
    """Return the faults that wore, or may have worn, what has been on the car since a fitting.

    What the visit of the fitting found wore the part that came off, where it was put right then.
    """
    findings: list[Finding] = [
        each
        for each in (*file.earlier_findings, *file.findings)
        if each.kind in FAULTS and each.corner == corner and each.part is part
    ]
    if not findings:
        return []
    order = file.placed.order
    visits = {visit.id: visit for visit in file.visits}
    first = order[begun.visit_id] if begun else -1
    faults: list[_Fault] = []
    for kind in FAULTS:
        found: Finding | None = None
        mine = [each for each in findings if each.kind is kind]
        for each in sorted(mine, key=lambda one: order[one.visit_id]):
            if not each.put_right:
                found = found or each
            elif found is not None:
                faults.append(_Fault(found=visits[found.visit_id], cured=visits[each.visit_id]))
                found = None
        if found is not None:
            faults.append(_Fault(found=visits[found.visit_id], cured=None))
    return [fault for fault in faults if fault.cured is None or order[fault.cured.id] > first]
