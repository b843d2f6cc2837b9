"""The worlds of a vehicle: for each axle, what follows from leaving it and from new linings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import Part
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.lives import PositionLife, life_of, position_of
from brakelog.rules.matching import LifeMatch, match_if_left
from brakelog.rules.next_life import life_after_cut, new_life
from brakelog.rules.outlasting import cut_today
from brakelog.rules.staying import (
    IS_CUT,
    STAYS,
    Sides,
    are_on,
    bar_to,
    doubt_about,
    is_disbelieved,
    must_be_cut,
    obstacle_at,
    places_fitted,
    safety_of,
)
from brakelog.rules.verdict import Because, Grounds, Option, PartVerdict, Word
from brakelog.rules.world import Bar, Obstacle, Plan, World, earliest_first

_PARTS = {
    AxleBrake.DISC: (Part.PADS, Part.ROTOR),
    AxleBrake.DRUM: (Part.SHOES, Part.DRUM),
}


def worlds_of(file: CaseFile, parts: Iterable[PartVerdict]) -> tuple[World, ...]:
    """Return the worlds of every axle that was looked at; they change no verdict.

    Parameters
    ----------
    file : CaseFile
        The case, with its questions.
    parts : iterable of PartVerdict
        The verdicts on all of its parts.

    Notes
    -----
    Each part in a world is projected by itself, and the earliest end counts. Where several parts
    share one driver that is cautious: their bounds are not missed independently.
    """
    by_place = {(each.corner, each.part): each for each in parts}
    found: list[World] = []
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        corners = [Corner(axle=axle, side=side) for side in Side]
        lining, iron = _PARTS[brake]
        linings = tuple(by_place[corner, lining] for corner in corners)
        irons = tuple(by_place[corner, iron] for corner in corners)
        if any(_is_known(file, each) for each in (*linings, *irons)):
            found += _worlds(file, linings, irons)
    return tuple(found)


def _is_known(file: CaseFile, verdict: PartVerdict) -> bool:
    return bool(
        verdict.required
        or any(each.value_nm is not None for each in safety_of(verdict))
        or places_fitted(file, verdict)
    )


def _worlds(file: CaseFile, linings: Sides, irons: Sides) -> Iterator[World]:
    if are_on(file, linings):
        # The new linings are on: what was done is the only world there is.
        yield _kept(file, linings, irons, [_as_it_is(file, each) for each in linings])
        return
    yield _left(file, linings, irons)
    new_linings = _new(file, linings)
    yield _kept(file, linings, irons, [new_linings])
    if not all(places_fitted(file, each) for each in irons):
        yield _refinished(file, linings, irons, new_linings)
        yield _world(Plan.NEW, linings, irons, [new_linings, _new(file, irons)])


Known = tuple[list[PositionLife], list[Obstacle]]
"""What is known of parts in a world, and what is not, with the reasons."""


def _left(file: CaseFile, linings: Sides, irons: Sides) -> World:
    both = (*linings, *irons)
    required = [
        Obstacle(bar=Bar.REQUIRED, corner=each.corner, part=each.part, word=each.required[0].word)
        for each in both
        if each.required
    ]
    if required:
        return _world(Plan.LEFT, linings, irons, [], obstacles=required)
    suggested = tuple(each for each in both if each.grounds is Grounds.SUGGESTED)
    return _world(
        Plan.LEFT,
        linings,
        irons,
        [_as_it_is(file, each) for each in both],
        suggested=suggested,
        match=_match_if_left(file, linings, irons, suggested),
    )


def _match_if_left(
    file: CaseFile, linings: Sides, irons: Sides, suggested: Sides
) -> tuple[Corner, LifeMatch] | None:
    """Return the rotor that is worst off when suggested pads that are left reach their limit."""
    if not any((each.part, each.word) == (Part.PADS, Word.REPLACE) for each in suggested):
        return None
    return _worst(
        (iron.corner, match_if_left(file, iron.corner, iron.judgements[0], safety_of(lining)))
        for lining, iron in zip(linings, irons, strict=True)
    )


def _worst(matches: Iterable[tuple[Corner, LifeMatch | None]]) -> tuple[Corner, LifeMatch] | None:
    found = [(corner, match) for corner, match in matches if match is not None]
    return min(found, key=lambda pair: pair[1].end_nm - pair[1].figure.nm, default=None)


def _kept(file: CaseFile, linings: Sides, irons: Sides, known: list[Known]) -> World:
    obstacles = [
        obstacle_at(each, bar)
        for each in (*irons, *(linings if are_on(file, linings) else ()))
        if (bar := bar_to(file, each, STAYS)) is not None
    ]
    return _world(
        Plan.KEPT,
        linings,
        irons,
        [*known, *(_as_it_is(file, each) for each in irons)],
        obstacles=obstacles,
        match=_worst((each.corner, each.match) for each in irons),
    )


def _refinished(file: CaseFile, linings: Sides, irons: Sides, new_linings: Known) -> World:
    obstacles, options = [], []
    for each in irons:
        option = each.option or cut_today(file, each)
        options += [(each, option)] if option else []
        bar = bar_to(file, each, IS_CUT)
        if bar is None:
            bar = _CUT_BARS.get(option.because) if option else Bar.NOT_MEASURED
        if bar is not None:
            obstacles.append(obstacle_at(each, bar, option))
    is_asked = any(reason.word is Word.REFINISH for each in irons for reason in each.reasons)
    lives = [] if obstacles else _cut_lives(file, options)
    return _world(
        Plan.REFINISHED,
        linings,
        irons,
        [new_linings, (lives, [])],
        obstacles=obstacles,
        cut_is_asked=is_asked,
        options=tuple((each.corner, option) for each, option in options),
        match=_worst(
            (each.corner, option.match or (each.match if must_be_cut(each) else None))
            for each, option in options
        ),
    )


_CUT_BARS = {
    Because.CUT_IMPOSSIBLE: Bar.CANNOT_BE_CUT,
    Because.CUT_LIMIT_UNKNOWN: Bar.CUT_LIMIT_UNKNOWN,
}


def _cut_lives(file: CaseFile, options: Iterable[tuple[PartVerdict, Option]]) -> list[PositionLife]:
    """Return the irons after their cut, never going further than the same ones uncut."""
    return [
        life_after_cut(
            file,
            each.corner,
            each.judgements[0],
            each.lives[0] if each.lives else None,
            option.cut.after_nm,
        )
        for each, option in options
    ]


def _world(
    plan: Plan,
    linings: Sides,
    irons: Sides,
    known: Iterable[Known],
    *,
    obstacles: Iterable[Obstacle] = (),
    suggested: Sides = (),
    cut_is_asked: bool = False,
    options: tuple[tuple[Corner, Option], ...] = (),
    match: tuple[Corner, LifeMatch] | None = None,
) -> World:
    why_not = tuple(obstacles)
    told = [] if why_not else list(known)
    return World(
        axle=linings[0].corner.axle,
        plan=plan,
        lining=linings[0].part,
        iron=irons[0].part,
        obstacles=why_not,
        lives=earliest_first([life for lives, _ in told for life in lives]),
        passed_over=tuple(each for _, passed in told for each in passed),
        suggested=suggested,
        needs_correction=plan is not Plan.LEFT
        and any(r.word is Word.CORRECT for each in (*linings, *irons) for r in each.required),
        cut_is_asked=cut_is_asked,
        options=options,
        match=None if why_not else match,
    )


def _new(file: CaseFile, sides: Sides) -> Known:
    """Return new parts at both corners as they would begin today."""
    lives, passed = [], []
    for each in sides:
        by_position = {life.position: life for life in each.lives}
        for judgement in safety_of(each):
            worn = by_position.get(position_of(judgement.measure))
            life = new_life(file, each.corner, judgement, worn)
            if life is not None:
                lives.append(life)
            else:
                passed.append(obstacle_at(each, Bar.NO_NEW_SIZE))
    return lives, list(dict.fromkeys(passed))


def _as_it_is(file: CaseFile, verdict: PartVerdict) -> Known:
    """Return what is known of a part that stays as it is, and what is not."""
    doubt = doubt_about(file, verdict)
    bars: list[Bar] = [doubt] if doubt else []
    if doubt not in (None, Bar.NOT_MEASURED):
        return [], [obstacle_at(verdict, each) for each in bars]
    lives = []
    for judgement in safety_of(verdict):
        position = position_of(judgement.measure)
        life = next((each for each in verdict.lives if each.position is position), None)
        if life is not None and not is_disbelieved(judgement):
            lives.append(life)
        elif life is not None:
            bars.append(Bar.MEASURE_AGAIN)
        elif position in places_fitted(file, verdict):
            lives.append(life_of(file, verdict.corner, judgement))
    return lives, [obstacle_at(verdict, each) for each in dict.fromkeys(bars)]
