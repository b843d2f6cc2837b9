"""The one check that readings pass, whether they come as lines, as a sheet or one by one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from brakelog.errors import InvalidInput, clip
from brakelog.intake.context import Context
from brakelog.intake.entry import ReadingEntry
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.value import NOT_MEASURED, read_value
from brakelog.intake.words import (
    parse_datum,
    parse_nuts,
    parse_stage,
    parse_temperature,
    parse_tips,
    parse_unit,
    parse_yes_no,
)
from brakelog.lengths import NM_PER_MM, LengthUnit, TypedLength, parse_length
from brakelog.metrology.runout import PROFILE_POINTS
from brakelog.record.corner import Corner, axle_name
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import (
    DISC_QUANTITIES,
    DRUM_QUANTITIES,
    LININGS,
    Quantity,
)
from brakelog.record.reading import Datum
from brakelog.record.vehicle import AxleBrake

MOST_VALUES = 500
"""Values of one reading set. Assumption: nobody reads more points of one rotor."""
MOST_ZERO_ERROR_NM = NM_PER_MM // 2
"""Assumption: a gauge that is further off is broken or its unit is mistaken. [nm]"""
MOST_RADIUS_NM = 500 * NM_PER_MM
"""Assumption: no rotor of a road vehicle has a larger radius. [nm]"""

OPTIONS = (
    "stage",
    "unit",
    "gauge",
    "tips",
    "datum",
    "temp",
    "zero",
    "radius",
    "nuts",
    "bearing",
    "back",
    "index",
    "lip",
    "groove",
    "again",
    "by",
)
"""What may be said beside the values of a reading set."""

_INDICATED = frozenset({Quantity.RUNOUT, Quantity.HUB_RUNOUT})
_BELONGS: Mapping[str, frozenset[Quantity]] = {
    "tips": frozenset({Quantity.ROTOR, Quantity.SCORING, Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED}),
    "datum": LININGS,
    "radius": _INDICATED | {Quantity.ROTOR},
    "nuts": _INDICATED,
    "bearing": _INDICATED,
    "back": _INDICATED,
    "index": frozenset({Quantity.RUNOUT}),
    "lip": frozenset({Quantity.ROTOR}),
    "groove": frozenset({Quantity.ROTOR}),
}
_T = TypeVar("_T")


def check_reading(
    *,
    source: str,
    corner: Corner,
    quantity: Quantity,
    tokens: Sequence[str],
    options: Mapping[str, str],
    context: Context,
    close_blanks: bool = False,
) -> ReadingEntry:
    """Return the reading set that was typed.

    Parameters
    ----------
    source : str
        Where it was typed.
    corner, quantity
        What was measured.
    tokens : sequence of str
        One text per value, in the order taken; ``x`` for a point not measured.
    options : mapping
        What was said beside the values; keys of ``OPTIONS``.
    context : Context
        Gauges, people, declared unit and stage. The unit of a number without one is, in this
        order, the ``unit`` option, the gauge's, the declared one; else it is refused.
    close_blanks : bool
        Whether blanks inside a number are closed up.

    Raises
    ------
    InvalidInput
        Where anything is no value of that quantity, or does not belong to it.
    """
    _check_options(quantity, options)
    _check_brake(corner, quantity, context)
    gauge = _gauge(quantity, options, context)
    unit = _option(options, "unit", parse_unit)
    declared = context.declared
    two_units = (
        gauge is not None and declared is not None and gauge.unit.is_inch != declared.is_inch
    )
    is_said = "unit" in options or "gauge" in options
    if gauge and declared and two_units and not is_said and any(map(_is_bare, tokens)):
        raise InvalidInput(
            f"{declared.value} is declared, and {gauge.tag} gives {gauge.unit.value}",
            hint="type the unit behind the number, or unit=mm for the line",
        )
    if unit is None:
        unit = unit_without_word(gauge, context)
    values = check_values(quantity, tokens, unit, close_blanks=close_blanks)
    again = _again(quantity, options, unit, values, close_blanks=close_blanks)
    nuts = _option(options, "nuts", parse_nuts)
    index = _index(options, nuts)
    tips = _option(options, "tips", parse_tips)
    if tips is None and gauge is not None and quantity in _BELONGS["tips"]:
        tips = gauge.tips
    datum = _option(options, "datum", parse_datum)
    if datum is None and quantity.is_lining:
        datum = Datum.LINING
    radius_nm = _radius(options, unit)
    if quantity is Quantity.HUB_RUNOUT and radius_nm is None:
        raise InvalidInput(
            "a hub face runout needs the radius at which it was read",
            hint='such as radius="60 mm"',
        )
    return ReadingEntry(
        source=source,
        corner=corner,
        quantity=quantity,
        stage=_option(options, "stage", parse_stage) or context.stage,
        values_nm=tuple(value.nm if value else None for value in values),
        typed=tuple(value.text if value else "" for value in values),
        unit=unit or next((value.unit for value in values if value), LengthUnit.MM),
        datum=datum,
        again_nm=again.nm if again else None,
        again_typed=again.text if again else "",
        gauge=gauge,
        tips=tips,
        person=_option(options, "by", context.person_called),
        temperature_dc=_option(options, "temp", parse_temperature),
        zero_error_nm=_zero_error(options, unit),
        radius_nm=radius_nm,
        fasteners_fitted=nuts[0] if nuts else None,
        fasteners_of=nuts[1] if nuts else None,
        bearing_checked=_option(options, "bearing", parse_yes_no),
        returned_to_start=_option(options, "back", parse_yes_no),
        rotor_index=index,
        lip=_option(options, "lip", parse_yes_no),
        in_groove=_option(options, "groove", parse_yes_no),
    )


def unit_without_word(gauge: Gauge | None, context: Context) -> LengthUnit | None:
    """Return the unit of a number where no unit is said in words; None where it cannot be told."""
    return gauge.unit if gauge else context.declared


def _is_bare(text: str) -> bool:
    body = text.strip()
    return body.lower() != NOT_MEASURED and body[-1:].isdigit()


def _option(options: Mapping[str, str], name: str, parse: Callable[[str], _T]) -> _T | None:
    text = options.get(name)
    if text is None:
        return None
    try:
        return parse(text)
    except InvalidInput as error:
        raise InvalidInput(f"{name}: {error}", hint=error.hint) from None


def _check_options(quantity: Quantity, options: Mapping[str, str]) -> None:
    for name in options:
        if name not in OPTIONS:
            raise InvalidInput(
                f"{clip(name)!r} is not known here", hint=did_you_mean(name, OPTIONS)
            )
        if name in _BELONGS and quantity not in _BELONGS[name]:
            fitting = [each.value for each in Quantity if each in _BELONGS[name]]
            raise InvalidInput(
                f"{name} does not belong to {quantity.facts.label}",
                hint=f"it goes with {', '.join(fitting)}",
            )


def _check_brake(corner: Corner, quantity: Quantity, context: Context) -> None:
    brake = context.brake_of(corner)
    if brake is None:
        return
    is_disc = brake is AxleBrake.DISC
    fitting = (*DISC_QUANTITIES, Quantity.HUB_RUNOUT) if is_disc else DRUM_QUANTITIES
    if quantity not in fitting:
        raise InvalidInput(
            f"{corner} has no {quantity.facts.label}: "
            f"{axle_name(corner.axle)} has {brake.value} brakes",
            hint="check the corner",
        )


def _gauge(quantity: Quantity, options: Mapping[str, str], context: Context) -> Gauge | None:
    if "gauge" in options:
        return context.gauge_called(options["gauge"])
    return context.gauge_for(quantity)


def check_values(
    quantity: Quantity,
    tokens: Sequence[str],
    unit: LengthUnit | None,
    *,
    close_blanks: bool = False,
) -> list[TypedLength | None]:
    """Return the values of one reading set; None for a point that was not measured.

    Parameters
    ----------
    quantity, tokens, close_blanks
        As for ``check_reading``.
    unit : LengthUnit or None
        The unit of a number without one; None where it cannot be told.

    Raises
    ------
    InvalidInput
        Where one is no value of that quantity, or they do not go together.
    """
    if not tokens:
        raise InvalidInput("no value typed", hint="x stands for a point that was not measured")
    if len(tokens) > MOST_VALUES:
        raise InvalidInput(f"{len(tokens)} values are too many", hint=f"at most {MOST_VALUES}")
    is_profile = quantity in _INDICATED and len(tokens) > 1
    if is_profile and len(tokens) < PROFILE_POINTS:
        raise InvalidInput(
            f"{len(tokens)} values typed for {quantity.facts.label}",
            hint=f"one total indicator reading, or a profile of {PROFILE_POINTS} or more by angle",
        )
    values = [
        None
        if text.strip().lower() == NOT_MEASURED
        else read_value(quantity, text, unit, close_blanks=close_blanks, signed=is_profile)
        for text in tokens
    ]
    if is_profile and None in values:
        raise InvalidInput(
            "a profile has a reading at every angle", hint="leave none out, or type one total"
        )
    if not close_blanks:
        _check_one_system(values)
    return values


def _check_one_system(values: Sequence[TypedLength | None]) -> None:
    """Ask back where some numbers carry a unit of one system and others none, of another.

    A prompt echoes every number in both units; a line does not.
    """
    units = [value.unit for value in values if value]
    if not units or units.count(units[0]) == len(units):
        return
    typed = {value.unit.is_inch for value in values if value and value.unit_typed}
    bare = {value.unit.is_inch for value in values if value and not value.unit_typed}
    if typed and bare and typed != bare:
        raise InvalidInput(
            "some values carry a unit and others none, of another system",
            hint="type the unit behind every value",
        )


def _again(
    quantity: Quantity,
    options: Mapping[str, str],
    unit: LengthUnit | None,
    values: Sequence[TypedLength | None],
    *,
    close_blanks: bool,
) -> TypedLength | None:
    def parse(text: str) -> TypedLength:
        if values[0] is None:
            raise InvalidInput(
                "the first point was not measured", hint="it is the first point once more"
            )
        return read_value(quantity, text, unit, close_blanks=close_blanks)

    return _option(options, "again", parse)


def _index(options: Mapping[str, str], nuts: tuple[int, int] | None) -> int | None:
    """How many studs the rotor was turned on its hub from its first mark."""

    def parse(text: str) -> int:
        body = text.strip()
        if nuts is None:
            raise InvalidInput("without the number of studs it says nothing", hint="nuts=5/5")
        if not (body.isascii() and body.isdigit() and len(body) < 3 and int(body) < nuts[1]):
            raise InvalidInput(
                f"{clip(text)!r} is no position on {nuts[1]} studs", hint=f"0 to {nuts[1] - 1}"
            )
        return int(body)

    return _option(options, "index", parse)


def _zero_error(options: Mapping[str, str], unit: LengthUnit | None) -> int:
    def parse(text: str) -> int:
        nm = parse_length(text, declared=unit, signed=True).nm
        if abs(nm) > MOST_ZERO_ERROR_NM:
            raise InvalidInput(
                f"{clip(text)!r} is more than 0.5 mm off", hint="set the gauge, then measure"
            )
        return nm

    return _option(options, "zero", parse) or 0


def _radius(options: Mapping[str, str], unit: LengthUnit | None) -> int | None:
    def parse(text: str) -> int:
        nm = parse_length(text, declared=unit).nm
        if not 0 < nm <= MOST_RADIUS_NM:
            raise InvalidInput(f"{clip(text)!r} is no radius of a rotor", hint="check the unit")
        return nm

    return _option(options, "radius", parse)
