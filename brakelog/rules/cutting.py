"""Refinish arithmetic: the cut per side, what it would leave, and whether that is allowed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from brakelog.record.corner import Corner
from brakelog.record.gauge import Tips
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Quantity
from brakelog.rules.bound import Bound
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out
from brakelog.rules.judgement import Judgement
from brakelog.rules.measure import Measure
from brakelog.rules.verdict import Because, Cut, Word

_DISCARD = {Part.ROTOR: LimitKind.ROTOR_DISCARD, Part.DRUM: LimitKind.DRUM_DISCARD}
MACHINE_TO = {Part.ROTOR: LimitKind.ROTOR_MACHINE_TO, Part.DRUM: LimitKind.DRUM_MACHINE_TO}


def cut_of(
    file: CaseFile,
    corner: Corner,
    part: Part,
    size_nm: Fraction,
    service: list[Judgement] | tuple[Judgement, ...],
) -> tuple[Because, Word, Cut]:
    """Return whether the part can be refinished, and what would be left of it.

    Cut per side = deepest defect + the shop's clean-up; after the cut = lowest - 2 cuts, for a
    drum highest + 2 cuts. Where somebody said that the lowest point was read down in the groove
    with pointed tips, the groove is in the reading already: then the clean-up only.
    """
    grooves = [
        each.judged_nm
        for each in service
        if each.measure in (Measure.SCORING, Measure.DRUM_SCORING) and each.judged_nm is not None
    ]
    is_in_reading = part is Part.ROTOR and _read_in_groove(file, corner)
    deepest = 0 if is_in_reading else max(grooves, default=0)
    per_side = deepest + file.shop.clean_up_nm
    after = size_nm - 2 * per_side if part is Part.ROTOR else size_nm + 2 * per_side
    bound: Bound = file.bounds.of(MACHINE_TO[part], corner)
    strictest = bound.strictest
    cut = Cut(
        per_side_nm=round(per_side),
        after_nm=round(after),
        machine_to=strictest.limit.as_printed if strictest else "",
    )
    if is_forbidden(file, corner):
        return Because.CUT_IMPOSSIBLE, Word.REPLACE, replace(cut, is_forbidden=True)
    discard = file.bounds.of(_DISCARD[part], corner)
    for figure in discard.figures:
        if is_out(after, figure.limit.comparator, figure.nm):
            gone = replace(cut, discard=figure.limit.as_printed)
            return Because.CUT_IMPOSSIBLE, Word.REPLACE, gone
    if strictest is None:
        return Because.CUT_LIMIT_UNKNOWN, Word.REPLACE, cut
    if any(is_out(after, each.limit.comparator, each.nm) for each in bound.figures):
        return Because.CUT_IMPOSSIBLE, Word.REPLACE, cut
    return Because.CUT_POSSIBLE, Word.REFINISH, cut


def is_forbidden(file: CaseFile, corner: Corner) -> bool:
    """Whether the sheet says that the part must not be machined."""
    return file.traits.get((corner.axle, "machining")) == "not-allowed"


FORBIDDEN = Cut(per_side_nm=0, after_nm=0, machine_to="", is_forbidden=True)


def _read_in_groove(file: CaseFile, corner: Corner) -> bool:
    """Whether every thickness of the corner was read down in its groove with pointed tips."""
    sets = [each for each in file.sets_at(corner, Quantity.ROTOR) if each.measured_nm]
    return bool(sets) and all(each.in_groove is True and each.tips is Tips.POINTED for each in sets)
