"""A server of the tests' own: Debian's binaries, a scratch folder, one socket, and no network.

The server refuses to be run by root, so it is started as a user who may do nothing else. It keeps
its promise to the disk (``fsync``): what is killed here must come back.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg

DEBIAN = Path("/usr/lib/postgresql")
NOBODY = 65534
"""User and group of nobody in particular; Debian Policy 9.2.2."""
SUPERUSER = "root_of_the_server"
OWNER = "chief"
"""Owns the databases and may make roles, but is no superuser."""
WRITER = "bay"
"""The program at the car: a member of the writers' role of each site that it works at."""
_SETTINGS = {
    "listen_addresses": "",
    "fsync": "on",
    "max_wal_size": "4GB",
    "checkpoint_timeout": "1h",
    "shared_buffers": "64MB",
    "autovacuum": "off",
    "log_min_messages": "fatal",
}


def binaries() -> Path | None:
    """The folder of the newest server that is installed; None where there is none."""
    found = sorted(
        (each for each in DEBIAN.glob("*/bin") if (each / "initdb").is_file()),
        key=lambda each: float(each.parent.name),
    )
    if found:
        return found[-1]
    on_path = shutil.which("initdb")
    return None if on_path is None else Path(on_path).resolve().parent


def _unprivileged() -> dict[str, Any]:
    if os.geteuid() != 0:
        return {}
    return {"user": NOBODY, "group": NOBODY, "extra_groups": []}


@dataclass(frozen=True)
class Cluster:
    """A server that runs until it is stopped."""

    folder: Path
    programs: Path

    @classmethod
    def made(cls, programs: Path) -> Cluster:
        """Make a cluster in a folder of its own and start it."""
        # The path of a socket has at most 107 characters, so pytest's own folders are too deep.
        folder = Path(tempfile.mkdtemp(prefix="brakelog-pg-"))
        if os.geteuid() == 0:
            os.chown(folder, NOBODY, NOBODY)
        folder.chmod(0o755)
        cluster = cls(folder, programs)
        cluster._run(
            "initdb", "-D", cluster.data, "-U", SUPERUSER, "--auth=trust",
            "--encoding=UTF8", "--locale=C", "--no-sync",
        )  # fmt: skip
        cluster.start()
        with cluster.admin() as admin:
            admin.execute(f"CREATE ROLE {OWNER} LOGIN CREATEROLE CREATEDB")
            admin.execute(f"CREATE ROLE {WRITER} LOGIN")
        return cluster

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def start(self) -> None:
        settings = dict(_SETTINGS, unix_socket_directories=str(self.folder))
        options = " ".join(f"-c {name}='{value}'" for name, value in settings.items())
        self._run(
            "pg_ctl", "-D", self.data, "-w", "-l", self.folder / "log", "-o", options, "start"
        )

    def stop(self, mode: str = "fast") -> None:
        self._run("pg_ctl", "-D", self.data, "-w", "-m", mode, "stop")

    def kill(self) -> None:
        """Kill the server and all that it started, as a power cut would, and wait for the end."""
        # The first one is killed with the others, so none can be started anew for long.
        while running := self._running():
            for each in running:
                with suppress(ProcessLookupError):
                    os.kill(each, signal.SIGKILL)
        # What is dead keeps its number until somebody asks for its end, and the server would take
        # that for another one; after a power cut nothing has that number.
        for lock in (self.data / "postmaster.pid", *self.folder.glob(".s.PGSQL.*")):
            lock.unlink(missing_ok=True)

    def _running(self) -> list[int]:
        """Every process of the server; each of them works in the folder of its data."""
        found = []
        for each in Path("/proc").glob("[0-9]*"):
            with suppress(OSError):
                if os.readlink(each / "cwd") == str(self.data):
                    found.append(int(each.name))
        return found

    def remove(self) -> None:
        """Stop it and leave nothing behind."""
        with suppress(RuntimeError):
            self.stop("immediate")
        self.kill()
        shutil.rmtree(self.folder, ignore_errors=True)

    def admin(self, database: str = "postgres", user: str = SUPERUSER) -> psycopg.Connection[Any]:
        """A connection past the program; every statement is a transaction of its own."""
        return psycopg.connect(host=str(self.folder), user=user, dbname=database, autocommit=True)

    def address(self, database: str, site: str, user: str = OWNER) -> str:
        """The address that a person would type."""
        return f"postgresql+psycopg://{user}@/{database}?host={self.folder}&site={site}"

    def _run(self, program: str, *words: object) -> None:
        done = subprocess.run(
            [str(self.programs / program), *map(str, words)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            cwd="/",
            check=False,
            **_unprivileged(),
        )
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stderr}")
