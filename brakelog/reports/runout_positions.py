"""What every stud position and correction plate would give: the wheel drawn, and in words."""

from __future__ import annotations

import cmath
import math

from brakelog.metrology.indexing import Position
from brakelog.metrology.plates import PlateChoice
from brakelog.metrology.profile import turn
from brakelog.reports.plain import Line, wrapped
from brakelog.reports.runout_words import estimate, expected_words, section
from brakelog.reports.wheel import wheel
from brakelog.rules.figure import counted
from brakelog.rules.runout_study import RunoutStudy

WORTH_SAYING_NM = 1_000.0
"""Less than the last digit printed is not worth a sentence. [nm]"""
LEGEND = "( ) now  [ ] best  H high spot of the hub  R of the rotor as it sits now"


def position_lines(study: RunoutStudy, width: int) -> list[Line]:
    """Return the drawing of the stud positions, and what it means."""
    prediction, found = study.prediction, study.split
    if prediction is None or found is None:
        return []
    shop, best, now = study.file.shop, prediction.best, present_index(study)
    labels = [estimate(each.tir_nm, shop, _limits(study)) for each in prediction.positions]
    marks = {"H": _high_deg(found.hub_nm), "R": _high_deg(found.at(now) - found.hub_nm)}
    lines = [Line(), Line(text="Runout by the stud at the rotor's mark", role="heading"), Line()]
    lines += [Line(text=each) for each in wheel(labels, now=now, best=best.index, marks=marks)]
    lines.append(Line())
    if best.index == now:
        texts = [LEGEND, _position_text(study, "Now, and best", best)]
    else:
        texts = [
            LEGEND,
            _position_text(study, "Now", prediction.positions[now]),
            _position_text(study, "Best", best),
            _gain_text(study, now),
        ]
    texts.append(
        f"Drawn clockwise, as the studs are counted from stud 1. The best angle would be "
        f"{prediction.ideal_deg:.0f} deg on from index 0; the studs come within "
        f"{prediction.left_over_deg:.0f} deg of it."
    )
    for text in texts:
        lines += wrapped(text, first="  ", rest="    ", width=width)
    return lines


def present_index(study: RunoutStudy) -> int:
    """Return the position at which the rotor was read last."""
    newest = max(study.used, key=study.read.index)
    return newest.index % (study.studs or 1)


def _high_deg(vector_nm: complex) -> float:
    return turn(math.degrees(cmath.phase(vector_nm)))


def _limits(study: RunoutStudy) -> list[int]:
    return [figure.nm for figure in study.bound.figures]


def _position_text(study: RunoutStudy, name: str, position: Position) -> str:
    tir = estimate(position.tir_nm, study.file.shop, _limits(study))
    u2 = estimate(2 * position.u1_nm, study.file.shop)
    expected = expected_words(study.expected(position.tir_nm, position.u1_nm))
    noise = ""
    if position.bias_nm >= WORTH_SAYING_NM:
        noise = f" Noise alone adds about {estimate(position.bias_nm, study.file.shop)} to it."
    return (
        f"{name}: mark at stud {position.index + 1} (index {position.index}), predicted {tir}, "
        f"U2 {u2}{expected}.{noise}"
    )


def _gain_text(study: RunoutStudy, now: int) -> str:
    assert study.split is not None
    assert study.prediction is not None
    best = study.prediction.best
    gain_nm, u1_nm = study.split.gain_nm(now, best.index)
    gain = estimate(gain_nm, study.file.shop)
    if gain_nm <= 2 * u1_nm:
        return f"Turning would gain {gain}: no more than these readings are sure of."
    turned = (best.index - now) % study.split.studs
    return f"Turn the rotor {counted(turned, 'stud')} on: {gain} less."


def best_by_plate(study: RunoutStudy) -> list[PlateChoice]:
    """Return the best way for each plate, and without one, least runout first."""
    best: dict[int, PlateChoice] = {}
    for choice in study.choices:
        best.setdefault(choice.plate_nm, choice)
    return list(best.values())


def plate_lines(study: RunoutStudy, width: int) -> list[Line]:
    """Return what the plates that were asked for would give."""
    if not study.choices:
        return []
    texts = [_plate_text(study, choice) for choice in best_by_plate(study)]
    texts += [
        "A plate counts as the total indicator reading that it gives where the indicator stands, "
        f"here on the {study.ask.face.value} face. The common sizes are common practice: check "
        "size and thick side against the plate's own sheet."
    ]
    return section("Correction plates", texts, width)


def _plate_text(study: RunoutStudy, choice: PlateChoice) -> str:
    shop = study.file.shop
    plate = "no plate"
    if choice.place is not None:
        plate = f"plate {estimate(choice.plate_nm, shop)}, thick side at stud {choice.place + 1}"
    expected = expected_words(study.expected(choice.tir_nm, choice.u1_nm))
    tir = estimate(choice.tir_nm, shop, _limits(study))
    return f"{tir}: mark at stud {choice.index + 1}, {plate}{expected}."
