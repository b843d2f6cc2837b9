"""The customer's summary: plain words, what was measured, what it means, when to come back."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from brakelog.lengths import DistanceUnit
from brakelog.record.corner import Corner, Side, axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.people import Customer
from brakelog.record.quantity import Part, Position
from brakelog.reports.plain import WIDTH, Line, as_text, shown, wrapped
from brakelog.rules.figure import both_units, distance
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.lives import PositionLife
from brakelog.rules.part import next_planned_mm
from brakelog.rules.verdict import (
    AxleVerdict,
    Because,
    Grounds,
    PartVerdict,
    Reason,
    VehicleVerdict,
    Word,
    gravity,
)
from brakelog.wear.projection import Note, Refusal, at_least_rounded_mm

_NAMES = {
    Part.PADS: "brake pads",
    Part.ROTOR: "brake discs",
    Part.SHOES: "brake shoes",
    Part.DRUM: "brake drums",
}
_ONE = {
    Part.PADS: "brake pads",
    Part.ROTOR: "brake disc",
    Part.SHOES: "brake shoes",
    Part.DRUM: "brake drum",
}
_SIDES = {Side.LEFT: "left", Side.RIGHT: "right"}
_UNSAFE = frozenset(
    {
        FindingKind.CRACK,
        FindingKind.DELAMINATION,
        FindingKind.METAL_CONTACT,
        FindingKind.LEAK,
        FindingKind.CHUNKED,
        FindingKind.LOOSE_RIVETS,
    }
)
"""Findings with which a car should not be driven: common practice."""


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
    """``Required``, ``Suggested``, ``Could not be judged`` or ``In limits``."""
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """Everything on the customer's page, in its order."""

    title: str
    subtitle: str
    customer: str
    shop: str
    warning: str
    know: tuple[str, ...]
    measured: tuple[Measured, ...]
    meanings: tuple[Meaning, ...]
    done: tuple[str, ...]
    watch: tuple[str, ...]
    back: str
    footer: str


FOOTER = (
    "This page is arithmetic on what was measured; a qualified person decides, and the "
    "inspection law of your place applies."
)
_STOP = (
    "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
    "stop and call us, whatever this page says."
)
_ESTIMATE = "The distances above are estimates from past driving, no promise."


def customer_summary(verdict: VehicleVerdict, customer: Customer | None) -> Summary:
    """Return the customer's summary of a verdict."""
    file = verdict.file
    visit, shop = file.visit, file.shop
    seen = distance(visit.odometer_mm, visit.odometer_unit)
    return Summary(
        title="Your brakes",
        subtitle=shown(
            f"{file.vehicle.description or file.vehicle.tag}, {visit.day.isoformat()}, {seen}"
            + (", after our work" if file.stage.value == "as left" else "")
        ),
        customer=shown(customer.name) if customer else "",
        shop=shown(shop.name),
        warning=_warning(verdict),
        know=tuple(_know(verdict)),
        measured=tuple(_measured(verdict)),
        meanings=tuple(_meaning(verdict, axle) for axle in verdict.axles),
        done=tuple(_done(verdict)),
        watch=tuple(_watch(verdict)),
        back=_back(verdict),
        footer=FOOTER,
    )


def _place(corner: Corner) -> str:
    side, axle = _SIDES[corner.side], axle_name(corner.axle)
    return f"{side} {axle}" if corner.axle <= 2 else f"{side} side of {axle}"


def _axle_parts(axle: int, part: Part) -> str:
    return f"{axle_name(axle)} {_NAMES[part]}"


def _warning(verdict: VehicleVerdict) -> str:
    unsafe = [
        f"{_place(part.corner)}: {reason.finding.kind.facts.plain}"
        for part in verdict.parts
        for reason in part.reasons
        if reason.finding is not None and reason.finding.kind in _UNSAFE
    ]
    if not unsafe:
        return ""
    return (
        "Please do not drive this vehicle until its brakes have been put right "
        f"({'; '.join(dict.fromkeys(unsafe))})."
    )


