"""The program as a process that may not take much memory, nor for ever."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MOST_MEMORY_MB = 700
"""Address space of the process; it takes 300 before it has read anything."""
LONGEST_S = 300
"""Nothing here takes five seconds; whatever hangs ends here, also on a busy machine. [s]"""
_LIMITED = (
    "import resource, sys; "
    f"resource.setrlimit(resource.RLIMIT_AS, ({MOST_MEMORY_MB} << 20, {MOST_MEMORY_MB} << 20)); "
    "from brakelog.cli.main import main; "
    "sys.argv[0] = 'brakelog'; main()"
)


def run(*words: object, typed: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run one command; a traceback, a kill for memory, and a hang are faults."""
    done = subprocess.run(
        [sys.executable, "-c", _LIMITED, *map(str, words)],
        input=typed,
        capture_output=True,
        cwd=ROOT,
        timeout=LONGEST_S,
        env={**os.environ, "BRAKELOG_LOCK_WAIT": "1"},
        check=False,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode("utf-8", "replace")
    assert b"MemoryError" not in done.stderr
    assert done.returncode >= 0
    return done


def refused(*words: object, typed: bytes = b"", said: str, code: int = 3) -> None:
    """Check that a command is refused for that reason, in a message that stays short."""
    done = run(*words, typed=typed)
    message = done.stderr.decode("utf-8", "replace")
    assert done.returncode == code, message[:500]
    assert message.startswith("error: ")
    assert said in message, message[:500]
    assert len(message) < 12_000
