"""The end of a job: what was checked, and how tight the fasteners were left."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from brakelog.errors import InvalidInput, clip
from brakelog.record.corner import Corner
from brakelog.record.quantity import Part


class Scope(enum.Enum):
    """What one answer to a check is about."""

    VEHICLE = "the vehicle"
    AXLE = "an axle"
    CORNER = "a corner"
    PART = "a part at a corner"


class Check(enum.Enum):
    """What is checked before a vehicle leaves, in the order of the hand; the value is typed."""

    RIGHT_PART = "right-part"
    RUNOUT_CURE = "runout-cure"
    SHOES_SET = "shoes-set"
    WEAR_SENSOR = "wear-sensor"
    TIGHTENED = "tightened"
    PARKING_BRAKE = "parking-brake"
    FLUID_LEVEL = "fluid-level"
    PEDAL_FIRM = "pedal-firm"
    ROAD_TEST = "road-test"
    NO_LEAK = "no-leak"
    LAMPS_OFF = "lamps-off"
    BEDDING_IN = "bedding-in"
    CAUSE_PROVEN = "cause-proven"

    @property
    def facts(self) -> CheckFacts:
        """What is known about the check itself."""
        return _FACTS[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckFacts:
    """How one check is asked and answered."""

    question: str
    answers: tuple[str, ...]
    """The words that are allowed."""
    good: frozenset[str]
    """Those that close it; any other one is a failure."""
    do: str
    """What to do where it failed."""
    scope: Scope = Scope.VEHICLE
    caution: str = ""
    """Said where the hand is, once."""
    needs_note: bool = False


NOT_SAID = "not said"
"""A row that takes back what was said before it about the same thing: it is open again."""
CUT = "cut"
"""A runout put right by cutting the rotor on the car: it is thinner after that."""
_YES_NO = ("yes", "no")
_YES = frozenset({"yes"})
_FITTED = ("yes", "no", "not-fitted")
_FACTS = {
    Check.RIGHT_PART: CheckFacts(
        question="Compared with the part number for this vehicle: is it the right part?",
        answers=_YES_NO,
        good=_YES,
        do="fit the right part",
        scope=Scope.PART,
        needs_note=True,
    ),
    Check.RUNOUT_CURE: CheckFacts(
        question="Runout is out: what was done?",
        answers=("cleaned", "indexed", "plate", CUT, "hub"),
        good=frozenset({"cleaned", "indexed", "plate", CUT, "hub"}),
        do="read the runout again, as left",
        scope=Scope.CORNER,
    ),
    Check.SHOES_SET: CheckFacts(
        question="Shoes in their own places, adjuster set, parking brake cable slack?",
        answers=_YES_NO,
        good=_YES,
        do="take the drums off again and set them",
        scope=Scope.AXLE,
    ),
    Check.WEAR_SENSOR: CheckFacts(
        question="Wear sensor connected and routed clear of the wheel?",
        answers=_FITTED,
        good=frozenset({"yes", "not-fitted"}),
        do="connect it",
        scope=Scope.AXLE,
    ),
    Check.TIGHTENED: CheckFacts(
        question="Wheels tightened crosswise in two steps, torque wrench last?",
        answers=_YES_NO,
        good=_YES,
        do="loosen and tighten them again, crosswise, in two steps",
        caution="Wheel faces clean, started by hand, vehicle on the ground or the wheel held.",
    ),
    Check.PARKING_BRAKE: CheckFacts(
        question="Electric parking brake out of service mode, and it holds?",
        answers=_FITTED,
        good=frozenset({"yes", "not-fitted"}),
        do="end the service mode and calibrate it",
        scope=Scope.AXLE,
        caution="Keep fingers out of the caliper while the motor runs.",
    ),
    Check.FLUID_LEVEL: CheckFacts(
        question="Fluid level?",
        answers=("between", "low", "over"),
        good=frozenset({"between"}),
        do="bring it between the marks with new fluid of the right type",
        caution="New fluid of the right type only, never fluid that came out; keep it off paint.",
    ),
    Check.PEDAL_FIRM: CheckFacts(
        question="Pedal pumped until firm?",
        answers=_YES_NO,
        good=_YES,
        do="pump it; if it stays soft, bleed and look for the cause; do not move the vehicle",
        caution="The pedal is the last thing before the vehicle moves.",
    ),
    Check.ROAD_TEST: CheckFacts(
        question="Road test: no pull, noise or pulsation, pedal good?",
        answers=_YES_NO,
        good=_YES,
        do="find the cause and drive it again",
    ),
    Check.NO_LEAK: CheckFacts(
        question="After the drive: no leak at any corner, fluid still between the marks?",
        answers=_YES_NO,
        good=_YES,
        do="find the leak; do not hand the vehicle over",
    ),
    Check.LAMPS_OFF: CheckFacts(
        question="Brake lamps and codes clear, wear indicator reset?",
        answers=_YES_NO,
        good=_YES,
        do="read the codes and clear up what they say",
    ),
    Check.BEDDING_IN: CheckFacts(
        question="Bedding-in: done by the shop, or left to the customer?",
        answers=("shop", "customer", "no"),
        good=frozenset({"shop", "customer"}),
        do="bed the new parts in, or tell the customer how",
    ),
    Check.CAUSE_PROVEN: CheckFacts(
        question="Cause of the uneven wear proven and put right?",
        answers=_YES_NO,
        good=frozenset(_YES_NO),
        do="",
        scope=Scope.AXLE,
    ),
}
"""Questions, order and cautions: common practice; pedal, fluid, parking brake and wheels also in
service information of several makers, as met in the trade."""
_OTHER_WORDS = {
    "y": "yes",
    "ok": "yes",
    "n": "no",
    "none": "not-fitted",
    "not fitted": "not-fitted",
    "overfull": "over",
    "full": "over",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingAnswer:
    """What somebody said about one check; the newest about the same thing counts."""

    id: str
    visit_id: str
    check: Check
    said: str
    axle: int | None = None
    corner: Corner | None = None
    part: Part | None = None
    note: str = ""
    person_id: str | None = None
    recorded_at: datetime | None = None

    @property
    def is_good(self) -> bool:
        """Whether it closes the check."""
        return self.said in self.check.facts.good

    @property
    def is_taken_back(self) -> bool:
        """Whether it only takes back what was said before it."""
        return self.said == NOT_SAID

    @property
    def about(self) -> tuple[object, ...]:
        """What it is about; answers about the same thing stand in for each other."""
        return self.visit_id, self.check, self.axle, self.corner, self.part


def answers_that_stand(answers: Iterable[ClosingAnswer]) -> tuple[ClosingAnswer, ...]:
    """Return the answers without those that were taken back, and without what took them back.

    Parameters
    ----------
    answers : iterable of ClosingAnswer
        Oldest first. Taking back takes the newest answer that stands about the same thing.
    """
    standing: list[ClosingAnswer] = []
    for each in answers:
        if not each.is_taken_back:
            standing.append(each)
            continue
        same = [other for other in standing if other.about == each.about]
        if same:
            standing.remove(same[-1])
    return tuple(standing)


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueLeft:
    """How tight fasteners were left; the newest about the same ones counts."""

    id: str
    visit_id: str
    axle: int
    fastener: str
    """``wheel``, ``caliper``, ``bracket``, or another name as on the sheet."""
    figure: str
    """As typed, with its unit; empty where they were not undone."""
    corner: Corner | None = None
    """Set where it holds for one corner of the axle only."""
    person_id: str | None = None
    recorded_at: datetime | None = None

    @property
    def is_untouched(self) -> bool:
        """Whether the fasteners were never undone in this visit."""
        return not self.figure

    @property
    def is_taken_back(self) -> bool:
        """Whether it only takes back what was said before it."""
        return self.figure == NOT_SAID


def parse_check(text: str) -> Check:
    """Read the word for a check.

    Raises
    ------
    InvalidInput
        Where no check goes by that word.
    """
    word = "-".join(text.lower().replace("_", "-").split())
    try:
        return Check(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a check", hint=" ".join(each.value for each in Check)
        ) from None


def parse_said(check: Check, text: str) -> str:
    """Read the answer to a check.

    >>> parse_said(Check.PEDAL_FIRM, "Y")
    'yes'

    Raises
    ------
    InvalidInput
        Where it is none of the answers of that check.
    """
    word = " ".join(text.lower().split())
    word = _OTHER_WORDS.get(word, word)
    if word not in check.facts.answers:
        raise InvalidInput(
            f"{clip(text)!r} does not answer {check.value}", hint=", ".join(check.facts.answers)
        )
    return word
