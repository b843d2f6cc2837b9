"""What the counter sheet for paper consists of."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.reports.counter_page_told import Told


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A sentence, and where it belongs to."""

    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One measure at one corner: what was read, what it was held against, how it stands."""

    corner: str
    what: str
    """``inner pad lining``."""
    reading: str
    """In both units, with its place."""
    limit: str = ""
    """As printed; where none decides, why."""
    out_when: str = ""
    source: str = ""
    """Its number in the list at the foot."""
    margin: str = ""
    read_with: str = ""
    """Tag of the gauge, and initials."""
    u2: str = ""
    p: str = ""
    notes: tuple[str, ...] = ()
    """Doubts and what was set aside, where no reason tells them."""
    is_plain: bool = True
    """Whether it is in limits; what is not stands out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartBlock:
    """One kind of part of an axle."""

    words: str
    """``Front pads: replace, suggested``."""
    role: str
    sides: str
    """The words of either side, where they are not those of the axle."""
    rows: tuple[Row, ...]
    notes: tuple[Said, ...]
    """What is to be known of the rows beside their figures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleBlock:
    """One axle."""

    title: str
    parts: tuple[PartBlock, ...]
    reasons: tuple[Said, ...]
    far: tuple[Said, ...]
    """How far each part will go, and what was noted of it."""
    worlds: tuple[str, ...]
    """What follows from each plan."""
    basis: str
    """What the distances of new parts rest on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HintBlock:
    """One wear pattern."""

    pattern: str
    rows: tuple[str, ...]
    """Probable causes, next checks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One reading set, as typed."""

    what: str
    typed: str
    beside: str
    """What was said beside the values: fasteners, bearing, tips, temperature ..."""
    gauge: str
    by: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What the vehicle leaves with."""

    lead: str
    readings: tuple[Evidence, ...]
    work: tuple[str, ...]
    """Parts fitted, torques, checks, findings; each with who and when."""
    keys: tuple[str, ...]
    """Which gauges and people the short names stand for."""
    is_complete: bool
    """Whether nothing is blank."""
    blanks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterPage:
    """All that the sheet says, in its order."""

    name: str
    """Tag and description of the vehicle."""
    marks: str
    """Plate and VIN, so far as they are on file."""
    shop: str
    head: tuple[Told, ...]
    """Day, odometer, stage, complaint; what keeps the sheet from being whole."""
    is_open: bool
    """Whether the job is not finished: the sheet is headed so."""
    is_preview: bool
    """Whether it was left unissued."""
    running: str
    """Tag and day, for the margin of every sheet."""
    stop: str
    """Declined work without which the vehicle must not be driven; empty where there is none."""
    glance: tuple[Told, ...]
    job: tuple[Told, ...]
    declined: tuple[str, ...]
    """Required work that was declined, with its figures; to be signed for."""
    axles: tuple[AxleBlock, ...]
    flags: tuple[str, ...]
    hints: tuple[HintBlock, ...]
    questions: tuple[Told, ...]
    left: Left
    local_rules: tuple[Told, ...]
    sources: tuple[str, ...]
    foot: tuple[str, ...]
    """How it was judged, and what a sheet of arithmetic cannot do."""
