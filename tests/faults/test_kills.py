"""Commands are killed at any moment: nothing acknowledged is lost, nothing is there in part.

The large count is run by hand: ``python tests/faults/campaign.py --rounds 1000``.
"""

from __future__ import annotations

import os

import pytest

pytest.importorskip("pty", reason="a process is copied and killed on POSIX systems only")

from tests.faults.kills import FROZEN, Kills

SEED = int(os.environ.get("BRAKELOG_FAULT_SEED", "0"))
"""Of the first round; another one draws other moments."""
UPGRADES = tuple(f"upgrade from {dump.stem}" for dump in FROZEN[:-1])
ROUNDS = {
    "typed lines": 8,
    "guided entry": 9,
    "import": 7,
    "backup": 8,
    "restore": 6,
} | dict.fromkeys(UPGRADES, 4)


@pytest.fixture(scope="module")
def kills(tmp_path_factory: pytest.TempPathFactory) -> Kills:
    return Kills(tmp_path_factory.mktemp("kills"))


@pytest.mark.parametrize("what", ROUNDS)
def test_whatever_moment_it_is_killed_at_the_store_is_that_of_before_or_of_after(
    kills: Kills, what: str
) -> None:
    for seed in range(SEED, SEED + ROUNDS[what]):
        came = kills.round(what, seed)

        assert (came.lost, came.half, came.wrong) == (0, 0, 0), (f"seed {seed}", came.said)
