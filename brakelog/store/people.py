"""People of the shop and its customers: names that may change, outside the evidence."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, Table, select

from brakelog.errors import NotFound
from brakelog.record.people import Customer, Person
from brakelog.store.events import Events
from brakelog.store.names import name_key, need_name, not_found
from brakelog.store.tables import customers, people


class People(Events):
    """People and customers."""

    def people(self) -> list[Person]:
        """Return everybody, by tag."""
        return [_person(row) for row in self._all(select(people).order_by(people.c.tag_key))]

    def person(self, tag: str) -> Person:
        """Return the person with a tag.

        Raises
        ------
        NotFound
            With the tags that come close.
        """
        return _person(self._tagged(people, "person", tag, "brakelog people list"))

    def person_by_id(self, id: str) -> Person:
        """Return the person with an id.

        Raises
        ------
        NotFound
            Where there is none.
        """
        return _person(self._identified(people, "person", id))

    def add_person(self, person: Person) -> None:
        """Put a person on file.

        Raises
        ------
        Conflict
            Where the tag is taken.
        """
        self._add(people, person)

    def change_person(self, person: Person) -> None:
        """Change tag, name or role of the person with that id.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where the tag is taken.
        """
        self._exchange(people, "person", person)

    def customers(self) -> list[Customer]:
        """Return every customer, by tag."""
        rows = self._all(select(customers).order_by(customers.c.tag_key))
        return [_customer(row) for row in rows]

    def customer(self, tag: str) -> Customer:
        """Return the customer with a tag.

        Raises
        ------
        NotFound
            With the tags that come close.
        """
        return _customer(self._tagged(customers, "customer", tag, "brakelog people list"))

    def customer_by_id(self, id: str) -> Customer:
        """Return the customer with an id.

        Raises
        ------
        NotFound
            Where there is none.
        """
        return _customer(self._identified(customers, "customer", id))

    def add_customer(self, customer: Customer) -> None:
        """Put a customer on file.

        Raises
        ------
        Conflict
            Where the tag is taken.
        """
        self._add(customers, customer)

    def change_customer(self, customer: Customer) -> None:
        """Change tag, name or contact of the customer with that id.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where the tag is taken.
        """
        self._exchange(customers, "customer", customer)

    def _add(self, table: Table, noun: Person | Customer) -> None:
        with self.writing():
            self._insert(table, [_with_key(noun)])
            self.note_event("names added", noun.id, table.name)

    def _tagged(self, table: Table, what: str, tag: str, command: str) -> Row[Any]:
        with self.reading():
            row = self._first(select(table).where(table.c.tag_key == name_key(tag)))
            if row is None:
                tags = [other.tag for other in self._all(select(table.c.tag))]
                raise not_found(what, tag, tags, command=command)
            return row

    def _identified(self, table: Table, what: str, id: str) -> Row[Any]:
        row = self._first(select(table).where(table.c.id == id))
        if row is None:
            raise NotFound(f"no {what} has the id {id}")
        return row

    def _exchange(self, table: Table, what: str, noun: Person | Customer) -> None:
        with self.writing():
            self._identified(table, what, noun.id)
            self._rewrite(table, "id", _with_key(noun))
            self.note_event("names changed", noun.id, table.name)


def _with_key(noun: Person | Customer) -> dict[str, Any]:
    return asdict(noun) | {"tag_key": need_name(noun.tag, "tag")}


def _person(row: Row[Any]) -> Person:
    return Person(id=row.id, tag=row.tag, name=row.name, role=row.role)


def _customer(row: Row[Any]) -> Customer:
    return Customer(id=row.id, tag=row.tag, name=row.name, contact=row.contact)