def _know(verdict: VehicleVerdict) -> list[str]:
    required = _work(verdict, Grounds.REQUIRED)
    suggested = _work(verdict, Grounds.SUGGESTED)
    sentences = []
    if required:
        sentences.append(
            f"Needed now: {'; '.join(required)}. If that cannot be done now, ask us before you "
            f"drive."
        )
    if suggested:
        lead = "In limits today, but we suggest" if _are_in(verdict) else "We suggest"
        sentences.append(
            f"{lead}: {'; '.join(suggested)}."
            + ("" if required or verdict.not_judged else " Nothing has to be done today.")
        )
    open_parts = _both_sides(
        [p for p in verdict.not_judged if not any(r.word is Word.REPLACE for r in p.required)]
    )
    if open_parts:
        sentences.append(
            f"We cannot say yet whether these are in limits: {_and(list(open_parts))}."
        )
    if not sentences:
        sentences.append("Everything that we measured on your brakes is in limits.")
    return sentences


def _are_in(verdict: VehicleVerdict) -> bool:
    """Whether all that is suggested is proven in limits today."""
    return all(
        each.outcome is Outcome.IN
        for part in verdict.suggested
        for each in part.judgements
        if each.measure.facts.is_safety
    )


_DO = {
    Word.REPLACE: "replace",
    Word.REFINISH: "refinish",
    Word.CORRECT: "put right",
}


def _work(verdict: VehicleVerdict, grounds: Grounds) -> list[str]:
    """Return what is to be done on one of the two grounds, never mixed with the other."""
    work: list[str] = []
    for word in (Word.REPLACE, Word.REFINISH):
        parts = [part for part in verdict.parts if _goes(part, word, grounds)]
        work += [f"{_DO[word]} the {name}" for name in _both_sides(parts)]
    if grounds is Grounds.REQUIRED:
        for part in verdict.parts:
            work += [
                f"put right at the {_place(part.corner)}: {_what_is_wrong(part, reason)}"
                for reason in part.required
                if reason.word is Word.CORRECT
            ]
    return work


def _goes(part: PartVerdict, word: Word, grounds: Grounds) -> bool:
    """Whether the gravest reason to change the part is this word on these grounds."""
    going = [r for r in part.reasons if r.word in (Word.REPLACE, Word.REFINISH)]
    gravest = min(going, key=lambda r: gravity(r.word, r.grounds), default=None)
    return gravest is not None and (gravest.word, gravest.grounds) == (word, grounds)


def _what_is_wrong(part: PartVerdict, reason: Reason) -> str:
    if reason.finding is not None:
        return reason.finding.kind.facts.plain
    return f"the {_ONE[part.part]} does not run true"


def _both_sides(parts: list[PartVerdict]) -> list[str]:
    """Name parts by axle where both sides are among them, else by corner."""
    names = []
    for part in parts:
        twin = any(p.corner == part.corner.mate and p.part is part.part for p in parts)
        if twin:
            names.append(_axle_parts(part.corner.axle, part.part))
        else:
            names.append(f"{_place(part.corner)} {_ONE[part.part]}")
    return list(dict.fromkeys(names))


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


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
        place=_place(part.corner),
        name=position.label if position else part.part.value,
        today=both_units(judgement.value_nm, shop, fine=fine, against=limits),
        limit=_limit_text(judgement),
        before="" if before is None else both_units(before, shop, fine=fine, against=limits),
        bar=_bar(part, position, judgement, before),
    )


def _limit_text(judgement: Judgement) -> str:
    if judgement.bound.strictest is not None:
        return shown(judgement.bound.strictest.limit.as_printed)
    return "not on file" if not judgement.bound.limits else "not settled yet"


def _bar(
    part: PartVerdict, position: Position | None, judgement: Judgement, before: int | None
) -> Bar | None:
    """Draw linings and rotors; a drum is too large for paper at actual size."""
    if part.part is Part.DRUM or judgement.value_nm is None or position is None:
        return None
    limit = judgement.bound.strictest
    size = judgement.value_nm / 1e6
    widest = max(size, (before or 0) / 1e6, limit.nm / 1e6 if limit else 0.0)
    against = f", limit {limit.limit.as_printed}" if limit else ""
    return Bar(
        size_mm=f"{size:.3f}",
        limit_mm=f"{limit.nm / 1e6:.3f}" if limit else "",
        previous_mm="" if before is None else f"{before / 1e6:.3f}",
        width_mm=f"{widest + 2:.1f}",
        alt=shown(f"{_place(part.corner)} {position.label}: {size:.2f} mm{against}"),
    )


