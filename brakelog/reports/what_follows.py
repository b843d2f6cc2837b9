"""What may become of an axle, on the counter sheet: left as it is, or new linings today."""

from __future__ import annotations

from brakelog.reports.plain import Line, wrapped
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.world import Plan, World
from brakelog.rules.world_words import basis_sentence, world_sentence


def what_follows(verdict: VehicleVerdict, axle: int, width: int) -> list[Line]:
    """Return one line for each plan of an axle that was looked at."""
    here = worlds_told(verdict, axle)
    if not here:
        return []
    lines = [Line(), Line(text="  What follows")]
    shop = verdict.file.shop
    for world in here:
        text = world_sentence(world, shop)
        lines += wrapped(text, first="    - ", rest="      ", width=width)
    basis = basis_sentence(here, shop)
    return lines + wrapped(basis, first="      ", rest="      ", role="quiet", width=width)


def worlds_told(verdict: VehicleVerdict, axle: int) -> list[World]:
    """Return the plans of an axle; a cut only where something on the axle is to be done."""
    is_well = not any(each.corner.axle == axle for each in (*verdict.required, *verdict.suggested))
    return [
        world
        for world in verdict.worlds
        if world.axle == axle and not (is_well and world.plan is Plan.REFINISHED)
    ]
