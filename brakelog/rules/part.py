"""From the measures of one part to its verdict: the first rule that applies decides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, Finding
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part
from brakelog.rules.bound import Bound, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.judging import judge_measure, least_favourable_nm
from brakelog.rules.lives import PositionLife, life_of
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.verdict import Because, Cut, Grounds, PartVerdict, Reason, Word
from brakelog.wear.projection import Refusal

_DISCARD = {Part.ROTOR: LimitKind.ROTOR_DISCARD, Part.DRUM: LimitKind.DRUM_DISCARD}
_MACHINE_TO = {Part.ROTOR: LimitKind.ROTOR_MACHINE_TO, Part.DRUM: LimitKind.DRUM_MACHINE_TO}


def judge_part(file: CaseFile, corner: Corner, part: Part) -> PartVerdict:
    """Judge one part by itself; what its axle mate does to it comes afterwards."""
    judgements = tuple(judge_measure(file, corner, measure) for measure in measures_of(part))
    lives = tuple(
        life_of(file, corner, each)
        for each in judgements
        if each.measure.facts.is_safety and each.value_nm is not None
    )
    reasons = tuple(_reasons(file, corner, part, judgements, lives))
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
            and (each.measure is not Measure.HUB_RUNOUT or each.bound.limits)
        ),
        condition_recorded=corner in file.visit.looked_over,
        lives=lives,
        noted=noted,
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
    for finding in findings:
        if finding.kind.facts.effect is Effect.CONDEMNS:
            yield _required(Because.CONDEMNED, Word.REPLACE, finding=finding)
    for each in _with(safety, Outcome.OUT):
        yield _required(Because.BEYOND_LIMIT, Word.REPLACE, judgement=each)
    for each in _with([*safety, *service], Outcome.IN_QUESTION):
        yield _open(Because.IN_QUESTION, Word.MEASURE_AGAIN, each)
    for each in _with(safety, Outcome.NO_LIMIT):
        yield _open(Because.LIMIT_MISSING, Word.NO_VERDICT, each)
    for each in _with(safety, Outcome.CONTRADICTS):
        yield _open(Because.LIMIT_CONTRADICTS, Word.NO_VERDICT, each)
    for each in safety:
        if each.value_nm is None:
            yield _open(Because.NOT_INSPECTED, Word.NO_VERDICT, each)
    yield from _to_machine(file, corner, part, safety, service, findings)
    for each in _with(service, Outcome.CONTRADICTS):
        if each.value_nm is not None:
            yield _open(Because.LIMIT_CONTRADICTS, Word.NO_VERDICT, each)
    for each in _with([*safety, *service], Outcome.NOT_PROVEN):
        yield _open(Because.NOT_PROVEN, Word.MEASURE_AGAIN, each)
    for each in service:
        if each.outcome is Outcome.OUT and not each.measure.facts.needs_machining:
            yield _required(Because.PUT_RIGHT, Word.CORRECT, judgement=each)
    for finding in findings:
        if finding.kind.facts.effect is Effect.CORRECT:
            yield _required(Because.PUT_RIGHT, Word.CORRECT, finding=finding)
    planned_mm = next_planned_mm(file)
    ending = [life for life in lives if ends_before(life, planned_mm)]
    if ending:
        first = min(ending, key=_ends_after)
        yield Reason(
            because=Because.WILL_NOT_LAST,
            word=Word.REPLACE,
            grounds=Grounds.SUGGESTED,
            judgement=next(j for j in safety if j.measure.facts.position is first.position),
            life=first,
        )


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
    projection = life.projection
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


def _with(judgements: list[Judgement], outcome: Outcome) -> list[Judgement]:
    return [each for each in judgements if each.outcome is outcome]


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
    if part not in _MACHINE_TO:
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
    if size_nm is None:
        because, word, cut = Because.MUST_BE_CUT, Word.REFINISH, None
    else:
        because, word, cut = cut_of(file, corner, part, size_nm, service)
    for judgement in defects:
        yield _required(because, word, judgement=judgement, cut=cut)
    for finding in marks:
        yield _required(because, word, finding=finding, cut=cut)


def cut_of(
    file: CaseFile,
    corner: Corner,
    part: Part,
    size_nm: Fraction,
    service: list[Judgement] | tuple[Judgement, ...],
) -> tuple[Because, Word, Cut]:
    """Return whether the part can be refinished, and what would be left of it.

    Cut per side = deepest defect + the shop's clean-up; after the cut = lowest - 2 cuts, for a
    drum highest + 2 cuts. A depth read down in a groove with pointed tips is counted twice here:
    that errs towards replacing.
    """
    grooves = [
        each.judged_nm
        for each in service
        if each.measure is Measure.SCORING and each.judged_nm is not None
    ]
    per_side = max(grooves, default=0) + file.shop.clean_up_nm
    after = size_nm - 2 * per_side if part is Part.ROTOR else size_nm + 2 * per_side
    bound: Bound = bound_for(_MACHINE_TO[part], corner, file.limits, file.confirmations)
    strictest = bound.strictest
    cut = Cut(
        per_side_nm=round(per_side),
        after_nm=round(after),
        machine_to=strictest.limit.as_printed if strictest else "",
    )
    if strictest is None:
        return Because.CUT_LIMIT_UNKNOWN, Word.REPLACE, cut
    discard = bound_for(_DISCARD[part], corner, file.limits, file.confirmations)
    beyond = any(
        is_out(after, f.limit.comparator, f.nm) for f in (*bound.figures, *discard.figures)
    )
    if beyond:
        return Because.CUT_IMPOSSIBLE, Word.REPLACE, cut
    return Because.CUT_POSSIBLE, Word.REFINISH, cut


def with_reason(verdict: PartVerdict, reason: Reason) -> PartVerdict:
    """Return the verdict with a reason added that decides only where nothing graver did."""
    if verdict.word is Word.REUSE:
        return replace(
            verdict, word=reason.word, grounds=reason.grounds, reasons=(reason, *verdict.reasons)
        )
    return replace(verdict, reasons=(*verdict.reasons, reason))
