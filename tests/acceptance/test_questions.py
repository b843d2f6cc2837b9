"""What readings ask about themselves: at entry, in the verdict, and until somebody has answered."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import Facts, PartVerdict, Workshop, eight_points

TAG = "FINCH"
LEFT, RIGHT = eight_points("27.400", "0.007"), eight_points("27.421", "0.006")
EVEN = " ".join(["27.400"] * 8)


@pytest.fixture(scope="module")
def shop_with_finch(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A car with one disc axle, and a shop whose rotor micrometer has pointed tips."""
    shop = equipped_shop()
    shop.has_limits(
        *("thrush 1.2", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "thrush 1.2")
    return shop


@pytest.fixture
def finch(shop_with_finch: Workshop, tmp_path: Path) -> Workshop:
    return shop_with_finch.copy(tmp_path)


def lines(left: str = LEFT, right: str = RIGHT, *, pads: str = "8.2 8.0") -> str:
    return "".join(
        f"{corner} rotor {rotor}\n{corner} pad-in {pads}\n{corner} pad-out 8.5 8.4\n"
        f"{corner} looked-over\n"
        for corner, rotor in (("LF", left), ("RF", right))
    )


def measured(shop: Workshop, typed: str) -> str:
    """Measure, and return what is said at once, as one line without breaks."""
    return " ".join(shop.measures(TAG, "60000 km", typed).split())


def questions(shop: Workshop) -> list[Facts]:
    found: list[Facts] = shop.verdict(TAG).document["questions"]
    return found


def part(shop: Workshop, corner: str = "LF", name: str = "rotor") -> PartVerdict:
    return shop.verdict(TAG).part(corner, name)


def is_refused(shop: Workshop, number: str = "1") -> None:
    """Nobody's word is enough for this one."""
    before = shop.everything_on_file()
    result = shop.tries("answer", TAG, number, "right", "--by", "AM")
    assert result.exit_code == 3
    assert "only a second reading answers" in result.stderr
    assert f"hint: measure it again: brakelog measure {TAG}" in result.stderr
    assert shop.everything_on_file() == before


# Asked at once, and again until answered


def test_readings_without_a_doubt_ask_nothing(finch: Workshop) -> None:
    said = measured(finch, lines())

    assert "?" not in said
    assert questions(finch) == []
    assert finch.does("answer", TAG) == "Nothing is asked.\n"


def test_a_question_is_asked_when_typed_and_in_every_verdict_until_it_is_answered(
    finch: Workshop,
) -> None:
    said = measured(finch, lines(EVEN))

    assert "8 points and no variation at all, with a gauge of 0.001 mm" in said
    assert f"answer with: brakelog answer {TAG}; or measure again" in said
    for _ in range(2):
        sheet = finch.counter_sheet(TAG)
        assert "In question: LF rotor thickness" in sheet
        assert "Not judged: LF rotor measure again." in sheet
    (question,) = questions(finch)
    assert (question["code"], question["corners"], question["answer"]) == ("Q235", ["LF"], None)
    thickness = part(finch).measure("rotor thickness")
    assert (thickness["outcome"], thickness["questions"]) == ("in question", [question["key"]])


def test_a_question_is_asked_only_where_the_reading_is_its_own(finch: Workshop) -> None:
    """A later line about another corner does not repeat what was asked before."""
    measured(finch, lines(EVEN))

    assert "?" not in measured(finch, "RF runout 0.02 nuts=5/5 bearing=ok\n")


def test_questions_are_listed_with_number_evidence_and_what_answers_them(finch: Workshop) -> None:
    measured(finch, lines(EVEN, RIGHT.replace("27.427", "27.927")))
    listed = finch.does("answer", TAG)

    assert listed.splitlines()[0] == "1  Q201 RF  (high)"
    assert "2  Q235 LF  (medium)" in listed
    assert all(len(line) <= 80 for line in listed.splitlines())
    document = finch.reads("answer", TAG)
    assert document["format"] == "brakelog.questions/1"
    assert [(each["number"], each["code"]) for each in document["questions"]] == [
        (1, "Q201"),
        (2, "Q235"),
    ]


# Answers


def test_an_answer_is_kept_with_the_person_the_time_and_the_note(finch: Workshop) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    said = finch.does("answer", TAG, "1", "right", "--by", "AM", "--note", "edge is flush")

    assert said == "Q208 is answered: right\n"
    (question,) = questions(finch)
    assert (question["answer"], question["answered_by"]) == ("right", "AM")
    assert question["note"] == "edge is flush"
    assert question["answered_at"] is not None
    assert "Answered right by AM: edge is flush." in finch.does("answer", TAG)
    assert "AM" in "\n".join(finch.everything_on_file())


def test_a_question_of_looking_is_settled_by_whoever_looked(finch: Workshop) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    assert part(finch).words == ("measure again", None)
    assert "say lip=no or lip=yes" in part(finch).text

    finch.does("answer", TAG, "1", "right", "--by", "AM")
    assert part(finch).words == ("reuse", None)


@pytest.mark.parametrize(
    ("said", "words", "codes"),
    [
        ("lip=no", ("reuse", None), ["V115"]),
        ("lip=yes", ("measure again", None), ["V110"]),
    ],
)
def test_whether_there_is_a_lip_may_be_typed_with_the_reading(
    finch: Workshop, said: str, words: tuple[str, str | None], codes: list[str]
) -> None:
    assert "?" not in measured(finch, lines(f"{LEFT} tips=flat {said}"))
    assert (part(finch).words, part(finch).codes) == (words, codes)


def test_a_second_reading_with_flat_faces_says_nothing_about_the_lip(finch: Workshop) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    measured(finch, f"LF rotor {eight_points('27.401', '0.006')} tips=flat\n")
    assert part(finch).words == ("measure again", None)

    measured(finch, f"LF rotor {eight_points('27.399', '0.006')}\n")
    assert part(finch).words == ("reuse", None)


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        pytest.param(lines(EVEN), "Q235", id="no variation at all"),
        pytest.param(lines(LEFT, LEFT), "Q234", id="two sides alike"),
        pytest.param(lines(pads="14.1 14.0"), "Q223", id="backing plate measured too"),
    ],
)
def test_nobodys_word_passes_readings_that_may_hide_a_bad_part(
    finch: Workshop, typed: str, code: str
) -> None:
    measured(finch, typed)
    assert [each["code"] for each in questions(finch)] == [code]

    is_refused(finch)


