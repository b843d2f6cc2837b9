"""Typed lines at the end of a job: torques, checks, the odometer out, and what was agreed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry
from brakelog.intake.line import parse_line
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.words import has_control, parse_day, parse_note
from brakelog.record.agreement import Consent, How, WorkItem, parse_how, parse_work
from brakelog.record.closing import Check, Scope, parse_check, parse_said
from brakelog.record.corner import Corner, parse_axle, parse_corner
from brakelog.record.quantity import Part
from brakelog.record.torque import Fastener, TorqueUnit, fastener_of, parse_torque
from brakelog.record.vehicle import BRAKE_OF

TORQUE = "torque"
CHECK = "check"
ODOMETER_OUT = "odometer-out"
UNTOUCHED = "untouched"
_FIRST = (TORQUE, CHECK, ODOMETER_OUT, *(each.value for each in Consent))
LONGEST_NAME = 64
"""Characters of a name or number. Assumption: it has to fit on a printed page."""
_OPTION = re.compile(r'(?<!\S)([a-z]+)=(?:"([^"]*)"(?=\s|$)|([^\s"]+))', re.IGNORECASE)
_QUOTED = re.compile(r'"([^"]*)"')
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueEntry:
    """How tight fasteners were left."""

    axle: int
    corner: Corner | None
    fastener: str
    figure: str
    """With its unit; empty where they were not undone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """An answered check."""

    check: Check
    said: str
    axle: int | None = None
    corner: Corner | None = None
    part: Part | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OdometerOut:
    """The odometer when the vehicle leaves, as typed."""

    text: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreementEntry:
    """What the customer agreed to or declined."""

    consent: Consent
    items: tuple[WorkItem, ...]
    who: str
    how: How
    day: date | None = None
    """None where nobody said: today."""
    time: str = ""
    number: str = ""
    cost: str = ""
    note: str = ""


ClosingEntry = TorqueEntry | CheckEntry | OdometerOut | AgreementEntry


def parse_closing_line(
    text: str,
    number: int,
    context: Context,
    *,
    torque_unit: TorqueUnit | None = None,
    source: str = "standard input",
) -> ClosingEntry | Entry | None:
    """Return what one line says; None for a blank line or a comment.

    A line that begins with a corner is one of ``brakelog measure``, taken as left.

    Parameters
    ----------
    text : str
        The line.
    number : int
        Which line it is, from 1.
    context : Context
        Gauges, people, declared unit, stage and brakes.
    torque_unit : TorqueUnit, optional
        The unit of a torque typed without one; None means that it must be typed.
    source : str
        Where the lines come from.

    Raises
    ------
    InvalidInput
        With the first thing in the line that is wrong.
    """
    body = text.strip()
    if not body or body.startswith("#"):
        return None
    if has_control(body):
        raise InvalidInput("the line holds characters that are no text", hint="type it again")
    first, _, rest = body.partition(" ")
    word = first.lower()
    if word == TORQUE:
        return _torque(rest, context, torque_unit)
    if word == CHECK:
        return _check(rest, context)
    if word == ODOMETER_OUT:
        rest, options = _options(rest, ("note",))
        text = _needed(rest, "the odometer is missing", "odometer-out 62403 km")
        return OdometerOut(text=text, note=parse_note(options.get("note", "")))
    if word in (Consent.AGREED.value, Consent.DECLINED.value):
        return _agreement(Consent(word), rest, context)
    try:
        parse_corner(first)
    except InvalidInput:
        raise InvalidInput(
            f"{clip(first)!r} begins no line",
            hint=f"{did_you_mean(word, _FIRST)}; or a corner, as for measure",
        ) from None
    return parse_line(body, number, context, source)


def _needed(text: str, wrong: str, example: str) -> str:
    if not text.strip():
        raise InvalidInput(wrong, hint=f"such as {example}")
    return text.strip()


def _torque(rest: str, context: Context, unit: TorqueUnit | None) -> TorqueEntry:
    words = _QUOTED.sub(r"\1", rest).split()
    example = "torque front wheel 110 N·m"
    if len(words) < 3:
        raise InvalidInput("axle, fastener or torque is missing", hint=f"such as {example}")
    axle, corner, words = _axle_or_corner(words, context)
    at = next((n for n, word in enumerate(words) if _begins_figure(word)), 0)
    if at == 0:
        raise InvalidInput("fastener or torque is missing", hint=f"such as {example}")
    name = " ".join(words[:at]).lower()
    kind = fastener_of(name)
    if name in {each.value for each in Fastener}:
        kind = Fastener(name)
    figure = " ".join(words[at:])
    kept = "" if figure.lower() == UNTOUCHED else parse_torque(figure, declared=unit)
    return TorqueEntry(axle=axle, corner=corner, fastener=kind.value if kind else name, figure=kept)


def _begins_figure(word: str) -> bool:
    return word[0].isdigit() or word.lower() == UNTOUCHED


def _axle_or_corner(words: list[str], context: Context) -> tuple[int, Corner | None, list[str]]:
    """Return axle and corner that the words begin with, and the words behind."""
    if len(words) > 1 and words[0].lower() == "axle":
        words = words[1:]
    corner: Corner | None = None
    try:
        corner = parse_corner(words[0])
        axle = corner.axle
    except InvalidInput:
        axle = parse_axle(words[0])
    if context.brakes and axle > len(context.brakes):
        raise InvalidInput(f"the vehicle has no {words[0]}", hint="check the axle")
    return axle, corner, words[1:]


