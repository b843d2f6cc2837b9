"""The facts of the customer's summary, in the order of the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.record.closing import Check
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.people import Customer
from brakelog.record.quantity import Part, Position
from brakelog.record.shop import Shop
from brakelog.reports.closing_words import (
    declined_when,
    plain_declined,
    plain_open,
    plain_put_right,
    plain_recheck,
)
from brakelog.reports.outlook import what_if_you_wait, when_to_come_back
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import ONE_PART, POSITION_NAMES, axle_parts, place_of
from brakelog.reports.plain_reasons import (
    fitted_today,
    plain_reason,
    plain_reasons,
    warning_of,
    what_to_know,
    what_to_look_for,
)
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.closing_item import Gap
from brakelog.rules.figure import both_units, distance, one_unit
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.left_sizes import size_found
from brakelog.rules.refusal import declined
from brakelog.rules.verdict import (
    AxleVerdict,
    Because,
    Grounds,
    PartVerdict,
    VehicleVerdict,
    Word,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One lining or rotor, to be drawn at actual size."""

    size_mm: str
    limit_mm: str
    previous_mm: str
    width_mm: str
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One row of what was measured."""

    place: str
    name: str
    today: str
    limit: str
    before: str
    bar: Bar | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What it means for the parts of one axle."""

    name: str
    kind: str
    """``Required``, ``Suggested``, ``Could not be judged``, ``Fitted`` or ``In limits``."""
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """Everything on the customer's page, in its order."""

    title: str
    subtitle: str
    customer: str
    shop: str
    warning: str
    open: tuple[str, ...]
    """What keeps the job open; while there is anything, the page is preliminary."""
    know: tuple[str, ...]
    measured: tuple[Measured, ...]
    meanings: tuple[Meaning, ...]
    done: tuple[str, ...]
    declined: tuple[str, ...]
    """Needed work that was declined; to be signed for."""
    watch: tuple[str, ...]
    back: str
    footer: str

    @property
    def is_preliminary(self) -> bool:
        """Whether the page must not be taken for the final one."""
        return bool(self.open)

    @property
    def has_before(self) -> bool:
        """Whether anything is known of the last time."""
        return any(row.before for row in self.measured)


FOOTER = (
    "This page is arithmetic on what was measured; a qualified person decides, and the "
    "inspection law of your place applies."
)


_STOP = (
    "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
    "stop and call us, whatever this page says."
)


_BEDDING_IN = (
    "Your new parts have to bed in, and that is left to you: on a clear road slow down about 20 "
    "times, gently, from 50 to 15 km/h (30 to 10 mph), with half a minute of driving between."
)
"""Common practice; the trade's texts name 8 to 30 gentle stops from about 50 km/h."""


_ESTIMATE = "The distances above are estimates from past driving, no promise."


def customer_summary(
    verdict: VehicleVerdict,
    customer: Customer | None,
    *,
    today: date | None = None,
    closing: Closing | None = None,
) -> Summary:
    """Return the customer's summary of a verdict; says where its readings are too old.

    While the job that ``closing`` is about is not finished, the page is headed preliminary and
    says what is open.
    """
    file = verdict.file
    visit, shop = file.visit, file.shop
    seen = distance(visit.odometer_mm, visit.odometer_unit)
    closing = closing or Closing(status=Status.NO_WORK)
    open_ones = plain_open(file, closing)
    return Summary(
        title="Preliminary: your brakes" if open_ones else "Your brakes",
        subtitle=shown(
            f"{file.vehicle.description or file.vehicle.tag}, {visit.day.isoformat()}, {seen}"
            + (", after our work" if file.stage.value == "as left" else "")
        ),
        customer=shown(customer.name) if customer else "",
        shop=shown(", ".join(text for text in (shop.name, shop.phone) if text)),
        warning=" ".join(
            text
            for text in (warning_of(verdict), _unfinished_stop(closing), _declined_stop(closing))
            if text
        ),
        open=tuple(shown(each) for each in open_ones),
        know=(*_earlier(closing), *_stale(verdict, today), *what_to_know(verdict)),
        measured=tuple(_measured(verdict)),
        meanings=tuple(_meaning(verdict, axle, closing) for axle in verdict.axles),
        done=tuple(_done(verdict)),
        declined=tuple(shown(plain_declined(each)) for each in closing.declined),
        watch=(*_bedding(closing), *_watch(verdict)),
        back=_back(verdict, closing),
        footer=FOOTER,
    )


def _back(verdict: VehicleVerdict, closing: Closing) -> str:
    dated = [plain_recheck(verdict.file, each) for each in closing.rechecks]
    planned = when_to_come_back(verdict, is_dated=bool(dated))
    return " ".join(text for text in (*dated, planned) if text)


_NOT_TO_BE_DRIVEN = frozenset({Gap.NOTHING_FITTED, Gap.SIZE_OUT})
_FIRST_STOP = frozenset({Check.PEDAL_FIRM, Check.NO_LEAK, Check.TIGHTENED})
"""What has to be right before a vehicle moves: common practice."""


