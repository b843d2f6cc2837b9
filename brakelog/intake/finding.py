"""Findings as they are typed: a word, where it was seen, and a note."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from brakelog.errors import InvalidInput, clip
from brakelog.intake.context import Context
from brakelog.intake.entry import FindingEntry
from brakelog.intake.nearest import CLOSE, did_you_mean
from brakelog.intake.words import parse_note, parse_stage, parse_yes_no
from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, FindingKind
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake

OPTIONS = ("part", "stage", "by", "fixed")
"""What may be said between the finding and its note."""
_WORD = re.compile(r"\S+")
_OPTION = re.compile(r"([A-Za-z][A-Za-z_-]*)=(\S*)", re.ASCII)
_STAGES = ("as-found", "as-left")


def parse_kind(text: str) -> FindingKind:
    """Read the word for a finding.

    Raises
    ------
    InvalidInput
        Where nothing that can be seen goes by it.
    """
    word = text.strip().lower()
    try:
        return FindingKind(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a finding",
            hint=did_you_mean(word, [kind.value for kind in FindingKind], cutoff=CLOSE),
        ) from None


def parse_part(text: str) -> Part:
    """Read the word for a part: ``rotor``, ``pads``, ``drum`` or ``shoes``."""
    word = text.strip().lower()
    try:
        return Part(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a part", hint=did_you_mean(word, [part.value for part in Part])
        ) from None


def check_finding(
    *,
    source: str,
    corner: Corner,
    kind: FindingKind,
    note: str,
    options: Mapping[str, str],
    context: Context,
) -> FindingEntry:
    """Return the finding that was typed.

    Raises
    ------
    InvalidInput
        Where it cannot be made on that part, the part cannot be told, or ``other`` has no note.
    """
    entry = FindingEntry(
        source=source,
        corner=corner,
        stage=parse_stage(options["stage"]) if "stage" in options else context.stage,
        kind=kind,
        part=_part(kind, options),
        note=parse_note(note),
        put_right=parse_yes_no(options["fixed"]) if "fixed" in options else False,
        person=context.person_called(options["by"]) if "by" in options else None,
    )
    if entry.put_right and (
        entry.stage is not Stage.AS_LEFT or kind.facts.effect is not Effect.CORRECT
    ):
        raise InvalidInput(
            f"{kind.value} is not put right by saying so",
            hint="say fixed=yes as-left; a part that is condemned is fitted anew instead",
        )
    if kind is FindingKind.OTHER and not entry.note:
        raise InvalidInput("the finding other needs a note", hint="say what was seen")
    brake = context.brake_of(corner)
    return entry if brake is None else settle_part(entry, brake)


def settle_part(entry: FindingEntry, brake: AxleBrake) -> FindingEntry:
    """Return the finding with its part, which the brake of the corner decides if it can.

    Raises
    ------
    InvalidInput
        Where the brake has no such part, or two that the finding could be made on.
    """
    if entry.part is not None:
        if BRAKE_OF[entry.part] is not brake:
            raise InvalidInput(
                f"{entry.corner} has no {entry.part.value}: it has {brake.value} brakes",
                hint="check the corner",
            )
        return entry
    parts = [part for part in entry.kind.facts.parts if BRAKE_OF[part] is brake]
    if len(parts) > 1:
        raise InvalidInput(
            f"the part of {entry.kind.value} cannot be told",
            hint=" or ".join(f"part={part.value}" for part in parts),
        )
    return replace(entry, part=parts[0])


def read_finding(text: str, *, source: str, corner: Corner, context: Context) -> FindingEntry:
    """Return the finding typed as ``stuck-slide part=pads lower pin, inboard``.

    Raises
    ------
    InvalidInput
        As ``check_finding`` does, and where a word is not known.
    """
    first = _WORD.search(text)
    if first is None:
        raise InvalidInput("no finding typed", hint=" ".join(each.value for each in FindingKind))
    kind = parse_kind(first[0])
    options, at = _leading_options(text, first.end())
    return check_finding(
        source=source, corner=corner, kind=kind, note=text[at:], options=options, context=context
    )


def _leading_options(text: str, at: int) -> tuple[dict[str, str], int]:
    """Return what was said before the note, and where the note begins."""
    options: dict[str, str] = {}
    while (word := _WORD.search(text, at)) is not None:
        found = _OPTION.fullmatch(word[0])
        if found is None and word[0].lower() not in _STAGES:
            return options, word.start()
        name, value = (found[1].lower(), found[2]) if found else ("stage", word[0])
        if name not in OPTIONS:
            raise InvalidInput(
                f"{clip(name)!r} is not known here", hint=did_you_mean(name, OPTIONS)
            )
        if name in options:
            raise InvalidInput(f"{name} is said twice", hint="say it once")
        if not value:
            raise InvalidInput(f"nothing stands behind {name}=", hint="leave it out if unknown")
        options[name] = value
        at = word.end()
    return options, len(text)


def _part(kind: FindingKind, options: Mapping[str, str]) -> Part | None:
    parts = kind.facts.parts
    if "part" not in options:
        return parts[0] if len(parts) == 1 else None
    part = parse_part(options["part"])
    if part not in parts:
        raise InvalidInput(
            f"{kind.value} cannot be found on {part.value}",
            hint=f"it goes with {' or '.join(each.value for each in parts)}",
        )
    return part
