"""Where the program starts, before anything else is imported."""

from __future__ import annotations

import gc

YOUNG_OBJECTS = 500_000
"""Objects made before the collector of reference cycles looks for any. The default of 700 makes it
walk everything several times while modules are loaded: 50 of 300 ms of a verdict, measured."""


def main() -> None:
    """Run the program."""
    gc.set_threshold(YOUNG_OBJECTS)
    try:
        from brakelog.cli.main import main as run

        run()
    finally:
        # All memory goes back at once when the process ends; without this the interpreter first
        # looks through every object for cycles: 70 of 310 ms of a verdict, measured.
        gc.freeze()
