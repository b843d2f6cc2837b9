"""Lips: an unworn edge that flat faces rest on makes every reading too thick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent
from brakelog.record.gauge import Tips
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.change import Change
from brakelog.review.figures import as_a_whole, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.slips import LEAST_LIP_NM, MOST_LIP_NM

_WITHOUT_LIP = (FittingEvent.NEW, FittingEvent.REFINISHED)


def ask_lip_on_all(look: Look, changes: Sequence[Change]) -> Iterator[Question]:
    """Yield a question for each rotor of which every point lies a lip's height above last time."""
    for change in changes:
        reading, before = change.reading, change.before.reading
        if reading.quantity is not Quantity.ROTOR or look.tips(reading) is Tips.POINTED:
            continue
        grown_nm = -change.lost_nm
        if not LEAST_LIP_NM <= grown_nm <= MOST_LIP_NM or reading.lip is False:
            continue
        if min(reading.measured_nm) <= max(before.measured_nm):
            continue
        yield ask_about(
            Suspicion.LIP,
            [reading],
            scope=Scope.SET,
            confidence=Confidence.HIGH,
            against=[before],
            reads_high=True,
            evidence=(
                f"{what(reading)}, {as_a_whole(reading)}: every point lies above the last "
                f"reading, {as_a_whole(before)} on {change.before.visit.day.isoformat()}, by "
                f"about {length(grown_nm, unit_of(reading), Quantity.ROTOR)}. A lip adds that."
            ),
            ask=f"Look at the edge of the {reading.corner} rotor, and read it again with pointed "
            "tips, inside the lip.",
        )


def ask_lip_not_judged(look: Look) -> Iterator[Question]:
    """Yield a question for each rotor read without pointed tips of which nobody judged the lip."""
    for moment in look.rotors:
        reading = moment.reading
        if look.tips(reading) is Tips.POINTED:
            continue
        if _is_judged(look, reading) or _has_none(look, reading):
            continue
        tips = look.tips(reading)
        faces = f"with {_FACES[tips]}" if tips else "with tips that nobody named"
        yield ask_about(
            Suspicion.LIP_NOT_JUDGED,
            [reading],
            scope=Scope.SET,
            confidence=Confidence.MEDIUM,
            reads_high=True,
            settled_by_looking=True,
            evidence=(
                f"{what(reading)}, {as_a_whole(reading)}: read {faces}, and nobody said whether "
                "there is a lip. Faces that rest on a lip read too thick."
            ),
            ask=f"Look at the edge of the {reading.corner} rotor and say lip=no or lip=yes; with a "
            "lip, read it again with pointed tips.",
        )


_FACES = {
    Tips.FLAT: "flat faces",
    Tips.CALLIPER: "a calliper",
    Tips.POINTED: "pointed tips",
}


def _is_judged(look: Look, reading: ReadingSet) -> bool:
    """Whether a set or a finding of the visit says something about the lip."""
    sets = (reading, *look.earlier_versions(reading))
    return any(each.lip is not None for each in sets) or any(
        finding.kind is FindingKind.LIP
        and finding.corner == reading.corner
        and finding.part is Part.ROTOR
        for finding in look.evidence.findings
    )


def _has_none(look: Look, reading: ReadingSet) -> bool:
    """Whether the rotor went on in this visit, new or cut, and so has no lip yet."""
    fitting = look.fitted(reading.corner, Position.ROTOR, look.order)
    return (
        fitting is not None
        and fitting.visit_id == look.evidence.visit.id
        and fitting.event in _WITHOUT_LIP
    )
