"""A customer who wants to be forgotten: the name goes, the readings stay."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from brakelog.errors import InvalidInput
from brakelog.record.people import Customer
from brakelog.record.vehicle import Vehicle
from brakelog.store.backup import backups_of
from brakelog.store.forgetting import FORGOTTEN, Forgetting, Mention
from brakelog.store.store import Store

LETTERS = 6
"""Characters of chance in the tag that stays; assumption: 16 million are enough."""


LONG_WORD = 5
"""Characters from which one word of a name is looked for by itself; assumption: shorter ones
stand in other words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToForget:
    """What would go, shown before anybody says yes."""

    customer: Customer
    vehicles: tuple[Vehicle, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgotten:
    """What went, and where the name may still stand."""

    tag: str
    """What the customer is called from now on."""
    vehicles: int
    complaints: int
    agreements: int
    mentions: tuple[Mention, ...]
    """Rows of evidence, which nobody changes, that write it out."""
    copies: tuple[Path, ...]
    """Backups in the usual folder, and copies beside the store."""
    is_file: bool
    is_clean: bool
    """Whether nothing is left in unused space of the file."""


def to_forget(store: Store, tag: str) -> ToForget:
    """Return a customer with the vehicles that are theirs now.

    Raises
    ------
    NotFound
        Where nobody goes by that tag.
    """
    with store.reading():
        customer = store.customer(tag)
        vehicles = [each for each in store.vehicles() if each.customer_id == customer.id]
    return ToForget(customer=customer, vehicles=tuple(vehicles))


def forget_customer(
    store: Store, tag: str, why: str, *, by: str | None = None, keeps_plates: bool = False
) -> Forgotten:
    """Take name, contact and tag of a customer out of the store, and what they said.

    Their vehicles belong to nobody then, and lose plate and VIN unless those are kept. What they
    complained of, and the names under what they agreed to, are emptied. Every reading stays.

    Raises
    ------
    NotFound
        Where nobody goes by that tag.
    InvalidInput
        Where no reason is given, or the reason names the customer: it is never forgotten.
    StoreError
        Where the store cannot be written.
    """
    if not why.strip():
        raise InvalidInput("forgetting needs its reason", hint="say why in a few words")
    person_id = store.person(by).id if by else None
    forgetting = Forgetting(store)
    with forgetting.wiping(), store.writing(by=person_id):
        found = to_forget(store, tag)
        customer, vehicles = found.customer, found.vehicles
        names = _names(customer, () if keeps_plates else vehicles)
        _need_nameless(why, customer)
        forgotten = replace(customer, tag=(new_tag := _free_tag(store)), name=new_tag, contact="")
        store.change_customer(forgotten)
        for vehicle in vehicles:
            plate, vin = (vehicle.plate, vehicle.vin) if keeps_plates else ("", "")
            store.change_vehicle(replace(vehicle, customer_id=None, plate=plate, vin=vin))
        ids = [vehicle.id for vehicle in vehicles]
        visits = [
            visit.id
            for some in store.visits_of_vehicles(ids, include_void=True).values()
            for visit in some
        ]
        said = forgetting.empty_complaints(visits)
        agreed = forgetting.empty_agreement_names(visits)
        store.note_event("customer forgotten", customer.id, why.strip())
        mentions = forgetting.mentions([*names, *said.words, *agreed.words])
    path = store.path
    return Forgotten(
        tag=new_tag,
        vehicles=len(vehicles),
        complaints=said.rows,
        agreements=agreed.rows,
        mentions=tuple(mentions),
        copies=tuple(copies_of(path)) if isinstance(path, Path) else (),
        is_file=forgetting.is_file,
        is_clean=forgetting.is_clean,
    )


def copies_of(path: Path) -> list[Path]:
    """Return the backups of a store in the usual folder, and what was kept beside it."""
    beside = [each for each in path.parent.iterdir() if each.name.startswith(f"{path.name}.")]
    return [*backups_of(path), *sorted(beside)]


def _names(customer: Customer, vehicles: tuple[Vehicle, ...]) -> list[str]:
    plates = [text for each in vehicles for text in (each.plate, each.vin)]
    surnames = [word for word in customer.name.split() if len(word) >= LONG_WORD]
    return [customer.tag, customer.name, customer.contact, *surnames, *plates]


def _need_nameless(why: str, customer: Customer) -> None:
    said = "".join(why.split()).casefold()
    for text in (customer.name, customer.contact, customer.tag):
        plain = "".join(text.split()).casefold()
        if plain and plain in said:
            raise InvalidInput(
                "the reason is kept for good, and it names the customer",
                hint="say it without the name, such as: asked to be forgotten",
            )


def _free_tag(store: Store) -> str:
    taken = {customer.tag for customer in store.customers()}
    while True:
        tag = f"{FORGOTTEN}{store.new_id()[-LETTERS:]}"
        if tag not in taken:
            return tag
