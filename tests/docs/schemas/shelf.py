"""What is on file: vehicles with their entries, limits, gauges."""

from __future__ import annotations

from brakelog.record.finding import FindingKind
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.limit import WhichPad
from brakelog.record.vehicle import AxleBrake
from tests.docs.schemas.history import FITTING_EVENT, SIZE_BASIS
from tests.docs.schemas.judged import LIMIT_KIND, OUT_WHEN
from tests.docs.schemas.kinds import (
    Either,
    Form,
    Kind,
    Many,
    Maybe,
    Record,
    closed,
)
from tests.docs.schemas.packs import TRAIT
from tests.docs.schemas.scalars import (
    AXLE,
    CORNER,
    DATUM,
    DAY,
    DISTANCE_UNIT,
    FLAG,
    ID,
    LENGTH,
    LENGTH_UNIT,
    MOMENT,
    ORDINAL,
    PART,
    POSITION,
    QUANTITY,
    SIZE,
    STAGE,
    TEXT,
    WORDS,
    constant,
)

# Vehicles

_VEHICLE: dict[str, Kind] = {
    "id": ID,
    "tag": WORDS,
    "description": TEXT,
    "brakes": Many(closed(AxleBrake, "brake"), least=1, most=9),
    "odometer_unit": DISTANCE_UNIT,
    "limit_sheet": Maybe(WORDS),
    "plate": Maybe(WORDS),
    "vin": Maybe(WORDS),
    "customer": Maybe(WORDS),
}
VEHICLES = Form(
    name="vehicles",
    version=1,
    title="Vehicles",
    says="Every vehicle on file.",
    body={
        "vehicles": Many(Record(name="vehicle", says="One vehicle.", keys=_VEHICLE)),
    },
)
_VISIT = Record(
    name="visit",
    says="One visit of the vehicle.",
    keys={
        "id": ID,
        "date": DAY,
        "odometer": WORDS,
        "odometer_unit": DISTANCE_UNIT,
        "void": Maybe(WORDS),
        "moved": FLAG,
    },
)
ONE_VEHICLE = Form(
    name="vehicle",
    version=1,
    title="A vehicle",
    says="One vehicle with its visits.",
    body={
        "vehicle": Record(
            name="vehicle",
            says="The vehicle.",
            keys={**_VEHICLE, "visits": Many(_VISIT)},
        ),
    },
)

# Limits

SHEETS = Form(
    name="sheets",
    version=1,
    title="Limit sheets",
    says="Names of the limit sheets.",
    body={"sheets": Many(WORDS)},
)
_LIMIT = Record(
    name="limit",
    says="One limit as printed, or one mark as cast.",
    keys={
        "id": ID,
        "axle": AXLE,
        "corner": Maybe(CORNER),
        "kind": LIMIT_KIND,
        "as_printed": WORDS,
        "figures": Many(
            Record(
                name="printed_figure",
                says="One figure of a limit.",
                keys={"text": WORDS, "unit": LENGTH_UNIT, "mm": SIZE},
            ),
            least=1,
            most=2,
        ),
        "out_when": Maybe(OUT_WHEN),
        "comparator_stated": FLAG,
        "datum": Maybe(DATUM),
        "which_pad": closed(WhichPad, "which_pad"),
        "points": Maybe(ORDINAL),
        "radius_mm": Maybe(SIZE),
        "source": WORDS,
        "source_date": Maybe(DAY),
        "contradicts": FLAG,
        "note": TEXT,
    },
)
_TORQUE = Record(
    name="torque",
    says="One torque of the sheet.",
    keys={"axle": AXLE, "fastener": WORDS, "figure": WORDS, "source": TEXT},
)
_TRAIT = Record(
    name="sheet_trait",
    says="One trait of the sheet.",
    keys={"axle": Maybe(AXLE), "trait": TRAIT, "value": WORDS, "source": Maybe(WORDS)},
)
LIMITS = Form(
    name="limits",
    version=1,
    title="A limit sheet",
    says="Limits, torques and traits of one sheet, or limits and marks of one vehicle.",
    body={
        "sheet": WORDS,
        "limits": Many(_LIMIT),
        "torques": Many(_TORQUE),
        "traits": Many(_TRAIT),
    },
)

# Gauges

_GAUGE = Record(
    name="gauge",
    says="One gauge.",
    keys={
        "id": ID,
        "tag": WORDS,
        "kind": closed(GaugeKind, "gauge_kind"),
        "unit": LENGTH_UNIT,
        "resolution": WORDS,
        "resolution_mm": SIZE,
        "used_for": Many(QUANTITY),
        "tips": Maybe(closed(Tips, "tips")),
        "error_limit_mm": Maybe(SIZE),
        "checked_on": Maybe(DAY),
        "check_every_months": Maybe(ORDINAL),
        "note": TEXT,
    },
)
GAUGES = Form(
    name="gauges",
    version=1,
    title="Gauges",
    says="Every gauge of the shop.",
    body={"gauges": Many(_GAUGE)},
)
ONE_GAUGE = Form(
    name="gauge",
    version=1,
    title="A gauge",
    says="One gauge of the shop.",
    body={"gauge": _GAUGE},
)

# What was put on file about a vehicle

_ENTRY: dict[str, Kind] = {
    "id": ID,
    "visit": DAY,
    "odometer": WORDS,
    "odometer_was": Maybe(WORDS),
    "corner": CORNER,
    "gauge": Maybe(WORDS),
    "person": Maybe(WORDS),
}
ENTRIES = Form(
    name="entries",
    version=1,
    title="What is on file about a vehicle",
    says="The reading sets, findings and fittings of one vehicle that hold today.",
    body={
        "entries": Many(
            Either(
                (
                    Record(
                        name="reading_set",
                        says="Values taken in one go.",
                        keys={
                            **_ENTRY,
                            "entry": constant("reading set"),
                            "stage": STAGE,
                            "quantity": QUANTITY,
                            "typed": Many(TEXT, least=1),
                            "values_mm": Many(Maybe(LENGTH), least=1),
                            "unit": LENGTH_UNIT,
                            "recorded_at": Maybe(MOMENT),
                            "corrects": Maybe(ID),
                        },
                        at=("Every entry", "A reading set"),
                    ),
                    Record(
                        name="finding",
                        says="Something seen, not measured.",
                        keys={
                            **_ENTRY,
                            "entry": constant("finding"),
                            "stage": STAGE,
                            "finding": closed(FindingKind, "finding_kind"),
                            "part": PART,
                            "put_right": FLAG,
                            "note": TEXT,
                        },
                        at=("Every entry", "A finding"),
                    ),
                    Record(
                        name="fitting",
                        says="A part that was fitted, refinished, moved or removed.",
                        keys={
                            **_ENTRY,
                            "entry": constant("fitting"),
                            "part": POSITION,
                            "event": FITTING_EVENT,
                            "basis": SIZE_BASIS,
                            "size_typed": Maybe(WORDS),
                            "size_mm": Maybe(SIZE),
                            "note": TEXT,
                        },
                        at=("Every entry", "A fitting"),
                    ),
                )
            )
        ),
    },
)
