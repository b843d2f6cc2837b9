"""The study of a runout as a document for machines; lengths are decimal strings in mm."""

from __future__ import annotations

import cmath
import math
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.metrology.judder import SPEEDS, Tyre, frequency_hz
from brakelog.metrology.profile import OrderFound, component_sd1_nm, turn, usual_cause
from brakelog.record.shop import Shop
from brakelog.reports.runout_positions import present_index
from brakelog.rules.runout_study import HubFace, RunoutRead, RunoutStudy
from brakelog.rules.waves import ThicknessWaves

FORMAT = "brakelog.runout/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""
MOST_CHOICES = 20
"""Ways to mount the rotor that are listed, least runout first."""
Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


def runout_document(study: RunoutStudy) -> dict[str, Json]:
    """Return the study as plain values."""
    file, figure = study.file, study.deciding
    visit, vehicle = file.visit, file.vehicle
    return {
        "format": FORMAT,
        "vehicle": {"id": vehicle.id, "tag": vehicle.tag, "description": vehicle.description},
        "visit": {
            "id": visit.id,
            "date": visit.day.isoformat(),
            "odometer": visit.odometer_text,
            "odometer_unit": visit.odometer_unit.value,
            "stage": file.stage.value,
        },
        "corner": study.corner.code,
        "rotor_changed_since": study.changed_since,
        "limit_state": study.bound.state.value,
        "limit": None
        if figure is None
        else {
            "as_printed": study.bound.printed(figure),
            "mm": decimal_mm(figure.nm),
            "out_when": figure.limit.comparator.value,
            "source": figure.limit.source,
        },
        "is_out": study.is_out if study.present and figure else None,
        "mark": study.ask.mark.value,
        "face": study.ask.face.value,
        "studs": study.studs,
        "rotor_matched": study.is_matched,
        "readings": [_read(each, study) for each in study.read],
        "no_split": study.no_split.value if study.no_split else None,
        **_shares(study),
        "hub_face": _hub_face(study.hub_face) if study.hub_face else None,
        "thickness": _thickness(study.thickness) if study.thickness else None,
        "pulsation": _pulsation(study.ask.tyre, file.shop) if study.ask.tyre else None,
        "steps": [
            {"cure": step.cure.value, "in_published_range": step.fits} for step in study.steps
        ],
        "as_left": [_read(each, study) for each in study.after],
    }


def _read(read: RunoutRead, study: RunoutStudy) -> dict[str, Json]:
    wave = read.wave
    return {
        "reading_set": read.reading.id,
        "index": read.index if read.is_profile else read.reading.rotor_index,
        "index_assumed": read.index_is_assumed,
        "values_mm": [None if nm is None else decimal_mm(nm) for nm in read.reading.values_nm],
        "as_read_mm": decimal_mm(read.tir_nm),
        "once_per_turn": None
        if wave is None
        else _vector(wave.vector_nm, component_sd1_nm(read.spread.u1r_nm, wave.points)),
        "more_per_turn": [_wave(each) for each in read.higher],
        "gauge": read.spread.label,
        "used": read in study.used,
        "not_usable": [gate.value for gate in read.gates],
    }


def _vector(vector_nm: complex, sd1_nm: float) -> dict[str, Json]:
    return {
        "tir_mm": _mm(2 * abs(vector_nm)),
        "u1_mm": _mm(2 * sd1_nm),
        "high_deg": _deg(turn(math.degrees(cmath.phase(vector_nm)))),
    }


def _wave(found: OrderFound) -> dict[str, Json]:
    return {
        "order": found.wave.order,
        "peak_to_peak_mm": _mm(found.wave.peak_to_peak_nm),
        "u1_mm": _mm(2 * found.sd1_nm),
        "high_deg": [_deg(angle) for angle in found.wave.high_deg],
        "out_of_noise": found.is_real,
    }


def _shares(study: RunoutStudy) -> dict[str, Json]:
    """Return what the split gives; positions and plates only where advice may rest on it."""
    found, prediction = study.split, study.prediction
    if found is None or prediction is None:
        return {"split": None, "positions": [], "best": None, "plates": []}
    split = {
        "hub": _vector(found.hub_nm, found.hub_sd1_nm),
        "rotor": _vector(found.rotor_nm, found.rotor_sd1_nm),
        "no_advice": [doubt.value for doubt in found.doubts],
    }
    if not study.advises:
        return {"split": split, "positions": [], "best": None, "plates": []}
    return {
        "split": split,
        "positions": [
            {
                "index": each.index,
                "stud": each.index + 1,
                "tir_mm": _mm(each.tir_nm),
                "u1_mm": _mm(each.u1_nm),
                "noise_adds_mm": _mm(each.bias_nm),
                "expected": _expected(study, each.tir_nm, each.u1_nm),
            }
            for each in prediction.positions
        ],
        "best": {
            "index": prediction.best.index,
            "present_index": present_index(study),
            "ideal_deg": _deg(prediction.ideal_deg),
            "left_over_deg": _deg(prediction.left_over_deg),
        },
        "plates": [
            {
                "index": each.index,
                "stud": each.index + 1,
                "plate_mm": decimal_mm(each.plate_nm),
                "thick_side_stud": None if each.place is None else each.place + 1,
                "tir_mm": _mm(each.tir_nm),
                "u1_mm": _mm(each.u1_nm),
                "expected": _expected(study, each.tir_nm, each.u1_nm),
            }
            for each in study.choices[:MOST_CHOICES]
        ],
    }


def _expected(study: RunoutStudy, tir_nm: float, u1_nm: float) -> str | None:
    expected = study.expected(tir_nm, u1_nm)
    return expected.value if expected else None


def _hub_face(face: HubFace) -> dict[str, Json]:
    least, most = face.at_rotor_nm
    return {
        "reading_set": face.read.reading.id,
        "as_read_mm": decimal_mm(face.read.tir_nm),
        "radius_mm": decimal_mm(face.radius_nm),
        "at_rotor_least_mm": _mm(float(least)),
        "at_rotor_most_mm": _mm(float(most)),
        "not_usable": [gate.value for gate in face.read.gates],
    }


def _thickness(waves: ThicknessWaves) -> dict[str, Json]:
    return {
        "reading_set": waves.reading.id,
        "points": waves.points,
        "variation_mm": decimal_mm(waves.variation_nm),
        "gauge": waves.spread.label,
        "waves": [
            {
                **_wave(each),
                "usual_cause": usual_cause(each.wave.order, waves.studs).value
                if each.is_real
                else None,
            }
            for each in waves.found
        ],
        "blind_orders": list(waves.blind),
        "missed_share": [f"{share:.3f}" for share in waves.missed],
        "studs_pass_for": waves.studs_pass_for,
    }


def _pulsation(tyre: Tyre, shop: Shop) -> dict[str, Json]:
    unit = shop.distance_unit
    return {
        "tyre": tyre.size,
        "circumference_mm": _mm(tyre.circumference_mm * 1e6),
        "speeds": [
            {
                "speed": speed,
                "unit": f"{unit.value}/h",
                "once_per_turn_hz": f"{hertz:.3f}",
            }
            for speed, hertz in (
                (speed, frequency_hz(1, speed * unit.mm, tyre.circumference_mm))
                for speed in SPEEDS[unit]
            )
        ],
    }


def _mm(nm: float) -> str:
    return decimal_mm(round(nm))


def _deg(angle: float) -> str:
    return f"{angle:.1f}"
