"""What stands at the head of documents about one vehicle or one visit."""

from __future__ import annotations

from tests.docs.schemas.kinds import Record
from tests.docs.schemas.scalars import DAY, DISTANCE_UNIT, ID, STAGE, TEXT, WORDS

VEHICLE = Record(
    name="vehicle",
    says="The vehicle, in short.",
    keys={"id": ID, "tag": WORDS, "description": TEXT},
)
VISIT = Record(
    name="visit",
    says="One vehicle, one day, one odometer reading, before or after the work.",
    keys={"id": ID, "date": DAY, "odometer": WORDS, "odometer_unit": DISTANCE_UNIT, "stage": STAGE},
)
