"""The program in a process of its own that need not load it first: a copy of this one.

It is killed as any other process is. What is killed was loaded already, so that a moment that is
drawn falls into the work and not into the loading.
"""

from __future__ import annotations

import io
import os
import pty
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from tests.faults.syscalls import split_thread

GIVE_UP_S = 60.0
"""So that a program that says nothing fails the test instead of holding it. [s]"""
CHANGING = (
    *("pwrite64", "write", "fsync", "fdatasync", "ftruncate", "openat", "mkdir", "mkdirat"),
    *("unlink", "unlinkat", "rename", "renameat", "renameat2", "link", "linkat"),
)
"""System calls of Linux between which a disk, or what somebody was told, changes."""


@dataclass(frozen=True, slots=True)
class Call:
    """A system call, as the how-manieth of its name that one thread makes in a run."""

    name: str
    number: int


class Forked:
    """One command, held until it is let go."""

    def __init__(
        self,
        *words: str,
        typed: bytes = b"",
        at_terminal: bool = False,
        before: Callable[[], object] | None = None,
    ) -> None:
        near, far = pty.openpty() if at_terminal else os.pipe()
        gate, self._gate = os.pipe()
        with tempfile.TemporaryFile() as asked:
            asked.write(typed)
            asked.seek(0)
            self.pid = os.fork()
            if not self.pid:
                os.close(self._gate)
                os.close(near)
                _become(words, far if at_terminal else asked.fileno(), far, gate, before)
        os.close(far)
        os.close(gate)
        self._near = near
        self._ended: int | None = None
        self.shown = ""
        self._read_to = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """Leave nothing running, whatever went wrong."""
        if self._ended is None:
            self.kill()
            self.end()

    def let_go(self) -> None:
        """Let it begin."""
        os.write(self._gate, b"g")
        os.close(self._gate)

    def read(self, wait_s: float) -> bool:
        """Read what it says, for so long at most; return False once it has ended."""
        ready, _, _ = select.select([self._near], [], [], max(0.0, wait_s))
        if not ready:
            return True
        try:
            said = os.read(self._near, 65536)
        except OSError:
            return False
        self.shown += said.decode()
        return bool(said)

    def type(self, text: str) -> None:
        """Type a line at its terminal."""
        os.write(self._near, f"{text}\n".encode())

    def wait_for(self, text: str) -> None:
        """Read until a text is shown, behind what was waited for before."""
        while (found := self.shown.find(text, self._read_to)) < 0:
            length = len(self.shown)
            assert self.read(GIVE_UP_S), f"ended before {text!r}:\n{self.shown}"
            assert len(self.shown) > length, f"no {text!r} in:\n{self.shown}"
        self._read_to = found + len(text)

    def kill(self) -> None:
        """Kill it at once, whatever it is doing."""
        os.kill(self.pid, signal.SIGKILL)

    def read_all(self) -> str:
        """Read until it has ended, and return all that it has said."""
        until = time.monotonic() + GIVE_UP_S
        while self.read(until - time.monotonic()):
            if time.monotonic() >= until:
                self.kill()
                raise AssertionError(f"it does not end:\n{self.shown}")
        self.end()
        os.close(self._near)
        return self.shown

    def end(self) -> int:
        """Wait until it has ended; return its exit code, below 0 where a signal ended it."""
        if self._ended is None:
            self._ended = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        return self._ended


def _become(
    words: Sequence[str],
    asked: int,
    told: int,
    gate: int,
    before: Callable[[], object] | None,
) -> None:
    """Turn this copy of the process into the program; does not return."""
    code = 70
    try:
        os.dup2(asked, 0)
        os.dup2(told, 1)
        os.dup2(told, 2)
        os.read(gate, 1)
        if before is not None:
            before()
        sys.argv = ["brakelog", *words]
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout, sys.stderr = (
            io.TextIOWrapper(io.FileIO(1, "w", closefd=False), write_through=True),
            io.TextIOWrapper(io.FileIO(2, "w", closefd=False), write_through=True),
        )
        from brakelog.cli.start import main

        try:
            main()
            code = 0
        except SystemExit as ended:
            code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        # Nothing of the process that was copied is tidied up here.
        os._exit(code)


def run_forked(
    *words: str, typed: str = "", before: Callable[[], object] | None = None
) -> tuple[int, str]:
    """Run a command to its end; return its exit code and all that it has said."""
    with Forked(*words, typed=typed.encode(), before=before) as program:
        program.let_go()
        said = program.read_all()
    return program.end(), said


def can_trace() -> bool:
    """Tell whether system calls can be looked at here."""
    if shutil.which("strace") is None:
        return False
    done = subprocess.run(
        ["strace", "-o", os.devnull, "-e", "trace=fsync", "true"], capture_output=True
    )
    return done.returncode == 0


class Traced:
    """The system calls of a process that is held, written down; maybe it is killed at one.

    Those of the threads that it starts are among them.
    """

    def __init__(self, of: Forked, *, kill_at: Call | None = None) -> None:
        self._folder = tempfile.TemporaryDirectory()
        self._into = Path(self._folder.name) / "trace"
        words = ["strace", "-f", "-y", "-s", "64", "-o", str(self._into), "-p", str(of.pid)]
        words += ["-e", "trace=" + ",".join(f"?{name}" for name in CHANGING)]
        if kill_at is not None:
            words += ["-e", f"inject={kill_at.name}:signal=KILL:when={kill_at.number}"]
        self._strace = subprocess.Popen(
            words,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self._strace.stderr is not None
        said = self._strace.stderr.readline()
        assert "attached" in said, said + self._strace.stderr.read()

    def lines(self) -> list[str]:
        """Return the calls, once the process has ended."""
        self._strace.communicate(timeout=GIVE_UP_S)
        with self._folder:
            return self._into.read_text(errors="replace").splitlines()


def calls_in(lines: Sequence[str]) -> list[Call]:
    """Return the calls of a trace."""
    seen: Counter[tuple[str, str]] = Counter()
    found = []
    for line in lines:
        thread, said = split_thread(line)
        name = said.partition("(")[0]
        if name in CHANGING:
            seen[thread, name] += 1
            found.append(Call(name, seen[thread, name]))
    return found
