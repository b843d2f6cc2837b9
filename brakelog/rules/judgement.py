"""What became of one measure at one corner."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from brakelog.record.limit import OutWhen
from brakelog.record.member import Member
from brakelog.review.question import Question
from brakelog.rules.bound import Bound, BoundFigure
from brakelog.rules.measure import Measure


class Outcome(Member):
    """The outcome of one measure."""

    OUT = "out"
    IN = "in"
    NOT_PROVEN = "not proven"
    NO_READING = "no reading"
    NO_LIMIT = "no limit"
    CONTRADICTS = "contradicts itself"
    IN_QUESTION = "in question"


class Doubt(Member):
    """Why something is not proven, or in question."""

    TOO_CLOSE = "too close to the limit for this gauge"
    FEW_POINTS = "too few points"
    UNFIT_GAUGE = "the gauge cannot resolve this limit"
    NEVER_PROVES = "this way of reading never proves that a part is in limits"
    FASTENERS = "not all fasteners were fitted"
    BEARING = "bearing play was not checked"
    BEARING_PLAY = "the bearing is not free of play"
    WAVE = "the wave through the profile is beyond the limit although no angle shows it"
    DID_NOT_RETURN = "the indicator did not come back to its start"
    MEASURE_COLD = "the part was warm: measure cold"
    OTHER_RADIUS = "read at another radius than the limit is for"
    RE_MEASURED = "another set of the same visit says otherwise"
    TURNED = "another position of the rotor on its hub reads otherwise"
    FEWER_POINTS = "an earlier set with more points left it open"
    DISAGREES = "an earlier set reads beyond the limit, and no slip explains it"
    LIP = "there is a lip, and the tips were not pointed"
    DID_NOT_REPEAT = "point 1 read again differs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """One measure, judged; every number in it can be traced to a reading set and a limit."""

    measure: Measure
    outcome: Outcome
    bound: Bound
    set_ids: tuple[str, ...] = ()
    value_nm: int | None = None
    """The deciding value as read. [nm]"""
    judged_nm: Fraction | None = None
    """The value that met the limit: after zero error and temperature. [nm]"""
    typed: str = ""
    """The deciding reading as typed; for a difference the two that it comes from."""
    place: str = ""
    """Where the deciding value was read: ``point 6``, ``trailing end``."""
    points: int = 0
    points_needed: int = 0
    left_out: tuple[str, ...] = ()
    """Ends of a lining that were said not to be read; the thinnest place may be at one of them."""
    gauge: str = ""
    """The instrument that the uncertainty belongs to."""
    gauge_known: bool = True
    overdue: str = ""
    """Tag of the gauge where it was used past its check, with the day; else empty."""
    read_with: str = ""
    """Tag of the gauge and initials of the person, so far as they are on file."""
    u1_nm: float = 0.0
    is_difference: bool = False
    """Whether two readings of the same set make the value, so that what they share cancels."""
    probability: float | None = None
    deciding: BoundFigure | None = None
    margin_nm: Fraction | None = None
    """How far inside the deciding figure, below zero beyond it. [nm]"""
    doubts: tuple[Doubt, ...] = ()
    questions: tuple[Question, ...] = ()
    """Open questions that keep it from deciding, or that a second look has not settled."""
    read_as: Outcome | None = None
    """For a measure in question: what the readings say as they are."""
    is_explained: bool = False
    """For a measure in question: whether a suspicion, if right, would bring it off its limit."""
    corrections: tuple[str, ...] = ()
    """What was applied between the value as read and the one judged, in words."""

    @property
    def out_when(self) -> OutWhen | None:
        """The comparator of the deciding figure."""
        return self.deciding.limit.comparator if self.deciding else None
