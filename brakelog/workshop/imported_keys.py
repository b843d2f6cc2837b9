"""The keys of the rows of one import: which of them are on file, and which are still to be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from brakelog.store.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

KEYS_WAITING = 100_000
"""Keys that wait before they are written, in order. Keys are spread evenly, so that a few at a
time make the database fetch and write a page of its table for nearly every one of them; so many
hold some 35 MB. [-]"""
_DIGITS = 16
"""Of a key: 64 bits tell two million keys apart but for one in ten million times. [-]"""


@dataclass(kw_only=True)
class ImportedKeys:
    """Keeps the keys of one import in its transaction, and says which rows are on file already.

    The store is asked only for keys that may be there. Those that this import has written itself
    are remembered by their first digits, sixteen megabytes for the longest sheet.
    """

    store: Store
    _waiting: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Kind and id of what the row became, by key."""
    _written: npt.NDArray[np.uint64] | None = None
    """The first digits of keys that were written by this import, ascending."""

    def known(self, keys: Iterable[str]) -> set[str]:
        """Return those of the keys whose rows are on file, or wait to be."""
        listed = list(keys)
        known = {key for key in listed if key in self._waiting}
        doubtful = listed if self._had_any else self._maybe_written(listed)
        return known | (self.store.known_import_keys(doubtful) if doubtful else set())

    def remember(self, key: str, kind: str, id: str) -> None:
        """Remember what a row became that is none of the known ones."""
        self._waiting[key] = (kind, id)

    def write_many(self) -> None:
        """Write what waits, where that is much."""
        if len(self._waiting) < KEYS_WAITING:
            return
        import numpy as np

        before = () if self._written is None else (self._written,)
        self._written = np.sort(np.concatenate((*before, _digits_of(self._waiting))))
        self.finish()

    def finish(self) -> None:
        """Write what waits."""
        self.store.remember_imports(self._waiting, are_new=True)
        self._waiting = {}

    @cached_property
    def _had_any(self) -> bool:
        """Whether sheets were imported before; asked before this one has written anything."""
        return self.store.has_imports()

    def _maybe_written(self, keys: list[str]) -> list[str]:
        if self._written is None:
            return []
        import numpy as np

        digits = _digits_of(keys)
        places = np.searchsorted(self._written, digits)
        are_there = self._written[np.minimum(places, len(self._written) - 1)] == digits
        return [keys[place] for place in np.flatnonzero(are_there)]


def _digits_of(keys: Iterable[str]) -> npt.NDArray[np.uint64]:
    import numpy as np

    return np.fromiter((int(key[:_DIGITS], 16) for key in keys), np.uint64)
