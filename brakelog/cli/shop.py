"""``brakelog shop``: the settings of the shop."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json
from brakelog.errors import InvalidInput
from brakelog.lengths import decimal_mm
from brakelog.record.shop import LANGUAGES, Shop
from brakelog.reports.plain import shown
from brakelog.rules.figure import distance

_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
group = typer.Typer(no_args_is_help=True, help="The shop's settings: show, change.")


@group.command("show")
def show(ctx: typer.Context, as_json: _Json = False) -> None:
    """Show the settings."""
    with opened(ctx) as store:
        facts = _document(store.shop())
    if as_json:
        say_json({"format": "brakelog.shop/1", **facts})
        return
    for key, text in facts.items():
        say(f"{key.replace('_', ' ')}: {shown(str(text))}")


@group.command("list", hidden=True)
def list_all(ctx: typer.Context) -> None:
    """Show the settings."""
    show(ctx)


@group.command("change")
def change(
    ctx: typer.Context,
    name: Annotated[str | None, typer.Option(help="Name on the pages.")] = None,
    phone: Annotated[str | None, typer.Option(help="Telephone on the pages.")] = None,
    site: Annotated[str | None, typer.Option(help="Short name of this place.")] = None,
    unit: Annotated[str | None, typer.Option(help="mm or in: printed first.")] = None,
    distance_unit: Annotated[str | None, typer.Option(help="km or mi.")] = None,
    language: Annotated[
        str | None, typer.Option(help=f"Language of what customers read: {', '.join(LANGUAGES)}.")
    ] = None,
    probability: Annotated[
        str | None, typer.Option(help="Conformance from which a reading is in limits: 0.95.")
    ] = None,
    cut_per_side: Annotated[
        str | None, typer.Option(help='Clean-up per side beyond the defect: "0.10 mm".')
    ] = None,
    next_visit: Annotated[
        str | None, typer.Option(help='Distance to the next planned visit: "15000 km".')
    ] = None,
    daily_distance: Annotated[
        str | None, typer.Option(help='Distance usually driven in a day: "35 km".')
    ] = None,
    next_months: Annotated[
        int | None, typer.Option(min=1, max=120, help="Months to the next planned visit.")
    ] = None,
) -> None:
    """Change what is given."""
    from brakelog.workshop.shop import change_shop

    texts = {
        "name": name,
        "phone": phone,
        "site": site,
        "unit": unit,
        "distance_unit": distance_unit,
        "language": language,
        "probability": probability,
        "cut_per_side": cut_per_side,
        "next_visit": next_visit,
        "daily_distance": daily_distance,
        "next_months": None if next_months is None else str(next_months),
    }
    given = {key: text for key, text in texts.items() if text is not None}
    if not given:
        raise InvalidInput("nothing to change", hint="brakelog shop change --help")
    with opened(ctx, create=True) as store:
        change_shop(store, given)
    say("the shop's settings are changed")


def _document(shop: Shop) -> dict[str, object]:
    return {
        "name": shop.name,
        "phone": shop.phone,
        "site": shop.site,
        "unit": shop.unit.value,
        "distance_unit": shop.distance_unit.value,
        "language": shop.language,
        "probability": str(float(shop.probability)),
        "cut_per_side": f"{decimal_mm(shop.clean_up_nm)} mm",
        "next_visit": distance(shop.next_distance_mm, shop.distance_unit),
        "next_months": shop.next_months,
        "daily_distance": (
            distance(shop.daily_distance_mm, shop.distance_unit)
            if shop.daily_distance_mm is not None
            else "as learned here"
        ),
    }
