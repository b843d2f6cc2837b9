"""In the office: whole sheets in. All of a sheet is put on file, or nothing of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import BinaryIO, TextIO

from brakelog.errors import Conflict, InvalidInput, NotFound, Problem
from brakelog.intake.problems import MOST_PROBLEMS, bad_input
from brakelog.store.store import Store
from brakelog.workshop.clerk import Clerk
from brakelog.workshop.collecting import seldom_collected
from brakelog.workshop.imported_keys import ImportedKeys
from brakelog.workshop.reading_ahead import pages_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What became of one sheet."""

    kind: str
    added: int
    already: int
    """Rows that are on file already: by an earlier import, or a second time in a sheet so long that
    its reader could not say so."""


def import_sheet(
    store: Store,
    stream: BinaryIO | TextIO,
    name: str,
    *,
    kind: str | None = None,
    by: str | None = None,
    today: date,
) -> Imported:
    """Put a sheet on file; importing the same sheet again adds nothing.

    Rows are read and filed a few at a time, so that memory does not grow with the sheet; all of
    them stand in one transaction.

    Raises
    ------
    BadSheet
        With every row that cannot be put on file, up to ``MOST_PROBLEMS``, and nothing written.
    """
    problems: list[Problem] = []
    person_id = store.person(by).id if by else None
    count = added = 0
    with (
        seldom_collected(),
        pages_of(stream, name, kind) as (found, pages),
        store.writing(by=person_id),
    ):
        clerk = Clerk(store=store, person_id=person_id, today=today)
        keys = ImportedKeys(store=store)
        for page in pages:
            problems += (problem for each in page for problem in each.problems)
            rows = {each.key: each.row for each in page if each.row is not None}
            known = keys.known(rows.keys())
            count += sum(each.row is not None for each in page)
            added += len(rows) - len(known)
            clerk.look_up([row for key, row in rows.items() if key not in known])
            # The page before is written only now, while this one is filed and the next one read:
            # whoever looks something up waits for whatever is being written.
            with store.undivided():
                clerk.write()
                keys.write_some()
            for key, row in rows.items():
                if key in known:
                    continue
                try:
                    keys.remember(key, found, clerk.file(row))
                except (InvalidInput, NotFound, Conflict) as error:
                    hint = f"; {error.hint}" if error.hint else ""
                    problems.append(Problem(source=row.source, message=f"{error}{hint}"))
            if len(problems) >= MOST_PROBLEMS:
                break
        if problems:
            raise bad_input(sorted(problems, key=_line_of), name, "nothing was imported")
        with store.undivided():
            clerk.write()
            keys.finish()
    return Imported(kind=found, added=added, already=count - added)


def _line_of(problem: Problem) -> int:
    number = problem.source.rpartition(":")[2]
    return int(number) if number.isdecimal() else 0
