"""Which figures decide: two units, cast marks, contradictions, and what people confirm."""

from __future__ import annotations

from dataclasses import replace

from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import Confirmation, Limit, LimitKind, OutWhen, WhichPad
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.rules.bound import BoundState, bound_for
from brakelog.rules.verdict import Because, Grounds, Word
from tests.unit.verdict_examples import LF, NOW, RF, case, healthy, limit, readings, verdict_on

KIND = LimitKind.ROTOR_DISCARD


def cast(figure: str) -> Limit:
    return replace(limit(KIND, figure), sheet=None, vehicle_id="car", corner=LF)


def confirmed(on: Limit, figure: int, *over: Limit) -> Confirmation:
    return Confirmation(
        id="c", limit_id=on.id, figure=figure, person_id="p", reason="looked at the part",
        over=tuple(each.id for each in over),
    )  # fmt: skip


def test_stricter_of_sheet_and_mark_decides_where_they_agree() -> None:
    sheet, mark = limit(KIND, "22.8 mm", "0.898 in"), cast("22.8 mm")
    found = bound_for(KIND, LF, [sheet, mark], {})

    assert found.state is BoundState.USABLE
    assert found.strictest is not None
    assert found.strictest.figure.text == "0.898 in"


def test_mark_that_differs_from_a_sound_sheet_is_a_contradiction() -> None:
    found = bound_for(KIND, LF, [limit(KIND, "22.0 mm", "0.866 in"), cast("22.8 mm")], {})

    assert found.state is BoundState.CONTRADICTS


def test_mark_settles_a_misprint_only_towards_the_strictest_figure() -> None:
    misprint = limit(KIND, "22.8 mm", "0.87 in")

    assert bound_for(KIND, LF, [misprint, cast("22.8 mm")], {}).state is BoundState.USABLE
    assert bound_for(KIND, LF, [misprint, cast("22.1 mm")], {}).state is BoundState.CONTRADICTS


def test_mark_of_one_corner_says_nothing_about_the_other() -> None:
    misprint = limit(KIND, "22.8 mm", "0.87 in")

    assert bound_for(KIND, RF, [misprint, cast("22.8 mm")], {}).state is BoundState.CONTRADICTS


def test_confirmed_figure_decides_until_a_later_mark_speaks_for_the_stricter_one() -> None:
    misprint = limit(KIND, "22.8 mm", "0.87 in")
    decided = {misprint.id: confirmed(misprint, 1)}

    alone = bound_for(KIND, LF, [misprint], decided)
    assert alone.state is BoundState.USABLE
    assert [f.figure.text for f in alone.figures] == ["0.87 in"]

    later = bound_for(KIND, LF, [misprint, cast("22.8 mm")], decided)
    assert {f.figure.text for f in later.figures} == {"22.8 mm"}

    other = bound_for(KIND, LF, [misprint, cast("22.4 mm")], decided)
    assert other.state is BoundState.CONTRADICTS


def test_limits_of_two_datums_do_not_contradict_each_other() -> None:
    lining = limit(LimitKind.PAD_MINIMUM, "2.0", datum=Datum.LINING)
    total = limit(LimitKind.PAD_MINIMUM, "7.0", datum=Datum.WITH_PLATE)

    for datum, limit_of_it in ((None, lining), (Datum.LINING, lining), (Datum.WITH_PLATE, total)):
        found = bound_for(LimitKind.PAD_MINIMUM, LF, [lining, total], {}, datum=datum)

        assert [figure.limit for figure in found.figures] == [limit_of_it]


def test_newest_confirmation_wins_over_the_one_it_sets_aside() -> None:
    sheet, mark = limit(KIND, "22.0 mm"), cast("22.8 mm")
    decisions = {
        sheet.id: confirmed(sheet, 0, mark),
        mark.id: confirmed(mark, 0, sheet),
    }
    found = bound_for(KIND, LF, [sheet, mark], decisions)

    assert [f.limit for f in found.figures] == [mark]


def test_limit_for_one_pad_leaves_the_other_without_one() -> None:
    outer = replace(limit(LimitKind.PAD_MINIMUM, "3.0"), which_pad=WhichPad.OUTER)
    bound = bound_for(LimitKind.PAD_MINIMUM, LF, [outer], {}, which_pad=WhichPad.INNER)

    assert bound.state is BoundState.MISSING


def finding(kind: FindingKind, *, stage: Stage = Stage.AS_FOUND, fixed: bool = False) -> Finding:
    return Finding(
        id=f"{kind.value}-{stage.value}", visit_id="visit", corner=LF, stage=stage, kind=kind,
        part=Part.PADS, put_right=fixed,
    )  # fmt: skip


NEW_PADS = tuple(
    Fitting(
        id=position.value, visit_id="visit", day=NOW.day, odometer_mm=NOW.odometer_mm, corner=LF,
        position=position, event=FittingEvent.NEW, basis=SizeBasis.NOMINAL,
    )
    for position in (Position.PAD_INNER, Position.PAD_OUTER)
)  # fmt: skip
LEFT = (
    readings("LF", Quantity.PAD_INNER, "10.9 10.9", stage=Stage.AS_LEFT),
    readings("LF", Quantity.PAD_OUTER, "10.9 10.9", stage=Stage.AS_LEFT),
)


def pads_as_left(*findings: Finding) -> tuple[Word, Grounds | None]:
    file = case(
        (*healthy("LF"), *healthy("RF"), *LEFT),
        stage=Stage.AS_LEFT, findings=findings, fittings=NEW_PADS,
    )  # fmt: skip
    pads = verdict_on(file, LF, Part.PADS)
    return pads.word, pads.grounds


def test_new_pads_take_what_condemned_the_old_ones_along() -> None:
    assert pads_as_left(finding(FindingKind.SOAKED)) == (Word.REUSE, None)


def test_new_pads_do_not_stop_a_leak() -> None:
    assert pads_as_left(finding(FindingKind.LEAK)) == (Word.CORRECT, Grounds.REQUIRED)


def test_leak_that_was_put_right_is_closed() -> None:
    fixed = finding(FindingKind.LEAK, stage=Stage.AS_LEFT, fixed=True)

    assert pads_as_left(finding(FindingKind.LEAK), fixed) == (Word.REUSE, None)


def test_one_reading_close_to_the_limit_is_not_called_fine() -> None:
    """2.3 mm of 2.0, proven by a calliper, without a fitting or an earlier visit."""
    sets = [s for s in (*healthy("LF"), *healthy("RF")) if s.quantity is not Quantity.PAD_INNER]
    near = [readings(corner, Quantity.PAD_INNER, "2.3 2.4", gauge="p") for corner in ("LF", "RF")]
    pads = verdict_on(
        case((*sets, *near), limits=[limit(LimitKind.PAD_MINIMUM, "2.0", out_when=OutWhen.BELOW)]),
        LF,
        Part.PADS,
    )

    assert (pads.word, pads.grounds) == (Word.REPLACE, Grounds.SUGGESTED)
    assert pads.reasons[0].because is Because.WILL_NOT_LAST
