"""Reading sets that say the same beside their values, of which a sheet has thousands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from brakelog.lengths import LengthUnit, TypedLength
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.store.nouns import field_names, noun_maker

_make = noun_maker(ReadingSet)
_NAMES = field_names(ReadingSet)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """What sets have in common that differ in visit and values only; it has been checked."""

    quantity: Quantity
    unit: LengthUnit | None
    """The unit of a number without one; None where each has to carry its own."""
    before: tuple[Any, ...]
    """The fields between the visit and the values."""
    after: tuple[Any, ...]
    """The fields behind the unit."""

    @classmethod
    def of(cls, one: ReadingSet, unit: LengthUnit | None) -> Alike:
        """Return what others have in common with a set that was read in full."""
        values = tuple(getattr(one, name) for name in _NAMES)
        return cls(
            quantity=one.quantity,
            unit=unit,
            before=values[_NAMES.index("visit_id") + 1 : _NAMES.index("values_nm")],
            after=values[_NAMES.index("unit") + 1 :],
        )

    def one(self, id: str, visit_id: str, values: Sequence[TypedLength | None]) -> ReadingSet:
        """Return another such set with values of its own."""
        return _make(
            (
                id,
                visit_id,
                *self.before,
                tuple([value.nm if value else None for value in values]),
                tuple([value.text if value else "" for value in values]),
                self.unit or next((value.unit for value in values if value), LengthUnit.MM),
                *self.after,
            )
        )
