"""A line of the journal: one change of the record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One row that was added to the record."""

    recorded_at: datetime
    """[UTC]"""
    person_id: str | None
    """Who recorded it; None where nobody was named."""
    site: str
    table: str
    id: str
    about: tuple[str, ...]
    """Corner, quantity, kind and the like."""
    vehicle_id: str | None
    """The vehicle that the row was entered for, where it has one."""
    why: str
    """The reason that was given; empty where none is asked for."""
    link: str
    """Its link in the chain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalLine:
    """One change with the names of those whom it is about."""

    change: Change
    who: str
    """Tag of the person; empty where nobody was named."""
    vehicle: str
    """Tag of the vehicle; empty where it is about none."""
