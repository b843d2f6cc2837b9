"""Whether a job is finished, and what keeps it open."""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from brakelog.record.agreement import Agreement
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.corner import Corner
from brakelog.record.limit import Torque
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.consent import agreements_open
from brakelog.rules.left_checks import checks_left, driven, newest_answer
from brakelog.rules.left_machining import machined_left
from brakelog.rules.left_parts import baselines, is_ours, limits_open, parts_left, said_wrong
from brakelog.rules.left_people import by_whom
from brakelog.rules.left_sizes import sizes_left
from brakelog.rules.left_torques import WheelOrder, torques_left, wheel_orders
from brakelog.rules.new_part import notes_on_new_parts
from brakelog.rules.recheck import Recheck, rechecks, uneven_axles
from brakelog.rules.refusal import refusal_of
from brakelog.rules.unfiled import going_on, unfiled_count
from brakelog.rules.verdict import Because, PartVerdict, Reason, VehicleVerdict
from brakelog.rules.worked import is_work, worked_axles


class Status(enum.Enum):
    """Where a job stands."""

    NO_WORK = "no work"
    """The visit only inspected: there is nothing to finish."""
    NOT_FINISHED = "not finished"
    FINISHED = "finished"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingRecord:
    """What was recorded about the end of one visit, oldest first."""

    answers: tuple[ClosingAnswer, ...] = ()
    torques: tuple[TorqueLeft, ...] = ()
    wanted: tuple[Torque, ...] = ()
    """Torques on the vehicle's sheet."""
    agreements: tuple[Agreement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Declined:
    """Required work that the customer declined and that is still required."""

    part: PartVerdict
    reason: Reason
    agreement: Agreement

    @property
    def corner(self) -> Corner:
        """Where it is."""
        return self.part.corner

    @property
    def is_unsafe(self) -> bool:
        """Whether the part is out of a safety limit or condemned: not to be driven on."""
        return self.reason.because in (Because.BEYOND_LIMIT, Because.CONDEMNED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The state of a job at its end."""

    status: Status
    open: tuple[OpenItem, ...] = ()
    """Named blanks and failures, in the order of the hand."""
    declined: tuple[Declined, ...] = ()
    rechecks: tuple[Recheck, ...] = ()
    orders: tuple[WheelOrder, ...] = ()
    notes: tuple[str, ...] = ()
    """Worth knowing; keeps nothing open."""
    record: ClosingRecord = ClosingRecord()
    earlier: date | None = None
    """Day of the last earlier visit with work, where that job was not finished."""

    @property
    def is_preliminary(self) -> bool:
        """Whether nothing may be handed out as final."""
        return self.status is Status.NOT_FINISHED

    @property
    def bedding_in(self) -> str:
        """``shop`` or ``customer``; empty where nobody said, or nothing is to be bedded in."""
        said = newest_answer(self.record.answers, Check.BEDDING_IN, None)
        return said.said if said is not None and said.is_good else ""


def close(left: VehicleVerdict, found: VehicleVerdict, record: ClosingRecord) -> Closing:
    """Judge what is still open about the work of a visit; never raises on data.

    Parameters
    ----------
    left : VehicleVerdict
        The verdict of the visit as left; as found where nothing was worked on.
    found : VehicleVerdict
        The verdict as found: how unevenly the parts had worn that came off.
    record : ClosingRecord
        Torques, answered checks and agreements of that visit, and the sheet's torques.

    Notes
    -----
    Only what is typed is looked at: a job is finished when nothing is blank and nothing failed.
    """
    file = left.file
    refused = tuple(_declined(left, record.agreements))
    if not is_work(file):
        return Closing(status=Status.NO_WORK, declined=refused, record=record)
    items = sorted(_items(left, found, record), key=lambda each: each.hand)
    return Closing(
        status=Status.NOT_FINISHED if items else Status.FINISHED,
        open=tuple(items),
        declined=refused,
        rechecks=tuple(rechecks(found, record.answers)),
        orders=wheel_orders(file),
        notes=tuple(notes_on_new_parts(left)),
        record=record,
    )


def _items(
    left: VehicleVerdict, found: VehicleVerdict, record: ClosingRecord
) -> Iterator[OpenItem]:
    file = left.file
    if file.unfiled:
        yield _unfiled(file)
    for axle in worked_axles(file):
        yield from sizes_left(found, axle, record.answers)
        yield from machined_left(left, found, axle, record.answers)
        yield from baselines(left, axle)
    yield from parts_left(left, record.agreements)
    yield from limits_open(left)
    yield from said_wrong(file)
    yield from torques_left(file, record.torques, record.wanted, record.answers)
    yield from checks_left(file, record.answers, uneven_axles(found))
    yield from driven(file, record.answers)
    yield from agreements_open(file, record.agreements)
    yield from by_whom(file, record.answers, record.torques)


def _unfiled(file: CaseFile) -> OpenItem:
    return OpenItem(
        gap=Gap.UNFILED,
        hand=Hand.ENTRY,
        text=f"Entry was interrupted: {unfiled_count(file)} not filed yet",
        do=f"go on with: {going_on(file)}",
    )


def _declined(left: VehicleVerdict, agreements: tuple[Agreement, ...]) -> Iterator[Declined]:
    for part in left.parts:
        for reason in part.required:
            refusal = refusal_of(left, part, reason, agreements)
            if refusal is not None and not is_ours(left, part, reason):
                yield Declined(part=part, reason=reason, agreement=refusal)
