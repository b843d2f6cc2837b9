"""From the answers of one corner to what is filed."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import replace

from brakelog.intake.check import check_reading
from brakelog.intake.context import NO_GAUGE, Context
from brakelog.intake.entry import Entry, FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.finding import read_finding
from brakelog.intake.question import WIDTH
from brakelog.intake.step import Step, StepKind
from brakelog.intake.value import NOT_MEASURED
from brakelog.intake.words import DATUM_WORDS, parse_yes_no
from brakelog.lengths import LengthUnit, parse_length, print_length
from brakelog.record.corner import Corner
from brakelog.record.draft import DraftEntry
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum

_LARGEST_WORST = frozenset(
    {Quantity.RUNOUT, Quantity.SCORING, Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED}
)


def entries_of(
    corner: Corner, steps: Sequence[Step], answers: Mapping[str, DraftEntry], context: Context
) -> tuple[Entry, ...]:
    """Return what the answers of a corner say, exactly as typed lines would.

    Parameters
    ----------
    corner : Corner
        Which corner.
    steps : sequence of Step
        The steps that are answered, in order.
    answers : mapping
        The answers, by the key of their step.
    context : Context
        Gauges, people, declared unit and stage.

    Notes
    -----
    A quantity that was left out altogether is there too, with every point not measured.
    """
    source = f"guided entry: {corner}"
    quantities = dict.fromkeys(step.quantity for step in steps if step.quantity)
    readings = [
        _reading(quantity, [each for each in steps if each.quantity is quantity], answers, context)
        for quantity in quantities
    ]
    findings = [
        _finding(answers[step.key], context)
        for step in steps
        if step.kind is StepKind.FINDING and answers[step.key].typed
    ]
    looked = answers.get(StepKind.LOOKED_OVER.value)
    is_looked_over = looked is not None and looked.typed != "" and parse_yes_no(looked.typed)
    last = (LookedOver(source=source, corner=corner),) if is_looked_over else ()
    return (*readings, *findings, *last)


def gauge_taken(quantity: Quantity, answers: Mapping[str, DraftEntry]) -> DraftEntry | None:
    """The first answer of the quantity that is a number; its gauge is that of the set."""
    return next(
        (entry for key, entry in answers.items() if entry.typed and _is_point_of(quantity, key)),
        None,
    )


def unit_taken(quantity: Quantity, answers: Mapping[str, DraftEntry]) -> LengthUnit | None:
    """The unit of the numbers that were typed without one, if there are any."""
    for key, entry in answers.items():
        if not entry.typed or not _is_point_of(quantity, key):
            continue
        value = parse_length(entry.typed, declared=entry.unit, close_blanks=True)
        if not value.unit_typed:
            return entry.unit
    return None


def summary_of(entries: tuple[Entry, ...], corner: Corner) -> str:
    """Return the corner in short: the worst value of each quantity, and what was seen."""
    words = []
    for entry in entries:
        if isinstance(entry, ReadingEntry):
            words.append(f"{entry.quantity.value} {_worst(entry)}")
            if entry.datum is Datum.WITH_PLATE:
                words[-1] += f" {DATUM_WORDS[entry.datum]}"
        elif isinstance(entry, FindingEntry):
            words.append(entry.kind.value)
        else:
            words.append("looked over")
    text = f"{corner}  " + ", ".join(words)
    return "\n".join(textwrap.wrap(text, WIDTH, subsequent_indent="    ", break_on_hyphens=False))


def _reading(
    quantity: Quantity, steps: list[Step], answers: Mapping[str, DraftEntry], context: Context
) -> ReadingEntry:
    values = [answers[step.key] for step in steps if step.kind is StepKind.VALUE]
    taken = gauge_taken(quantity, answers) or values[0]
    options = {
        step.kind.value: answers[step.key].typed
        for step in steps
        if step.kind is not StepKind.VALUE and answers[step.key].typed
    }
    gauge = context.gauge_by_id(taken.gauge_id)
    options["gauge"] = gauge.tag if gauge else NO_GAUGE
    unit = unit_taken(quantity, answers) or _unit(gauge, context)
    if unit is not None:
        options["unit"] = unit.value
    person = _person(taken, context)
    if person is not None:
        options["by"] = person
    return check_reading(
        source=f"guided entry: {taken.corner}",
        corner=taken.corner,
        quantity=quantity,
        tokens=[entry.typed or NOT_MEASURED for entry in values],
        options=options,
        context=context,
        close_blanks=True,
    )


def _finding(entry: DraftEntry, context: Context) -> FindingEntry:
    found = read_finding(
        entry.typed,
        source=f"guided entry: {entry.corner}",
        corner=entry.corner,
        context=context,
    )
    person = _person(entry, context)
    return found if found.person else replace(found, person=person)


def _unit(gauge: Gauge | None, context: Context) -> LengthUnit | None:
    return gauge.unit if gauge else context.declared


def _person(entry: DraftEntry, context: Context) -> str | None:
    return next((tag for tag, each in context.people.items() if each == entry.person_id), None)


def _is_point_of(quantity: Quantity, key: str) -> bool:
    name, _, number = key.partition(":")
    return name == quantity.value and (number.isdigit() or number == StepKind.AGAIN.value)


def _worst(entry: ReadingEntry) -> str:
    values = [value for value in entry.values_nm if value is not None]
    if not values:
        return "-"
    worst = max(values) if entry.quantity in _LARGEST_WORST else min(values)
    unit = LengthUnit.INCH if entry.unit.is_inch else LengthUnit.MM
    shown = print_length(worst, unit, decimals=4 if unit.is_inch else 3)
    return f"{shown} {unit.value}"
