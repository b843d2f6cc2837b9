"""Life match: how a rotor would stand when the pads beside it, or the next ones, are worn out."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.limit import LimitKind
from brakelog.rules.bound import Bound, BoundFigure, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.measure import Measure

RULE_OF_THUMB_NM = 381_000
"""Stock over discard that one more set of pads is taken to need where this car's own wear is not
known: 0.015 in (0.381 mm), trade practice where no machine-to figure is published. [nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeMatch:
    """A rotor at the end of the next set of pads, or of the set that is on."""

    now_nm: Fraction
    """The rotor today, or after the cut that is looked at. [nm]"""
    per_lining: Fraction | None
    """Rotor worn for each length of lining worn, from this car; None where it is not known. [-]"""
    next_lining_nm: int
    """What those pads have to wear: new lining, or what is left, less the limit; 0 where not known.
    [nm]"""
    end_nm: Fraction
    """The rotor when those pads are worn out. [nm]"""
    figure: BoundFigure
    """The discard figure that it ends at or stays inside of."""
    is_out: bool
    is_marginal: bool
    """Inside, but by less than twice the reading's uncertainty."""
    is_assumed: bool = False
    """Whether rotor and pads are taken to be the car's first, as no fitting is on record."""
    by_thumb: bool = False
    """Whether the rule of thumb stands in for this car's own wear."""

    @property
    def lining_until_out_nm(self) -> Fraction | None:
        """Lining of the next pads that is worn when the rotor reaches discard. [nm]"""
        if not self.per_lining:
            return None
        return (self.now_nm - self.figure.nm) / self.per_lining


def life_match(
    file: CaseFile,
    corner: Corner,
    rotor: Judgement,
    linings: tuple[Judgement, ...],
    now_nm: Fraction,
) -> LifeMatch | None:
    """Return how the rotor would stand at the end of the next pads.

    Parameters
    ----------
    file : CaseFile
        The case.
    corner : Corner
        The corner.
    rotor : Judgement
        Its rotor's thickness.
    linings : tuple of Judgement
        Its worn linings, from which the car's own wear is taken.
    now_nm : Fraction
        The rotor today, or after a cut. [nm]

    Returns
    -------
    LifeMatch or None
        None where the rotor has no usable discard limit or no reading.

    Notes
    -----
    rho = rotor worn / lining worn, each per distance where the two began at different odometers;
    at the end = now - rho x (new lining - limit). Arithmetic on what the record says; the rule is
    trade practice.
    """
    discard = bound_for(LimitKind.ROTOR_DISCARD, corner, file.limits, file.confirmations)
    if discard.strictest is None or rotor.judged_nm is None:
        return None
    ratio = wear_per_lining(file, corner, rotor, linings)
    next_nm = _next_lining(file, corner)
    if ratio is None or next_nm is None:
        end_nm = now_nm - RULE_OF_THUMB_NM
    else:
        end_nm = now_nm - ratio.per_lining * next_nm
    return _at_the_end(discard, rotor, now_nm=now_nm, end_nm=end_nm, ratio=ratio, lining_nm=next_nm)


def match_if_left(
    file: CaseFile, corner: Corner, rotor: Judgement, linings: tuple[Judgement, ...]
) -> LifeMatch | None:
    """Return how the rotor would stand when the linings beside it reach their limit.

    Parameters
    ----------
    file : CaseFile
        The case.
    corner : Corner
        The corner.
    rotor : Judgement
        Its rotor's thickness.
    linings : tuple of Judgement
        The linings that stay on.

    Returns
    -------
    LifeMatch or None
        None where this car's own wear is not known, or a reading is in question.
    """
    if any(each.outcome is Outcome.IN_QUESTION for each in (rotor, *linings)):
        return None
    margins = [each.margin_nm for each in linings if each.margin_nm is not None]
    ratio = wear_per_lining(file, corner, rotor, linings)
    discard = bound_for(LimitKind.ROTOR_DISCARD, corner, file.limits, file.confirmations)
    if ratio is None or not margins or rotor.judged_nm is None or discard.strictest is None:
        return None
    left_nm = max(min(margins), Fraction(0))
    return _at_the_end(
        discard,
        rotor,
        now_nm=rotor.judged_nm,
        end_nm=rotor.judged_nm - ratio.per_lining * left_nm,
        ratio=ratio,
        lining_nm=round(left_nm),
    )


def _at_the_end(
    discard: Bound,
    rotor: Judgement,
    *,
    now_nm: Fraction,
    end_nm: Fraction,
    ratio: Ratio | None,
    lining_nm: int | None,
) -> LifeMatch:
    figure = discard.strictest
    assert figure is not None
    is_reached = any(is_out(end_nm, each.limit.comparator, each.nm) for each in discard.figures)
    return LifeMatch(
        now_nm=now_nm,
        per_lining=ratio.per_lining if ratio else None,
        is_assumed=ratio is not None and ratio.is_assumed,
        next_lining_nm=lining_nm or 0,
        end_nm=end_nm,
        figure=figure,
        is_out=is_reached,
        is_marginal=not is_reached and end_nm - figure.nm <= Fraction(2 * rotor.u1_nm),
        by_thumb=ratio is None or lining_nm is None,
    )


def wear_per_lining(
    file: CaseFile, corner: Corner, rotor: Judgement, linings: tuple[Judgement, ...]
) -> Ratio | None:
    """Return how much this car's rotor wears for each length of lining; None where unknown.

    The lining that wore most decides, as it ends the set.
    """
    if rotor.judged_nm is None:
        return None
    began = _began(file, corner, rotor)
    worn = [
        (start.size_nm - lining.judged_nm, start)
        for lining in linings
        for start in [_began(file, corner, lining)]
        if start is not None and lining.judged_nm is not None
    ]
    if began is None or not worn:
        return None
    lining_worn, lining_began = max(worn, key=lambda pair: pair[0])
    rotor_worn = began.size_nm - rotor.judged_nm
    if lining_worn <= 0 or rotor_worn < 0:
        return None
    ratio = rotor_worn / lining_worn
    if lining_began.driven_mm > 0 and began.driven_mm > 0:
        ratio *= Fraction(lining_began.driven_mm, began.driven_mm)
    return Ratio(
        per_lining=ratio, is_assumed=not (began.is_on_record and lining_began.is_on_record)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """Rotor worn for each length of lining worn. [-]"""

    per_lining: Fraction
    is_assumed: bool
    """Whether a fitting is not on record, so that the part is taken to be the car's first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Began:
    size_nm: int
    driven_mm: int
    is_on_record: bool


def _began(file: CaseFile, corner: Corner, judgement: Judgement) -> _Began | None:
    """Return the size that a part began with and what was driven since; None where unknown."""
    position = judgement.measure.facts.position
    new_nm = _new_nm(file, corner, judgement.measure)
    upto = {each.id for each in file.visits if each.id != file.visit.id}
    events = [
        each
        for each in file.fittings
        if each.corner == corner and each.position is position and each.visit_id in upto
    ]
    if not events:
        # Nothing on record: the part is taken to be the first, and to have begun with the car.
        if new_nm is None:
            return None
        return _Began(size_nm=new_nm, driven_mm=file.visit.odometer_mm, is_on_record=False)
    last = events[-1]
    size_nm = last.size_nm
    if size_nm is None and last.event is FittingEvent.NEW:
        size_nm = new_nm
    if size_nm is None or last.event is FittingEvent.REMOVED:
        return None
    driven_mm = file.visit.odometer_mm - last.odometer_mm
    return _Began(size_nm=size_nm, driven_mm=driven_mm, is_on_record=True)


def _new_nm(file: CaseFile, corner: Corner, measure: Measure) -> int | None:
    kind = measure.facts.new
    if kind is None:
        return None
    bound = bound_for(
        kind, corner, file.limits, file.confirmations, which_pad=measure.facts.which_pad
    )
    return bound.strictest.nm if bound.strictest else None


def _next_lining(file: CaseFile, corner: Corner) -> int | None:
    """Return what a new set of pads has to wear until its limit. [nm]"""
    new = [
        (_new_nm(file, corner, measure), measure)
        for measure in (Measure.INNER_LINING, Measure.OUTER_LINING)
    ]
    stocks = []
    for new_nm, measure in new:
        bound = bound_for(
            measure.facts.limit,
            corner,
            file.limits,
            file.confirmations,
            which_pad=measure.facts.which_pad,
        )
        if new_nm is not None and bound.strictest is not None:
            stocks.append(new_nm - bound.strictest.nm)
    return max(stocks, default=None) if stocks else None
