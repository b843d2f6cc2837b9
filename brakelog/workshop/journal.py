"""The journal as people read it: tags instead of ids."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from brakelog.record.journal import JournalLine
from brakelog.store.store import Store

NEWEST = 50
"""Changes that are shown unless somebody asks for more; assumption."""


def journal(
    store: Store, *, most: int = NEWEST, since: date | None = None, vehicle: str | None = None
) -> list[JournalLine]:
    """Return the newest changes of the record, oldest first.

    Parameters
    ----------
    most : int
        How many at most. [-]
    since : date, optional
        The first day that counts. [UTC]
    vehicle : str, optional
        Tag, plate or VIN of the vehicle whose record is asked for.

    Raises
    ------
    NotFound, Conflict
        Where no vehicle, or more than one, is called so.
    """
    with store.reading():
        changes = store.changes(
            most=most,
            since=None if since is None else datetime.combine(since, time(), UTC),
            vehicle_id=store.vehicle(vehicle).id if vehicle else None,
        )
        people = {person.id: person.tag for person in store.people()}
        known = {each.vehicle_id for each in changes if each.vehicle_id}
        vehicles = {each.id: each.tag for each in store.vehicles() if each.id in known}
    return [
        JournalLine(
            change=each,
            who=people.get(each.person_id or "", ""),
            vehicle=vehicles.get(each.vehicle_id or "", ""),
        )
        for each in changes
    ]
