"""The life of a part that is not on the car yet: new today, or the same one after a cut."""

from __future__ import annotations

from dataclasses import replace

from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.reading import Datum, Stage
from brakelog.rules.bound import Bound, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.dating import dates_of
from brakelog.rules.judgement import Judgement
from brakelog.rules.lives import LifeCase, PositionLife, life_case, position_of, projected
from brakelog.rules.measure import Measure
from brakelog.rules.part_life import RecordedLife, start_of
from brakelog.rules.questioning import about_history
from brakelog.rules.stuck import stuck_text
from brakelog.wear.life import PartLife
from brakelog.wear.projection import Note


def new_life(
    file: CaseFile, corner: Corner, judgement: Judgement, worn: PositionLife | None
) -> PositionLife | None:
    """Project a new part from today; None where no new size for it is on file.

    Parameters
    ----------
    file : CaseFile
        The case, with its questions.
    corner : Corner
        The corner.
    judgement : Judgement
        The size of the part that is there now.
    worn : PositionLife or None
        Its life, where it is known: how it wore moves what is believed of the next one.

    Notes
    -----
    A size at fitting that the visit has on record counts before the sheet's.
    """
    limit = _limit_for_new(file, corner, judgement)
    fitting = _on_record(file, corner, judgement.measure, FittingEvent.NEW)
    if fitting is None:
        size_nm = _new_size_nm(file, corner, judgement.measure, limit)
        if size_nm is None:
            return None
        fitting = _today(file, corner, judgement.measure, FittingEvent.NEW, size_nm)
    return _projected(file, fitting, judgement, limit, worn)


def life_after_cut(
    file: CaseFile, corner: Corner, judgement: Judgement, worn: PositionLife | None, after_nm: int
) -> PositionLife:
    """Project a rotor or drum from today's cut on; never further than the same one uncut.

    Parameters
    ----------
    file : CaseFile
        The case, with its questions.
    corner : Corner
        The corner.
    judgement : Judgement
        Its size today.
    worn : PositionLife or None
        Its life so far.
    after_nm : int
        Its size after the cut, where the visit has none on record. [nm]
    """
    fitting = _on_record(file, corner, judgement.measure, FittingEvent.REFINISHED)
    if fitting is None:
        fitting = _today(file, corner, judgement.measure, FittingEvent.REFINISHED, after_nm)
    life = _projected(file, fitting, judgement, judgement.bound, worn, is_same=True)
    return life if worn is None else _held_to(file, life, worn)


def _projected(
    file: CaseFile,
    fitting: Fitting,
    judgement: Judgement,
    limit: Bound,
    worn: PositionLife | None,
    *,
    is_same: bool = False,
) -> PositionLife:
    """Project a part that begins with a fitting of today, after the one that is there now.

    What is open about a part stays open where it is the same one afterwards.
    """
    corner = fitting.corner
    case = (worn.case if worn else None) or life_case(file, corner, judgement)
    before = case.recorded
    life = replace(
        before.life,
        start=start_of(fitting, corner, before.life.kind, fitting.size_nm),
        readings=(),
        limit_nm=limit.strictest.nm if limit.strictest else None,
        is_out=False,
        unresolved=(
            before.life.unresolved if is_same else _unresolved(file, fitting, judgement.measure)
        ),
    )
    begun = RecordedLife(life=life, begun=fitting)
    follows = replace(case, recorded=begun, earlier=_forerunner(case))
    return projected(file, follows, judgement)


def _forerunner(case: LifeCase) -> PartLife | None:
    """Return the life that says how the next part will wear: the one that ends, else the last.

    What a fault wore says nothing of it, and neither does a single point.
    """
    now = case.recorded
    points = len(now.life.readings) + (now.life.start is not None)
    if now.is_sound and now.restarted_on is None and points > 1:
        return now.life
    return case.earlier


