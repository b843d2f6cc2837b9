"""Rows of readings that say nothing new but their values: most rows of a long sheet."""

from __future__ import annotations

import re
from collections.abc import Sequence
from operator import itemgetter
from typing import Any

from brakelog.intake.reading_row import (
    BESIDE_COLUMNS,
    VISIT_COLUMNS,
    VISITS_KNOWN,
    BesideSaid,
    ReadingRow,
    VisitSaid,
)
from brakelog.intake.words import WORDS_KNOWN

LONGEST_KNOWN = 1_000
"""Characters of a row that is kept in mind; a usual one has a tenth of them, and thousands are
kept. [-]"""
_NUMBERS = re.compile(r"[0-9][0-9., ]{0,1000}", re.ASCII)
"""Values that are numbers and nothing else: no unit, no fraction, no sign."""


class KnownRows:
    """Reads rows by what the cells of earlier ones were read as; whatever is new it leaves.

    Nothing is judged here: cells that stood in a row with nothing wrong in it say again what they
    said there, as long as they are the same to the last character.

    Parameters
    ----------
    columns : sequence of str
        The column of each place, by the header.
    """

    def __init__(self, columns: Sequence[str]) -> None:
        self._width = len(columns) if "" not in columns else -1
        self._values = columns.index("values")
        self._visit_of = _getter(columns, VISIT_COLUMNS)
        self._beside_of = _getter(columns, BESIDE_COLUMNS)
        self._visits: dict[tuple[str, ...], VisitSaid] = {}
        self._besides: dict[tuple[str, ...], BesideSaid] = {}

    def read(self, texts: Sequence[str], source: str) -> ReadingRow | None:
        """Return what a row says; None where it has to be read in full.

        Parameters
        ----------
        texts : sequence of str
            Its cells as they stand in the file.
        source : str
            Where it stands.
        """
        if len(texts) != self._width:
            return None
        visit = self._visits.get(self._visit_of(texts))
        beside = self._besides.get(self._beside_of(texts))
        if visit is None or beside is None or not _NUMBERS.fullmatch(texts[self._values]):
            return None
        tokens = tuple(texts[self._values].split())
        return ReadingRow(source=source, visit=visit, beside=beside, tokens=tokens)

    def learn(self, texts: Sequence[str], row: ReadingRow) -> None:
        """Keep in mind what a row says that was read in full, with nothing wrong in it."""
        if len(texts) != self._width or not row.tokens or sum(map(len, texts)) > LONGEST_KNOWN:
            return
        if len(self._visits) >= VISITS_KNOWN:
            self._visits.clear()
        if len(self._besides) >= WORDS_KNOWN:
            self._besides.clear()
        self._visits[self._visit_of(texts)] = row.visit
        self._besides[self._beside_of(texts)] = row.beside


def _getter(columns: Sequence[str], names: Sequence[str]) -> itemgetter[Any]:
    """Return what gets the cells of those columns that the sheet has; there are always two."""
    return itemgetter(*(columns.index(name) for name in names if name in columns))
