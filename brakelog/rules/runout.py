"""The study of a runout: which readings count, and what follows from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from brakelog.metrology.indexing import predict
from brakelog.metrology.plates import plate_choices
from brakelog.metrology.profile import orders
from brakelog.metrology.runout import (
    PROFILE_POINTS,
    ROTOR_RADII_NM,
    Gate,
    at_rotor_nm,
    harmonic,
    usable,
)
from brakelog.metrology.shares import mounting, split
from brakelog.record.corner import Corner
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.casefile import CaseFile
from brakelog.rules.runout_study import Ask, HubFace, NoSplit, RunoutRead, RunoutStudy
from brakelog.rules.spreading import spread_for
from brakelog.rules.waves import thickness_waves


def telling_stage(sets: Sequence[ReadingSet], corner: Corner) -> Stage:
    """Return the stage of a visit that tells most: the last that was read at two positions, else
    the last in which a runout was read.

    Parameters
    ----------
    sets : sequence of ReadingSet
        The reading sets of one visit.
    corner : Corner
        The corner.
    """
    here = [each for each in sets if each.corner == corner and each.quantity is Quantity.RUNOUT]
    last_first = (Stage.AS_LEFT, Stage.AS_FOUND)
    for stage in last_first:
        staged = [s for s in here if s.stage is stage and len(s.values_nm) > 1 and not usable(s)]
        if len({each.rotor_index or 0 for each in staged}) > 1:
            return stage
    read = [s for s in sets if s.corner == corner and s.quantity in _INDICATED] or [
        s for s in sets if s.corner == corner and s.quantity is Quantity.ROTOR
    ]
    return next(
        (stage for stage in last_first if any(s.stage is stage for s in read)), last_first[1]
    )


_INDICATED = (Quantity.RUNOUT, Quantity.HUB_RUNOUT)


def study_runout(
    file: CaseFile, corner: Corner, ask: Ask, *, changed_since: bool = False
) -> RunoutStudy:
    """Return what the runout readings of one visit and stage say.

    Parameters
    ----------
    file : CaseFile
        What is on file of the vehicle; its visit and stage are studied.
    corner : Corner
        The corner.
    ask : Ask
        Mark, plates, radius and tyre.
    changed_since : bool
        Whether the rotor was changed after the visit.
    """
    read = _all_read(file, corner, file.stage)
    used = _mountings(read)
    studs = _studs(read, file, corner)
    no_split = _why_no_split(read, used, _studs_of_sheet(file, corner))
    found = None
    if no_split is None and studs is not None:
        found = split(
            [mounting(e.index, e.reading.measured_nm, e.spread.u1r_nm) for e in used],
            studs,
            mark=ask.mark,
        )
    is_found = file.stage is Stage.AS_FOUND
    return RunoutStudy(
        file=file,
        corner=corner,
        ask=ask,
        bound=file.bounds.of(LimitKind.RUNOUT, corner),
        read=read,
        used=used,
        studs=studs,
        no_split=no_split,
        split=found,
        prediction=predict(found) if found else None,
        choices=plate_choices(found, ask.plates_nm, face=ask.face)
        if found and ask.plates_nm
        else (),
        hub_face=_hub_face(file, corner, ask),
        thickness=thickness_waves(file, corner, studs),
        after=_all_read(file, corner, Stage.AS_LEFT) if is_found else (),
        changed_since=changed_since or (is_found and file.was_changed(corner, Quantity.RUNOUT)),
    )


def _all_read(file: CaseFile, corner: Corner, stage: Stage) -> tuple[RunoutRead, ...]:
    found = [
        _read(file, each)
        for each in file.sets
        if each.visit_id == file.visit.id
        and each.corner == corner
        and each.quantity is Quantity.RUNOUT
        and each.stage is stage
        and each.measured_nm
    ]
    unsaid = [each for each in found if each.index_is_assumed and not each.gates]
    said_first = any(e.reading.rotor_index == 0 and not e.gates for e in found)
    if len(unsaid) > 1 or said_first:
        # One profile without an index is the first mounting. Of more, nobody can tell.
        others = sum(1 for each in found if each.is_profile and not each.gates) > 1
        return tuple(
            replace(each, gates=(Gate.INDEX_NOT_SAID,)) if each in unsaid and others else each
            for each in found
        )
    return tuple(found)


def _read(file: CaseFile, reading: ReadingSet) -> RunoutRead:
    spread = spread_for(file, reading)
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    gates = usable(reading, resolution_nm=gauge.resolution_nm if gauge else 0)
    values = reading.measured_nm
    is_whole = len(values) == len(reading.values_nm) and len(values) >= PROFILE_POINTS
    return RunoutRead(
        reading=reading,
        spread=spread,
        gates=gates,
        index=reading.rotor_index or 0,
        wave=harmonic(values) if is_whole else None,
        higher=tuple(each for each in orders(values, spread.u1r_nm)[1:] if each.is_real)
        if is_whole
        else (),
    )


def _mountings(read: Sequence[RunoutRead]) -> tuple[RunoutRead, ...]:
    """Return the newest usable profile of each position."""
    newest = {each.index: each for each in read if each.wave is not None and not each.gates}
    return tuple(newest[index] for index in sorted(newest))


def _studs(read: Sequence[RunoutRead], file: CaseFile, corner: Corner) -> int | None:
    said = [each.reading.fasteners_of for each in read if each.reading.fasteners_of]
    return said[-1] if said else _studs_of_sheet(file, corner)


def _studs_of_sheet(file: CaseFile, corner: Corner) -> int | None:
    text = file.traits.get((corner.axle, "fasteners"), "")
    return int(text) if text.isdigit() else None


def _why_no_split(
    read: Sequence[RunoutRead], used: Sequence[RunoutRead], of_sheet: int | None
) -> NoSplit | None:
    if not read:
        return NoSplit.NO_READING
    if not any(each.is_profile for each in read):
        return NoSplit.NO_PROFILE
    if not used:
        return NoSplit.NOT_USABLE
    said = {each.reading.fasteners_of for each in read if each.reading.fasteners_of is not None}
    if len(said) > 1:
        return NoSplit.STUDS_DIFFER
    if of_sheet is not None and said != {of_sheet}:
        return NoSplit.OTHER_STUDS
    return NoSplit.ONE_MOUNTING if len(used) < 2 else None


def _hub_face(file: CaseFile, corner: Corner, ask: Ask) -> HubFace | None:
    sets = [
        _read(file, each)
        for each in file.sets_at(corner, Quantity.HUB_RUNOUT)
        if each.measured_nm and each.radius_nm
    ]
    good = [each for each in sets if not each.gates] or sets
    if not good:
        return None
    radius_nm = good[-1].reading.radius_nm
    assert radius_nm is not None
    radii = (ask.indicator_radius_nm,) * 2 if ask.indicator_radius_nm else ROTOR_RADII_NM
    least, most = (at_rotor_nm(good[-1].runout_nm, radius_nm, radius) for radius in radii)
    return HubFace(read=good[-1], radius_nm=radius_nm, at_rotor_nm=(least, most))
