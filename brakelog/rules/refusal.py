"""What the customer declined, and whether the verdict asked for it when that was said."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from brakelog.record.agreement import Agreement, Consent, Work, newest_about
from brakelog.record.finding import Effect
from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import PartVerdict, Reason, VehicleVerdict


def work_for(part: PartVerdict, reason: Reason) -> Work:
    """Return what the customer is asked for: what keeps a part stuck is not the part itself."""
    finding = reason.finding
    if finding is not None and finding.kind.facts.effect is Effect.CORRECT:
        return Work.CALIPER
    return Work.of(part.part)


def declined(
    part: PartVerdict, reason: Reason, agreements: tuple[Agreement, ...]
) -> Agreement | None:
    """Return what was declined last about the work that a reason asks for, whatever it was then."""
    newest = newest_about(agreements, part.corner, work_for(part, reason))
    return newest if newest is not None and newest.consent is Consent.DECLINED else None


def refusal_of(
    verdict: VehicleVerdict,
    part: PartVerdict,
    reason: Reason,
    agreements: tuple[Agreement, ...],
) -> Agreement | None:
    """Return the refusal that holds against work; None where there is none.

    A refusal covers what the verdict asked for when it was put on file. What only came out
    later, on other grounds or with another word, nobody has declined yet.
    """
    said = declined(part, reason, agreements)
    if said is None or said.recorded_at is None:
        return said
    file = verdict.file
    if not _is_newer(file, said.recorded_at):
        return said
    then = _as_of(file, said.recorded_at)
    stages = (file.stage, Stage.AS_FOUND) if file.stage is Stage.AS_LEFT else (file.stage,)
    asked = {
        _what(each)
        for stage in stages
        for one in judge_vehicle(replace(then, stage=stage)).parts
        if (one.corner, one.part) == (part.corner, part.part)
        for each in one.reasons
    }
    return said if _what(reason) in asked else None


def _what(reason: Reason) -> tuple[object, ...]:
    """Return what a reason asks for and why, so that another one can be told from it."""
    return (
        reason.because,
        reason.word,
        reason.grounds,
        reason.judgement.measure if reason.judgement else None,
        reason.finding.kind if reason.finding else None,
    )


def _is_newer(file: CaseFile, said_at: datetime) -> bool:
    """Whether anything that the verdict looks at was put on file after that."""
    times = (
        *(each.recorded_at for each in file.sets),
        *(each.recorded_at for each in file.findings),
        *(each.recorded_at for each in file.fittings),
        *(each.recorded_at for each in file.answers.values()),
    )
    return any(each is not None and each > said_at for each in times)


def _as_of(file: CaseFile, said_at: datetime) -> CaseFile:
    """Return the record as it was at a time; limits and what was corrected are those of today."""

    def known(at: datetime | None) -> bool:
        return at is None or at <= said_at

    return replace(
        file,
        sets=tuple(each for each in file.sets if known(each.recorded_at)),
        findings=tuple(each for each in file.findings if known(each.recorded_at)),
        fittings=tuple(each for each in file.fittings if known(each.recorded_at)),
        answers={key: each for key, each in file.answers.items() if known(each.recorded_at)},
        questions=(),
        earlier_questions=(),
    )
