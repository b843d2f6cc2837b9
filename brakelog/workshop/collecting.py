"""How often the interpreter looks for rings of objects while many rows go through."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

OBJECTS_BETWEEN = 50_000
"""Objects made, and not yet given back, before rings are looked for; a page of rows in hand has
some ten thousand. Assumption: as many of them as a few megabytes hold. [-]"""


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Look for rings less often: rows are none, and go as soon as nobody holds them.

    Otherwise the interpreter walks through a page of rows again and again while it is filled, and
    finds nothing. What was set before holds again afterwards.
    """
    before = gc.get_threshold()
    gc.set_threshold(max(OBJECTS_BETWEEN, before[0]) if before[0] else 0, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
