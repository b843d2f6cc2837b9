"""The worlds in which the projection of wear is tried, one a row of the page's tables."""

from __future__ import annotations

from dataclasses import dataclass, replace

from brakelog.wear.experience import WearKind
from tests.simulation.wear_world import World

LEARNED_FROM = 60
VISITS = (1, 2, 3, 5)


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A world, and what a shop in it knows beforehand."""

    name: str
    world: World
    kind: WearKind = WearKind.FRONT_LINING
    learned_from: int = LEARNED_FROM
    """Part lives on record; with none the general experience is all there is."""
    centre: float | None = None
    """Median rate that this experience takes wear to have; its own if None. [mm/1000 km]"""
    visits: tuple[int, ...] = VISITS


def varying(cv: float) -> float:
    """Process constant of a wear that varies so much over 15,000 km. [1000 km]"""
    return 15.0 * cv * cv


PAD = World()
ROTOR = World(new_mm=25.0, limit_mm=23.0, new_sd_mm=0.02, rate=0.02, u1_mm=0.005)
OFF = replace(PAD, new_off_mm=0.4, new_sd_mm=0.25)
"""New linings thicker than on file, so that the readings show less wear than there is."""

TRIALS = {
    "Gauges and scatter": (
        Trial(name="lining, read to 0.2 mm", world=PAD),
        Trial(name="lining, read to 0.05 mm", world=replace(PAD, u1_mm=0.05)),
        Trial(name="lining, read to 0.5 mm", world=replace(PAD, u1_mm=0.5)),
        Trial(
            name="lining, read in steps of 1 mm",
            world=replace(PAD, step_mm=1.0, believed_u1_mm=(0.2**2 + 1.0 / 12.0) ** 0.5),
        ),
        Trial(
            name="wear varies by 20 % over 15,000 km", world=replace(PAD, process_c=varying(0.2))
        ),
        Trial(
            name="wear varies by 30 % over 15,000 km", world=replace(PAD, process_c=varying(0.3))
        ),
        Trial(name="cars differ by 60 %", world=replace(PAD, cv_between=0.6)),
        Trial(name="rotor, read to 0.005 mm", world=ROTOR, kind=WearKind.ROTOR),
        Trial(name="rotor, read to 0.02 mm", world=replace(ROTOR, u1_mm=0.02), kind=WearKind.ROTOR),
    ),
    "What the shop has on record": (
        Trial(name="nothing", world=PAD, learned_from=0),
        Trial(
            name="nothing, and wear is 1.5 times as fast as is believed",
            world=PAD,
            learned_from=0,
            centre=PAD.rate / 1.5,
        ),
        Trial(
            name="nothing, and wear is 1.5 times as slow as is believed",
            world=PAD,
            learned_from=0,
            centre=PAD.rate * 1.5,
        ),
        *(
            Trial(name=f"{lives} part lives", world=PAD, learned_from=lives)
            for lives in (3, 10, 30, 500)
        ),
    ),
    "What is not as assumed": (
        Trial(name="3 % of readings wrong by 1.5 to 5 mm", world=replace(PAD, gross_share=0.03)),
        Trial(
            name="one rate from visit to visit, then another", world=replace(PAD, interval_cv=0.25)
        ),
        Trial(
            name="a quarter of the cars gets another rate for good",
            world=replace(PAD, changing_share=0.25),
        ),
        Trial(
            name="read to 0.4 mm, said to be 0.2 mm",
            world=replace(PAD, u1_mm=0.4, believed_u1_mm=0.2),
        ),
        Trial(
            name="read to 0.1 mm, said to be 0.3 mm",
            world=replace(PAD, u1_mm=0.1, believed_u1_mm=0.3),
        ),
    ),
    "Where it is weak": (
        Trial(name="new linings 0.4 mm thicker than on file", world=OFF),
        Trial(
            name="the same, the new size believed to 0.5 mm",
            world=replace(OFF, believed_new_u1_mm=0.5),
        ),
        Trial(
            name="new linings 0.4 mm thinner, the new size believed to 0.5 mm",
            world=replace(OFF, new_off_mm=-0.4, believed_new_u1_mm=0.5),
        ),
        Trial(
            name="wear varies by 41 % over 15,000 km, nothing on record",
            world=replace(PAD, process_c=varying(0.41)),
            learned_from=0,
        ),
        Trial(
            name="the same, learned from 60 part lives", world=replace(PAD, process_c=varying(0.41))
        ),
    ),
    "Close to the limit": (
        Trial(
            name="last reading within 0.5 mm of it, read to 0.2 mm",
            world=replace(PAD, near_mm=0.5),
            visits=(3,),
        ),
        Trial(
            name="last reading within 0.5 mm of it, read to 0.5 mm",
            world=replace(PAD, near_mm=0.5, u1_mm=0.5),
            visits=(3,),
        ),
    ),
}
"""By the heading of the page under which their table stands."""
