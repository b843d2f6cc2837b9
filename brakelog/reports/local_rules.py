"""The section of the counter sheet that says where the linings stand by local rules."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from brakelog.record.corner import axle_name
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.pack import Pack
from brakelog.rules.pack_verdict import PackOutcome, PackVerdict
from brakelog.rules.pack_words import (
    condition_words,
    figure_words,
    lining_words,
    standing_sentence,
    valid_words,
    why_words,
)
from brakelog.rules.verdict import VehicleVerdict

_APART = (
    "These texts stand apart: they change no verdict above, and what is inside by them may still "
    "be out by its maker's limit, and the other way round."
)


def local_rules_glance(verdict: VehicleVerdict, width: int) -> list[Line]:
    """Return one line for the head where a lining is beyond a figure; else nothing."""
    beyond = [each for each in verdict.packs if each.outcome is PackOutcome.BEYOND]
    if not beyond:
        return []
    names = dict.fromkeys(f"{each.corner} {each.position.label}" for each in beyond)
    return wrapped(
        f"Local rules: beyond a figure: {', '.join(names)}. The end says which, and on what "
        f"conditions.",
        rest="  ",
        role="open",
        width=width,
    )


def local_rules_section(verdict: VehicleVerdict, width: int) -> list[Line]:
    """Return the section; nothing where no pack is on."""
    packs = verdict.file.packs
    if not packs:
        return []
    lines = [Line(), Line(text="Local rules", role="heading")]
    lines += wrapped(_APART, first="  ", width=width)
    for pack in packs:
        found = [each for each in verdict.packs if each.pack is pack]
        lines += _pack(pack, found, verdict.file.shop, width)
    return lines


def _pack(pack: Pack, found: list[PackVerdict], shop: Shop, width: int) -> Iterator[Line]:
    yield Line()
    head = f"{pack.document} ({pack.id}), {pack.jurisdiction}. For {pack.scope}."
    yield from wrapped(head, first="  ", rest="    ", width=width)
    stated = f"{standing_sentence(pack)} {_capital(valid_words(pack))}."
    yield from wrapped(stated, first="    ", width=width)
    if not found:
        text = "No clause with a figure applies to what is on file about this vehicle."
        yield from wrapped(text, first="    ", role="open", width=width)
    for _, group in groupby(found, key=lambda each: each.corner.axle):
        yield from _axle(list(group), shop, width)
    shown_only = [each for each in pack.clauses if not each.figures]
    if shown_only:
        texts = "; ".join(f"{each.number} {each.wording}" for each in shown_only)
        yield from wrapped(
            f"Not judged here: {texts}.", first="    ", rest="      ", role="quiet", width=width
        )


def _axle(found: list[PackVerdict], shop: Shop, width: int) -> Iterator[Line]:
    """Say every clause of one axle, then once what was not read."""
    first = found[0]
    part = f"{axle_name(first.corner.axle).capitalize()} {first.position.part.value}"
    read = [each for each in found if each.outcome is not PackOutcome.NOT_READ]
    for _, group in groupby(read, key=lambda each: each.clause.id):
        yield from _clause(part, list(group), shop, width)
    missing = dict.fromkeys(
        f"{each.corner} {each.position.label}"
        for each in found
        if each.outcome is PackOutcome.NOT_READ
    )
    if missing:
        text = f"{part}, not read: {', '.join(missing)}."
        yield from wrapped(text, first="    ", rest="      ", role="open", width=width)


def _clause(part: str, group: list[PackVerdict], shop: Shop, width: int) -> Iterator[Line]:
    """Say one clause of one axle once, then every lining by its outcome, the gravest first."""
    clause, pack = group[0].clause, group[0].pack
    known = "" if clause.standing is pack.standing else f" ({clause.standing.value})"
    conditions = condition_words(group[0].open)
    head = f"{part}, clause {clause.number}{known}: {figure_words(clause)}{conditions}."
    yield from wrapped(head, first="    ", rest="      ", width=width)
    order = list(PackOutcome)
    ranked = sorted(group, key=lambda each: (order.index(each.outcome), why_words(each)))
    for (outcome, why), alike in groupby(ranked, key=lambda each: (each.outcome, why_words(each))):
        is_beyond = outcome is PackOutcome.BEYOND
        unless = f"; unless {clause.unless}" if clause.unless and is_beyond else ""
        linings = "; ".join(lining_words(each, shop) for each in alike)
        yield from wrapped(
            f"{_capital(outcome.value)}{why}: {linings}{unless}.",
            first="       - ",
            rest="         ",
            role="plain" if outcome is PackOutcome.INSIDE else "open",
            width=width,
        )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
