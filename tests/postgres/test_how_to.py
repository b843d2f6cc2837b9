"""The page about servers, done as it says, from an empty server to a first verdict."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.store.opening import open_store
from tests.postgres.cluster import Cluster
from tests.unit.store_examples import fill

PAGE = Path(__file__).resolve().parents[2] / "docs" / "how-to" / "use-a-server.md"
_BLOCK = re.compile(r"^```(?P<info>[^\n]*)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks() -> Iterator[tuple[str, str]]:
    for found in _BLOCK.finditer(PAGE.read_text(encoding="utf-8")):
        yield found["info"].strip(), found["body"]


def test_the_page_works_on_an_empty_server(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for info, body in blocks():
        if info.startswith("text "):
            Path(info.removeprefix("text ")).write_text(body, encoding="utf-8")
    with open_store(Path("old.sqlite")) as store:
        fill(store)
    said: list[str] = []
    # Here the server listens on a socket only.
    for info, body in blocks():
        if info == "sql":
            with cluster.admin() as root:
                for statement in body.split(";\n"):
                    # Another test may have let one of these people in before.
                    try:
                        root.execute(statement)
                    except psycopg.errors.DuplicateObject:
                        continue
        elif info == "sh":
            for line in body.splitlines():
                run(line.replace("@server/", "@/").replace("?site", f"?host={cluster.folder}&site"),
                    cluster, said, monkeypatch)  # fmt: skip

    everything = "\n".join(said)
    assert "KES-1" in everything
    assert "sites open to this user: north" in everything
    assert "nothing is wrong with it" in everything


def run(line: str, cluster: Cluster, said: list[str], patch: pytest.MonkeyPatch) -> None:
    line, _, target = line.partition(" > ")
    program, *words = shlex.split(line)
    if program == "export":
        name, _, value = words[0].partition("=")
        patch.setenv(name, value)
    elif program == "psql":
        assert words[:1] == ["host=server dbname=brakes user=brakes_owner"]
        with cluster.admin("brakes", "brakes_owner") as owner:
            owner.execute(Path(words[2]).read_text(encoding="utf-8"))
    elif program == "brakelog":
        result = CliRunner().invoke(build(), words, catch_exceptions=False)
        assert result.exit_code == 0, f"{line}\n{result.output}"
        said.append(result.stdout)
        if target:
            Path(target).write_text(result.stdout, encoding="utf-8")
    else:
        assert program == "pip"