def _unfinished_stop(closing: Closing) -> str:
    """Stop the vehicle while something is open that the first stop depends on.

    So does every torque: a caliper or bracket that is loose comes off like a wheel.
    """
    if any(
        item.gap in _NOT_TO_BE_DRIVEN or item.check in _FIRST_STOP or item.fastener
        for item in closing.open
    ):
        return "Please do not drive this vehicle before we have finished it."
    return ""


def _declined_stop(closing: Closing) -> str:
    """Stop the vehicle where a part that is past its limit was left on it."""
    unsafe = [
        f"{place_of(each.corner)} {ONE_PART[each.part.part]}"
        for each in closing.declined
        if each.is_unsafe
    ]
    if not unsafe:
        return ""
    return (
        "Please do not drive this vehicle: needed work was declined "
        f"({'; '.join(dict.fromkeys(unsafe))})."
    )


def _bedding(closing: Closing) -> tuple[str, ...]:
    """Say how new linings are bedded in, where that was left to the customer."""
    return (_BEDDING_IN,) if closing.bedding_in == "customer" else ()


def _earlier(closing: Closing) -> tuple[str, ...]:
    """Say that the work of an earlier visit was not finished."""
    if closing.earlier is None:
        return ()
    day = closing.earlier.isoformat()
    return (f"Our work of {day} is not finished on our record; please let us look at it again.",)


def _stale(verdict: VehicleVerdict, today: date | None) -> tuple[str, ...]:
    if today is None or not verdict.is_stale(today):
        return ()
    months = verdict.months_old(today)
    return (f"This is how your brakes were {months} months ago; have them measured again.",)


def _measured(verdict: VehicleVerdict) -> list[Measured]:
    rows = []
    for part in verdict.parts:
        for judgement in part.judgements:
            if judgement.measure.facts.is_safety and judgement.value_nm is not None:
                rows.append(_row(verdict, part, judgement))
    return rows


def _row(verdict: VehicleVerdict, part: PartVerdict, judgement: Judgement) -> Measured:
    shop = verdict.file.shop
    assert judgement.value_nm is not None
    position = judgement.measure.facts.position
    fine = part.part is Part.ROTOR
    limits = [figure.nm for figure in judgement.bound.figures]
    life = next((each for each in part.lives if each.position is position), None)
    before = life.previous_nm if life else None
    return Measured(
        place=place_of(part.corner),
        name=POSITION_NAMES[position] if position else part.part.value,
        today=_today(judgement, shop, fine=fine, against=limits),
        limit=_limit_text(judgement),
        before="" if before is None else both_units(before, shop, fine=fine, against=limits),
        bar=_bar(part, position, judgement, before, shop),
    )


def _today(judgement: Judgement, shop: Shop, *, fine: bool, against: list[int]) -> str:
    """Return the reading, and what was judged where that is another figure."""
    assert judgement.value_nm is not None
    text = both_units(judgement.value_nm, shop, fine=fine, against=against)
    if judgement.corrections and judgement.judged_nm is not None:
        judged = one_unit(judgement.judged_nm, shop, fine=fine, against=against)
        text += f", corrected {judged}"
    if judgement.outcome is Outcome.OUT:
        text += ", at its limit" if judgement.margin_nm == 0 else ", past its limit"
    return text


def _limit_text(judgement: Judgement) -> str:
    if judgement.bound.strictest is not None:
        return shown(judgement.bound.printed(judgement.bound.strictest))
    return "not on file" if not judgement.bound.limits else "not settled yet"


def _bar(
    part: PartVerdict,
    position: Position | None,
    judgement: Judgement,
    before: int | None,
    shop: Shop,
) -> Bar | None:
    """Draw linings and rotors; a drum is too large for paper at actual size."""
    if part.part is Part.DRUM or judgement.value_nm is None or position is None:
        return None
    limit = judgement.bound.strictest
    size = judgement.value_nm / 1e6
    widest = max(size, (before or 0) / 1e6, limit.nm / 1e6 if limit else 0.0)
    against = f", limit {judgement.bound.printed(limit)}" if limit else ""
    fine = part.part is Part.ROTOR
    limits = [figure.nm for figure in judgement.bound.figures]
    read = both_units(judgement.value_nm, shop, fine=fine, against=limits)
    return Bar(
        size_mm=f"{size:.3f}",
        limit_mm=f"{limit.nm / 1e6:.3f}" if limit else "",
        previous_mm="" if before is None else f"{before / 1e6:.3f}",
        width_mm=f"{widest + 2:.1f}",
        alt=shown(f"{place_of(part.corner)} {POSITION_NAMES[position]}: {read}{against}"),
    )


