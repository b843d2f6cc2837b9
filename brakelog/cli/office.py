"""Commands of the office: one group for each thing that is kept on file."""

from __future__ import annotations

import typer

from brakelog.cli import gauges, limits, people, shop, vehicles


def hang_up(app: typer.Typer) -> None:
    """Add the groups of commands."""
    for name, group in (
        ("vehicle", vehicles.group),
        ("limits", limits.group),
        ("gauge", gauges.group),
        ("people", people.group),
        ("shop", shop.group),
    ):
        app.add_typer(group, name=name)
