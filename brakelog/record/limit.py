"""Service limits as printed, and the sheets they stand on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import LengthUnit, TypedLength, parse_length
from brakelog.record.corner import Corner
from brakelog.record.member import Member
from brakelog.record.quantity import Part
from brakelog.record.reading import Datum


class OutWhen(Member):
    """The condition under which the part is out; never the passing one."""

    BELOW = "below"
    AT_OR_BELOW = "at or below"
    ABOVE = "above"
    AT_OR_ABOVE = "at or above"


class LimitKind(Member):
    """What a figure bounds; the value is the word typed."""

    ROTOR_NEW = "rotor-new"
    ROTOR_MACHINE_TO = "rotor-machine-to"
    ROTOR_DISCARD = "rotor-discard"
    THICKNESS_VARIATION = "variation"
    RUNOUT = "runout"
    SCORING = "scoring"
    HUB_RUNOUT = "hub-runout"
    PAD_NEW = "pad-new"
    PAD_MINIMUM = "pad-minimum"
    DRUM_NEW = "drum-new"
    DRUM_MACHINE_TO = "drum-machine-to"
    DRUM_DISCARD = "drum-discard"
    OUT_OF_ROUND = "out-of-round"
    BELL_MOUTH = "bell-mouth"
    SHOE_NEW = "shoe-new"
    SHOE_MINIMUM = "shoe-minimum"

    facts: LimitFacts
    """What is known about the kind itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitFacts:
    """Name, direction and part of one kind of limit."""

    label: str
    part: Part
    least: bool
    """True where smaller is worse, false where larger is."""
    is_bound: bool = True
    """False for the size of a new part."""

    @property
    def stricter(self) -> OutWhen:
        """The comparator taken where the source states none."""
        return OutWhen.AT_OR_BELOW if self.least else OutWhen.AT_OR_ABOVE


_FACTS = {
    LimitKind.ROTOR_NEW: LimitFacts(
        label="new thickness", part=Part.ROTOR, least=True, is_bound=False
    ),
    LimitKind.ROTOR_MACHINE_TO: LimitFacts(label="machine-to", part=Part.ROTOR, least=True),
    LimitKind.ROTOR_DISCARD: LimitFacts(label="discard", part=Part.ROTOR, least=True),
    LimitKind.THICKNESS_VARIATION: LimitFacts(
        label="thickness variation", part=Part.ROTOR, least=False
    ),
    LimitKind.RUNOUT: LimitFacts(label="runout", part=Part.ROTOR, least=False),
    LimitKind.SCORING: LimitFacts(label="scoring depth", part=Part.ROTOR, least=False),
    LimitKind.HUB_RUNOUT: LimitFacts(label="hub face runout", part=Part.ROTOR, least=False),
    LimitKind.PAD_NEW: LimitFacts(label="new lining", part=Part.PADS, least=True, is_bound=False),
    LimitKind.PAD_MINIMUM: LimitFacts(label="minimum lining", part=Part.PADS, least=True),
    LimitKind.DRUM_NEW: LimitFacts(
        label="new diameter", part=Part.DRUM, least=False, is_bound=False
    ),
    LimitKind.DRUM_MACHINE_TO: LimitFacts(label="machine-to", part=Part.DRUM, least=False),
    LimitKind.DRUM_DISCARD: LimitFacts(label="discard", part=Part.DRUM, least=False),
    LimitKind.OUT_OF_ROUND: LimitFacts(label="out-of-round", part=Part.DRUM, least=False),
    LimitKind.BELL_MOUTH: LimitFacts(label="bell-mouth", part=Part.DRUM, least=False),
    LimitKind.SHOE_NEW: LimitFacts(label="new lining", part=Part.SHOES, least=True, is_bound=False),
    LimitKind.SHOE_MINIMUM: LimitFacts(label="minimum lining", part=Part.SHOES, least=True),
}

for _kind in LimitKind:
    # Written on the members themselves: they are asked for it at every judgement.
    _kind.facts = _FACTS[_kind]


class WhichPad(Member):
    """Which pad or shoe of the corner a lining limit is for."""

    BOTH = "both"
    INNER = "inner"
    OUTER = "outer"
    LEADING = "leading"
    TRAILING = "trailing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One bound as printed, with one or two figures; never changed, only followed by another."""

    id: str
    kind: LimitKind
    figures: tuple[TypedLength, ...]
    """One figure, or the mm and the inch figure of the same bound."""
    source: str
    """Document, page, or what is cast on the part."""
    axle: int
    sheet: str | None = None
    vehicle_id: str | None = None
    """Set for a mark cast on a part of one vehicle."""
    corner: Corner | None = None
    """Set for a mark cast on one part."""
    out_when: OutWhen | None = None
    """None where the source does not state it; then the stricter is taken."""
    datum: Datum | None = None
    which_pad: WhichPad = WhichPad.BOTH
    points: int | None = None
    """How many points the maker wants measured."""
    radius_nm: int | None = None
    """Radius at which a hub limit holds. [nm]"""
    source_date: date | None = None
    note: str = ""

    @property
    def comparator(self) -> OutWhen:
        """The failing condition that is judged by."""
        return self.out_when or self.kind.facts.stricter

    @property
    def as_printed(self) -> str:
        """The figures with their units, as on the page: ``22.8 mm (0.87 in)``."""
        texts = [print_figure(figure) for figure in self.figures]
        return texts[0] + (f" ({texts[1]})" if len(texts) > 1 else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmation:
    """A person's decision which of the figures that contradict each other holds."""

    id: str
    limit_id: str
    figure: int
    """Index of the figure that holds."""
    person_id: str | None
    reason: str
    over: tuple[str, ...] = ()
    """Ids of the other limits, on file at that time, that it holds against. A mark or sheet
    that comes later is not among them, so that it opens the question again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Torque:
    """A tightening torque as printed."""

    id: str
    sheet: str
    axle: int
    fastener: str
    figure: str
    """With its unit, as printed: ``110 N·m (81 lb ft)``."""
    source: str


def print_figure(figure: TypedLength) -> str:
    """Return the figure with its unit, as typed."""
    text = figure.text.strip()
    return text if figure.unit_typed else f"{text} {figure.unit.value}"


def parse_figures(
    first: str, second: str, *, declared: LengthUnit | None
) -> tuple[TypedLength, ...]:
    """Read the one or two figures of a limit.

    Raises
    ------
    InvalidInput
        Where a figure cannot be read, is zero, or both are in the same unit system.
    """
    texts = [text for text in (first, second) if text.strip()]
    if not texts:
        raise InvalidInput("the limit has no figure", hint='such as "22.8 mm"')
    figures = tuple(parse_length(text, declared=declared) for text in texts)
    for figure in figures:
        if figure.nm == 0:
            raise InvalidInput(f"{clip(figure.text)!r} is no limit", hint="leave it out")
    if len(figures) == 2 and figures[0].unit.is_inch == figures[1].unit.is_inch:
        raise InvalidInput(
            f"{clip(first)!r} and {clip(second)!r} are in the same unit system",
            hint="two figures are the mm and the inch figure of one limit",
        )
    return figures