def _meaning(verdict: VehicleVerdict, axle: AxleVerdict, closing: Closing) -> Meaning:
    sides = [p for p in verdict.parts if p.corner.axle == axle.axle and p.part is axle.part]
    kind = {
        Grounds.REQUIRED: "Required",
        Grounds.SUGGESTED: "Suggested",
    }.get(axle.grounds or Grounds.REQUIRED, "")
    if axle.grounds is None:
        kind = "In limits" if axle.word is Word.REUSE else "Could not be judged"
    if axle.word is Word.NO_VERDICT and all(
        side.word is Word.REUSE or fitted_today(verdict, side) for side in sides
    ):
        kind = "Fitted"
    sentences: list[str] = []
    for side in sides:
        for sentence in _why(verdict, side):
            if sentence not in sentences:
                sentences.append(sentence)
    look_for = what_to_look_for(verdict, axle.axle, axle.part)
    if look_for:
        sentences.append(look_for)
    if axle.grounds is Grounds.REQUIRED and any(s.grounds is Grounds.SUGGESTED for s in sides):
        sentences.append("The other side is suggested only: both sides of an axle go together.")
    if axle.grounds is not Grounds.REQUIRED:
        sentences.extend(
            what_if_you_wait(verdict, sides, is_suggested=axle.grounds is Grounds.SUGGESTED)
        )
    sentences += _declined_suggestions(sides, closing)
    return Meaning(
        name=axle_parts(axle.axle, axle.part).capitalize(),
        kind=kind,
        sentences=tuple(shown(each) for each in sentences),
    )


def _declined_suggestions(sides: list[PartVerdict], closing: Closing) -> list[str]:
    """Say of what is only suggested that the customer declined it; each refusal once."""
    refused: dict[str, list[PartVerdict]] = {}
    suggested = [side for side in sides if side.grounds is Grounds.SUGGESTED]
    for side in suggested:
        for reason in side.reasons:
            no = declined(side, reason, closing.record.agreements)
            if reason.grounds is Grounds.SUGGESTED and no is not None:
                at = refused.setdefault(declined_when(no), [])
                at += [side] if side not in at else []
    return [
        f"You declined this {when}."
        if len(at) == len(suggested)
        else f"{place_of(at[0].corner).capitalize()}: you declined this {when}."
        for when, at in refused.items()
    ]


def _why(verdict: VehicleVerdict, side: PartVerdict) -> list[str]:
    """Return why a part is judged so; of one fitted today, its size instead of what is missing."""
    fitted = fitted_today(verdict, side)
    if not fitted:
        return plain_reasons(side)
    sizes = " and ".join(dict.fromkeys(_size(each, verdict.file.shop) for each in fitted))
    rest = [plain_reason(side, r) for r in side.reasons if r.because is not Because.NOT_INSPECTED]
    place = place_of(side.corner).capitalize()
    return [f"{place}: measured when it was fitted today, {sizes}.", *rest]


_DID = {
    FittingEvent.NEW: "fitted new",
    FittingEvent.USED: "fitted used",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.MOVED: "moved",
    FittingEvent.REMOVED: "removed",
}


def _done(verdict: VehicleVerdict) -> list[str]:
    """Return what was fitted, with its size and the one before the work, and what was put right."""
    file = verdict.file
    here = [f for f in file.fittings if f.visit_id == file.visit.id]
    right = [each for each in file.findings if each.put_right]
    return [
        *(_fitted(each, file) for each in here),
        *(shown(plain_put_right(each)) for each in right),
    ]


def _fitted(fitting: Fitting, file: CaseFile) -> str:
    size = f", {_size(fitting, file.shop)} {fitting.basis.value}" if fitting.size_nm else ""
    found = size_found(file, fitting.corner, fitting.position)
    fine = fitting.position is Position.ROTOR
    before = "" if found is None else f"; before {both_units(found, file.shop, fine=fine)}"
    return f"{place_of(fitting.corner).capitalize()} {POSITION_NAMES[fitting.position]}: " + shown(
        f"{_DID[fitting.event]}{size}{before}."
    )


def _size(fitting: Fitting, shop: Shop) -> str:
    return both_units(fitting.size_nm or 0, shop, fine=fitting.position is Position.ROTOR)


def _watch(verdict: VehicleVerdict) -> list[str]:
    sentences = [_STOP]
    if any(life.projection.at_least_mm for part in verdict.parts for life in part.lives):
        sentences.insert(0, _ESTIMATE)
    fitted = any(f.visit_id == verdict.file.visit.id for f in verdict.file.fittings)
    if fitted:
        sentences.append(
            "Parts were changed: drive gently and avoid hard stops where you safely can for the "
            "first 300 km (200 miles), and have the wheel fasteners re-tightened after 50 to "
            "100 km (30 to 60 miles)."
        )
    linings = [p for p in verdict.parts if p.part in (Part.PADS, Part.SHOES)]
    if any(p.grounds is not None for p in linings) and not fitted:
        sentences.append("Do not top up brake fluid; call us instead.")
    return sentences
