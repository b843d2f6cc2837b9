"""The words for advice: what settles a doubt, a life match, a cut."""

from __future__ import annotations

from fractions import Fraction

from brakelog.record.shop import Shop
from brakelog.review.question import Question
from brakelog.rules.figure import about, counted, one_unit
from brakelog.rules.judgement import Doubt
from brakelog.rules.matching import RULE_OF_THUMB_NM, LifeMatch
from brakelog.rules.settling import Settling
from brakelog.rules.verdict import Because, Cut, Option


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
    Doubt.BEARING_PLAY: "again once the bearing is free of play",
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


def option_sentence(option: Option, shop: Shop) -> str:
    """Return what a cut would do that nothing asks for."""
    text = f"A refinish is not asked for. {cut_sentence(option.because, option.cut, shop)}"
    if option.because is Because.CUT_POSSIBLE and option.match is not None:
        end = about(option.match.end_nm, shop, against=[option.match.figure.nm])
        side = "beyond" if option.match.is_out else "still inside"
        limit = option.match.figure.figure.text.strip()
        text += f" After the next pads it would then be {end}, {side} discard {limit}."
    return text


def cut_sentence(because: Because, cut: Cut, shop: Shop) -> str:
    """Return what a cut would leave, and whether it may be made."""
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
