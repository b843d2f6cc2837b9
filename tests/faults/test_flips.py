"""A store with one bit the other way round, or cut short: no answer changes silently.

The large count is run by hand: ``python tests/faults/campaign.py --flips 400``.
"""

from __future__ import annotations

import pytest

from brakelog.store.checking import check_store
from tests.faults.flips import Came, Flips, tally

SEED = 1000


@pytest.fixture(scope="module")
def flips(tmp_path_factory: pytest.TempPathFactory) -> Flips:
    return Flips(tmp_path_factory.mktemp("flips"))


@pytest.mark.parametrize(("where", "rounds"), [("content", 24), ("structure", 16)])
def test_flipped_bit_is_named_mostly_and_never_changes_an_answer_silently(
    flips: Flips, where: str, rounds: int
) -> None:
    draws = {"content": flips.in_content, "structure": flips.in_structure}
    counts, bad = tally(draws[where](rounds, SEED))

    assert [str(each) for each in bad] == []
    # The rest are room that holds nothing, and the keys of imported rows, which have no seals.
    assert counts["check", "named"] >= 0.6 * rounds


@pytest.mark.parametrize("share", [0.9, 0.5, 0.1, 1])
def test_store_that_is_cut_short_is_named_and_nothing_is_answered_from_it(
    flips: Flips, share: float
) -> None:
    content = flips.content
    came = flips.with_content(content[: int(len(content) * share) - (share == 1)])

    assert came.is_named
    assert set(came.came.values()) == {Came.REFUSED}


@pytest.mark.parametrize(
    "index",
    [
        "sqlite_autoindex_gauges_1",
        "sqlite_autoindex_visits_1",
        "sqlite_autoindex_vehicle_identities_1",
        "sqlite_autoindex_derived_experience_1",
        "ix_vehicles_tag_key",
        "ix_limit_sheets_name_key",
        "ix_limits_replaces",
    ],
)
def test_index_that_hides_a_row_or_leads_to_another_changes_no_answer(
    flips: Flips, index: str
) -> None:
    """A gauge that is not found, say, would be judged as one that nobody knows."""
    for number, place in enumerate(flips.pointers_of(index)[:3]):
        came = flips.at(place, 3, number)

        assert came.is_named
        assert {Came.DIFFERENT, Came.BROKE}.isdisjoint(came.came.values()), str(came)


def test_sound_store_is_called_sound(flips: Flips) -> None:
    assert check_store(flips.store).faults == ()
