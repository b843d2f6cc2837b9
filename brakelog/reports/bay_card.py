"""The bay card: everything that guided entry asks, as blanks, with what is on file beside them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from brakelog.intake.paper import PaperCorner
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, Side, axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import DISC_QUANTITIES, DRUM_QUANTITIES, Part, Quantity
from brakelog.record.reading import Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.reports.bay_card_enter import how_to_enter
from brakelog.reports.bay_card_model import BayCard, CornerBand, GaugeBlank, Row, Ticks
from brakelog.reports.bay_card_row import card_row
from brakelog.reports.bay_card_words import NOT_STATED, NOT_STATED_NOTE, Sources, unit_word
from brakelog.reports.plain import shown
from brakelog.rules.card_file import CardFile
from brakelog.rules.figure import distance
from brakelog.rules.left_checks import may_be_electric

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
LONGEST_ABOUT = 300
"""Characters of a description that are printed. Assumption: what tells a vehicle comes first."""


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
    if len(vehicle.description) > LONGEST_ABOUT:
        about = [f"{vehicle.description[:LONGEST_ABOUT]} ..."]
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
        as_of=f"limits and last readings on file on {today.isoformat()}",
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

    def once(text: str) -> str:
        is_new = text not in said
        said.add(text)
        return text if is_new else ""

    for paper in walk:
        rows: list[Row] = []
        for row in paper.rows:
            is_iron = row.quantity in (Quantity.ROTOR, Quantity.DRUM_OPEN)
            caution = once(HOT) if is_iron else ""
            made = card_row(row, paper, file, sources, caution=caution)
            # What a page says of an axle is looked up once; a stamp, on every part.
            if made.cast or once(f"{paper.corner.axle} {made.word} {made.to_find}"):
                rows.append(made)
            else:
                rows.append(replace(made, to_find=""))
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
            words[row.quantity] = (unit_word(row.unit), shown(row.gauge.tag) if row.gauge else "")
    blanks: dict[tuple[str, str, str], list[str]] = {}
    for quantity in dict.fromkeys((*DISC_QUANTITIES, *DRUM_QUANTITIES)):
        if quantity in words:
            # Without a usual gauge, each kind of part is read with one of its own.
            kind = "" if words[quantity][1] else quantity.value.partition("-")[0]
            blanks.setdefault((*words[quantity], kind), []).append(quantity.value)
    return tuple(
        GaugeBlank(words=", ".join(names), unit=unit, usual=tag)
        for (unit, tag, _), names in blanks.items()
    )
