"""People of the shop, and its customers. Names may change; their ids never do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who measures, decides or writes."""

    id: str
    tag: str
    """Initials or a short name, unique."""
    name: str
    role: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Whose vehicle it is."""

    id: str
    tag: str
    name: str
    contact: str = ""
