"""A store as a workshop has it, to be damaged, cut short and killed over."""

from __future__ import annotations

import random
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from unittest.mock import patch

from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.workshop.demo import run_demo

TODAY = date(2026, 11, 28)
"""After the last visit of the demo workshop."""
CAR = "CURLEW-1"
"""A vehicle that no visit of the demo is of."""
DISCS = (
    "{corner} rotor 27.40 27.41 27.40 27.41 lip=no\n"
    "{corner} pad-in 6.2 6.0\n{corner} pad-out 6.5 6.4\n"
)


def lines_of(*corners: str) -> str:
    """Return typed lines of corners with discs."""
    return "".join(DISCS.format(corner=corner) for corner in corners)


def run(store: Path, *words: str, typed: str = "") -> str:
    """Run one command that must succeed."""
    done = CliRunner().invoke(build(), ["--store", str(store), *words], input=typed)
    assert done.exit_code == 0, (words, done.output)
    return done.stdout


def full_store(folder: Path) -> Path:
    """Return a new store: the demo workshop, a job in it, issued verdicts, and what it learned.

    What is random in its ids is the same at every run, and they are made in the same order, so that
    a place in the file holds the same thing.
    """
    draw = random.Random(0)
    with patch("os.urandom", draw.randbytes):
        return _filled(folder)


def _filled(folder: Path) -> Path:
    store = run_demo(folder / "demo", TODAY).store
    day = ("--date", "2026-11-27")
    run(store, "people", "add", "MK", "Maro Kestel")
    run(store, "limits", "sheet", "CURLEW")
    source = ("--source", "page 4", "--out-when", "below")
    run(store, "limits", "add", "CURLEW", "front", "rotor-discard", "26.0 mm", *source)
    run(store, "limits", "add", "CURLEW", "front", "pad-minimum", "2.0 mm", *source)
    run(store, "vehicle", "add", CAR, "--brakes", "disc", "--sheet", "CURLEW", "--plate", "CU 1")
    typed = lines_of("LF", "RF")
    run(store, "measure", CAR, "--odometer", "62400 km", "--unit", "mm", *day, typed=typed)
    run(store, "fit", CAR, "LF", "pads", "new", "--size", "11 mm", *day)
    run(store, "fit", CAR, "RF", "pads", "new", "--size", "11 mm", *day)
    run(store, "shop", "change", "--next-visit", "15000 km")
    for tag in (CAR, "HERON-4", "SNIPE-9"):
        run(store, "verdict", tag)
    run(store, "due", "--json")
    return store


SHOP_VEHICLES, SHOP_VISITS = 120, 4
"""Vehicles of a small workshop, and how often each of them came."""


def shop_store(folder: Path) -> Path:
    """Return a new store as a workshop has it after some years, compacted by ``VACUUM``.

    The full store, and in it two sheets: vehicles, and their readings at the front axle.
    """
    draw = random.Random(1)
    with patch("os.urandom", draw.randbytes):
        store = _filled(folder)
        for name, lines in (("vehicles", _vehicle_rows()), ("readings", _reading_rows(draw))):
            sheet = folder / f"{name}.csv"
            sheet.write_text("\n".join(lines) + "\n", encoding="utf-8")
            run(store, "import", str(sheet))
        run(store, "due", "--json")
    with closing(sqlite3.connect(store)) as raw:
        raw.execute("VACUUM")
    return store


def _vehicle_rows() -> Iterator[str]:
    yield "tag,description,brakes,odometer_unit,sheet,plate"
    for number in range(SHOP_VEHICLES):
        yield f"SHOP-{number},one of many,disc/disc,km,Alder 1.8,SH {number} K"


def _reading_rows(draw: random.Random) -> Iterator[str]:
    yield "vehicle,date,odometer,corner,quantity,values,again,unit,gauge"
    for number in range(SHOP_VEHICLES):
        for visit in range(SHOP_VISITS):
            day = date(2022, 1, 10) + timedelta(days=350 * visit + number)
            start = f"SHOP-{number},{day},{20_000 + 14_000 * visit + 10 * number}"
            for corner in ("LF", "RF"):
                rotor = [26 - 0.2 * visit + draw.randrange(8) / 1000 for _ in range(8)]
                again = f"{rotor[0] + draw.randrange(3) / 1000:.3f}"
                values = " ".join(f"{value:.3f}" for value in rotor)
                yield f"{start},{corner},rotor,{values},{again},mm,M1"
                for pad in ("pad-in", "pad-out"):
                    left = 11 - 2.2 * visit + draw.randrange(4) / 10
                    yield f"{start},{corner},{pad},{left:.1f} {left + 0.1:.1f},,mm,"


def small_store(store: Path) -> Path:
    """Return a new store with one vehicle, measured at one corner, and new pads there."""
    store.parent.mkdir(parents=True, exist_ok=True)
    store.write_bytes(_small())
    return store


@cache
def _small() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        store = Path(folder) / "s.sqlite"
        day = ("--date", "2026-11-27")
        gauge = ("--kind", "micrometer", "--unit", "mm", "--resolution", "0.001 mm")
        run(store, "people", "add", "MK", "Maro Kestel")
        run(store, "gauge", "add", "M1", *gauge, "--for", "rotor pads")
        run(store, "vehicle", "add", CAR, "--brakes", "disc")
        typed = lines_of("LF")
        run(store, "measure", CAR, "--odometer", "62400 km", "--unit", "mm", *day, typed=typed)
        run(store, "fit", CAR, "LF", "pads", "new", "--size", "11 mm", *day)
        return store.read_bytes()


def with_bit(content: bytes, place: int, bit: int) -> bytes:
    """Return some bytes with one bit the other way round."""
    changed = bytearray(content)
    changed[place] ^= 1 << bit
    return bytes(changed)


def chance(seed: int, what: str) -> random.Random:
    """Return a source of chance that is the same for the same round on every machine."""
    return random.Random(f"{what} {seed}")
