"""``brakelog answer``: the questions that readings raise about themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import columns, opened, say, say_json, say_lines

if TYPE_CHECKING:
    from brakelog.workshop.answering import Asked


def answer(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    number: Annotated[
        str | None, typer.Argument(help="The question, as listed; lists them if not given.")
    ] = None,
    said: Annotated[
        str | None, typer.Argument(help="right: looked at again, it is so. wrong: it is a slip.")
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who answers.")
    ] = None,
    note: Annotated[str, typer.Option(help="What was looked at.")] = "",
    visit: Annotated[
        str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """List what the readings of a visit ask about themselves, and answer."""
    from brakelog.errors import InvalidInput
    from brakelog.reports.questions import question_lines, questions_document
    from brakelog.workshop.answering import answer_question, questions_of
    from brakelog.workshop.counter import read_stage

    with opened(ctx) as store:
        if number is not None:
            if said is None:
                raise InvalidInput("the answer is missing", hint="right or wrong")
            question, kept = answer_question(
                store,
                vehicle,
                number,
                said,
                by=by,
                note=note,
                visit_name=visit,
                stage=read_stage(stage),
            )
            say(f"{question.suspicion.value} is answered: {kept.said.value}")
            if kept.said.value == "wrong":
                say("correct it now: brakelog amend list, then amend set, odometer, move or void")
            return
        asked: list[Asked] = questions_of(store, vehicle, visit_name=visit, stage=read_stage(stage))
        people = {person.id: person.tag for person in store.people()}
    rows = [(each.number, each.question, each.answer) for each in asked]
    if as_json:
        say_json(questions_document(rows, people))
        return
    say_lines(question_lines(rows, people, width=columns()))
