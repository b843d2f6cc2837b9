"""The bay card as a page to be printed and filled in with a marker."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brakelog.reports import bay_card_text as words
from brakelog.reports.bay_card_model import BayCard, BlankKind, CornerBand, Row

_PER_LINE = 5
"""Blanks beside each other that leave room for the small print; assumption, tried on paper."""
_BESIDE = 2
"""Quantities that share a strip: the two pads, the two shoes, the two edges of a drum."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Rows beside each other, with their small print at the end."""

    rows: tuple[Row, ...]

    @property
    def small(self) -> tuple[str, ...]:
        """What was read last, then the bounds; where the rows have the same, once."""
        if len(self.rows) == 1:
            return (self.rows[0].last, *self.rows[0].bounds)
        told = [f"{row.word}: {row.last}" for row in self.rows]
        return (*told, *(bound for row in self._different for bound in row.bounds))

    @property
    def looked_up(self) -> tuple[Row, ...]:
        """The rows with a figure that is in no file and stamped on no part."""
        return tuple(row for row in self._different if row.to_find and not row.cast)

    @property
    def is_alike(self) -> bool:
        """Whether every row has the same bounds."""
        return all(row.bounds == self.rows[0].bounds for row in self.rows)

    @property
    def _different(self) -> tuple[Row, ...]:
        return self.rows[:1] if self.is_alike else self.rows


def bay_card_page(card: BayCard) -> str:
    """Return the card as one self-contained HTML page."""
    from pathlib import Path

    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("bay_card.html").render(
        card=card,
        words=words,
        kinds=BlankKind,
        bands=[(band, list(_strips(band))) for band in card.corners],
    )


def _strips(band: CornerBand) -> Iterator[Strip]:
    """Yield the strips of a corner, in the order asked; one with many blanks stands alone."""
    waiting: list[Row] = []
    for row in band.rows:
        is_long = len(row.blanks) > _PER_LINE
        if waiting and (is_long or len(waiting) == _BESIDE):
            yield Strip(rows=tuple(waiting))
            waiting = []
        if is_long:
            yield Strip(rows=(row,))
        else:
            waiting.append(row)
    if waiting:
        yield Strip(rows=tuple(waiting))
