"""One answer of guided entry, checked against the step that asked for it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from brakelog.errors import InvalidInput
from brakelog.intake.context import Context
from brakelog.intake.echo import in_both_units
from brakelog.intake.finding import read_finding
from brakelog.intake.step import Step, StepKind
from brakelog.intake.value import read_value
from brakelog.intake.words import DATUM_WORDS, parse_datum, parse_nuts, parse_yes_no
from brakelog.lengths import LengthUnit, TypedLength
from brakelog.record.corner import Corner

_VIN_LIKE = re.compile(r"[A-Z0-9]{17}", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """What the answer means."""

    echo: str
    value: TypedLength | None = None
    """For steps that ask for a number."""


def understand(
    step: Step, typed: str, *, corner: Corner, unit: LengthUnit | None, context: Context
) -> Understood:
    """Return what the answer means.

    Raises
    ------
    InvalidInput
        Where it is no answer to that step.
    """
    if step.kind is StepKind.FINDING:
        found = read_finding(typed, source="guided entry", corner=corner, context=context)
        part = f", {found.part.value}" if found.part else ""
        return Understood(echo=f"{found.kind.facts.label}{part}")
    if step.kind is StepKind.DATUM:
        return Understood(echo=DATUM_WORDS[parse_datum(typed)])
    if step.kind is StepKind.NUTS:
        fitted, of = parse_nuts(typed)
        return Understood(echo=f"{fitted} of {of} fasteners")
    if step.quantity is None or step.kind in (StepKind.BEARING, StepKind.BACK, StepKind.LIP):
        return Understood(echo="yes" if parse_yes_no(typed) else "no")
    if _VIN_LIKE.fullmatch(typed):
        raise InvalidInput("17 characters are a VIN, not a reading", hint="type the reading")
    value = read_value(step.quantity, typed, unit, close_blanks=True)
    return Understood(echo=in_both_units(value), value=value)
