"""The card for the bay: printed, filled in by hand, and typed in afterwards from top to bottom."""

from __future__ import annotations

import html
import json
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest

from brakelog.intake.outcome import Accepted, Blank, CornerReady
from brakelog.lengths import LengthUnit
from brakelog.record.finding import FindingKind
from brakelog.record.reading import ReadingSet
from brakelog.reports.bay_card import DUST, ELECTRIC, HOT, MAYBE_ELECTRIC, SUPPORT
from brakelog.reports.plain import WIDTH
from brakelog.store.opening import open_store
from brakelog.workshop.guiding import GuidedVisit
from brakelog.workshop.visiting import VisitTyped
from tests.acceptance.workshop import DAY, Workshop

REFUSED, NOT_FOUND, CONFLICT = 3, 4, 5
TAG, OWNER, COMPLAINT = "STILT-8", "Fenwick Aldous-Pryce", "it sings at night"
BY_HAND = {
    "rotor": [f"24.10{n}" for n in range(1, 10)],
    "runout": ["0.02"],
    "scoring": ["0.1"],
    "pad-in": ["6.4", "6.2"],
    "pad-out": ["6.6", "6.5"],
    "drum-open": ["200.10", "200.12"],
    "drum-closed": ["200.08", "200.09"],
    "shoe-lead": ["3.4", "3.2"],
    "shoe-trail": ["3.6", "3.5"],
}
"""What is written into the blanks of each quantity, wherever it is asked for."""
BESIDE = {"again": "24.102", "nuts": "5/5", "bearing": "yes", "back": "yes", "lip": "no"}


