"""What merging has added, or would add, in lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from brakelog.reports.plain import Line, shown
from brakelog.rules.figure import counted

if TYPE_CHECKING:
    from brakelog.store.merge_plan import Merged


def merged_lines(merged: Merged, *, is_dry: bool = False) -> Iterator[Line]:
    """Yield what was added, then what was left where it was, and why."""
    if not merged.rows and not merged.names_taken:
        yield Line(text="nothing to add: everything is here already")
    else:
        would = "would be added" if is_dry else "added"
        yield Line(text=f"{counted(merged.rows, 'row')} {would}")
    for table, count in merged.added.items():
        yield Line(text=f"  {table.replace('_', ' ')}: {count}")
    for count, what, said in (
        (merged.restated, "row", "of this store written once more, so that what is here holds"),
        (merged.names_taken, "name", "taken over that only the other store had changed"),
        (merged.names_kept, "name", "kept as here, where the other store has another"),
        (merged.doubled, "row", "of sheets that were imported on both sides"),
        (merged.settings_left, "setting", "left there: each shop has its own"),
        (merged.drafts_left, "answer", "left there that is not filed: file it, then merge again"),
    ):
        if count:
            yield Line(text=f"{counted(count, what)} {said}")
    for tag in merged.forgotten_there:
        yield Line(
            text=f"the other store has forgotten {shown(tag)}:"
            " brakelog customer forget does it here too"
        )
