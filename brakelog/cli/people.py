"""``brakelog people``: who measures and decides, and whose vehicles they are."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json
from brakelog.reports.plain import shown

group = typer.Typer(no_args_is_help=True, help="People and customers: add, list, show, change.")

_Tag = Annotated[str, typer.Argument(help="Initials, or a customer's tag.")]
_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
_Customer = Annotated[bool, typer.Option("--customer", help="A customer, not somebody here.")]


@group.command("add")
def add(
    ctx: typer.Context,
    tag: _Tag,
    name: Annotated[str, typer.Argument(help="The name.")],
    role: Annotated[str, typer.Option(help="What they do.")] = "",
    customer: _Customer = False,
    contact: Annotated[str, typer.Option(help="How to reach a customer.")] = "",
) -> None:
    """Put somebody on file."""
    from brakelog.record.people import Customer
    from brakelog.workshop.office import add_person, check_name

    with opened(ctx, create=True) as store:
        if customer:
            store.add_customer(
                Customer(
                    id=store.new_id(),
                    tag=check_name(tag, "tag"),
                    name=check_name(name, "name"),
                    contact=contact.strip(),
                )
            )
        else:
            add_person(store, tag, name, role)
    say(f"{shown(tag)} is on file")


@group.command("change")
def change(
    ctx: typer.Context,
    tag: _Tag,
    new_tag: Annotated[str | None, typer.Option("--tag", help="Other initials or tag.")] = None,
    name: Annotated[str | None, typer.Option(help="Another name.")] = None,
    role: Annotated[str | None, typer.Option(help="Another role.")] = None,
    customer: _Customer = False,
    contact: Annotated[str | None, typer.Option(help="How to reach a customer.")] = None,
) -> None:
    """Change what is given; what they entered stays theirs."""
    from brakelog.workshop.office import check_name

    with opened(ctx) as store, store.writing():
        if customer:
            whose = store.customer(tag)
            store.change_customer(
                replace(
                    whose,
                    tag=whose.tag if new_tag is None else check_name(new_tag, "tag"),
                    name=whose.name if name is None else check_name(name, "name"),
                    contact=whose.contact if contact is None else contact.strip(),
                )
            )
        else:
            person = store.person(tag)
            store.change_person(
                replace(
                    person,
                    tag=person.tag if new_tag is None else check_name(new_tag, "initials"),
                    name=person.name if name is None else check_name(name, "name"),
                    role=person.role if role is None else role.strip(),
                )
            )
    say(f"{shown(tag)} is changed")


@group.command("list")
def list_all(ctx: typer.Context, as_json: _Json = False) -> None:
    """List the people of the shop, then its customers."""
    with opened(ctx) as store:
        people, customers = store.people(), store.customers()
    if as_json:
        say_json(
            {
                "format": "brakelog.people/1",
                "people": [{"tag": p.tag, "name": p.name, "role": p.role} for p in people],
                "customers": [
                    {"tag": c.tag, "name": c.name, "contact": c.contact} for c in customers
                ],
            }
        )
        return
    for person in people:
        role = f"  {shown(person.role)}" if person.role else ""
        say(f"{shown(person.tag)}  {shown(person.name)}{role}")
    for customer in customers:
        name = "" if customer.name == customer.tag else f"  {shown(customer.name)}"
        say(f"{shown(customer.tag)}{name}  customer")
    if not people and not customers:
        say("nobody on file; brakelog people add AM 'A. Name'")


@group.command("show")
def show(
    ctx: typer.Context, tag: _Tag, customer: _Customer = False, as_json: _Json = False
) -> None:
    """Show one person or customer."""
    with opened(ctx) as store:
        if customer:
            whose = store.customer(tag)
            facts = {"tag": whose.tag, "name": whose.name, "contact": whose.contact}
        else:
            person = store.person(tag)
            facts = {"tag": person.tag, "name": person.name, "role": person.role}
    if as_json:
        say_json({"format": "brakelog.person/1", **facts})
        return
    for key, text in facts.items():
        if text:
            say(f"{key}: {shown(text)}")
