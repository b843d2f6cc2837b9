"""An interrupted entry: how much of it there is, and the command that goes on with it."""

from __future__ import annotations

from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile


def unfiled_count(file: CaseFile) -> int:
    """Return how many answers are not filed yet."""
    return sum(each.entries for each in file.unfiled)


def going_on(file: CaseFile) -> str:
    """Return the command that goes on: the same visit, the same stage, the same hand.

    Where several people or both stages were interrupted, each has a command of its own.
    """
    commands = []
    for each in file.unfiled:
        words = ["brakelog measure", file.vehicle.tag, f"--date {file.visit.day.isoformat()}"]
        if each.stage is Stage.AS_LEFT:
            words.append("--as-left")
        if by := file.people.get(each.person_id or ""):
            words.append(f"--by {by}")
        commands.append(" ".join(words))
    return " and ".join(dict.fromkeys(commands))
