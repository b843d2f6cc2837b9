"""A counter sheet on paper, read back as a person reads it: headings, rows, sentences."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

from tests.acceptance.workshop import Workshop

_BLOCKS = frozenset({"h1", "h2", "h3", "p", "li", "caption", "th", "td", "pre"})
_EMPTY = frozenset({"meta"})


@dataclass
class Sheet(HTMLParser):
    """What stands on a page."""

    source: str
    title: str = ""
    headings: list[tuple[int, str]] = field(default_factory=list)
    blocks: list[str] = field(default_factory=list)
    """Every heading, paragraph, item and cell, in order."""
    sections: dict[str, list[str]] = field(default_factory=dict)
    """The blocks below each heading of the second level; the head below none."""
    rows: list[tuple[str, ...]] = field(default_factory=list)
    scopes: list[str | None] = field(default_factory=list)
    """The scope of every header of a table."""
    tags: list[str] = field(default_factory=list)
    columns: list[tuple[str, ...]] = field(default_factory=list)
    _open: list[str] = field(default_factory=list)
    _text: str = ""
    _row: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.sections[""] = []
        self.feed(self.source)
        self.close()
        assert not self._open, self._open

    @property
    def text(self) -> str:
        return "\n".join(self.blocks)

    def row(self, what: str) -> tuple[str, ...]:
        """The first row of that name: a reading against its limit, before all that was typed."""
        return next(each for each in self.rows if each[0] == what)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag in _EMPTY:
            return
        self._open.append(tag)
        if tag in _BLOCKS or tag == "title":
            self._text = ""
        if tag == "tr":
            self._row = []
        if tag == "th":
            self.scopes.append(dict(attrs).get("scope"))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag
        text = self._text if tag == "pre" else " ".join(self._text.split())
        if tag == "title":
            self.title = text
        elif tag == "tr":
            into = self.columns if "thead" in self._open else self.rows
            into.append(tuple(self._row))
        elif tag in _BLOCKS:
            self._said(tag, text)

    def _said(self, tag: str, text: str) -> None:
        self.blocks.append(text)
        if tag in ("h1", "h2", "h3"):
            self.headings.append((int(tag[1]), text))
        if tag == "h2":
            self.sections[text] = []
        else:
            list(self.sections.values())[-1].append(text)
        if tag in ("th", "td"):
            self._row.append(text)

    def handle_data(self, data: str) -> None:
        if "style" not in self._open:
            self._text += data


def sheet_of(shop: Workshop, tag: str, *options: str) -> Sheet:
    return Sheet(shop.does("verdict", tag, "--html", "--out", "-", *options))
