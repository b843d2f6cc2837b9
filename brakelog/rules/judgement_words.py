"""The words for one measure: what was read, its limit as printed, the margin, the doubts."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeAlias

from brakelog.metrology.profile import blind_orders
from brakelog.record.limit import Limit, print_figure
from brakelog.record.shop import Shop
from brakelog.rules.bound import Bound, BoundFigure, BoundState
from brakelog.rules.figure import both_units, counted, one_unit
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure

_FINE = frozenset(
    {
        Measure.ROTOR_THICKNESS,
        Measure.THICKNESS_VARIATION,
        Measure.RUNOUT,
        Measure.HUB_RUNOUT,
    }
)


Cite: TypeAlias = Callable[[Limit], str]
"""How the source of a limit is named: in full, or by a number that stands for it."""


def full_source(limit: Limit) -> str:
    """Return the source of a limit with its date."""
    dated = f", {limit.source_date.isoformat()}" if limit.source_date else ""
    return f"{limit.source}{dated}"


def judgement_sentence(judgement: Judgement, shop: Shop, cite: Cite = full_source) -> str:
    """Return what was read, what it was compared with, and how that was decided."""
    name = judgement.measure.value
    if judgement.value_nm is None:
        return limit_state(judgement) or f"{_capital(name)}: no reading."
    value = value_words(judgement, shop)
    place = f" at {judgement.place}" if judgement.place else ""
    if judgement.measure is Measure.THICKNESS_VARIATION:
        place = f", {judgement.place}"
    text = f"{_capital(name)} {value}{place}"
    if judgement.deciding is None:
        return " ".join([f"{text}.", limit_state(judgement), *notes_on(judgement)])
    if judgement.outcome is Outcome.IN_QUESTION:
        limit = limit_words(judgement.bound, judgement.deciding, cite)
        return f"{text}, as typed: not held against {limit} while it is in question."
    judged = judged_words(judgement, shop)
    text += f", {judged}" if judged else ""
    limit = limit_words(judgement.bound, judgement.deciding, cite)
    return f"{text}: {margin_words(judgement, shop)} {limit}.{_how(judgement, shop, cite)}"


def value_words(judgement: Judgement, shop: Shop) -> str:
    """Return the deciding value as read, in both units."""
    assert judgement.value_nm is not None
    limits = [figure.nm for figure in judgement.bound.figures]
    return both_units(judgement.value_nm, shop, fine=judgement.measure in _FINE, against=limits)


def judged_words(judgement: Judgement, shop: Shop) -> str:
    """Return what met the limit, where that is not the value as read; else nothing."""
    if judgement.judged_nm is None or judgement.judged_nm == judgement.value_nm:
        return ""
    limits = [figure.nm for figure in judgement.bound.figures]
    judged = one_unit(judgement.judged_nm, shop, fine=True, against=limits)
    return f"{judged} after {' and '.join(judgement.corrections)}"


def service_phrase(judgement: Judgement, shop: Shop) -> str:
    """Return one service measure in short: ``runout 0.026 mm, limit 0.05 mm``."""
    assert judgement.value_nm is not None
    limits = [figure.nm for figure in judgement.bound.figures]
    value = one_unit(judgement.value_nm, shop, fine=judgement.measure in _FINE, against=limits)
    limit = judgement.bound.state.value
    if judgement.deciding is not None:
        limit = f"limit {judgement.bound.printed(judgement.deciding)}"
    return f"{judgement.measure.value} {value}, {limit}"


def margin_words(judgement: Judgement, shop: Shop) -> str:
    """Return how a value stands to its limit: ``1.5 mm inside``, ``exactly at``."""
    assert judgement.margin_nm is not None
    margin = judgement.margin_nm
    if margin == 0:
        return "exactly at"
    side = "inside" if margin > 0 else "beyond"
    fine = judgement.measure in _FINE
    return f"{one_unit(abs(margin), shop, fine=fine, against=[0])} {side}"


def limit_words(bound: Bound, figure: BoundFigure, cite: Cite = full_source) -> str:
    """Return a limit as printed, its failing condition and its source."""
    limit = figure.limit
    if limit.out_when is None:
        comparator = f"comparator not stated; taken as out when {limit.comparator.value}"
    else:
        comparator = f"out when {limit.comparator.value}"
    pad = "" if limit.which_pad.value == "both" else f"{limit.which_pad.value} "
    label = limit.kind.facts.label
    stricter, datum = stricter_words(bound, figure), datum_words(limit)
    printed = bound.printed(figure) + (f", {stricter}" if stricter else "")
    printed += f" {datum}" if datum else ""
    return f"the {pad}{label} limit {printed} ({comparator}; {cite(limit)})"


def stricter_words(bound: Bound, figure: BoundFigure) -> str:
    """Return which figure of a limit decided, where it is not the first one printed."""
    if not figure.index or bound.printed(figure) != figure.limit.as_printed:
        return ""
    return f"its stricter figure {print_figure(figure.figure)}"


def datum_words(limit: Limit) -> str:
    """Return what a limit for linings is counted from, where that is not the lining."""
    return limit.datum.value if limit.datum and limit.datum.value != "lining" else ""


def limit_state(judgement: Judgement) -> str:
    """Return why a bound decides nothing, and what to do about it; nothing where it decides."""
    bound = judgement.bound
    label = bound.kind.facts.label
    match bound.state:
        case BoundState.MISSING:
            return f"No {label} limit on file: obtain it from service information or the part."
        case BoundState.OTHER_DATUM:
            printed = "; ".join(limit.as_printed for limit in bound.limits)
            return (
                f"The {label} limit {printed} has another datum than the reading: the backing "
                f"plate's thickness, or a reading from the same datum, is missing."
            )
        case BoundState.CONTRADICTS:
            printed = " and ".join(f"{each.as_printed} ({each.source})" for each in bound.limits)
            return (
                f"The {label} limit contradicts itself: {printed}. It decides nothing until "
                f"somebody confirms one figure."
            )
        case BoundState.USABLE:
            return ""


PLAY = "The bearing was not free of play when the runout was read; put that right first"
"""Said of a runout that is out, or that nothing is held against."""
_CLOSE = "too close to the limit to be proven with this gauge"
_DOUBT_WORDS = {
    Doubt.TOO_CLOSE: "At the limit, not proven: " + _CLOSE,
    Doubt.UNFIT_GAUGE: "Not proven: the gauge cannot resolve this limit",
    Doubt.NEVER_PROVES: "Not proven: this way of reading never proves that a part is in limits",
    Doubt.FASTENERS: "Not proven: read without all fasteners fitted, or that is not on record",
    Doubt.BEARING: "Not proven: bearing play was not checked, or that is not on record",
    Doubt.BEARING_PLAY: "Not proven: the bearing is not free of play; put that right first",
    Doubt.WAVE: (
        "Not proven: the wave through these angles is beyond the limit; its highest and lowest "
        "places may lie between them"
    ),
    Doubt.DID_NOT_RETURN: "Not proven: the indicator did not come back to its start",
    Doubt.MEASURE_COLD: "The part was warm and might pass when cold: measure it cold",
    Doubt.OTHER_RADIUS: (
        "Not proven: the hub limit holds at another radius, or its radius is unknown"
    ),
    Doubt.RE_MEASURED: (
        "A later set of this visit reads otherwise; if this one was a slip, amend it with the "
        "reason, and if the part was changed, say so with fit"
    ),
    Doubt.TURNED: (
        "Turned on its hub it reads otherwise; what was found counts until the position that it "
        "stays in is read as left"
    ),
    Doubt.DISAGREES: (
        "Not proven: an earlier set of this visit reads beyond the limit, and no single slip "
        "explains it; if it was a mistake, amend it with the reason"
    ),
    Doubt.FEWER_POINTS: (
        "Not proven: an earlier set of this visit has more points and left it open; measure all "
        "of them again"
    ),
    Doubt.LIP: "Not proven: there is a lip, and only pointed tips are known to reach past it",
    Doubt.DID_NOT_REPEAT: "Not proven: point 1 read again differs from its first reading",
}


def _also_judged(judgement: Judgement, cite: Cite) -> list[str]:
    """Name the other limits of the same bound: both are judged, both are shown."""
    if judgement.deciding is None:
        return []
    others = dict.fromkeys(
        figure.limit
        for figure in judgement.bound.figures
        if figure.limit.id != judgement.deciding.limit.id
    )
    return [
        f"Also judged: {each.as_printed} (out when {each.comparator.value}; {cite(each)})"
        for each in others
    ]


def _how(judgement: Judgement, shop: Shop, cite: Cite) -> str:
    parts = _doubts(judgement)
    if judgement.probability is not None and judgement.outcome is not Outcome.OUT:
        used = f" ({judgement.read_with})" if judgement.read_with else ""
        known = f", {WORST_TAKEN}" if not judgement.gauge_known else ""
        parts.append(
            f"{_capital(judgement.gauge)}{used}{known}, U2 {u2_words(judgement, shop)}, "
            f"p {probability_words(judgement.probability)}"
        )
    parts += _asides(judgement, cite)
    return "".join(f" {part}." for part in parts)


WORST_TAKEN = "the worst for this reading is taken"
"""Said of a gauge that is not known."""


def notes_on(judgement: Judgement, cite: Cite = full_source) -> list[str]:
    """Return what is to be known of a judgement beside its figures: doubts, and what was set aside.

    They are the sentences that stand before and behind the gauge where it is told in full.
    """
    return [f"{each}." for each in (*_doubts(judgement), *_asides(judgement, cite))]


def _doubts(judgement: Judgement) -> list[str]:
    parts = []
    for doubt in judgement.doubts:
        if doubt is Doubt.FEW_POINTS:
            parts.append(
                f"Not proven: {counted(judgement.points, 'point')} where "
                f"{judgement.points_needed} are needed; a fail can be proven with few, a pass "
                f"cannot"
            )
        elif doubt is Doubt.BEARING_PLAY and judgement.outcome is not Outcome.NOT_PROVEN:
            parts.append(PLAY)
        else:
            parts.append(_DOUBT_WORDS[doubt])
    if judgement.outcome is Outcome.OUT:
        parts.append("Uncertainty excuses nothing")
    is_two = judgement.points == LEAST_POINTS - 1
    if judgement.measure is Measure.OUT_OF_ROUND and is_two and judgement.outcome is Outcome.IN:
        parts.append("Two diameters cannot see an oval that lies between them")
    blind = blind_to(judgement)
    if blind and judgement.deciding is not None and judgement.outcome is not Outcome.OUT:
        waves = " or ".join(str(order) for order in blind)
        parts.append(f"{counted(judgement.points, 'point')} cannot see {waves} waves a turn")
    return parts


def u2_words(judgement: Judgement, shop: Shop) -> str:
    """Return twice the standard uncertainty of a reading, rounded up."""
    fine = judgement.measure in _FINE
    step_nm = _U2_STEP_NM[fine]
    return one_unit(math.ceil(2 * judgement.u1_nm / step_nm) * step_nm, shop, fine=fine)


def _asides(judgement: Judgement, cite: Cite) -> list[str]:
    parts = []
    if judgement.left_out:
        where = " and ".join(judgement.left_out)
        parts.append(f"Not read at the {where}, where it may be thinner")
    if judgement.overdue:
        parts.append(f"Read with a gauge past its check: {judgement.overdue}")
    if judgement.bound.rejected:
        aside = " and ".join(figure.figure.text.strip() for figure in judgement.bound.rejected)
        parts.append(f"Set aside: {aside}; {judgement.bound.settled_by}")
    parts.extend(_also_judged(judgement, cite))
    return parts


MOST_WAVES = 4
"""Waves a turn up to which it is said what the points cannot see: a child of runout has 1 or 2,
clamping and nut torque up to the number of fasteners; common practice. [-]"""


def blind_to(judgement: Judgement) -> tuple[int, ...]:
    """Return the numbers of waves a turn that the points of a variation cannot see at all."""
    if judgement.measure is not Measure.THICKNESS_VARIATION or judgement.points < LEAST_POINTS:
        return ()
    return blind_orders(judgement.points, MOST_WAVES)


LEAST_POINTS = 3
"""Points from which a number of waves means anything. [-]"""
_U2_STEP_NM = {True: 1_000, False: 10_000}
"""An uncertainty is rounded up, to 0.001 mm for rotors and differences, 0.01 mm elsewhere
(JCGM 100:2008, 7.2.6). [nm]"""


def probability_words(value: float) -> str:
    """Return three decimals, cut and not rounded, so that 0.9499 never prints as 0.950."""
    return f"{int(value * 1000) / 1000:.3f}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
