"""How far a part will still go, or why that cannot be said."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from brakelog.wear.acceleration import last_interval
from brakelog.wear.age import is_too_old
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.forecast import Forecast, forecast
from brakelog.wear.history import (
    MM_PER_1000KM,
    NM_PER_MM,
    History,
    first_visit,
    history_of,
    last_odometer_mm,
    margin_mm,
    start_odometer_mm,
)
from brakelog.wear.life import PartLife
from brakelog.wear.projection import Note, Projection, Refusal
from brakelog.wear.question import growth_questions, odometer_questions
from brakelog.wear.rate import Screening, screen

MM_PER_KM = 1_000_000

LEAST_BOUND_MM = 500 * MM_PER_KM
"""Distance below which a bound is none. [mm]

Assumption: the step that bounds are rounded down to.
"""

EXTRAPOLATION = 3
"""Multiple of the distance under measurement beyond which a bound is not stated. [-]

Assumption: in simulation bounds beyond it held less often than they should.
"""

WIDEST_RATIO = 8.0
"""Ratio of the late to the early distance from which only the bound is worth saying. [-]

Assumption: a range such as "10,000 to 80,000 km" helps nobody.
"""

CLOSE_MM = {
    WearKind.FRONT_LINING: 1.5,
    WearKind.REAR_LINING: 1.5,
    WearKind.ROTOR: 0.4,
    WearKind.SHOE: 1.5,
    WearKind.DRUM: 0.3,
}
"""Margin below which a wide range is put down to the nearness of the limit. [mm]

