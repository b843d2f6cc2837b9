"""A command is killed at a moment drawn by chance; then it is looked at what is left."""

from __future__ import annotations

import re
import shutil
import sqlite3
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.errors import BrakelogError
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.tables import SCHEMA_NUMBER, metadata
from brakelog.workshop.counter import give_verdict
from tests.faults.forked import GIVE_UP_S, Call, Forked, Traced, calls_in, can_trace
from tests.faults.sample import CAR, chance, full_store, run

SCHEMAS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"
FROZEN = tuple(sorted(SCHEMAS.glob("*.sql")))
WORN = "{corner} rotor 25.20 25.21 25.20 25.22 lip=no\n{corner} pad-in 1.2 1.0\n"
DAY, KM = "2026-11-28", "64000 km"
TYPED = ("3.2", "3.0", "3.5", "3.4", *(f"27.40{n}" for n in range(1, 10)))
"""Numbers of guided entry, each of them once."""
LATER = 1.1
"""How far beyond the time of an undisturbed run the moment may lie, over that time."""

Words = tuple[tuple[str, ...], ...]
Counts = dict[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """What came of one kill."""

    was_killed: bool
    """False where it had ended before."""
    lost: int = 0
    """Rows or answers that were acknowledged and are not there. [-]"""
    half: int = 0
    """Things that are there in part only, or faults of a store. [-]"""
    wrong: int = 0
    """Verdicts that are neither those of before nor those of after. [-]"""
    said: tuple[str, ...] = field(default=())
    """What is wrong, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A store that is whole: how much is in it, and what it says of the vehicle."""

    counts: Counts
    words: Words


class Kills:
    """Commands that write, each with what must be true after it was killed."""

    def __init__(self, folder: Path, *, traces: bool | None = None) -> None:
        self._folder = folder
        self._store = full_store(folder)
        self._can_trace = can_trace() if traces is None else traces
        self._work = folder / "work"
        self._before = state_of(self._store)
        self._newer_store = Path(shutil.copy(self._store, folder / "newer.sqlite"))
        run(self._newer_store, "people", "add", "LATER", "Somebody Else")
        run(self._newer_store, "vehicle", "add", "LATER-1", "--brakes", "disc")
        self._newer = state_of(self._newer_store)
        self._sheets = _sheet(folder)
        self._plans: dict[str, _Plan] = {}
        self._of: dict[str, Callable[[Random], Round]] = {
            "typed lines": self._lines,
            "guided entry": self._guided,
            "import": self._import,
            "backup": self._backup,
            "restore": self._restore,
        } | {f"upgrade from {dump.stem}": self._upgrade(dump) for dump in FROZEN[:-1]}

    @property
    def what(self) -> tuple[str, ...]:
        """Everything that can be killed."""
        return tuple(self._of)

    def round(self, what: str, seed: int) -> Round:
        """Kill one command at the moment that a seed draws."""
        shutil.rmtree(self._work, ignore_errors=True)
        self._work.mkdir()
        return self._of[what](chance(seed, what))

    def _copy(self) -> Path:
        return Path(shutil.copy(self._store, self._work / "s.sqlite"))

    def _lines(self, draw: Random) -> Round:
        typed = "".join(WORN.format(corner=corner) for corner in ("LF", "RF"))
        words = ("measure", CAR, "--odometer", KM, "--unit", "mm", "--date", DAY)
        return self._one_transaction("typed lines", draw, words, typed, says="on file for")

    def _import(self, draw: Random) -> Round:
        words = ("import", str(self._sheets))
        return self._one_transaction("import", draw, words, "", says="put on file")

    def _one_transaction(
        self, what: str, draw: Random, words: tuple[str, ...], typed: str, *, says: str
    ) -> Round:
        plan = self._plan(what, words, typed)
        store = self._copy()
        said, was_killed = self._killed(plan, draw, ("--store", str(store), *words), typed)
        found = _Found(store)
        after = found.is_one_of(self._before, plan.after)
        if says in said and after is not plan.after:
            found.lose(1, "what was acknowledged is not there")
        found.need_working("vehicle", "list")
        if after is self._before:
            # What was not kept can be typed again, and is then there once.
            found.need_working(*words, typed=typed)
            found.is_one_of(plan.after)
        return found.round(was_killed=was_killed)

    def _guided(self, draw: Random) -> Round:
        words = ("measure", CAR, "--odometer", KM, "--date", DAY, "--corner", "LF")
        plan = self._plan("guided entry", words, None)
        store = self._copy()
        said, was_killed = self._killed(plan, draw, ("--store", str(store), *words), None)
        taken = answered(said)
        found = _Found(store)
        found.need_sound()
        kept = kept_of(store)
        if taken and (missing := [each for each in TYPED[:taken] if each not in kept]):
            found.lose(len(missing), f"acknowledged and not there: {missing}")
        if len(kept) > taken + 1 or len(set(kept)) < len(kept):
            found.part(f"{len(kept)} answers kept of {taken} acknowledged: {kept}")
        found.need_working("vehicle", "list")
        found.need_words(self._before.words, plan.after.words)
        return found.round(was_killed=was_killed)

    def _backup(self, draw: Random) -> Round:
        words = ("store", "backup")
        plan = self._plan("backup", words, "")
        store = self._copy()
        said, was_killed = self._killed(plan, draw, ("--store", str(store), *words), "")
        found = _Found(store)
        found.is_one_of(self._before)
        kept = list(self._work.glob("backups/*.backup"))
        for backup in kept:
            _Found(backup, into=found).is_one_of(self._before)
        if "rows with good seals" in said and not kept:
            found.lose(1, "no backup is there")
        again = self._work / "again"
        found.need_working("store", "backup", "--to", str(again))
        return found.round(was_killed=was_killed)

    def _restore(self, draw: Random) -> Round:
        newer = self._newer
        store = Path(shutil.copy(self._newer_store, self._work / "s.sqlite"))
        backup = Path(shutil.copy(self._store, self._work / "a.backup"))
        words = ("store", "restore", str(backup))
        plan = self._plan("restore", words, "", store=store)
        said, was_killed = self._killed(plan, draw, ("--store", str(store), *words), "")
        found = _Found(store)
        # Restored, and maybe noted so.
        after = found.is_one_of(newer, self._before, plan.after)
        if " is what " in said and after is newer:
            found.lose(1, "the store is not what the backup was")
        for kept in self._work.glob("*.replaced"):
            _Found(kept, into=found).is_one_of(newer)
        if after is not newer and not list(self._work.glob("*.replaced")):
            found.lose(1, "what was there before is gone")
        _Found(backup, into=found).is_one_of(self._before)
        found.need_working("people", "add", "AGAIN", "Another One")
        return found.round(was_killed=was_killed)

    def _upgrade(self, dump: Path) -> Callable[[Random], Round]:
        def killed(draw: Random) -> Round:
            words = ("store", "upgrade")
            store = frozen(dump, self._work / "s.sqlite")
            rows = rows_of(store)
            plan = self._plan(f"upgrade from {dump.stem}", words, "", store=store)
            said, was_killed = self._killed(plan, draw, ("--store", str(store), *words), "")
            found = _Found(store)
            found.need_sound()
            schema = _schema_of(store)
            if schema not in (int(dump.stem), SCHEMA_NUMBER):
                found.part(f"schema {schema}")
            if "upgraded" in said and schema != SCHEMA_NUMBER:
                found.lose(1, "it is not upgraded")
            if schema == int(dump.stem) and rows_of(store) != rows:
                found.part("rows of the old schema were changed")
            copies = list(self._work.glob("s.sqlite.*.bak"))
            for copy in copies:
                _Found(copy, into=found).need_sound()
                if rows_of(copy) != rows:
                    found.part(f"{copy.name} is not what the store was")
            if schema == SCHEMA_NUMBER and not copies:
                found.lose(1, "no copy of the old store is there")
            found.need_working("store", "upgrade")
            found.need_working("people", "add", "AGAIN", "Another One")
            found.need_sound()
            return found.round(was_killed=was_killed)

        return killed

    def _plan(
        self, what: str, words: tuple[str, ...], typed: str | None, *, store: Path | None = None
    ) -> _Plan:
        """Return how a command goes where nothing disturbs it; found out once."""
        if what not in self._plans:
            place = self._work / "undisturbed"
            place.mkdir()
            copy = Path(shutil.copy(store or self._store, place / "s.sqlite"))
            whole = ("--store", str(copy), *words)
            # Once for all that is imported late, and once to be measured.
            rehearsal = Path(shutil.copy(copy, place / "rehearsal.sqlite"))
            _in_this_process(("--store", str(rehearsal), *words), typed)
            calls: Sequence[Call] = ()
            with _started(whole, typed) as program:
                traced = Traced(program) if self._can_trace else None
                begun = time.monotonic()
                program.let_go()
                _talk(program, typed, until=begun + GIVE_UP_S)
                took_s = time.monotonic() - begun
                assert program.end() == 0, program.shown
                if traced is not None:
                    calls = calls_in(traced.lines())
            after = self._before if what.startswith("upgrade") else state_of(copy)
            self._plans[what] = _Plan(took_s=took_s, calls=calls, after=after)
            shutil.rmtree(place)
        return self._plans[what]

    def _killed(
        self, plan: _Plan, draw: Random, words: tuple[str, ...], typed: str | None
    ) -> tuple[str, bool]:
        """Run a command, kill it, and return what it had said, and whether it was killed.

        Every other time, where calls can be traced, just before a system call that is drawn, or
        else at a moment.
        """
        call = draw.choice(plan.calls) if plan.calls and draw.random() < 0.5 else None
        share = draw.random() * LATER
        with _started(words, typed) as program:
            traced = Traced(program, kill_at=call) if call else None
            begun = time.monotonic()
            program.let_go()
            wait_s = GIVE_UP_S if call else share * plan.took_s
            if _talk(program, typed, until=begun + wait_s):
                program.kill()
                program.read_all()
            was_killed = program.end() < 0
            if traced is not None:
                traced.lines()
            return program.shown, was_killed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """How a command goes where nothing disturbs it."""

    took_s: float
    calls: Sequence[Call]
    after: State


class _Found:
    """What was found in a store after a kill."""

    def __init__(self, store: Path, *, into: _Found | None = None) -> None:
        self._store = store
        self._into = into or self
        if into is None:
            self._counted = {"lost": 0, "half": 0, "wrong": 0}
            self._said: list[str] = []

    def lose(self, count: int, why: str) -> None:
        self._note("lost", count, why)

    def part(self, why: str) -> None:
        self._note("half", 1, why)

    def _note(self, kind: str, count: int, why: str) -> None:
        self._into._counted[kind] += count
        self._into._said.append(f"{self._store.name}: {why}")

    def need_sound(self) -> bool:
        try:
            faults: Sequence[str] = check_store(self._store).faults
        except BrakelogError as error:
            faults = [str(error)]
        for fault in faults:
            self.part(fault)
        return not faults

    def is_one_of(self, *states: State) -> State | None:
        """Return the state that the store is in, if it is a whole one."""
        if not self.need_sound():
            return None
        found = state_of(self._store)
        for state in states:
            if found.counts == state.counts:
                if found.words != state.words:
                    self._note("wrong", 1, "other verdicts over the same rows")
                return state
        self.part(f"neither before nor after: {found.counts}")
        return None

    def need_words(self, *wanted: Words) -> None:
        if words_of(self._store) not in wanted:
            self._note("wrong", 1, "verdicts are neither those of before nor those of after")

    def need_working(self, *words: str, typed: str = "") -> None:
        done = CliRunner().invoke(
            build(words[0]), ["--store", str(self._store), *words], input=typed
        )
        if done.exit_code:
            self.part(f"{' '.join(words[:2])} then ends with {done.exit_code}: {done.output}")

    def round(self, *, was_killed: bool) -> Round:
        return Round(was_killed=was_killed, said=tuple(self._said), **self._counted)


def _started(words: tuple[str, ...], typed: str | None) -> Forked:
    return Forked(*words, typed=(typed or "").encode(), at_terminal=typed is None)


def _in_this_process(words: tuple[str, ...], typed: str | None) -> None:
    with _started(words, typed) as program:
        program.let_go()
        _talk(program, typed, until=time.monotonic() + GIVE_UP_S)
    CliRunner().invoke(build(), list(words), input=typed or "")


def _talk(program: Forked, typed: str | None, *, until: float) -> bool:
    """Read, and answer where it asks, until a time; return whether it is still running then."""
    answers = iter(TYPED)
    read_to = 0
    while (left := until - time.monotonic()) > 0:
        if typed is None and program.shown[read_to:].endswith(": "):
            read_to = len(program.shown)
            program.type(next(answers, "stop"))
        if not program.read(left):
            program.end()
            return False
    return True


_ECHO = re.compile(r"^    \d.* in\r$", re.MULTILINE)


def answered(said: str) -> int:
    """Return how many numbers a guided entry has acknowledged."""
    return len(_ECHO.findall(said))


def kept_of(store: Path) -> list[str]:
    """Return the numbers of guided entry that are on file, filed or not."""
    with open_store(store, create=False) as opened:
        visits = opened.visits_of(opened.vehicle(CAR).id)
        mine = [visit.id for visit in visits if visit.day.isoformat() == DAY]
        return [entry.typed for id in mine for entry in opened.draft_entries(id)]


def state_of(store: Path) -> State:
    """Return how much is in a store, and what it says of the vehicle."""
    with closing(sqlite3.connect(store)) as raw:
        counts = {
            table: raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
            for table in sorted(metadata.tables)
        }
    return State(counts=counts, words=words_of(store))


def words_of(store: Path) -> Words:
    """Return what a store says of the parts of the vehicle."""
    with open_store(store, create=False) as opened:
        return tuple(
            (str(part.corner), part.part.value, part.word.value)
            for part in give_verdict(opened, CAR).parts
        )


def frozen(dump: Path, store: Path) -> Path:
    """Return the store of an older schema."""
    with closing(sqlite3.connect(store)) as raw:
        raw.executescript(dump.read_text(encoding="utf-8"))
    return store


def rows_of(store: Path) -> list[str]:
    """Return everything in a store, as statements."""
    with closing(sqlite3.connect(store)) as raw:
        return list(raw.iterdump())


def _schema_of(store: Path) -> int:
    with closing(sqlite3.connect(store)) as raw:
        return int(raw.execute("PRAGMA user_version").fetchone()[0])


def _sheet(folder: Path) -> Path:
    head = "vehicle,date,odometer,corner,quantity,values,unit"
    rows = [
        f"{CAR},{DAY},{KM},{corner},{quantity},{values},mm"
        for corner in ("LF", "RF")
        for quantity, values in (("rotor", "25.2 25.2 25.3"), ("pad-in", "1.2 1.1"))
    ]
    sheet = folder / "readings.csv"
    sheet.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return sheet
