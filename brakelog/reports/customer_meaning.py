"""What the measurements mean, axle by axle: required and suggested apart."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.corner import axle_name
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position
from brakelog.record.shop import Shop
from brakelog.reports.closing_words import declined_when
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import axle_parts, brakes_of, place_of
from brakelog.reports.plain_reasons import (
    fitted_today,
    goes_along,
    measured_when_fitted,
    plain_reason,
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
    Reason,
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
    said = _Said()
    for each in verdict.axles:
        if each.axle == axle:
            _say_part(verdict, each, closing, said)
    name = axle_name(axle).capitalize()
    return AxleMeaning(
        axle=axle_name(axle),
        name=name if "axle" in name.lower() else f"{name} axle",
        meanings=said.in_order(),
    )


class _Said:
    """What is said of the parts of an axle: apart by what it rests on, each sentence once."""

    def __init__(self) -> None:
        self._sentences: dict[tuple[str, str], dict[str, None]] = {}

    def of(self, name: str, kind: str, *sentences: str) -> None:
        """Say something; without a sentence only that it is so."""
        here = self._sentences.setdefault((kind, name), {})
        here.update((each, None) for each in sentences if each)

    def kinds_of(self, name: str) -> list[str]:
        """Return what is said of some parts."""
        return [kind for kind, of in self._sentences if of == name]

    def in_order(self) -> tuple[Meaning, ...]:
        """Return all of it, the gravest first."""
        return tuple(
            Meaning(name=name, kind=kind, sentences=tuple(shown(each) for each in sentences))
            for (kind, name), sentences in sorted(
                self._sentences.items(), key=lambda item: KINDS.index(item[0][0])
            )
        )


def _say_part(verdict: VehicleVerdict, axle: AxleVerdict, closing: Closing, said: _Said) -> None:
    """Say what one kind of part of an axle needs, each reason under what it rests on."""
    sides = [p for p in verdict.parts if p.corner.axle == axle.axle and p.part is axle.part]
    name = axle_parts(axle.axle, axle.part).capitalize()
    for side in sides:
        fitted = fitted_today(verdict, side)
        if fitted:
            sizes = dict.fromkeys(_size(each, verdict.file.shop) for each in fitted)
            said.of(name, "Fitted", measured_when_fitted(side.corner, list(sizes)))
        for reason in side.reasons:
            if fitted and reason.because is Because.NOT_INSPECTED:
                continue
            if reason.word is Word.REUSE:
                continue
            kind = _kind_of(reason)
            # What may stay once something is put right must not read as if it had to go.
            of = brakes_of(axle.axle) if reason.word is Word.CORRECT else name
            said.of(of, kind, plain_reason(side, reason))
        if _goes_along(side):
            is_required = axle.grounds is Grounds.REQUIRED
            said.of(name, "Suggested", goes_along(side.corner, is_required=is_required))
    if all(side.word is Word.REUSE for side in sides):
        said.of(name, "In limits")
    look_for = what_to_look_for(verdict, axle.axle, axle.part)
    if look_for:
        said.of(name, min(said.kinds_of(name), key=KINDS.index, default="In limits"), look_for)
    said_no = _declined_suggestions(sides, closing)
    if said_no:
        said.of(name, "Suggested", *said_no)


def _kind_of(reason: Reason) -> str:
    if reason.grounds is None:
        return "Could not be judged"
    return "Required" if reason.grounds is Grounds.REQUIRED else "Suggested"


def _goes_along(side: PartVerdict) -> bool:
    """Whether a part is to be changed only because the other side of the axle is."""
    going = [each for each in side.reasons if each.grounds is not None]
    return bool(going) and all(each.because is Because.AXLE_SET for each in going)


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
