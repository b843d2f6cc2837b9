"""Reading sets that say the same beside their values, of which a sheet has thousands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.lengths import LengthUnit, TypedLength
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.store.readings import SetLike


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """What sets have in common that differ in visit and values only; it has been checked."""

    one: ReadingSet
    """The first of them, which was read in full."""
    unit: LengthUnit | None
    """The unit of a number without one; None where each has to carry its own."""

    @property
    def quantity(self) -> Quantity:
        """What was measured."""
        return self.one.quantity

    def another(
        self, id: str, visit_id: str, values: Sequence[TypedLength | None]
    ) -> SetLike | None:
        """Return another such set with values of its own; None where it says another unit."""
        if self.unit is None and self.one.unit is not next(
            (value.unit for value in values if value), LengthUnit.MM
        ):
            return None
        return SetLike(
            self.one,
            id,
            visit_id,
            tuple([value.nm if value else None for value in values]),
            tuple([value.text if value else "" for value in values]),
        )
