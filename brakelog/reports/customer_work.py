"""What was done today, and what became of it: for the customer."""

from __future__ import annotations

from datetime import date

from brakelog.record.closing import Check
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Position
from brakelog.reports.language.figures import size_words
from brakelog.reports.language.language import Language
from brakelog.reports.outlook import when_to_come_back
from brakelog.reports.plain import shown
from brakelog.reports.plain_closing import plain_put_right, plain_recheck
from brakelog.reports.plain_names import part_at, position_at
from brakelog.reports.plain_work import done_sentence
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing
from brakelog.rules.closing_item import Gap
from brakelog.rules.left_sizes import size_found
from brakelog.rules.verdict import VehicleVerdict


def done_today(lang: Language, verdict: VehicleVerdict) -> tuple[str, ...]:
    """Return what was fitted, with its size and the one before the work, and what was put right."""
    file = verdict.file
    here = [f for f in file.fittings if f.visit_id == file.visit.id]
    right = [each for each in file.findings if each.put_right]
    return (
        *(_fitted(lang, each, file) for each in here),
        *(shown(plain_put_right(lang, each)) for each in right),
    )


def _fitted(lang: Language, fitting: Fitting, file: CaseFile) -> str:
    fine = fitting.position is Position.ROTOR
    found = size_found(file, fitting.corner, fitting.position)
    return shown(
        done_sentence(
            lang,
            fitting.event,
            position_at(lang, fitting.corner, fitting.position),
            size_words(lang, fitting.size_nm, file.shop, fine=fine) if fitting.size_nm else "",
            fitting.basis,
            "" if found is None else size_words(lang, found, file.shop, fine=fine),
        )
    )


# Figures of the catalogue that no rule of the program checks, all of them common practice: gentle
# stops to bed new parts in (the trade's texts name 8 to 30 of them, from about 50 km/h), no hard
# ones for the first 300 km, and re-tightening after 50 to 100 km.


def watch_for(
    lang: Language, verdict: VehicleVerdict, closing: Closing, *, has_distances: bool
) -> tuple[str, ...]:
    """Return what to watch for.

    Parameters
    ----------
    lang : Language
        The customer's language.
    verdict : VehicleVerdict
        The verdict.
    closing : Closing
        The state of the job: whether new linings are left to the customer to bed in.
    has_distances : bool
        Whether distances stand on the page.
    """
    keys = ["bedding_in"] if closing.bedding_in == "customer" else []
    if has_distances:
        keys.append("estimate")
    keys.append("stop")
    fitted = any(f.visit_id == verdict.file.visit.id for f in verdict.file.fittings)
    linings = [p for p in verdict.parts if p.part in (Part.PADS, Part.SHOES)]
    if fitted:
        keys.append("changed")
    elif any(p.grounds is not None for p in linings):
        keys.append("fluid")
    return tuple(lang.say(f"watch.{key}") for key in keys)


def come_back(
    lang: Language, verdict: VehicleVerdict, closing: Closing, today: date | None = None
) -> str:
    """Return when to come back: early re-checks first."""
    dated = [plain_recheck(lang, verdict.file, each, today) for each in closing.rechecks]
    planned = when_to_come_back(lang, verdict, is_dated=bool(dated), today=today)
    return " ".join(text for text in (*dated, planned) if text)


# What must not be driven

_NOT_TO_BE_DRIVEN = frozenset({Gap.NOTHING_FITTED, Gap.SIZE_OUT})
_FIRST_STOP = frozenset({Check.PEDAL_FIRM, Check.NO_LEAK, Check.TIGHTENED})
"""What has to be right before a vehicle moves: common practice."""


def unfinished_stop(lang: Language, closing: Closing) -> str:
    """Stop the vehicle while something is open that the first stop depends on.

    So does every torque: a caliper or bracket that is loose comes off like a wheel.
    """
    if any(
        item.gap in _NOT_TO_BE_DRIVEN or item.check in _FIRST_STOP or item.fastener
        for item in closing.open
    ):
        return lang.say("stop.not_finished")
    return ""


def declined_stop(lang: Language, closing: Closing) -> str:
    """Stop the vehicle where a part that is past its limit was left on it."""
    unsafe = [
        part_at(lang, each.corner, each.part.part) for each in closing.declined if each.is_unsafe
    ]
    if not unsafe:
        return ""
    return lang.say("stop.declined", parts=lang.joined(list(dict.fromkeys(unsafe))))
