"""Inner and outer pad, or leading and trailing shoe, typed one for the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect
from brakelog.record.quantity import Quantity
from brakelog.review.asking import ask_about
from brakelog.review.change import Change
from brakelog.review.corners import SURE_IN_U1, UNLIKE, fitted_to
from brakelog.review.figures import all_as_typed, length, unit_of
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion

_PAIRS = (
    (Quantity.PAD_INNER, Quantity.PAD_OUTER),
    (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING),
)


def ask_pads(look: Look, changes: Sequence[Change]) -> Iterator[Question]:
    """Yield a question for each corner where the thicker lining became the thinner one."""
    at = {(each.corner, each.quantity): each for each in changes if each.quantity.is_lining}
    for corner in dict.fromkeys(corner for corner, _ in at):
        for first, second in _PAIRS:
            one, other = at.get((corner, first)), at.get((corner, second))
            if one is not None and other is not None and _changed_sign(look, one, other):
                yield _pads_question(one, other)


def _changed_sign(look: Look, one: Change, other: Change) -> bool:
    """Whether the difference of two linings is turned round beyond doubt and without a reason."""
    now_nm = one.now_nm - other.now_nm
    before_nm = one.before_nm - other.before_nm
    if now_nm * before_nm >= 0 or one.reading.datum is not other.reading.datum:
        return False
    worn_nm = max((one.lost_nm + other.lost_nm) / 2.0, 0.0)
    u1_nm = math.hypot(one.sigma1_nm, other.sigma1_nm, UNLIKE * worn_nm)
    if 2.0 * min(abs(now_nm), abs(before_nm)) <= SURE_IN_U1 * u1_nm:
        return False
    thinner_now = one if now_nm < 0 else other
    return not (_is_usual(look, thinner_now) or _is_stuck(look, one.corner))


def _is_usual(look: Look, thinner: Change) -> bool:
    """Whether the variant is known to wear this pad faster."""
    faster = look.evidence.traits.get((thinner.corner.axle, "faster-pad"))
    named = {Quantity.PAD_INNER: "inner", Quantity.PAD_OUTER: "outer"}
    return faster is not None and named.get(thinner.quantity) == faster


def _is_stuck(look: Look, corner: Corner) -> bool:
    """Whether something was found at the corner that wears one of its linings alone."""
    return any(
        finding.corner == corner and finding.kind.facts.effect is Effect.CORRECT
        for finding in look.evidence.findings
    )


def _pads_question(one: Change, other: Change) -> Question:
    readings = [one.reading, other.reading]
    unit = unit_of(one.reading)

    def gap(nm: int) -> str:
        way = "thicker" if nm > 0 else "thinner"
        return f"{length(abs(nm), unit, one.quantity)} {way}"

    first, second = one.quantity.position, other.quantity.position
    assert first is not None
    assert second is not None
    return ask_about(
        Suspicion.PADS,
        readings,
        scope=Scope.CORNERS,
        confidence=Confidence.MEDIUM,
        against=[one.before.reading, other.before.reading],
        instead_nm={
            one.reading.id: fitted_to(other.reading, one.reading),
            other.reading.id: fitted_to(one.reading, other.reading),
        },
        evidence=(
            f"{one.corner}: {first.label} {all_as_typed(one.reading)}, {second.label} "
            f"{all_as_typed(other.reading)}; the {first.label} was "
            f"{gap(one.before_nm - other.before_nm)} on "
            f"{one.before.visit.day.isoformat()} and is {gap(one.now_nm - other.now_nm)} now."
        ),
        ask=f"Look which of the {one.corner} linings is the thinner one, and read one of them "
        "again; a second reading set answers it. A stuck slide or piston explains it too.",
    )
