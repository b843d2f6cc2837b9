"""Patterns of a rotor: thickness variation and runout together, and how soon they came.

A rotor that does not run true touches the pads once a turn, with the brake off, and wears thin
where it touches; so runout comes first, and variation is felt after some thousand kilometres.
"""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.lengths import MM_PER_KM
from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.compare import is_out
from brakelog.rules.figure import distance, one_unit
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.hinting import Scene, hint
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.usable import is_usable, judgement_of, sets_of
from brakelog.rules.verdict import PartVerdict

SOON_MM = 15_000 * MM_PER_KM
"""Distance after brake work within which a rotor that is not true says something about how it was
left: trade and friction makers' texts name 5,000 to 15,000 km. [mm]"""

_PISTON = frozenset({FindingKind.STUCK_PISTON})
_HOT = frozenset({FindingKind.HOT_SPOTS, FindingKind.BLUEING})
_RUST = frozenset({FindingKind.HEAVY_RUST})

_CLAMP = Lead(
    cause="read without all fasteners", check="read it again with all fasteners at full torque"
)
_CAME_FIRST = Lead(
    cause="runout came first and wore the thin place",
    check="clean hub and hat; split hub from rotor by turning it on its studs",
)
_NOT_SEATED = Lead(
    cause="rotor does not sit true: rust, hub or rotor",
    check="clean hub and hat, read again, turn it on its studs",
)
_ALONE = (
    Lead(
        cause="rust print or pad transfer",
        check="brake 5 times from 50 km/h, read again",
        found_as=_RUST,
    ),
    Lead(cause="hot spots", check="faces, once cleaned", found_as=_HOT),
    Lead(cause="piston not retracting", check="piston retraction", found_as=_PISTON),
    Lead(cause="runout put right since", check="what was done at this wheel before"),
)


def rotor_hints(scene: Scene) -> Iterator[Hint]:
    """Yield what the rotors of single wheels show."""
    for rotor in scene.parts:
        if rotor.part is Part.ROTOR:
            yield from _of_rotor(scene, rotor)


def _of_rotor(scene: Scene, rotor: PartVerdict) -> Iterator[Hint]:
    variation = judgement_of(rotor, Measure.THICKNESS_VARIATION)
    runout = judgement_of(rotor, Measure.RUNOUT)
    job = _last_job(scene, rotor.corner)
    if not all(is_usable(scene.file, each) for each in (variation, runout)):
        pattern = None
    else:
        pattern = _pattern(variation, runout)
    driven_mm = None if job is None else scene.file.visit.odometer_mm - job.odometer_mm
    if pattern is Pattern.RUNOUT_ALONE and driven_mm is not None and driven_mm > SOON_MM:
        pattern = None
    if pattern is not None:
        facts = [_figures(scene, variation, runout), *_since(scene, job)]
        yield _made(scene, rotor, pattern, facts, _leads(scene, pattern, runout))
    is_out_now = any(
        each.outcome is Outcome.OUT and is_usable(scene.file, each) for each in (variation, runout)
    )
    if job is not None and is_out_now and driven_mm is not None and 0 < driven_mm <= SOON_MM:
        yield _back_soon(scene, rotor, job, driven_mm)


def _pattern(variation: Judgement, runout: Judgement) -> Pattern | None:
    match variation.outcome, runout.outcome:
        case Outcome.OUT, Outcome.OUT:
            return Pattern.VARIATION_AND_RUNOUT
        case Outcome.OUT, Outcome.IN:
            return Pattern.VARIATION_ALONE
        case Outcome.IN, Outcome.OUT:
            return Pattern.RUNOUT_ALONE
        case _:
            return None


def _leads(scene: Scene, pattern: Pattern, runout: Judgement) -> tuple[Lead, ...]:
    if pattern is Pattern.VARIATION_ALONE:
        return _ALONE
    clamp = () if _is_clamped(sets_of(scene.file, runout)) else (_CLAMP,)
    first = _CAME_FIRST if pattern is Pattern.VARIATION_AND_RUNOUT else _NOT_SEATED
    return (*clamp, first)


def _is_clamped(sets: tuple[ReadingSet, ...]) -> bool:
    return all(
        each.fasteners_fitted is not None and each.fasteners_fitted == each.fasteners_of
        for each in sets
    )


