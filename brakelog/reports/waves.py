"""The thickness round one circle as text: its waves, what was not seen, and how it would feel."""

from __future__ import annotations

from brakelog.metrology.judder import SPEEDS, Tyre, frequency_hz
from brakelog.metrology.profile import NOISE_FACTOR, OrderFound, usual_cause
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, wrapped
from brakelog.reports.runout_words import estimate
from brakelog.rules.figure import both_units, counted
from brakelog.rules.waves import ThicknessWaves


def thickness_lines(waves: ThicknessWaves, shop: Shop, width: int) -> list[Line]:
    """Return the thickness section of a runout sheet."""
    points = len(waves.reading.measured_nm)
    lines = [Line(), Line(text="Thickness round one circle", role="heading")]
    texts = [
        f"Variation {both_units(waves.variation_nm, shop, fine=True)}, highest minus lowest of "
        f"{counted(points, 'point')}. {_gauge(waves)}."
    ]
    if not waves.spread.takes_differences:
        texts.append("This gauge must not be used for a variation: it reads the lip.")
    if waves.has_gap:
        texts.append("A point was not measured, so that its waves cannot be told.")
    elif waves.real:
        texts += [_wave(each, waves, shop) for each in waves.real]
    elif waves.found:
        least = estimate(2 * NOISE_FACTOR * waves.found[0].sd1_nm, shop)
        texts.append(f"No wave stands out of the noise of the readings ({least} or more would).")
    texts += _not_seen(waves)
    for text in texts:
        lines += wrapped(text, first="  ", rest="    ", width=width)
    return lines


def _gauge(waves: ThicknessWaves) -> str:
    label = waves.spread.label
    return label[:1].upper() + label[1:] + ("" if waves.spread.is_known else ", the worst is taken")


def _wave(found: OrderFound, waves: ThicknessWaves, shop: Shop) -> str:
    wave = found.wave
    high = " and ".join(f"{round(angle) % 360} deg" for angle in wave.high_deg)
    cause = usual_cause(wave.order, waves.studs).value
    return (
        f"{wave.order} per turn: {estimate(wave.peak_to_peak_nm, shop)} peak to peak, "
        f"U2 {estimate(4 * found.sd1_nm, shop)}, thick at {high}. Usually {cause} "
        f"(common practice)."
    )


def _not_seen(waves: ThicknessWaves) -> list[str]:
    if waves.has_gap:
        return []
    shares = [
        f"{100 * share:.0f} % of {order} per turn"
        for order, share in enumerate(waves.missed, start=1)
        if order not in waves.blind
    ]
    texts = [f"{waves.points} points can miss at worst {', '.join(shares)}."] if shares else []
    if waves.blind:
        blind = " and ".join(str(order) for order in waves.blind)
        texts.append(
            f"They can miss {blind} per turn altogether; 9 points would miss none of up to 6."
        )
    if waves.studs_pass_for is not None:
        texts.append(
            f"Uneven nut torque bends a rotor {waves.studs} times per turn; in {waves.points} "
            f"points that passes for {waves.studs_pass_for}."
        )
    return texts


def pulsation_lines(tyre: Tyre, waves: ThicknessWaves | None, shop: Shop, width: int) -> list[Line]:
    """Return how often per second each wave comes past the pads, by speed."""
    unit = shop.distance_unit
    orders = sorted({1, 2, *(each.wave.order for each in (waves.real if waves else ()))})
    speeds = SPEEDS[unit]
    head = "  per turn" + "".join(f"{speed:>7}" for speed in speeds) + f"  {unit.value}/h"
    lines = [Line(), Line(text="Pulsation while braking", role="heading"), Line(text=head)]
    for order in orders:
        hertz = [frequency_hz(order, speed * unit.mm, tyre.circumference_mm) for speed in speeds]
        lines.append(
            Line(text=f"  {order:>8}" + "".join(f"{each:>7.1f}" for each in hertz) + "  Hz")
        )
    lines += wrapped(
        f"{tyre.size} rolls {tyre.circumference_mm / 1000:.3f} m in one turn (0.97 of its own "
        f"circumference, common practice). Shaking without braking is not from the rotor.",
        first="  ",
        rest="  ",
        role="quiet",
        width=width,
    )
    return lines
