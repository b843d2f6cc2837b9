"""What guided finishing asks and warns of, step by step."""

from __future__ import annotations

from brakelog.lengths import LengthUnit
from brakelog.record.closing import Check
from brakelog.record.quantity import Quantity, parse_quantity
from brakelog.record.torque import Fastener, TorqueUnit
from brakelog.rules.closing_item import Gap, OpenItem
from brakelog.rules.closing_item import axle_word as word_of

_CAUTIONS = {
    Fastener.CALIPER.value: (
        "Caliper on a hook, never on its hose; fluid level mid-way before the pistons go back.",
        "No petroleum grease, linings kept clean; single-use bolts renewed.",
    ),
}
"""Common practice; service information of several makers says the same, as met in the trade."""


def cautions_at(item: OpenItem) -> tuple[str, ...]:
    """Return what must be said where the hand is now."""
    if item.fastener in _CAUTIONS:
        return _CAUTIONS[item.fastener]
    if item.fastener == Fastener.WHEEL.value:
        return (f"{item.do[:1].upper()}{item.do[1:]}.", Check.TIGHTENED.facts.caution)
    if item.check is not None and item.check.facts.caution:
        return (item.check.facts.caution,)
    return ()


def prompt_of(item: OpenItem, torque: TorqueUnit, length: LengthUnit) -> tuple[str, str]:
    """Return what is asked, and the few words that stand before the answer."""
    if item.fastener:
        return f"{item.text}.", f"torque [{torque.value}]"
    if item.check is not None and item.gap in (Gap.CHECK_BLANK, Gap.CHECK_FAILED):
        where = f"{word_of(item.axle).capitalize()}: " if item.axle is not None else ""
        return f"{where}{item.check.facts.question}", "/".join(item.check.facts.answers)
    if item.check is Check.RIGHT_PART:
        return f"{item.text}.", "yes and what was compared, or no"
    if item.line.startswith("check runout-cure"):
        return f"{item.text}.", "/".join(Check.RUNOUT_CURE.facts.answers)
    if item.line.startswith("odometer-out"):
        return f"{item.text}.", "odometer"
    if "fixed=yes" in item.line:
        return f"{item.text}.", "put right? yes and what was done"
    return f"{item.text}.", _values(item, length)


def _values(item: OpenItem, unit: LengthUnit) -> str:
    """Return what is to be typed of a quantity: how many values, and where they are read."""
    quantity = parse_quantity(item.line.split()[1])
    points = quantity.facts.points
    if quantity is Quantity.ROTOR:
        return f"{len(points)} points round the rotor [{unit.value}], a blank between them"
    if len(points) == 1:
        return f"{quantity.facts.label} [{unit.value}]"
    return f"{len(points)} values [{unit.value}], {' and '.join(points)}"
