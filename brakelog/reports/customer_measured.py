"""What was measured, as the customer reads it: one row for every lining, disc and drum."""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from brakelog.lengths import decimal_mm
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Datum
from brakelog.record.shop import Shop
from brakelog.reports.language.figures import both_sizes, split_pair, typed_size
from brakelog.reports.language.language import Language
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import place_of, position_name
from brakelog.reports.plain_reasons import fitted_today
from brakelog.rules.bound import Bound
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.part_life import new_size_nm
from brakelog.rules.verdict import PartVerdict, VehicleVerdict


class Shape(enum.Enum):
    """How a part is drawn."""

    LINING = "lining"
    DISC = "disc"
    DRUM = "drum"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One part, to be drawn at actual size; a drum as what it has grown since it was new."""

    shape: Shape
    size_mm: str
    limit_mm: str
    """Empty where no limit holds."""
    previous_mm: str
    """Its size at the last visit, the same part; empty where it was not read."""
    new_mm: str
    """Its size when new, for a drum; empty where that is not on file."""
    has_plate: bool = False
    """Whether the size of a lining includes its backing plate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One row of what was measured."""

    corner: str
    place: str
    position: str
    name: str
    size: str
    """In the shop's own unit."""
    size_other: str
    """The same in the other unit."""
    state: str
    """What has to be said beside the figure: ``past its limit``; mostly nothing."""
    limit: str
    """As printed."""
    limit_other: str
    """The figure in the other unit, where there is one."""
    before: str
    """What was read the last time, in the shop's own unit; empty where nothing was."""
    before_other: str
    bar: Bar


def measured_rows(lang: Language, verdict: VehicleVerdict) -> tuple[Measured, ...]:
    """Return every size that was read, or that was measured when the part was fitted today."""
    return tuple(row for part in verdict.parts for row in _rows(lang, verdict, part))


def _rows(lang: Language, verdict: VehicleVerdict, part: PartVerdict) -> Iterator[Measured]:
    fitted = {each.position: each for each in fitted_today(verdict, part)}
    for judgement in part.judgements:
        position = judgement.measure.facts.position
        if position is None or not judgement.measure.facts.is_safety:
            continue
        if judgement.value_nm is not None:
            yield _read(lang, verdict, part, position, judgement)
        elif position in fitted:
            yield _fitted(lang, verdict, part, judgement, fitted[position])


def _read(
    lang: Language,
    verdict: VehicleVerdict,
    part: PartVerdict,
    position: Position,
    judgement: Judgement,
) -> Measured:
    shop = verdict.file.shop
    assert judgement.value_nm is not None
    life = next((each for each in part.lives if each.position is position), None)
    return _row(
        lang,
        verdict,
        part,
        judgement,
        read_nm=judgement.value_nm,
        drawn_nm=judgement.judged_nm or judgement.value_nm,
        before_nm=life.previous_nm if life else None,
        state=_state(lang, judgement, shop),
    )


def _fitted(
    lang: Language,
    verdict: VehicleVerdict,
    part: PartVerdict,
    judgement: Judgement,
    fitting: Fitting,
) -> Measured:
    assert fitting.size_nm is not None
    return _row(
        lang,
        verdict,
        part,
        judgement,
        read_nm=fitting.size_nm,
        drawn_nm=fitting.size_nm,
        before_nm=None,
        state=lang.say("state.when_fitted"),
    )


def _row(
    lang: Language,
    verdict: VehicleVerdict,
    part: PartVerdict,
    judgement: Judgement,
    *,
    read_nm: int,
    drawn_nm: int | Fraction,
    before_nm: int | None,
    state: str,
) -> Measured:
    shop, bound = verdict.file.shop, judgement.bound
    position = judgement.measure.facts.position
    assert position is not None
    limits = [figure.nm for figure in bound.figures]
    fine = part.part is Part.ROTOR
    size, other = both_sizes(lang, read_nm, shop, fine=fine, against=limits)
    before = before_other = ""
    if before_nm is not None:
        before, before_other = both_sizes(lang, before_nm, shop, fine=fine, against=limits)
    new_nm = (
        new_size_nm(verdict.file, part.corner, judgement.measure)
        if part.part is Part.DRUM
        else None
    )
    # What was measured is named by how it was measured, whatever its limit is stated for.
    datums = {
        each.datum
        for quantity in judgement.measure.facts.quantities
        for each in verdict.file.sets_of(part.corner, quantity)
        if each.id in judgement.set_ids
    } or {each.datum for each in bound.limits}
    has_plate = Datum.WITH_PLATE in datums
    strictest = bound.strictest
    limit, limit_other = _limit(lang, bound, shop, fine=fine)
    return Measured(
        corner=part.corner.code,
        place=place_of(lang, part.corner),
        position=position.value,
        name=position_name(lang, position, has_plate=has_plate),
        size=size,
        size_other=other,
        state=state,
        limit=limit,
        limit_other=limit_other,
        before=before,
        before_other=before_other,
        bar=Bar(
            shape=_SHAPES[part.part],
            size_mm=_mm(drawn_nm),
            limit_mm="" if strictest is None else _mm(strictest.nm),
            previous_mm="" if before_nm is None else _mm(before_nm),
            new_mm="" if new_nm is None else _mm(new_nm),
            has_plate=has_plate,
        ),
    )


_SHAPES = {
    Part.PADS: Shape.LINING,
    Part.SHOES: Shape.LINING,
    Part.ROTOR: Shape.DISC,
    Part.DRUM: Shape.DRUM,
}


def _mm(nm: int | Fraction) -> str:
    return decimal_mm(round(nm))


def _state(lang: Language, judgement: Judgement, shop: Shop) -> str:
    """Return what a reader must know beside the figure."""
    texts = []
    if judgement.corrections and judgement.judged_nm is not None:
        limits = [figure.nm for figure in judgement.bound.figures]
        fine = judgement.measure.facts.part is Part.ROTOR
        judged, _ = both_sizes(lang, judgement.judged_nm, shop, fine=fine, against=limits)
        texts.append(lang.say("state.corrected", size=judged))
    if judgement.outcome is Outcome.OUT:
        is_at = judgement.margin_nm == 0
        texts.append(lang.say("state.at_limit" if is_at else "state.past_limit"))
    elif judgement.outcome is Outcome.IN_QUESTION:
        texts.append(lang.say("state.again"))
    elif judgement.outcome is Outcome.NOT_PROVEN:
        is_close = Doubt.TOO_CLOSE in judgement.doubts
        texts.append(lang.say("state.too_close" if is_close else "state.again"))
    return ", ".join(texts)


def _limit(lang: Language, bound: Bound, shop: Shop, *, fine: bool) -> tuple[str, str]:
    """Return the limit as printed, the shop's own unit first, and in the other unit.

    Where only the other unit is printed, the own one is worked out beside it.
    """
    figure = bound.strictest
    if figure is None:
        key = "limit.not_settled" if bound.limits else "limit.not_on_file"
        return lang.say(key), ""
    first, second = (
        typed_size(lang, text) if text else "" for text in split_pair(shown(bound.printed(figure)))
    )
    is_own = figure.limit.figures[0].unit.is_inch == shop.unit.is_inch
    if second:
        return (first, second) if is_own else (second, first)
    if figure.figure.unit.is_inch == shop.unit.is_inch:
        return first, ""
    return first, both_sizes(lang, figure.nm, shop, fine=fine)[0]
