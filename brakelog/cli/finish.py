"""``brakelog finish``, ``agree`` and ``decline``: the end of a job, and the customer's word."""

from __future__ import annotations

import enum
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import beep, columns, opened, read_unit, say, say_json, say_lines, today
from brakelog.record.agreement import Consent
from brakelog.reports.plain import shown, wrapped
from brakelog.rules.figure import counted

if TYPE_CHECKING:
    from brakelog.rules.closing_item import OpenItem
    from brakelog.store.store import Store
    from brakelog.workshop.finish_session import FinishSession

JOB_OPEN = 12
"""Exit code of ``finish --fail-on open``."""


class FailOn(enum.Enum):
    """What makes ``finish`` end with an exit code of its own."""

    OPEN = "open"


_Vehicle = Annotated[str, typer.Argument(help="Tag, plate or VIN.")]
_Visit = Annotated[
    str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
]
_By = Annotated[
    str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who does it.")
]


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("finish")(finish)
    app.command("agree")(agree)
    app.command("decline")(decline)


def finish(
    ctx: typer.Context,
    vehicle: _Vehicle,
    visit: _Visit = None,
    by: _By = None,
    unit: Annotated[
        str | None, typer.Option(help="Unit of numbers typed without one: mm or in.")
    ] = None,
    lines: Annotated[
        Path | None, typer.Option(help="File of typed lines, instead of standard input.")
    ] = None,
    status: Annotated[bool, typer.Option("--status", help="Only say what is open.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
    fail_on: Annotated[
        FailOn | None, typer.Option(help="Exit 12 where the job is not finished.")
    ] = None,
) -> None:
    """Close a job: torques, checks and readings as left; says what is still open."""
    from brakelog.workshop.earlier_jobs import with_earlier
    from brakelog.workshop.finishing import job_of

    with opened(ctx) as store:
        if lines is None and sys.stdin.isatty() and not status and not as_json:
            _ask(store, vehicle, visit=visit, unit=unit, by=by)
        elif lines is not None or not status:
            _take(store, vehicle, lines, visit=visit, unit=unit, by=by, is_quiet=as_json)
        job = job_of(store, vehicle, visit)
        closing = with_earlier(store, job.left.file, job.closing)
    if as_json:
        from brakelog.rules.closing_document import closing_document

        say_json(closing_document(job.left.file, closing))
    else:
        from brakelog.reports.finish_sheet import finish_sheet

        say_lines(finish_sheet(job.left.file, closing, width=columns()))
    if fail_on is FailOn.OPEN and job.closing.is_preliminary:
        raise typer.Exit(JOB_OPEN)


def _take(
    store: Store,
    vehicle: str,
    path: Path | None,
    *,
    visit: str | None,
    unit: str | None,
    by: str | None,
    is_quiet: bool,
) -> None:
    from brakelog.cli.tech import typed_lines
    from brakelog.workshop.finishing import finish_lines

    if path is None and sys.stdin.isatty():
        return
    with typed_lines(path) as stream:
        number = finish_lines(
            store,
            vehicle,
            stream,
            today=today(),
            visit_name=visit,
            unit=read_unit(unit),
            by=by,
            source=path.name if path else "standard input",
        )
    if number and not is_quiet:
        say(f"on file: {counted(number, 'line')}")
        say()


def _ask(
    store: Store, vehicle: str, *, visit: str | None, unit: str | None, by: str | None
) -> None:
    from brakelog.workshop.finish_session import FinishSession

    session = FinishSession(
        store, vehicle, today=today(), visit_name=visit, unit=read_unit(unit), by=by
    )
    if session.item is None:
        return
    found = session.job.visit
    say(shown(f"Finishing {session.job.vehicle.tag}, visit of {found.day.isoformat()}"))
    say("Enter: leave open   - : take the last back   ? : what to do   stop : leave")
    try:
        _converse(session)
    except EOFError:
        say()
    if session.waits_for_the_pedal:
        say("Pedal not confirmed: do not move the vehicle. What is driven for is not asked.")
    if session.waits_for_the_wheels:
        say("Wheels not tightened: do not move the vehicle. What is driven for is not asked.")
    say()


def _converse(session: FinishSession) -> None:
    from brakelog.workshop.finish_session import Asks, Left, LeftOpen, NotTaken, TakenBack, Took

    told: set[str] = set()
    while (item := session.item) is not None:
        _tell_once(item, told)
        text = input(shown(_prompt(session, item)))
        if text.strip() == "?":
            _say_indented(f"{item.do[:1].upper()}{item.do[1:]}.")
            continue
        match session.answer(text):
            case Took(closed=True):
                say("    kept")
            case Took(still=still, do=do):
                stop = "" if still.endswith(("?", ".")) else "."
                _say_indented(f"kept, and open: {still}{stop} {do[:1].upper()}{do[1:]}.")
            case Asks():
                pass
            case LeftOpen():
                say("    left open")
            case NotTaken(message=message, hint=hint):
                beep()
                _say_indented(message)
                _say_indented(hint)
            case TakenBack():
                say("    taken back; open until it is answered again")
            case Left():
                return


def _tell_once(item: OpenItem, told: set[str]) -> None:
    """Say what belongs to the hand's next step, once."""
    from brakelog.reports.finish_words import cautions_at

    for text in cautions_at(item):
        if text not in told:
            told.add(text)
            _say_indented(text)


def _prompt(session: FinishSession, item: OpenItem) -> str:
    from brakelog.reports.finish_words import prompt_of

    if session.follow_up:
        return f"  {session.follow_up}: "
    say()
    lead, ask = prompt_of(item, session.torque_unit, session.length_unit)
    for line in wrapped(lead, width=columns()):
        say(line.text)
    return f"  {ask}: "


def _say_indented(text: str) -> None:
    for line in wrapped(text, first="    ", width=columns()):
        say(line.text)


_Work = Annotated[
    list[str], typer.Argument(help="The work: front pads and rotors, LR drum, front caliper.")
]
_Who = Annotated[str, typer.Option("--who", help="Name of who said so, on the customer's side.")]
_How = Annotated[str, typer.Option("--how", help="signed, in-person, phone, mail or message.")]
_When = Annotated[
    str, typer.Option("--when", help='"2026-03-02 10:20", or one of the two; today if not given.')
]
_Number = Annotated[str, typer.Option(help="The number that was called.")]
_Cost = Annotated[str, typer.Option(help="As quoted.")]
_Note = Annotated[str, typer.Option(help="Anything else.")]


def agree(
    ctx: typer.Context,
    vehicle: _Vehicle,
    work: _Work,
    who: _Who,
    how: _How,
    when: _When = "",
    number: _Number = "",
    cost: _Cost = "",
    note: _Note = "",
    visit: _Visit = None,
    by: _By = None,
) -> None:
    """Record that the customer agreed to work."""
    said = {"who": who, "how": how, "when": when, "number": number, "cost": cost, "note": note}
    _record(ctx, Consent.AGREED, vehicle, work, said, visit=visit, by=by)


def decline(
    ctx: typer.Context,
    vehicle: _Vehicle,
    work: _Work,
    who: _Who,
    how: _How,
    when: _When = "",
    number: _Number = "",
    cost: _Cost = "",
    note: _Note = "",
    visit: _Visit = None,
    by: _By = None,
) -> None:
    """Record that the customer declined work."""
    said = {"who": who, "how": how, "when": when, "number": number, "cost": cost, "note": note}
    _record(ctx, Consent.DECLINED, vehicle, work, said, visit=visit, by=by)


def _record(
    ctx: typer.Context,
    consent: Consent,
    vehicle: str,
    work: list[str],
    said: dict[str, str],
    *,
    visit: str | None,
    by: str | None,
) -> None:
    from brakelog.intake.closing_line import read_agreement
    from brakelog.intake.context import Context
    from brakelog.workshop.finishing import agree as put_on_file

    with opened(ctx) as store:
        brakes = store.vehicle(vehicle).brakes
        entry = read_agreement(consent, " ".join(work), said, Context(brakes=brakes))
        found = put_on_file(store, vehicle, entry, today=today(), visit_name=visit, by=by)
    what = ", ".join(str(item) for item in entry.items)
    say(shown(f"on file for {found.day.isoformat()}: {consent.value}: {what}"))
