"""A store with one bit the other way round, or cut short: no answer changes silently.

The large count is run by hand: ``python tests/faults/campaign.py --flips 400``.
"""

from __future__ import annotations

import pytest

from brakelog.store.checking import check_store
from tests.faults.flips import Came, Flips, tally
from tests.faults.pages import Room
from tests.faults.sample import chance

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
    assert counts["check", "named"] >= 0.9 * rounds


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


@pytest.mark.parametrize("tree", ["import_keys", "sqlite_schema", "row_tallies", "chain_heads"])
def test_bit_in_a_row_without_a_seal_is_named_all_the_same(flips: Flips, tree: str) -> None:
    pages = flips.pages
    mine = [place for place in pages.places(frozenset({Room.CELL})) if pages.tree_of(place) == tree]
    for number in range(8):
        draw = chance(SEED + number, tree)

        assert flips.is_named_at(draw.choice(mine), draw.randrange(8))


def test_every_bit_of_the_end_of_a_chain_is_named_even_where_its_digits_stay_the_same(
    flips: Flips,
) -> None:
    """Bit 5 makes a capital of a small letter (ASCII)."""
    pages = flips.pages
    mine = [
        place
        for place in pages.places(frozenset({Room.CELL}))
        if pages.tree_of(place) == "chain_heads" and chr(flips.content[place]) in "abcdef"
    ]

    assert len(mine) > 8
    assert all(flips.is_named_at(place, 5) for place in mine[:40])


@pytest.mark.parametrize("tree", ["reading_sets", "visits", "chain_heads", "row_tallies", "people"])
def test_text_that_turns_into_bytes_is_named(flips: Flips, tree: str) -> None:
    """The lowest bit of the kind of a value tells texts from bytes (file format, section 2.1)."""
    for place in flips.pages.kinds[tree]:
        assert flips.is_named_at(place, 0), place


def test_what_is_said_to_hold_nothing_can_be_emptied(flips: Flips) -> None:
    """Or else a place would be left out that counts."""
    content = bytearray(flips.content)
    for place in flips.pages.places(frozenset({Room.NOTHING})):
        content[place] = 0

    came = flips.with_content(bytes(content))

    assert not came.is_named
    assert set(came.came.values()) == {Came.SAME}


def test_sound_store_is_called_sound(flips: Flips) -> None:
    assert check_store(flips.store).faults == ()
