"""Local rules: their packs, their clauses, and where linings stand by them."""

from __future__ import annotations

from brakelog.record.trait import TRAITS
from brakelog.rules.pack import CountedFrom, MeasuredAt, Standing
from brakelog.rules.pack_verdict import PackOutcome, Why
from tests.docs.schemas.judged import OUT_WHEN
from tests.docs.schemas.kinds import Closed, Form, Kind, Many, Maybe, Record, closed
from tests.docs.schemas.scalars import (
    CORNER,
    DAY,
    FLAG,
    ID,
    LENGTH,
    LINING,
    POSITION,
    PROBABILITY,
    SIZE,
    TEXT,
    WORDS,
)

TRAIT = Closed(name="trait", says="Name of a trait of the variant.", words=tuple(TRAITS))
_STANDING = closed(Standing, "standing")
_COUNTED_FROM = closed(CountedFrom, "counted_from")
_MEASURED_AT = closed(MeasuredAt, "measured_at")
_PACK: dict[str, Kind] = {
    "pack": WORDS,
    "title": WORDS,
    "document": WORDS,
    "authority": WORDS,
    "jurisdiction": WORDS,
    "scope": WORDS,
    "valid_from": Maybe(DAY),
    "valid_from_note": Maybe(WORDS),
    "standing": _STANDING,
    "standing_note": TEXT,
    "advice": WORDS,
}
_LISTED = {**_PACK, "on": FLAG, "own": FLAG}

LOCAL_RULES = Record(
    name="local_rules",
    says="What one pack that is on says of every lining.",
    keys={
        **_PACK,
        "linings": Many(
            Record(
                name="lining_by_clause",
                says="One lining by one clause.",
                keys={
                    "corner": CORNER,
                    "position": POSITION,
                    "clause": WORDS,
                    "number": WORDS,
                    "outcome": closed(PackOutcome, "clause_outcome"),
                    "text": WORDS,
                    "if": Many(WORDS),
                    "unless": Maybe(WORDS),
                    "why": Many(closed(Why, "clause_doubt")),
                    "figures": Many(
                        Record(
                            name="clause_figure",
                            says="One figure of a clause, met or not.",
                            keys={"figure": WORDS, "mm": SIZE, "beyond": Maybe(FLAG)},
                            at=("`linings`",),
                        ),
                        least=1,
                    ),
                    "out_when": OUT_WHEN,
                    "comparator_stated": FLAG,
                    "counted_from": _COUNTED_FROM,
                    "measured_at": _MEASURED_AT,
                    "standing": _STANDING,
                    "value_mm": Maybe(SIZE),
                    "judged_mm": Maybe(LENGTH),
                    "typed": Maybe(WORDS),
                    "place": Maybe(WORDS),
                    "reading_set": Maybe(ID),
                    "gauge": Maybe(WORDS),
                    "u1_mm": Maybe(SIZE),
                    "probability": Maybe(PROBABILITY),
                    "margin_mm": Maybe(LENGTH),
                },
                at=("`linings`",),
            )
        ),
        "shown_only": Many(
            Record(
                name="shown_clause",
                says="A clause without a figure.",
                keys={"number": WORDS, "wording": WORDS, "standing": _STANDING},
                at=("`local_rules`", "`linings`"),
            )
        ),
    },
    at=("`local_rules`",),
)
RULES = Form(
    name="rules",
    version=1,
    title="Packs of local rules",
    says="The packs of local rules.",
    body={
        "packs": Many(Record(name="pack", says="One pack.", keys=_LISTED)),
    },
)
RULE_PACK = Form(
    name="rule-pack",
    version=1,
    title="A pack of local rules",
    says="One pack with its clauses.",
    body={
        **_LISTED,
        "clauses": Many(
            Record(
                name="clause",
                says="One clause, whatever was read.",
                keys={
                    "clause": WORDS,
                    "number": WORDS,
                    "wording": WORDS,
                    "standing": _STANDING,
                    "parts": Many(LINING),
                    "figures": Many(
                        Record(
                            name="clause_figure",
                            says="One figure of a clause.",
                            keys={"figure": WORDS, "mm": SIZE},
                        )
                    ),
                    "out_when": Maybe(OUT_WHEN),
                    "comparator_stated": Maybe(FLAG),
                    "counted_from": Maybe(_COUNTED_FROM),
                    "measured_at": Maybe(_MEASURED_AT),
                    "when": Many(
                        Record(
                            name="condition",
                            says="A trait that the clause depends on.",
                            keys={"trait": TRAIT, "values": Many(WORDS, least=1)},
                        )
                    ),
                    "only_if": Maybe(WORDS),
                    "unless": Maybe(WORDS),
                    "note": Maybe(WORDS),
                },
            )
        ),
    },
)
