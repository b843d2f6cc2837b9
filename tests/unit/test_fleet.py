"""The whole store is worked on by as many processes as the machine has cores for."""

from __future__ import annotations

import os

import pytest

from brakelog.workshop.fleet import MOST_WORKERS, workers


@pytest.mark.parametrize(("cores", "count"), [(1, 1), (2, 2), (3, 3), (64, MOST_WORKERS)])
def test_a_process_for_each_core_but_not_so_many_that_memory_grows(
    monkeypatch: pytest.MonkeyPatch, cores: int, count: int
) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(cores)), raising=False)
    assert workers() == count


def test_where_nobody_says_what_a_program_is_held_to_the_cores_of_the_machine_count(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert workers() == 1
