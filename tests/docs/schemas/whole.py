"""Forms that hold everything: of the whole store, and of one customer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Table

from brakelog.record.agreement import Consent, How
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent
from brakelog.record.vehicle import AxleBrake
from brakelog.store.raw_rows import WHOLE_STORE, number_columns
from tests.docs.schemas.kinds import (
    Closed,
    Either,
    Form,
    Keyed,
    Kind,
    Many,
    Maybe,
    Record,
    Scalar,
    Writing,
    closed,
)
from tests.docs.schemas.scalars import (
    CORNER,
    COUNT,
    DAY,
    DISTANCE_UNIT,
    FLAG,
    LENGTH,
    LENGTH_UNIT,
    MOMENT,
    PART,
    POSITION,
    QUANTITY,
    STAGE,
    TEXT,
    WORDS,
)

_SUM = Scalar(form={"type": "string", "pattern": "^[0-9a-f]{64}$"})
_ROW_ID = Scalar(form={"type": "string", "minLength": 1})
_TABLE = Closed(
    name="table",
    says="A table that makes up a store.",
    words=tuple(table.name for table in WHOLE_STORE),
)
_HEAD: dict[str, Kind] = {
    "program": WORDS,
    "schema": COUNT,
    "learned": FLAG,
    "exported_at": MOMENT,
    "chains": Many(
        Record(
            name="chain_end",
            says="The end of the chain of a site.",
            keys={"site": WORDS, "rows": COUNT, "link": _SUM},
            at=("`sheets` or `chains`",),
        )
    ),
}
_STORE = Path(__file__).resolve().parents[3] / "docs" / "reference" / "store.md"


def _said(heading: str) -> dict[str, str]:
    """Return what the last cell of each row says, by the first, in a section about the store."""
    section = _STORE.read_text(encoding="utf-8").split(f"\n## {heading}\n")[1].split("\n## ")[0]
    rows = re.findall(r"^\| `(\w+)` \|(?:.* \|)? (.+?) \|$", section, re.MULTILINE)
    return {name: re.sub(r"\[([^\]]+)\]\([^)]+\)", r"\1", words) for name, words in rows}


@dataclass(frozen=True, slots=True)
class _Tables:
    """The rows of every table, each with just the columns of its table."""

    def schema(self, writing: Writing) -> dict[str, Any]:
        """Return its schema; a row of each table goes among the definitions."""
        columns, tables = _said("Columns"), _said("Tables")
        return {
            "type": "object",
            "properties": {
                table.name: {
                    "description": f"One row is {tables[table.name]}.",
                    "type": "array",
                    "items": writing.refer(f"row_of_{table.name}", _row_of(table, columns)),
                }
                for table in WHOLE_STORE
            },
            "required": [table.name for table in WHOLE_STORE],
            "additionalProperties": False,
        }


def _row_of(table: Table, says: Mapping[str, str]) -> dict[str, Any]:
    numbers = number_columns(table)
    properties = {}
    for column in table.columns:
        kind = "integer" if column.name in numbers else "string"
        properties[column.name] = {
            "description": says[column.name],
            "type": [kind, "null"] if column.nullable else kind,
        }
    return {
        "description": f"A row of {table.name}.",
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


EXPORT = Form(
    name="export",
    version=1,
    title="Everything in the store",
    says="Everything in the store, in one file; or the list of the sheets that hold it.",
    body=Either(
        (
            Record(
                name="manifest",
                says="What lies in a folder of sheets.",
                keys=_HEAD
                | {
                    "sheets": Many(
                        Record(
                            name="sheet",
                            says="One sheet.",
                            keys={"table": _TABLE, "file": WORDS, "rows": COUNT, "sha256": _SUM},
                            at=("`sheets` or `chains`",),
                        )
                    )
                },
            ),
            Record(
                name="one_file",
                says="Everything in one file.",
                keys=_HEAD
                | {
                    "rows": Keyed(_TABLE, COUNT, least=len(WHOLE_STORE)),
                    "tables": _Tables(),
                },
            ),
        )
    ),
)

_WHAT = ("`readings`, `findings`",)
CUSTOMER = Form(
    name="customer",
    version=1,
    title="Everything about one customer",
    says="What is on file about a customer and their vehicles.",
    body={
        "customer": Record(
            name="customer",
            says="A customer.",
            keys={"id": _ROW_ID, "tag": WORDS, "name": WORDS, "contact": Maybe(WORDS)},
            at=("`customer` and",),
        ),
        "vehicles": Many(
            Record(
                name="vehicle",
                says="A vehicle with all that is on file about it.",
                keys={
                    "id": _ROW_ID,
                    "tag": WORDS,
                    "description": TEXT,
                    "plate": Maybe(WORDS),
                    "vin": Maybe(WORDS),
                    "brakes": Many(closed(AxleBrake, "brake")),
                    "visits": Many(
                        Record(
                            name="visit",
                            says="One vehicle, one day, one odometer reading.",
                            keys={
                                "id": _ROW_ID,
                                "date": DAY,
                                "odometer": TEXT,
                                "odometer_unit": DISTANCE_UNIT,
                                "void": Maybe(WORDS),
                                "by": Maybe(WORDS),
                                "complaints": Many(WORDS),
                                "readings": Many(
                                    Record(
                                        name="reading",
                                        says="The values of one quantity at one corner.",
                                        keys={
                                            "id": _ROW_ID,
                                            "corner": CORNER,
                                            "quantity": QUANTITY,
                                            "stage": STAGE,
                                            "typed": Many(TEXT),
                                            "unit": LENGTH_UNIT,
                                            "values_mm": Many(Maybe(LENGTH)),
                                            "recorded_at": MOMENT,
                                            "by": Maybe(WORDS),
                                            "holds": FLAG,
                                        },
                                        at=_WHAT,
                                    )
                                ),
                                "findings": Many(
                                    Record(
                                        name="finding",
                                        says="Something that was seen.",
                                        keys={
                                            "id": _ROW_ID,
                                            "corner": CORNER,
                                            "stage": STAGE,
                                            "part": PART,
                                            "kind": closed(FindingKind, "finding_kind"),
                                            "put_right": FLAG,
                                            "note": TEXT,
                                            "recorded_at": MOMENT,
                                            "holds": FLAG,
                                        },
                                        at=_WHAT,
                                    )
                                ),
                                "fittings": Many(
                                    Record(
                                        name="fitting",
                                        says="An event in the life of a part.",
                                        keys={
                                            "id": _ROW_ID,
                                            "date": DAY,
                                            "corner": CORNER,
                                            "position": POSITION,
                                            "event": closed(FittingEvent, "fitting_event"),
                                            "size_typed": TEXT,
                                            "note": TEXT,
                                            "recorded_at": MOMENT,
                                            "holds": FLAG,
                                        },
                                        at=_WHAT,
                                    )
                                ),
                                "agreements": Many(
                                    Record(
                                        name="agreement",
                                        says="What was agreed to or declined.",
                                        keys={
                                            "consent": closed(Consent, "consent"),
                                            "items": Many(WORDS),
                                            "date": DAY,
                                            "time": TEXT,
                                            "how": closed(How, "how"),
                                            "cost": TEXT,
                                            "note": TEXT,
                                            "who": TEXT,
                                            "number": TEXT,
                                        },
                                        at=_WHAT,
                                    )
                                ),
                                "verdicts": Many(
                                    Record(
                                        name="issued",
                                        says="A verdict as it was issued.",
                                        keys={
                                            "issued_at": MOMENT,
                                            "stage": STAGE,
                                            "document": WORDS,
                                            "sheet": Maybe(TEXT),
                                        },
                                        at=_WHAT,
                                    )
                                ),
                            },
                            at=("entry of `visits`",),
                        )
                    ),
                },
                at=("`customer` and",),
            )
        ),
    },
)
