"""The bay card on paper: one sheet for a usual car, on A4 and on Letter, in black and white."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.acceptance.workshop import DAY, Workshop
from tests.pages.chromium import need_chromium
from tests.pages.printing import print_page

FRONT = (
    *("rotor-new: 26.0 mm (1.024 in)", "rotor-machine-to: 24.2 mm (0.953 in), below"),
    *("rotor-discard: 23.8 mm (0.937 in), at or below", "variation: 0.015 mm (0.0006 in), above"),
    *("runout: 0.05 mm (0.0020 in), above", "scoring: 0.50 mm (0.020 in)"),
    "pad-minimum: 1.5 mm (0.059 in), below",
)
REAR_DRUM = (
    *("drum-machine-to: 200.8 mm (7.906 in), above", "drum-discard: 201.0 mm (7.913 in), above"),
    *("out-of-round: 0.10 mm (0.004 in), above", "bell-mouth: 0.10 mm (0.004 in)"),
    *("scoring: 0.50 mm (0.020 in), above", "shoe-minimum: 1.0 mm (0.039 in), below"),
)
READ_ON = {
    "disc": (
        "pad-in 6.4 6.2\n{c} pad-out 6.6 6.5\n{c} runout 0.02 nuts=5/5 bearing=ok back=yes\n"
        "{c} rotor 25.101 25.102 25.103 25.104 25.105 25.104 25.103 25.102 25.101\n"
        "{c} scoring 0.1"
    ),
    "drum": (
        "drum-open 200.10 200.12\n{c} drum-closed 200.08 200.09\n{c} shoe-lead 3.4 3.2\n"
        "{c} shoe-trail 3.6 3.5\n{c} scoring 0.1"
    ),
}
A4_PT, LETTER_PT = (595, 842), (612, 792)
"""Sizes of the sheets: 210 x 297 mm and 8.5 x 11 in, in points of 1/72 in. [pt]"""


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], str]:
    """Gives the card of a car that was measured all round, with every limit on file or none."""
    need_chromium()
    shop = Workshop(tmp_path_factory.mktemp("print") / "shop.sqlite")
    shop.has_limits("whinchat", "front", *FRONT)
    shop.has_limits("whinchat-disc", "front", *FRONT)
    shop.has_limits("whinchat-disc", "rear", *FRONT)
    shop.has_limits("whinchat", "rear", *REAR_DRUM)

    def card(brakes: str, on_file: str) -> str:
        tag = f"WHIN-{brakes.replace('/', '-')}-{on_file}"
        options = ["--brakes", brakes, "--plate", "QX 118", "--description", "Marl Corbie 1.3"]
        if on_file == "all":
            sheet = "whinchat-disc" if brakes == "disc/disc" else "whinchat"
            options += ["--sheet", sheet]
        shop.has_vehicle(tag, *options)
        if on_file == "all":
            axles = dict(zip("FR", brakes.split("/"), strict=True))
            lines = "\n".join(
                f"{corner} {READ_ON[axles[corner[1]]].format(c=corner)}"
                for corner in ("LF", "RF", "RR", "LR")
            )
            shop.measures(tag, "62400 km", lines, "--unit", "mm", day=DAY)
        return shop.does("measure", tag, "--sheet", "--out", "-")

    return card


def test_without_a_browser_it_is_skipped_by_hand_and_fails_in_ci(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="not installed: chromium, pdfinfo"):
        need_chromium()
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="not installed"):
        need_chromium()


def test_a_coloured_page_would_be_noticed(browser: Browser, tmp_path: Path) -> None:
    page = "<html><head></head><body><p style='color: #D55E00'>Two</p><p>sheets"
    printed = print_page(browser, page, tmp_path, paper="A4", style="p { break-after: page }")

    assert printed.has_colour
    assert printed.sheets == 2
    assert "Two" in printed.text


@pytest.mark.parametrize("on_file", ["all", "nothing"])
@pytest.mark.parametrize("brakes", ["disc/disc", "disc/drum"])
def test_a_usual_car_takes_one_sheet_of_either_paper(
    cards: Callable[[str, str], str], browser: Browser, brakes: str, on_file: str, tmp_path: Path
) -> None:
    page = cards(brakes, on_file)
    for paper, size in (("A4", A4_PT), ("letter", LETTER_PT)):
        printed = print_page(browser, page, tmp_path, paper=paper)

        assert (printed.width_pt, printed.height_pt) == pytest.approx(size, abs=1)
        assert printed.sheets == 1, f"{brakes}, {on_file}, {paper}: look at {printed.picture()}"
        assert not printed.has_colour
        text = printed.text
        assert [text.count(corner) > 0 for corner in ("LF", "RF", "RR", "LR")] == [True] * 4
        assert "To put it on file" in text