def test_wrong_leaves_it_open_and_says_what_to_do(finch: Workshop) -> None:
    measured(finch, lines(EVEN))
    said = finch.does("answer", TAG, "1", "wrong", "--by", "AM")

    assert "correct it now: brakelog amend list" in said
    assert part(finch).words == ("measure again", None)
    assert questions(finch)[0]["answer"] == "wrong"


def test_the_newest_answer_counts_and_the_earlier_one_is_kept(finch: Workshop) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    finch.does("answer", TAG, "1", "right", "--by", "AM", "--note", "looked once")
    finch.does("answer", TAG, "1", "wrong", "--by", "AM", "--note", "there is one")

    assert questions(finch)[0]["answer"] == "wrong"
    assert part(finch).words == ("measure again", None)
    on_file = "\n".join(finch.everything_on_file())
    assert "looked once" in on_file
    assert "there is one" in on_file


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("1", "right"), 3),
        (("1", "right", "--by", "XX"), 4),
        (("1", "perhaps", "--by", "AM"), 3),
        (("1",), 3),
        (("9", "right", "--by", "AM"), 4),
        (("Q2", "right", "--by", "AM"), 4),
    ],
    ids=[
        "nobody named",
        "unknown person",
        "no answer",
        "nothing said",
        "no question",
        "half a key",
    ],
)
def test_what_is_no_answer_is_refused_and_nothing_is_kept(
    finch: Workshop, words: tuple[str, ...], code: int
) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    before = finch.everything_on_file()

    assert finch.tries("answer", TAG, *words).exit_code == code
    assert finch.everything_on_file() == before


