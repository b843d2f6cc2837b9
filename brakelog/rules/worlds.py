"""The worlds of a vehicle: for each axle, what follows from leaving it and from new linings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brakelog.record.corner import Corner, Side
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import POSITIONS_OF, Part, Position
from brakelog.record.reading import Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.lives import PositionLife, life_of, position_of
from brakelog.rules.matching import LifeMatch, match_if_left
from brakelog.rules.next_life import life_after_cut, new_life
from brakelog.rules.outlasting import cut_today
from brakelog.rules.part import DISBELIEVED
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
        or any(each.value_nm is not None for each in _safety(verdict))
        or _fitted_today(file, verdict)
    )


Sides = tuple[PartVerdict, ...]
"""The verdicts on one kind of part at both corners of an axle."""


def _worlds(file: CaseFile, linings: Sides, irons: Sides) -> Iterator[World]:
    if _are_on(file, linings):
        # The new linings are on: what was done is the only world there is.
        yield _kept(file, linings, irons, [_as_it_is(file, each) for each in linings])
        return
    yield _left(file, linings, irons)
    new_linings = _new(file, linings)
    yield _kept(file, linings, irons, [new_linings])
    if not all(_fitted_today(file, each) for each in irons):
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
        (iron.corner, match_if_left(file, iron.corner, iron.judgements[0], _safety(lining)))
        for lining, iron in zip(linings, irons, strict=True)
    )


def _worst(matches: Iterable[tuple[Corner, LifeMatch | None]]) -> tuple[Corner, LifeMatch] | None:
    found = [(corner, match) for corner, match in matches if match is not None]
    return min(found, key=lambda pair: pair[1].end_nm - pair[1].figure.nm, default=None)


def _kept(file: CaseFile, linings: Sides, irons: Sides, known: list[Known]) -> World:
    obstacles = [
        _obstacle(each, bar)
        for each in (*irons, *(linings if _are_on(file, linings) else ()))
        if (bar := _bar(file, each, _STAYS)) is not None
    ]
    return _world(
        Plan.KEPT,
        linings,
        irons,
        [*known, *(_as_it_is(file, each) for each in irons)],
        obstacles=obstacles,
        match=_worst((each.corner, each.match) for each in irons),
    )


_STAYS = {Word.REPLACE: Bar.MUST_GO, Word.REFINISH: Bar.MUST_BE_CUT}
_IS_CUT = {Word.REPLACE: Bar.MUST_GO}
"""Required words that keep a part from staying, and from being cut."""


def _refinished(file: CaseFile, linings: Sides, irons: Sides, new_linings: Known) -> World:
    obstacles, options = [], []
    for each in irons:
        bar, option = _bar(file, each, _IS_CUT), each.option or cut_today(file, each)
        if bar is None and option is None:
            bar = Bar.NOT_MEASURED
        elif bar is None and option is not None:
            bar = _CUT_BARS.get(option.because)
        if bar is not None:
            obstacles.append(_obstacle(each, bar, option))
        elif option is not None:
            options.append((each, option))
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
            (each.corner, option.match or (each.match if _must_be_cut(each) else None))
            for each, option in options
        ),
    )


_CUT_BARS = {
    Because.CUT_IMPOSSIBLE: Bar.CANNOT_BE_CUT,
    Because.CUT_LIMIT_UNKNOWN: Bar.CUT_LIMIT_UNKNOWN,
}


def _must_be_cut(verdict: PartVerdict) -> bool:
    return any(each.word is Word.REFINISH for each in verdict.required)


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
        for judgement in _safety(each):
            worn = by_position.get(position_of(judgement.measure))
            life = new_life(file, each.corner, judgement, worn)
            if life is not None:
                lives.append(life)
            else:
                passed.append(_obstacle(each, Bar.NO_NEW_SIZE))
    return lives, list(dict.fromkeys(passed))


def _as_it_is(file: CaseFile, verdict: PartVerdict) -> Known:
    """Return what is known of a part that stays as it is, and what is not."""
    doubt = _doubt(file, verdict)
    bars: list[Bar] = [doubt] if doubt else []
    if doubt not in (None, Bar.NOT_MEASURED):
        return [], [_obstacle(verdict, each) for each in bars]
    lives = []
    for judgement in _safety(verdict):
        position = position_of(judgement.measure)
        life = next((each for each in verdict.lives if each.position is position), None)
        if life is not None and not _is_disbelieved(judgement):
            lives.append(life)
        elif life is not None:
            bars.append(Bar.MEASURE_AGAIN)
        elif position in _fitted_today(file, verdict):
            lives.append(life_of(file, verdict.corner, judgement))
    return lives, [_obstacle(verdict, each) for each in dict.fromkeys(bars)]


def _bar(file: CaseFile, verdict: PartVerdict, words: dict[Word, Bar]) -> Bar | None:
    """Return what keeps a part from staying on, or from being cut."""
    for reason in verdict.required:
        if reason.word in words:
            return words[reason.word]
    doubt = _doubt(file, verdict)
    if (
        doubt is None
        and any(each.outcome is Outcome.NOT_PROVEN for each in _safety(verdict))
        and not _must_be_cut(verdict)
    ):
        return Bar.NOT_PROVEN
    return doubt


def _doubt(file: CaseFile, verdict: PartVerdict) -> Bar | None:
    """Return why nothing can be said of a part as it is; None where its size is known."""
    because = verdict.reasons[0].because
    if verdict.word is Word.MEASURE_AGAIN:
        return Bar.IN_QUESTION if because is Because.IN_QUESTION else Bar.MEASURE_AGAIN
    unread = [each for each in _safety(verdict) if each.value_nm is None]
    fitted = _fitted_today(file, verdict)
    if any(position_of(each.measure) not in fitted for each in unread):
        return Bar.NOT_MEASURED
    if verdict.word is Word.NO_VERDICT and because is not Because.NOT_INSPECTED:
        return Bar.NO_LIMIT
    return None


def _is_disbelieved(judgement: Judgement) -> bool:
    """Whether the reading itself is in doubt, so that no distance may rest on it."""
    return judgement.outcome is Outcome.NOT_PROVEN and not DISBELIEVED.isdisjoint(judgement.doubts)


def _obstacle(verdict: PartVerdict, bar: Bar, option: Option | None = None) -> Obstacle:
    return Obstacle(bar=bar, corner=verdict.corner, part=verdict.part, option=option)


def _safety(verdict: PartVerdict) -> tuple[Judgement, ...]:
    return tuple(each for each in verdict.judgements if each.measure.facts.is_safety)


def _fitted_today(file: CaseFile, verdict: PartVerdict) -> set[Position]:
    """Return the places where a part went on, or was cut, in this visit, as left."""
    if file.stage is Stage.AS_FOUND:
        return set()
    return {
        each.position
        for each in file.fittings_at(verdict.corner, verdict.part)
        if each.event is not FittingEvent.REMOVED
    }


def _are_on(file: CaseFile, linings: Sides) -> bool:
    """Whether new linings went on at both corners in this visit."""
    return file.stage is Stage.AS_LEFT and all(
        {
            fitting.position
            for fitting in file.fittings_at(each.corner, each.part)
            if fitting.event is FittingEvent.NEW
        }.issuperset(POSITIONS_OF[each.part])
        for each in linings
    )
