"""The question about single points of a rotor: its candidates and its words."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about, with_points
from brakelog.review.figures import as_typed, length, listed, place, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.thimble import has_display, sleeve_nm, turn_nm
from brakelog.review.typed_digits import moved_point, swapped_digits

AGREE_NM = 50_000
"""Spread within which the other points agree: 0.05 mm, common practice. [nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """One point that does not agree with the others of its circle."""

    index: int
    residual_nm: int
    """Above the median of the others. [nm]"""


def question_about(
    look: Look, reading: ReadingSet, suspicion: Suspicion, points: list[Off], others_nm: int
) -> Question:
    """Return the question about points that one suspicion explains.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    reading : ReadingSet
        The rotor.
    suspicion : Suspicion
        What is suspected.
    points : list of Off
        The points, all off to the same side.
    others_nm : int
        Median of the points that agree. [nm]
    """
    indices = tuple(each.index for each in points)
    candidates = _candidates(look, reading, suspicion, points, others_nm)
    confidence, explained = _explained(look, reading, suspicion, points[0], candidates)
    spot = listed(place(reading, index) for index in indices)
    return ask_about(
        suspicion,
        [reading],
        scope=Scope.POINTS,
        confidence=confidence,
        points=indices,
        instead_nm=with_points(reading, candidates),
        reads_high=points[0].residual_nm > 0,
        evidence=f"{_gap(reading, points, others_nm)}. {explained}",
        ask=_ASK.get(suspicion, _READ_AGAIN).format(spot=spot, corner=reading.corner),
    )


def _candidates(
    look: Look, reading: ReadingSet, suspicion: Suspicion, points: list[Off], others_nm: int
) -> dict[int, int | None]:
    """Return what each point would read if the suspicion were right, by its index. [nm]"""
    found: dict[int, int | None] = {}
    for off in points:
        nm = reading.values_nm[off.index] or 0
        sign = 1 if off.residual_nm > 0 else -1
        found[off.index] = None
        if suspicion is Suspicion.TURN:
            found[off.index] = nm - sign * turn_nm(look, reading)
        elif suspicion is Suspicion.SLEEVE:
            found[off.index] = nm - sign * sleeve_nm(look, reading)
        elif suspicion is Suspicion.DECIMAL:
            found[off.index] = moved_point(nm, others_nm, 2 * AGREE_NM)
        elif suspicion is Suspicion.DIGITS:
            swapped = swapped_digits(reading, off.index, others_nm, AGREE_NM)
            found[off.index] = swapped[0] if swapped else None
    return found


def _gap(reading: ReadingSet, points: list[Off], others_nm: int) -> str:
    """Say how far the points are from the others, as typed and in mm."""
    unit = unit_of(reading)
    first = points[0]
    side = "above" if first.residual_nm > 0 else "below"
    gap = length(abs(first.residual_nm), unit, reading.quantity)
    typed = listed(f"{place(reading, off.index)} {as_typed(reading, off.index)}" for off in points)
    middle = length(others_nm, unit, reading.quantity)
    which = "" if len(points) == 1 else "the first "
    return f"{what(reading)}, {typed}: {which}{gap} {side} the median of the others, {middle}"


def _explained(
    look: Look,
    reading: ReadingSet,
    suspicion: Suspicion,
    first: Off,
    candidates: dict[int, int | None],
) -> tuple[Confidence, str]:
    """Return how sure it is, and what would explain the gap."""
    unit = unit_of(reading)
    nm = candidates[first.index]
    instead = "" if nm is None else f" {length(nm, unit, reading.quantity)}?"
    match suspicion:
        case Suspicion.TURN:
            turn = length(turn_nm(look, reading), unit, reading.quantity)
            return Confidence.HIGH, f"One turn is {turn}{_or_typing(look, reading)}.{instead}"
        case Suspicion.SLEEVE:
            digit = length(sleeve_nm(look, reading), unit, reading.quantity)
            figure = f"One figure of the sleeve is {digit}"
            return Confidence.HIGH, f"{figure}{_or_typing(look, reading)}.{instead}"
        case Suspicion.DECIMAL:
            return Confidence.HIGH, f"The decimal point one place off?{instead}"
        case Suspicion.DIGITS:
            return Confidence.MEDIUM, f"Two digits swapped?{instead}"
        case Suspicion.LIP:
            return Confidence.MEDIUM, "That is no whole turn, but what a lip at the edge adds."
        case Suspicion.GROOVE:
            return Confidence.MEDIUM, "That is what the bottom of a groove takes away."
        case _:
            return Confidence.MEDIUM, "No single slip explains that."


def _or_typing(look: Look, reading: ReadingSet) -> str:
    """Say whose slip it is: a thimble's, or one of typing."""
    gauge = look.gauge(reading)
    if gauge is None:
        return " of a thimble, unless it is a slip of typing"
    if has_display(look, reading):
        return f"; if {gauge.tag} has a display, it is a slip of typing"
    return f" of {gauge.tag}"


_READ_AGAIN = "Read {spot} of the {corner} rotor again; a second reading set answers it."
_ASK = {
    Suspicion.LIP: "Look whether the {corner} rotor has a lip, and read {spot} again with pointed "
    "tips, inside it.",
    Suspicion.GROOVE: "Look for a groove at {spot} of the {corner} rotor: record its depth as "
    "scoring, or say that the point was read in it; else read {spot} again.",
}
