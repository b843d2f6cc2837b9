"""Which checks a job has to answer, and which are open."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.closing import Check, ClosingAnswer
from brakelog.record.corner import axle_name
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import HAND_OF, Gap, Hand, OpenItem, axle_word
from brakelog.rules.worked import fitted_on, worked_axles

_ALWAYS = (
    Check.TIGHTENED,
    Check.FLUID_LEVEL,
    Check.PEDAL_FIRM,
    Check.ROAD_TEST,
    Check.NO_LEAK,
    Check.LAMPS_OFF,
)


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
        if newest is None or not newest.is_good:
            yield _open(check, axle, newest)


def newest_answer(
    answers: tuple[ClosingAnswer, ...], check: Check, axle: int | None
) -> ClosingAnswer | None:
    """Return what was said last about a check; oldest are listed first.

    What was taken back is as if nobody had said anything: an earlier answer is not believed then.
    """
    said = [each for each in answers if each.check is check and each.axle == axle]
    return said[-1] if said and not said[-1].is_taken_back else None


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
        if _may_be_electric(file, axle) and fitted_on(file, axle, *Part):
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


def _may_be_electric(file: CaseFile, axle: int) -> bool:
    """Whether an electric parking brake may act on an axle.

    Where nobody has said, it may on any axle behind the first, on a disc as on a drum; it is
    then asked, and "not fitted" is an answer. Front parking brakes are rare (common practice).
    """
    known = file.traits.get((axle, "parking-brake"))
    return known == "electric" or (known is None and axle > 1)


def _open(check: Check, axle: int | None, newest: ClosingAnswer | None) -> OpenItem:
    facts = check.facts
    at = f"{axle_word(axle)} " if axle is not None else ""
    place = f"{axle_name(axle)} axle: " if axle is not None else ""
    if newest is None:
        text = f"{place}{facts.question} Not answered"
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
    if visit.odometer_out_mm is None:
        yield OpenItem(
            gap=Gap.ODOMETER_OUT_BLANK,
            hand=Hand.DRIVE,
            text="Odometer out not on record",
            do=f"read it after the road test, in {unit}",
            line="odometer-out ",
        )
        return
    said = newest_answer(answers, Check.ROAD_TEST, None)
    if said is not None and said.is_good and visit.odometer_out_mm <= visit.odometer_mm:
        yield OpenItem(
            gap=Gap.NOT_DRIVEN,
            hand=Hand.DRIVE,
            text=(
                f"Road test: said to be done, and the odometer out, "
                f"{visit.odometer_out_text.strip()}, is no more than the odometer in"
            ),
            do="drive it, then read the odometer again",
            line="odometer-out ",
            check=Check.ROAD_TEST,
        )
