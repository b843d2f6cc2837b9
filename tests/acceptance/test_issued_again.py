"""A verdict as it was issued: given again byte for byte, whatever has changed since."""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, Workshop, eight_points

TAG = "FINCH"
GIVE_UP_S = 60
"""So that a program that says nothing fails the test instead of holding it."""
LINES = "".join(
    f"{corner} rotor {eight_points(least, '0.007')}\n{corner} runout 0.02 nuts=5/5 bearing=ok\n"
    f"{corner} pad-in 8.2 8.0\n{corner} pad-out 8.5 8.4\n{corner} looked-over\n"
    for corner, least in (("LF", "27.400"), ("RF", "27.421"))
)


@pytest.fixture(scope="module")
def judged_finch(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A car that was measured, not judged yet; its lower limit is 2.0 mm of lining."""
    shop = equipped_shop()
    shop.has_limits(
        *("thrush 1.2", "front", "rotor-new: 28.0 mm", "rotor-discard: 26.0 mm, at or below"),
        *("variation: 0.015 mm, above", "runout: 0.05 mm, above", "pad-new: 11.0 mm"),
        "pad-minimum: 2.0 mm, below",
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "thrush 1.2")
    shop.measures(TAG, "60000 km", LINES, "--complaint", "squeals")
    return shop


@pytest.fixture
def finch(judged_finch: Workshop, tmp_path: Path) -> Workshop:
    return judged_finch.copy(tmp_path)


def new_limits(shop: Workshop) -> None:
    for kind, figure in (("pad-minimum", "3.5 mm"), ("rotor-discard", "27.6 mm")):
        shop.does("limits", "change", shop.limit_id("thrush 1.2", kind), figure, "--why", "recall")


def other_settings(shop: Workshop) -> None:
    shop.does("shop", "change", "--probability", "0.99", "--next-visit", "40000 km", "--unit", "in")
    shop.does("shop", "change", "--name", "Northgate Garage")


def another_reading(shop: Workshop) -> None:
    (entry,) = [
        each
        for each in shop.reads("amend", "list", TAG)["entries"]
        if (each["corner"], each.get("quantity")) == ("LF", "pad-in")
    ]
    shop.does("amend", "set", entry["id"], "1.8", "1.6", "--why", "read upside down", "--by", "AM")


def another_odometer(shop: Workshop) -> None:
    shop.does("amend", "odometer", TAG, DAY, "66000 km", "--why", "digits", "--by", "AM")


def another_gauge(shop: Workshop) -> None:
    shop.does("gauge", "change", "mic", "--tips", "flat", "--checked", "2020-01-01", "--every", "1")
    shop.has_gauge("bench", "calliper", "mm", "0.01 mm", "")


def another_name(shop: Workshop) -> None:
    shop.does("vehicle", "change", TAG, "--tag", "ROOK", "--description", "another car")
    shop.does("vehicle", "change", "ROOK", "--tag", TAG)
    shop.does("people", "change", "AM", "--name", "Somebody Else")


def more_findings(shop: Workshop) -> None:
    shop.does("measure", TAG, "--date", DAY, typed="LF finding crack through to the edge\n")


def work_declined(shop: Workshop) -> None:
    shop.does(
        *("decline", TAG, "front pads", "--who", "Ada Marsh", "--how", "phone"),
        *("--number", "555 0100", "--by", "AM"),
    )


CHANGES = (
    *(new_limits, other_settings, another_reading, another_odometer),
    *(another_gauge, another_name, more_findings, work_declined),
)


@pytest.mark.parametrize("changed", CHANGES)
def test_what_was_issued_is_given_again_byte_for_byte(
    finch: Workshop, changed: Callable[[Workshop], None]
) -> None:
    sheet, document = finch.does("verdict", TAG), finch.does("verdict", TAG, "--json")
    changed(finch)

    assert finch.does("verdict", TAG, "--as-of", DAY) == sheet
    assert finch.does("verdict", TAG, "--as-of", DAY, "--json") == document


def test_all_of_it_together_changes_the_new_verdict_and_not_the_old_one(finch: Workshop) -> None:
    sheet, document = finch.does("verdict", TAG), finch.does("verdict", TAG, "--json")
    for changed in CHANGES:
        changed(finch)
    assert finch.does("verdict", TAG, "--as-of", DAY) == sheet
    assert finch.does("verdict", TAG, "--as-of", DAY, "--json") == document

    new = finch.verdict(TAG, "--preview")
    assert new.part("LF", "pads").words == ("replace", "required")
    assert new.part("LF", "rotor").words == ("replace", "required")
    old = json.loads(document)
    assert {each["verdict"] for each in old["parts"]} == {"reuse"}
    assert new.document["policy"]["digest"] != old["policy"]["digest"]


def test_asking_for_it_again_puts_nothing_on_record(finch: Workshop) -> None:
    finch.does("verdict", TAG)
    before = finch.everything_on_file()
    finch.does("verdict", TAG, "--as-of", DAY)
    finch.does("verdict", TAG, "--as-of", DAY, "--json")

    assert finch.everything_on_file() == before


def test_a_verdict_that_was_only_looked_at_was_not_issued(finch: Workshop) -> None:
    finch.does("verdict", TAG, "--preview")
    result = finch.tries("verdict", TAG, "--as-of", DAY)

    assert result.exit_code == 4
    assert f"no verdict was issued for {TAG} on {DAY}" in result.stderr
    assert f"hint: brakelog verdict {TAG} --visit {DAY}" in result.stderr


def test_the_one_that_was_issued_last_is_given_and_the_earlier_one_is_kept(
    finch: Workshop,
) -> None:
    first = finch.does("verdict", TAG)
    new_limits(finch)
    second = finch.does("verdict", TAG)

    assert first != second
    assert finch.does("verdict", TAG, "--as-of", DAY) == second
    assert finch.counts()["verdicts"] == 2


def shown_at_a_terminal(shop: Workshop, columns: int, *words: str) -> str:
    """What a terminal of that many columns shows, without colour."""
    pty = pytest.importorskip("pty", reason="a pseudo-terminal needs a POSIX system")
    near, far = pty.openpty()
    program = subprocess.Popen(
        [sys.executable, "-m", "brakelog.cli.main", "--store", str(shop.store), *words],
        stdin=subprocess.DEVNULL,
        stdout=far,
        env={**os.environ, "NO_COLOR": "1", "COLUMNS": str(columns)},
    )
    os.close(far)
    shown = b""
    try:
        while select.select([near], [], [], GIVE_UP_S)[0]:
            try:
                more = os.read(near, 4096)
            except OSError:
                break
            if not more:
                break
            shown += more
        assert program.wait(GIVE_UP_S) == 0
    finally:
        program.kill()
        program.wait()
        os.close(near)
    return shown.decode()


def test_the_sheet_is_kept_at_80_columns_however_wide_the_terminal_was(finch: Workshop) -> None:
    wide = shown_at_a_terminal(finch, 120, "verdict", TAG)
    again = finch.does("verdict", TAG, "--as-of", DAY)

    assert max(len(line) for line in wide.splitlines()) > 80
    assert max(len(line) for line in again.splitlines()) <= 80
    assert again.split() == wide.split()


def test_a_visit_is_named_by_its_day_or_id_and_the_stage_picks_one_of_two(
    finch: Workshop,
) -> None:
    found = finch.does("verdict", TAG, "--json")
    fitted = "".join(f"{corner} pad-in 11.0\n{corner} pad-out 10.9\n" for corner in ("LF", "RF"))
    for corner in ("LF", "RF"):
        finch.fits(TAG, corner, "pads", "--size", "11.0 mm")
    finch.does("measure", TAG, "--date", DAY, "--as-left", typed=fitted)
    left = finch.does("verdict", TAG, "--json")
    by_id = ("--as-of", json.loads(found)["visit"]["id"])

    assert json.loads(left)["visit"]["stage"] == "as left"
    assert finch.does("verdict", TAG, *by_id, "--stage", "as-found", "--json") == found
    assert finch.does("verdict", TAG, *by_id, "--stage", "as-left", "--json") == left
    assert finch.does("verdict", TAG, "--as-of", DAY, "--json") == left


@pytest.mark.parametrize(
    "words", [("--as-of", DAY, "--visit", DAY), ("--as-of", DAY, "--all", "--json")]
)
def test_options_that_do_not_go_together_are_refused(
    finch: Workshop, words: tuple[str, ...]
) -> None:
    assert finch.tries("verdict", TAG, *words).exit_code == 2


def test_an_unknown_day_has_no_verdict(finch: Workshop) -> None:
    finch.does("verdict", TAG)

    assert finch.tries("verdict", TAG, "--as-of", "2020-01-01").exit_code == 4
