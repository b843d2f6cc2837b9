"""Commands of the tech at the car."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from brakelog.cli import amend
from brakelog.cli.answer import answer
from brakelog.cli.runout import runout
from brakelog.cli.terminal import beep, columns, opened, read_unit, say, say_lines, today
from brakelog.errors import InvalidInput, NotFound, StoreError
from brakelog.lengths import decimal_mm
from brakelog.record.corner import parse_corner
from brakelog.record.reading import Stage
from brakelog.reports.plain import shown, wrapped
from brakelog.rules.figure import counted, distance

if TYPE_CHECKING:
    from brakelog.store.store import Store
    from brakelog.workshop.bay import Filed
    from brakelog.workshop.guiding import GuidedVisit
    from brakelog.workshop.visiting import VisitTyped

_Vehicle = Annotated[str, typer.Argument(help="Tag, plate or VIN.")]
_Odometer = Annotated[str | None, typer.Option(help='Odometer: "62400 km".')]
_Date = Annotated[str | None, typer.Option("--date", help="Day of the visit; today if not given.")]
_By = Annotated[
    str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who does it.")
]
_Unit = Annotated[str | None, typer.Option(help="Unit of numbers typed without one: mm or in.")]


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("measure")(measure)
    app.command("fit")(fit)
    app.command("runout")(runout)
    app.command("answer")(answer)
    app.add_typer(amend.group, name="amend")


def measure(
    ctx: typer.Context,
    vehicle: _Vehicle,
    odometer: _Odometer = None,
    date: _Date = None,
    unit: _Unit = None,
    by: _By = None,
    as_left: Annotated[
        bool, typer.Option("--as-left", help="After the work; before it if not given.")
    ] = False,
    corner: Annotated[
        list[str] | None, typer.Option(help="Only this corner; may be given again.")
    ] = None,
    lines: Annotated[
        Path | None, typer.Option(help="File of typed lines, instead of standard input.")
    ] = None,
    odometer_out: Annotated[
        str | None, typer.Option(help="Odometer when the vehicle left.")
    ] = None,
    complaint: Annotated[str | None, typer.Option(help="In the customer's own words.")] = None,
    next_visit: Annotated[
        str | None, typer.Option(help="Distance to the next planned visit, if not the shop's.")
    ] = None,
    next_months: Annotated[
        int | None, typer.Option(min=1, max=120, help="Months to it, if not the shop's.")
    ] = None,
    sheet: Annotated[
        bool, typer.Option("--sheet", help="Only write a blank card for paper; files nothing.")
    ] = False,
    text: Annotated[bool, typer.Option("--text", help="The card as plain text, printed.")] = False,
    out: Annotated[
        Path | None, typer.Option(help="File to write the card to; - for standard output.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a card that is there.")
    ] = False,
) -> None:
    """Put readings on file: asks at a terminal, reads lines from standard input otherwise."""
    stage = Stage.AS_LEFT if as_left else Stage.AS_FOUND
    of_visit = {
        "--odometer": odometer,
        "--date": date,
        "--lines": lines,
        "--odometer-out": odometer_out,
        "--complaint": complaint,
        "--next-visit": next_visit,
        "--next-months": next_months,
    }
    of_card = {"--text": text, "--out": out, "--replace": replace}
    _check_together(of_visit if sheet else of_card, is_card=sheet)
    if sheet:
        from brakelog.cli.bay_card import print_card

        print_card(
            ctx,
            vehicle,
            unit=read_unit(unit),
            stage=stage,
            corners=tuple(parse_corner(code) for code in corner or []),
            text=text,
            out=out,
            replace=replace,
        )
        return
    from brakelog.workshop.bay import measure_lines
    from brakelog.workshop.visiting import VisitTyped, read_day

    typed = VisitTyped(
        day=read_day(date, today()),
        odometer=odometer or "",
        odometer_out=odometer_out or "",
        complaint=complaint or "",
        next_distance=next_visit or "",
        next_months=next_months,
    )
    with opened(ctx) as store:
        if lines is None and sys.stdin.isatty():
            _ask(store, vehicle, typed, unit=unit, stage=stage, by=by, corners=corner or [])
        elif corner:
            raise InvalidInput(
                "--corner is for guided entry", hint="every typed line names its corner"
            )
        else:
            with typed_lines(lines) as stream:
                filed = measure_lines(
                    store,
                    vehicle,
                    stream,
                    typed,
                    unit=read_unit(unit),
                    stage=stage,
                    by=by,
                    source=lines.name if lines else "standard input",
                )
            say(
                f"on file for {filed.visit.day.isoformat()}: "
                f"{counted(len(filed.reading_sets), 'reading set')}, "
                f"{counted(len(filed.findings), 'finding')}, "
                f"{counted(len(filed.looked_over), 'corner')} looked over"
            )
            _say_questions(store, filed, stage)


def _check_together(given: Mapping[str, object], *, is_card: bool) -> None:
    """Refuse options of a visit with a blank card, and those of a card without one."""
    for option, value in given.items():
        if value not in (None, False) and is_card:
            raise InvalidInput(
                f"{option} is not for a blank card", hint="it is written on the card by hand"
            )
        if value not in (None, False):
            raise InvalidInput(f"{option} is for the card", hint="it goes with --sheet")


def _say_questions(store: Store, filed: Filed, stage: Stage) -> None:
    """Say what the readings just filed ask about themselves."""
    from brakelog.reports.questions import asked_lines
    from brakelog.workshop.answering import questions_about

    asked = questions_about(store, filed.visit.id, filed.reading_sets, stage=stage)
    if asked:
        say_lines(asked_lines(asked, width=columns()))
        tag = store.vehicle_by_id(filed.visit.vehicle_id).tag
        say(f"answer with: brakelog answer {shown(tag)}; or measure again")


@contextmanager
def typed_lines(path: Path | None) -> Iterator[TextIO]:
    """Open a file of typed lines, or standard input."""
    if path is None:
        sys.stdin.reconfigure(encoding="utf-8", errors="surrogateescape")  # type: ignore[union-attr]
        yield sys.stdin
        return
    try:
        stream = path.open(encoding="utf-8", errors="surrogateescape")
    except FileNotFoundError as error:
        raise NotFound(f"there is no file {path}", hint="check the name") from error
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}") from error
    with stream:
        yield stream


def _ask(
    store: Store,
    vehicle: str,
    typed: VisitTyped,
    *,
    unit: str | None,
    stage: Stage,
    by: str | None,
    corners: list[str],
) -> None:
    from brakelog.rules.unfiled import measure_command
    from brakelog.workshop.guiding import GuidedVisit

    session = GuidedVisit(
        store,
        vehicle,
        _with_odometer(store, vehicle, typed),
        unit=read_unit(unit) or store.shop().unit,
        stage=stage,
        by=by,
        corners=tuple(parse_corner(code) for code in corners),
    )
    _greet(session, stage)
    try:
        _converse(session)
    except EOFError:
        say()
    if session.question is None:
        what = "what was asked for" if corners else "everything"
        say(f"{what} is filed; brakelog verdict {shown(session.vehicle.tag)}")
    else:
        day = session.visit.day
        again = measure_command(
            session.vehicle.tag,
            stage,
            None if day == today() else day,
            corners=corners,
            unit=unit or "",
            by=by or "",
        )
        say(f"kept; go on later with: {shown(again)}")


def _with_odometer(store: Store, name: str, typed: VisitTyped) -> VisitTyped:
    """Ask for the odometer where the visit is not open yet."""
    from dataclasses import replace

    from brakelog.lengths import parse_distance
    from brakelog.workshop.visiting import check_odometer

    vehicle = store.vehicle(name)
    visits = store.visits_of(vehicle.id)
    if typed.odometer or any(visit.day == typed.day for visit in visits):
        return typed
    before = [visit for visit in visits if visit.day <= typed.day]
    last = f", last {before[-1].odometer_text.strip()}" if before else ""
    while True:
        text = input(shown(f"odometer in {vehicle.odometer_unit.value}{last}: "))
        try:
            odometer_mm, _ = parse_distance(text, declared=vehicle.odometer_unit)
            check_odometer(visits, typed.day, odometer_mm)
            return replace(typed, odometer=text)
        except InvalidInput as error:
            _tell(str(error), error.hint)


def _greet(session: GuidedVisit, stage: Stage) -> None:
    visit = session.visit
    say(
        shown(
            f"{session.vehicle.tag}, {visit.day.isoformat()}, "
            f"{distance(visit.odometer_mm, visit.odometer_unit)}, {stage.value}"
        )
    )
    if session.resumed:
        say(f"going on after {counted(session.resumed, 'answer')}")
    say("Support the car; no dry brushing or blowing of dust; let hot parts cool first.")
    say("Enter: not measured   - : redo the last   ? : help   stop : leave, all is kept")


def _tell(message: str, hint: str) -> None:
    """Say why an answer was not taken, with a bell, wrapped to the terminal."""
    beep()
    for text in (message, hint):
        for line in wrapped(text, first="    ", width=columns()):
            say(line.text)


def _left_out(key: str) -> str:
    """Return what an empty answer to a question means."""
    if key.startswith("finding"):
        return "nothing more"
    asks_yes_no = key == "looked-over" or key.endswith((":nuts", ":bearing", ":back", ":lip"))
    return "not said" if asks_yes_no else "not measured"


def _converse(session: GuidedVisit) -> None:
    from brakelog.intake.outcome import (
        Accepted,
        Blank,
        Changed,
        CornerReady,
        Refused,
        Reopened,
        Stopped,
        WentBack,
    )
    from brakelog.reports.questions import asked_lines

    while (question := session.question) is not None:
        if session.raised:
            beep()
            say_lines(asked_lines(session.raised, width=columns()))
            say("  again reads it once more from its first point; else it stays a question")
        for line in question.summary.splitlines():
            say(shown(line))
        last = f"  last {question.previous.strip()}" if question.previous else ""
        match session.answer(input(shown(f"{question.prompt}{last}: "))):
            case Accepted(echo=echo):
                say(f"    {shown(echo)}")
            case Blank(entries=entries):
                say(f"    {_left_out(entries[0].key)}")
            case Refused(message=message, hint=hint):
                _tell(message, hint)
            case Reopened(keys=keys):
                say(f"    {counted(len(keys), 'answer')} taken back")
            case WentBack():
                say("    taken back")
            case Changed(message=message):
                for line in message.splitlines():
                    say(f"    {shown(line)}")
            case CornerReady(corner=corner):
                say(f"{corner} is filed")
            case Stopped():
                return


def fit(
    ctx: typer.Context,
    vehicle: _Vehicle,
    corner: Annotated[str, typer.Argument(help="LF RF LR RR ...")],
    part: Annotated[
        str, typer.Argument(help="rotor, pads, pad-in, pad-out, drum, shoes, shoe-lead ...")
    ],
    event: Annotated[str, typer.Argument(help="new, used, refinished, moved, removed")],
    size: Annotated[
        list[str] | None,
        typer.Option(help='Size: "27.98 mm"; twice for two pads or shoes, inner or leading first.'),
    ] = None,
    basis: Annotated[
        str | None, typer.Option(help="measured (so a size counts if not said), nominal, unknown.")
    ] = None,
    from_corner: Annotated[
        str | None, typer.Option("--from", help="Corner that a moved part comes from.")
    ] = None,
    odometer: _Odometer = None,
    date: _Date = None,
    unit: _Unit = None,
    by: _By = None,
    note: Annotated[str | None, typer.Option(help="Part number, batch, cause ...")] = None,
) -> None:
    """Put on file that a part was fitted, refinished, moved or removed."""
    from brakelog.intake.fitting_row import FittingRow
    from brakelog.workshop.fitting import fit_parts
    from brakelog.workshop.rows import typed_row
    from brakelog.workshop.visiting import VisitTyped, find_visit, read_day

    day = read_day(date, today())
    with opened(ctx) as store:
        found = store.vehicle(vehicle)
        if odometer is None and any(v.day == day for v in store.visits_of(found.id)):
            known = find_visit(store, found, day.isoformat())
            odometer = f"{known.odometer_mm // known.odometer_unit.mm} {known.odometer_unit.value}"
        row = typed_row(
            "fittings",
            {
                "vehicle": found.tag,
                "date": day.isoformat(),
                "odometer": odometer,
                "corner": corner,
                "part": part,
                "event": event,
                "size": " ".join(size or []),
                "unit": unit,
                "basis": basis,
                "from_corner": from_corner,
                "note": note,
            },
        )
        assert isinstance(row, FittingRow)
        visit, fittings = fit_parts(store, row, VisitTyped(day=day, odometer=odometer or ""), by=by)
    for each in fittings:
        size_text = f", {decimal_mm(each.size_nm)} mm" if each.size_nm is not None else ""
        say(
            f"on file for {visit.day.isoformat()}: {each.corner} {each.position.label} "
            f"{each.event.value}{size_text} ({each.basis.value})"
        )
