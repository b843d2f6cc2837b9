"""Readings held against their limits, one row for each measure at a corner."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from brakelog.reports.bay_card_words import NOT_STATED
from brakelog.reports.counter_page_model import Row, Said
from brakelog.reports.counter_part import Sources, instead_of_readings, is_fitted, is_untouched
from brakelog.reports.plain import shown
from brakelog.rules.bound import Bound, BoundFigure
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.judgement_words import (
    WORST_TAKEN,
    datum_words,
    judged_words,
    limit_state,
    margin_words,
    notes_on,
    probability_words,
    stricter_words,
    u2_words,
    value_words,
)
from brakelog.rules.measure import Measure
from brakelog.rules.verdict import PartVerdict, VehicleVerdict

NOT_MEASURED = "not measured"
NO_GAUGE = "not on record"
_NOT_WEIGHED = (Outcome.OUT, Outcome.IN_QUESTION)
"""Where no probability is told: it excuses nothing, or nothing was held against the limit."""


def rows_of(
    verdict: VehicleVerdict, part: PartVerdict, sources: Sources, told: Collection[Measure]
) -> Iterator[Row]:
    """Yield a row for every measure of a part that was read, or should have been.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict that the part belongs to.
    part : PartVerdict
        The part.
    sources : Sources
        Numbers the sources of its limits.
    told : collection of Measure
        Measures whose doubts a reason tells in full; they are not said again.
    """
    if is_untouched(part):
        texts = instead_of_readings(part, verdict.file.fittings_at(part.corner, part.part))
        yield Row(
            corner=part.corner.code,
            what=part.part.value,
            reading=shown(" ".join(texts)),
            is_plain=is_fitted(verdict, part),
        )
        return
    for judgement in part.judgements:
        if judgement.value_nm is not None:
            yield _read(verdict, part, judgement, sources, is_told=judgement.measure in told)
        elif judgement.measure.facts.is_safety:
            yield _blank(part, judgement, sources)


def _blank(part: PartVerdict, judgement: Judgement, sources: Sources) -> Row:
    limit, out_when, source = _limit(judgement.bound, judgement.bound.strictest, sources)
    return Row(
        corner=part.corner.code,
        what=judgement.measure.value,
        reading=NOT_MEASURED,
        limit=limit,
        out_when=out_when,
        source=source,
        is_plain=False,
    )


def _read(
    verdict: VehicleVerdict,
    part: PartVerdict,
    judgement: Judgement,
    sources: Sources,
    *,
    is_told: bool,
) -> Row:
    shop = verdict.file.shop
    limit, out_when, source = _limit(judgement.bound, judgement.deciding, sources)
    is_weighed = judgement.probability is not None and judgement.outcome not in _NOT_WEIGHED
    place = f", {judgement.place}" if judgement.place else ""
    return Row(
        corner=part.corner.code,
        what=judgement.measure.value,
        reading=shown(f"{value_words(judgement, shop)}{place}"),
        limit=limit,
        out_when=out_when,
        source=source,
        margin=_margin(verdict, judgement),
        read_with=shown(judgement.read_with) or NO_GAUGE,
        u2=u2_words(judgement, shop) if is_weighed else "",
        p=probability_words(judgement.probability or 0.0) if is_weighed else "",
        notes=() if is_told else tuple(map(shown, _notes(verdict, judgement, sources))),
        is_plain=judgement.outcome is Outcome.IN
        or (judgement.deciding is None and not judgement.measure.facts.is_safety),
    )


def _limit(bound: Bound, figure: BoundFigure | None, sources: Sources) -> tuple[str, str, str]:
    """Return a limit as printed, its failing condition, and the number of its source."""
    if figure is None:
        return bound.state.value, "", ""
    limit = figure.limit
    mark = NOT_STATED if limit.out_when is None else ""
    out_when = f"{limit.comparator.value}{mark}"
    printed = f"{bound.printed(figure)} {datum_words(limit)}".rstrip()
    return shown(printed), out_when, str(sources.number(limit))


def _margin(verdict: VehicleVerdict, judgement: Judgement) -> str:
    """Return how it stands; what is not proven or in question is never only inside."""
    if judgement.deciding is None:
        return "not judged"
    if judgement.outcome is Outcome.IN_QUESTION:
        return "in question"
    margin = margin_words(judgement, verdict.file.shop)
    margin = "exactly at it" if judgement.margin_nm == 0 else margin
    return f"{margin}, not proven" if judgement.outcome is Outcome.NOT_PROVEN else margin


def _notes(verdict: VehicleVerdict, judgement: Judgement, sources: Sources) -> Iterator[str]:
    judged = judged_words(judgement, verdict.file.shop)
    if judged and judgement.deciding is not None:
        yield f"Judged as {judged}."
    if judgement.deciding is None:
        # A service measure without a limit is only read; the limit's cell says so.
        if judgement.measure.facts.is_safety or judgement.bound.limits:
            yield limit_state(judgement)
        yield from notes_on(judgement, sources.cite)
        return
    if judgement.outcome is Outcome.IN_QUESTION:
        yield "As typed: not held against its limit while it is in question."
        return
    stricter = stricter_words(judgement.bound, judgement.deciding)
    if stricter:
        yield f"Judged by {stricter}."
    if not judgement.gauge_known:
        yield f"{judgement.gauge[:1].upper()}{judgement.gauge[1:]}, {WORST_TAKEN}."
    yield from notes_on(judgement, sources.cite)


def notes_below(rows: Iterable[Row]) -> tuple[Said, ...]:
    """Return the notes of some rows, each once with the corners that it holds for."""
    found: dict[str, dict[str, list[str]]] = {}
    for row in rows:
        for note in row.notes:
            found.setdefault(note, {}).setdefault(row.what, []).append(row.corner)
    return tuple(
        Said(
            where="; ".join(f"{', '.join(corners)} {what}" for what, corners in places.items()),
            text=note,
        )
        for note, places in found.items()
    )
