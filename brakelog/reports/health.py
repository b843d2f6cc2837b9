"""What a store looks like from inside, in lines and for machines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from brakelog.reports.plain import Line, shown

if TYPE_CHECKING:
    from brakelog.store.checking import StoreHealth


def health_lines(path: str, health: StoreHealth) -> Iterator[Line]:
    """Yield what was looked at, then what is wrong, or that nothing is."""
    used = "".join(f", {name} {value}" for name, value in health.settings.items())
    yield Line(text=f"{shown(path)}: {health.engine}{used}")
    if health.is_known:
        yield Line(text=f"schema {health.schema}; {health.rows} rows, each read with its seal")
    else:
        yield Line(
            text=f"schema {health.schema}, of another version of brakelog: the seals of its rows"
            " were not looked at"
        )
    for chain in health.chains:
        yield Line(text=f"chain of {shown(chain.site)}: {chain.entries} rows, ends in {chain.link}")
    for fault in health.faults:
        yield Line(text=f"  {shown(fault)}", role="required")
    if not health.faults:
        yield Line(text="nothing is wrong with it")


def health_document(path: str, health: StoreHealth) -> dict[str, Any]:
    """Return the same as ``brakelog.check/2``."""
    return {
        "format": "brakelog.check/2",
        "path": path,
        "engine": health.engine,
        "settings": health.settings,
        "schema": health.schema,
        "rows": health.rows if health.is_known else None,
        "chains": [
            {"site": chain.site, "rows": chain.entries, "link": chain.link}
            for chain in health.chains
        ],
        "faults": list(health.faults),
    }
