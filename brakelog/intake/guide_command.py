"""The few words that guided entry understands beside answers."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass

from brakelog.intake.question import WIDTH
from brakelog.intake.step import Step, StepKind
from brakelog.record.finding import FindingKind
from brakelog.record.vehicle import BRAKE_OF, AxleBrake

HELP, STOP, SKIP, CORNER, GAUGE, UNIT = "?", "stop", "skip", "corner", "gauge", "unit"
AGAIN, DATUM = "again", "datum"
_WITHOUT_ARGUMENT = (HELP, STOP, SKIP)
_WITH_ARGUMENT = (CORNER, GAUGE, UNIT, AGAIN, DATUM)


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """One command with what stands behind it."""

    name: str
    argument: str = ""


def parse_command(text: str) -> Command | None:
    """Return the command; None where the text is an answer.

    >>> parse_command("corner rf")
    Command(name='corner', argument='rf')
    >>> parse_command("27.4") is None
    True
    """
    words = text.split()
    if not words:
        return None
    name = words[0].lower()
    if name in _WITHOUT_ARGUMENT and len(words) == 1:
        return Command(name=name)
    if name in _WITH_ARGUMENT:
        return Command(name=name, argument=" ".join(words[1:]))
    return None


_ANSWERS = {
    StepKind.NUTS: "nuts: how many wheel fasteners hold the rotor, and of how many: 5/5 or 3 of 5; "
    "a rotor that is not held by all of them runs out",
    StepKind.BEARING: "bearing: y where it was checked and the wheel bearing is free of play",
    StepKind.BACK: "back: y where the pointer was back at its start after one whole turn",
    StepKind.LIP: "lip: y where an unworn edge stands that flat tips may have rested on; n where "
    "there is none",
    StepKind.LOOKED_OVER: "looked-over: y where all of the corner was looked at for cracks, leaks "
    "and damage; what was found is typed before, at anything seen",
}
_INDENT = 4
"""Blanks that stand before the help on a terminal."""


def help_text(step: Step, brake: AxleBrake) -> str:
    """Return what can be typed at this step, in lines that leave room for an indent.

    Parameters
    ----------
    step : Step
        What is asked.
    brake : AxleBrake
        The brake of the corner: only what can be found on it is named.
    """
    texts = [_ANSWERS[step.kind]] if step.kind in _ANSWERS else []
    texts.append("Enter leaves it out, - goes back, stop leaves and keeps everything")
    if step.quantity is not None:
        texts.append("skip leaves out the rest of it, gauge M2 takes another gauge, unit in")
    if step.quantity is not None and step.quantity.is_lining:
        texts.append("datum plate: it is measured with its backing plate; datum lining: without")
    if step.kind is StepKind.FINDING:
        texts.append(", ".join(_findings(brake)))
        texts.append("behind the word part=rotor where it cannot be told, and a note")
    texts.append("again rotor asks for all of the rotor once more; corner RF for another corner")
    return "\n".join(
        line
        for text in texts
        for line in textwrap.wrap(text, WIDTH - _INDENT, break_on_hyphens=False)
    )


def _findings(brake: AxleBrake) -> Iterator[str]:
    """Yield the words for what can be found on a brake, each with what it means."""
    for kind in FindingKind:
        if any(BRAKE_OF[part] is brake for part in kind.facts.parts):
            label = kind.facts.label
            is_plain = label == kind.value.replace("-", " ")
            yield kind.value if is_plain else f"{kind.value} ({label})"
