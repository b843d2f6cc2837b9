"""Whatever is typed in whatever order, the kept list is the one that is worked out from nothing."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from tests.acceptance.workshop import Workshop

STEPS = 16
ON = "2026-06-01"
CORNERS = ("LF", "RF", "LR", "RR")
SHEETS = ("alpha", "beta")


class Walk:
    """Types one thing after another; what is refused is refused, as at the desk."""

    def __init__(self, shop: Workshop, dice: random.Random) -> None:
        self.shop = shop
        self.dice = dice
        self.cars: dict[str, tuple[date, int]] = {}

    def step(self) -> None:
        doing = self.dice.choice(
            (*[self.measures] * 5, *[self.fits] * 3, self.finds, self.amends, self.changes)
        )
        doing(self.car())

    def car(self) -> str:
        if len(self.cars) < 3 or self.dice.random() < 0.05:
            tag = f"CAR-{len(self.cars)}"
            self.shop.does(
                "vehicle", "add", tag, "--brakes", "disc/disc", "--sheet", self.dice.choice(SHEETS)
            )
            self.cars[tag] = (date(2023, 1, 2), 20_000)
        return self.dice.choice(list(self.cars))

    def drives(self, tag: str) -> tuple[str, str]:
        day, odometer = self.cars[tag]
        if self.dice.random() < 0.8:
            day += timedelta(days=self.dice.randrange(20, 200))
            odometer += self.dice.randrange(500, 12_000)
            self.cars[tag] = (day, odometer)
        return day.isoformat(), f"{odometer} km"

    def measures(self, tag: str) -> None:
        day, odometer = self.drives(tag)
        worn = (self.cars[tag][1] - 20_000) / 1_000 * 0.12
        lines = ""
        for corner in self.dice.sample(CORNERS, self.dice.randrange(1, 5)):
            size = max(10.8 - worn * self.dice.uniform(0.8, 1.2), 1.0)
            lines += f"{corner} pad-in {size:.1f} {size + 0.1:.1f}\n"
        self.shop.tries("measure", tag, "--odometer", odometer, "--date", day, typed=lines)

    def fits(self, tag: str) -> None:
        day, odometer = self.drives(tag)
        corner, other = self.dice.sample(CORNERS, 2)
        event = self.dice.choice(
            (
                ("new",),
                ("new", "--size", "11.0 mm"),
                ("used", "--size", "7.0 mm"),
                ("used",),
                ("removed",),
                ("moved", "--from", other, "--size", "6.0 mm"),
            )
        )
        words = ("--date", day, "--odometer", odometer)
        self.shop.tries("fit", tag, corner, "pads", *event, *words)

    def finds(self, tag: str) -> None:
        day, odometer = self.drives(tag)
        what = self.dice.choice(("stuck-slide", "soaked", "leak", "stuck-slide as-left fixed=yes"))
        line = f"{self.dice.choice(CORNERS)} finding {what}\n"
        self.shop.tries("measure", tag, "--odometer", odometer, "--date", day, typed=line)

    def amends(self, tag: str) -> None:
        day, odometer = self.cars[tag]
        new = f"{odometer + self.dice.randrange(-3_000, 3_000)} km"
        self.shop.tries("amend", "odometer", tag, day.isoformat(), new, "--why", "read again")

    def changes(self, tag: str) -> None:
        if self.dice.random() < 0.5:
            self.shop.does("vehicle", "change", tag, "--sheet", self.dice.choice(SHEETS))
        else:
            figure = f"{self.dice.choice((2.0, 3.0))} mm"
            words = (self.dice.choice(SHEETS), "front", "pad-minimum", figure)
            self.shop.tries("limits", "add", *words, "--source", "page 9", "--out-when", "below")


@pytest.mark.parametrize("seed", [3, 4])
def test_the_kept_list_is_the_one_worked_out_from_nothing(
    seed: int, equipped_shop: Callable[[], Workshop]
) -> None:
    shop = equipped_shop()
    for sheet in SHEETS:
        for axle in ("front", "rear"):
            shop.has_limits(sheet, axle, "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below")
    walk = Walk(shop, random.Random(seed))
    listed = 0
    for _ in range(STEPS):
        walk.step()
        kept = shop.reads("due", "--on", ON)
        copy = shop.copy_beside("rebuilt.sqlite")
        assert kept == copy.reads("due", "--on", ON, "--rebuild")
        listed = max(listed, len(kept["vehicles"]))
    assert listed >= 1
