"""How a question is put together: its key, its sets, and what they would read instead."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping

from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit
from brakelog.review.question import Confidence, Question, Scope, Suspicion

KEY_DIGITS = 16
"""Hexadecimal digits of a key behind its code: 64 bits, so that two never meet in one shop."""


def key_of(suspicion: Suspicion, *evidence: str) -> str:
    """Return the key of a question: its code and a digest of what it rests on.

    Parameters
    ----------
    suspicion : Suspicion
        What is suspected.
    *evidence : str
        Ids and figures; the same in the same order give the same key.
    """
    digest = hashlib.sha256("\n".join(evidence).encode()).hexdigest()[:KEY_DIGITS]
    return f"{suspicion.value}:{digest}"


def ask_about(
    suspicion: Suspicion,
    readings: Iterable[ReadingSet],
    *,
    scope: Scope,
    confidence: Confidence,
    evidence: str,
    ask: str,
    points: Iterable[int] = (),
    instead_nm: Mapping[str, tuple[int | None, ...]] | None = None,
    against: Iterable[ReadingSet] = (),
    reads_high: bool | None = None,
    settled_by_looking: bool = False,
) -> Question:
    """Return a question about reading sets of one visit.

    Parameters
    ----------
    suspicion : Suspicion
        What is suspected.
    readings : iterable of ReadingSet
        The sets that it is about; at least one.
    scope, confidence, evidence, ask, points, instead_nm, reads_high, settled_by_looking
        As in ``Question``; without ``instead_nm`` no value of the sets would be usable.
    against : iterable of ReadingSet
        Other sets that the evidence rests on; they are part of the key.
    """
    sets = tuple(readings)
    where = tuple(points)
    return Question(
        suspicion=suspicion,
        scope=scope,
        confidence=confidence,
        key=key_of(
            suspicion,
            *(each.id for each in sets),
            *map(str, where),
            "against",
            *(each.id for each in against),
        ),
        visit_id=sets[0].visit_id,
        corners=tuple(dict.fromkeys(each.corner for each in sets)),
        set_ids=tuple(each.id for each in sets),
        points=where,
        instead_nm=unusable(sets) if instead_nm is None else instead_nm,
        reads_high=reads_high,
        settled_by_looking=settled_by_looking,
        evidence=evidence,
        ask=ask,
    )


def ask_of_visit(
    suspicion: Suspicion,
    visit: Visit,
    before: Visit | None,
    *,
    confidence: Confidence,
    evidence: str,
    ask: str,
) -> Question:
    """Return a question about the odometer of a visit."""
    return Question(
        suspicion=suspicion,
        scope=Scope.ODOMETER,
        confidence=confidence,
        key=key_of(
            suspicion,
            visit.id,
            str(visit.odometer_mm),
            *((before.id, str(before.odometer_mm)) if before else ()),
        ),
        visit_id=visit.id,
        evidence=evidence,
        ask=ask,
    )


def unusable(readings: Iterable[ReadingSet]) -> dict[str, tuple[int | None, ...]]:
    """Return sets of which no value can be used."""
    return {each.id: (None,) * len(each.values_nm) for each in readings}


def with_points(
    reading: ReadingSet, instead: Mapping[int, int | None]
) -> dict[str, tuple[int | None, ...]]:
    """Return a set with some of its points, by index, read differently. [nm]"""
    return {reading.id: tuple(instead.get(n, nm) for n, nm in enumerate(reading.values_nm))}


def shifted(reading: ReadingSet, by_nm: int) -> dict[str, tuple[int | None, ...]]:
    """Return a set of which every value is larger by the same amount. [nm]"""
    return {reading.id: tuple(None if nm is None else nm + by_nm for nm in reading.values_nm)}


def scaled(reading: ReadingSet, top: int, bottom: int) -> dict[str, tuple[int | None, ...]]:
    """Return a set of which every value is multiplied by the same fraction."""
    return {
        reading.id: tuple(
            None if nm is None else round(nm * top / bottom) for nm in reading.values_nm
        )
    }
