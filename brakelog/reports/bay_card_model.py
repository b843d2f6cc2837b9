"""What a card consists of, whether it is printed as a page or as text."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from brakelog.reports.bay_card_enter import Entering


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
    to_find: str = ""
    """Where a figure that is not on file is to be found; it has a blank."""
    cast: str = ""
    """The kind of limit that a figure stamped on the part is."""
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
    unit: str
    usual: str
    """Tag of the gauge that is taken where none is named."""


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
