"""The bay card: everything that guided entry asks, as blanks, with what is on file beside them."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from brakelog.intake.paper import PaperCorner, PaperRow
from brakelog.intake.step import Step, StepKind
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, Side, axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import DISC_QUANTITIES, DRUM_QUANTITIES, Part, Quantity
from brakelog.record.reading import Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.reports.bay_card_enter import Entering, how_to_enter
from brakelog.reports.bay_card_words import (
    NOT_STATED,
    NOT_STATED_NOTE,
    Sources,
    bound_words,
    last_words,
)
from brakelog.reports.plain import shown
from brakelog.rules.bound import Bound, BoundState
from brakelog.rules.card_file import CardFile
from brakelog.rules.figure import distance
from brakelog.rules.left_checks import may_be_electric
from brakelog.rules.measure import Measure

SUPPORT = "Support points and stands first; strap the vehicle where heavy parts come off."
DUST = (
    "Brake dust: wet or with a HEPA filter, no compressed air, no dry brush; linings of old or "
    "imported parts may hold asbestos."
)
HOT = "Let it cool before it is measured."
ELECTRIC = "Electric parking brake into service mode first; keep fingers out of the caliper."
MAYBE_ELECTRIC = (
    "Where the parking brake is electric: service mode first; keep fingers out of the caliper."
)
"""Each said once on a card, where the hand is."""
HOW = "Not measured: x. Read with another unit: write it behind the number."
STAMPED = "stamped on the part"
FROM_SERVICE = "from service information, with its page"


class BlankKind(enum.Enum):
    """How a blank is filled in."""

    NUMBER = "number"
    FASTENERS = "fasteners"
    YES_NO = "yes or no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One answer of guided entry."""

    key: str
    """The key of the step: ``rotor:3``."""
    caption: str
    kind: BlankKind = BlankKind.NUMBER
    of: str = ""
    """How many fasteners the hub has, where that is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The blanks of one quantity; with the corner its word begins a typed line."""

    word: str
    name: str
    unit: str
    blanks: tuple[Blank, ...]
    asks_datum: bool
    last: str
    bounds: tuple[str, ...]
    to_find: tuple[str, ...]
    """Figures that are not on file and have a blank."""
    cast: str = ""
    """The kind of limit that a figure stamped on the part is, where that is not on file."""
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticks:
    """The words for what can be seen on one part."""

    part: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerBand:
    """One corner of the card."""

    code: str
    place: str
    rows: tuple[Row, ...]
    ticks: tuple[Ticks, ...]
    caution: str = ""
    flag: str = ""
    """What is done at once where something bad is ticked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeBlank:
    """Which gauge reads some quantities."""

    words: str
    usual: str
    """Unit, and the tag of the gauge that is taken where none is named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BayCard:
    """All that a card says."""

    tag: str
    stage: str
    about: tuple[str, ...]
    as_of: str
    odometer_unit: str
    odometer_last: str
    gauges: tuple[GaugeBlank, ...]
    cautions: tuple[str, ...]
    how: str
    corners: tuple[CornerBand, ...]
    notes: tuple[str, ...]
    entering: tuple[Entering, ...]


def bay_card(
    walk: tuple[PaperCorner, ...],
    file: CardFile,
    *,
    stage: Stage,
    today: date,
    unit: LengthUnit | None = None,
    corners: tuple[Corner, ...] = (),
) -> BayCard:
    """Put together what a card says.

    Parameters
    ----------
    walk : tuple of PaperCorner
        What is asked at each corner, in order.
    file : CardFile
        What is on file about the vehicle.
    stage : Stage
        Before or after the work.
    today : date
        The day up to which the record is told.
    unit : LengthUnit, optional
        The unit declared for the visit, where it is not the shop's.
    corners : tuple of Corner
        Those asked for; empty where all were.
    """
    vehicle = file.vehicle
    sources = Sources()
    bands = _bands(walk, file, sources)
    about = [vehicle.description]
    about += [f"plate {vehicle.plate}"] if vehicle.plate else []
    about.append(f"limits of {vehicle.sheet}" if vehicle.sheet else "no limit sheet")
    newest = file.visits[-1] if file.visits else None
    last = ""
    if newest is not None:
        told = distance(newest.odometer_mm, vehicle.odometer_unit)
        last = f"{told} on {newest.day.isoformat()}"
    is_unstated = any(
        NOT_STATED in text for band in bands for row in band.rows for text in row.bounds
    )
    return BayCard(
        tag=shown(vehicle.tag),
        stage=stage.value,
        about=tuple(shown(text) for text in about if text),
        as_of=f"on file on {today.isoformat()}",
        odometer_unit=vehicle.odometer_unit.value,
        odometer_last=last,
        gauges=_gauges(walk),
        cautions=(SUPPORT, DUST),
        how=HOW,
        corners=bands,
        notes=(
            *((NOT_STATED_NOTE,) if is_unstated else ()),
            *(shown(source) for source in sources.all),
        ),
        entering=how_to_enter(
            vehicle,
            stage=stage,
            unit=unit or file.shop.unit,
            is_unit_typed=unit is not None,
            corners=tuple(paper.corner for paper in walk) if corners else (),
            casts=tuple(dict.fromkeys(row.cast for band in bands for row in band.rows if row.cast)),
        ),
    )


