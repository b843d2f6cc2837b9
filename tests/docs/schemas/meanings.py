"""What keys mean, as the tables of docs/reference/json.md say it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

PAGE = Path(__file__).resolve().parents[3] / "docs" / "reference" / "json.md"
_ROW = re.compile(r"^\| `(?P<key>[^`]+)` \| (?P<words>.+) \|$")
_LINK = re.compile(r"\[([^\]]+)\]\([^)]+\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of keys, under the line that stands before it."""

    heading: str
    rows: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """What the page says of one format; a key may stand in more than one of its tables."""

    format: str
    lead: str
    """Which command prints it."""
    tables: tuple[Table, ...]
    used: set[tuple[str, str]] = field(default_factory=set)
    """Heading and key of every row that was asked for."""

    def of(self, key: str, at: tuple[str, ...]) -> str:
        """Return the words for a key.

        The tables named are looked into first, then the first one of the section.

        Raises
        ------
        LookupError
            Where none of them has the key, or none goes by such a heading.
        """
        for table in self._in_order(at):
            if key in table.rows:
                self.used.add((table.heading, key))
                return table.rows[key]
        raise LookupError(f"{PAGE.name}, {self.format}: no row for the key {key!r}")

    def _in_order(self, at: tuple[str, ...]) -> Iterator[Table]:
        for words in at:
            found = [table for table in self.tables if words in table.heading]
            if not found:
                raise LookupError(f"{PAGE.name}, {self.format}: no table under {words!r}")
            yield from found
        yield self.tables[0]

    @property
    def unused(self) -> list[tuple[str, str]]:
        """Rows that nothing asked for: the form has no such key there any more."""
        rows = [(table.heading, key) for table in self.tables for key in table.rows]
        return [row for row in rows if row not in self.used]


def sections() -> dict[str, Section]:
    """Return what the page says, by format."""
    found = {}
    for part in re.split(r"^## ", PAGE.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        title, _, body = part.partition("\n")
        name = re.fullmatch(r"`(brakelog\.[a-z-]+/\d+)`", title.strip())
        if name:
            found[name[1]] = _section(name[1], body)
    return found


def _section(name: str, body: str) -> Section:
    lead = ""
    tables: list[Table] = []
    heading, is_table = "", False
    for line in body.splitlines():
        row = _ROW.match(line)
        if line.startswith("| key |"):
            tables.append(Table(heading=heading))
            is_table = True
        elif line.startswith("| ") and row is None:
            is_table = False
        elif row and is_table:
            tables[-1].rows[row["key"]] = plain(row["words"])
        elif line and not line.startswith("|"):
            heading, is_table = line, False
            lead = lead or f"{re.split('[;:]', plain(line))[0].rstrip('.')}."
    return Section(format=name, lead=lead, tables=tuple(tables))


def plain(text: str) -> str:
    """Return a line without its links.

    >>> plain("as in [questions](questions.md)")
    'as in questions'
    """
    return _LINK.sub(r"\1", text)
