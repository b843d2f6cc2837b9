"""The drawing of a corner: every length in it is the length of the part."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.record.quantity import Position
from brakelog.reports.customer_drawing import (
    COLUMN_MM,
    Drawing,
    Piece,
    corner_drawings,
)
from brakelog.reports.customer_measured import Bar, Measured, Shape

_SHAPES = {Position.ROTOR: Shape.DISC, Position.DRUM: Shape.DRUM}


def row(
    position: Position,
    size: str,
    limit: str = "",
    *,
    before: str = "",
    new: str = "",
    corner: str = "LF",
    has_plate: bool = False,
) -> Measured:
    return Measured(
        corner=corner,
        place="left front",
        position=position.value,
        name=position.label,
        size=f"{size} mm",
        size_other="",
        state="",
        limit=limit,
        limit_other="",
        before=before,
        before_other="",
        bar=Bar(
            shape=_SHAPES.get(position, Shape.LINING),
            size_mm=size,
            limit_mm=limit,
            previous_mm=before,
            new_mm=new,
            has_plate=has_plate,
        ),
    )


def drawn(*rows: Measured) -> Drawing:
    (drawing,) = corner_drawings(rows)
    return drawing


def pieces(drawing: Drawing, kind: str) -> list[Piece]:
    return [each for each in drawing.pieces if each.kind == kind]


def width(drawing: Drawing, kind: str) -> float:
    return sum(float(each.width) for each in pieces(drawing, kind))


def start(piece: Piece) -> float:
    return float(piece.x)


def end(piece: Piece) -> float:
    return float(piece.x) + float(piece.width)


sizes = st.integers(min_value=0, max_value=20_000).map(lambda um: f"{um / 1000:.3f}")


@given(size=sizes, limit=sizes)
def test_a_lining_is_as_long_as_it_is_thick_and_split_at_its_limit(size: str, limit: str) -> None:
    drawing = drawn(row(Position.PAD_INNER, size, limit))

    stays, left = width(drawing, "stays"), width(drawing, "left")
    assert stays + left == pytest.approx(float(size), abs=0.001)
    assert left == pytest.approx(max(float(size) - float(limit), 0.0), abs=0.001)


@given(
    size=st.integers(min_value=2_000, max_value=60_000),
    limit=st.integers(min_value=2_000, max_value=60_000),
)
def test_a_disc_wears_from_both_sides_alike(size: int, limit: int) -> None:
    drawing = drawn(row(Position.ROTOR, f"{size / 1000:.3f}", f"{limit / 1000:.3f}"))

    stays, left = width(drawing, "stays"), width(drawing, "left")
    assert stays + left == pytest.approx(size / 1000, abs=0.002)
    first, second = sorted(pieces(drawing, "limit"), key=start)
    assert end(second) - start(first) == pytest.approx(limit / 1000, abs=0.002)
    middle = float(drawing.width) / 2
    assert (start(first) + end(second)) / 2 == pytest.approx(middle, abs=0.002)


def test_the_line_of_a_limit_hides_nothing_of_what_may_still_wear() -> None:
    drawing = drawn(row(Position.PAD_OUTER, "3.0", "2.0"))

    (left,), (limit,) = pieces(drawing, "left"), pieces(drawing, "limit")
    assert end(limit) == start(left)


def test_the_ghost_is_what_was_worn_since_the_last_visit() -> None:
    pad = drawn(row(Position.PAD_OUTER, "3.0", "2.0", before="5.4"))
    (ghost,), (left,) = pieces(pad, "ghost"), pieces(pad, "left")
    assert start(ghost) == end(left)
    assert float(ghost.width) == pytest.approx(2.4)

    disc = drawn(row(Position.ROTOR, "25.1", "23.8", before="25.5"))
    assert width(disc, "ghost") == pytest.approx(0.4)

    assert not pieces(drawn(row(Position.PAD_OUTER, "3.0", "2.0")), "ghost")
    grown = drawn(row(Position.PAD_OUTER, "3.0", "2.0", before="2.9"))
    assert not pieces(grown, "ghost")


def test_a_part_without_a_limit_does_not_look_as_if_it_might_wear_on() -> None:
    for position in (Position.PAD_INNER, Position.ROTOR):
        drawing = drawn(row(position, "21.1"))
        assert width(drawing, "unknown") == pytest.approx(21.1)
        assert not [*pieces(drawing, "left"), *pieces(drawing, "limit")]


def test_beyond_its_limit_nothing_is_left_and_the_line_stands_apart() -> None:
    drawing = drawn(row(Position.PAD_OUTER, "1.4", "3.0"))

    assert not pieces(drawing, "left")
    (stays,), (limit,) = pieces(drawing, "stays"), pieces(drawing, "limit")
    assert start(limit) > end(stays)


def test_outer_pads_stand_outside_on_either_side_of_the_vehicle() -> None:
    def order(corner: str) -> list[str]:
        found = drawn(
            row(Position.PAD_INNER, "6.0", "2.0", corner=corner),
            row(Position.PAD_OUTER, "6.5", "2.0", corner=corner),
            row(Position.ROTOR, "25.0", "23.0", corner=corner),
        )
        return [each.position for each in found.rows]

    assert order("LF") == ["pad-out", "rotor", "pad-in"]
    assert order("RF") == ["pad-in", "rotor", "pad-out"]


def test_the_parts_of_a_corner_never_lie_on_each_other() -> None:
    drawing = drawn(
        row(Position.PAD_OUTER, "14.0", "3.0", before="18.0"),
        row(Position.ROTOR, "45.0", "40.0"),
        row(Position.PAD_INNER, "13.0", "3.0"),
    )

    assert drawing.is_wide
    assert float(drawing.width) > COLUMN_MM
    edge = float(drawing.width) - 20
    outer = [each for each in drawing.pieces if end(each) < 20]
    inner = [each for each in drawing.pieces if start(each) > edge]
    disc = [each for each in drawing.pieces if each not in outer and each not in inner]
    assert max(map(end, outer)) < min(map(start, disc))
    assert max(map(end, disc)) < min(map(start, inner))


def test_a_reading_with_the_plate_is_drawn_without_another_plate() -> None:
    assert pieces(drawn(row(Position.PAD_INNER, "9.0", "7.0")), "plate")
    assert not pieces(drawn(row(Position.PAD_INNER, "9.0", "7.0", has_plate=True)), "plate")


# Drums


def test_a_drum_is_drawn_as_what_it_may_still_grow_ten_times_as_large() -> None:
    drawing = drawn(row(Position.DRUM, "200.4", "201.0", before="200.3", new="200.0"))

    assert drawing.factor == 10
    assert width(drawing, "left") == pytest.approx(6.0)
    assert width(drawing, "ghost") == pytest.approx(1.0)
    (new,), (limit,) = pieces(drawing, "new"), pieces(drawing, "limit")
    assert start(limit) - (start(new) + end(new)) / 2 == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("new", "limit", "factor"),
    [("200.0", "203.5", 10), ("400.0", "406.0", 5), ("400.0", "415.0", 2), ("200.0", "240.0", 0)],
)
def test_a_drum_that_may_grow_more_is_drawn_less_enlarged(
    new: str, limit: str, factor: int
) -> None:
    assert drawn(row(Position.DRUM, new, limit, new=new)).factor == factor


def test_a_drum_past_its_limit_has_nothing_left() -> None:
    drawing = drawn(row(Position.DRUM, "201.2", "201.0", new="200.0"))

    assert not pieces(drawing, "left")
    assert width(drawing, "stays") == pytest.approx(2.0)


def test_a_drum_is_not_drawn_where_its_size_when_new_is_not_known() -> None:
    drawing = drawn(row(Position.DRUM, "200.4", "201.0"))

    assert drawing.factor == 0
    assert drawing.pieces == ()
    assert drawing.undrawn_drum