def _bands(
    walk: tuple[PaperCorner, ...], file: CardFile, sources: Sources
) -> tuple[CornerBand, ...]:
    bands: list[CornerBand] = []
    said: set[str] = set()

    def once(caution: str) -> str:
        is_new = caution not in said
        said.add(caution)
        return caution if is_new else ""

    for paper in walk:
        rows: list[Row] = []
        for row in paper.rows:
            is_iron = row.quantity in (Quantity.ROTOR, Quantity.DRUM_OPEN)
            rows.append(_row(row, paper, file, sources, caution=once(HOT) if is_iron else ""))
        side = "left" if paper.corner.side is Side.LEFT else "right"
        electric = _electric(paper, file)
        bands.append(
            CornerBand(
                code=paper.corner.code,
                place=f"{axle_name(paper.corner.axle)} {side}, {paper.brake.value}",
                rows=tuple(rows),
                ticks=_ticks(paper.brake),
                caution=once(electric) if electric else "",
                flag=once(_FLAG),
            )
        )
    return tuple(bands)


_AT_ONCE = (FindingKind.CRACK, FindingKind.METAL_CONTACT, FindingKind.LEAK)
_FLAG = (
    f"{', '.join(kind.value for kind in _AT_ONCE)}: the vehicle is not driven; tell the counter "
    f"at once."
)


def _electric(paper: PaperCorner, file: CardFile) -> str:
    """Return the caution before the caliper of a disc is touched on an axle that is parked on."""
    if paper.brake is not AxleBrake.DISC or not may_be_electric(file.traits, paper.corner.axle):
        return ""
    is_known = (paper.corner.axle, "parking-brake") in file.traits
    return ELECTRIC if is_known else MAYBE_ELECTRIC


def _row(
    row: PaperRow, paper: PaperCorner, file: CardFile, sources: Sources, *, caution: str
) -> Row:
    corner, quantity = paper.corner, row.quantity
    bounds = file.bounds_at(corner, quantity)
    machine_to = file.machine_to_at(corner, quantity)
    against = [figure.nm for _, bound in bounds for figure in bound.figures]
    of = file.traits.get((corner.axle, "fasteners"), "")
    to_find, cast = _to_find(file, corner, quantity, bounds)
    told = [bound_words(bound, sources) for _, bound in bounds]
    told += [bound_words(machine_to, sources)] if machine_to else []
    last = file.last_at(corner, quantity)
    return Row(
        word=quantity.value,
        name=quantity.facts.label,
        unit=row.unit.value if row.unit else "",
        blanks=tuple(_blank(step, of) for step in row.steps),
        asks_datum=quantity.is_lining,
        last=last_words(last, corner, unit=row.unit, shop=file.shop, against=against),
        bounds=tuple(told),
        to_find=to_find,
        cast=cast,
        caution=caution,
    )


def _to_find(
    file: CardFile,
    corner: Corner,
    quantity: Quantity,
    bounds: tuple[tuple[Measure, Bound], ...],
) -> tuple[tuple[str, ...], str]:
    """Return what is to be looked up, and the kind of limit that may be stamped on the part.

    A stamped figure is asked for once for each rotor and drum: also where a sheet has a limit,
    the stricter of the two decides.
    """
    for measure, bound in bounds:
        if not measure.facts.is_safety:
            continue
        if quantity.is_lining and bound.state is BoundState.MISSING:
            return (FROM_SERVICE,), ""
        is_first = quantity in (Quantity.ROTOR, Quantity.DRUM_OPEN)
        if is_first and not file.is_marked(corner, bound.kind):
            return (STAMPED,), bound.kind.value
    return (), ""


_CAPTIONS = {
    StepKind.AGAIN: "point 1",
    StepKind.NUTS: "fasteners fitted",
    StepKind.BEARING: "free of play",
    StepKind.BACK: "at its start after one turn",
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


def _ticks(brake: AxleBrake) -> tuple[Ticks, ...]:
    """Return the words for what can be seen, by part; what is seen on any part stands alone."""
    parts = [part for part in Part if BRAKE_OF[part] is brake]
    return tuple(
        Ticks(
            part=part.value,
            words=tuple(
                kind.value
                for kind in FindingKind
                if part in kind.facts.parts and kind is not FindingKind.OTHER
            ),
        )
        for part in parts
    )


def _gauges(walk: Iterable[PaperCorner]) -> tuple[GaugeBlank, ...]:
    """Return one blank for all quantities that are read with the same gauge, in order."""
    words: dict[Quantity, tuple[str, str]] = {}
    for paper in walk:
        for row in paper.rows:
            unit = row.unit.value if row.unit else ""
            words[row.quantity] = (unit, shown(row.gauge.tag) if row.gauge else "")
    blanks: dict[tuple[str, str, str], list[str]] = {}
    for quantity in dict.fromkeys((*DISC_QUANTITIES, *DRUM_QUANTITIES)):
        if quantity in words:
            # Without a usual gauge, each kind of part is read with one of its own.
            kind = "" if words[quantity][1] else quantity.value.partition("-")[0]
            blanks.setdefault((*words[quantity], kind), []).append(quantity.value)
    return tuple(
        GaugeBlank(words=", ".join(names), usual=f"{unit} {tag}".strip())
        for (unit, tag, _), names in blanks.items()
    )
