"""The few words that guided entry understands beside answers."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from brakelog.intake.question import WIDTH
from brakelog.intake.step import Step, StepKind
from brakelog.record.finding import FindingKind

HELP, STOP, SKIP, CORNER, GAUGE, UNIT = "?", "stop", "skip", "corner", "gauge", "unit"
AGAIN = "again"
_WITHOUT_ARGUMENT = (HELP, STOP, SKIP)
_WITH_ARGUMENT = (CORNER, GAUGE, UNIT, AGAIN)


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


def help_text(step: Step) -> str:
    """Return what can be typed at this step."""
    lines = ["Enter leaves it out, - goes back, stop leaves and keeps everything"]
    if step.quantity is not None:
        lines.append("skip leaves out the rest of it, gauge M2 takes another gauge, unit in")
    if step.kind is StepKind.FINDING:
        words = " ".join(kind.value for kind in FindingKind)
        lines += textwrap.wrap(words, WIDTH, break_on_hyphens=False)
        lines.append("behind the word part=rotor where it cannot be told, and a note")
    lines.append("again rotor asks for all of the rotor once more; corner RF for another corner")
    return "\n".join(lines)
