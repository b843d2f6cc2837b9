"""The readers that hostile input is sent to."""

from __future__ import annotations

from importlib import import_module
from typing import Protocol, cast

NAMES = ("lengths", "lines", "sheets", "packs", "stores")


class Target(Protocol):
    """A module that turns bytes into input, and checks what becomes of it."""

    WORDS: tuple[str, ...]
    """Words that mean something to the reader."""

    def seeds(self) -> list[bytes]:
        """Return real examples to start from."""

    def check(self, data: bytes) -> None:
        """Send the bytes; anything but an error of the program is a fault."""


def target(name: str) -> Target:
    """Return the target of that name."""
    return cast(Target, import_module(f"tests.hostile.{name}_target"))
