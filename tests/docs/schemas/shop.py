"""The shop itself: its people, its settings, its store."""

from __future__ import annotations

from brakelog.record.shop import LANGUAGES
from brakelog.store.tables import EVIDENCE
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
)
from tests.docs.schemas.scalars import (
    COUNT,
    DISTANCE_UNIT,
    MOMENT,
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
_SEAL = Scalar(
    name="link",
    says="A link of the chain: 64 hexadecimal digits.",
    form={"type": "string", "pattern": "^[0-9a-f]{64}$"},
)
CHECK = Form(
    name="check",
    version=2,
    title="Health of the store",
    says="What is wrong with the store, if anything is.",
    body={
        "path": WORDS,
        "engine": WORDS,
        "settings": Keyed(Scalar(form={"type": "string", "minLength": 1}), WORDS),
        "schema": COUNT,
        "rows": Maybe(COUNT),
        "chains": Many(
            Record(
                name="chain_end",
                says="The end of the chain of a site.",
                keys={"site": WORDS, "rows": COUNT, "link": WORDS},
                at=("`chains`",),
            )
        ),
        "faults": Many(WORDS),
    },
)
JOURNAL = Form(
    name="journal",
    version=1,
    title="Journal",
    says="Changes of the record, the newest last.",
    body={
        "changes": Many(
            Record(
                name="change",
                says="One row that was added to the record.",
                keys={
                    "recorded_at": MOMENT,
                    "who": Maybe(WORDS),
                    "site": WORDS,
                    "vehicle": Maybe(WORDS),
                    "what": Closed(
                        name="evidence",
                        says="A table of evidence.",
                        words=tuple(table.name for table in EVIDENCE),
                    ),
                    "id": WORDS,
                    "about": Many(WORDS),
                    "why": Maybe(WORDS),
                    "link": _SEAL,
                },
                at=("`changes`",),
            )
        )
    },
)
