"""The keys of the rows of one import: which of them are on file, and which are still to be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, KeysView
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain, islice
from typing import TYPE_CHECKING

from brakelog.store.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

KEYS_WAITING = 50_000
"""Keys that wait before they are put in order and written. Keys are spread evenly, so that a few
at a time make the database fetch and write a page of its table for nearly every one of them; twice
so many are held at most, in some 35 MB. [-]"""
KEYS_AT_ONCE = 5_000
"""Keys in order that are written with one page of rows, not so many that the program waits for the
database. More than a page brings (``importing.ROWS_AT_ONCE``), or what waits would grow. [-]"""
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
    _leaving: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Those that are being written, in order."""
    _to_write: Iterator[tuple[str, tuple[str, str]]] = field(default_factory=lambda: iter(()))
    """What of these is not written yet."""
    _gone: npt.NDArray[np.uint64] | None = None
    """The first digits of those that are not held any more, ascending."""

    def known(self, keys: KeysView[str]) -> set[str]:
        """Return those of the keys whose rows are on file, or wait to be."""
        known = (self._waiting.keys() & keys) | (self._leaving.keys() & keys)
        doubtful = keys if self._had_any else self._maybe_gone(list(keys))
        return known | (self.store.known_import_keys(doubtful) if doubtful else set())

    def remember(self, key: str, kind: str, id: str) -> None:
        """Remember what a row became that is none of the known ones."""
        self._waiting[key] = (kind, id)

    def write_some(self) -> None:
        """Write some of what waits, where that is much."""
        if not (some := dict(islice(self._to_write, KEYS_AT_ONCE))):
            if len(self._waiting) < KEYS_WAITING:
                return
            self._let_go()
            some = dict(islice(self._to_write, KEYS_AT_ONCE))
        self.store.remember_imports(some, are_new=True)

    def finish(self) -> None:
        """Write all that waits; nothing is remembered any more."""
        self.store.remember_imports(
            dict(chain(self._to_write, self._waiting.items())), are_new=True
        )

    def _let_go(self) -> None:
        """Begin to write those that wait; those that have been written are held no more."""
        import numpy as np

        before = () if self._gone is None else (self._gone,)
        self._gone = np.sort(np.concatenate((*before, _digits_of(self._leaving))))
        self._leaving = dict(sorted(self._waiting.items()))
        self._to_write = iter(self._leaving.items())
        self._waiting = {}

    @cached_property
    def _had_any(self) -> bool:
        """Whether sheets were imported before; asked before this one has written anything."""
        return self.store.has_imports()

    def _maybe_gone(self, keys: list[str]) -> list[str]:
        """Return those of the keys that may have been let go."""
        if self._gone is None or not len(self._gone):
            return []
        import numpy as np

        digits = _digits_of(keys)
        places = np.searchsorted(self._gone, digits)
        are_there = self._gone[np.minimum(places, len(self._gone) - 1)] == digits
        return [keys[place] for place in np.flatnonzero(are_there)]


def _digits_of(keys: Iterable[str]) -> npt.NDArray[np.uint64]:
    import numpy as np

    return np.fromiter((int(key[:_DIGITS], 16) for key in keys), np.uint64)
