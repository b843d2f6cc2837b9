"""One quantity of a card: its blanks, its limits, and what was read last."""

from __future__ import annotations

from brakelog.intake.paper import PaperCorner, PaperRow
from brakelog.intake.step import Step, StepKind
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum
from brakelog.reports.bay_card_model import Blank, BlankKind, Row
from brakelog.reports.bay_card_words import Sources, bound_words, last_words, unit_word
from brakelog.rules.bound import Bound, BoundState
from brakelog.rules.card_file import CardFile
from brakelog.rules.measure import Measure

STAMPED = "stamped on the part"
FROM_SERVICE = "from service information"
NO_LINING_LIMIT = "lining only: no limit on file"


def card_row(
    row: PaperRow, paper: PaperCorner, file: CardFile, sources: Sources, *, caution: str
) -> Row:
    """Return the blanks of a quantity with what is on file beside them.

    Parameters
    ----------
    row : PaperRow
        What is asked of it.
    paper : PaperCorner
        The corner.
    file : CardFile
        What is on file about the vehicle.
    sources : Sources
        Takes down the sources that are named.
    caution : str
        Said before it is measured, if anything.
    """
    corner, quantity = paper.corner, row.quantity
    bounds = file.bounds_at(corner, quantity)
    machine_to = file.machine_to_at(corner, quantity)
    against = [figure.nm for _, bound in bounds for figure in bound.figures]
    of = file.traits.get((corner.axle, "fasteners"), "")
    to_find, cast = _to_find(file, corner, quantity, bounds)
    told = [bound_words(bound, sources) for _, bound in bounds]
    told += [bound_words(machine_to, sources)] if machine_to else []
    if quantity.is_lining and _has_only_plate(bounds):
        told.append(NO_LINING_LIMIT)
    last = file.last_at(corner, quantity)
    return Row(
        word=quantity.value,
        name=quantity.facts.label,
        unit=unit_word(row.unit),
        blanks=tuple(_blank(step, of) for step in row.steps),
        asks_datum=quantity.is_lining,
        last=last_words(last, corner, unit=row.unit, shop=file.shop, against=against),
        bounds=tuple(told),
        to_find=to_find,
        cast=cast,
        caution=caution,
    )


def _has_only_plate(bounds: tuple[tuple[Measure, Bound], ...]) -> bool:
    """Whether a reading of the lining alone could not be judged."""
    datums = {limit.datum for _, bound in bounds for limit in bound.limits}
    return datums == {Datum.WITH_PLATE}


def _to_find(
    file: CardFile,
    corner: Corner,
    quantity: Quantity,
    bounds: tuple[tuple[Measure, Bound], ...],
) -> tuple[str, str]:
    """Return what is to be looked up, and the kind of limit that may be stamped on the part.

    A stamped figure is asked for once for each rotor and drum: also where a sheet has a limit,
    the stricter of the two decides.
    """
    for measure, bound in bounds:
        if not measure.facts.is_safety:
            continue
        if quantity.is_lining and bound.state is BoundState.MISSING:
            return FROM_SERVICE, ""
        is_first = quantity in (Quantity.ROTOR, Quantity.DRUM_OPEN)
        if is_first and not file.is_marked(corner, bound.kind):
            return STAMPED, bound.kind.value
    return "", ""


_CAPTIONS = {
    StepKind.AGAIN: "point 1",
    StepKind.NUTS: "fasteners fitted",
    StepKind.BEARING: "free of play",
    StepKind.BACK: "at start after a turn",
    StepKind.LIP: "unworn, at the edge",
}
_KINDS = {
    StepKind.NUTS: BlankKind.FASTENERS,
    StepKind.BEARING: BlankKind.YES_NO,
    StepKind.BACK: BlankKind.YES_NO,
    StepKind.LIP: BlankKind.YES_NO,
}


def _blank(step: Step, fasteners: str) -> Blank:
    """Return the blank of a step; an option stands with the name that is typed for it."""
    assert step.quantity is not None
    if step.kind is not StepKind.VALUE:
        return Blank(
            key=step.key,
            caption=f"{step.kind.value}: {_CAPTIONS[step.kind]}",
            kind=_KINDS.get(step.kind, BlankKind.NUMBER),
            of=fasteners if step.kind is StepKind.NUTS else "",
        )
    is_numbered = step.quantity is Quantity.ROTOR
    points = step.quantity.facts.points
    return Blank(key=step.key, caption=str(step.number) if is_numbered else points[step.number - 1])
