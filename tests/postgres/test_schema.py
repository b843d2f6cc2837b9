"""The schema of a site is the one that the program's tables say, and texts are ordered alike."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import inspect

from brakelog.store.address import ServerAddress
from brakelog.store.opening import open_store
from brakelog.store.postgres import make_engine
from brakelog.store.postgres_triggers import SERVER_TRIGGERS
from brakelog.store.tables import SCHEMA_HEAD, metadata
from tests.places import Sites
from tests.postgres.conftest import Past
from tests.unit.store_examples import a_vehicle


def schema_of(site: ServerAddress) -> dict[str, Any]:
    """Columns, keys, checks and indexes of every table."""
    engine = make_engine(site)
    with engine.connect() as connection:
        look = inspect(connection)
        found = {}
        for table in look.get_table_names(schema=site.schema):
            if table == "alembic_version":
                continue
            found[table] = {
                "columns": [
                    (
                        column["name"],
                        str(column["type"]).partition(" COLLATE")[0],
                        column["nullable"],
                    )
                    for column in look.get_columns(table, schema=site.schema)
                ],
                "key": look.get_pk_constraint(table, schema=site.schema),
                "unique": sorted(
                    str(each["name"])
                    for each in look.get_unique_constraints(table, schema=site.schema)
                ),
                "points at": sorted(
                    (str(each["name"]), each["referred_table"])
                    for each in look.get_foreign_keys(table, schema=site.schema)
                ),
                "checks": sorted(
                    (str(each["name"]), re.sub(r'[ ()"]|::text|COLLATE"C"', "", each["sqltext"]))
                    for each in look.get_check_constraints(table, schema=site.schema)
                ),
                "indexes": sorted(
                    (str(each["name"]), each["column_names"], each["unique"])
                    for each in look.get_indexes(table, schema=site.schema)
                ),
            }
    engine.dispose()
    return found


def test_migrations_make_what_the_metadata_say(sites: Sites, owned: ServerAddress) -> None:
    other = sites.address("metadata")
    engine = make_engine(other)
    with engine.begin() as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {other.schema}")
        metadata.create_all(connection)
    engine.dispose()

    assert schema_of(owned) == schema_of(other)


def test_every_trigger_is_the_one_that_the_program_expects(
    owned: ServerAddress, past: Past
) -> None:
    found = dict(
        past(owned)
        .execute(
            "SELECT t.tgname, pg_get_triggerdef(t.oid) FROM pg_trigger AS t"
            " JOIN pg_class AS c ON c.oid = t.tgrelid"
            " WHERE NOT t.tgisinternal AND c.relnamespace = %s::regnamespace",
            (owned.schema,),
        )
        .fetchall()
    )

    def plain(statement: str) -> str:
        words = statement.replace(f"{owned.schema}.", "").replace("::text", "").lower()
        return re.sub(r'[\s()"]', "", words)

    assert {name: plain(each) for name, each in found.items()} == {
        name: plain(each) for name, each in SERVER_TRIGGERS.items()
    }


def test_numbers_are_given_by_the_server_and_sizes_have_64_bits(
    owned: ServerAddress, past: Past
) -> None:
    rows = (
        past(owned)
        .execute(
            "SELECT table_name, column_name, data_type, is_identity, identity_generation"
            " FROM information_schema.columns WHERE table_schema = %s",
            (owned.schema,),
        )
        .fetchall()
    )
    given = {(table, column) for table, column, _, is_given, _ in rows if is_given == "YES"}

    assert given == {
        (table.name, key) for table in metadata.tables.values() for key in ("row", "seq")
        if key in table.c
    }  # fmt: skip
    assert {kind for *_, kind in rows if kind} == {"BY DEFAULT"}
    assert {
        kind
        for _, column, kind, *_ in rows
        if column.endswith(("_nm", "_nm_1", "_nm_2", "_mm", "row", "entries"))
    } == {"bigint", "text"}
    assert "real" not in {kind for _, _, kind, *_ in rows}


def test_every_text_is_ordered_by_its_characters_alone(owned: ServerAddress, past: Past) -> None:
    other = (
        past(owned)
        .execute(
            "SELECT c.relname, a.attname FROM pg_attribute AS a"
            " JOIN pg_class AS c ON c.oid = a.attrelid AND c.relkind = 'r'"
            " WHERE c.relnamespace = %s::regnamespace AND a.atttypid = 'text'::regtype"
            " AND a.attcollation <> '\"C\"'::regcollation",
            (owned.schema,),
        )
        .fetchall()
    )

    assert other == []


def test_order_and_beginnings_of_ids_are_those_of_a_file_in_a_database_of_any_language(
    sites: Sites,
) -> None:
    """In most languages ``a`` stands before ``B``, and ``-`` counts for nothing."""
    tags = ["b-2", "B1", "a", "Z", "b1", "ä", "b 3", "_x"]
    with sites.past(sites.address("any")) as root:
        root.execute(
            "CREATE DATABASE english ENCODING 'UTF8' TEMPLATE template0"
            " LOCALE_PROVIDER icu ICU_LOCALE 'en' LOCALE 'C'"
        )
        root.execute("GRANT CREATE ON DATABASE english TO PUBLIC")
    english = Sites.__new__(Sites)
    english._cluster, english.database = sites._cluster, "english"
    with open_store(english.address("main")) as store:
        for number, tag in enumerate(tags):
            store.add_vehicle(a_vehicle(f"id-{tag}-{number}", tag=tag if tag != "B1" else "B 1"))
        found = [vehicle.tag for vehicle in store.vehicles()]

    assert found == sorted((tag if tag != "B1" else "B 1" for tag in tags), key=str.casefold)


def test_revision_of_a_new_site_is_the_newest(owned: ServerAddress, past: Past) -> None:
    assert past(owned).execute("SELECT version_num FROM alembic_version").fetchall() == [
        (SCHEMA_HEAD,)
    ]
