"""Values that stand in many forms: ids, days, lengths, distances, places."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.rules.bound import BoundState
from brakelog.rules.verdict import Because, Grounds, Word
from brakelog.wear.projection import Note, Refusal
from tests.docs.schemas.kinds import Closed, Scalar, closed

_NUMBER = r"(0|[1-9][0-9]*)(\.[0-9]+)?"

TEXT = Scalar(form={"type": "string"})
WORDS = Scalar(form={"type": "string", "minLength": 1})
"""A text that is never empty."""
FLAG = Scalar(form={"type": "boolean"})
COUNT = Scalar(form={"type": "integer", "minimum": 0})
ORDINAL = Scalar(form={"type": "integer", "minimum": 1})
AXLE_NUMBER = Scalar(form={"type": "integer", "minimum": 1, "maximum": 9})
NUMBER = Scalar(form={"type": "number"})
AMOUNT = Scalar(form={"type": "number", "minimum": 0})
SHARE_NUMBER = Scalar(form={"type": "number", "minimum": 0, "maximum": 1})

ID = Scalar(
    name="id",
    says="Id of a row in the store.",
    form={"type": "string", "pattern": "^[0-9a-f]{32}$"},
)
DAY = Scalar(
    name="day",
    says="A day.",
    form={"type": "string", "format": "date", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"},
)
MOMENT = Scalar(
    name="moment",
    says="A moment, in UTC.",
    form={
        "type": "string",
        "format": "date-time",
        "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?\+00:00$",
    },
)
SIZE = Scalar(
    name="size_mm",
    says="A length in millimetres, as a decimal string; never below zero.",
    form={"type": "string", "pattern": f"^{_NUMBER}$"},
)
LENGTH = Scalar(
    name="length_mm",
    says="A length in millimetres, as a decimal string; it may be below zero.",
    form={"type": "string", "pattern": f"^-?{_NUMBER}$"},
)
DISTANCE = Scalar(
    name="distance_km",
    says="A distance in kilometres, as a decimal string; never below zero.",
    form={"type": "string", "pattern": f"^{_NUMBER}$"},
)
SIGNED_DISTANCE = Scalar(
    name="signed_distance_km",
    says="A distance in kilometres, as a decimal string; below zero where it is past.",
    form={"type": "string", "pattern": f"^-?{_NUMBER}$"},
)
RATE = Scalar(
    name="rate_mm_per_1000_km",
    says="Wear in millimetres for each 1,000 km, as a decimal string.",
    form={"type": "string", "pattern": f"^-?{_NUMBER}$"},
)
DECIMAL = Scalar(
    name="decimal",
    says="A number, as a decimal string; never below zero.",
    form={"type": "string", "pattern": f"^{_NUMBER}$"},
)
PROBABILITY = Scalar(
    name="probability",
    says="A probability from 0 to 1, as a decimal string.",
    form={"type": "string", "pattern": r"^(0(\.[0-9]+)?|1(\.0+)?)$"},
)
ANGLE = Scalar(
    name="angle_deg",
    says="An angle in degrees, as a decimal string.",
    form={"type": "string", "pattern": f"^-?{_NUMBER}$"},
)

CORNER = Scalar(
    name="corner",
    says="One wheel, seen from the driver's seat.",
    form={"type": "string", "pattern": "^[LR][FR3-9]$"},
)
AXLE = Scalar(
    name="axle",
    says="One axle, counted from the front.",
    form={"type": "string", "pattern": "^(front|rear|axle [3-9])$"},
)

PART = closed(Part, "part")
POSITION = closed(Position, "position")
QUANTITY = closed(Quantity, "quantity")
STAGE = closed(Stage, "stage")
DATUM = closed(Datum, "datum")
LENGTH_UNIT = closed(LengthUnit, "length_unit")
SHOP_UNIT = Closed(
    name="shop_unit",
    says="The unit that the shop reads first.",
    words=(LengthUnit.MM.value, LengthUnit.INCH.value),
)
DISTANCE_UNIT = closed(DistanceUnit, "distance_unit")
LIMIT_STATE = closed(BoundState, "limit_state")
VERDICT_WORD = closed(Word, "verdict_word")
GROUNDS = closed(Grounds, "grounds")
REASON_CODE = closed(Because, "reason_code")
REFUSAL = closed(Refusal, "refusal")
PROJECTION_NOTE = closed(Note, "projection_note")
LINING = Closed(
    name="linings",
    says="What carries friction material.",
    words=(Part.PADS.value, Part.SHOES.value),
)
IRON = Closed(
    name="iron",
    says="What linings rub on.",
    words=(Part.ROTOR.value, Part.DRUM.value),
)


def constant(text: str) -> Scalar:
    """Return a text that is always the same."""
    return Scalar(form={"const": text})
