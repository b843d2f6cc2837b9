"""An interrupted entry: how much of it there is, and the command that goes on with it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

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
        units = {each.unit for each in here}
        people = {file.people.get(each.person_id or "", "") for each in here}
        commands.append(
            measure_command(
                file.vehicle.tag,
                stage,
                file.visit.day,
                unit="" if file.shop.unit in units or len(units) > 1 else units.pop().value,
                by=people.pop() if len(people) == 1 else "",
            )
        )
    return " and ".join(commands)


def measure_command(
    tag: str,
    stage: Stage,
    day: date | None,
    *,
    corners: Iterable[str] = (),
    unit: str = "",
    by: str = "",
) -> str:
    """Return the command that takes an entry up again at the same place.

    Parameters
    ----------
    tag : str
        The vehicle.
    stage : Stage
        The stage that was entered.
    day : date, optional
        The day of the visit; None for today's.
    corners : iterable of str
        The corners that were asked for, where not all were.
    unit, by : str
        The unit that was declared and who entered, so far as they are to be named.
    """
    words = ["brakelog measure", tag]
    if stage is Stage.AS_LEFT:
        words.append("--as-left")
    if day is not None:
        words.append(f"--date {day.isoformat()}")
    words += [f"--corner {corner}" for corner in corners]
    words += [f"{option} {given}" for option, given in (("--unit", unit), ("--by", by)) if given]
    return " ".join(words)
