"""What is asked on paper is what guided entry asks, in the same order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from brakelog.intake.context import Context
from brakelog.intake.guided import Guided
from brakelog.intake.notebook import Notebook
from brakelog.intake.outcome import Accepted, CornerReady
from brakelog.intake.paper import paper_corner
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import parse_brakes

POINTED = Gauge(
    id="g1",
    tag="M1",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1000,
    resolution_text="0.001",
    used_for=frozenset({Quantity.ROTOR}),
    tips=Tips.POINTED,
)
FLAT = replace(POINTED, tips=Tips.FLAT)
INCH = replace(POINTED, unit=LengthUnit.INCH, resolution_nm=2540, resolution_text="0.0001")
ANSWERS = {"again": "24.1 mm", "nuts": "5/5", "bearing": "y", "back": "y", "lip": "n"}
VALUES = {"drum-open": "200.1 mm", "drum-closed": "200.1 mm", "rotor": "24.1 mm"}


def shop(*gauges: Gauge) -> Context:
    return Context(gauges={each.tag.lower(): each for each in gauges}, declared=LengthUnit.MM)


@pytest.mark.parametrize("brakes", ["disc/disc", "disc/drum", "drum/disc/drum"])
@pytest.mark.parametrize("gauges", [(), (POINTED,), (FLAT,), (INCH,), (POINTED, FLAT)])
@pytest.mark.parametrize("points", [{}, {1: 12}, {1: 4, 2: 10}])
def test_every_question_of_every_corner_in_its_order(
    brakes: str, gauges: tuple[Gauge, ...], points: dict[int, int]
) -> None:
    named = tuple(replace(each, id=str(n), tag=f"M{n}") for n, each in enumerate(gauges))
    context = replace(shop(*named), brakes=parse_brakes(brakes))
    guided = Guided(brakes=context.brakes, context=context, points_wanted=points)
    notebook = Notebook(context, points, person_id=None)
    walk = [paper_corner(notebook, corner) for corner in notebook.order]

    assert [(paper.corner, paper.keys) for paper in walk] == list(asked(guided))


def asked(guided: Guided) -> Iterator[tuple[Corner, tuple[str, ...]]]:
    """Answer every question, one finding left out, and yield the keys of each corner."""
    keys: list[str] = []
    while (question := guided.question) is not None:
        word, _, what = question.key.partition(":")
        if question.key == "confirm":
            outcome = guided.answer("")
            assert isinstance(outcome, CornerReady)
            yield question.corner, tuple(keys)
            keys = []
            continue
        keys.append(question.key)
        if word == "finding":
            guided.answer("")
        elif word == "looked-over":
            guided.answer("y")
        else:
            outcome = guided.answer(ANSWERS.get(what, VALUES.get(word, "1.5 mm")))
            assert isinstance(outcome, Accepted), (question, outcome)


def test_unit_and_gauge_are_those_of_the_prompt() -> None:
    context = replace(shop(INCH), brakes=parse_brakes("disc"))
    notebook = Notebook(context, {}, None)
    paper = paper_corner(notebook, notebook.order[0])
    taken = {row.quantity: (row.unit, row.gauge) for row in paper.rows}

    assert taken[Quantity.ROTOR] == (LengthUnit.INCH, INCH)
    assert taken[Quantity.PAD_INNER] == (LengthUnit.MM, None)


def test_a_unit_that_nobody_declared_has_to_be_written() -> None:
    context = Context(brakes=parse_brakes("drum"))
    notebook = Notebook(context, {}, None)

    assert {row.unit for row in paper_corner(notebook, notebook.order[0]).rows} == {None}
