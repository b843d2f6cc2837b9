"""What can be suspected of readings, with codes that never change their meaning."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.member import Member


class SettledBy(Member):
    """Which earlier set of the same visit shows that the newest one is as it reads."""

    READING = "a second reading set"
    """Any that shows the same at the same points and is no digit-for-digit copy."""
    POINTED = "a second reading set with pointed tips"
    """Flat faces rest on a lip the second time too."""
    OTHER_UNIT = "a second reading set with its unit typed"
    """The same slip of unit gives the same numbers again."""
    NOTHING = "an answer"
    """The same again proves nothing."""


class Suspicion(Member):
    """What is suspected; stable codes."""

    TURN = "Q201"
    SLEEVE = "Q202"
    TURN_ON_ALL = "Q203"
    DECIMAL = "Q204"
    DIGITS = "Q205"
    NOT_REPEATED = "Q206"
    LIP = "Q207"
    LIP_NOT_JUDGED = "Q208"
    GROOVE = "Q209"
    STRAY = "Q210"
    LINING_UNIT = "Q221"
    RUNOUT_UNIT = "Q222"
    PLATE = "Q223"
    BEYOND_NEW = "Q224"
    NOTCH = "Q225"
    CORNERS = "Q231"
    PADS = "Q232"
    NOT_AS_LEFT = "Q233"
    COPIED = "Q234"
    TOO_EVEN = "Q235"
    HOLD = "Q236"
    CLIPPED = "Q241"
    BELOW_ZERO = "Q242"
    BASE_SLIPPED = "Q243"
    GREW = "Q251"
    REPLACED = "Q252"
    REFINISHED = "Q253"
    ODOMETER_LOWER = "Q261"
    ODOMETER_DIGITS = "Q262"
    ODOMETER_UNIT = "Q263"
    ODOMETER_TENTHS = "Q264"
    TRIP_METER = "Q265"
    ODOMETER_FAST = "Q266"
    VEHICLE = "Q271"

    @property
    def facts(self) -> SuspicionFacts:
        """What it is called and what settles it."""
        return _FACTS[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspicionFacts:
    """Name of one suspicion, and what settles it without an answer."""

    label: str
    settled_by: SettledBy = SettledBy.READING


_FACTS = {
    Suspicion.TURN: SuspicionFacts(label="thimble one turn off"),
    Suspicion.SLEEVE: SuspicionFacts(label="sleeve digit off by one"),
    Suspicion.TURN_ON_ALL: SuspicionFacts(label="half-turn line missed on all points"),
    Suspicion.DECIMAL: SuspicionFacts(label="decimal point one place off"),
    Suspicion.DIGITS: SuspicionFacts(label="two digits swapped"),
    Suspicion.NOT_REPEATED: SuspicionFacts(label="first point does not repeat"),
    Suspicion.LIP: SuspicionFacts(label="lip measured", settled_by=SettledBy.POINTED),
    Suspicion.LIP_NOT_JUDGED: SuspicionFacts(label="lip not judged", settled_by=SettledBy.POINTED),
    Suspicion.GROOVE: SuspicionFacts(label="bottom of a groove measured"),
    Suspicion.STRAY: SuspicionFacts(label="one point far from the others"),
    Suspicion.LINING_UNIT: SuspicionFacts(
        label="unit of a lining", settled_by=SettledBy.OTHER_UNIT
    ),
    Suspicion.RUNOUT_UNIT: SuspicionFacts(
        label="unit of a runout or depth", settled_by=SettledBy.OTHER_UNIT
    ),
    Suspicion.PLATE: SuspicionFacts(label="backing plate measured too"),
    Suspicion.BEYOND_NEW: SuspicionFacts(label="beyond the size of a new part"),
    Suspicion.NOTCH: SuspicionFacts(label="drum gauge set to the wrong notch"),
    Suspicion.CORNERS: SuspicionFacts(label="corners swapped"),
    Suspicion.PADS: SuspicionFacts(label="pads or shoes of a corner swapped"),
    Suspicion.NOT_AS_LEFT: SuspicionFacts(label="as-found readings typed as left"),
    Suspicion.COPIED: SuspicionFacts(label="readings copied"),
    Suspicion.TOO_EVEN: SuspicionFacts(label="readings too even"),
    Suspicion.HOLD: SuspicionFacts(
        label="gauge on hold or counting from zero", settled_by=SettledBy.NOTHING
    ),
    Suspicion.CLIPPED: SuspicionFacts(label="indicator lost contact", settled_by=SettledBy.NOTHING),
    Suspicion.BELOW_ZERO: SuspicionFacts(
        label="indicator not zeroed at the low spot", settled_by=SettledBy.NOTHING
    ),
    Suspicion.BASE_SLIPPED: SuspicionFacts(
        label="indicator base slipped", settled_by=SettledBy.NOTHING
    ),
    Suspicion.GREW: SuspicionFacts(label="more material than before"),
    Suspicion.REPLACED: SuspicionFacts(
        label="replaced without a record", settled_by=SettledBy.NOTHING
    ),
    Suspicion.REFINISHED: SuspicionFacts(
        label="refinished without a record", settled_by=SettledBy.NOTHING
    ),
    Suspicion.ODOMETER_LOWER: SuspicionFacts(
        label="odometer lower than before", settled_by=SettledBy.NOTHING
    ),
    Suspicion.ODOMETER_DIGITS: SuspicionFacts(
        label="odometer digits swapped", settled_by=SettledBy.NOTHING
    ),
    Suspicion.ODOMETER_UNIT: SuspicionFacts(
        label="kilometres and miles mixed up", settled_by=SettledBy.NOTHING
    ),
    Suspicion.ODOMETER_TENTHS: SuspicionFacts(
        label="tenths digit of the odometer typed", settled_by=SettledBy.NOTHING
    ),
    Suspicion.TRIP_METER: SuspicionFacts(label="trip meter typed", settled_by=SettledBy.NOTHING),
    Suspicion.ODOMETER_FAST: SuspicionFacts(
        label="driven further than anybody drives", settled_by=SettledBy.NOTHING
    ),
    Suspicion.VEHICLE: SuspicionFacts(label="another vehicle", settled_by=SettledBy.NOTHING),
}
