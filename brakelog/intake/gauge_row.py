"""Sheets of gauges."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.intake.cells import Cells
from brakelog.intake.context import NO_GAUGE
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.words import parse_count, parse_day, parse_tips, parse_unit
from brakelog.lengths import NM_PER_MM, LengthUnit, TypedLength, parse_length
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.quantity import Quantity, parse_quantity

COLUMNS = (
    "tag",
    "kind",
    "unit",
    "resolution",
    "used_for",
    "tips",
    "error_limit",
    "checked_on",
    "check_every_months",
    "note",
)
REQUIRED = ("tag", "kind", "unit", "resolution")
COARSEST_NM = 5 * NM_PER_MM
"""Assumption: no gauge has wider steps, and none errs by more. [nm]"""
MOST_MONTHS = 120
"""Assumption: a check every ten years is none. [months]"""
_KINDS = {
    "micrometer": GaugeKind.MICROMETER,
    "calliper": GaugeKind.CALLIPER,
    "caliper": GaugeKind.CALLIPER,
    "dial": GaugeKind.DIAL,
    "dial indicator": GaugeKind.DIAL,
    "drum": GaugeKind.DRUM,
    "drum gauge": GaugeKind.DRUM,
    "depth": GaugeKind.DEPTH,
    "depth gauge": GaugeKind.DEPTH,
    "stepped": GaugeKind.STEPPED,
    "stepped gauge": GaugeKind.STEPPED,
    "eye": GaugeKind.EYE,
    "by eye": GaugeKind.EYE,
}
_GROUPS = {
    "pads": (Quantity.PAD_INNER, Quantity.PAD_OUTER),
    "drum": (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED),
    "shoes": (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING),
}
_FALLBACK = TypedLength(
    nm=1, text="1", unit=LengthUnit.MM, last_digit_nm=NM_PER_MM, unit_typed=False
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeRow:
    """One gauge as listed."""

    source: str
    tag: str
    kind: GaugeKind
    unit: LengthUnit
    resolution: TypedLength
    used_for: frozenset[Quantity] = frozenset()
    tips: Tips | None = None
    error_limit_nm: int | None = None
    """[nm]"""
    checked_on: date | None = None
    check_every_months: int | None = None
    note: str = ""


def read_gauge(cells: Cells) -> GaugeRow:
    """Return the gauge of one row."""
    unit = cells.needed("unit", parse_unit, LengthUnit.MM)
    error_limit = cells.maybe("error_limit", lambda text: _step(text, unit), None)
    row = GaugeRow(
        source=cells.source,
        tag=cells.name("tag"),
        kind=cells.needed("kind", parse_gauge_kind, GaugeKind.EYE),
        unit=unit,
        resolution=cells.needed("resolution", lambda text: _step(text, unit), _FALLBACK),
        used_for=cells.maybe("used_for", parse_used_for, frozenset()),
        tips=cells.maybe("tips", parse_tips, None),
        error_limit_nm=error_limit.nm if error_limit else None,
        checked_on=cells.maybe("checked_on", parse_day, None),
        check_every_months=cells.maybe("check_every_months", _parse_months, None),
        note=cells.note("note"),
    )
    if row.tag.lower() == NO_GAUGE:
        cells.refuse(f"tag: {NO_GAUGE} says that no gauge was used, so no gauge can be called that")
    return row


def parse_gauge_kind(text: str) -> GaugeKind:
    """Read what kind of instrument it is."""
    word = " ".join(text.lower().replace("-", " ").split())
    if word not in _KINDS:
        raise InvalidInput(
            f"{clip(text)!r} is no kind of gauge",
            hint=did_you_mean(word, [kind.value for kind in GaugeKind]),
        )
    return _KINDS[word]


def parse_used_for(text: str) -> frozenset[Quantity]:
    """Read the quantities that a gauge is taken for, separated by blanks.

    >>> sorted(each.value for each in parse_used_for("rotor pads"))
    ['pad-in', 'pad-out', 'rotor']
    """
    found: set[Quantity] = set()
    for word in text.replace(",", " ").split():
        found.update(_GROUPS.get(word.lower()) or (parse_quantity(word),))
    return frozenset(found)


def _step(text: str, unit: LengthUnit) -> TypedLength:
    step = parse_length(text, declared=unit)
    if not 0 < step.nm <= COARSEST_NM:
        raise InvalidInput(f"{clip(text)!r} is no step of a gauge", hint="check the unit")
    return step


def _parse_months(text: str) -> int:
    return parse_count(text, most=MOST_MONTHS, what="months")
