"""Invented cars of the worked cases, as their customers are written to."""

from __future__ import annotations

from tests.acceptance import test_case_as_left_gate as gate_case
from tests.acceptance import test_case_everyday as everyday
from tests.acceptance import test_case_slide_pin as pin_case
from tests.acceptance import test_finish as finish_case
from tests.acceptance.workshop import Workshop


def has_sallow_limits(shop: Workshop) -> None:
    shop.has_limits("sallow 2.0", "front", *everyday.FRONT)
    shop.has_limits("sallow 2.0", "rear", *everyday.REAR)


def everyday_car(shop: Workshop) -> Workshop:
    """Case 1: front pads nearly done, three visits."""
    has_sallow_limits(shop)
    shop.has_vehicle("SALLOW", "--description", "Orrin Sallow 2.0", "--sheet", "sallow 2.0")
    shop.measures("SALLOW", "21050 km", "LF pad-in 8.4 8.3", day="2024-01-15")
    shop.measures("SALLOW", "41800 km", "LF pad-in 5.9 5.7", day="2025-01-14")
    shop.measures("SALLOW", "62400 km", everyday.SALLOW)
    return shop


def pointless_car(shop: Workshop) -> Workshop:
    """Case 2: pads nearly done, rotors thin but in limits."""
    shop.has_limits(
        *("brisk 1.6", "front", "rotor-new: 24.0 mm", "rotor-machine-to: 22.4 mm"),
        *("rotor-discard: 22.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm"),
    )
    shop.has_vehicle("BRISK", "--brakes", "disc", "--sheet", "brisk 1.6")
    for corner in ("LF", "RF"):
        for part, size in (("pads", "11.0 mm"), ("rotor", "24.0 mm")):
            options = ("--size", size, "--basis", "nominal", "--odometer", "0 km")
            shop.fits("BRISK", corner, part, *options, day="2022-03-01")
    shop.measures("BRISK", "58200 km", everyday.BRISK)
    return shop


def stuck_car(shop: Workshop) -> Workshop:
    """Case 6: a stuck slide pin, and a pad that is at its limit or nearly so."""
    has_sallow_limits(shop)
    shop.has_limits("sallow 2.0", "front", "scoring: 1.5 mm, above")
    shop.has_vehicle("SALLOW", "--sheet", "sallow 2.0")
    shop.measures("SALLOW", "48000 km", pin_case.LINES)
    return shop


def gated_car(shop: Workshop) -> Workshop:
    """Case 13: new discs, one of which does not run true; torque blank, pedal not confirmed."""
    has_sallow_limits(shop)
    torque = ("limits", "torque", "sallow 2.0", "front", "wheel bolts", "110 N·m")
    shop.does(*torque, "--source", "service page 9")
    shop.has_vehicle("SALLOW", "--brakes", "disc", "--sheet", "sallow 2.0")
    shop.measures("SALLOW", "62400 km", gate_case.FOUND)
    for side, size in (("LF", "27.99 mm"), ("RF", "27.98 mm")):
        shop.fits("SALLOW", side, "rotor", "--size", size)
    shop.does("finish", "SALLOW", "--by", "AM", typed=gate_case.EVERYTHING_ELSE)
    return shop


def healthy_and_dangerous(shop: Workshop) -> Workshop:
    """One car with hardly worn brakes, and one whose pads rub metal on metal."""
    has_sallow_limits(shop)
    thick = everyday.SALLOW
    for thin, new in (("3.2 3.0", "9.8 9.7"), ("3.5 3.4", "9.9 9.8"), ("3.3 3.2", "9.8 9.7"),
                      ("3.6 3.5", "9.9 9.8")):  # fmt: skip
        thick = thick.replace(thin, new)
    for tag in ("WELL", "WORN"):
        shop.has_vehicle(tag, "--sheet", "sallow 2.0")
    shop.measures("WELL", "9000 km", thick)
    worn = thick.replace("LF pad-in 9.8 9.7", "LF pad-in 0.4 0.0\nLF finding metal-contact")
    shop.measures("WORN", "69000 km", worn)
    return shop


def repaired_car(shop: Workshop) -> Workshop:
    """Case 6 with new pads, the pin put right, and everything said that closes the job."""
    shop = stuck_car(shop)
    for corner in ("LF", "RF"):
        shop.fits("SALLOW", corner, "pads", "--size", "11.0 mm")
    typed = finish_case.LEFT + finish_case.CLOSED + finish_case.AGREED
    shop.does("finish", "SALLOW", "--by", "AM", typed=typed)
    return shop
