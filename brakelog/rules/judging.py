"""Judging one measure: which of its readings decide, and what questions about them leave open."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from brakelog.record.corner import Corner
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.review.question import Question
from brakelog.rules.bound import Bounds
from brakelog.rules.casefile import CaseFile
from brakelog.rules.comparing import judge_sets, without_reading
from brakelog.rules.earlier import held_by_earlier
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import hangs, if_all_real, if_real, is_answered, touching


def judge_measure(file: CaseFile, corner: Corner, measure: Measure) -> Judgement:
    """Judge one measure at one corner; never raises on data.

    Where several sets of the same visit measure it, the newest decides, unless an earlier one says
    ``out`` or leaves it open: a part is not measured until it passes. For what does not heal, a
    size or a groove, that holds from as found to as left too, where the part was not changed.
    """
    rounds = _rounds(file, corner, measure)
    if not rounds:
        return _unread(file.bounds, corner, measure)
    judged = [_questioned(file, corner, measure, sets) for sets in rounds]
    newest = judged[-1]
    if _is_out(newest):
        return newest
    earlier = _as_found(file, corner, measure)
    if len(judged) > 1:
        earlier += [
            each
            for each, sets in zip(judged[:-1], rounds[:-1], strict=True)
            if not _is_turned(file, measure, sets, rounds[-1])
        ]
    if not earlier:
        return newest
    out = [each for each in earlier if _is_out(each)]
    if out:
        is_turned = len(_positions(file, corner)) > 1 and measure is Measure.RUNOUT
        why = Doubt.TURNED if is_turned else Doubt.RE_MEASURED
        return replace(out[-1], doubts=(*out[-1].doubts, why))
    return held_by_earlier(file, newest, earlier) if newest.outcome is Outcome.IN else newest


def _unread(bounds: Bounds, corner: Corner, measure: Measure) -> Judgement:
    """Return the judgement of a measure that nobody read; its limit alone decides it."""
    key = (corner, measure)
    if key not in bounds.unread:
        facts = measure.facts
        bound = bounds.of(facts.limit, corner, which_pad=facts.which_pad)
        bounds.unread[key] = Judgement(measure=measure, outcome=without_reading(bound), bound=bound)
    return bounds.unread[key]


def _is_turned(
    file: CaseFile,
    measure: Measure,
    before: tuple[ReadingSet, ...],
    now: tuple[ReadingSet, ...],
) -> bool:
    """Whether, as left, the rotor was turned on its hub in between: the runout is another one."""
    if measure is not Measure.RUNOUT or file.stage is Stage.AS_FOUND:
        return False
    return (before[0].rotor_index or 0) != (now[0].rotor_index or 0)


def _positions(file: CaseFile, corner: Corner) -> set[int]:
    """Return the positions of the rotor on its hub that its runout was read in."""
    sets = file.sets_at(corner, Quantity.RUNOUT)
    return {each.rotor_index or 0 for each in sets if each.measured_nm}


def _is_out(judgement: Judgement) -> bool:
    return judgement.outcome is Outcome.OUT


def _as_found(file: CaseFile, corner: Corner, measure: Measure) -> list[Judgement]:
    """Judge what was found of a part that is still the same one as left."""
    lasts = measure.facts.is_safety or measure.facts.needs_machining
    if file.stage is Stage.AS_FOUND or not lasts:
        return []
    if any(file.was_changed(corner, quantity) for quantity in measure.facts.quantities):
        return []
    before = file.at_stage(Stage.AS_FOUND)
    return [_questioned(before, corner, measure, sets) for sets in _rounds(before, corner, measure)]


def least_favourable_nm(file: CaseFile, corner: Corner, measure: Measure) -> Fraction | None:
    """Return the worst size that any set of the visit and stage gives. [nm]

    A set whose slip was found and that was read again gives none.
    """
    judged = [_questioned(file, corner, measure, sets) for sets in _rounds(file, corner, measure)]
    sizes = [
        each.judged_nm
        for n, each in enumerate(judged, start=1)
        if each.judged_nm is not None and (n == len(judged) or not each.is_explained)
    ]
    return _worst(measure, sizes)


def sizes_if_real(
    file: CaseFile, corner: Corner, measure: Measure
) -> tuple[tuple[Question, Fraction], ...]:
    """Return the worst size of the newest readings for each question that could change it. [nm]

    Whoever says that a reading is right has not read it again: a size that work is ordered by
    stays in both worlds until somebody has.
    """
    rounds = _rounds(file, corner, measure)
    if not rounds:
        return ()
    found = []
    for question in touching(file, rounds[-1]):
        if question.settled_by_looking and is_answered(file, question):
            continue
        real = _real(file, corner, measure, rounds[-1], question)
        if real is not None and real.judged_nm is not None:
            found.append((question, real.judged_nm))
    return tuple(found)


def _worst(measure: Measure, sizes: list[Fraction]) -> Fraction | None:
    pick = min if measure.facts.limit.facts.least else max
    return pick(sizes) if sizes else None


def _rounds(file: CaseFile, corner: Corner, measure: Measure) -> list[tuple[ReadingSet, ...]]:
    """Return the sets to judge together, one tuple for each time it was measured."""
    if measure.facts.limit.facts.part is Part.DRUM:
        edges = [
            [s for s in file.sets_at(corner, quantity) if s.measured_nm]
            for quantity in measure.facts.quantities
        ]
        count = max(len(edge) for edge in edges)
        return [tuple(edge[min(n, len(edge) - 1)] for edge in edges if edge) for n in range(count)]
    quantity = measure.facts.quantities[0]
    return [(s,) for s in file.sets_at(corner, quantity) if s.measured_nm]


def _questioned(
    file: CaseFile, corner: Corner, measure: Measure, sets: tuple[ReadingSet, ...]
) -> Judgement:
    """Judge the readings as they are, and as they would be if questions about them were right."""
    as_read = judge_sets(file, corner, measure, sets)
    if as_read.outcome not in (Outcome.OUT, Outcome.IN, Outcome.NOT_PROVEN):
        return as_read
    asked = touching(file, sets)
    if not asked:
        return as_read
    worlds = [(each, _real(file, corner, measure, sets, each)) for each in asked]
    hanging = [question for question, real in worlds if hangs(file, question, as_read, real)]
    if not hanging:
        hanging = _together(file, corner, measure, sets, as_read, asked)
    if not hanging:
        return as_read
    return replace(
        as_read,
        outcome=Outcome.IN_QUESTION,
        read_as=as_read.outcome,
        is_explained=any(
            real is not None and real.outcome is not Outcome.OUT for _, real in worlds
        ),
        questions=tuple(hanging),
    )


def _real(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    sets: tuple[ReadingSet, ...],
    question: Question,
) -> Judgement | None:
    """Judge the readings as they would be; None where nothing would be left, or is known of it."""
    if not question.instead_nm:
        return None
    there = tuple(each for each in if_real(sets, question) if each.measured_nm)
    return judge_sets(file, corner, measure, there) if there else None


def _together(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    sets: tuple[ReadingSet, ...],
    as_read: Judgement,
    asked: tuple[Question, ...],
) -> list[Question]:
    """Return the open questions where none changes anything alone, but all of them together."""
    several = [each for each in asked if each.instead_nm and not is_answered(file, each)]
    if len(several) < _SEVERAL:
        return []
    there = tuple(each for each in if_all_real(sets, several) if each.measured_nm)
    real = judge_sets(file, corner, measure, there) if there else None
    return several if any(hangs(file, each, as_read, real) for each in several) else []


_SEVERAL = 2
