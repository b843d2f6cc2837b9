"""What the measurements mean, axle by axle: required and suggested apart."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.record.agreement import Agreement, How
from brakelog.record.corner import axle_name
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position
from brakelog.record.shop import Shop
from brakelog.reports.language.figures import size_words
from brakelog.reports.language.language import Language, capital
from brakelog.reports.plain import shown
from brakelog.reports.plain_closing import declined_when
from brakelog.reports.plain_names import axle_heading, axle_parts, brakes_of
from brakelog.reports.plain_reasons import (
    fitted_today,
    goes_along,
    measured_when_fitted,
    plain_reason,
    what_to_look_for,
)
from brakelog.rules.closing import Closing
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
"""What is said of the parts of an axle, the gravest first: for machines; a customer reads it in
words of the catalogue."""


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


def axle_meanings(
    lang: Language, verdict: VehicleVerdict, closing: Closing
) -> tuple[AxleMeaning, ...]:
    """Return what it means for every axle, from the front."""
    axles = dict.fromkeys(each.axle for each in verdict.axles)
    return tuple(_axle(lang, verdict, axle, closing) for axle in axles)


def _axle(lang: Language, verdict: VehicleVerdict, axle: int, closing: Closing) -> AxleMeaning:
    said = _Said()
    for each in verdict.axles:
        if each.axle == axle:
            _say_part(lang, verdict, each, closing, said)
    return AxleMeaning(
        axle=axle_name(axle),
        name=axle_heading(lang, axle),
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


def _say_part(
    lang: Language, verdict: VehicleVerdict, axle: AxleVerdict, closing: Closing, said: _Said
) -> None:
    """Say what one kind of part of an axle needs, each reason under what it rests on."""
    sides = [p for p in verdict.parts if p.corner.axle == axle.axle and p.part is axle.part]
    name = capital(axle_parts(lang, axle.axle, axle.part))
    for side in sides:
        fitted = fitted_today(verdict, side)
        if fitted:
            sizes = dict.fromkeys(_size(lang, each, verdict.file.shop) for each in fitted)
            said.of(name, "Fitted", measured_when_fitted(lang, side.corner, list(sizes)))
        for reason in side.reasons:
            if fitted and reason.because is Because.NOT_INSPECTED:
                continue
            if reason.word is Word.REUSE:
                continue
            kind = _kind_of(reason)
            # What may stay once something is put right must not read as if it had to go.
            of = brakes_of(lang, axle.axle) if reason.word is Word.CORRECT else name
            said.of(of, kind, plain_reason(lang, side, reason))
        if _goes_along(side):
            is_required = axle.grounds is Grounds.REQUIRED
            said.of(name, "Suggested", goes_along(lang, side.corner, is_required=is_required))
    if all(side.word is Word.REUSE for side in sides):
        said.of(name, "In limits")
    look_for = what_to_look_for(lang, verdict, axle.axle, axle.part)
    if look_for:
        said.of(name, min(said.kinds_of(name), key=KINDS.index, default="In limits"), look_for)
    said_no = _declined_suggestions(lang, sides, closing)
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


def _size(lang: Language, fitting: Fitting, shop: Shop) -> str:
    return size_words(lang, fitting.size_nm or 0, shop, fine=fitting.position is Position.ROTOR)


def _declined_suggestions(lang: Language, sides: list[PartVerdict], closing: Closing) -> list[str]:
    """Say of what is only suggested that the customer declined it; each refusal once."""
    refused: dict[tuple[date, How], tuple[Agreement, list[PartVerdict]]] = {}
    suggested = [side for side in sides if side.grounds is Grounds.SUGGESTED]
    for side in suggested:
        for reason in side.reasons:
            no = declined(side, reason, closing.record.agreements)
            if reason.grounds is Grounds.SUGGESTED and no is not None:
                _, at = refused.setdefault((no.day, no.how), (no, []))
                at += [side] if side not in at else []
    return [
        declined_when(lang, no, None if len(at) == len(suggested) else at[0].corner)
        for no, at in refused.values()
    ]
