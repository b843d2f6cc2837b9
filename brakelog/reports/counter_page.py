"""The counter sheet for paper: the verdict of the terminal's sheet, and what the car leaves with.

It says what the sheet in the terminal says, in the same sentences; only the readings stand in a
table.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from itertools import groupby

from brakelog.reports.bay_card_words import NOT_STATED, NOT_STATED_NOTE
from brakelog.reports.closing_section import job_lines
from brakelog.reports.closing_words import NOT_TO_BE_DRIVEN, declined_words
from brakelog.reports.counter import (
    CAUTION,
    at_a_glance,
    axle_title,
    head_lines,
    how_it_was_judged,
    local_rules_lines,
    stale_lines,
)
from brakelog.reports.counter_page_left import left_with
from brakelog.reports.counter_page_model import AxleBlock, CounterPage, HintBlock, PartBlock, Said
from brakelog.reports.counter_page_rows import notes_below, rows_of
from brakelog.reports.counter_page_told import UNWRAPPED, Told, told
from brakelog.reports.counter_part import (
    Sources,
    axle_part,
    axle_words,
    how_far,
    is_untouched,
    noted,
    part_words,
    reasons_told,
    role_of,
    sides_of,
)
from brakelog.reports.plain import shown
from brakelog.reports.questions import question_lines
from brakelog.reports.wear_notes import hint_texts
from brakelog.reports.what_follows import worlds_told
from brakelog.rules.closing import Closing, Status
from brakelog.rules.flag_words import flag_sentence
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import is_answered
from brakelog.rules.verdict import AxleVerdict, Because, PartVerdict, VehicleVerdict
from brakelog.rules.world_words import basis_sentence, world_sentence

LINE = 110
"""Signs of small print that a line of the paper holds; tried on A4 and Letter."""
MOST_IN_MARGIN = 40
"""Signs of a tag that the margin of a sheet holds; tried on A4 and Letter."""


def counter_page(
    verdict: VehicleVerdict,
    closing: Closing | None = None,
    *,
    names: Mapping[str, str] | None = None,
    today: date | None = None,
    is_preview: bool = False,
) -> CounterPage:
    """Return what stands on the sheet for paper.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict of the visit.
    closing : Closing, optional
        The end of its job; without it nothing was worked on.
    names : mapping, optional
        Names of people by their initials.
    today : date, optional
        Says how old the readings are where it is given.
    is_preview : bool
        Whether the verdict was not put on record as issued.
    """
    file = verdict.file
    vehicle, shop = file.vehicle, file.shop
    closing = closing or Closing(status=Status.NO_WORK)
    sources = _numbered(verdict)
    head = told([*head_lines(verdict, UNWRAPPED), *stale_lines(verdict, today, UNWRAPPED)])
    axles = tuple(
        _axle(verdict, axle, list(of_axle), sources)
        for axle, of_axle in groupby(verdict.axles, key=lambda each: each.axle)
    )
    return CounterPage(
        name=shown(", ".join(text for text in (vehicle.tag, vehicle.description) if text)),
        marks=shown(", ".join(_marks(vehicle.plate, vehicle.vin))),
        shop=shown(", ".join(text for text in (shop.name, shop.phone) if text)),
        # The title is made of its pieces, so that a name cannot turn it round.
        head=head[1:],
        is_open=closing.is_preliminary,
        is_preview=is_preview,
        running=f"{shown(vehicle.tag)[:MOST_IN_MARGIN]}, {file.visit.day}, {file.stage.value}",
        stop=_stop(closing),
        glance=told(
            [
                *at_a_glance(verdict, UNWRAPPED),
                *local_rules_lines(verdict, UNWRAPPED, glance=True),
            ]
        ),
        job=told(job_lines(file, closing, UNWRAPPED)),
        declined=tuple(shown(declined_words(file, each)) for each in closing.declined),
        axles=axles,
        flags=tuple(shown(flag_sentence(each, shop)) for each in verdict.flags),
        hints=tuple(_hints(verdict)),
        questions=_questions(verdict),
        left=left_with(verdict, closing, names or {}),
        local_rules=told(local_rules_lines(verdict, UNWRAPPED))[1:],
        sources=tuple(each.text for each in sources.lines(UNWRAPPED)),
        foot=(*_marked(axles), how_it_was_judged(verdict), CAUTION),
    )


def _marks(plate: str, vin: str) -> Iterator[str]:
    if plate:
        yield f"plate {plate}"
    if vin:
        yield f"VIN {vin}"


def _stop(closing: Closing) -> str:
    parts = [f"{each.corner} {each.part.part.value}" for each in closing.declined if each.is_unsafe]
    return f"{', '.join(dict.fromkeys(parts))}: {NOT_TO_BE_DRIVEN.lower()}" if parts else ""


def _numbered(verdict: VehicleVerdict) -> Sources:
    """Return the sources with the numbers that they have on the sheet in the terminal."""
    sources = Sources()
    for axle in verdict.axles:
        axle_part(verdict, axle, sources, UNWRAPPED)
    return sources


def _axle(
    verdict: VehicleVerdict, axle: int, kinds: list[AxleVerdict], sources: Sources
) -> AxleBlock:
    sides = [side for kind in kinds for side in sides_of(verdict, kind)]
    shop = verdict.file.shop
    worlds = worlds_told(verdict, axle)
    return AxleBlock(
        title=axle_title(axle),
        parts=tuple(_part(verdict, kind, sources) for kind in kinds),
        reasons=tuple(
            Said(where=f"{side.corner} {side.part.value}", text=shown(text))
            for side in sides
            for text in _reasons(verdict, side, sources)[0]
        ),
        far=tuple(
            Said(where=f"{side.corner} {label}", text=shown(text))
            for side in sides
            for label, text in how_far(side, shop)
        ),
        worlds=tuple(shown(world_sentence(each, shop)) for each in worlds),
        basis=basis_sentence(worlds, shop),
    )


def _part(verdict: VehicleVerdict, kind: AxleVerdict, sources: Sources) -> PartBlock:
    sides = sides_of(verdict, kind)
    rows = tuple(
        row
        for side in sides
        for row in rows_of(verdict, side, sources, _reasons(verdict, side, sources)[1])
    )
    words = [f"{side.corner} {part_words(verdict, side)[0]}" for side in sides]
    return PartBlock(
        words=axle_words(kind),
        role=role_of(kind.word, kind.grounds),
        sides="; ".join(words),
        rows=rows,
        notes=(*notes_below(rows), *_noted(sides)),
    )


def _noted(sides: list[PartVerdict]) -> Iterator[Said]:
    for side in sides:
        for text in noted(side):
            yield Said(where=f"{side.corner} {side.part.value}", text=shown(text))


def _reasons(
    verdict: VehicleVerdict, part: PartVerdict, sources: Sources
) -> tuple[list[str], set[Measure]]:
    """Return the reasons in full, but that it is in limits: its row says so."""
    if is_untouched(part):
        return [], set()
    reasons = [each for each in part.reasons if each.because is not Because.IN_LIMITS]
    texts, measures = reasons_told(reasons, verdict.file.shop, sources)
    return list(dict.fromkeys(text for text in texts if text)), measures


def _hints(verdict: VehicleVerdict) -> Iterator[HintBlock]:
    for hint in verdict.hints:
        pattern, *rows = hint_texts(hint, LINE)
        yield HintBlock(pattern=shown(pattern), rows=tuple(map(shown, rows)))


def _questions(verdict: VehicleVerdict) -> tuple[Told, ...]:
    """Return the open questions with the numbers that ``brakelog answer`` lists them under."""
    file = verdict.file
    rows = [
        (number, question, file.answers.get(question.key))
        for number, question in enumerate(file.questions, start=1)
        if not is_answered(file, question)
    ]
    return told(question_lines(rows, file.people, width=UNWRAPPED)) if rows else ()


def _marked(axles: tuple[AxleBlock, ...]) -> Iterator[str]:
    """Yield what the mark behind a failing condition means, where one stands."""
    rows = (row for axle in axles for part in axle.parts for row in part.rows)
    if any(row.out_when.endswith(NOT_STATED) for row in rows):
        yield f"{NOT_STATED_NOTE}."
