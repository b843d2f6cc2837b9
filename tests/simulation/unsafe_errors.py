"""How often a worn part is called ``reuse``, and a good one condemned, counted by simulation.

Run by hand: ``python tests/simulation/unsafe_errors.py --parts 20000`` prints the tables of
docs/explanation/unsafe-errors.md; with ``--write`` it keeps what was counted and writes them into
the page. That takes about half an hour, ten minutes of it for the slips alone. A smaller run
counts the first parts of a larger one.
"""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.simulation.counting import count_gauges, count_slips
from tests.simulation.counts import Counted, kept
from tests.simulation.tables import tables, with_tables

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "fixtures" / "simulation" / "unsafe-errors.json"
PAGE = ROOT / "docs" / "explanation" / "unsafe-errors.md"
PARTS = 20_000
HISTORY_PART, SLIP_PART = 4, 20
"""Parts for each gauge at a first visit, to those with a history, and to cases of each slip."""


def main() -> None:
    """Count, and print or write the tables."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--parts", type=int, default=PARTS, help="parts for each gauge")
    reader.add_argument("--only", choices=("gauges", "slips"), help="the other as it was kept")
    reader.add_argument("--write", action="store_true", help="keep them and write the page")
    asked = reader.parse_args()
    counted = count(asked.parts, only=asked.only)
    if asked.write:
        KEPT.parent.mkdir(exist_ok=True)
        text = json.dumps(counted.as_json(), indent=1)
        KEPT.write_text(text + "\n", encoding="utf-8", newline="\n")
        page = with_tables(PAGE.read_text(encoding="utf-8"), counted)
        PAGE.write_text(page, encoding="utf-8", newline="\n")
    for heading, table in tables(counted).items():
        print(f"### {heading}\n\n{table}\n")


def count(parts: int, *, only: str | None) -> Counted:
    """Count what is asked for; the rest is what was kept."""
    before = kept(json.loads(KEPT.read_text(encoding="utf-8"))) if only else None
    with_history, cases = parts // HISTORY_PART, parts // SLIP_PART
    if before is not None and only == "slips":
        return replace(before, cases=cases, slips=count_slips(cases, say=say))
    gauges = count_gauges(parts, with_history, say=say)
    if before is not None:
        return replace(before, parts=parts, with_history=with_history, gauges=gauges)
    return Counted(
        parts=parts,
        with_history=with_history,
        cases=cases,
        gauges=gauges,
        slips=count_slips(cases, say=say),
    )


def say(text: str) -> None:
    """Tell what is done, beside what is printed."""
    print(text, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