def test_an_answer_belongs_to_its_evidence_and_not_to_the_next_reading(finch: Workshop) -> None:
    measured(finch, lines(f"{LEFT} tips=flat"))
    finch.does("answer", TAG, "1", "right", "--by", "AM")
    finch.measures(TAG, "70000 km", lines(f"{LEFT} tips=flat"), day="2026-06-10")

    assert {each["answer"] for each in questions(finch)} == {None}
    assert part(finch).words == ("measure again", None)


# A second reading set


def test_a_second_set_of_natural_readings_settles_what_looked_invented(finch: Workshop) -> None:
    measured(finch, lines(EVEN))
    measured(finch, f"LF rotor {EVEN}\n")
    assert part(finch).words == ("measure again", None)

    measured(finch, f"LF rotor {LEFT}\n")
    assert questions(finch) == []
    assert part(finch).words == ("reuse", None)


def test_two_sides_alike_digit_for_digit_are_settled_by_reading_both_again(finch: Workshop) -> None:
    measured(finch, lines(LEFT, LEFT))
    for corner in ("LF", "RF"):
        assert part(finch, corner).words == ("measure again", None)

    measured(finch, f"RF rotor {RIGHT}\n")
    assert part(finch, "RF").words == ("reuse", None)
    assert part(finch, "LF").words == ("measure again", None)
    measured(finch, f"LF rotor {eight_points('27.401', '0.008')}\n")
    assert questions(finch) == []
    for corner in ("LF", "RF"):
        assert part(finch, corner).words == ("reuse", None)


def test_a_second_set_typed_off_the_first_settles_nothing(finch: Workshop) -> None:
    slip = LEFT.replace("27.407", "26.907")
    measured(finch, lines(slip))
    measured(finch, f"LF rotor {slip}\n")

    assert [each["code"] for each in questions(finch)] == ["Q201"]
    assert part(finch).words == ("measure again", None)


def test_a_part_beyond_its_limit_is_condemned_whatever_else_is_asked(finch: Workshop) -> None:
    """Flat faces may read a lip too thick: that excuses nothing that is too thin already."""
    measured(finch, lines(f"{eight_points('25.950', '0.007')} tips=flat"))

    assert part(finch).words == ("replace", "required")
    assert [each["code"] for each in questions(finch)] == ["Q208"]


def test_two_slips_in_one_circle_condemn_no_rotor(finch: Workshop) -> None:
    """One point a turn too high, one a turn too low: without both it varies by 0.007 mm."""
    slips = LEFT.replace("27.407", "27.907").replace("27.400", "26.900")
    measured(finch, lines(slips))

    assert part(finch).words == ("measure again", None)
    assert part(finch, "RF").words == ("reuse", None)


# Corner by corner at the terminal


@pytest.mark.skipif(os.name != "posix", reason="a pseudo-terminal needs a POSIX system")
def test_guided_entry_asks_as_soon_as_the_last_point_is_in(finch: Workshop) -> None:
    guided = pytest.importorskip("tests.faults.test_guided_kill")
    terminal = guided.Terminal(
        *("--store", str(finch.store), "measure", TAG, "--odometer", "60000 km", "--corner", "LF")
    )
    points = LEFT.replace("27.407", "27.907").split()
    try:
        for asked, typed in (
            ("inner pad leading end", "8.2"),
            ("inner pad trailing end", "8.0"),
            ("outer pad leading end", "8.5"),
            ("outer pad trailing end", "8.4"),
            *((f"point {n} of 9", value) for n, value in enumerate([*points, "27.402"], start=1)),
            ("point 1 again", "27.403"),
        ):
            terminal.wait_for(asked)
            terminal.wait_for("]: ")
            assert "median" not in terminal.shown
            terminal.type(typed)
        terminal.wait_for("median")
        terminal.wait_for("runout")
        asked = terminal.shown[terminal.shown.index("? LF rotor") :]
        assert "point 2" in asked
        assert "turn" in asked
    finally:
        terminal.kill()
