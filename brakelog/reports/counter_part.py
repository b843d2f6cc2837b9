"""One kind of part of an axle on the counter sheet: its word, and what led there."""

from __future__ import annotations

from collections.abc import Iterable

from brakelog.record.corner import axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting
from brakelog.record.limit import Limit
from brakelog.record.reading import Stage
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.bound import BoundState
from brakelog.rules.judgement import Doubt
from brakelog.rules.judgement_words import (
    PLAY,
    full_source,
    judgement_sentence,
    service_phrase,
)
from brakelog.rules.life_words import life_sentence
from brakelog.rules.lives import PositionLife
from brakelog.rules.measure import Measure
from brakelog.rules.sentence import reason_sentence
from brakelog.rules.verdict import (
    AxleVerdict,
    Grounds,
    PartVerdict,
    Reason,
    VehicleVerdict,
    Word,
)
from brakelog.rules.world_words import PLURAL


class Sources:
    """Sources of limits, named once at the foot and by number above."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, limit: Limit) -> int:
        """Return the number of the source of a limit."""
        return self._numbers.setdefault(full_source(limit), len(self._numbers) + 1)

    def cite(self, limit: Limit) -> str:
        """Return what stands for the source of a limit."""
        return f"source {self.number(limit)}"

    def lines(self, width: int) -> list[Line]:
        """Return the list of sources."""
        return [
            line
            for source, number in self._numbers.items()
            for line in wrapped(f"Source {number}: {source}", rest="  ", width=width)
        ]


def verdict_words(word: Word, grounds: Grounds | None) -> str:
    """``replace, required`` and the like."""
    return f"{word.value}, {grounds.value}" if grounds else word.value


def role_of(word: Word, grounds: Grounds | None) -> str:
    """Return the role of a line that says a word of the verdict."""
    if grounds is not None:
        return grounds.value
    return "plain" if word is Word.REUSE else "open"


def is_fitted(verdict: VehicleVerdict, part: PartVerdict) -> bool:
    """Whether the part went on in this visit and is known by the size that it had then."""
    if verdict.file.stage is Stage.AS_FOUND:
        return False
    from brakelog.reports.plain_reasons import fitted_today

    return bool(fitted_today(verdict, part))


def axle_part(
    verdict: VehicleVerdict, axle: AxleVerdict, sources: Sources, width: int
) -> list[Line]:
    """Return one kind of part of an axle: its word, then either side with its reasons."""
    sides = sides_of(verdict, axle)
    lines = [
        Line(),
        Line(
            text=f"  {axle_words(axle)}",
            role=role_of(axle.word, axle.grounds),
        ),
    ]
    for side in sides:
        lines += _part(verdict, side, sources, width)
    return lines


def axle_words(axle: AxleVerdict) -> str:
    """``Front pads: replace, suggested``."""
    name = f"{axle_name(axle.axle)} {PLURAL[axle.part]}".capitalize()
    return f"{name}: {verdict_words(axle.word, axle.grounds)}"


def sides_of(verdict: VehicleVerdict, axle: AxleVerdict) -> list[PartVerdict]:
    """Return both sides of one kind of part of an axle."""
    return [
        each for each in verdict.parts if each.corner.axle == axle.axle and each.part is axle.part
    ]


def _part(verdict: VehicleVerdict, part: PartVerdict, sources: Sources, width: int) -> list[Line]:
    shop = verdict.file.shop
    words, role = part_words(verdict, part)
    lines = [Line(text=f"    {part.corner}: {words}", role=role)]
    fittings = verdict.file.fittings_at(part.corner, part.part)
    for text in _texts(part, fittings, shop, sources):
        lines += wrapped(text, first="       - ", rest="         ", width=width)
    far = [f"How far, {label}: {text}" for label, text in how_far(part, shop)]
    for text in (*far, *noted(part)):
        lines += wrapped(text, first="       - ", rest="         ", width=width)
    gaps = gaps_of(part)
    if gaps:
        lines += wrapped(
            f"{'; '.join(gaps).capitalize()}.",
            first="       - ",
            rest="         ",
            role="quiet",
            width=width,
        )
    return lines


def part_words(verdict: VehicleVerdict, part: PartVerdict) -> tuple[str, str]:
    """Return the word of a part with its grounds, and its role."""
    if is_fitted(verdict, part):
        return "fitted", "plain"
    return verdict_words(part.word, part.grounds), role_of(part.word, part.grounds)


def how_far(part: PartVerdict, shop: Shop) -> list[tuple[str, str]]:
    """Return what ends first of a part, and when; nothing where it must go now, or a reason said
    so already."""
    if part.word is Word.REPLACE and part.grounds is Grounds.REQUIRED:
        return []
    told = {id(reason.life) for reason in part.reasons if reason.life is not None}
    return [
        (life.position.label, life_sentence(life, shop))
        for life in _limiting(part)
        if id(life) not in told
    ]


def noted(part: PartVerdict) -> list[str]:
    """Return the findings of a part that are noted only."""
    texts = []
    for finding in part.noted:
        label = "" if finding.kind is FindingKind.OTHER else finding.kind.facts.label
        texts.append(f"Noted: {': '.join(text for text in (label, finding.note) if text)}.")
    return texts


def _texts(
    part: PartVerdict, fittings: tuple[Fitting, ...], shop: Shop, sources: Sources
) -> list[str]:
    """Return the reasons, then what else was measured, each once."""
    if is_untouched(part):
        return instead_of_readings(part, fittings)
    texts, told = reasons_told(part.reasons, shop, sources)
    rest = [j for j in part.judgements if j.value_nm is not None and j.measure not in told]
    texts += [judgement_sentence(j, shop, sources.cite) for j in rest if j.measure.facts.is_safety]
    service = [service_phrase(j, shop) for j in rest if not j.measure.facts.is_safety]
    if service:
        texts.append(f"Also read: {'; '.join(service)}.")
    if any(Doubt.BEARING_PLAY in j.doubts for j in rest):
        texts.append(f"{PLAY}.")
    return list(dict.fromkeys(text for text in texts if text))


def reasons_told(
    reasons: Iterable[Reason], shop: Shop, sources: Sources
) -> tuple[list[str], set[Measure]]:
    """Return reasons in full, a reading only where it was not told before, and which were told."""
    told: set[Measure] = set()
    texts = []
    for reason in reasons:
        measure = reason.judgement.measure if reason.judgement else None
        texts.append(reason_sentence(reason, shop, sources.cite, with_reading=measure not in told))
        if measure is not None:
            told.add(measure)
    return texts, told


def is_untouched(part: PartVerdict) -> bool:
    """Whether nothing was read of a part, and nothing is required of it."""
    return all(each.value_nm is None for each in part.judgements) and not part.required


def instead_of_readings(part: PartVerdict, fittings: tuple[Fitting, ...]) -> list[str]:
    """Return what is said of a part that nobody measured."""
    return _fitted(fittings) or [_untouched(part)]


def _untouched(part: PartVerdict) -> str:
    """Return one line for a part that nobody measured, instead of one for each measure."""
    bounds = [each.bound for each in part.judgements if each.measure.facts.is_safety]
    if all(bound.state is BoundState.MISSING for bound in bounds):
        return "Not inspected. No limit on file for it either."
    return "Not inspected."


def _fitted(fittings: tuple[Fitting, ...]) -> list[str]:
    """Return what was fitted in this visit and not measured again as left."""
    return [
        f"{each.position.label.capitalize()} {each.event.value}, {each.size_typed.strip()} "
        f"{each.basis.value} at fitting; not measured as left."
        for each in fittings
        if each.size_typed
    ]


def _limiting(part: PartVerdict) -> list[PositionLife]:
    """Return the life that ends first, or the first that says why nothing can be said."""
    stated = [life for life in part.lives if life.projection.at_least_mm is not None]
    if stated:
        return [min(stated, key=lambda life: life.projection.at_least_mm or 0)]
    return list(part.lives[:1])


def gaps_of(part: PartVerdict) -> list[str]:
    """Return what was not measured or looked at of a part that was judged."""
    gaps = []
    if part.not_measured:
        gaps.append("not measured: " + ", ".join(each.value for each in part.not_measured))
    if not part.condition_recorded:
        gaps.append("condition not recorded")
    return gaps
