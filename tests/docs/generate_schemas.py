"""Write docs/reference/schemas: what ``--json`` may print, form by form, as JSON Schema.

Run it as ``python tests/docs/generate_schemas.py`` after a form has changed; the program need not
be installed. The keys and their kinds stand in tests/docs/schemas, closed sets of words come from
the enums of the program, and what a key means from the tables of docs/reference/json.md.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.docs.schemas.customer import REMINDER, SUMMARY
from tests.docs.schemas.due import BACK_TEST, DUE, EXPERIENCE
from tests.docs.schemas.finish import FINISH
from tests.docs.schemas.history import HISTORY
from tests.docs.schemas.kinds import Form, Json, Writing
from tests.docs.schemas.meanings import Section, sections
from tests.docs.schemas.packs import RULE_PACK, RULES
from tests.docs.schemas.questions import QUESTIONS
from tests.docs.schemas.runout import RUNOUT
from tests.docs.schemas.shelf import (
    ENTRIES,
    GAUGES,
    LIMITS,
    ONE_GAUGE,
    ONE_VEHICLE,
    SHEETS,
    VEHICLES,
)
from tests.docs.schemas.shop import CHECK, JOURNAL, ONE_PERSON, PEOPLE, SHOP, STORE
from tests.docs.schemas.study import STUDY
from tests.docs.schemas.verdict import VERDICT
from tests.docs.schemas.whole import CUSTOMER, EXPORT

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "reference" / "schemas"
DRAFT = "https://json-schema.org/draft/2020-12/schema"
FORMS = (
    *(VERDICT, HISTORY, QUESTIONS, SUMMARY, REMINDER, FINISH, RUNOUT),
    *(VEHICLES, ONE_VEHICLE, SHEETS, LIMITS, GAUGES, ONE_GAUGE, STUDY, PEOPLE, ONE_PERSON),
    *(DUE, EXPERIENCE, BACK_TEST, SHOP, RULES, RULE_PACK),
    *(STORE, CHECK, JOURNAL, ENTRIES),
    *(EXPORT, CUSTOMER),
)


def schema(form: Form, section: Section) -> dict[str, Json]:
    """Return the schema of a form; ``section`` says what its keys mean."""
    writing = Writing(meanings=section)
    body = form.open(writing)
    return {
        "$schema": DRAFT,
        "title": f"{form.format}: {form.title}",
        "description": f"{form.says} {section.lead}",
        **body,
        "$defs": dict(sorted(writing.definitions.items())),
    }


def schemas(page: Mapping[str, Section]) -> dict[str, dict[str, Json]]:
    """Return every schema by the name of its file; ``page`` says what the keys mean."""
    return {form.file: schema(form, page[form.format]) for form in FORMS}


def as_text(found: dict[str, Json]) -> str:
    """Return a schema as it stands in its file."""
    return json.dumps(found, ensure_ascii=False, indent=2) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for stale in FOLDER.glob("*.json"):
        stale.unlink()
    for name, found in schemas(sections()).items():
        (FOLDER / name).write_text(as_text(found), encoding="utf-8", newline="\n")