def _meaning(verdict: VehicleVerdict, axle: AxleVerdict) -> Meaning:
    sides = [p for p in verdict.parts if p.corner.axle == axle.axle and p.part is axle.part]
    kind = {
        Grounds.REQUIRED: "Required",
        Grounds.SUGGESTED: "Suggested",
    }.get(axle.grounds or Grounds.REQUIRED, "")
    if axle.grounds is None:
        kind = "In limits" if axle.word is Word.REUSE else "Could not be judged"
    sentences: list[str] = []
    for side in sides:
        for sentence in _plain_reasons(side):
            if sentence not in sentences:
                sentences.append(sentence)
    if axle.grounds is Grounds.REQUIRED and any(s.grounds is Grounds.SUGGESTED for s in sides):
        sentences.append("The other side is suggested only: both sides of an axle go together.")
    if axle.grounds is not Grounds.REQUIRED:
        sentences.extend(_wait(verdict, sides, is_suggested=axle.grounds is Grounds.SUGGESTED))
    return Meaning(
        name=_axle_parts(axle.axle, axle.part).capitalize(),
        kind=kind,
        sentences=tuple(shown(each) for each in sentences),
    )


def _plain_reasons(part: PartVerdict) -> list[str]:
    return [
        sentence for sentence in (_plain(part, n) for n in range(len(part.reasons))) if sentence
    ]


def _plain(part: PartVerdict, index: int) -> str:
    reason = part.reasons[index]
    if index and part.word is Word.REPLACE and reason.word in (Word.MEASURE_AGAIN, Word.NO_VERDICT):
        return ""
    place = _place(part.corner).capitalize()
    match reason.because:
        case Because.CONDEMNED | Because.PUT_RIGHT if reason.finding is not None:
            return f"{place}: {reason.finding.kind.facts.plain}."
        case Because.BEYOND_LIMIT:
            return (
                f"{place}: it is at or past the limit that its maker sets and must be replaced now."
            )
        case Because.IN_QUESTION | Because.NOT_PROVEN:
            return f"{place}: a reading must be taken again before we can say."
        case Because.LIMIT_MISSING | Because.LIMIT_CONTRADICTS:
            if all(each.value_nm is None for each in part.judgements):
                return f"{place}: not inspected this time."
            return "We have no dependable limit for this part yet; we will not guess one."
        case Because.NOT_INSPECTED:
            return f"{place}: not inspected this time."
        case Because.CUT_POSSIBLE:
            return f"{place}: its surface is out of limits and can be machined true."
        case Because.CUT_IMPOSSIBLE:
            return f"{place}: its surface is out of limits and too little is left to machine it."
        case Because.CUT_LIMIT_UNKNOWN:
            return f"{place}: its surface is out of limits; its maker states no size to machine to."
        case Because.PUT_RIGHT:
            return f"{place}: it does not run true; it may stay once that is put right."
        case Because.WILL_NOT_LAST:
            is_in = reason.judgement is not None and reason.judgement.outcome is Outcome.IN
            return (
                f"{place}: {'in limits today, but ' if is_in else ''}it may not last until your "
                f"next planned visit."
            )
        case Because.WORN_TO_OLD_DRUM:
            return "Shoes that are worn to the old drum will not seat in a new one."
        case _:
            return ""


def _wait(verdict: VehicleVerdict, sides: list[PartVerdict], *, is_suggested: bool) -> list[str]:
    """Return the honest range of the part that ends first, in plain words."""
    unit = verdict.file.shop.distance_unit
    lives = [life for side in sides for life in side.lives]
    if any(life.projection.refusal is Refusal.AT_LIMIT for life in lives):
        return []
    if any(life.projection.refusal is Refusal.WITHIN_ERROR for life in lives):
        return ["It is so close to its limit that no safe distance can be stated."]
    stated = [life for life in lives if life.projection.at_least_mm]
    if not stated:
        return []
    first = min(stated, key=lambda life: life.projection.at_least_mm or 0)
    text = _range(first, unit)
    return [f"{'If you wait' if is_suggested else 'Expected to go'}: {text}"] if text else []


