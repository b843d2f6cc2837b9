"""What new linings ask of the iron that stays: rotors must outlast them, drums must be smooth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import TypeAlias

from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile
from brakelog.rules.cutting import cut_of
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.judging import judge_measure, least_favourable_nm, sizes_if_real
from brakelog.rules.matching import life_match
from brakelog.rules.measure import Measure
from brakelog.rules.part import with_reason
from brakelog.rules.verdict import Because, Grounds, Option, PartVerdict, Reason, Word

Places: TypeAlias = Mapping[tuple[Corner, Part], PartVerdict]

GROOVED_NM = 100_000
"""Depth from which a drum counts as grooved for new shoes: 0.10 mm, as deep as the clean-up of a
cut; assumption. With the shoes that wore into it, a grooved drum is left alone; makers say so.
[nm]"""


def with_new_linings(file: CaseFile, by_place: Places) -> dict[tuple[Corner, Part], PartVerdict]:
    """Return the verdicts with what new pads or shoes ask of rotors and drums."""
    return {
        place: _asked(file, verdict, by_place) if place[1] in _LINING_OF else verdict
        for place, verdict in by_place.items()
    }


_LINING_OF = {Part.ROTOR: Part.PADS, Part.DRUM: Part.SHOES}


def _asked(file: CaseFile, verdict: PartVerdict, by_place: Places) -> PartVerdict:
    corner = verdict.corner
    if not _new_go_on(file, corner, _LINING_OF[verdict.part], by_place):
        return verdict
    if verdict.part is Part.ROTOR:
        return _rotor(file, verdict, by_place[corner, Part.PADS])
    return _drum(file, verdict)


def _new_go_on(file: CaseFile, corner: Corner, part: Part, by_place: Places) -> bool:
    """Whether new linings go on: the set is to be replaced, or has been in this visit."""
    if file.stage is Stage.AS_LEFT and any(
        each.event is FittingEvent.NEW for each in file.fittings_at(corner, part)
    ):
        return True
    return any(
        reason.word is Word.REPLACE
        for side in (corner, corner.mate)
        for reason in by_place[side, part].reasons
    )


def _rotor(file: CaseFile, verdict: PartVerdict, pads: PartVerdict) -> PartVerdict:
    rotor = verdict.judgements[0]
    goes = (verdict.word, verdict.grounds) == (Word.REPLACE, Grounds.REQUIRED)
    if rotor.judged_nm is None or goes or rotor.outcome is Outcome.IN_QUESTION:
        return verdict
    cut = next((each.cut for each in verdict.reasons if each.because is Because.CUT_POSSIBLE), None)
    real = [nm for _, nm in sizes_if_real(file, verdict.corner, rotor.measure)]
    size_nm = min([rotor.judged_nm, *real])
    removed_nm = rotor.judged_nm - cut.after_nm if cut else 0
    now_nm = size_nm - removed_nm
    worn, linings = _worn_together(file, verdict.corner, rotor, pads)
    match = life_match(file, verdict.corner, worn, linings, now_nm)
    if match is None:
        return verdict
    verdict = replace(verdict, match=match)
    if cut is None and rotor.outcome is Outcome.IN:
        option = cut_today(file, verdict)
        if option is not None and option.because is not Because.CUT_LIMIT_UNKNOWN:
            after = Fraction(option.cut.after_nm)
            then = life_match(file, verdict.corner, worn, linings, after)
            verdict = replace(verdict, option=replace(option, match=then))
    if not match.is_out:
        return verdict
    return with_reason(
        verdict,
        Reason(
            because=Because.WILL_NOT_OUTLAST_PADS,
            word=Word.REPLACE,
            grounds=Grounds.SUGGESTED,
            judgement=rotor,
            match=match,
        ),
    )


def cut_today(file: CaseFile, verdict: PartVerdict) -> Option | None:
    """Return what a cut would do to a rotor or drum; None where its size was not read.

    It counts from the worst size that the visit knows, those included that it would have if an
    open question were right.
    """
    size = verdict.judgements[0]
    if size.judged_nm is None:
        return None
    corner, measure = verdict.corner, size.measure
    sizes = [size.judged_nm, *(nm for _, nm in sizes_if_real(file, corner, measure))]
    if _was_read_again(file, corner, size):
        least = least_favourable_nm(file, corner, measure)
        sizes += [] if least is None else [least]
    worst = (min if measure.facts.limit.facts.least else max)(sizes)
    because, _, cut = cut_of(file, corner, verdict.part, worst, verdict.judgements)
    return Option(because=because, cut=cut)


def _was_read_again(file: CaseFile, corner: Corner, size: Judgement) -> bool:
    """Whether the visit has more sets of a size than the one that was judged."""
    sets = {
        each.id
        for quantity in size.measure.facts.quantities
        for each in file.sets_at(corner, quantity)
        if each.measured_nm
    }
    return not sets.issubset(size.set_ids)


def _worn_together(
    file: CaseFile, corner: Corner, rotor: Judgement, pads: PartVerdict
) -> tuple[Judgement, tuple[Judgement, ...]]:
    """Return rotor and linings as they wore together: as found, where pads are new as left."""
    safety = tuple(each for each in pads.judgements if each.measure.facts.is_safety)
    is_changed = any(
        file.was_changed(corner, quantity)
        for each in safety
        for quantity in each.measure.facts.quantities
    ) or file.was_changed(corner, Quantity.ROTOR)
    if file.stage is Stage.AS_FOUND or not is_changed:
        return rotor, safety
    before = replace(file, stage=Stage.AS_FOUND)
    found = tuple(judge_measure(before, corner, each.measure) for each in safety)
    return judge_measure(before, corner, Measure.ROTOR_THICKNESS), found


def _drum(file: CaseFile, verdict: PartVerdict) -> PartVerdict:
    """Suggest a cut for a grooved drum that gets new shoes; with its old shoes it is left alone."""
    depths = [
        each.judged_nm
        for each in verdict.judgements
        if each.measure is Measure.DRUM_SCORING and each.judged_nm is not None
    ]
    size = verdict.judgements[0].judged_nm
    is_new = file.stage is Stage.AS_LEFT and any(
        each.position is Position.DRUM for each in file.fittings_at(verdict.corner, Part.DRUM)
    )
    if is_new or size is None or max(depths, default=Fraction(0)) < GROOVED_NM:
        return verdict
    option = cut_today(file, verdict)
    assert option is not None
    word = Word.REFINISH if option.because is Because.CUT_POSSIBLE else Word.REPLACE
    return with_reason(
        verdict,
        Reason(
            because=Because.CUT_FOR_NEW_SHOES,
            word=word,
            grounds=Grounds.SUGGESTED,
            cut=option.cut,
        ),
    )
