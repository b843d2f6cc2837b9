"""The runout of one corner as a sheet: readings, shares, stud positions, plates, what to do."""

from __future__ import annotations

import cmath
import math

from brakelog.metrology.indexing import best_turn, split_factor, stud_alias
from brakelog.metrology.profile import NOISE_FACTOR, turn
from brakelog.metrology.shares import NoAdvice
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.reports.runout_advice import advice_lines
from brakelog.reports.runout_positions import plate_lines, position_lines
from brakelog.reports.runout_words import (
    doubt_sentence,
    estimate,
    gates_sentence,
    higher_sentence,
    limit_sentence,
    mark_sentence,
    near_stud,
    no_split_sentences,
    read_sentence,
    section,
    short_by,
)
from brakelog.reports.waves import pulsation_lines, thickness_lines
from brakelog.rules.figure import both_units, counted, distance
from brakelog.rules.runout_study import RunoutRead, RunoutStudy


def runout_sheet(study: RunoutStudy, *, width: int = WIDTH) -> list[Line]:
    """Return the sheet as lines."""
    lines = _head(study, width)
    lines += _readings(study, width)
    lines += _shares(study, width)
    if study.advises:
        lines += position_lines(study, width) + plate_lines(study, width)
    shop = study.file.shop
    if study.thickness is not None:
        lines += thickness_lines(study.thickness, shop, width)
    if study.ask.tyre is not None:
        lines += pulsation_lines(study.ask.tyre, study.thickness, shop, width)
    return lines + advice_lines(study, width)


def _head(study: RunoutStudy, width: int) -> list[Line]:
    file = study.file
    visit = file.visit
    lines = [
        Line(text=shown(f"Runout of {file.vehicle.tag}, {study.corner}"), role="title"),
        Line(
            text=f"As of {visit.day.isoformat()}, "
            f"{distance(visit.odometer_mm, visit.odometer_unit)}, {file.stage.value}"
        ),
    ]
    lines += wrapped(limit_sentence(study), rest="  ", width=width)
    if study.changed_since:
        lines += wrapped(
            "The rotor was changed after these readings: they do not tell of the one fitted now.",
            rest="  ",
            role="open",
            width=width,
        )
    return lines


def _readings(study: RunoutStudy, width: int) -> list[Line]:
    texts = []
    for read in study.read:
        text = read_sentence(read, study)
        if read.gates:
            text += f" {gates_sentence(read)}"
        elif read.wave is not None and read not in study.used:
            text += " Not used: read again later at the same position."
        else:
            text += f" {_circumstances(read)} {higher_sentence(read, study.file.shop)}"
        texts.append(text)
    if not texts:
        return []
    fewest = [each for each in study.read if each.wave is not None]
    if fewest:
        texts.append(short_by(min(fewest, key=lambda each: len(each.reading.values_nm))))
    return section("Read", texts, width)


def _circumstances(read: RunoutRead) -> str:
    reading, label = read.reading, read.spread.label
    text = f"{label[:1].upper()}{label[1:]}"
    if not read.spread.is_known:
        text += ", so that the worst is taken"
    if reading.fasteners_of is not None:
        text += f", {reading.fasteners_fitted} of {reading.fasteners_of} nuts"
    if reading.returned_to_start is None and reading.again_nm is None:
        text += ", return to start not said"
    return f"{text}."


def _shares(study: RunoutStudy, width: int) -> list[Line]:
    found = study.split
    if found is None:
        texts = no_split_sentences(study)
    else:
        texts = [
            _share_text(study, "Hub", found.hub_nm, found.hub_sd1_nm),
            _share_text(study, "Rotor, as mounted at index 0", found.rotor_nm, found.rotor_sd1_nm),
            mark_sentence(study.ask.mark),
        ]
        doubts = found.doubts[:1] if NoAdvice.SMALL in found.doubts else found.doubts
        texts += [doubt_sentence(doubt) for doubt in doubts]
        if doubts:
            texts.append("So nothing is advised from this split.")
    return section("Hub and rotor", [*texts, *_warnings(study), *_hub_face(study)], width)


def _share_text(study: RunoutStudy, name: str, vector_nm: complex, sd1_nm: float) -> str:
    shop = study.file.shop
    text = f"{name}: {estimate(2 * abs(vector_nm), shop)}, U2 {estimate(4 * sd1_nm, shop)}"
    if abs(vector_nm) > NOISE_FACTOR * sd1_nm:
        text += f", high at {near_stud(turn(math.degrees(cmath.phase(vector_nm))), study.studs)}"
    return f"{text}."


def _warnings(study: RunoutStudy) -> list[str]:
    texts: list[str] = []
    studs = study.studs
    if studs is None:
        return texts
    for points in sorted({len(each.reading.values_nm) for each in study.used}):
        order = stud_alias(points, studs)
        if order is not None:
            texts.append(
                f"With {points} points, a rotor bent by {studs} uneven nuts passes for "
                f"{order} per turn: check the torque, or read 10 or 12 points."
            )
    indices = [each.index for each in study.used]
    if study.split is not None and len(indices) == 2:
        turned = indices[1] - indices[0]
        if split_factor(turned, studs) > 1.1 * split_factor(best_turn(studs), studs):
            texts.append(
                f"Turned by {counted(turned, 'stud')}; by {best_turn(studs)} the shares would be "
                f"surer."
            )
    return texts


def _hub_face(study: RunoutStudy) -> list[str]:
    face, shop = study.hub_face, study.file.shop
    if face is None:
        return []
    least, most = (estimate(float(nm), shop) for nm in face.at_rotor_nm)
    reach = least if least == most else f"{least} to {most}"
    text = (
        f"Hub face {both_units(face.read.tir_nm, shop, fine=True)} at a radius of "
        f"{both_units(face.radius_nm, shop, fine=False)}: by the lever {reach} where the rotor is "
        f"read."
    )
    if face.read.gates:
        text += f" {gates_sentence(face.read)}"
    found = study.split
    if found is not None and not found.doubts and not face.read.gates:
        share_nm, u2_nm = 2 * abs(found.hub_nm), 4 * found.hub_sd1_nm
        if share_nm - u2_nm > float(face.at_rotor_nm[1]):
            text += " The hub's share is more than that: look for rust or dirt under the rotor."
    return [text]