def _check(rest: str, context: Context) -> CheckEntry:
    rest, options = _options(rest, ("note",))
    words = rest.split()
    if not words:
        raise InvalidInput("the check is missing", hint="such as check pedal-firm yes")
    check = parse_check(words[0])
    words = words[1:]
    axle: int | None = None
    corner: Corner | None = None
    part: Part | None = None
    scope = check.facts.scope
    example = f"such as {_example(check)}"
    if scope is not Scope.VEHICLE:
        if not words:
            raise InvalidInput(f"{check.value} is about {scope.value}", hint=example)
        axle, corner, words = _axle_or_corner(words, context)
        if (scope is Scope.AXLE) != (corner is None):
            raise InvalidInput(f"{check.value} is about {scope.value}", hint=example)
    if scope is Scope.PART:
        if not words:
            raise InvalidInput(f"{check.value} is about {scope.value}", hint=example)
        part, words = _part(words[0], corner, context), words[1:]
    if not words:
        raise InvalidInput(f"{check.value} is not answered", hint=", ".join(check.facts.answers))
    said = parse_said(check, " ".join(words))
    note = parse_note(options.get("note", ""))
    if check.facts.needs_note and said in check.facts.good and not note:
        raise InvalidInput(
            f"{check.value} needs a note", hint='such as note="number compared with the catalogue"'
        )
    return CheckEntry(
        check=check,
        said=said,
        axle=axle if scope is Scope.AXLE else None,
        corner=corner,
        part=part,
        note=note,
    )


def _example(check: Check) -> str:
    place = {Scope.AXLE: "front ", Scope.CORNER: "LF ", Scope.PART: "LF pads "}
    return f"check {check.value} {place.get(check.facts.scope, '')}{check.facts.answers[0]}"


def _part(word: str, corner: Corner | None, context: Context) -> Part:
    try:
        part = Part(word.lower())
    except ValueError:
        raise InvalidInput(
            f"{clip(word)!r} is not a part", hint=" ".join(each.value for each in Part)
        ) from None
    if corner is not None and context.brakes:
        brake = context.brakes[corner.axle - 1]
        if BRAKE_OF[part] is not brake:
            raise InvalidInput(
                f"{corner} has no {part.value}: {brake.value} brakes", hint="check the corner"
            )
    return part


_SAID = ("who", "how", "when", "number", "cost", "note")


def _agreement(consent: Consent, rest: str, context: Context) -> AgreementEntry:
    words, options = _options(rest, _SAID)
    return read_agreement(consent, words, options, context)


def read_agreement(
    consent: Consent, what: str, said: Mapping[str, str], context: Context
) -> AgreementEntry:
    """Return what the customer said, from the words for the work and what was said beside them.

    Parameters
    ----------
    consent : Consent
        Whether it was agreed to or declined.
    what : str
        The work: ``front pads and rotors``.
    said : mapping of str to str
        ``who``, ``how``, ``when``, ``number``, ``cost``, ``note``.
    context : Context
        The brakes of the vehicle.

    Raises
    ------
    InvalidInput
        With the first thing that is missing or wrong.
    """
    example = 'who="Pia Quill" how=phone'
    day, time = _when(said.get("when", ""))
    return AgreementEntry(
        consent=consent,
        items=parse_work(what, context.brakes),
        who=_name(_needed(said.get("who", ""), f"who {consent.value} it is not said", example)),
        how=parse_how(_needed(said.get("how", ""), "how it was said is missing", example)),
        day=day,
        time=time,
        number=_name(said.get("number", "")),
        cost=_name(said.get("cost", "")),
        note=parse_note(said.get("note", "")),
    )


def _name(text: str) -> str:
    name = " ".join(text.split())
    if len(name) > LONGEST_NAME:
        raise InvalidInput(f"{clip(name)!r} has more than {LONGEST_NAME} characters", hint="note=")
    return name


def _when(text: str) -> tuple[date | None, str]:
    """Read ``2026-03-02 10:20``, or one of the two."""
    day: date | None = None
    time = ""
    for word in text.replace("T", " ").split():
        if _CLOCK.fullmatch(word):
            time = word.zfill(5)
        else:
            day = parse_day(word)
    return day, time


def _options(rest: str, known: tuple[str, ...]) -> tuple[str, dict[str, str]]:
    """Take what is said as ``name=value`` out of a line; return the rest and what was said."""
    options: dict[str, str] = {}

    def take(found: re.Match[str]) -> str:
        name = found[1].lower()
        if name not in known:
            raise InvalidInput(f"{clip(name)!r} is not known here", hint=did_you_mean(name, known))
        if name in options:
            raise InvalidInput(f"{name} is said twice", hint="say it once")
        options[name] = found[2] if found[2] is not None else found[3]
        return ""

    left = _OPTION.sub(take, rest)
    if "=" in left or '"' in left:
        raise InvalidInput(
            f"{clip(left.strip())!r} cannot be read", hint='a value with blanks: note="two words"'
        )
    return left, options