def _unresolved(file: CaseFile, fitting: Fitting, measure: Measure) -> tuple[str, ...]:
    """Return what keeps even a new part from being projected: an odometer, a stuck slide.

    What is open about the part that comes off is not among it; that one is no forerunner then.
    """
    texts = [question.ask.rstrip(".") for question in about_history(file, ())]
    if file.findings or file.earlier_findings:
        done = replace(file, stage=Stage.AS_LEFT, fittings=(*file.fittings, fitting))
        stuck = stuck_text(done, fitting.corner, measure.facts.part, fitting, is_freed=True)
        texts += [stuck] if stuck else []
    return tuple(texts)


def _held_to(file: CaseFile, life: PositionLife, uncut: PositionLife) -> PositionLife:
    """Return a life whose distances are nowhere longer than those of the same part uncut.

    A cut takes material away; what is believed of the life after it must not give it back.
    """
    ours, theirs = life.projection, uncut.projection
    if None in (ours.at_least_mm, theirs.at_least_mm) or life.read_on is None:
        return life
    projection = replace(
        ours,
        refusal=ours.refusal or theirs.refusal,
        at_least_mm=_least(ours.at_least_mm, theirs.at_least_mm),
        uncapped_at_least_mm=_least(ours.uncapped_at_least_mm, theirs.uncapped_at_least_mm),
        median_mm=ours.median_mm and _least(ours.median_mm, theirs.centre_mm),
        latest_mm=ours.latest_mm and _least(ours.latest_mm, theirs.latest_mm),
        d05_mm=_least(ours.d05_mm, theirs.d05_mm),
        d95_mm=_least(ours.d95_mm, theirs.d95_mm),
        centre_mm=_least(ours.centre_mm, theirs.centre_mm),
    )
    if projection.at_least_mm != projection.uncapped_at_least_mm:
        projection = replace(projection, notes=(Note.FAR_EXTRAPOLATION, *projection.notes))
    return replace(
        life, projection=projection, dates=dates_of(projection, life.read_on, file.usage)
    )


def _least(one: int | None, other: int | None) -> int | None:
    return min((mm for mm in (one, other) if mm is not None), default=None)


def _on_record(
    file: CaseFile, corner: Corner, measure: Measure, event: FittingEvent
) -> Fitting | None:
    """Return what the visit has on record of such work at a place, with its size; the newest."""
    here = [
        each
        for each in file.fittings_at(corner, measure.facts.part)
        if (each.position, each.event) == (position_of(measure), event) and each.size_nm is not None
    ]
    return here[-1] if here else None


def _today(
    file: CaseFile, corner: Corner, measure: Measure, event: FittingEvent, size_nm: int
) -> Fitting:
    """Return a fitting of this visit as it would be recorded, its size not measured."""
    return Fitting(
        id="",
        visit_id=file.visit.id,
        day=file.visit.day,
        odometer_mm=file.visit.odometer_mm,
        corner=corner,
        position=position_of(measure),
        event=event,
        basis=SizeBasis.NOMINAL,
        size_nm=size_nm,
    )


def _limit_for_new(file: CaseFile, corner: Corner, judgement: Judgement) -> Bound:
    """Return the limit of a part whose new size counts without its backing plate, if one is on
    file, whatever today's reading was taken from."""
    strictest = judgement.bound.strictest
    if strictest is None or strictest.limit.datum is Datum.WITH_PLATE:
        facts = judgement.measure.facts
        return bound_for(
            facts.limit, corner, file.limits, file.confirmations, which_pad=facts.which_pad
        )
    return judgement.bound


def _new_size_nm(file: CaseFile, corner: Corner, measure: Measure, limit: Bound) -> int | None:
    """Return the new size of the sheet from the datum of its limit, the more worn figure. [nm]

    A size with backing plate must not meet a limit without: the part would seem to last for ever.
    """
    facts = measure.facts
    if facts.new is None:
        return None
    strictest = limit.strictest
    bound = bound_for(
        facts.new,
        corner,
        file.limits,
        file.confirmations,
        which_pad=facts.which_pad,
        datum=(strictest.limit.datum or Datum.LINING) if strictest else None,
    )
    pick = min if facts.limit.facts.least else max
    return pick((each.nm for each in bound.figures), default=None)
