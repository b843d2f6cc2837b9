"""From the measures of one part to its verdict: the first rule that applies decides."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, Finding
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.cutting import FORBIDDEN, MACHINE_TO, cut_of, is_forbidden
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.judging import judge_measure, least_favourable_nm, sizes_if_real
from brakelog.rules.lives import PositionLife, life_of
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.settling import settling_of
from brakelog.rules.verdict import Because, Cut, Grounds, PartVerdict, Reason, Word
from brakelog.wear.projection import Projection, Refusal

_SELDOM = (Measure.HUB_RUNOUT, Measure.DRUM_SCORING)
"""Measures that are missed only where a limit for them is on file."""


def judge_part(file: CaseFile, corner: Corner, part: Part, *, projects: bool = True) -> PartVerdict:
    """Judge one part by itself; what its axle mate does to it comes afterwards.

    Parameters
    ----------
    file : CaseFile
        The case, with its questions.
    corner : Corner
        The corner.
    part : Part
        The part.
    projects : bool
        False to leave out how far it will go, and what follows from that: where many parts are
        projected together afterwards.
    """
    judgements = _sized_for_a_cut(
        file,
        corner,
        part,
        tuple(judge_measure(file, corner, measure) for measure in measures_of(part)),
    )
    lives: tuple[PositionLife, ...] = ()
    if projects:
        lives = tuple(
            life_of(file, corner, each)
            for each in judgements
            if each.measure.facts.is_safety and each.value_nm is not None
        )
    reasons = tuple(_reasons(file, corner, part, judgements, lives))
    deciding = reasons[0]
    if deciding.word is Word.CORRECT and all(
        each.outcome is Outcome.IN for each in judgements if each.measure.facts.is_safety
    ):
        reasons = tuple(replace(each, stays=each.word is Word.CORRECT) for each in reasons)
        deciding = reasons[0]
    noted = tuple(
        finding
        for finding in file.findings_at(corner)
        if finding.part is part and finding.kind.facts.effect is Effect.NOTE
    )
    return PartVerdict(
        corner=corner,
        part=part,
        word=deciding.word,
        grounds=deciding.grounds,
        reasons=reasons,
        judgements=judgements,
        not_measured=tuple(
            each.measure
            for each in judgements
            if not each.measure.facts.is_safety
            and each.value_nm is None
            and (each.measure not in _SELDOM or each.bound.limits)
        ),
        condition_recorded=corner in file.visit.looked_over,
        lives=lives,
        noted=noted,
    )


def _sized_for_a_cut(
    file: CaseFile, corner: Corner, part: Part, judgements: tuple[Judgement, ...]
) -> tuple[Judgement, ...]:
    """Put the size in question where a cut hangs on it and a suspicion would change the end."""
    size = judgements[0]
    if part not in MACHINE_TO or size.outcome not in (Outcome.IN, Outcome.NOT_PROVEN):
        return judgements
    if not _needs_cut(file, corner, part, judgements):
        return judgements
    as_read = least_favourable_nm(file, corner, size.measure)
    if as_read is None:
        return judgements
    _, word, _ = cut_of(file, corner, part, as_read, judgements)
    hanging = tuple(
        question
        for question, real_nm in sizes_if_real(file, corner, size.measure)
        if cut_of(file, corner, part, real_nm, judgements)[1] is not word
    )
    if not hanging:
        return judgements
    questioned = replace(size, outcome=Outcome.IN_QUESTION, read_as=size.outcome, questions=hanging)
    return (questioned, *judgements[1:])


def _needs_cut(file: CaseFile, corner: Corner, part: Part, judgements: Iterable[Judgement]) -> bool:
    return any(
        each.measure.facts.needs_machining and each.outcome is Outcome.OUT for each in judgements
    ) or any(
        finding.part is part and finding.kind.facts.effect is Effect.MACHINE
        for finding in file.findings_at(corner)
    )


def _reasons(
    file: CaseFile,
    corner: Corner,
    part: Part,
    judgements: tuple[Judgement, ...],
    lives: tuple[PositionLife, ...],
) -> Iterator[Reason]:
    """Yield every rule that applies, in the order of the table; the last one always does."""
    safety = [each for each in judgements if each.measure.facts.is_safety]
    service = [each for each in judgements if not each.measure.facts.is_safety]
    findings = [f for f in file.findings_at(corner) if f.part is part]
    applied = 0
    for reason in _all_reasons(file, corner, part, safety, service, findings, lives):
        applied += 1
        yield reason
    if not applied:
        for judgement in safety:
            yield Reason(
                because=Because.IN_LIMITS, word=Word.REUSE, grounds=None, judgement=judgement
            )


def _all_reasons(
    file: CaseFile,
    corner: Corner,
    part: Part,
    safety: list[Judgement],
    service: list[Judgement],
    findings: list[Finding],
    lives: tuple[PositionLife, ...],
) -> Iterator[Reason]:
    sized, served = _by_outcome(safety), _by_outcome(service)
    for finding in findings:
        if finding.kind.facts.effect is Effect.CONDEMNS:
            yield _required(Because.CONDEMNED, Word.REPLACE, finding=finding)
    for each in sized[Outcome.OUT]:
        yield _required(Because.BEYOND_LIMIT, Word.REPLACE, judgement=each)
    for each in (*sized[Outcome.IN_QUESTION], *served[Outcome.IN_QUESTION]):
        yield _open(Because.IN_QUESTION, Word.MEASURE_AGAIN, each)
    for each in sized[Outcome.NO_LIMIT]:
        yield _open(Because.LIMIT_MISSING, Word.NO_VERDICT, each)
    for each in sized[Outcome.CONTRADICTS]:
        yield _open(Because.LIMIT_CONTRADICTS, Word.NO_VERDICT, each)
    for each in safety:
        if each.value_nm is None:
            yield _open(Because.NOT_INSPECTED, Word.NO_VERDICT, each)
    yield from _to_machine(file, corner, part, safety, service, findings)
    for each in served[Outcome.CONTRADICTS]:
        if each.value_nm is not None:
            yield _open(Because.LIMIT_CONTRADICTS, Word.NO_VERDICT, each)
    settled = (*sized[Outcome.IN_QUESTION], *sized[Outcome.OUT])
    ending = _ending(file, lives, settled) if lives else []
    unproven = (*sized[Outcome.NOT_PROVEN], *served[Outcome.NOT_PROVEN])
    yield from _not_proven(file, unproven, ending)
    for each in served[Outcome.OUT]:
        if not each.measure.facts.needs_machining:
            yield _required(Because.PUT_RIGHT, Word.CORRECT, judgement=each)
    for finding in findings:
        if finding.kind.facts.effect is Effect.CORRECT:
            yield _required(Because.PUT_RIGHT, Word.CORRECT, finding=finding)
    told = {
        each.measure.facts.position
        for each in sized[Outcome.NOT_PROVEN]
        if DISBELIEVED.isdisjoint(each.doubts)
    }
    ending = [life for life in ending if life.position not in told]
    if ending:
        first = min(ending, key=_ends_after)
        yield Reason(
            because=Because.WILL_NOT_LAST,
            word=Word.REPLACE,
            grounds=Grounds.SUGGESTED,
            judgement=next(j for j in safety if j.measure.facts.position is first.position),
            life=first,
        )


def _by_outcome(judgements: Iterable[Judgement]) -> Mapping[Outcome, list[Judgement]]:
    groups: dict[Outcome, list[Judgement]] = defaultdict(list)
    for each in judgements:
        groups[each.outcome].append(each)
    return groups


def _ending(
    file: CaseFile, lives: tuple[PositionLife, ...], settled: Iterable[Judgement]
) -> list[PositionLife]:
    """Return the lives that end before the next planned visit, but for what is settled anyway."""
    planned_mm = next_planned_mm(file)
    positions = {each.measure.facts.position for each in settled}
    return [
        life for life in lives if life.position not in positions and ends_before(life, planned_mm)
    ]


def _not_proven(
    file: CaseFile, unproven: Iterable[Judgement], ending: list[PositionLife]
) -> Iterator[Reason]:
    """Yield what has to be measured again, after what goes because measuring would not help.

    A safety quantity gives way to a replacement where no gauge of the shop could settle it, or
    the part cannot reach the next planned visit anyway.
    """
    goes: list[Reason] = []
    stays: list[Reason] = []
    for each in unproven:
        settling = settling_of(file, each)
        life = next((one for one in ending if one.position is each.measure.facts.position), None)
        is_believed = DISBELIEVED.isdisjoint(each.doubts)
        is_lost = (life is not None and is_believed) or not settling.is_possible
        if each.measure.facts.is_safety and is_lost:
            goes.append(
                Reason(
                    because=Because.NOT_PROVEN_GOES,
                    word=Word.REPLACE,
                    grounds=Grounds.SUGGESTED,
                    judgement=each,
                    settling=settling,
                    life=life,
                )
            )
        else:
            stays.append(
                Reason(
                    because=Because.NOT_PROVEN,
                    word=Word.MEASURE_AGAIN,
                    grounds=None,
                    judgement=each,
                    settling=settling,
                )
            )
    yield from goes
    yield from stays


DISBELIEVED = frozenset(
    {Doubt.MEASURE_COLD, Doubt.FEWER_POINTS, Doubt.DID_NOT_REPEAT, Doubt.DISAGREES}
)
"""Doubts about the reading itself: how far the part would go by it says nothing."""


def next_planned_mm(file: CaseFile) -> int:
    """Return the distance to the next planned visit: the visit's own, else the shop's. [mm]"""
    own = file.visit.next_distance_mm
    return own if own is not None else file.shop.next_distance_mm


NO_BOUND = (Refusal.NO_BASIS, Refusal.UNRESOLVED, Refusal.LIMIT_NOT_INSIDE_NEW)
"""Refusals that leave a part without a bound although its margin is known."""


def ends_before(life: PositionLife, planned_mm: int) -> bool:
    """Whether the "at least" bound ends before the next planned visit.

    A bound that is only cut short because the part has hardly been driven does not end there.
    Where there is no basis for a bound, a part that even half of typical parts would not carry
    that far is suggested too: one reading close to the limit must not read as "fine".
    """
    return bound_ends_before(life.projection, planned_mm)


def bound_ends_before(projection: Projection, planned_mm: int) -> bool:
    """Whether the bound of a projection ends before the next planned visit; see above."""
    if projection.refusal is Refusal.WITHIN_ERROR:
        return True
    if projection.refusal in NO_BOUND:
        return projection.typical_mm is not None and projection.typical_mm < planned_mm
    if projection.refusal is not None or projection.uncapped_at_least_mm is None:
        return False
    return projection.uncapped_at_least_mm < planned_mm


def _ends_after(life: PositionLife) -> int:
    projection = life.projection
    return projection.uncapped_at_least_mm or projection.typical_mm or 0


def _required(
    because: Because,
    word: Word,
    *,
    judgement: Judgement | None = None,
    finding: Finding | None = None,
    cut: Cut | None = None,
) -> Reason:
    return Reason(
        because=because,
        word=word,
        grounds=Grounds.REQUIRED,
        judgement=judgement,
        finding=finding,
        cut=cut,
    )


def _open(because: Because, word: Word, judgement: Judgement) -> Reason:
    return Reason(because=because, word=word, grounds=None, judgement=judgement)


def _to_machine(
    file: CaseFile,
    corner: Corner,
    part: Part,
    safety: list[Judgement],
    service: list[Judgement],
    findings: list[Finding],
) -> Iterator[Reason]:
    """Yield a refinish where the cut stays inside machine-to, a replacement where it does not."""
    if part not in MACHINE_TO:
        return
    defects = [
        each
        for each in service
        if each.measure.facts.needs_machining and each.outcome is Outcome.OUT
    ]
    marks = [f for f in findings if f.kind.facts.effect is Effect.MACHINE]
    if not defects and not marks:
        return
    size_nm = least_favourable_nm(file, corner, safety[0].measure)
    if size_nm is None and is_forbidden(file, corner):
        because, word, cut = Because.CUT_IMPOSSIBLE, Word.REPLACE, FORBIDDEN
    elif size_nm is None:
        because, word, cut = Because.MUST_BE_CUT, Word.REFINISH, None
    else:
        because, word, cut = cut_of(file, corner, part, size_nm, service)
    for judgement in defects:
        yield _required(because, word, judgement=judgement, cut=cut)
    for finding in marks:
        yield _required(because, word, finding=finding, cut=cut)


def with_reason(verdict: PartVerdict, reason: Reason) -> PartVerdict:
    """Return the verdict with a reason added that decides only where nothing graver did."""
    if verdict.word is Word.REUSE:
        return replace(
            verdict, word=reason.word, grounds=reason.grounds, reasons=(reason, *verdict.reasons)
        )
    return replace(verdict, reasons=(*verdict.reasons, reason))
