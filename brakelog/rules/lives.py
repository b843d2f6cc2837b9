"""How far each wearing part will go: its life on record, and what is believed of such parts."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Position
from brakelog.rules.casefile import CaseFile
from brakelog.rules.dating import Dates, dates_of
from brakelog.rules.judgement import Judgement
from brakelog.rules.measure import Measure
from brakelog.rules.part_life import RecordedLife, Span, finished_life, running_life, spans_at
from brakelog.wear.earlier import after_earlier_life
from brakelog.wear.experience import Experience
from brakelog.wear.experiences import Group, group_of
from brakelog.wear.life import PartLife
from brakelog.wear.projecting import project
from brakelog.wear.projection import Projection


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionLife:
    """One wearing part with what is known of how far it will go."""

    corner: Corner
    position: Position
    projection: Projection
    start: Fitting | None
    """The fitting that began this life; None where none is on record."""
    previous_nm: int | None = None
    """Its size at the visit before, the same part. [nm]"""
    is_close: bool = True
    """Whether it lies within four standard uncertainties of its limit, placement included."""
    read_on: date | None = None
    """Day of the reading, or of the fitting, that the distances count from."""
    restarted_on: date | None = None
    """The day from which wear is counted anew, since a fault that wore the part was put right."""
    dates: Dates | None = None
    """The days that go with the distances."""
    case: LifeCase | None = field(default=None, compare=False, repr=False)
    """What the projection rests on."""

    @property
    def is_lining(self) -> bool:
        """Whether it is friction material; the late end of what iron lasts helps nobody."""
        return self.position.part in (Part.PADS, Part.SHOES)


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeCase:
    """A part life with everything that its projection rests on."""

    corner: Corner
    position: Position
    group: Group
    recorded: RecordedLife
    earlier: PartLife | None
    """The part that was there before, where its wear can be believed."""


def life_of(file: CaseFile, corner: Corner, judgement: Judgement) -> PositionLife:
    """Project the part that a safety judgement is about; never across a new part or a refinish."""
    return projected(file, life_case(file, corner, judgement), judgement)


def projected(file: CaseFile, case: LifeCase, judgement: Judgement) -> PositionLife:
    """Project a part life that was gathered for a safety judgement."""
    life, begun = case.recorded.life, case.recorded.begun
    readings = life.readings
    projection = project(life, believed(file, case))
    read_on = readings[-1].day if readings else begun.day if begun else None
    return PositionLife(
        corner=case.corner,
        position=case.position,
        projection=projection,
        start=begun,
        previous_nm=readings[-2].value_nm if len(readings) > 1 else None,
        is_close=_is_close(judgement, life),
        read_on=read_on,
        restarted_on=case.recorded.restarted_on,
        dates=None if read_on is None else dates_of(projection, read_on, file.usage),
        case=case,
    )


def life_case(file: CaseFile, corner: Corner, judgement: Judgement) -> LifeCase:
    """Gather what a projection of the part that a safety judgement is about rests on."""
    measure = judgement.measure
    *ended, now = spans_at(file, corner, position_of(measure))
    before = finished_life(file, corner, measure, ended[-1]) if ended else None
    return life_case_in(file, corner, judgement, now, before)


def life_case_in(
    file: CaseFile, corner: Corner, judgement: Judgement, span: Span, before: RecordedLife | None
) -> LifeCase:
    """Gather the same where the record was looked through already.

    Parameters
    ----------
    file : CaseFile
        The case.
    corner : Corner
        The corner.
    judgement : Judgement
        The judgement.
    span : Span
        The time of the part at its place.
    before : RecordedLife or None
        The life of the part that was there before it.
    """
    recorded = running_life(file, corner, judgement, span)
    return LifeCase(
        corner=corner,
        position=position_of(judgement.measure),
        group=group_at(file, corner, recorded.life),
        recorded=recorded,
        earlier=before.life if before and before.is_sound else None,
    )


def position_of(measure: Measure) -> Position:
    """Return the wearing part whose size a safety measure is."""
    position = measure.facts.position
    assert position is not None
    return position


def group_at(file: CaseFile, corner: Corner, life: PartLife) -> Group:
    """Return the narrowest group of part lives that a life belongs to."""
    return group_of(
        life.kind,
        axle=corner.axle,
        vehicle_class=file.traits.get((0, "class")),
        model=file.vehicle.sheet,
    )


def believed(file: CaseFile, case: LifeCase) -> Experience:
    """Return what is believed of a part: the shop's experience, and this vehicle's earlier set."""
    life = case.recorded.life
    experience = file.experiences.of(
        case.group,
        new_mm=None if life.new_nm is None else life.new_nm / 1e6,
        limit_mm=0.0 if life.limit_nm is None else life.limit_nm / 1e6,
    )
    return after_earlier_life(
        experience, case.earlier, vehicle_share=file.experiences.vehicle_share
    )


CLOSE_IN_U1 = 4
"""Standard uncertainties of a margin that is called close; assumption."""


def _is_close(judgement: Judgement, life: PartLife) -> bool:
    if judgement.margin_nm is None or not life.readings:
        return True
    return float(judgement.margin_nm) <= CLOSE_IN_U1 * life.readings[-1].sigma1_nm
