"""Which readings may be compared with their neighbours: none that is missing or doubted."""

from __future__ import annotations

from brakelog.record.corner import Corner
from brakelog.record.quantity import Part
from brakelog.record.reading import Datum, ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag import Spot
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import is_answered, touching
from brakelog.rules.verdict import PartVerdict


def judgement_of(part: PartVerdict, measure: Measure) -> Judgement:
    """Return what became of one measure of a part."""
    return next(each for each in part.judgements if each.measure is measure)


def sets_of(file: CaseFile, judgement: Judgement) -> tuple[ReadingSet, ...]:
    """Return the reading sets that a judgement rests on."""
    return tuple(each for each in file.sets if each.id in judgement.set_ids)


def is_usable(file: CaseFile, judgement: Judgement) -> bool:
    """Whether a reading was taken, no question about it is open, and no other set contradicts it.

    A part that is out or not proven still says how it has worn.
    """
    if judgement.value_nm is None or judgement.outcome is Outcome.IN_QUESTION:
        return False
    if Doubt.RE_MEASURED in judgement.doubts:
        return False
    return all(is_answered(file, each) for each in touching(file, sets_of(file, judgement)))


def spot_of(file: CaseFile, part: PartVerdict, measure: Measure) -> Spot | None:
    """Return the deciding size of a wearing part; None where it may not be compared.

    A lining that was read with its backing plate is compared with nothing: plates differ.
    """
    judgement = judgement_of(part, measure)
    position = measure.facts.position
    if position is None or judgement.judged_nm is None or not is_usable(file, judgement):
        return None
    if any(each.datum is Datum.WITH_PLATE for each in sets_of(file, judgement)):
        return None
    return Spot(corner=part.corner, position=position, nm=int(judgement.judged_nm))


LININGS_OF = {
    Part.PADS: (Measure.INNER_LINING, Measure.OUTER_LINING),
    Part.SHOES: (Measure.LEADING_LINING, Measure.TRAILING_LINING),
}
"""The two linings of one wheel."""


def linings_of(file: CaseFile, part: PartVerdict) -> tuple[Spot, Spot] | None:
    """Return both linings of one wheel; None unless both may be compared."""
    one, two = (spot_of(file, part, measure) for measure in LININGS_OF[part.part])
    return None if one is None or two is None else (one, two)


def new_size_nm(file: CaseFile, corner: Corner, measure: Measure) -> int | None:
    """Return the size of a new part as the sheet has it; None where it is not on file. [nm]"""
    kind = measure.facts.new
    if kind is None:
        return None
    bound = file.bounds.of(kind, corner, which_pad=measure.facts.which_pad)
    return bound.figures[0].nm if bound.figures else None