Assumption: 1.5 mm of lining; for rotors and drums about the same share of what may be worn.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A part life that its record does not refuse: a limit, a history, and nothing open.

    Parameters
    ----------
    life
        The part life.
    experience
        What is known of the rate of such parts.
    limit_nm
        Its limit. [nm]
    history
        The life in floats.
    """

    life: PartLife
    experience: Experience
    limit_nm: int
    history: History


def project(life: PartLife, experience: Experience) -> Projection:
    """Project a part life to its limit; never raises on data.

    Parameters
    ----------
    life
        The part life.
    experience
        What is known of the rate of such parts.

    Returns
    -------
    Projection
        Distances, or the first refusal that applies.
    """
    candidate = candidate_of(life, experience)
    if isinstance(candidate, Projection):
        return candidate
    history = candidate.history
    screening = screen(history, experience)
    refused = refused_by_readings(candidate, screening)
    if refused is not None:
        return refused
    found = forecast(history, experience, screening)
    interval = last_interval(history, experience.believed_c)
    if interval is not None:
        latest = forecast(interval, experience, screen(interval, experience))
        found = _faster(found, latest)
    return stated(candidate, screening, found, is_accelerating=interval is not None)


def candidate_of(life: PartLife, experience: Experience) -> Candidate | Projection:
    """The history to project from, or the refusal that the record alone gives.

    Parameters
    ----------
    life
        The part life.
    experience
        What is known of the rate of such parts.
    """
    asked = life.unresolved + odometer_questions(life)
    limit_nm = life.limit_nm
    if limit_nm is None:
        return _refused(life, experience, Refusal.NO_LIMIT)
    if not _limit_is_inside_new(life, limit_nm):
        typical_mm = _typical_mm(life, experience, limit_nm)
        return _refused(life, experience, Refusal.LIMIT_NOT_INSIDE_NEW, typical_mm=typical_mm)
    if life.is_out:
        # What is out stays out, whatever is asked about its history.
        return _refused(life, experience, Refusal.AT_LIMIT)
    if asked:
        return _unresolved(life, experience, limit_nm, asked)
    if life.start is None and not life.readings:
        return _refused(life, experience, Refusal.NO_READING)
    return Candidate(
        life=life, experience=experience, limit_nm=limit_nm, history=history_of(life, limit_nm)
    )


def refused_by_readings(candidate: Candidate, screening: Screening) -> Projection | None:
    """The refusal that a first look at the readings gives, if it gives one.

    Parameters
    ----------
    candidate
        A part life that its record does not refuse.
    screening
        The robust look at its history.
    """
    life, experience, history = candidate.life, candidate.experience, candidate.history
    asked = growth_questions(life, candidate.limit_nm, history, screening)
    if asked:
        return _unresolved(life, experience, candidate.limit_nm, asked)
    if is_too_old(life):
        return _refused(life, experience, Refusal.TOO_OLD)
    # Hardly driven under measurement: three times nothing would condemn a part just fitted.
    if _cap_mm(life) is not None or experience.stands_alone:
        return None
    margin = history.visits[-1].margin_mm if history.visits else history.margin_mm
    return _refused(
        life,
        experience,
        Refusal.NO_BASIS if life.readings else Refusal.NO_READING,
        typical_mm=_typical_life_mm(experience, margin),
    )


def stated(
    candidate: Candidate, screening: Screening, found: Forecast, *, is_accelerating: bool
) -> Projection:
    """What is said of a part life that nothing refuses but its own nearness to the limit.

    Parameters
    ----------
    candidate
        The part life.
    screening
        The robust look at its history.
    found
        Its remaining distance.
    is_accelerating
        Whether that is the distance at the pace of the last interval.
    """
    life, experience, cap_mm = candidate.life, candidate.experience, _cap_mm(candidate.life)
    notes = _record_notes(life)
    if is_accelerating:
        notes.add(Note.ACCELERATING)
    if screening.flagged is not None:
        notes.add(Note.OUTLIER_DOWNWEIGHTED)
    bound_mm = _whole_mm(found.d10)
    at_least_mm = bound_mm
    refusal = None
    if bound_mm < LEAST_BOUND_MM:
        refusal, bound_mm, at_least_mm = Refusal.WITHIN_ERROR, 0, 0
    else:
        if cap_mm is None:
            notes.add(Note.EXPERIENCE_ONLY)
        elif bound_mm > cap_mm:
            at_least_mm = cap_mm
            notes.add(Note.FAR_EXTRAPOLATION)
        if found.d05 <= 0.0 or found.d95 > WIDEST_RATIO * found.d05:
            is_close = found.estimate.margin_mm < CLOSE_MM[life.kind]
            notes.add(Note.BOUND_ONLY_CLOSE if is_close else Note.BOUND_ONLY_UNKNOWN)
    is_range = refusal is None and not notes & {Note.BOUND_ONLY_CLOSE, Note.BOUND_ONLY_UNKNOWN}
    spread = found.estimate.log_rate_u1 / experience.log_sd
    return Projection(
        refusal=refusal,
        at_least_mm=at_least_mm,
        median_mm=_whole_mm(found.d50) if is_range else None,
        latest_mm=_whole_mm(found.d90) if is_range else None,
        d05_mm=_whole_mm(found.d05) if refusal is None else None,
        d95_mm=_whole_mm(found.d95) if refusal is None else None,
        rate_nm_per_1000km=math.exp(found.estimate.log_rate) * NM_PER_MM,
        own_share=min(max(1.0 - spread * spread, 0.0), 1.0),
        readings_used=len(life.readings),
        notes=_in_order(notes),
        flagged=None if screening.flagged is None else screening.flagged + first_visit(life),
        unresolved=(),
        experience=experience,
        from_odometer_mm=last_odometer_mm(life),
        uncapped_at_least_mm=bound_mm,
        centre_mm=_whole_mm(found.d50),
    )


def _unresolved(
    life: PartLife, experience: Experience, limit_nm: int, asked: tuple[str, ...]
) -> Projection:
    typical_mm = _typical_mm(life, experience, limit_nm)
    return _refused(life, experience, Refusal.UNRESOLVED, unresolved=asked, typical_mm=typical_mm)


def _refused(
    life: PartLife,
    experience: Experience,
    refusal: Refusal,
    *,
    unresolved: tuple[str, ...] | None = None,
    typical_mm: int | None = None,
) -> Projection:
    return Projection(
        refusal=refusal,
        at_least_mm=None,
        median_mm=None,
        latest_mm=None,
        d05_mm=None,
        d95_mm=None,
        rate_nm_per_1000km=None,
        own_share=0.0,
        readings_used=len(life.readings),
        notes=_in_order(_record_notes(life)),
        flagged=None,
        unresolved=life.unresolved if unresolved is None else unresolved,
        experience=experience,
        typical_mm=typical_mm,
    )


def _faster(usual: Forecast, latest: Forecast) -> Forecast:
    """The forecast of the latest interval, held to the lower bounds of the whole history."""
    return replace(
        latest,
        d05=min(usual.d05, latest.d05),
        d10=min(usual.d10, latest.d10),
        d50=min(usual.d50, latest.d50),
    )


def _record_notes(life: PartLife) -> set[Note]:
    if life.start is None:
        return {Note.NO_START}
    return set() if life.start.measured else {Note.NOMINAL_START}


def _in_order(notes: set[Note]) -> tuple[Note, ...]:
    return tuple(sorted(notes, key=_RANK.__getitem__))


_RANK = {note: n for n, note in enumerate(Note)}


def _limit_is_inside_new(life: PartLife, limit_nm: int) -> bool:
    """Whether a new part has anything to wear; a refinished one is no witness of the sheet."""
    if life.new_nm is not None:
        return margin_mm(life, life.new_nm, limit_nm) > 0.0
    return life.start is None or margin_mm(life, life.start.size_nm, limit_nm) > 0.0


def _cap_mm(life: PartLife) -> int | None:
    """Distance beyond which no bound is stated; None if hardly any was driven. [mm]"""
    cap_mm = EXTRAPOLATION * (last_odometer_mm(life) - start_odometer_mm(life))
    return cap_mm if cap_mm >= LEAST_BOUND_MM else None


def _typical_mm(life: PartLife, experience: Experience, limit_nm: int) -> int | None:
    """What half of typical parts would last from the last reading; None without one. [mm]"""
    if not life.readings:
        return None
    margin = margin_mm(life, life.readings[-1].value_nm, limit_nm)
    return _typical_life_mm(experience, margin)


def _typical_life_mm(experience: Experience, margin: float) -> int:
    """What half of typical parts would last with a margin given in mm. [mm]"""
    return _whole_mm(max(margin, 0.0) / math.exp(experience.log_rate))


def _whole_mm(distance: float) -> int:
    """Whole millimetres of a distance in 1000 km, rounded down. [mm]"""
    return math.floor(distance * MM_PER_1000KM)
