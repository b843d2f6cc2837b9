"""Which checks a job has to answer, and which are open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from brakelog.lengths import DistanceUnit
from brakelog.record.closing import Check, ClosingAnswer
from brakelog.record.corner import axle_name
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import HAND_OF, Gap, Hand, OpenItem, axle_word
from brakelog.rules.figure import distance
from brakelog.rules.standing import is_before, last_work, work_under
from brakelog.rules.worked import fitted_on, worked_axles

_ALWAYS = (
    Check.TIGHTENED,
    Check.FLUID_LEVEL,
    Check.PEDAL_FIRM,
    Check.ROAD_TEST,
    Check.NO_LEAK,
    Check.LAMPS_OFF,
)
_OLD = " since the last part was fitted"
FAR_MM = 300 * DistanceUnit.KM.mm
"""How far a vehicle may come from its road test; assumption: more is another digit, or another
day. [mm]"""


def checks_left(
    file: CaseFile, answers: tuple[ClosingAnswer, ...], uneven: tuple[int, ...]
) -> Iterator[OpenItem]:
    """Yield the checks that nobody has answered, or that failed.

    Parameters
    ----------
    file : CaseFile
        The record of the vehicle.
    answers : tuple of ClosingAnswer
        What was said in this visit, oldest first.
    uneven : tuple of int
        Axles whose linings wore unevenly and were changed.
    """
    for check, axle in _asked(file, uneven):
        newest = newest_answer(answers, check, axle)
        is_old = newest is not None and _is_old(file, newest, axle)
        if newest is None or is_old or not newest.is_good:
            yield _open(check, axle, None if is_old else newest, is_old=is_old)


def newest_answer(
    answers: tuple[ClosingAnswer, ...], check: Check, axle: int | None
) -> ClosingAnswer | None:
    """Return what was said last about a check; oldest are listed first.

    What was taken back is as if nobody had said anything: an earlier answer is not believed then.
    """
    said = [each for each in answers if each.check is check and each.axle == axle]
    return said[-1] if said and not said[-1].is_taken_back else None


def _is_old(file: CaseFile, answer: ClosingAnswer, axle: int | None) -> bool:
    """Whether something that the check covers was fitted since it was answered."""
    return is_before(answer.recorded_at, work_under(file, answer.check, axle))


def _asked(file: CaseFile, uneven: tuple[int, ...]) -> Iterator[tuple[Check, int | None]]:
    for check in _ALWAYS:
        if check is not Check.FLUID_LEVEL or _may_have_fluid(file):
            yield check, None
    axles = worked_axles(file)
    if any(fitted_on(file, axle, *Part) for axle in axles):
        yield Check.BEDDING_IN, None
    for axle in axles:
        if fitted_on(file, axle, Part.SHOES):
            yield Check.SHOES_SET, axle
        has_sensor = file.traits.get((axle, "wear-sensor")) != "no"
        if fitted_on(file, axle, Part.PADS) and has_sensor:
            yield Check.WEAR_SENSOR, axle
        if may_be_electric(file.traits, axle) and fitted_on(file, axle, *Part):
            yield Check.PARKING_BRAKE, axle
        if axle in uneven:
            yield Check.CAUSE_PROVEN, axle


def _may_have_fluid(file: CaseFile) -> bool:
    """Whether any axle is hydraulic, so far as is known."""
    kinds = [
        file.traits.get((axle, "actuation"), "hydraulic")
        for axle in range(1, len(file.vehicle.brakes) + 1)
    ]
    return "hydraulic" in kinds


def may_be_electric(traits: Mapping[tuple[int, str], str], axle: int) -> bool:
    """Whether an electric parking brake may act on an axle.

    Where nobody has said, it may on any axle behind the first, on a disc as on a drum; it is
    then asked, and "not fitted" is an answer. Front parking brakes are rare (common practice).
    """
    known = traits.get((axle, "parking-brake"))
    return known == "electric" or (known is None and axle > 1)


def _open(
    check: Check, axle: int | None, newest: ClosingAnswer | None, *, is_old: bool
) -> OpenItem:
    facts = check.facts
    at = f"{axle_word(axle)} " if axle is not None else ""
    place = f"{axle_name(axle)} axle: " if axle is not None else ""
    if newest is None:
        text = f"{place}{facts.question} Not answered{_OLD if is_old else ''}"
        do = f"answer with {', '.join(facts.answers)}"
    else:
        note = f" ({newest.note})" if newest.note else ""
        text, do = f"{place}{facts.question} {newest.said.capitalize()}{note}", facts.do
    return OpenItem(
        gap=Gap.CHECK_BLANK if newest is None else Gap.CHECK_FAILED,
        hand=HAND_OF[check],
        text=text[:1].upper() + text[1:],
        do=do,
        line=f"check {check.value} {at}",
        axle=axle,
        check=check,
    )


def driven(file: CaseFile, answers: tuple[ClosingAnswer, ...]) -> Iterator[OpenItem]:
    """Yield what the odometer says about the road test: equal figures mean that it was not driven.

    The odometer out is evidence of a drive where a ticked box is not (common practice).
    """
    visit = file.visit
    unit = visit.odometer_unit.value
    is_old = is_before(visit.odometer_out_at, last_work(file))
    if visit.odometer_out_mm is None or is_old:
        yield OpenItem(
            gap=Gap.ODOMETER_OUT_BLANK,
            hand=Hand.DRIVE,
            text=f"Odometer out not on record{_OLD if is_old else ''}",
            do=f"read it after the road test, in {unit}",
            line="odometer-out ",
        )
        return
    if visit.odometer_out_mm - visit.odometer_mm > FAR_MM and not visit.odometer_out_note:
        yield OpenItem(
            gap=Gap.ODOMETER_FAR,
            hand=Hand.DRIVE,
            text=(
                f"Odometer out: {distance(visit.odometer_out_mm, visit.odometer_unit)} is more "
                f"than {distance(FAR_MM, visit.odometer_unit)} above the odometer in"
            ),
            do="read it again; where it is right, repeat it with a note that says why",
            line="odometer-out ",
        )
    said = newest_answer(answers, Check.ROAD_TEST, None)
    if said is not None and said.is_good and visit.odometer_out_mm <= visit.odometer_mm:
        yield OpenItem(
            gap=Gap.NOT_DRIVEN,
            hand=Hand.DRIVE,
            text=(
                f"Road test: said to be done, and the odometer out, "
                f"{distance(visit.odometer_out_mm, visit.odometer_unit)}, is no more than the "
                f"odometer in"
            ),
            do="drive it, then read the odometer again",
            line="odometer-out ",
            check=Check.ROAD_TEST,
        )
