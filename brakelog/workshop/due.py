"""The due list of the whole store, from what is kept of the outlook of its vehicles."""

from __future__ import annotations

from datetime import date

from brakelog.errors import InvalidInput, clip
from brakelog.record.corner import parse_axle
from brakelog.record.trait import TRAITS
from brakelog.rules.due import GROUNDS, JUST_ADDED, DueList, DueListing, Wanted
from brakelog.store.store import Store
from brakelog.workshop.outlook import read_outlook


def read_wanted(
    *,
    since: date | None,
    until: date | None,
    within_mm: int | None,
    axle: str | None,
    vehicle_class: str | None,
    grounds: str | None,
) -> Wanted:
    """Read what the list is to be narrowed to.

    Raises
    ------
    InvalidInput
        Where a word is none of those that are known.
    """
    classes = TRAITS["class"]
    if vehicle_class is not None and vehicle_class not in classes:
        raise InvalidInput(
            f"{clip(vehicle_class)!r} is not a class", hint="classes: " + " ".join(classes)
        )
    if grounds is not None and grounds not in GROUNDS:
        raise InvalidInput(
            f"{clip(grounds)!r} are no grounds", hint="grounds: " + " ".join(GROUNDS)
        )
    if since is not None and until is not None and until < since:
        raise InvalidInput("the window ends before it begins", hint="--from DAY --until DAY")
    return Wanted(
        first_day=since,
        last_day=until,
        within_mm=within_mm,
        axle=None if axle is None else parse_axle(axle),
        vehicle_class=vehicle_class,
        grounds=grounds,
    )


def due_list(store: Store, wanted: Wanted, today: date) -> DueList:
    """Return the due list from what is kept of the outlook.

    Parameters
    ----------
    store : Store
        The store, brought up to date.
    wanted : Wanted
        What it is narrowed to.
    today : date
        Readings that are too old on that day are not projected from.
    """
    listing = DueListing(wanted, today)
    with store.reading():
        tags = store.vehicle_tags()
        for id, text in store.due_documents():
            listing.take(id, tags.pop(id), read_outlook(text))
    for tag in tags.values():
        # Put on file by another program since the list was worked out.
        listing.miss(tag, JUST_ADDED)
    return listing.finished()