@pytest.fixture(scope="module")
def furnished_shop(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A shop with a disc/drum car that was there before, and its owner."""
    shop = equipped_shop()
    shop.has_limits(
        *("stilt", "front", "rotor-discard: 22.0 mm (0.866 in), below", "variation: 0.015 mm"),
        *("runout: 0.05 mm, above", "pad-minimum: 2.0 mm, at or below"),
    )
    shop.has_limits("stilt", "rear", "drum-discard: 201.0 mm (7.79 in), above")
    shop.does("limits", "trait", "stilt", "front", "fasteners", "5")
    shop.has_vehicle(
        *(TAG, "--brakes", "disc/drum", "--sheet", "stilt", "--plate", "QX 118"),
        *("--description", "Marl Corbie 1.3, ochre", "--customer", OWNER),
    )
    lines = "LF pad-in 7.1 7.0\nLF rotor 24.3 24.301 24.302 24.301\nLR shoe-lead 3.9 3.8"
    shop.measures(TAG, "62400 km", lines, "--complaint", COMPLAINT, day="2025-03-01")
    return shop


@pytest.fixture
def shop(furnished_shop: Workshop, tmp_path: Path) -> Workshop:
    return furnished_shop.copy(tmp_path)


def page_of(shop: Workshop, *options: str, tag: str = TAG) -> str:
    return shop.does("measure", tag, "--sheet", "--out", "-", *options)


def text_of(shop: Workshop, *options: str, tag: str = TAG) -> str:
    return shop.does("measure", tag, "--sheet", "--text", *options)


def joined(text: str) -> str:
    return " ".join(text.split())


# The order, and typing it in


def blanks_of_page(page: str) -> Iterator[tuple[str, str]]:
    """Yield corner and key of every blank, from top to bottom."""
    corner = ""
    for found in re.finditer(r'<h2>(\w+)</h2>|data-key="([^"]+)"', page):
        corner = found[1] or corner
        if found[2]:
            yield corner, found[2]


def by_hand(key: str) -> str:
    word, _, what = key.partition(":")
    if word == "finding":
        return ""
    if word == "looked-over":
        return "y"
    return BY_HAND[word][int(what) - 1] if what.isdecimal() else BESIDE[what]


ROW = re.compile(r"^  (?P<corner>[LR]\w) (?P<word>[a-z-]+): .*\n(?P<rest>(?:^    .*\n)+)", re.M)


def lines_of_text(text: str) -> Iterator[str]:
    """Fill in the blanks of the text card, and yield what stands there as typed lines."""
    for row in ROW.finditer(text):
        values = iter(BY_HAND[row["word"]])
        words = []
        blanks = joined(row["rest"].split("[ ]")[0].split("last ")[0].split("not read")[0])
        for caption in re.split(r"_{8} ?|____ / \S+ ?|yes / no ?", blanks)[:-1]:
            name = caption.removesuffix(": ").rpartition(". ")[2].partition(":")[0]
            words.append(f"{name}={BESIDE[name]}" if name in BESIDE else next(values))
        assert next(values, None) is None, row["word"]
        yield " ".join((row["corner"], row["word"], *words))


def on_file(shop: Workshop) -> list[tuple[object, ...]]:
    """What the readings of the newest visit say, and what was looked over."""
    with open_store(shop.store) as store:
        (vehicle,) = store.vehicles()
        visit = store.visits_of(vehicle.id)[-1]
        sets = store.reading_sets_of_visit(visit.id)
    return [*map(said, sets), tuple(sorted(corner.code for corner in visit.looked_over))]


def said(each: ReadingSet) -> tuple[object, ...]:
    return (
        *(each.corner.code, each.quantity.value, each.typed, each.unit, each.again_typed),
        *(each.fasteners_fitted, each.fasteners_of, each.bearing_checked),
        *(each.returned_to_start, each.lip, each.datum, each.gauge_id, each.stage),
    )


def test_the_card_is_typed_from_top_to_bottom_at_the_prompts_and_as_lines(
    shop: Workshop, tmp_path: Path
) -> None:
    (tmp_path / "other").mkdir()
    other = shop.copy(tmp_path / "other")
    card = list(blanks_of_page(page_of(shop)))
    lines = list(lines_of_text(text_of(shop)))
    typed = VisitTyped(day=date.fromisoformat(DAY), odometer="63000 km")

    with open_store(shop.store) as store:
        session = GuidedVisit(store, TAG, typed, unit=LengthUnit.MM)
        for corner, key in card:
            question = session.question
            assert question is not None
            assert (question.corner.code, question.key) == (corner, key)
            outcome = session.answer(by_hand(key))
            assert isinstance(outcome, Accepted | Blank), (key, outcome)
            if key == "looked-over":
                assert isinstance(session.answer(""), CornerReady)
        assert session.question is None
    seen = [f"{corner} looked-over" for corner in ("LF", "RF", "RR", "LR")]
    other.measures(TAG, "63000 km", "\n".join((*lines, *seen)), "--unit", "mm")

    assert len(lines) == 20
    assert lines[0] == "LF pad-in 6.4 6.2"
    assert lines[3] == "LF runout 0.02 nuts=5/5 bearing=yes back=yes"
    assert on_file(shop) == on_file(other)


def test_the_page_and_the_text_have_the_same_blanks(shop: Workshop) -> None:
    without_gauges = shop.beside("bare.sqlite")
    without_gauges.has_vehicle(TAG, "--brakes", "drum/disc")
    page, text = page_of(without_gauges), text_of(without_gauges)
    wanted = [key for _, key in blanks_of_page(page) if key not in ("finding:1", "looked-over")]

    assert sum(key.endswith(":lip") for key in wanted) == 2
    assert sum(len(line.split()) - 2 for line in lines_of_text(text)) == len(wanted)


def test_the_commands_on_the_card_work(shop: Workshop, tmp_path: Path) -> None:
    told = joined(text_of(shop))
    lines = tmp_path / "lines.txt"
    lines.write_text("\n".join(lines_of_text(text_of(shop))), encoding="utf-8")
    visit = f'brakelog measure {TAG} --date ____-__-__ --odometer "________ km" --by ____'

    assert visit in told
    assert "the same with --lines FILE --unit mm" in told
    shop.does(
        *("measure", TAG, "--date", DAY, "--odometer", "63000 km", "--by", "AM"),
        *("--lines", str(lines), "--unit", "mm"),
    )
    assert f'brakelog limits cast {TAG} CORNER rotor-discard "____ mm"' in told
    shop.does("limits", "cast", TAG, "LF", "rotor-discard", "22.0 mm")


# What stands beside the blanks


def test_limits_last_readings_and_what_is_missing_stand_at_their_corner(shop: Workshop) -> None:
    bands = re.split(r"\n\n(?=[LR][FR], )", text_of(shop))
    left_front, right_rear = joined(bands[1]), joined(bands[3])

    assert [band.split(",")[0] for band in bands[1:]] == ["LF", "RF", "RR", "LR"]
    for words in (
        "last 7.1 / 7.0 mm, 2025-03-01 minimum lining: out when at or below 2.0 mm [1]",
        "last lowest of 4 points 24.3 mm, 2025-03-01",
        "discard: out when below 22.0 mm (0.866 in) [1]",
        "thickness variation: out when at or above* 0.015 mm [1]",
        "stamped on the part: ________ mm",
        "nuts: fasteners fitted: ____ / 5",
        "scoring depth: no limit on file",
    ):
        assert words in left_front
    assert "discard: 201.0 mm (7.79 in) [1] contradicts itself, decides nothing" in right_rear
    assert "minimum lining: no limit on file from service information: ________ mm" in right_rear
    assert "[1] service page 4" in bands[-1]
    assert "* not stated by the source" in bands[-1]


def test_the_page_says_what_the_text_says(shop: Workshop) -> None:
    page = joined(html.unescape(re.sub(r"<[^>]+>", " ", page_of(shop))))

    for words in (
        *("Marl Corbie 1.3, ochre", "plate QX 118", "last 62,400 km on 2025-03-01"),
        "pad-in: last 7.1 / 7.0 mm, 2025-03-01",
        "minimum lining: out when at or below 2.0 mm [1]",
        "contradicts itself, decides nothing until somebody confirms one figure",
        *("no limit on file", "stamped on the part, mm:", "/ 5", "[1] service page 4"),
    ):
        assert words in page


def test_every_finding_that_can_be_made_has_its_word_and_no_other(shop: Workshop) -> None:
    for card in (text_of(shop), page_of(shop)):
        for kind in FindingKind:
            only_disc = kind in (FindingKind.STUCK_SLIDE, FindingKind.VANE_RUST)
            ticks = re.findall(rf'(?:\[ \] |class="tick"></i>){kind.value}\b(?!-)', card)
            assert len(ticks) == (2 if only_disc else 4), kind


def test_nothing_of_the_customer_is_on_the_card(shop: Workshop) -> None:
    for card in (page_of(shop), text_of(shop)):
        assert not re.search(rf"{OWNER}|Fenwick|Aldous|{COMPLAINT}", joined(card), re.I)


def test_a_new_part_and_a_question_stand_beside_the_last_reading(shop: Workshop) -> None:
    turn_off = "RF rotor 24.301 24.302 24.801 24.300 24.301 24.302 24.301 24.300\n"
    shop.measures(TAG, "62500 km", turn_off, day="2025-04-01")
    shop.fits(TAG, "LF", "pads", "--size", "11.0 mm", "--odometer", "62500 km", day="2025-04-01")
    told = joined(text_of(shop))

    assert "last 7.1 / 7.0 mm, 2025-03-01; since then new 2025-04-01, 11.0 mm" in told
    assert "last lowest of 8 points 24.300 mm, 2025-04-01, in question" in told
    assert told.count("in question") == 1


def test_inches_where_inches_are_declared(shop: Workshop) -> None:
    bare = shop.beside("inches.sqlite")
    bare.has_vehicle(TAG, "--brakes", "disc")
    told = joined(text_of(bare, "--unit", "in"))

    assert "LF pad-in: inner pad lining, in inch" in told
    assert "stamped on the part: ________ inch" in told
    assert "--by ____ --unit in Or from a file" in told


def test_as_left_and_chosen_corners_are_in_the_commands(shop: Workshop) -> None:
    page, told = (
        page_of(shop, "--corner", "rf", "--as-left"),
        joined(text_of(shop, "--corner", "RF", "--as-left")),
    )

    assert {corner for corner, _ in blanks_of_page(page)} == {"RF"}
    assert "--by ____ --as-left --corner RF" in told
    assert "the same, without --corner, with" in told
    assert f"Bay card of {TAG}, as left" in told


# Cautions: each once, where the hand is


@pytest.mark.parametrize(
    ("said", "brakes", "wanted"),
    [
        (None, "disc/disc", {MAYBE_ELECTRIC}),
        ("electric", "disc/disc", {ELECTRIC}),
        ("cable", "disc/disc", set()),
        ("drum-in-hat", "disc/disc", set()),
        (None, "disc/drum", set()),
    ],
)
def test_each_caution_is_said_once(
    shop: Workshop, said: str | None, brakes: str, wanted: set[str]
) -> None:
    if said:
        shop.does("limits", "trait", "stilt", "rear", "parking-brake", said)
    shop.has_vehicle("REEVE", "--brakes", brakes, "--sheet", "stilt")
    every = {SUPPORT, DUST, HOT, ELECTRIC, MAYBE_ELECTRIC}
    for card in (text_of(shop, tag="REEVE"), html.unescape(page_of(shop, tag="REEVE"))):
        counts = {each: joined(card).count(each) for each in every}
        assert {each for each, count in counts.items() if count} == {SUPPORT, DUST, HOT, *wanted}
        assert set(counts.values()) <= {0, 1}
        assert joined(card).count("the vehicle is not driven") == 1
        for caution in wanted:
            assert joined(card).index("rear right") < joined(card).index(caution)


# Files, refusals, and names that are only names


def test_a_card_is_written_to_a_file_of_its_own_and_never_over_one(
    shop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    said = shop.does("measure", TAG, "--sheet")
    (written,) = tmp_path.glob("bay-card-*.html")
    before = written.read_bytes()
    written.write_bytes(before + b"\n")
    again = shop.tries("measure", TAG, "--sheet")

    assert said == f"written to {written.name}\n"
    assert re.fullmatch(r"bay-card-STILT-8-\d{4}-\d\d-\d\d-as-found\.html", written.name)
    assert again.exit_code == CONFLICT
    assert "hint: --replace writes over it, --out names another" in again.stderr
    assert written.read_bytes() == before + b"\n"
    shop.does("measure", TAG, "--sheet", "--replace")
    assert written.read_bytes() == before
    shop.does("measure", TAG, "--sheet", "--text", "--out", "card.txt")
    assert (tmp_path / "card.txt").read_text(encoding="utf-8").startswith("Bay card of STILT-8")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((TAG, "--sheet", "--odometer", "1 km"), REFUSED, "--odometer is not for a blank card"),
        ((TAG, "--sheet", "--date", DAY), REFUSED, "--date is not for a blank card"),
        ((TAG, "--sheet", "--lines", "x.txt"), REFUSED, "--lines is not for a blank card"),
        ((TAG, "--sheet", "--complaint", "hums"), REFUSED, "--complaint is not for a blank card"),
        ((TAG, "--text"), REFUSED, "--text is for the card"),
        ((TAG, "--replace"), REFUSED, "--replace is for the card"),
        ((TAG, "--out", "x.html"), REFUSED, "--out is for the card"),
        ((TAG, "--sheet", "--corner", "L3"), REFUSED, "STILT-8 has no corner L3"),
        ((TAG, "--sheet", "--corner", "front"), REFUSED, "'front' is not a corner"),
        (("NOBODY", "--sheet"), NOT_FOUND, "no vehicle goes by 'NOBODY'"),
    ],
)
def test_what_does_not_go_with_a_card_is_refused(
    shop: Workshop, words: tuple[str, ...], code: int, said: str
) -> None:
    before = shop.everything_on_file()
    result = shop.tries("measure", *words, typed="LF pad-in 3.2\n")

    assert (result.exit_code, result.stdout) == (code, "")
    assert f"error: {said}" in result.stderr
    assert shop.everything_on_file() == before


def test_a_card_puts_nothing_on_file(shop: Workshop) -> None:
    before = shop.everything_on_file()
    page_of(shop)
    text_of(shop)

    assert shop.everything_on_file() == before


TURNING = "\u202e\u2066"
HOSTILE = [
    "<script>alert(1)</script>",
    "[/red] [bold]",
    "\"'&quot; {{ 7*7 }} {% raw %}",
    f"{TURNING[0]}nrut {TURNING[1]}",
    "مرحبا שלום",
    "🛠️👩\u200d🔧",
    "w" * 64,
]


@pytest.mark.parametrize("name", HOSTILE)
def test_names_from_the_record_are_text(tmp_path: Path, name: str) -> None:
    shop = Workshop(tmp_path / "hostile.sqlite")
    long = (f"{name} " * 300)[:300].strip()
    shop.has_gauge(name, "micrometer", "mm", "0.001 mm", "rotor")
    shop.does("limits", "sheet", name)
    shop.does(
        *("limits", "add", name, "front", "rotor-discard", "22.0 mm"),
        *("--source", f"page 4 {long}"[:300].strip()),
    )
    shop.has_vehicle(
        *(name, "--brakes", "disc/disc", "--sheet", name),
        *("--description", long, "--plate", name),
    )
    page, text = page_of(shop, tag=name), text_of(shop, tag=name)
    told = "".join("\ufffd" if sign in TURNING else sign for sign in name)
    rows = html.unescape(page)

    for words in (told, f"plate {told}", f"limits of {told}", f"{told}</bdi>, or", "[1] page 4"):
        assert words in rows
    assert joined(f"plate {told}") in joined(text)
    assert "<script" not in page
    assert not set(TURNING) & set(page + text)
    assert max(map(len, text.splitlines())) <= WIDTH


def test_a_tag_that_no_shell_takes_is_not_part_of_a_command(tmp_path: Path) -> None:
    shop = Workshop(tmp_path / "tags.sqlite")
    for tag, typed in (("AB 1", '"AB 1"'), ("$(AB)", "VEHICLE"), ("é-1", "é-1")):
        shop.has_vehicle(tag, "--brakes", "disc")
        assert f"brakelog measure {typed} --date" in text_of(shop, tag=tag)


def test_the_page_loads_nothing_and_runs_nothing(shop: Workshop) -> None:
    page = page_of(shop)

    assert not re.search(r"<script|<link|<img|<iframe|\bsrc=|\bhref=|url\(|@import|\bon\w+=", page)


def test_lines_of_the_text_fit_a_narrow_printer(shop: Workshop) -> None:
    for options in ((), ("--corner", "LR"), ("--as-left", "--unit", "in")):
        assert max(map(len, text_of(shop, *options).splitlines())) <= WIDTH


# Start-up

_SPY = """
import json, sys
from brakelog.cli.main import main
try:
    main()
except SystemExit as done:
    assert done.code in (0, None), done.code
sys.stderr.write("\\nLOADED " + json.dumps(sorted(sys.modules)))
"""
OF_THE_CARD = re.compile(r"brakelog\..*(bay_card|paper|card_file)|jinja2$")


def loaded_by(shop: Workshop, *words: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", _SPY, "--store", str(shop.store), "measure", TAG, *words],
        input="RF pad-in 5.1 5.0\n",
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return {m for m in json.loads(done.stderr.rpartition("LOADED ")[2]) if OF_THE_CARD.match(m)}


def test_only_a_card_loads_what_a_card_needs(shop: Workshop) -> None:
    assert not loaded_by(shop, "--date", DAY, "--odometer", "63000 km")
    text = loaded_by(shop, "--sheet", "--text")
    assert "brakelog.reports.bay_card" in text
    assert "jinja2" not in text
