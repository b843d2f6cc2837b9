"""What a trace of system calls says of a disk: which files hold what is not on it yet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

_THREAD = re.compile(r"(?:(\d+) +)?(.*)", re.DOTALL)
_BEGUN = re.compile(r"(.*) <unfinished \.\.\.>")
_ENDED = re.compile(r"<\.\.\. \w+ resumed>(.*)")
_CALL = re.compile(r"(?P<name>\w+)\((?P<rest>.*)\)\s+= (?P<came>-?\d+)")
_ON_FILE = re.compile(r"(?P<fd>\d+)<(?P<path>[^>]*)>(?:, (?P<rest>.*))?", re.DOTALL)
_NAMES = re.compile(r'"((?:[^"\\]|\\.)*)"')
_WRITES = frozenset({"pwrite64", "write"})
_SYNCS = frozenset({"fsync", "fdatasync"})
_STANDARD_OUTPUT = 1


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that a program did to a file, or said."""

    what: str
    """write, sync, truncate, make, name, remove or say."""
    path: str
    """Of the file; for what was said its beginning."""
    new: str = ""
    """The new name, where one was given."""


def steps_in(lines: Iterable[str]) -> Iterator[Step]:
    """Yield what a traced program did to files, and what it said on standard output."""
    for line in whole_calls(lines):
        found = _CALL.match(line)
        if found is None or int(found["came"]) < 0:
            continue
        yield from _step(found["name"], found["rest"])


def split_thread(line: str) -> tuple[str, str]:
    """Return the number of the thread that a line of a trace begins with, and the rest.

    >>> split_thread("17  fsync(3</s>) = 0"), split_thread("fsync(3</s>) = 0")
    (('17', 'fsync(3</s>) = 0'), ('', 'fsync(3</s>) = 0'))
    """
    found = _THREAD.fullmatch(line)
    assert found is not None
    return found[1] or "", found[2]


def whole_calls(lines: Iterable[str]) -> list[str]:
    """Return the calls of all threads, those in one piece that another thread came into.

    A sync stands where it began, since what is written while it runs need not be on the disk;
    everything else where it had come to its end.
    """
    calls: list[str] = []
    begun: dict[str, tuple[int, str]] = {}
    for line in lines:
        thread, said = split_thread(line)
        if start := _BEGUN.fullmatch(said):
            begun[thread] = (len(calls), start[1])
            calls.append("")
        elif (end := _ENDED.fullmatch(said)) and thread in begun:
            place, first = begun.pop(thread)
            if first.partition("(")[0] in _SYNCS:
                calls[place] = first + end[1]
            else:
                calls.append(first + end[1])
        else:
            calls.append(said)
    return calls


def _step(name: str, rest: str) -> Iterator[Step]:
    on_file = _ON_FILE.match(rest)
    names = _NAMES.findall(rest)
    if name in _WRITES and on_file:
        if int(on_file["fd"]) != _STANDARD_OUTPUT:
            yield Step("write", on_file["path"])
        elif names and names[0]:
            yield Step("say", names[0])
    elif name in _SYNCS and on_file:
        yield Step("sync", on_file["path"])
    elif name == "ftruncate" and on_file:
        yield Step("truncate", on_file["path"])
    elif name.startswith("rename") or name in ("link", "linkat"):
        yield Step("name", names[0], names[1])
    elif name.startswith("unlink"):
        yield Step("remove", names[0])
    elif name == "openat" and "O_CREAT" in rest:
        yield Step("make", names[0])


def unsynced_when_said(steps: Iterable[Step], folder: Path) -> list[str]:
    """Return what was not on the disk yet when something was said; empty where all was.

    Parameters
    ----------
    steps : iterable of Step
        In order.
    folder : Path
        Only files in it count.
    """
    waiting: set[str] = set()
    faults = []
    for step in steps:
        if step.what == "say":
            faults += [f"{path} when {step.path!r} was said" for path in sorted(waiting)]
            continue
        if not Path(step.new or step.path).is_relative_to(folder):
            continue
        _follow(step, waiting)
    return faults


def _follow(step: Step, waiting: set[str]) -> None:
    if step.what == "sync":
        waiting.discard(step.path)
    elif step.what in ("write", "truncate"):
        waiting.add(step.path)
    elif step.what == "name":
        if step.path in waiting:
            waiting.add(step.new)
        waiting.add(str(Path(step.new).parent))
    elif step.what == "remove":
        waiting.discard(step.path)
        # A journal that came back would undo what was acknowledged.
        if step.path.endswith("-journal") and ".part" not in step.path:
            waiting.add(str(Path(step.path).parent))


def without_repeats(steps: Iterable[Step], folder: Path) -> list[tuple[str, str]]:
    """Return what was done to which file of a folder, and when something was said, in order."""
    found: list[tuple[str, str]] = []
    for step in steps:
        if step.what == "say":
            each = ("say", "")
        elif Path(step.path) == folder:
            each = (step.what, "folder")
        elif Path(step.path).is_relative_to(folder) and step.what != "make":
            each = (step.what, Path(step.new or step.path).name)
        else:
            continue
        if not found or found[-1] != each:
            found.append(each)
    return found
