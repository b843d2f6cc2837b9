"""A sample workshop, loaded the way a user's own sheets are."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from brakelog.workshop.customer import CustomerCase, customer_case
from brakelog.workshop.importing import import_sheet
from brakelog.workshop.office import add_person
from brakelog.workshop.shop import change_shop

SHOWN = "HERON-4"
"""The vehicle whose verdict is shown."""
ALSO = ("PLOVER-2", "SNIPE-9", "SISKIN-6")
"""Vehicles worth a look: a limit that contradicts itself, a bell-mouthed drum, a comeback."""
_PEOPLE = (
    ("IV", "Ilka Vantongeren", "tech"),
    ("TH", "Thessaly Harrow", "tech"),
    ("OM", "Osric Mellbye", "service writer"),
)
_SHEETS = ("gauges", "limits", "vehicles", "fittings", "readings", "findings")


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """What the demo made."""

    folder: Path
    store: Path
    sheets: Path
    vehicles: int
    readings: int
    case: CustomerCase
    """What the page of the vehicle that is shown rests on."""
    also: tuple[str, ...]


def demo_sheets() -> Path:
    """Return the folder of the sample sheets: in the wheel, else in the checkout."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_demo", package.parent / "fixtures" / "demo"):
        if (folder / "vehicles.csv").is_file():
            return folder
    raise StoreError("the sample sheets are missing", hint="install brakelog again")


def run_demo(folder: Path | None, today: date) -> Demo:
    """Load the sample workshop into a scratch store and judge one vehicle.

    Raises
    ------
    StoreError
        Where the folder cannot be written, or holds a store already.
    """
    place = Path(tempfile.mkdtemp(prefix="brakelog-demo-")) if folder is None else folder
    path = place / "demo.sqlite"
    if path.exists():
        raise StoreError(f"{path} is there already", hint="name another --folder")
    sheets = demo_sheets()
    with open_store(path) as store:
        change_shop(store, {"name": "Tollgate Lane Garage (invented)", "site": "tollgate"})
        for tag, name, role in _PEOPLE:
            add_person(store, tag, name, role)
        for kind in _SHEETS:
            with (sheets / f"{kind}.csv").open("rb") as stream:
                import_sheet(store, stream, f"{kind}.csv", kind=kind, today=today)
        case = customer_case(
            store,
            SHOWN,
            visit_name=None,
            stage=None,
            render=None,
            today=today,
            with_places=True,
        )
        counts = store.counts()
        return Demo(
            folder=place,
            store=path,
            sheets=sheets,
            vehicles=len(store.vehicles()),
            readings=counts["reading_sets"],
            case=case,
            also=ALSO,
        )
