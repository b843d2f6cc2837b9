"""A workshop that is run through the commands only, as people at the desk and at the car do it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from typer.testing import CliRunner, Result

from brakelog.cli.main import build
from brakelog.store.address import Address
from tests.docs.published_schemas import fault_of
from tests.places import copied, place, rows_at

DAY = "2026-01-10"
"""The day of a visit where a test does not care."""
Facts: TypeAlias = Mapping[str, Any]


@dataclass(frozen=True)
class PartVerdict:
    """What the verdict says about one part at one corner."""

    facts: Facts

    @property
    def words(self) -> tuple[str, str | None]:
        return self.facts["verdict"], self.facts["grounds"]

    @property
    def codes(self) -> list[str]:
        """Codes of its reasons, the deciding one first."""
        return [reason["code"] for reason in self.facts["reasons"]]

    def reason(self, code: str) -> Facts:
        """The first reason of that code."""
        found: Facts = next(each for each in self.facts["reasons"] if each["code"] == code)
        return found

    def measure(self, name: str) -> Facts:
        found: Facts = next(each for each in self.facts["measures"] if each["measure"] == name)
        return found

    def read(self, name: str) -> tuple[str, str | None, str | None, str | None]:
        """Outcome, reading as typed, limit as printed, and margin of one measure."""
        each = self.measure(name)
        limit = each["limit"]["as_printed"] if each["limit"] else None
        return each["outcome"], each["typed"], limit, each["margin_mm"]

    def life(self, position: str) -> Facts:
        found: Facts = next(each for each in self.facts["life"] if each["position"] == position)
        return found

    @property
    def shortest(self) -> Facts:
        """The life that ends first."""
        stated: list[Facts] = [each for each in self.facts["life"] if each["at_least_km"]]
        return min(stated, key=lambda life: float(life["at_least_km"]))

    @property
    def text(self) -> str:
        return " ".join(reason["text"] for reason in self.facts["reasons"])


@dataclass(frozen=True)
class Verdict:
    """A verdict as the command gives it to machines."""

    document: Facts

    def part(self, corner: str, part: str) -> PartVerdict:
        (found,) = [
            each
            for each in self.document["parts"]
            if each["corner"] == corner and each["part"] == part
        ]
        return PartVerdict(found)

    def axle(self, axle: str, part: str) -> tuple[str, str | None]:
        (found,) = [
            each for each in self.document["axles"] if each["axle"] == axle and each["part"] == part
        ]
        return found["verdict"], found["grounds"]

    def world(self, axle: str, plan: str) -> Facts:
        """What would follow from one plan for an axle."""
        (found,) = [
            each
            for each in self.document["worlds"]
            if each["axle"] == axle and each["world"] == plan
        ]
        return dict(found)

    @property
    def required(self) -> list[tuple[str, str]]:
        """Corner and part of everything that is required."""
        return [
            (each["corner"], each["part"])
            for each in self.document["parts"]
            if each["grounds"] == "required"
        ]


_ON_FILE_ALREADY = 5
"""What a command ends with where what it was to put on file stands there."""


class Workshop:
    """One shop with its store."""

    def __init__(self, store: Address) -> None:
        self.store = place(store)
        self._runner = CliRunner()

    def copy(self, folder: Path) -> Workshop:
        """Return another shop with the same on file."""
        return Workshop(copied(self.store, folder / "shop.sqlite"))

    def beside(self, name: str) -> Workshop:
        """Return another shop with nothing on file, called like a file beside this one's."""
        return Workshop(self._folder / name)

    def copy_beside(self, name: str) -> Workshop:
        """Return another shop with the same on file, whatever that one had."""
        return Workshop(copied(self.store, self._folder / name))

    @property
    def _folder(self) -> Path:
        return self.store.parent if isinstance(self.store, Path) else Path(self.store.schema)

    @property
    def file(self) -> Path:
        """Its store, for tests that are about files."""
        assert isinstance(self.store, Path)
        return self.store

    def tries(self, *words: str, typed: str | bytes = "") -> Result:
        """Run one command; nothing but an exit may come out of it, never a traceback."""
        result = self._runner.invoke(build(), ["--store", str(self.store), *words], input=typed)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise AssertionError(f"traceback from {words}") from result.exception
        assert "Traceback" not in result.output
        return result

    def does(self, *words: str, typed: str | bytes = "") -> str:
        """Run one command that must succeed, and return what it prints."""
        result = self.tries(*words, typed=typed)
        assert result.exit_code == 0, f"{words}: {result.output}"
        return result.stdout

    def reads(self, *words: str) -> Any:
        """Run one command with ``--json``; what it prints is what its schema says."""
        document = json.loads(self.does(*words, "--json"))
        assert not (fault := fault_of(document)), fault
        return document

    # People, gauges, limits, vehicles

    def has_people(self) -> None:
        self.does("people", "add", "AM", "A. Mirren", "--role", "tech")

    def has_its_usual_gauges(self) -> None:
        """Micrometer and dial, a depth gauge for linings on the car, a drum gauge; all metric."""
        self.has_gauge("mic", "micrometer", "mm", "0.001 mm", "rotor", "--tips", "pointed")
        self.has_gauge("dial", "dial", "mm", "0.01 mm", "runout")
        self.has_gauge("depth", "depth", "mm", "0.1 mm", "pads shoes scoring")
        self.has_gauge("drums", "drum", "mm", "0.01 mm", "drum")

    def has_gauge(
        self, tag: str, kind: str, unit: str, resolution: str, used_for: str, *more: str
    ) -> None:
        self.does(
            *("gauge", "add", tag, "--kind", kind, "--unit", unit),
            *("--resolution", resolution, "--for", used_for, *more),
        )

    def has_limits(self, sheet: str, axle: str, *lines: str) -> None:
        """Put limits on a sheet: ``rotor-discard: 26.0 mm (0.87 in), at or below``.

        The second figure and the failing condition may be missing.
        """
        begun = self.tries("limits", "sheet", sheet)
        assert begun.exit_code in (0, _ON_FILE_ALREADY), begun.output
        for line in lines:
            kind, _, rest = line.partition(": ")
            figures, _, out_when = rest.partition(", ")
            first, _, second = figures.partition(" (")
            words = ["limits", "add", sheet, axle, kind, first]
            words += [second.rstrip(")")] if second else []
            words += ["--source", "service page 4"]
            words += ["--out-when", out_when] if out_when else []
            self.does(*words)

    def limit_id(self, name: str, kind: str, *, cast: bool = False) -> str:
        (found,) = [
            limit["id"]
            for limit in self.reads("limits", "show", name)["limits"]
            if limit["kind"] == kind and (limit["corner"] is not None) == cast
        ]
        return str(found)

    def has_vehicle(self, tag: str, *options: str) -> None:
        self.does("vehicle", "add", tag, *options)

    # At the car

    def measures(self, tag: str, odometer: str, lines: str, *options: str, day: str = DAY) -> str:
        words = ("measure", tag, "--odometer", odometer, "--date", day, *options)
        return self.does(*words, typed=lines)

    def fits(self, tag: str, corner: str, part: str, *options: str, day: str = DAY) -> str:
        return self.does("fit", tag, corner, part, "new", "--date", day, *options)

    # At the counter

    def verdict(self, tag: str, *options: str) -> Verdict:
        return Verdict(self.reads("verdict", tag, *options))

    def counter_sheet(self, tag: str, *options: str) -> str:
        """The sheet that the service writer reads from, as one line without breaks."""
        return " ".join(self.does("verdict", tag, *options).split())

    def customer_text(self, tag: str, *options: str) -> str:
        """The customer's summary, as one line without breaks."""
        return " ".join(self.does("summary", tag, "--text", *options).split())

    def customer_page(self, tag: str) -> str:
        return self.does("summary", tag, "--out", "-")

    # What is on file

    def counts(self) -> dict[str, int]:
        return dict(self.reads("store", "where")["rows"])

    def everything_on_file(self) -> list[str]:
        """Every row of every table, read past the program; empty where there is no store."""
        return rows_at(self.store)


def km(life: Facts, key: str) -> float:
    """Return one distance of a life. [km]"""
    return float(life[key])


def eight_points(least: str, variation: str) -> str:
    """Return a full row of eight points with that minimum and that variation, three decimals."""
    low = round(float(least) * 1000)
    rise = round(float(variation) * 1000)
    steps: Sequence[int] = (
        rise // 2,
        rise,
        rise // 2,
        rise // 3,
        rise // 4,
        0,
        rise // 4,
        rise // 3,
    )
    return " ".join(f"{(low + step) / 1000:.3f}" for step in steps)