def _range(life: PositionLife, unit: DistanceUnit) -> str:
    projection = life.projection
    least_mm = at_least_rounded_mm(projection, unit.mm)
    if not least_mm:
        return "it is so close to its limit that no safe distance can be stated."
    least = distance(least_mm, unit)
    text = f"counted from this visit, 9 of 10 such vehicles get at least {least} more"
    step = 1000 * unit.mm
    is_far = Note.FAR_EXTRAPOLATION in projection.notes
    if projection.latest_mm is not None and life.is_lining and not is_far:
        latest = distance(round(projection.latest_mm / step) * step, unit)
        text += f", few get more than {latest}"
    if Note.NOMINAL_START in projection.notes or Note.NO_START in projection.notes:
        text += " (the size when new was not measured)"
    return f"{text}."


_DID = {
    FittingEvent.NEW: "fitted new",
    FittingEvent.USED: "fitted used",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.MOVED: "moved",
    FittingEvent.REMOVED: "removed",
}


def _done(verdict: VehicleVerdict) -> list[str]:
    here = [f for f in verdict.file.fittings if f.visit_id == verdict.file.visit.id]
    return [_fitted(each) for each in here]


def _fitted(fitting: Fitting) -> str:
    size = f", {fitting.size_nm / 1e6:.2f} mm {fitting.basis.value}" if fitting.size_nm else ""
    return f"{_place(fitting.corner).capitalize()} {fitting.position.label}: " + shown(
        f"{_DID[fitting.event]}{size}."
    )


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


def _back(verdict: VehicleVerdict) -> str:
    """Return when to come back: before the first part may run out, if that is sooner."""
    file, unit = verdict.file, verdict.file.shop.distance_unit
    planned_mm = next_planned_mm(file)
    months = file.visit.next_months or file.shop.next_months
    planned = f"after {distance(planned_mm, unit)} or {months} months, whichever is first"
    if verdict.required:
        return "Have what is needed now put right first. The next planned visit is then " + (
            f"{planned}."
        )
    bounds = [
        at_least_rounded_mm(life.projection, unit.mm)
        for part in verdict.suggested
        for life in part.lives
        if life.projection.at_least_mm is not None
    ]
    if verdict.suggested and not bounds:
        return f"Ask us when to come back; that is sooner than the planned visit {planned}."
    if bounds and min(bounds) < planned_mm:
        sooner = distance(min(bounds), unit)
        when = f"within {sooner}" if min(bounds) else "as soon as you can"
        return (
            f"Unless the suggested work is done before, come back {when}. Once it is done, the "
            f"next planned visit is {planned}."
        )
    return f"Your next planned visit is {planned}."


def summary_text(summary: Summary) -> str:
    """Return the summary as plain text, for mail and messages."""
    lines = [Line(text=summary.title), Line(text=summary.subtitle)]
    if summary.customer:
        lines.append(Line(text=f"For {summary.customer}"))
    if summary.warning:
        lines += [Line(), *wrapped(summary.warning.upper(), width=WIDTH)]
    for title, sentences in (
        ("What you should know", summary.know),
        ("What we measured", tuple(_measured_text(each) for each in summary.measured)),
    ):
        lines += [Line(), Line(text=title)]
        for sentence in sentences:
            lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), Line(text="What it means")]
    for meaning in summary.meanings:
        lines += wrapped(
            f"{meaning.name}: {meaning.kind.lower()}. {' '.join(meaning.sentences)}",
            first="  - ",
            rest="    ",
        )
    if summary.done:
        lines += [Line(), Line(text="What we did")]
        for sentence in summary.done:
            lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), Line(text="What to watch for")]
    for sentence in summary.watch:
        lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), Line(text="When to come back"), *wrapped(summary.back, first="  ")]
    lines += [Line(), *wrapped(summary.footer)]
    if summary.shop:
        lines.append(Line(text=summary.shop))
    return as_text(lines)


def _measured_text(row: Measured) -> str:
    before = f", last time {row.before}" if row.before else ""
    return f"{row.place} {row.name}: {row.today}, limit {row.limit}{before}"


def summary_page(summary: Summary) -> str:
    """Return the summary as one self-contained HTML page."""
    from pathlib import Path

    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("customer.html").render(summary=summary)


def summary_document(summary: Summary) -> dict[str, object]:
    """Return the facts of the page for machines."""
    return {"format": "brakelog.summary/1", **asdict(summary)}
