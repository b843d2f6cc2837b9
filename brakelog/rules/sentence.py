"""The words for a reason: what was read, the limit as printed, the margin, what decided how."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from typing import TypeAlias

from brakelog.metrology.profile import blind_orders
from brakelog.record.finding import Effect, Finding
from brakelog.record.limit import Limit, print_figure
from brakelog.record.shop import Shop
from brakelog.review.question import Question
from brakelog.rules.bound import Bound, BoundFigure, BoundState
from brakelog.rules.figure import about, both_units, counted, distance, one_unit
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.lives import PositionLife
from brakelog.rules.matching import RULE_OF_THUMB_NM, Leaving, LifeMatch
from brakelog.rules.measure import Measure
from brakelog.rules.part import NO_BOUND
from brakelog.rules.settling import Settling
from brakelog.rules.verdict import Because, Cut, Option, Reason, Word
from brakelog.wear.projection import (
    Note,
    Projection,
    Refusal,
    at_least_rounded_mm,
    latest_rounded_mm,
    median_rounded_mm,
)

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


def reason_sentence(
    reason: Reason, shop: Shop, cite: Cite = full_source, *, with_reading: bool = True
) -> str:
    """Return one reason in one or two sentences for the service writer.

    Without its reading where that was told before.
    """
    lead = _lead(reason, shop)
    detail = ""
    is_read = reason.judgement is not None and reason.because is not Because.NOT_INSPECTED
    if reason.judgement is not None and is_read and with_reading:
        detail = judgement_sentence(reason.judgement, shop, cite)
    after = ""
    if reason.because is Because.PUT_RIGHT and reason.stays:
        after = "It may stay once this is put right."
    if reason.because is Because.NOT_PROVEN and reason.settling is not None:
        after = settling_sentence(reason.settling)
    return " ".join(part for part in (lead, detail, after) if part)


def _lead(reason: Reason, shop: Shop) -> str:
    match reason.because:
        case Because.CONDEMNED | Because.PUT_RIGHT if reason.finding is not None:
            return f"{_EFFECT_WORDS[reason.finding.kind.facts.effect]}: {_seen(reason.finding)}."
        case Because.CUT_POSSIBLE | Because.CUT_IMPOSSIBLE | Because.CUT_LIMIT_UNKNOWN:
            assert reason.cut is not None
            found = ""
            if reason.finding is not None:
                found = f"Must be machined away: {_seen(reason.finding)}. "
            return found + _cut_sentence(reason.because, reason.cut, shop)
        case Because.MUST_BE_CUT:
            seen = f" Must be machined away: {_seen(reason.finding)}." if reason.finding else ""
            return (
                "Must be refinished or replaced; without a reading of its size nobody can say "
                f"which.{seen}"
            )
        case Because.WILL_NOT_LAST:
            assert reason.life is not None
            if reason.life.projection.refusal in NO_BOUND:
                return (
                    f"It may not reach the next planned visit: even a typical "
                    f"{reason.life.position.label} would not. {life_sentence(reason.life, shop)}"
                )
            today = "In limits today"
            if reason.judgement is not None and reason.judgement.outcome is not Outcome.IN:
                today = "Not beyond its limit as read"
            return (
                f"{today}, but {reason.life.position.label} may not reach the next planned "
                f"visit. {life_sentence(reason.life, shop)}"
            )
        case Because.NOT_PROVEN_GOES:
            return _goes_sentence(reason, shop)
        case Because.WILL_NOT_OUTLAST_PADS:
            assert reason.match is not None
            return "It would not outlast the pads that go on now: " + match_sentence(
                reason.match, shop
            )
        case Because.CUT_FOR_NEW_SHOES:
            assert reason.cut is not None
            because = (
                Because.CUT_POSSIBLE if reason.word is Word.REFINISH else Because.CUT_IMPOSSIBLE
            )
            if not reason.cut.machine_to:
                because = Because.CUT_LIMIT_UNKNOWN
            return "Grooved, and new shoes go on: they would ride on the ridges. " + _cut_sentence(
                because, reason.cut, shop
            )
        case Because.IN_QUESTION:
            assert reason.judgement is not None
            return " ".join(question_sentence(each) for each in reason.judgement.questions)
        case Because.WORN_TO_OLD_DRUM:
            return (
                "The drum must be replaced; shoes worn to the old drum will not seat in a new one."
            )
        case Because.AXLE_SET:
            return f"Axle set: goes with {reason.mate}; always both sides of an axle."
        case Because.NOT_INSPECTED:
            assert reason.judgement is not None
            return f"Not inspected: no reading of {reason.judgement.measure.value}."
        case _:
            return ""


def _goes_sentence(reason: Reason, shop: Shop) -> str:
    """Why a part that is not proven to be out goes all the same, in this order."""
    parts = ["Not proven to be in limits."]
    if reason.settling is not None and not reason.settling.is_possible:
        parts.append("No gauge of this shop could settle it.")
    elif reason.settling is not None:
        parts.append(settling_sentence(reason.settling))
    if reason.life is not None:
        parts.append(
            f"It could not be relied on to the next planned visit anyway. "
            f"{life_sentence(reason.life, shop)}"
        )
    return " ".join(part for part in parts if part)


def settling_sentence(settling: Settling) -> str:
    """Return what would settle a reading that proves nothing."""
    ways = []
    if settling.gauges:
        names = ", ".join(
            f"{gauge.tag} ({gauge.kind.value})" for gauge in settling.gauges[:MOST_GAUGES]
        )
        ways.append(f"the same reading with {names}")
    elif settling.needs_gauge and not settling.has_list:
        ways.append("a finer gauge; none for this is on file")
    if settling.more_points:
        ways.append(f"{counted(settling.more_points, 'more point')} on the same circle")
    ways += [_AGAIN_WORDS[doubt] for doubt in settling.again if doubt in _AGAIN_WORDS]
    return f"To settle it: {'; '.join(ways)}." if ways else ""


MOST_GAUGES = 3
"""Gauges named to settle one reading; more is a list that nobody reads."""
_AGAIN_WORDS = {
    Doubt.FASTENERS: "again with all fasteners fitted and tight",
    Doubt.BEARING: "again after the bearing was checked for play",
    Doubt.WAVE: "again as one total reading over a whole turn",
    Doubt.DID_NOT_RETURN: "again until the indicator comes back to its start",
    Doubt.MEASURE_COLD: "again when cold",
    Doubt.OTHER_RADIUS: "again at the radius that the limit is for",
    Doubt.LIP: "again with pointed tips, inside the lip",
    Doubt.FEWER_POINTS: "again with at least as many points as before",
    Doubt.DID_NOT_REPEAT: "the whole circle again, with point 1 repeated",
    Doubt.DISAGREES: "the earlier set amended with its reason, or all of it again",
}


def question_sentence(question: Question) -> str:
    """Return a question with its evidence and what answers it."""
    return f"In question: {question.evidence} {question.ask}"


def match_sentence(match: LifeMatch, shop: Shop) -> str:
    """Return how a rotor would stand when the pads that go on now are worn out."""
    limits = [match.figure.nm]
    now = about(match.now_nm, shop, against=limits)
    end = about(match.end_nm, shop, against=limits)
    limit = f"discard {match.figure.figure.text.strip()}"
    side = "beyond" if match.is_out else "inside"
    if match.by_thumb or match.per_lining is None:
        stock = one_unit(RULE_OF_THUMB_NM, shop, fine=True)
        return (
            f"how fast it wears against its pads is not known here; by the trade's rule of thumb "
            f"a set of pads takes {stock}: from {now} to {end}, {side} {limit}."
        )
    lining = one_unit(match.next_lining_nm, shop, fine=False)
    text = (
        f"this car's rotor wears {float(match.per_lining):.3f} mm for each mm of lining"
        + (", if both are its first" if match.is_assumed else "")
        + ": after the "
        f"next {lining} of lining it would be {end}, {side} {limit}"
    )
    until = match.lining_until_out_nm
    if match.is_out and until is not None and match.next_lining_nm:
        used = about(max(until, Fraction(0)), shop)
        text += f"; it gets there after {used} of that lining"
    if match.is_marginal:
        text += ", by less than the reading's own uncertainty: marginal"
    return text + "."


def leaving_sentence(leaving: Leaving, shop: Shop) -> str:
    """Return what follows where suggested pads are left on for now."""
    bound_mm = at_least_rounded_mm(leaving.life.projection, shop.distance_unit.mm)
    if not bound_mm:
        return "If left: no distance can be promised; the lining may reach its limit any day."
    name = f"{leaving.life.corner} {leaving.life.position.label}"
    text = (
        f"If left: come back within {distance(bound_mm, shop.distance_unit)}, when {name} may be "
        f"at its limit"
    )
    if leaving.rotor_nm is not None and leaving.discard is not None:
        limits = [leaving.discard.nm]
        size = about(leaving.rotor_nm, shop, against=limits)
        limit = leaving.discard.figure.text.strip()
        side = "beyond" if leaving.rotor_is_out else "still inside"
        text += f"; the {leaving.corner} rotor would then be about {size}, {side} discard {limit}"
    return text + ". Noise, pull, a warning lamp or a soft pedal: come back at once."


_EFFECT_WORDS = {
    Effect.CONDEMNS: "Condemned by a finding",
    Effect.MACHINE: "Must be machined away",
    Effect.CORRECT: "Must be put right",
    Effect.NOTE: "Noted",
}


def _seen(finding: Finding) -> str:
    note = f" ({finding.note})" if finding.note else ""
    return f"{finding.kind.facts.label}{note}"


def option_sentence(option: Option, shop: Shop) -> str:
    """Return what a cut would do that nothing asks for."""
    text = f"A refinish is not asked for. {_cut_sentence(option.because, option.cut, shop)}"
    if option.because is Because.CUT_POSSIBLE and option.match is not None:
        end = about(option.match.end_nm, shop, against=[option.match.figure.nm])
        side = "beyond" if option.match.is_out else "still inside"
        limit = option.match.figure.figure.text.strip()
        text += f" After the next pads it would then be {end}, {side} discard {limit}."
    return text


def _cut_sentence(because: Because, cut: Cut, shop: Shop) -> str:
    if cut.is_forbidden:
        return "The sheet says that it must not be machined: it cannot be refinished."
    after = one_unit(cut.after_nm, shop, fine=True)
    per_side = one_unit(cut.per_side_nm, shop, fine=True)
    start = f"A cut of {per_side} per side would leave {after}"
    match because:
        case Because.CUT_POSSIBLE:
            return f"{start}, inside machine-to {cut.machine_to}."
        case Because.CUT_IMPOSSIBLE:
            limit = f"discard {cut.discard}" if cut.discard else f"machine-to {cut.machine_to}"
            return f"{start}, beyond {limit}: it cannot be refinished."
        case _:
            return f"{start}; or refinish, if the maker's limit allows: machine-to not on file."


def judgement_sentence(judgement: Judgement, shop: Shop, cite: Cite = full_source) -> str:
    """Return what was read, what it was compared with, and how that was decided."""
    name = judgement.measure.value
    if judgement.value_nm is None:
        return _limit_state(judgement) or f"{_capital(name)}: no reading."
    fine = judgement.measure in _FINE
    limits = [figure.nm for figure in judgement.bound.figures]
    value = both_units(judgement.value_nm, shop, fine=fine, against=limits)
    place = f" at {judgement.place}" if judgement.place else ""
    if judgement.measure is Measure.THICKNESS_VARIATION:
        place = f", {judgement.place}"
    text = f"{_capital(name)} {value}{place}"
    if judgement.deciding is None:
        return f"{text}. {_limit_state(judgement)}"
    if judgement.outcome is Outcome.IN_QUESTION:
        limit = limit_words(judgement.bound, judgement.deciding, cite)
        return f"{text}, as typed: not held against {limit} while it is in question."
    if judgement.judged_nm != judgement.value_nm and judgement.judged_nm is not None:
        judged = one_unit(judgement.judged_nm, shop, fine=True, against=limits)
        text += f", {judged} after {' and '.join(judgement.corrections)}"
    return f"{text}: {_margin(judgement, shop, cite, fine=fine)}.{_how(judgement, shop, cite)}"


def service_phrase(judgement: Judgement, shop: Shop) -> str:
    """Return one service measure in short: ``runout 0.026 mm, limit 0.05 mm``."""
    assert judgement.value_nm is not None
    limits = [figure.nm for figure in judgement.bound.figures]
    value = one_unit(judgement.value_nm, shop, fine=judgement.measure in _FINE, against=limits)
    limit = judgement.bound.state.value
    if judgement.deciding is not None:
        limit = f"limit {judgement.bound.printed(judgement.deciding)}"
    return f"{judgement.measure.value} {value}, {limit}"


def _margin(judgement: Judgement, shop: Shop, cite: Cite, *, fine: bool) -> str:
    assert judgement.deciding is not None
    assert judgement.margin_nm is not None
    margin = judgement.margin_nm
    limit = limit_words(judgement.bound, judgement.deciding, cite)
    if margin == 0:
        return f"exactly at {limit}"
    side = "inside" if margin > 0 else "beyond"
    return f"{one_unit(abs(margin), shop, fine=fine, against=[0])} {side} {limit}"


def limit_words(bound: Bound, figure: BoundFigure, cite: Cite = full_source) -> str:
    """Return a limit as printed, its failing condition and its source."""
    limit = figure.limit
    printed = bound.printed(figure)
    if limit.out_when is None:
        comparator = f"comparator not stated; taken as out when {limit.comparator.value}"
    else:
        comparator = f"out when {limit.comparator.value}"
    pad = "" if limit.which_pad.value == "both" else f"{limit.which_pad.value} "
    datum = f" {limit.datum.value}" if limit.datum and limit.datum.value != "lining" else ""
    decided = ""
    if figure.index and printed == limit.as_printed:
        decided = f", its stricter figure {print_figure(figure.figure)}"
    label = limit.kind.facts.label
    return f"the {pad}{label} limit {printed}{decided}{datum} ({comparator}; {cite(limit)})"


def _limit_state(judgement: Judgement) -> str:
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


_CLOSE = "too close to the limit to be proven with this gauge"
_DOUBT_WORDS = {
    Doubt.TOO_CLOSE: "At the limit, not proven: " + _CLOSE,
    Doubt.UNFIT_GAUGE: "Not proven: the gauge cannot resolve this limit",
    Doubt.NEVER_PROVES: "Not proven: this way of reading never proves that a part is in limits",
    Doubt.FASTENERS: "Not proven: read without all fasteners fitted, or that is not on record",
    Doubt.BEARING: "Not proven: bearing play was not checked, or that is not on record",
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
    parts = []
    for doubt in judgement.doubts:
        if doubt is Doubt.FEW_POINTS:
            parts.append(
                f"Not proven: {counted(judgement.points, 'point')} where "
                f"{judgement.points_needed} are needed; a fail can be proven with few, a pass "
                f"cannot"
            )
        else:
            parts.append(_DOUBT_WORDS[doubt])
    if judgement.outcome is Outcome.OUT:
        parts.append("Uncertainty excuses nothing")
    is_two = judgement.points == LEAST_POINTS - 1
    if judgement.measure is Measure.OUT_OF_ROUND and is_two and judgement.outcome is Outcome.IN:
        parts.append("Two diameters cannot see an oval that lies between them")
    blind = blind_to(judgement)
    if blind and judgement.outcome is not Outcome.OUT:
        waves = " or ".join(str(order) for order in blind)
        parts.append(f"{counted(judgement.points, 'point')} cannot see {waves} waves a turn")
    fine = judgement.measure in _FINE
    step_nm = _U2_STEP_NM[fine]
    u2 = one_unit(math.ceil(2 * judgement.u1_nm / step_nm) * step_nm, shop, fine=fine)
    known = "" if judgement.gauge_known else ", the worst for this reading is taken"
    if judgement.probability is not None and judgement.outcome is not Outcome.OUT:
        used = f" ({judgement.read_with})" if judgement.read_with else ""
        parts.append(
            f"{_capital(judgement.gauge)}{used}{known}, U2 {u2}, "
            f"p {_probability(judgement.probability)}"
        )
    if judgement.overdue:
        parts.append(f"Read with a gauge past its check: {judgement.overdue}")
    if judgement.bound.rejected:
        aside = " and ".join(figure.figure.text.strip() for figure in judgement.bound.rejected)
        parts.append(f"Set aside: {aside}; {judgement.bound.settled_by}")
    parts.extend(_also_judged(judgement, cite))
    return "".join(f" {part}." for part in parts)


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


def _probability(value: float) -> str:
    """Three decimals, cut and not rounded, so that 0.9499 never prints as 0.950."""
    return f"{int(value * 1000) / 1000:.3f}"


def life_sentence(life: PositionLife, shop: Shop) -> str:
    """Return how far a part will go, or why that cannot be said."""
    projection = life.projection
    if projection.refusal is not None:
        return _refusal_sentence(life, shop)
    unit = shop.distance_unit
    bound_mm = at_least_rounded_mm(projection, unit.mm)
    if bound_mm == 0:
        return _WITHIN_ERROR if life.is_close else _TOO_FAST
    bound = distance(bound_mm, unit)
    text = f"9 of 10 such parts get at least {bound} from this reading"
    is_far = Note.FAR_EXTRAPOLATION in projection.notes
    median_mm = median_rounded_mm(projection, unit.mm)
    if median_mm is not None and not is_far:
        text += f"; half get about {distance(median_mm, unit)} or more"
    latest_mm = latest_rounded_mm(projection, unit.mm)
    if latest_mm is not None and not is_far and life.is_lining:
        text += f", 1 in 10 gets past {distance(latest_mm, unit)}"
    text += f" ({_basis(projection)})."
    notes = [_NOTE_WORDS[note] for note in projection.notes if note in _NOTE_WORDS]
    return " ".join([text, *notes])


def _rounded(mm: int, shop: Shop) -> str:
    step = 1000 * shop.distance_unit.mm
    return distance(round(mm / step) * step, shop.distance_unit)


def _basis(projection: Projection) -> str:
    share = projection.own_share
    if share >= 0.7:
        whose = "mostly this part's own readings"
    elif share >= 0.3:
        whose = "partly this part's own readings, partly general experience"
    else:
        whose = "mostly general experience"
    visits = projection.readings_used
    source = "; no shop data yet" if projection.experience.lives_behind == 0 else ""
    return f"{whose}, {visits} reading{'s' if visits != 1 else ''}{source}"


_NOTE_WORDS = {
    Note.FAR_EXTRAPOLATION: "Far extrapolation: no more is said than three times what was driven.",
    Note.BOUND_ONLY_CLOSE: "Close to the limit: only the bound is worth saying.",
    Note.BOUND_ONLY_UNKNOWN: "Too little is known for a forecast beyond that.",
    Note.ACCELERATING: "Wear is accelerating.",
    Note.NOMINAL_START: "The size at fitting is nominal, not measured.",
    Note.OUTLIER_DOWNWEIGHTED: "One reading does not fit the others and counts less.",
    Note.NO_START: "No fitting is on record; counted from the first reading.",
}


_WITHIN_ERROR = (
    "Within measurement error of the limit: measure again or replace; no safe distance can be "
    "stated."
)


_TOO_FAST = "It wears so fast that no safe distance can be stated; look for the cause."


def _refusal_sentence(life: PositionLife, shop: Shop) -> str:
    projection = life.projection
    match projection.refusal:
        case Refusal.NO_LIMIT:
            return "No projection: no usable limit for this part."
        case Refusal.LIMIT_NOT_INSIDE_NEW:
            return "No projection: the limit is not inside the new size; check the limit sheet."
        case Refusal.UNRESOLVED:
            return f"No projection until this is cleared up: {'; '.join(projection.unresolved)}."
        case Refusal.TOO_OLD:
            return "No projection: the reading is too old; measure again."
        case Refusal.AT_LIMIT:
            return "At or beyond the limit now."
        case Refusal.WITHIN_ERROR:
            return _WITHIN_ERROR if life.is_close else _TOO_FAST
        case Refusal.NO_BASIS:
            text = "Hardly driven since it was fitted: too early to say how fast it wears."
            if Note.NO_START in projection.notes and life.start is not None:
                text = "Its size at fitting is unknown: one reading says how thick, not how fast."
            elif Note.NO_START in projection.notes:
                text = "One reading without a fitting record says how thick, not how fast."
            if projection.typical_mm:
                text += (
                    f" Typical parts would last about {_rounded(projection.typical_mm, shop)}; "
                    f"that is no projection for this car."
                )
            return text
        case _:
            return "No projection: no reading."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
