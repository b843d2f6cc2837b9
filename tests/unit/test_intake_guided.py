"""Guided entry."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brakelog.errors import InvalidInput
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.guided import Guided
from brakelog.intake.line import parse_line
from brakelog.intake.outcome import (
    Accepted,
    Blank,
    Changed,
    CornerReady,
    Outcome,
    Refused,
    Reopened,
    Stopped,
    WentBack,
)
from brakelog.intake.question import Question
from brakelog.lengths import LengthUnit
from brakelog.record.corner import parse_corner
from brakelog.record.draft import DraftEntry
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake

DISC_DRUM = (AxleBrake.DISC, AxleBrake.DRUM)
LF, RF, RR, LR = map(parse_corner, ("LF", "RF", "RR", "LR"))
M1 = Gauge(
    id="g1",
    tag="M1",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1000,
    resolution_text="0.001",
    used_for=frozenset({Quantity.ROTOR}),
    tips=Tips.POINTED,
)
M2 = replace(M1, id="g2", tag="M2", unit=LengthUnit.INCH, resolution_text="0.0001", tips=Tips.FLAT)
M2 = replace(M2, resolution_nm=2540, used_for=frozenset())
SHOP = Context(gauges={"m1": M1, "m2": M2}, people={"am": "p1", "zo": "p2"}, declared=LengthUnit.MM)
NINE = ["27.402", "27.404", "27.406", "27.405", "27.401", "27.399", "27.400", "27.401", "27.403"]
FRONT = ["3.2", "3.0", "3.5", "3.4", *NINE, "27.403", "0.026", "5/5", "y", "y", "0.1", "", "y"]


def guide(
    *, draft: tuple[DraftEntry, ...] = (), context: Context = SHOP, person: str | None = "AM"
) -> Guided:
    return Guided(brakes=DISC_DRUM, context=context, draft=draft, person=person)


def feed(guided: Guided, *answers: str) -> list[Outcome]:
    return [guided.answer(text) for text in answers]


def asked(guided: Guided) -> Question:
    question = guided.question
    assert question is not None
    return question


def prompt(guided: Guided) -> str:
    return asked(guided).prompt


def kept(outcomes: list[Outcome]) -> tuple[DraftEntry, ...]:
    """What the caller has in its draft after these outcomes."""
    draft: dict[str, DraftEntry] = {}
    for outcome in outcomes:
        match outcome:
            case Accepted(entry=entry, also=also):
                draft[f"{entry.corner} {entry.key}"] = entry
                if also is not None:
                    draft[f"{also.corner} {also.key}"] = also
            case Blank(entries=entries):
                draft.update({f"{entry.corner} {entry.key}": entry for entry in entries})
            case WentBack(corner=corner, key=key):
                del draft[f"{corner} {key}"]
            case CornerReady(corner=corner):
                draft = {key: each for key, each in draft.items() if each.corner != corner}
            case _:
                pass
    return tuple(draft.values())


def ready(outcome: Outcome) -> tuple[Entry, ...]:
    assert isinstance(outcome, CornerReady)
    return outcome.entries


def refused(outcome: Outcome) -> str:
    assert isinstance(outcome, Refused)
    return outcome.message


def test_the_order_of_a_disc_corner() -> None:
    guided = guide()
    prompts = []
    for answer in FRONT:
        prompts.append(prompt(guided))
        guided.answer(answer)

    assert prompts[:4] == [
        "LF  inner pad leading end  [mm]",
        "LF  inner pad trailing end  [mm]",
        "LF  outer pad leading end  [mm]",
        "LF  outer pad trailing end  [mm]",
    ]
    assert prompts[6] == "LF  rotor point 3 of 9  [mm, M1]"
    assert prompts[13:] == [
        "LF  rotor point 1 again  [mm, M1]",
        "LF  runout total indicator reading  [mm]",
        "LF  runout: fasteners fitted (such as 5/5)",
        "LF  runout: bearing free of play (y/n)",
        "LF  runout: back at its start after one turn (y/n)",
        "LF  scoring deepest groove  [mm]",
        "LF  anything seen? (finding words, or Enter for nothing more)",
        "LF  looked over for cracks, leaks and damage? (y/n)",
    ]
    assert prompt(guided) == "LF  Enter files this corner, - goes back"


def test_the_order_of_a_drum_corner() -> None:
    guided = guide()
    guided.answer("corner RR")
    prompts = []
    for answer in ["203.2", "203.25", "203.1", "203.1", "3.1", "3.0", "2.9", "2.8", "", "", "n"]:
        prompts.append(prompt(guided))
        guided.answer(answer)

    assert prompts[:9] == [
        "RR  drum open edge 0 deg  [mm]",
        "RR  drum open edge 90 deg  [mm]",
        "RR  drum closed edge 0 deg  [mm]",
        "RR  drum closed edge 90 deg  [mm]",
        "RR  leading shoe top end  [mm]",
        "RR  leading shoe bottom end  [mm]",
        "RR  trailing shoe top end  [mm]",
        "RR  trailing shoe bottom end  [mm]",
        "RR  scoring deepest groove  [mm]",
    ]
    entries = ready(guided.answer(""))
    assert [entry.quantity for entry in entries if isinstance(entry, ReadingEntry)] == [
        Quantity.DRUM_OPEN,
        Quantity.DRUM_CLOSED,
        Quantity.SHOE_LEADING,
        Quantity.SHOE_TRAILING,
        Quantity.SCORING,
    ]
    assert not any(isinstance(entry, LookedOver) for entry in entries)


def test_a_corner_comes_out_as_typed_lines_would() -> None:
    guided = guide(person=None)
    feed(guided, *FRONT[:-2], "stuck-slide lower pin", "crack", "", "y")
    context = replace(SHOP, brakes=DISC_DRUM)
    lines = [
        "LF pad-in 3.2 3.0",
        "LF pad-out 3.5 3.4",
        f"LF rotor {' '.join(NINE)} again=27.403",
        "LF runout 0.026 nuts=5/5 bearing=ok back=yes",
        "LF scoring 0.1",
        "LF finding stuck-slide lower pin",
        "LF finding crack",
        "LF looked-over",
    ]
    expected = [parse_line(text, 1, context) for text in lines]
    entries = ready(guided.answer(""))

    assert [replace(entry, source="") for entry in entries] == [
        replace(entry, source="") for entry in expected if entry
    ]


def test_the_walk_goes_round_the_vehicle_and_ends() -> None:
    guided = guide()
    corners = []
    for _ in range(4):
        corners.append(asked(guided).corner)
        while asked(guided).key != "confirm":
            guided.answer("")
        guided.answer("")

    assert corners == [LF, RF, RR, LR]
    assert guided.question is None
    assert "every corner is filed" in refused(guided.answer("3.2"))


def test_an_echo_in_both_units() -> None:
    guided = guide()
    outcome = guided.answer("3.2")

    assert isinstance(outcome, Accepted)
    assert outcome.echo == "3.200 mm  0.1260 in"
    assert outcome.entry == DraftEntry(
        corner=LF,
        stage=Stage.AS_FOUND,
        key="pad-in:1",
        typed="3.2",
        unit=LengthUnit.MM,
        gauge_id=None,
        person_id="p1",
    )


def test_a_gauge_that_sends_blanks_inside_its_number() -> None:
    guided = guide()
    feed(guided, "skip", "skip")
    outcome = guided.answer("+ 27.402, MM\r")

    assert isinstance(outcome, Accepted)
    assert outcome.echo == "27.402 mm  1.0788 in"


def test_the_other_unit_than_the_gauge_has_is_remarked() -> None:
    guided = guide()
    feed(guided, "skip", "skip")
    outcome = guided.answer("1.0788 in")

    assert isinstance(outcome, Accepted)
    assert outcome.echo == "1.0788 in  27.402 mm  (M1 is entered with mm)"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1HGCM82633A004352", "17 characters are a VIN"),
        ("low battery", "a low battery of the gauge"),
        ("27.4.1", "two decimal points"),
        ("-27", "below zero"),
        ("270", "a rotor thickness is never that"),
        ("27.4\x1b[A", "that is no answer"),
        ("\udcff", "that is no answer"),
        ("9" * 3_000, "that is no answer"),
        ("01A+0027.402", "not a number"),
        ("gauge M9", "no gauge 'M9'"),
        ("corner XX", "not a corner"),
        ("corner L3", "no corner L3"),
        ("unit in", "M1 is entered with mm"),
        ("unit furlong", "no unit"),
    ],
)
def test_refused_and_asked_again(text: str, words: str) -> None:
    guided = guide()
    feed(guided, "skip", "skip")
    before = guided.question

    assert words in refused(guided.answer(text))
    assert guided.question == before


def test_more_decimals_than_the_gauge_shows_are_asked_once() -> None:
    guided = guide()
    feed(guided, "skip", "skip")

    assert refused(guided.answer("27.4021")) == "M1 shows 0.001 mm: type it again to keep it"
    assert "M1 shows" in refused(guided.answer("27.4022"))
    assert isinstance(guided.answer("27.4022"), Accepted)
    assert "M1 shows" in refused(guided.answer("27.4022"))
    assert isinstance(guided.answer("27.402"), Accepted)


def test_an_answer_between_forgets_the_question_about_decimals() -> None:
    guided = guide()
    feed(guided, "skip", "skip", "27.4021", "nonsense")

    assert "M1 shows" in refused(guided.answer("27.4021"))


def test_blank_and_x_are_kept_as_not_measured() -> None:
    guided = guide()
    outcomes = feed(guided, "", "x")

    assert [entry.typed for entry in kept(outcomes)] == ["", ""]
    assert asked(guided).key == "pad-out:1"


def test_a_quantity_left_out_is_still_there() -> None:
    guided = guide()
    entries = ready_of_rest(guided)
    pads, rotor = entries[0], entries[2]

    assert isinstance(pads, ReadingEntry)
    assert pads.values_nm == (None, None)
    assert isinstance(rotor, ReadingEntry)
    assert rotor.values_nm == (None,) * 9
    assert rotor.gauge is M1


def ready_of_rest(guided: Guided) -> tuple[Entry, ...]:
    """File the corner with the rest of it left out."""
    while asked(guided).key != "confirm":
        guided.answer("")
    return ready(guided.answer(""))


def test_no_conditions_are_asked_of_a_runout_that_was_not_read() -> None:
    guided = guide()
    feed(guided, "skip", "skip", "skip", "")

    assert asked(guided).key == "scoring:1"


def test_point_1_is_not_asked_again_where_it_was_not_measured() -> None:
    guided = guide()
    feed(guided, "skip", "skip", "", *NINE[1:])

    assert asked(guided).key == "runout:1"


def test_skip_leaves_out_the_rest() -> None:
    guided = guide()
    outcome = feed(guided, "skip", "skip", *NINE[:4], "skip")[-1]

    assert isinstance(outcome, Blank)
    assert [entry.key for entry in outcome.entries] == [
        *(f"rotor:{number}" for number in range(5, 10)),
        "rotor:again",
    ]
    assert asked(guided).key == "runout:1"


def test_skip_at_the_end_files_nothing() -> None:
    guided = guide()
    feed(guided, *FRONT)

    assert "Enter files LF" in refused(guided.answer("skip"))
    assert "Enter alone files LF" in refused(guided.answer("yes"))


def test_back_takes_the_last_answer_back() -> None:
    guided = guide()
    outcomes = feed(guided, "3.2", "30", "-")

    assert outcomes[-1] == WentBack(corner=LF, key="pad-in:2")
    assert asked(guided).key == "pad-in:2"
    assert [entry.key for entry in kept(outcomes)] == ["pad-in:1"]


def test_again_takes_a_whole_quantity_back_and_asks_from_its_first_point() -> None:
    guided = guide()
    outcomes = feed(guided, "3.2", "3.0", "3.5", "3.4", "27.41", "27.40", "again")

    assert outcomes[-1] == Reopened(corner=LF, keys=("rotor:1", "rotor:2"))
    assert asked(guided).key == "rotor:1"
    assert feed(guided, "again pad-in")[-1] == Reopened(corner=LF, keys=("pad-in:1", "pad-in:2"))
    assert asked(guided).key == "pad-in:1"
    assert "nothing of it is answered" in refused(guided.answer("again runout"))


def test_back_from_the_end_and_at_the_beginning() -> None:
    guided = guide()
    feed(guided, *FRONT)

    assert guided.answer("-") == WentBack(corner=LF, key="looked-over")
    assert guided.answer("-") == WentBack(corner=LF, key="finding:1")
    assert "first question of RR" in refused(feed(guided, "corner RR", "-")[-1])


def test_findings_until_nothing_more() -> None:
    guided = guide()
    feed(guided, *FRONT[:-2])
    outcomes = feed(guided, "stuck-slyde", "stuck-slide lower pin", "other part=rotor odd", "", "y")
    entries = ready(guided.answer(""))

    assert "not a finding" in refused(outcomes[0])
    assert [
        (entry.part, entry.note, entry.person)
        for entry in entries
        if isinstance(entry, FindingEntry)
    ] == [(Part.PADS, "lower pin", "am"), (Part.ROTOR, "odd", "am")]


def test_another_gauge_for_the_quantity() -> None:
    guided = guide()
    feed(guided, "skip", "skip", "gauge m2")

    assert prompt(guided) == "LF  rotor point 1 of 9  [in, M2]"
    outcome = guided.answer("1.0788")
    assert isinstance(outcome, Accepted)
    assert (outcome.entry.gauge_id, outcome.entry.unit) == ("g2", LengthUnit.INCH)
    assert "one gauge for all" in refused(guided.answer("gauge M1"))
    assert isinstance(guided.answer("gauge M2"), Changed)
    feed(guided, "skip", "skip", "", "", "")
    rotor = next(each for each in ready(guided.answer("")) if is_rotor(each))
    assert isinstance(rotor, ReadingEntry)
    assert (rotor.gauge, rotor.tips, rotor.unit) == (M2, Tips.FLAT, LengthUnit.INCH)


def is_rotor(entry: Entry) -> bool:
    return isinstance(entry, ReadingEntry) and entry.quantity is Quantity.ROTOR


def test_no_gauge_at_all() -> None:
    guided = guide()
    feed(guided, "skip", "skip", "gauge none")

    assert prompt(guided) == "LF  rotor point 1 of 9  [mm]"


def test_without_any_unit_it_is_asked_for() -> None:
    guided = guide(context=Context(), person=None)

    assert prompt(guided) == "LF  inner pad leading end  [type the unit]"
    assert "cannot be told" in refused(guided.answer("3.2"))
    assert isinstance(guided.answer("3.2 mm"), Accepted)
    assert "cannot be told" in refused(guided.answer("3.0"))
    assert isinstance(guided.answer("unit in"), Changed)
    outcome = guided.answer("1/8")
    assert isinstance(outcome, Accepted)
    assert outcome.echo == "0.1250 in  3.175 mm"
    guided.answer("0.11")
    assert "one unit for all" in refused(guided.answer("unit mm"))


def test_commands_that_need_a_number_are_refused_elsewhere() -> None:
    guided = guide()
    feed(guided, *FRONT)

    assert "nothing is measured here" in refused(guided.answer("gauge M2"))


def test_stop_help_and_jump() -> None:
    guided = guide()

    assert isinstance(guided.answer("STOP"), Stopped)
    help_outcome = guided.answer("?")
    assert isinstance(help_outcome, Changed)
    assert all(len(line) <= 80 for line in help_outcome.message.splitlines())
    assert isinstance(guided.answer("corner rr"), Changed)
    assert asked(guided).corner == RR


def test_help_names_what_can_be_found_on_that_brake_and_breaks_no_word() -> None:
    guided = guide()
    feed(guided, *FRONT[:-2])
    disc = guided.answer("?")
    feed(guided, "corner LR", *["skip"] * 5)
    drum = guided.answer("?")

    assert isinstance(disc, Changed)
    assert isinstance(drum, Changed)
    assert "stuck-slide (slide or pin stuck)" in " ".join(disc.message.split())
    assert "chunked" in disc.message
    assert "stuck-slide" not in drum.message
    for text in (disc.message, drum.message):
        assert all(len(line) <= 76 for line in text.splitlines())


@pytest.mark.parametrize(
    ("answers", "word"), [(14, "nuts"), (15, "bearing"), (16, "back"), (-1, "looked-over")]
)
def test_help_explains_the_conditions(answers: int, word: str) -> None:
    guided = guide()
    feed(guided, *FRONT[: FRONT.index("5/5") + answers - 14 if answers > 0 else -1])
    told = guided.answer("?")

    assert isinstance(told, Changed)
    assert told.message.startswith(f"{word}: ")


def test_clear_is_not_taken_for_a_leak() -> None:
    guided = guide()
    feed(guided, *FRONT[:-2])
    outcome = guided.answer("clear")

    assert isinstance(outcome, Refused)
    assert "did you mean" not in outcome.hint
    outcome = guided.answer("lek")
    assert isinstance(outcome, Refused)
    assert outcome.hint == "did you mean leak?"


def test_after_a_jump_the_walk_comes_back_to_what_is_open() -> None:
    guided = guide()
    feed(guided, "3.2", "corner LR")
    ready_of_rest(guided)

    assert (asked(guided).corner, asked(guided).key) == (LF, "pad-in:2")
    assert "LR is filed already" in refused(guided.answer("corner LR"))


def test_every_prompt_fits_on_a_narrow_terminal() -> None:
    long = replace(M1, tag="M" * 64, used_for=frozenset(Quantity))
    context = replace(SHOP, gauges={long.tag.lower(): long}, declared=None)
    guided = guide(context=context)
    widths = []
    while (question := guided.question) is not None:
        widths.append(max(map(len, (question.prompt, *question.summary.splitlines()))))
        guided.answer({"rotor:1": "27.4", "runout:1": "0.1"}.get(question.key, ""))
        help_outcome = guided.answer("?")
        if isinstance(help_outcome, Changed):
            widths.append(max(map(len, help_outcome.message.splitlines())))

    assert max(widths) <= 80


def test_the_summary_shows_the_worst_of_each_quantity() -> None:
    guided = guide()
    feed(guided, *FRONT)

    assert asked(guided).summary == (
        "LF  pad-in 3.000 mm, pad-out 3.400 mm, rotor 27.399 mm, runout 0.026 mm, scoring\n"
        "    0.100 mm, looked over"
    )


def test_the_last_visit_stands_beside_its_quantity() -> None:
    guided = Guided(
        brakes=DISC_DRUM, context=SHOP, previous={(LF, Quantity.PAD_INNER): "5.1 4.9 mm"}
    )

    assert asked(guided).previous == "5.1 4.9 mm"
    guided.answer("skip")
    assert asked(guided).previous == ""


@pytest.mark.parametrize(("wanted", "of"), [(4, 9), (12, 12)])
def test_the_maker_s_number_of_points_where_it_is_larger(wanted: int, of: int) -> None:
    guided = Guided(brakes=DISC_DRUM, context=SHOP, points_wanted={1: wanted})
    feed(guided, "skip", "skip")

    assert prompt(guided) == f"LF  rotor point 1 of {of}  [mm, M1]"


@pytest.mark.parametrize("count", range(len(FRONT) + 1))
def test_it_resumes_exactly_where_it_stopped(count: int) -> None:
    first = guide()
    draft = kept(feed(first, *FRONT[:count]))
    second = guide(draft=draft)

    assert second.question == first.question
    assert feed(second, *FRONT[count:], "")[-1] == feed(first, *FRONT[count:], "")[-1]


def test_it_resumes_at_the_corner_that_was_left() -> None:
    first = guide()
    draft = kept(feed(first, "3.2", "corner RR", "203.2"))
    second = guide(draft=draft)

    assert (asked(second).corner, asked(second).key) == (RR, "drum-open:2")


def test_filed_corners_and_other_stages_are_left_alone() -> None:
    draft = kept(feed(guide(), "3.2"))
    as_left = replace(SHOP, stage=Stage.AS_LEFT)

    assert asked(Guided(brakes=DISC_DRUM, context=SHOP, filed=[LF])).corner == RF
    assert asked(Guided(brakes=DISC_DRUM, context=SHOP, filed=[LF], draft=draft)).corner == RF
    assert asked(guide(draft=draft, context=as_left)).key == "pad-in:1"


def test_an_answer_on_file_that_no_longer_holds_is_asked_again() -> None:
    draft = list(kept(feed(guide(), *FRONT)))
    for at, typed in ((0, "300"), (4, "low battery"), (15, "6/5"), (16, "perhaps")):
        draft[at] = replace(draft[at], typed=typed)
    guided = guide(draft=tuple(draft))
    keys = []
    for answer in ("3.2", "27.4", "27.403", "5/5", "y"):
        keys.append(asked(guided).key)
        guided.answer(answer)

    assert keys == ["pad-in:1", "rotor:1", "rotor:again", "runout:nuts", "runout:bearing"]


def test_more_points_on_file_than_are_wanted_now_are_kept() -> None:
    many = Guided(brakes=DISC_DRUM, context=SHOP, points_wanted={1: 12})
    draft = kept(feed(many, "skip", "skip", *NINE, "27.4", "27.41"))
    guided = guide(draft=draft)

    assert prompt(guided).startswith("LF  rotor point 1 again")
    feed(guided, "", "skip", "", "", "")
    rotor = next(each for each in ready(guided.answer("")) if is_rotor(each))
    assert isinstance(rotor, ReadingEntry)
    assert len(rotor.values_nm) == 11


def test_the_unit_of_the_draft_holds_when_the_gauge_was_changed_since() -> None:
    draft = kept(feed(guide(), "skip", "skip", "27.402"))
    changed = replace(SHOP, gauges={"m1": replace(M1, unit=LengthUnit.INCH)})
    guided = guide(draft=draft, context=changed)

    assert "[mm, M1]" in prompt(guided)


def test_the_person_of_the_answer_holds_and_not_of_who_files() -> None:
    draft = kept(feed(guide(), "3.2", "3.0", "skip", "skip", "skip", "skip", "crack rim"))
    guided = guide(draft=draft, person="ZO")
    feed(guided, "", "y")
    entries = ready(guided.answer(""))

    assert {entry.person for entry in entries if isinstance(entry, FindingEntry)} == {"am"}
    assert isinstance(entries[0], ReadingEntry)
    assert entries[0].person == "am"


def test_nobody_unknown_measures() -> None:
    with pytest.raises(InvalidInput, match="nobody called 'QQ'"):
        guide(person="QQ")


def datums(entries: tuple[Entry, ...]) -> dict[str, Datum | None]:
    return {
        each.quantity.value: each.datum
        for each in entries
        if isinstance(each, ReadingEntry) and each.quantity.is_lining
    }


def test_linings_measured_with_their_plate_are_filed_as_such_from_the_word_on() -> None:
    guided = guide()
    feed(guided, "3.2", "3.0", "datum plate")
    assert prompt(guided) == "LF  outer pad leading end  [mm, with its plate]"
    feed(guided, "9.5", "9.4", *FRONT[4:])
    assert "pad-out 9.400 mm with its plate" in asked(guided).summary

    filed = ready(guided.answer(""))

    assert datums(filed) == {"pad-in": Datum.LINING, "pad-out": Datum.WITH_PLATE}
    assert prompt(guided) == "RF  inner pad leading end  [mm, with its plate]"


def test_datum_of_a_lining_that_is_half_entered_holds_for_all_its_points() -> None:
    guided = guide()
    outcomes = feed(guided, "9.2", "datum plate", "9.0")
    assert isinstance(outcomes[1], Accepted)
    feed(guided, "datum lining", *FRONT[2:])

    filed = ready(guided.answer(""))

    assert datums(filed) == {"pad-in": Datum.WITH_PLATE, "pad-out": Datum.LINING}


@pytest.mark.parametrize("stopped_after", range(1, 7))
def test_datum_survives_a_stop_at_any_answer(stopped_after: int) -> None:
    answers = ["datum plate", "9.2", "9.0", "9.5", "-", "9.5", "9.4", *FRONT[4:]]
    first = guide()
    draft = kept(feed(first, *answers[:stopped_after]))
    second = guide(draft=draft)
    assert "with its plate" in prompt(second)
    feed(second, *answers[stopped_after:])

    assert set(datums(ready(second.answer(""))).values()) == {Datum.WITH_PLATE}


def test_going_back_never_turns_a_lining_with_its_plate_into_lining_alone() -> None:
    guided = guide()
    feed(guided, "datum plate", "9.2", "9.0", "-", "9.1", "-", "-", "9.3", "9.2")
    feed(guided, "9.5", "9.4", "again pad-in", "9.2", "9.0", *FRONT[4:])

    filed = ready(guided.answer(""))

    assert set(datums(filed).values()) == {Datum.WITH_PLATE}


def test_a_lining_of_which_only_the_second_point_was_measured_keeps_its_datum() -> None:
    guided = guide()
    feed(guided, "datum plate", "", "9.0", "skip", *FRONT[4:])

    assert datums(ready(guided.answer("")))["pad-in"] is Datum.WITH_PLATE


def test_the_datum_is_for_linings() -> None:
    guided = guide()
    feed(guided, *FRONT[:4])

    assert refused(guided.answer("datum plate")) == "rotor thickness has no datum"
    assert "not a datum" in refused(guide().answer("datum steel"))
    help_of_pad = guide().answer("?")
    assert isinstance(help_of_pad, Changed)
    assert "datum plate" in help_of_pad.message
