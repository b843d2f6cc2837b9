"""Judging linings by the packs of local rules that the shop has turned on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from brakelog.metrology.conformance import conformance_probability
from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import POSITIONS_OF, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import BRAKE_OF
from brakelog.review.question import Question, Scope
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out, margin_nm
from brakelog.rules.deciding import corrected_nm, place_name
from brakelog.rules.pack import LININGS, Applying, CountedFrom, Pack, applicable
from brakelog.rules.pack_verdict import PackOutcome, PackVerdict, Why
from brakelog.rules.questioning import if_real, is_admitted, is_answered, touching
from brakelog.rules.spreading import spread_for


def judge_packs(file: CaseFile) -> tuple[PackVerdict, ...]:
    """Return what every pack that is on says."""
    return tuple(each for pack in file.packs for each in judge_pack(pack, file))


def judge_pack(pack: Pack, file: CaseFile) -> tuple[PackVerdict, ...]:
    """Judge every lining of a vehicle by every clause that applies to it; never raises on data.

    Parameters
    ----------
    pack : Pack
        The pack.
    file : CaseFile
        The record up to and including the judged visit, with the questions of its readings.
    """
    return tuple(_judged(pack, file))


def _judged(pack: Pack, file: CaseFile) -> Iterator[PackVerdict]:
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for part in LININGS:
            if BRAKE_OF[part] is not brake:
                continue
            for applying in applicable(pack, file.traits, axle, part):
                for side in Side:
                    corner = Corner(axle=axle, side=side)
                    for position in POSITIONS_OF[part]:
                        yield _position(pack, applying, file, corner, position)


def _position(
    pack: Pack, applying: Applying, file: CaseFile, corner: Corner, position: Position
) -> PackVerdict:
    """Judge one lining: the newest set decides, unless an earlier one is beyond.

    That is how a lining is judged by its maker's limit as well: nothing is measured until it
    passes, and what was beyond as found is so as left, where it was not changed.
    """
    blank = PackVerdict(
        pack=pack,
        clause=applying.clause,
        corner=corner,
        position=position,
        outcome=PackOutcome.NOT_READ,
        open=applying.open,
    )
    quantity = Quantity(position.value)
    here = _comparable(file.sets_at(corner, quantity))
    if not here:
        return blank
    judged = [_questioned(blank, file, each) for each in here]
    newest = judged[-1]
    before = [_questioned(blank, file, each) for each in _as_found(file, corner, quantity)]
    beyond = [each for each in (*before, *judged[:-1]) if each.outcome is PackOutcome.BEYOND]
    if beyond and newest.outcome is not PackOutcome.BEYOND:
        return replace(beyond[-1], why=(*beyond[-1].why, Why.RE_MEASURED))
    if newest.outcome is PackOutcome.INSIDE and any(
        each.outcome is PackOutcome.NOT_PROVEN and each.points > newest.points
        for each in judged[:-1]
    ):
        return replace(newest, outcome=PackOutcome.NOT_PROVEN, why=(Why.FEWER_POINTS,))
    return newest


def _as_found(file: CaseFile, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
    """Return what was found of a lining that is still the same one as left."""
    if file.stage is Stage.AS_FOUND or file.was_changed(corner, quantity):
        return ()
    return _comparable(file.at_stage(Stage.AS_FOUND).sets_at(corner, quantity))


def _comparable(sets: tuple[ReadingSet, ...]) -> tuple[ReadingSet, ...]:
    """Return the sets with a value; those of the lining alone, where there is one."""
    read = tuple(each for each in sets if each.measured_nm)
    return tuple(each for each in read if each.datum is Datum.LINING) or read


def _questioned(blank: PackVerdict, file: CaseFile, reading: ReadingSet) -> PackVerdict:
    """Judge one set; a question about it takes back a pass, and is told beside a failure."""
    found = _set(blank, file, reading)
    if found.outcome is PackOutcome.CANNOT_COMPARE:
        return found
    for question in touching(file, (reading,)):
        there = if_real((reading,), question)[0] if question.instead_nm else None
        real = _set(blank, file, there) if there is not None and there.measured_nm else None
        if _hangs(file, question, found.outcome, real.outcome if real else None):
            is_beyond = found.outcome is PackOutcome.BEYOND
            outcome = PackOutcome.BEYOND if is_beyond else PackOutcome.NOT_PROVEN
            return replace(found, outcome=outcome, why=(*found.why, Why.IN_QUESTION))
    return found


def _hangs(
    file: CaseFile, question: Question, as_read: PackOutcome, real: PackOutcome | None
) -> bool:
    """Whether a question matters to an outcome, as it does to one by the maker's limit.

    ``real`` is the outcome if the suspicion were right; None where nothing can be said about it.
    """
    if is_admitted(file, question):
        return True
    if is_answered(file, question):
        is_seen = question.settled_by_looking or question.scope is Scope.VEHICLE
        if as_read is PackOutcome.BEYOND or is_seen:
            return False
        return real is None or _BADNESS.index(real) > _BADNESS.index(as_read)
    if question.scope.holds_back:
        return True
    if as_read is PackOutcome.BEYOND and question.reads_high:
        return False
    return real is not as_read


_BADNESS = (
    PackOutcome.INSIDE,
    PackOutcome.NOT_PROVEN,
    PackOutcome.CANNOT_COMPARE,
    PackOutcome.BEYOND,
)


def _set(blank: PackVerdict, file: CaseFile, reading: ReadingSet) -> PackVerdict:
    """Judge the lowest value of one set by every figure of the clause."""
    clause = blank.clause
    spread = spread_for(file, reading)
    lowest_nm, index = min(
        (nm, index) for index, nm in enumerate(reading.values_nm) if nm is not None
    )
    typed, place = reading.typed[index], place_name(reading, index)
    if reading.again_nm is not None and reading.again_nm < lowest_nm:
        lowest_nm, typed, place = reading.again_nm, reading.again_typed, "point 1, read again"
    judged_nm = Fraction(corrected_nm(lowest_nm, reading, least=True))
    found = replace(
        blank,
        set_id=reading.id,
        value_nm=lowest_nm,
        judged_nm=judged_nm,
        typed=typed,
        place=place,
        points=len(reading.measured_nm),
        gauge=spread.label,
        u1_nm=spread.u1_nm,
    )
    if reading.datum is not Datum.LINING:
        why = Why.NO_DATUM if reading.datum is None else Why.WITH_PLATE
        return replace(found, outcome=PackOutcome.CANNOT_COMPARE, why=(why,))
    beyond = tuple(is_out(judged_nm, clause.comparator, figure.nm) for figure in clause.figures)
    deciding = clause.strictest
    margin = Fraction(margin_nm(judged_nm, clause.comparator, deciding.nm))
    found = replace(found, beyond=beyond, deciding=deciding, margin_nm=margin)
    if any(beyond):
        # Above rivet heads there is never more lining than above the shoe: beyond is certain.
        return replace(found, outcome=PackOutcome.BEYOND)
    if clause.counted_from is CountedFrom.RIVETS:
        return replace(found, outcome=PackOutcome.CANNOT_COMPARE, why=(Why.FROM_RIVETS,))
    probability = conformance_probability(float(margin), spread.u1_nm)
    reasons = []
    if probability < file.shop.probability:
        reasons.append(Why.TOO_CLOSE)
    if not spread.proves:
        reasons.append(Why.NEVER_PROVES)
    outcome = PackOutcome.NOT_PROVEN if reasons else PackOutcome.INSIDE
    return replace(found, outcome=outcome, why=tuple(reasons), probability=probability)
