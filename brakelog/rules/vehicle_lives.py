"""Every part life of one vehicle: what is on it now, and what was on it before."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from brakelog.record.corner import Corner, Side
from brakelog.record.finding import Effect, FindingKind
from brakelog.record.quantity import Part, Position
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.holding import holding_findings
from brakelog.rules.judgement import Outcome
from brakelog.rules.judging import judge_measure
from brakelog.rules.lives import LifeCase, life_case_in, position_of
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.part import judge_part
from brakelog.rules.part_life import RecordedLife, Span, finished_life, spans_at
from brakelog.rules.questioning import with_questions
from brakelog.rules.verdict import PartVerdict, Word
from brakelog.wear.earlier import tells_a_rate


class Standing(enum.Enum):
    """How a part stood when it was judged last, before how far it will go is looked at."""

    REQUIRED = "required"
    OPEN = "open"
    FINE = "fine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """One part that is on the vehicle."""

    case: LifeCase
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """One part that was on it, and whose wear can be believed."""

    corner: Corner
    position: Position
    recorded: RecordedLife


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleLives:
    """The part lives of one vehicle, as of its newest visit."""

    file: CaseFile
    running: tuple[Running, ...]
    finished: tuple[Finished, ...]
    is_rusty: bool
    """Whether heavy rust was found on iron in the newest visit: rust, not distance, may wear it."""


_RUST = (FindingKind.HEAVY_RUST, FindingKind.VANE_RUST, FindingKind.DEEP_PITTING)


def lives_of_vehicle(newest: CaseFile, case_of: Callable[[Visit], CaseFile]) -> VehicleLives:
    """Gather the part lives of a vehicle; never raises on data.

    Parameters
    ----------
    newest : CaseFile
        The case of its newest visit.
    case_of : callable
        Gives the case of an earlier visit: a part that the newest one did not measure is judged
        as the visit judged it that measured it last.
    """
    files = _Files(newest, case_of)
    running: list[Running] = []
    finished: list[Finished] = []
    for corner, part in _places(newest.vehicle.brakes):
        for measure in _SAFETY[part]:
            position = position_of(measure)
            *ended, now = spans_at(files.newest, corner, position)
            before = [finished_life(files.newest, corner, measure, span) for span in ended]
            running += _running(files, corner, measure, now, before)
            finished += [
                Finished(corner=corner, position=position, recorded=recorded)
                for recorded in before
                if recorded.is_sound and tells_a_rate(recorded.life)
            ]
    return VehicleLives(
        file=files.newest,
        running=tuple(running),
        finished=tuple(finished),
        is_rusty=any(
            each.kind in _RUST
            for corner, part in _places(newest.vehicle.brakes)
            for each in holding_findings(newest, corner, part)
        ),
    )


class _Files:
    """The cases of a vehicle's visits, each with its questions, and their parts, judged.

    Both are made when they are first asked for: the measures of a part ask for the same.
    """

    def __init__(self, newest: CaseFile, case_of: Callable[[Visit], CaseFile]) -> None:
        self.newest = with_questions(newest)
        self._case_of = case_of
        self._made = {newest.visit.id: self.newest}
        self._judged: dict[tuple[str, Corner, Part], PartVerdict] = {}

    def of(self, visit: Visit) -> CaseFile:
        if visit.id not in self._made:
            self._made[visit.id] = with_questions(self._case_of(visit))
        return self._made[visit.id]

    def judged(self, file: CaseFile, corner: Corner, part: Part) -> PartVerdict:
        key = (file.visit.id, corner, part)
        if key not in self._judged:
            self._judged[key] = judge_part(file, corner, part, projects=False)
        return self._judged[key]


@lru_cache(maxsize=64)
def _places(brakes: tuple[AxleBrake, ...]) -> tuple[tuple[Corner, Part], ...]:
    return tuple(
        (Corner(axle=axle, side=side), part)
        for axle, brake in enumerate(brakes, start=1)
        for side in Side
        for part, its_brake in BRAKE_OF.items()
        if its_brake is brake
    )


_SAFETY = {part: tuple(each for each in measures_of(part) if each.facts.is_safety) for part in Part}


def _running(
    files: _Files,
    corner: Corner,
    measure: Measure,
    span: Span,
    before: Sequence[RecordedLife],
) -> Iterator[Running]:
    """Yield the part that is there now, if anything is known of it.

    Parameters
    ----------
    files : _Files
        The cases of the vehicle.
    corner : Corner
        The corner.
    measure : Measure
        The safety measure of its size.
    span : Span
        Its time there, as the newest case has it.
    before : sequence of RecordedLife
        The lives at its place before it, as the newest case has them.
    """
    newest, part = files.newest, measure.facts.part
    earlier = before[-1] if before else None
    holds = any(
        each.kind.facts.effect is not Effect.NOTE for each in holding_findings(newest, corner, part)
    )
    file = _judged_in(files, corner, measure, span)
    if file is None:
        # Nobody ever measured or fitted anything there: nothing can be said, and that is said.
        judgement = judge_measure(newest, corner, measure)
        case = life_case_in(newest, corner, judgement, span, earlier)
        yield Running(case=case, standing=Standing.REQUIRED if holds else Standing.FINE)
        return
    then = files.judged(file, corner, part)
    judgement = next(each for each in then.judgements if each.measure is measure)
    is_silent = file is not newest and _is_silent(newest, corner, part)
    now = None if is_silent else files.judged(newest, corner, part)
    # What was found, answered or put right since then counts too.
    case = life_case_in(newest, corner, judgement, span, earlier)
    yield Running(case=case, standing=Standing.REQUIRED if holds else _standing(now, then))


def _judged_in(files: _Files, corner: Corner, measure: Measure, span: Span) -> CaseFile | None:
    """Return the newest case that measured what is on the vehicle now.

    Where nothing did since it was fitted, that is the newest case of all, in which the fitting
    speaks; None where nobody ever measured or fitted anything there.
    """
    newest, begun = files.newest, span.begun
    measured = {
        each.visit_id
        for quantity in measure.facts.quantities
        for each in newest.sets_of(corner, quantity)
        if each.measured_nm
    }
    for visit in reversed(newest.visits):
        if visit.id in measured:
            return files.of(visit)
        if begun is not None and visit.id == begun.visit_id:
            return newest
    return None


def _is_silent(file: CaseFile, corner: Corner, part: Part) -> bool:
    """Whether a visit read and found nothing of a part: then nothing of it is required or open."""
    return not file.findings_at(corner) and not any(
        file.sets_at(corner, quantity) for quantity in _QUANTITIES[part]
    )


_QUANTITIES = {
    part: frozenset(quantity for each in measures_of(part) for quantity in each.facts.quantities)
    for part in Part
}


def _standing(now: PartVerdict | None, then: PartVerdict) -> Standing:
    """Return the graver of what the newest visit said, if anything, and the one that measured."""
    if then.required or (now is not None and now.required):
        return Standing.REQUIRED
    if then.word in (Word.NO_VERDICT, Word.MEASURE_AGAIN) or (
        now is not None and any(each.outcome is Outcome.IN_QUESTION for each in now.judgements)
    ):
        return Standing.OPEN
    return Standing.FINE
