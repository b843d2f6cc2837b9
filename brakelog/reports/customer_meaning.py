"""What the measurements mean, axle by axle: required and suggested apart."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.corner import axle_name
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position
from brakelog.record.shop import Shop
from brakelog.reports.closing_words import declined_when
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import axle_parts, place_of
from brakelog.reports.plain_reasons import (
    fitted_today,
    plain_reason,
    plain_reasons,
    what_to_look_for,
)
from brakelog.rules.closing import Closing
from brakelog.rules.figure import both_units
from brakelog.rules.refusal import declined
from brakelog.rules.verdict import (
    AxleVerdict,
    Because,
    Grounds,
    PartVerdict,
    VehicleVerdict,
    Word,
)

KINDS = ("Required", "Suggested", "Could not be judged", "Fitted", "In limits")
"""What is said of the parts of an axle, the gravest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What it means for one kind of part of an axle."""

    name: str
    kind: str
    """One of ``KINDS``."""
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleMeaning:
    """What it means for one axle."""

    axle: str
    name: str
    meanings: tuple[Meaning, ...]
    """The gravest first."""


def axle_meanings(verdict: VehicleVerdict, closing: Closing) -> tuple[AxleMeaning, ...]:
    """Return what it means for every axle, from the front."""
    axles = dict.fromkeys(each.axle for each in verdict.axles)
    return tuple(_axle(verdict, axle, closing) for axle in axles)


def _axle(verdict: VehicleVerdict, axle: int, closing: Closing) -> AxleMeaning:
    meanings = [_meaning(verdict, each, closing) for each in verdict.axles if each.axle == axle]
    name = axle_name(axle).capitalize()
    return AxleMeaning(
        axle=axle_name(axle),
        name=name if "axle" in name.lower() else f"{name} axle",
        meanings=tuple(sorted(meanings, key=lambda each: KINDS.index(each.kind))),
    )


def _meaning(verdict: VehicleVerdict, axle: AxleVerdict, closing: Closing) -> Meaning:
    sides = [p for p in verdict.parts if p.corner.axle == axle.axle and p.part is axle.part]
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
    sentences += _declined_suggestions(sides, closing)
    return Meaning(
        name=axle_parts(axle.axle, axle.part).capitalize(),
        kind=_kind(verdict, axle, sides),
        sentences=tuple(shown(each) for each in sentences),
    )


def _kind(verdict: VehicleVerdict, axle: AxleVerdict, sides: list[PartVerdict]) -> str:
    if axle.grounds is not None:
        return "Required" if axle.grounds is Grounds.REQUIRED else "Suggested"
    if axle.word is Word.REUSE:
        return "In limits"
    if axle.word is Word.NO_VERDICT and all(
        side.word is Word.REUSE or fitted_today(verdict, side) for side in sides
    ):
        return "Fitted"
    return "Could not be judged"


def _why(verdict: VehicleVerdict, side: PartVerdict) -> list[str]:
    """Return why a part is judged so; of one fitted today, its size instead of what is missing."""
    fitted = fitted_today(verdict, side)
    if not fitted:
        return plain_reasons(side)
    sizes = " and ".join(dict.fromkeys(_size(each, verdict.file.shop) for each in fitted))
    rest = [plain_reason(side, r) for r in side.reasons if r.because is not Because.NOT_INSPECTED]
    place = place_of(side.corner).capitalize()
    return [f"{place}: measured when it was fitted today, {sizes}.", *rest]


def _size(fitting: Fitting, shop: Shop) -> str:
    return both_units(fitting.size_nm or 0, shop, fine=fitting.position is Position.ROTOR)


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
