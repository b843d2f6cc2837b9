"""What earlier readings of the same part in the same visit leave open: nothing is washed away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from brakelog.record.reading import ReadingSet
from brakelog.review.question import Scope
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Doubt, Judgement, Outcome

DISAGREES_IN_U1 = 3.0
"""Standard uncertainties by which two readings of one part may differ; common practice (three
standard deviations). [-]"""


def held_by_earlier(file: CaseFile, newest: Judgement, earlier: Sequence[Judgement]) -> Judgement:
    """Return the newest judgement, or what keeps it from passing the part.

    Parameters
    ----------
    file : CaseFile
        The case.
    newest : Judgement
        The judgement of the last readings, which are in limits.
    earlier : sequence of Judgement
        Those of earlier readings of the same part, as found ones among them.

    Notes
    -----
    A part is not measured until it passes: with fewer points than before, without the very point
    that was asked about, or far from what was read before, another set proves nothing.
    """
    for each in earlier:
        if each.outcome not in (Outcome.NOT_PROVEN, Outcome.IN_QUESTION):
            continue
        if each.points > newest.points or _leaves_out(file, newest, each):
            return _not_proven(newest, Doubt.FEWER_POINTS)
        if _reads_beyond(each) or _is_far_worse(newest, each):
            return _not_proven(newest, Doubt.DISAGREES)
    return newest


def _not_proven(judgement: Judgement, why: Doubt) -> Judgement:
    return replace(judgement, outcome=Outcome.NOT_PROVEN, doubts=(why,))


def _leaves_out(file: CaseFile, newest: Judgement, earlier: Judgement) -> bool:
    """Whether a point that was asked about was not read again."""
    asked = {
        point
        for question in earlier.questions
        if question.scope is Scope.POINTS
        for point in question.points
    }
    sets = [each for each in file.sets if each.id in newest.set_ids]
    return bool(asked) and not any(_has_all(each, asked) for each in sets)


def _has_all(reading: ReadingSet, points: set[int]) -> bool:
    values = reading.values_nm
    return all(point < len(values) and values[point] is not None for point in points)


def _reads_beyond(judgement: Judgement) -> bool:
    """Whether a set that was read again reads beyond its limit and no single slip explains it."""
    return (
        judgement.outcome is Outcome.IN_QUESTION
        and judgement.read_as is Outcome.OUT
        and not judgement.is_explained
    )


def _is_far_worse(newest: Judgement, earlier: Judgement) -> bool:
    """Whether an earlier reading that proved nothing lies far on the bad side of the newest."""
    if earlier.outcome is not Outcome.NOT_PROVEN or not newest.measure.facts.is_safety:
        return False
    if newest.judged_nm is None or earlier.judged_nm is None:
        return False
    gap_nm = float(newest.judged_nm - earlier.judged_nm)
    if not newest.measure.facts.limit.facts.least:
        gap_nm = -gap_nm
    return gap_nm > DISAGREES_IN_U1 * math.hypot(newest.u1_nm, earlier.u1_nm)