def _made(
    scene: Scene, rotor: PartVerdict, pattern: Pattern, facts: list[str], leads: tuple[Lead, ...]
) -> Hint:
    needs = pattern is Pattern.VARIATION_ALONE or not _is_left_true(scene, rotor.corner)
    return hint(
        scene, pattern, rotor.corner.axle, (rotor.corner,), facts, leads, needs_repair=needs
    )


def _figures(scene: Scene, variation: Judgement, runout: Judgement) -> str:
    assert variation.judged_nm is not None
    assert runout.judged_nm is not None
    figures = [
        one_unit(each.judged_nm or 0, scene.file.shop, fine=True) for each in (variation, runout)
    ]
    return f"variation {figures[0]}, runout {figures[1]}"


def _since(scene: Scene, job: Fitting | None) -> list[str]:
    return [] if job is None else [_ago(scene, job)]


def _ago(scene: Scene, job: Fitting) -> str:
    driven_mm = scene.file.visit.odometer_mm - job.odometer_mm
    driven = distance(driven_mm, scene.file.shop.distance_unit)
    return f"{driven} after {job.position.part.value} {_DID[job.event]}"


_DID = {
    FittingEvent.NEW: "fitted new",
    FittingEvent.USED: "fitted used",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.MOVED: "moved",
}


def _last_job(scene: Scene, corner: Corner) -> Fitting | None:
    """Return the last work on rotor or pads of a wheel, up to the judged visit and stage."""
    file = scene.file
    before = {each.id for each in file.visits[: file.visits.index(file.visit)]}
    if file.stage is Stage.AS_LEFT:
        before.add(file.visit.id)
    jobs = [
        each
        for each in file.fittings
        if each.corner == corner
        and each.visit_id in before
        and each.position.part in (Part.ROTOR, Part.PADS)
        and each.event is not FittingEvent.REMOVED
        and each.odometer_mm <= file.visit.odometer_mm
    ]
    if not jobs:
        return None
    return sorted(jobs, key=lambda each: (each.odometer_mm, each.position is Position.ROTOR))[-1]


def _back_soon(scene: Scene, rotor: PartVerdict, job: Fitting, driven_mm: int) -> Hint:
    left = _as_left(scene, rotor.corner, job.visit_id)
    if left is None:
        quoted = "as left not on file"
        lead = Lead(
            cause="the runout that it was left with, not written down",
            check="hub and rotor now; write the runout down as left",
        )
    elif _is_beyond(scene, rotor.corner, _runout_nm(left)):
        quoted = f"left at {_tir(scene, left)}, out"
        lead = Lead(cause="the runout that it was left with", check="clean hub and hat, read again")
    else:
        quoted = f"left at {_tir(scene, left)}"
        lead = Lead(
            cause="it left true: uneven wheel fasteners, or rust since",
            check="torque of the fasteners; hub face",
        )
    driven = distance(driven_mm, scene.file.shop.distance_unit)
    facts = [f"{driven}, runout {quoted}", _ago(scene, job)]
    return _made(scene, rotor, Pattern.BACK_SOON, facts, (lead,))


def _as_left(scene: Scene, corner: Corner, visit_id: str) -> ReadingSet | None:
    sets = [
        each
        for each in scene.file.sets
        if each.visit_id == visit_id
        and each.corner == corner
        and each.quantity is Quantity.RUNOUT
        and each.stage is Stage.AS_LEFT
        and each.measured_nm
    ]
    return sets[-1] if sets else None


def _tir(scene: Scene, left: ReadingSet) -> str:
    return one_unit(_runout_nm(left), scene.file.shop, fine=True)


def _runout_nm(reading: ReadingSet) -> int:
    """Return the total of a reading; of a profile by angle, its highest minus its lowest. [nm]"""
    measured = reading.measured_nm
    return measured[0] if len(measured) == 1 else max(measured) - min(measured)


def _is_beyond(scene: Scene, corner: Corner, nm: int) -> bool:
    file = scene.file
    bound = file.bounds.of(Measure.RUNOUT.facts.limit, corner)
    return any(is_out(nm, each.limit.comparator, each.nm) for each in bound.figures)


def _is_left_true(scene: Scene, corner: Corner) -> bool:
    """Whether the wheel leaves this visit with a runout that was read and is not out."""
    left = _as_left(scene, corner, scene.file.visit.id)
    return left is not None and not _is_beyond(scene, corner, _runout_nm(left))
