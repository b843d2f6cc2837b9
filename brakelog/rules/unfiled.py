"""An interrupted entry: how much of it there is, and the command that goes on with it."""

from __future__ import annotations

from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile


def unfiled_count(file: CaseFile) -> int:
    """Return how many answers are not filed yet."""
    return sum(each.entries for each in file.unfiled)


def going_on(file: CaseFile) -> str:
    """Return the command that goes on at the same visit and stage, in the same unit and hand.

    Who goes on files what all have typed at that stage: where that were several, nobody is named.
    """
    commands = []
    for stage in dict.fromkeys(each.stage for each in file.unfiled):
        here = [each for each in file.unfiled if each.stage is stage]
        words = ["brakelog measure", file.vehicle.tag, f"--date {file.visit.day.isoformat()}"]
        if stage is Stage.AS_LEFT:
            words.append("--as-left")
        units = {each.unit for each in here}
        if units != {file.shop.unit} and len(units) == 1:
            words += [f"--unit {unit.value}" for unit in units]
        people = {file.people.get(each.person_id or "", "") for each in here}
        if len(people) == 1:
            words += [f"--by {initials}" for initials in people if initials]
        commands.append(" ".join(words))
    return " and ".join(commands)
