"""What to do about a runout, in the order of the trade, and what was read after it was done."""

from __future__ import annotations

from brakelog.metrology.cures import INDEX_OVER_NM, PLATE_OVER_NM, Cure, Step
from brakelog.reports.plain import Line
from brakelog.reports.runout_positions import best_by_plate, present_index
from brakelog.reports.runout_words import (
    estimate,
    expected_words,
    gates_sentence,
    read_sentence,
    section,
)
from brakelog.rules.runout_study import RunoutRead, RunoutStudy

OPTIMISM = (
    "Measure again after every change and record it as left: a prediction is a little optimistic."
)
MATCHED = (
    "Rotor and hub are a matched pair on this vehicle: do not turn the rotor without measuring "
    "again."
)
PERHAPS_MATCHED = (
    "Where the maker mounts rotor and hub as a matched pair, do not turn the rotor without "
    "measuring again."
)


def advice_lines(study: RunoutStudy, width: int) -> list[Line]:
    """Return what to do."""
    if study.present is None:
        return []
    texts = _cures(study)
    if study.is_matched:
        texts.append(MATCHED)
    elif study.is_matched is None and (study.is_out or study.advises):
        texts.append(PERHAPS_MATCHED)
    texts += [_after(study, read) for read in study.after]
    texts.append(OPTIMISM)
    return section("What to do", texts, width)


def _cures(study: RunoutStudy) -> list[str]:
    present, figure, shop = study.present, study.deciding, study.file.shop
    assert present is not None
    if figure is None:
        return []
    if present.gates:
        beyond = "Beyond the limit, but read so that it" if study.is_out else "What was read"
        return [f"{beyond} may not be used: measure it again before anything is done about it."]
    if study.is_out:
        over_nm = present.runout_nm - figure.nm
        over = f"Over the limit by {estimate(over_nm, shop, [0])}" if over_nm else "At its limit"
        steps = [
            f"{n}. {_step(study, step, over_nm)}." for n, step in enumerate(study.steps, start=1)
        ]
        return [f"{over}. In this order, until it is inside, measuring after each:", *steps]
    return [
        "Not beyond the limit as read last. The verdict says whether that is proven; as found it "
        "keeps the worst position until the one that stays is read as left."
    ]


def _step(study: RunoutStudy, step: Step, over_nm: int) -> str:
    shop = study.file.shop
    name = step.cure.value
    reach = ""
    if step.cure is Cure.INDEX:
        least, most = (estimate(nm, shop) for nm in INDEX_OVER_NM)
        reach = f"a maker's text has it for {least} to {most} over"
        if over_nm < INDEX_OVER_NM[0]:
            reach += ", and this is less"
    elif step.cure is Cure.PLATE:
        reach = f"a maker's text has it for up to {estimate(PLATE_OVER_NM, shop)} over"
    if not step.fits:
        reach += ", and this is more"
    rest = "; ".join(part for part in (_detail(study, step.cure), reach) if part)
    return f"{name[:1].upper()}{name[1:]}" + (f": {rest}" if rest else "")


def _detail(study: RunoutStudy, cure: Cure) -> str:
    """Return what is predicted of a cure; empty where nothing is advised."""
    if not study.advises or study.prediction is None:
        return ""
    shop = study.file.shop
    if cure is Cure.INDEX:
        best = study.prediction.best
        if best.index == present_index(study):
            return "no other stud is better than the present one"
        expected = expected_words(study.expected(best.tir_nm, best.u1_nm))
        return f"mark to stud {best.index + 1}, predicted {estimate(best.tir_nm, shop)}{expected}"
    with_plate = [choice for choice in best_by_plate(study) if choice.place is not None]
    if cure is Cure.PLATE and with_plate:
        choice = with_plate[0]
        expected = expected_words(study.expected(choice.tir_nm, choice.u1_nm))
        tir = estimate(choice.tir_nm, shop)
        return f"{estimate(choice.plate_nm, shop)}, predicted {tir}{expected}"
    return ""


def _after(study: RunoutStudy, read: RunoutRead) -> str:
    """Return what was read as left, beside what was predicted for that position."""
    text = f"As left: {read_sentence(read, study)}"
    if read.gates:
        return f"{text} {gates_sentence(read)}"
    index = read.reading.rotor_index
    if index is None or study.prediction is None or not study.advises:
        return text
    predicted = study.prediction.positions[index % len(study.prediction.positions)]
    return f"{text} Predicted: {estimate(predicted.tir_nm, study.file.shop)}."
