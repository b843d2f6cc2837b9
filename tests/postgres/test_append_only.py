"""Evidence on a server: the owner meets the triggers, the program's user the server itself."""

from __future__ import annotations

import psycopg
import pytest

from brakelog.errors import Conflict
from brakelog.store.address import ServerAddress
from brakelog.store.opening import open_store
from brakelog.store.postgres_roles import RIGHTS
from brakelog.store.postgres_triggers import APPEND_ONLY
from brakelog.store.tables import EVIDENCE, metadata
from tests.places import Sites
from tests.postgres.cluster import SUPERUSER, WRITER
from tests.postgres.conftest import Past
from tests.unit.store_examples import a_visit

FORGETTABLE = {"complaints", "agreement_names"}


def attempts_on(table: str) -> list[str]:
    columns = [column.name for column in metadata.tables[table].columns]
    key, last = columns[0], columns[-1]
    listed = ", ".join(f'"{column}"' for column in columns)
    return [
        f'UPDATE {table} SET "{columns[1]}" = "{columns[1]}" || \'x\'',
        f"DELETE FROM {table}",
        f"TRUNCATE {table} CASCADE",
        f"INSERT INTO {table} ({listed}) OVERRIDING USER VALUE SELECT {listed} FROM {table}"
        f' ON CONFLICT ("{"id" if "id" in columns else key}") DO UPDATE'
        f' SET "{columns[1]}" = \'x\', "{last}" = excluded."{last}"',
    ]


def test_the_owner_of_the_tables_meets_the_triggers(filled: ServerAddress, past: Past) -> None:
    owner = past(filled)
    for table in sorted(APPEND_ONLY):
        before = owner.execute(f"SELECT * FROM {table}").fetchall()
        assert before
        attempts = attempts_on(table)
        if "id" not in metadata.tables[table].c and table != "import_keys":
            attempts.pop()
        for attempt in attempts:
            with pytest.raises(psycopg.errors.RestrictViolation, match="append-only: no row is"):
                owner.execute(attempt)
        assert owner.execute(f"SELECT * FROM {table}").fetchall() == before


def test_who_may_do_everything_on_the_server_meets_them_too(
    filled: ServerAddress, past: Past
) -> None:
    root = past(filled, SUPERUSER)

    with pytest.raises(psycopg.errors.RestrictViolation, match="visits is append-only"):
        root.execute("DELETE FROM visits")


def test_words_of_customers_can_be_emptied_and_nothing_else_about_them(
    filled: ServerAddress, past: Past
) -> None:
    owner = past(filled)
    for statement in (
        "UPDATE complaints SET text = 'is fine'",
        "UPDATE complaints SET text = '', recorded_at = '2020-01-01T00:00:00.000000Z'",
        "UPDATE agreement_names SET who = '', number = '1'",
    ):
        with pytest.raises(psycopg.errors.RestrictViolation, match="no row is ever changed"):
            owner.execute(statement)

    owner.execute("UPDATE complaints SET text = '', checksum = NULL")
    owner.execute("UPDATE agreement_names SET who = '', number = ''")


def test_the_user_of_the_program_is_refused_by_the_server(
    filled: ServerAddress, past: Past
) -> None:
    user = past(filled, WRITER)
    for table in sorted(APPEND_ONLY):
        for attempt in attempts_on(table):
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                user.execute(attempt)
    for attempt in (
        "ALTER TABLE visits DISABLE TRIGGER visits_no_update",
        "DROP TRIGGER visits_no_update ON visits",
        "DROP TABLE visits",
        "CREATE TABLE notes (x int)",
        "SET session_replication_role = replica",
        "UPDATE alembic_version SET version_num = '9999'",
    ):
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            user.execute(attempt)


def test_rights_are_given_for_every_table_and_no_evidence_may_change() -> None:
    assert RIGHTS.keys() == {*metadata.tables, "alembic_version"}
    assert {RIGHTS[table.name] for table in EVIDENCE} == {("SELECT", "INSERT")}
    assert {table for table in APPEND_ONLY if "DELETE" in RIGHTS[table]} == set()


def test_a_row_that_is_there_already_is_refused_in_the_words_of_a_file(
    sites: Sites, filled: ServerAddress
) -> None:
    with (
        open_store(sites.address(filled.site, WRITER)) as store,
        pytest.raises(Conflict, match="visits is append-only: that row is there already"),
    ):
        store.add_visit(a_visit())
