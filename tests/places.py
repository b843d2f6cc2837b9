"""Where the tests keep their stores: in files, or at sites of a server.

A test names a file. Under ``--database postgresql`` the same name stands for a site that is empty
and at the newest schema, used as a user who may do what the program needs and no more. Sites are
emptied and used again, since making one takes half a second.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from typing import Any

import psycopg

from brakelog.store.address import Address, ServerAddress, parse_address
from brakelog.store.opening import open_store
from brakelog.store.postgres import lock_number
from brakelog.store.postgres_roles import roles_script, writer_of
from brakelog.store.tables import metadata
from tests.postgres.cluster import OWNER, WRITER, Cluster

_NUMBERED = tuple(
    (table.name, key)
    for table in metadata.sorted_tables
    for key in ("row", "seq")
    if key in table.c
)


class Sites:
    """Sites of one database, lent out by the names of the files that they stand for."""

    def __init__(self, cluster: Cluster, database: str) -> None:
        self._cluster = cluster
        self.database = database
        self._numbers = count(1)
        self._free: list[ServerAddress] = []
        self._lent: list[dict[Path, ServerAddress]] = [{}]
        with cluster.admin(user=OWNER) as owner:
            owner.execute(f"CREATE DATABASE {database}")
        self._root = cluster.admin(database)

    def close(self) -> None:
        self._root.close()

    def named(self, path: Path) -> ServerAddress:
        """The site that a name stands for; a new name stands for an empty one."""
        for lent in self._lent:
            if path in lent:
                return lent[path]
        site = self._free.pop() if self._free else self._made()
        self._lent[-1][path] = site
        return site

    def copied(self, source: ServerAddress, path: Path) -> ServerAddress:
        """Another site with the same on file."""
        target = self.named(path)
        self._emptied(target)
        inserts = "".join(
            f"INSERT INTO {target.schema}.{table} SELECT * FROM {source.schema}.{table};"
            for table in metadata.tables
        )
        self._past_the_triggers(inserts + self._numbering(target))
        return target

    @contextmanager
    def borrowing(self) -> Iterator[None]:
        """Take back at the end what was lent meanwhile."""
        self._lent.append({})
        try:
            yield
        finally:
            for site in self._lent.pop().values():
                self._emptied(site)
                self._free.append(site)

    def past(self, site: ServerAddress) -> psycopg.Connection[Any]:
        """A connection past the program, as who may do everything."""
        self._root.execute(f"SET search_path TO {site.schema}")
        return self._root

    @contextmanager
    def held(self, site: ServerAddress) -> Iterator[None]:
        with self._cluster.admin(self.database, WRITER) as other, other.transaction():
            other.execute(f"SELECT pg_advisory_xact_lock({lock_number(site.schema)})")
            yield

    def address(self, site: str, user: str = OWNER) -> ServerAddress:
        """Where a site is, for one user of the server; whether it is there or not."""
        address = parse_address(self._cluster.address(self.database, site, user))
        assert isinstance(address, ServerAddress)
        return address

    def new(self, site: str) -> ServerAddress:
        """A site that its owner has made, with its roles; the usual writer may write there."""
        owned = self.address(site)
        open_store(owned).close()
        with self._cluster.admin(self.database, OWNER) as owner:
            owner.execute(f"{roles_script(owned)} GRANT {writer_of(owned)} TO {WRITER}")
        return owned

    def _made(self) -> ServerAddress:
        site = f"t{next(self._numbers)}"
        self.new(site)
        return self.address(site, WRITER)

    def _emptied(self, site: ServerAddress) -> None:
        deletes = "".join(f"DELETE FROM {site.schema}.{table};" for table in metadata.tables)
        self._past_the_triggers(deletes + self._numbering(site))

    def _numbering(self, site: ServerAddress) -> str:
        """Go on with the number that a file would go on with."""
        return "".join(
            f"SELECT setval(pg_get_serial_sequence('{site.schema}.{table}', '{key}'),"
            f' (SELECT coalesce(max("{key}"), 0) + 1 FROM {site.schema}.{table}), false);'
            for table, key in _NUMBERED
        )

    def _past_the_triggers(self, statements: str) -> None:
        self._root.execute(
            f"BEGIN; SET LOCAL session_replication_role = replica; {statements} COMMIT"
        )


_sites: list[Sites] = []
"""The sites in use; none where stores are files."""


def use(sites: Sites | None) -> None:
    """Keep stores at sites from now on, or in files again."""
    _sites[:] = [] if sites is None else [sites]


def on_a_server() -> bool:
    """Whether stores are sites of a server."""
    return bool(_sites)


def place(path: Address) -> Address:
    """Where the store of that name is."""
    return _sites[0].named(path) if _sites and isinstance(path, Path) else path


def copied(source: Address, path: Path) -> Address:
    """Another store with the same on file."""
    if isinstance(source, ServerAddress):
        return _sites[0].copied(source, path)
    return Path(shutil.copy(source, path))


def rows_at(address: Address) -> list[str]:
    """Every row of every table, read past the program; none where there is no store."""
    if isinstance(address, ServerAddress):
        root = _sites[0].past(address)
        return [
            f'INSERT INTO "{table}" VALUES{row[0]}'
            for table in metadata.tables
            for row in root.execute(f"SELECT each::text FROM {table} AS each ORDER BY 1")
        ]
    if not address.exists():
        return []
    with closing(sqlite3.connect(f"{address.absolute().as_uri()}?mode=ro", uri=True)) as raw:
        return list(raw.iterdump())


def read_past(address: Address, query: str) -> list[tuple[Any, ...]]:
    """What a query finds, past the program."""
    if isinstance(address, ServerAddress):
        return _sites[0].past(address).execute(query).fetchall()
    with closing(sqlite3.connect(f"{address.absolute().as_uri()}?mode=ro", uri=True)) as raw:
        return raw.execute(query).fetchall()


def rows_of(address: Address, table: str) -> list[dict[str, Any]]:
    """The rows of a table by the names of its columns, past the program."""
    if isinstance(address, ServerAddress):
        found = _sites[0].past(address).execute(f"SELECT * FROM {table}")
        names = [column.name for column in found.description or ()]
        return [dict(zip(names, row, strict=True)) for row in found]
    with closing(sqlite3.connect(f"{address.absolute().as_uri()}?mode=ro", uri=True)) as raw:
        raw.row_factory = sqlite3.Row
        return [dict(row) for row in raw.execute(f"SELECT * FROM {table}")]


def change_past(address: Address, *statements: str) -> None:
    """Change a store past the program."""
    if isinstance(address, ServerAddress):
        root = _sites[0].past(address)
        for statement in statements:
            root.execute(statement)
        return
    with closing(sqlite3.connect(address, isolation_level=None)) as raw:
        for statement in statements:
            raw.execute(statement)


@contextmanager
def held(address: Address) -> Iterator[None]:
    """Hold the store as another program that writes does."""
    if isinstance(address, ServerAddress):
        with _sites[0].held(address):
            yield
        return
    with closing(sqlite3.connect(address, isolation_level=None)) as raw:
        raw.execute("BEGIN IMMEDIATE")
        yield


@contextmanager
def borrowing() -> Iterator[None]:
    """Give back at the end what was borrowed of a server meanwhile."""
    if not _sites:
        yield
        return
    with _sites[0].borrowing():
        yield
