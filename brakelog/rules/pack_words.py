"""The words for local rules: which text, its figure, where a lining stands, what is open."""

from __future__ import annotations

from brakelog.record.limit import OutWhen
from brakelog.record.shop import Shop
from brakelog.rules.figure import both_units, one_unit
from brakelog.rules.pack import Clause, CountedFrom, MeasuredAt, Pack
from brakelog.rules.pack_verdict import PackOutcome, PackVerdict

CHECK = "check the current text with your authority"
"""Said wherever a pack is shown or judged by: the files are no law, and laws change."""


def standing_sentence(pack: Pack) -> str:
    """Return how the text is known, with the advice to look at the current one."""
    return f"{_capital(pack.standing.value)}: {pack.standing_note}; {CHECK}."


def valid_words(pack: Pack) -> str:
    """Return from when the document holds so."""
    if pack.valid_from is None:
        return f"valid from: {pack.valid_from_note}"
    note = f" ({pack.valid_from_note})" if pack.valid_from_note else ""
    return f"valid from {pack.valid_from.isoformat()}{note}"


def figure_words(clause: Clause) -> str:
    """Return the figure and its failing condition: ``out when below 1.5 mm``."""
    text = f"out when {clause.comparator.value} {clause.as_printed}"
    if clause.counted_from is CountedFrom.RIVETS:
        text += " above the rivet heads"
    if clause.measured_at is MeasuredAt.SHOE_CENTRE:
        text += " at the shoe centre"
    if clause.out_when is None:
        stricter = OutWhen.AT_OR_BELOW.value
        text += f" (comparator not stated; taken as {stricter})"
    return text


def condition_words(conditions: tuple[str, ...]) -> str:
    """Return what must hold besides: ``, if the axle steers``; empty where nothing is open."""
    return f", if {' and '.join(conditions)}" if conditions else ""


def stated_conditions(clause: Clause) -> tuple[str, ...]:
    """Return every condition of a clause in words, whatever is on file."""
    words = [each.words for each in clause.conditions]
    return (*words, clause.only_if) if clause.only_if else tuple(words)


def lining_words(verdict: PackVerdict, shop: Shop) -> str:
    """Return one lining in short: ``LF inner pad 1.55 mm (0.061 in)``."""
    name = f"{verdict.corner} {verdict.position.label}"
    if verdict.value_nm is None:
        return name
    against = [figure.nm for figure in verdict.clause.figures]
    text = f"{name} {both_units(verdict.value_nm, shop, fine=False, against=against)}"
    if verdict.judged_nm is not None and verdict.judged_nm != verdict.value_nm:
        judged = one_unit(verdict.judged_nm, shop, fine=True, against=against)
        text += f", {judged} after zero error of the day"
    return text


def why_words(verdict: PackVerdict) -> str:
    """Return what is in the way: ``, too close to the figure for this gauge``, or nothing."""
    return "".join(f", {why.value}" for why in verdict.why)


def pack_sentence(verdict: PackVerdict, shop: Shop) -> str:
    """Return the whole of it in two sentences, the last one the standing and the advice."""
    clause = verdict.clause
    unless = ""
    if clause.unless and verdict.outcome is PackOutcome.BEYOND:
        unless = f", unless {clause.unless}"
    return (
        f"{lining_words(verdict, shop)}: {verdict.outcome.value}{why_words(verdict)}; "
        f"clause {clause.number}, {figure_words(clause)}{condition_words(verdict.open)}{unless}. "
        f"{_capital(clause.standing.value)}; {CHECK}."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
