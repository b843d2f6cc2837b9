"""Reading sets that say the same beside their values, of which a sheet has thousands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.intake.check import check_values
from brakelog.lengths import LengthUnit, TypedLength
from brakelog.record.reading import ReadingSet

NUMBERS_KNOWN = 4_096
"""Numbers that are kept in mind for one quantity; a micrometer shows some thousand. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """What sets have in common that differ in visit and values only; it has been checked."""

    one: ReadingSet
    """The first of them, which was read in full."""
    unit: LengthUnit | None
    """The unit of a number without one; None where each has to carry its own."""

    bare: dict[str, tuple[int, str]]
    """Length [nm] and text of numbers without a unit that were checked before, by what was typed;
    shared by all that have the same quantity, unit and kind of profile."""

    def values(
        self, tokens: Sequence[str]
    ) -> tuple[tuple[int | None, ...], tuple[str, ...]] | None:
        """Return the values that the tokens say and their texts; None where they say another unit.

        The values are in nanometres, None for a point that was not measured. [nm]

        Raises
        ------
        InvalidInput
            As ``check_values`` does.
        """
        is_as_long = len(tokens) == len(self.one.typed)
        known = [*map(self.bare.get, tokens)] if is_as_long else [None]
        if None not in known:
            # As many as before, each of them checked, and all of one unit: nothing is left to ask.
            lengths, texts = zip(*known, strict=True)
            return lengths, texts
        values = check_values(self.one.quantity, tokens, self.unit)
        if self.unit is None and self.one.unit is not next(
            (value.unit for value in values if value), LengthUnit.MM
        ):
            return None
        if is_as_long:
            self._remember(tokens, values)
        return (
            tuple([value.nm if value else None for value in values]),
            tuple([value.text if value else "" for value in values]),
        )

    def _remember(self, tokens: Sequence[str], values: Sequence[TypedLength | None]) -> None:
        if len(self.bare) > NUMBERS_KNOWN:
            self.bare.clear()
        for token, value in zip(tokens, values, strict=True):
            if value and not value.unit_typed:
                self.bare[token] = (value.nm, value.text)
