"""Packs of local rules: how they are read, when a clause applies, and what they never do."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import date
from typing import Any, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.errors import RulePackError
from brakelog.record.answer import Answer, Said
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.trait import TRAITS
from brakelog.record.vehicle import AxleBrake
from brakelog.reports.counter import counter_sheet
from brakelog.reports.plain import as_text
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import verdict_document
from brakelog.rules.pack import CONDITIONS, Pack, Standing, applicable
from brakelog.rules.pack_judging import judge_pack
from brakelog.rules.pack_reading import read_pack
from brakelog.rules.pack_verdict import PackOutcome, PackVerdict, Why
from brakelog.rules.pack_words import CHECK
from brakelog.rules.policy import policy_digest
from brakelog.rules.vehicle import judge_vehicle
from brakelog.store.store import Store
from brakelog.workshop.packs import built_in_ids, built_in_pack, pack_of_text, packs_on
from tests.unit.verdict_examples import LF, NOW, case, healthy, readings

WORN: Mapping[str, Any] = {
    "id": "worn",
    "number": "1",
    "wording": "not below the figure",
    "parts": ["pads", "shoes"],
    "figures": ["2.0 mm"],
    "out_when": "below",
    "counted_from": "above shoe",
    "measured_at": "thinnest point",
    "standing": "seen",
}


def mapping(*clauses: Mapping[str, Any], **others: Any) -> dict[str, Any]:
    return {
        "id": "shop-rules",
        "title": "Invented",
        "document": "Invented rules",
        "authority": "nobody",
        "jurisdiction": "nowhere",
        "scope": "all vehicles",
        "valid_from": date(2020, 1, 1),
        "standing": "seen",
        "standing_note": "invented for a test",
        "clauses": [dict(clause) for clause in clauses or (WORN,)],
        **others,
    }


def pack(*clauses: Mapping[str, Any]) -> Pack:
    return read_pack(mapping(*clauses), "shop-rules.toml")


def pad(mm: str, **circumstances: Any) -> ReadingSet:
    return readings("LF", Quantity.PAD_INNER, mm, **circumstances)


def inner_pad(*sets: ReadingSet, by: Pack | None = None, **traits: str) -> PackVerdict:
    """What a pack with one clause says about the left front inner pad."""
    file = case(sets)
    known = {(0 if name == "class" else 1, name): value for name, value in traits.items()}
    return left_inner(replace(file, traits=known), by or pack())


def left_inner(file: CaseFile, by: Pack) -> PackVerdict:
    found = judge_pack(by, file)
    return next(each for each in found if (each.corner, each.position.value) == (LF, "pad-in"))


# Reading a pack


def test_a_wrong_pack_names_every_problem_at_once() -> None:
    wrong = {
        **WORN,
        "figures": ["1.0 mm", "1 in"],
        "out_when": "above",
        "parts": ["rotor"],
        "standing": "sure",
        "measured_by": "eye",
        "when": {"lining": ["glued"], "colour": ["red"]},
    }

    with pytest.raises(RulePackError) as error:
        read_pack(mapping(wrong, WORN, WORN, document="", valid_from="soon"), "mine.toml")

    said = "\n".join(str(each) for each in error.value.problems)
    for part in (
        "mine.toml: document: is missing",
        "mine.toml: valid_from: is no date",
        "clause worn: figures: 1.0 mm and 1 in cannot both be right",
        "clause worn: out_when: a lining is out below a figure ('above')",
        "clause worn: parts: one of: pads shoes ('rotor')",
        "clause worn: standing: one of: seen, seen in a secondary text, from memory ('sure')",
        "clause worn: measured_by: is no key here",
        "clause worn: when: lining: one of: bonded riveted ('glued')",
        "clause worn: when: colour: is no key here",
        "clause worn: id: is used twice",
    ):
        assert part in said
    assert error.value.exit_code == 6
    assert f"{len(error.value.problems)} problems in mine.toml" in str(error.value)


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"figures": []}, "figures: one figure, or"),
        ({"figures": ["2"]}, "the unit of '2' cannot be told"),
        ({"figures": ["0 mm"]}, "'0 mm' is no limit"),
        ({"figures": ["2.0 mm", "2.1 mm"]}, "in the same unit system"),
        ({"figures": ["1/33333333 in"]}, "finer than a nanometre"),
        ({"when": "bonded"}, "when: is no table of conditions"),
        ({"when": {"steering": []}}, "steering: a list of: yes no"),
        ({"parts": "pads"}, "parts: is no list of texts"),
        ({"counted_from": "the plate"}, "counted_from: one of: above shoe, above rivet heads"),
    ],
)
def test_a_wrong_clause_says_what_is_wrong(change: Mapping[str, Any], problem: str) -> None:
    with pytest.raises(RulePackError) as error:
        pack({**WORN, **change})

    assert problem in "\n".join(str(each) for each in error.value.problems)


@pytest.mark.parametrize("key", ["document", "scope", "standing", "standing_note", "clauses"])
def test_nothing_about_the_source_may_be_left_out(key: str) -> None:
    rest = {name: value for name, value in mapping().items() if name != key}

    with pytest.raises(RulePackError) as error:
        read_pack(rest, "mine.toml")

    assert f"{key}: is missing" in str(error.value.problems[0])


def test_a_day_from_which_it_holds_may_only_be_missing_if_that_is_said() -> None:
    rest = {name: value for name, value in mapping().items() if name != "valid_from"}

    with pytest.raises(RulePackError):
        read_pack(rest, "mine.toml")
    assert read_pack({**rest, "valid_from_note": "not known"}, "mine.toml").valid_from is None


def test_a_text_without_a_figure_has_nothing_to_judge_by() -> None:
    text = {"id": "oil", "number": "2", "wording": "no oil on linings", "standing": "seen"}

    assert inner_pad(pad("9"), by=pack(WORN, text)).clause.id == "worn"
    with pytest.raises(RulePackError) as error:
        pack({**text, "out_when": "below"})
    assert "out_when: is for a clause with figures" in str(error.value.problems[0])


@pytest.mark.parametrize("text", ["id = ", "[[clauses]\n", "\x00", "a = 1\na = 2\n"])
def test_what_is_no_toml_is_refused(text: str) -> None:
    with pytest.raises(RulePackError):
        pack_of_text(text, "mine.toml")


@given(
    key=st.sampled_from(sorted({*mapping(), *WORN, "when", "only_if", "unless", "note"})),
    value=st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=80),
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
        ),
        max_leaves=6,
    ),
    in_clause=st.booleans(),
)
@settings(deadline=None)
def test_whatever_a_file_holds_it_is_read_or_refused(
    key: str, value: object, in_clause: bool
) -> None:
    held = mapping({**WORN, key: value}) if in_clause else {**mapping(), key: value}
    with suppress(RulePackError):
        assert all(clause.standing in Standing for clause in read_pack(held, "any.toml").clauses)


def test_the_words_of_conditions_are_those_of_traits() -> None:
    for name, words in CONDITIONS.items():
        assert tuple(words) == TRAITS[name]


# When a clause applies


def test_a_condition_that_is_not_on_file_is_shown_and_not_decided() -> None:
    clause = {**WORN, "when": {"lining": ["bonded"], "class": ["car", "light"]}}

    found = inner_pad(pad("1.5"), by=pack(clause))

    assert found.outcome is PackOutcome.BEYOND
    assert found.open == ("the lining is bonded", "the vehicle's class is car or light")


def test_a_condition_on_file_settles_the_clause() -> None:
    clause = {**WORN, "when": {"lining": ["bonded"], "class": ["car", "light"]}}

    assert inner_pad(pad("1.5"), by=pack(clause), **{"lining": "bonded", "class": "car"}).open == ()
    file = replace(case([pad("1.5")]), traits={(1, "lining"): "riveted"})
    assert judge_pack(pack(clause), file) == ()


def test_a_trait_of_another_axle_settles_nothing() -> None:
    clause = {**WORN, "when": {"lining": ["bonded"]}}
    file = replace(case([pad("1.5")]), traits={(2, "lining"): "riveted"})

    assert left_inner(file, pack(clause)).open == ("the lining is bonded",)


def test_a_word_that_no_pack_knows_counts_as_not_known() -> None:
    clause = {**WORN, "when": {"lining": ["bonded"]}}

    found = inner_pad(pad("1.5"), by=pack(clause), lining="woven")

    assert found.open == ("the lining is bonded",)


def test_what_nothing_on_file_can_settle_stays_open() -> None:
    found = inner_pad(pad("1.5"), by=pack({**WORN, "only_if": "the moon is full"}))

    assert found.open == ("the moon is full",)


def test_a_clause_for_shoes_says_nothing_about_pads() -> None:
    shoes = pack({**WORN, "parts": ["shoes"]})

    assert applicable(shoes, {}, 1, Part.PADS) == ()
    assert len(applicable(shoes, {}, 1, Part.SHOES)) == 1
    assert judge_pack(shoes, case([pad("1.5")])) == ()
    drum = case([readings("LF", Quantity.SHOE_LEADING, "1.5")], brakes=(AxleBrake.DRUM,))
    assert PackOutcome.BEYOND in {each.outcome for each in judge_pack(shoes, drum)}


def test_a_vehicle_that_no_clause_is_for_is_told_so() -> None:
    only_heavy = pack({**WORN, "when": {"class": ["heavy"]}})
    file = replace(case([pad("1.5")]), packs=(only_heavy,), traits={(0, "class"): "car"})

    assert "No clause with a figure applies" in sheet(file)


# What a reading says


@pytest.mark.parametrize(
    ("out_when", "mm", "outcome"),
    [
        ("below", "2.000001", PackOutcome.NOT_PROVEN),
        ("below", "2.0", PackOutcome.NOT_PROVEN),
        ("below", "1.999999", PackOutcome.BEYOND),
        ("at or below", "2.000001", PackOutcome.NOT_PROVEN),
        ("at or below", "2.0", PackOutcome.BEYOND),
        ("below", "2.2", PackOutcome.NOT_PROVEN),
        ("below", "2.3", PackOutcome.INSIDE),
    ],
)
def test_a_figure_turns_within_one_nanometre_and_close_to_it_proves_nothing(
    out_when: str, mm: str, outcome: PackOutcome
) -> None:
    assert inner_pad(pad(mm), by=pack({**WORN, "out_when": out_when})).outcome is outcome


def test_without_a_stated_comparator_the_stricter_is_taken_and_told() -> None:
    silent = {name: value for name, value in WORN.items() if name != "out_when"}

    assert inner_pad(pad("2.0"), by=pack(silent)).outcome is PackOutcome.BEYOND
    file = replace(case([pad("2.0")]), packs=(pack(silent),))
    assert "comparator not stated; taken as at or below" in sheet(file)


def test_the_lowest_reading_decides_after_its_zero_error() -> None:
    assert inner_pad(pad("5.0 1.9 4.0")).outcome is PackOutcome.BEYOND
    found = inner_pad(pad("5.0 2.1", zero_error_nm=200_000))
    assert found.outcome is PackOutcome.BEYOND
    assert found.judged_nm == 1_900_000
    assert found.value_nm == 2_100_000


def test_a_lining_that_nobody_read_is_not_read() -> None:
    assert inner_pad().outcome is PackOutcome.NOT_READ
    assert inner_pad(pad("x")).outcome is PackOutcome.NOT_READ


def test_a_reading_with_the_backing_plate_cannot_be_compared() -> None:
    for mm in ("1.0", "9.0"):
        found = inner_pad(pad(mm, datum=Datum.WITH_PLATE))
        assert (found.outcome, found.why) == (PackOutcome.CANNOT_COMPARE, (Why.WITH_PLATE,))
    assert inner_pad(pad("9.0", datum=None)).why == (Why.NO_DATUM,)


def test_a_reading_of_the_lining_counts_beside_one_with_the_plate() -> None:
    both = (pad("1.5"), pad("7.0", datum=Datum.WITH_PLATE))

    assert inner_pad(*both).outcome is PackOutcome.BEYOND


def test_by_eye_or_with_an_unknown_gauge_nothing_is_proven() -> None:
    found = inner_pad(pad("9.0", gauge=None))

    assert found.outcome is PackOutcome.NOT_PROVEN
    assert Why.NEVER_PROVES in found.why


def test_nothing_is_measured_until_it_passes() -> None:
    again = inner_pad(pad("1.9"), pad("6.0"))
    assert (again.outcome, again.why) == (PackOutcome.BEYOND, (Why.RE_MEASURED,))
    fewer = inner_pad(pad("2.1 5.0"), pad("6.0"))
    assert (fewer.outcome, fewer.why) == (PackOutcome.NOT_PROVEN, (Why.FEWER_POINTS,))


def test_what_was_beyond_as_found_is_so_as_left_unless_it_was_changed() -> None:
    sets = [pad("1.9"), pad("6.0", stage=Stage.AS_LEFT)]
    kept = case(sets, stage=Stage.AS_LEFT)
    changed = Fitting(
        id="f",
        visit_id=NOW.id,
        day=NOW.day,
        odometer_mm=NOW.odometer_mm,
        corner=LF,
        position=Position.PAD_INNER,
        event=FittingEvent.NEW,
        basis=SizeBasis.UNKNOWN,
    )

    assert left_inner(kept, pack()).outcome is PackOutcome.BEYOND
    assert left_inner(replace(kept, fittings=(changed,)), pack()).outcome is PackOutcome.INSIDE


def asked(
    mm: str,
    *,
    if_wrong: str | None = None,
    scope: Scope = Scope.SET,
    answer: Said | None = None,
    **more: Any,
) -> tuple[PackOutcome, tuple[Why, ...]]:
    """What is said about a pad whose reading is asked about."""
    reading = pad(mm)
    instead = {} if if_wrong is None else {reading.id: pad(if_wrong).values_nm}
    question = Question(
        suspicion=next(iter(Suspicion)),
        scope=scope,
        confidence=Confidence.HIGH,
        key="q",
        visit_id=NOW.id,
        set_ids=(reading.id,),
        instead_nm=instead,
        evidence="",
        ask="",
        **more,
    )
    answers = (
        {"q": Answer(id="a", visit_id=NOW.id, question_key="q", said=answer)} if answer else {}
    )
    file = replace(case([reading]), questions=(question,), answers=answers)
    found = left_inner(file, pack())
    return found.outcome, found.why


IN_QUESTION = (PackOutcome.NOT_PROVEN, (Why.IN_QUESTION,))
INSIDE = (PackOutcome.INSIDE, ())


def test_a_reading_in_question_is_inside_only_where_it_would_be_so_anyway() -> None:
    assert asked("6.0", if_wrong="1.0") == IN_QUESTION
    assert asked("6.0") == IN_QUESTION
    assert asked("6.0", if_wrong="5.0") == INSIDE
    assert asked("6.0", if_wrong="5.0", scope=Scope.CORNERS) == IN_QUESTION
    assert asked("6.0", scope=Scope.ODOMETER) == INSIDE


def test_it_is_right_is_believed_where_the_error_would_not_hide_a_failure() -> None:
    assert asked("6.0", if_wrong="1.0", answer=Said.RIGHT) == IN_QUESTION
    assert asked("6.0", if_wrong="1.0", answer=Said.RIGHT, settled_by_looking=True) == INSIDE
    assert asked("6.0", if_wrong="9.0", answer=Said.RIGHT, scope=Scope.CORNERS) == INSIDE
    assert asked("6.0", if_wrong="1.0", answer=Said.WRONG) == IN_QUESTION


def test_a_question_never_excuses_a_lining_that_is_beyond() -> None:
    assert asked("1.0", if_wrong="6.0") == (PackOutcome.BEYOND, (Why.IN_QUESTION,))
    assert asked("1.0", if_wrong="0.5", reads_high=True) == (PackOutcome.BEYOND, ())


# What packs never do


def sheet(file: CaseFile) -> str:
    """The counter sheet on one line."""
    return " ".join(as_text(counter_sheet(judge_vehicle(file))).split())


@given(
    tenths=st.lists(st.integers(0, 130), min_size=1, max_size=3),
    on=st.sets(st.sampled_from(built_in_ids())),
    bonded=st.sampled_from(["bonded", "riveted", None]),
)
@settings(deadline=None)
def test_a_pack_never_changes_a_word_of_a_verdict(
    tenths: list[int], on: set[str], bonded: str | None
) -> None:
    worn = pad(" ".join(f"{value / 10:.1f}" for value in tenths))
    rest = [each for each in healthy("LF") if each.quantity is not Quantity.PAD_INNER]
    file = case([*rest, worn, *healthy("RF")])
    traits = {(1, "lining"): bonded} if bonded else {}
    ruled = replace(file, packs=tuple(built_in_pack(each) for each in sorted(on)), traits=traits)

    without, within = judge_vehicle(replace(file, traits=traits)), judge_vehicle(ruled)

    assert within.parts == without.parts
    assert within.axles == without.axles
    plain, with_rules = verdict_document(without), verdict_document(within)
    for document in (plain, with_rules):
        del document["local_rules"], document["policy"]
    assert plain == with_rules


def test_where_no_pack_is_on_nothing_is_looked_up() -> None:
    no_store = cast(Store, None)

    assert packs_on(no_store, Shop()) == ()


def test_the_digest_covers_what_the_packs_on_say() -> None:
    other = pack({**WORN, "figures": ["2.1 mm"]})

    digests = {policy_digest(Shop(), packs) for packs in ((), (pack(),), (other,))}

    assert len(digests) == 3
    assert policy_digest(Shop(), (pack(),)) == policy_digest(Shop(), (pack(),))


def test_every_way_of_saying_it_carries_the_advice_and_the_standing() -> None:
    for pack_id in built_in_ids():
        file = replace(case([pad("1.5")]), packs=(built_in_pack(pack_id),))
        (entry,) = verdict_document(judge_vehicle(file))["local_rules"]

        assert entry["advice"] == CHECK
        assert CHECK in sheet(file)
        assert file.packs[0].standing.value in sheet(file).lower()
        for lining in entry["linings"]:
            assert CHECK in lining["text"]
            assert lining["standing"].lower() in lining["text"].lower()
