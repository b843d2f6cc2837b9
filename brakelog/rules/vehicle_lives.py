"""Every part life of one vehicle: what is on it now, and what was on it before."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from brakelog.record.corner import Corner, Side
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part, Position
from brakelog.record.vehicle import BRAKE_OF
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Outcome
from brakelog.rules.lives import LifeCase, life_case, position_of
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.part import judge_part
from brakelog.rules.part_life import RecordedLife, finished_lives, spans_at
from brakelog.rules.questioning import with_questions
from brakelog.rules.verdict import Grounds, PartVerdict, Word
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
    for corner, part in _places(newest):
        running += _running(files, corner, part)
        for measure in _safety(part):
            for recorded in finished_lives(files.newest, corner, measure):
                if recorded.is_sound and tells_a_rate(recorded.life):
                    finished.append(
                        Finished(corner=corner, position=position_of(measure), recorded=recorded)
                    )
    return VehicleLives(
        file=files.newest,
        running=tuple(running),
        finished=tuple(finished),
        is_rusty=any(each.kind in _RUST for each in newest.findings),
    )


class _Files:
    """The cases of a vehicle's visits, each with its questions, made when first asked for."""

    def __init__(self, newest: CaseFile, case_of: Callable[[Visit], CaseFile]) -> None:
        self.newest = with_questions(newest)
        self._case_of = case_of
        self._made = {newest.visit.id: self.newest}

    def of(self, visit: Visit) -> CaseFile:
        if visit.id not in self._made:
            self._made[visit.id] = with_questions(self._case_of(visit))
        return self._made[visit.id]


def _places(file: CaseFile) -> Iterator[tuple[Corner, Part]]:
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for side in Side:
            for part, its_brake in BRAKE_OF.items():
                if its_brake is brake:
                    yield Corner(axle=axle, side=side), part


def _safety(part: Part) -> list[Measure]:
    return [each for each in measures_of(part) if each.facts.is_safety]


def _running(files: _Files, corner: Corner, part: Part) -> Iterator[Running]:
    now = judge_part(files.newest, corner, part, projects=False)
    for measure in _safety(part):
        file = _judged_in(files, corner, measure)
        if file is None:
            continue
        then = now if file is files.newest else judge_part(file, corner, part, projects=False)
        judgement = next(each for each in then.judgements if each.measure is measure)
        # What was found, answered or put right since then counts too.
        case = life_case(files.newest, corner, judgement)
        if not case.recorded.life.readings and case.recorded.life.start is None:
            continue
        yield Running(case=case, standing=_standing(now, then))


def _judged_in(files: _Files, corner: Corner, measure: Measure) -> CaseFile | None:
    """Return the newest case that measured what is on the vehicle now.

    Where nothing did since it was fitted, that is the newest case of all, in which the fitting
    speaks; None where nobody ever measured or fitted anything there.
    """
    newest = files.newest
    begun = spans_at(newest, corner, position_of(measure))[-1].begun
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


def _standing(now: PartVerdict, then: PartVerdict) -> Standing:
    """Return the graver of what the newest visit and the one that measured it said."""
    said = (now, then)
    if any(each.grounds is Grounds.REQUIRED or each.required for each in said):
        return Standing.REQUIRED
    if then.word in (Word.NO_VERDICT, Word.MEASURE_AGAIN) or any(
        each.outcome is Outcome.IN_QUESTION for each in now.judgements
    ):
        return Standing.OPEN
    return Standing.FINE
