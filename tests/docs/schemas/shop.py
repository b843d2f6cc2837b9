"""The shop itself: its people, its settings, its store."""

from __future__ import annotations

from brakelog.store.tables import EVIDENCE
from brakelog.workshop.shop import LANGUAGES
from tests.docs.schemas.kinds import (
    Closed,
    Either,
    Form,
    Keyed,
    Kind,
    Many,
    Record,
    Scalar,
)
from tests.docs.schemas.scalars import (
    COUNT,
    DISTANCE_UNIT,
    ORDINAL,
    PROBABILITY,
    SHOP_UNIT,
    TEXT,
    WORDS,
)

# People and settings

_PERSON: dict[str, Kind] = {"tag": WORDS, "name": WORDS, "role": TEXT}
_CUSTOMER: dict[str, Kind] = {"tag": WORDS, "name": WORDS, "contact": TEXT}
PEOPLE = Form(
    name="people",
    version=1,
    title="People and customers",
    says="The people of the shop, and its customers.",
    body={
        "people": Many(Record(name="person", says="One of the shop.", keys=_PERSON)),
        "customers": Many(Record(name="customer", says="A customer.", keys=_CUSTOMER)),
    },
)
ONE_PERSON = Form(
    name="person",
    version=1,
    title="A person or a customer",
    says="One of the shop, or one of its customers.",
    body=Either(
        (
            Record(name="person", says="One of the shop.", keys=_PERSON),
            Record(name="customer", says="A customer.", keys=_CUSTOMER),
        )
    ),
)
SHOP = Form(
    name="shop",
    version=1,
    title="Settings of the shop",
    says="The settings of the shop.",
    body={
        "name": TEXT,
        "phone": TEXT,
        "site": TEXT,
        "unit": SHOP_UNIT,
        "distance_unit": DISTANCE_UNIT,
        "language": Closed(name="language", says="A language of the pages.", words=LANGUAGES),
        "probability": PROBABILITY,
        "cut_per_side": Scalar(form={"type": "string", "pattern": r"^[0-9.]+ mm$"}),
        "next_visit": WORDS,
        "next_months": ORDINAL,
        "daily_distance": WORDS,
    },
)

# The store

STORE = Form(
    name="store",
    version=1,
    title="Where the store is",
    says="The file of the store, and how much is in it.",
    body=Either(
        (
            Record(
                name="no_store",
                says="The file is not there yet.",
                keys={"path": WORDS, "exists": Scalar(form={"const": False})},
            ),
            Record(
                name="store",
                says="The file, and how much is in it.",
                keys={
                    "path": WORDS,
                    "exists": Scalar(form={"const": True}),
                    "rows": Keyed(
                        Closed(
                            name="table",
                            says="A table of the store.",
                            words=tuple(table.name for table in EVIDENCE),
                        ),
                        COUNT,
                        least=len(EVIDENCE),
                    ),
                },
            ),
        )
    ),
)
CHECK = Form(
    name="check",
    version=1,
    title="Health of the store",
    says="What is wrong with the file, if anything is.",
    body={
        "path": WORDS,
        "sqlite": WORDS,
        "settings": Keyed(
            Closed(
                name="setting",
                says="A setting of SQLite.",
                words=("journal_mode", "synchronous"),
            ),
            WORDS,
        ),
        "faults": Many(WORDS),
    },
)
