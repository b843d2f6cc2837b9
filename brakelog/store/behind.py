"""Rows that go into the database while the program makes the next ones ready."""

from __future__ import annotations

import sys
import threading
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from typing import Any

MOST_WAITING = 12
"""Statements that wait for their turn; assumption: so many hold some ten megabytes of rows. [-]"""
TURN_S = 0.0005
"""How long the program works on before the other one, which has come back from the database, gets
the interpreter. With the usual 5 ms it waits longer for each statement than the statement takes,
measured. [s]"""


class Behind:
    """Runs statements one after another beside the program, in the order in which they came.

    The database works without the interpreter, so that both go on at once. Whoever wants to use
    the connection for anything else waits first: it is never used by two at a time.

    Parameters
    ----------
    run : callable
        Runs one statement with its values.
    interrupt : callable
        Makes the database give up what is run just now, if anything is.
    """

    def __init__(
        self, run: Callable[[str, Sequence[Any]], object], interrupt: Callable[[], object]
    ) -> None:
        self._run = run
        self._interrupt = interrupt
        self._turn_s = sys.getswitchinterval()
        sys.setswitchinterval(min(TURN_S, self._turn_s))
        self._worker = ThreadPoolExecutor(1, thread_name_prefix="rows")
        self._waiting: deque[Future[None]] = deque()
        self._failed: BaseException | None = None
        self._busy = threading.Lock()
        """Held while a statement is run."""
        self._is_closed = False

    def put(self, statement: str, values: Sequence[Any]) -> None:
        """Hand over a statement; waits where too many do already, and raises as ``wait`` does."""
        while len(self._waiting) >= MOST_WAITING:
            self._next()
        self._waiting.append(self._worker.submit(self._guarded, statement, values))

    def wait(self) -> None:
        """Wait until everything has been run; raises what the first one raised that failed.

        It is raised again whenever something is wanted later: what came behind it was not run.
        """
        while self._waiting:
            self._next()
        if self._failed is not None:
            raise self._failed

    def close(self) -> None:
        """Run no more, and give up what is being run just now. A second time does nothing.

        Not even somebody who interrupts the program again gets past that: a statement that is
        still run when the transaction has been taken back would be kept without one.
        """
        self._is_closed = True
        while True:
            try:
                # To join a thread is no way to wait here: where that is interrupted, this library
                # takes the thread for ended.
                self._worker.shutdown(wait=False, cancel_futures=True)
                if self._busy.locked():
                    # A server may wait for somebody else's lock for as long as it likes.
                    with suppress(Exception):
                        self._interrupt()
                with self._busy:
                    break
            except KeyboardInterrupt:
                continue
        self._waiting.clear()
        sys.setswitchinterval(self._turn_s)

    def _next(self) -> None:
        self._waiting[0].result()
        self._waiting.popleft()

    def _guarded(self, statement: str, values: Sequence[Any]) -> None:
        with self._busy:
            # After some faults the database has given the transaction up by itself, and whatever
            # came next would be kept without one.
            if self._is_closed or self._failed is not None:
                return
            try:
                self._run(statement, values)
            except BaseException as error:
                self._failed = error
                raise
