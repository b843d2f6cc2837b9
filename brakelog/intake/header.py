"""The header of a sheet: its delimiter, its kind, and which column is which."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brakelog.errors import InvalidInput, Problem, clip
from brakelog.intake.cell import clean
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.rows import FORMS, SheetForm

_DELIMITERS = (",", ";", "\t")
_OTHER_NAMES = {"day": "date"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """What the first filled line says."""

    kind: str
    delimiter: str
    columns: tuple[str, ...]
    """The column of each place; empty where the place has no name."""
    problems: tuple[Problem, ...] = ()


def read_header(
    line: str,
    source: str,
    kind: str | None,
    forms: Mapping[str, SheetForm[object]] = FORMS,
) -> Header:
    """Return what the header says about the sheet.

    Parameters
    ----------
    line : str
        The first line that is not blank.
    source : str
        Where it stands, for messages.
    kind : str or None
        The kind of sheet where it is known.
    forms : mapping of str to SheetForm
        The kinds that there are.

    Raises
    ------
    InvalidInput
        Where the kind is unknown or cannot be told.
    """
    if kind is not None and kind not in forms:
        raise InvalidInput(f"{clip(kind)!r} is not a kind of sheet", hint=did_you_mean(kind, forms))
    delimiter, names = max(
        ((each, _names(line, each)) for each in _DELIMITERS),
        key=lambda pair: (_known(pair[1], kind, forms), len(pair[1])),
    )
    found = kind or _kind_of(names, source, forms)
    return Header(
        kind=found,
        delimiter=delimiter,
        columns=tuple(names),
        problems=tuple(_problems(names, found, source, forms[found])),
    )


def _names(line: str, delimiter: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=delimiter, strict=True), [])
    except csv.Error:
        return []
    names = [re.sub(r"[\s_-]+", "_", clean(cell).lower()).strip("_") for cell in cells]
    return [_OTHER_NAMES.get(name, name) for name in names]


def _known(names: Sequence[str], kind: str | None, known: Mapping[str, SheetForm[object]]) -> int:
    """How many of the names are columns of the kind, or of the kind that they fit best."""
    forms = known.values() if kind is None else (known[kind],)
    return max(len(set(names) & set(form.columns)) for form in forms)


def _kind_of(names: Sequence[str], source: str, forms: Mapping[str, SheetForm[object]]) -> str:
    given = set(names) - {""}
    scores = {
        kind: len(given & set(form.columns)) - len(given - set(form.columns))
        for kind, form in forms.items()
    }
    best = max(scores.values())
    kinds = [kind for kind, score in scores.items() if score == best]
    if best < 1 or len(kinds) > 1:
        raise InvalidInput(
            f"{source}: the header does not say what kind of sheet this is",
            hint=f"name the kind: {', '.join(forms)}",
        )
    return kinds[0]


def _problems(
    names: Sequence[str], kind: str, source: str, form: SheetForm[object]
) -> list[Problem]:
    found: list[Problem] = []
    for place, name in enumerate(names):
        if not name:
            continue
        if name not in form.columns:
            hint = did_you_mean(name, [each for each in form.columns if each not in names])
            message = f"there is no column {clip(name)!r} in {kind}"
            found.append(Problem(source=source, message=f"{message}; {hint}" if hint else message))
        elif name in names[:place]:
            found.append(Problem(source=source, message=f"the column {name} is there twice"))
    found.extend(
        Problem(source=source, message=f"the column {name} is missing")
        for name in form.required
        if name not in names
    )
    return found
