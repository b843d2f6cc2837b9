"""Slips put into the last visit of an invented car, and how many of them are asked about."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from brakelog.lengths import NM_PER_INCH, NM_PER_MM, print_length
from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.review.question import Question, Suspicion
from brakelog.review.review import review
from tests.property.review_worlds import EDGES, GAUGES, PADS, SHOES, Car, car, retyped, with_set

LININGS = (*PADS, *SHOES)
Slip = Callable[[Car, random.Random], set[str] | None]
"""Puts a slip into the last visit and returns the ids of the sets; None where it cannot."""


@dataclass(frozen=True, kw_only=True)
class Kind:
    name: str
    slip: Slip
    asks: frozenset[Suspicion]
    shop: str = "fine"


def now(made: Car, *quantities: Quantity, stage: Stage = Stage.AS_FOUND) -> list[ReadingSet]:
    return [
        each
        for each in made.sets
        if each.visit_id == made.visits[-1].id
        and each.quantity in quantities
        and each.stage is stage
    ]


def one(made: Car, rng: random.Random, *quantities: Quantity) -> ReadingSet | None:
    found = now(made, *quantities)
    return rng.choice(found) if found else None


def change(made: Car, reading: ReadingSet, values: list[int | None]) -> set[str]:
    """Type other values. Where all change, point 1 read again would change with them."""
    is_whole = all(old != new for old, new in zip(reading.values_nm, values, strict=True))
    again_nm = None if is_whole else reading.again_nm
    with_set(made, reading, **retyped(reading, values), again_nm=again_nm)
    return {reading.id}


def is_inch(reading: ReadingSet) -> bool:
    return reading.unit.is_inch


def point_off(metric_nm: int, inch_nm: int) -> Slip:
    def slip(made: Car, rng: random.Random) -> set[str] | None:
        reading = one(made, rng, Quantity.ROTOR)
        assert reading is not None
        values = list(reading.values_nm)
        index = rng.randrange(len(values))
        by_nm = rng.choice((-1, 1)) * (inch_nm if is_inch(reading) else metric_nm)
        values[index] = (values[index] or 0) + by_nm
        return change(made, reading, values)

    return slip


def turn_on_all(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    if GAUGES[reading.gauge_id or ""].resolution_nm <= 1_270:
        return None
    by_nm = rng.choice((-1, 1)) * (NM_PER_INCH // 40 if is_inch(reading) else NM_PER_MM // 2)
    return change(made, reading, [(nm or 0) + by_nm for nm in reading.values_nm])


def lip_on_point(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    values = list(reading.values_nm)
    index = rng.randrange(len(values))
    values[index] = (values[index] or 0) + rng.randrange(320_000, 1_900_000, 1_000)
    return change(made, reading, values)


def lip_on_all(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    by_nm = rng.randrange(600_000, 1_900_000, 10_000)
    with_set(made, reading, tips=None, gauge_id=None)
    fresh = next(each for each in made.sets if each.id == reading.id)
    return change(made, fresh, [(nm or 0) + by_nm for nm in fresh.values_nm])


def groove(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    values = list(reading.values_nm)
    for index in rng.sample(range(len(values)), 2):
        values[index] = (values[index] or 0) - rng.randrange(130_000, 450_000, 1_000)
    return change(made, reading, values)


def rotor_digits(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    index = rng.randrange(len(reading.typed))
    text = reading.typed[index]
    point = text.index(".")
    if point + 2 >= len(text) or text[point + 1] == text[point + 2]:
        return None
    signs = list(text)
    signs[point + 1], signs[point + 2] = signs[point + 2], signs[point + 1]
    return _retype(made, reading, index, "".join(signs))


def lining_digits(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, *LININGS)
    assert reading is not None
    if is_inch(reading):
        return None
    index = rng.randrange(len(reading.typed))
    text = reading.typed[index]
    if text.index(".") != 1 or text[0] == text[2]:
        return None
    return _retype(made, reading, index, text[2] + "." + text[0] + text[3:])


def _retype(made: Car, reading: ReadingSet, index: int, text: str) -> set[str] | None:
    values, typed = list(reading.values_nm), list(reading.typed)
    typed[index] = text
    values[index] = round(float(text) * reading.unit.nm)
    with_set(made, reading, values_nm=tuple(values), typed=tuple(typed), again_nm=None)
    return {reading.id}


def lining_decimal(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, *LININGS)
    assert reading is not None
    return change(made, reading, [(nm or 0) // 10 for nm in reading.values_nm])


def lining_inches(made: Car, rng: random.Random) -> set[str] | None:
    """Inches typed where millimetres are declared."""
    reading = one(made, rng, *LININGS)
    assert reading is not None
    if is_inch(reading):
        return None
    typed = [print_length(nm or 0, GAUGES["P-in"].unit, decimals=2) for nm in reading.values_nm]
    values = tuple(round(float(text) * NM_PER_MM) for text in typed)
    with_set(made, reading, values_nm=values, typed=tuple(typed), again_nm=None)
    return {reading.id}


def lining_32nds(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, *PADS)
    assert reading is not None
    if is_inch(reading):
        return None
    typed = [str(round((nm or 0) * 32 / NM_PER_INCH)) for nm in reading.values_nm]
    values = tuple(int(text) * NM_PER_MM for text in typed)
    with_set(made, reading, values_nm=values, typed=tuple(typed), again_nm=None)
    return {reading.id}


def plate(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, *PADS)
    assert reading is not None
    by_nm = rng.randrange(4_500_000, 6_500_000, 100_000)
    return change(made, reading, [(nm or 0) + by_nm for nm in reading.values_nm])


def notch(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, *EDGES)
    if reading is None:
        return None
    by_nm = rng.choice((-1, 1)) * (NM_PER_INCH // 8 if is_inch(reading) else 2 * NM_PER_MM)
    return change(made, reading, [(nm or 0) + by_nm for nm in reading.values_nm])


def swap(axles: tuple[int, int], sides: tuple[Side, Side]) -> Slip:
    def slip(made: Car, rng: random.Random) -> set[str] | None:
        first = Corner(axle=axles[0], side=sides[0])
        second = Corner(axle=axles[1], side=sides[1])
        if axles[0] != axles[1] and made.drum_rear:
            return None
        ids: set[str] = set()
        for each in list(now(made, *PADS, Quantity.ROTOR)):
            if each.corner in (first, second):
                with_set(made, each, corner=second if each.corner == first else first)
                ids.add(each.id)
        return ids or None

    return slip


def swap_pads(made: Car, rng: random.Random) -> set[str] | None:
    """Inner and outer exchanged at a corner of which one pad wears clearly faster."""
    corner = Corner(axle=1, side=Side.LEFT)
    inner, outer = (
        next(each for each in now(made, quantity) if each.corner == corner) for quantity in PADS
    )
    gap = abs(sum(inner.measured_nm) - sum(outer.measured_nm)) / 2
    if gap < 1_000_000:
        return None
    with_set(made, inner, quantity=outer.quantity)
    with_set(made, outer, quantity=inner.quantity)
    return {inner.id, outer.id}


def copied_corner(made: Car, rng: random.Random) -> set[str] | None:
    first, second, *_ = now(made, Quantity.ROTOR)
    with_set(made, second, values_nm=first.values_nm, typed=first.typed, again_nm=None)
    return {second.id}


def copied_visit(made: Car, rng: random.Random) -> set[str] | None:
    if len(made.visits) < 2:
        return None
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    past = [
        each
        for each in made.sets
        if each.visit_id == made.visits[-2].id
        and (each.corner, each.quantity) == (reading.corner, reading.quantity)
    ]
    with_set(made, reading, values_nm=past[-1].values_nm, typed=past[-1].typed, again_nm=None)
    return {reading.id}


def invented(made: Car, rng: random.Random) -> set[str] | None:
    reading = one(made, rng, Quantity.ROTOR)
    assert reading is not None
    if GAUGES[reading.gauge_id or ""].resolution_nm != 1_000:
        return None
    return change(made, reading, [reading.values_nm[0]] * len(reading.values_nm))


def clipped(made: Car, rng: random.Random) -> set[str] | None:
    """The lower 40 % of a profile is cut off."""
    found = [each for each in now(made, Quantity.RUNOUT) if len(each.values_nm) > 5]
    if not found:
        return None
    reading = found[0]
    floor = round(0.4 * max(reading.measured_nm) / 10_000) * 10_000
    if floor < 10_000:
        return None
    return change(made, reading, [max((nm or 0) - floor, 0) for nm in reading.values_nm])


def base_slipped(made: Car, rng: random.Random) -> set[str] | None:
    found = [each for each in now(made, Quantity.RUNOUT) if each.again_nm is not None]
    if not found:
        return None
    with_set(made, found[0], again_nm=(found[0].again_nm or 0) + 40_000)
    return {found[0].id}


def unrecorded_pads(made: Car, rng: random.Random) -> set[str] | None:
    """New pads at both sides of the front, without a fitting."""
    ids: set[str] = set()
    worn = now(made, *PADS)
    if min(min(each.measured_nm) for each in worn if each.corner.axle == 1) > 7_000_000:
        return None
    for each in worn:
        if each.corner.axle == 1:
            ids |= change(
                made, each, [11_000_000 + rng.randrange(-200_000, 200_000) for _ in each.values_nm]
            )
    return ids


def refinished(made: Car, rng: random.Random) -> set[str] | None:
    """Front rotors cut by 0.3 to 0.5 mm and pads renewed, only the pads recorded."""
    if len(made.visits) < 2 or made.fittings:
        return None
    ids: set[str] = set()
    by_nm = rng.randrange(300_000, 500_000, 10_000)
    earlier = {
        (each.corner, each.quantity): each
        for each in made.sets
        if each.visit_id == made.visits[-2].id
    }
    for each in now(made, *PADS, Quantity.ROTOR):
        if each.corner.axle != 1:
            continue
        before = earlier[each.corner, each.quantity]
        if each.quantity is Quantity.ROTOR:
            level = sorted(before.measured_nm)[len(before.measured_nm) // 2]
            mine = sorted(each.measured_nm)[len(each.measured_nm) // 2]
            change(made, each, [(nm or 0) - mine + level - by_nm for nm in each.values_nm])
            ids.add(each.id)
        else:
            change(made, each, [(nm or 0) - 100_000 for nm in before.values_nm])
    return ids


def odometer(new: Callable[[int, int], int | None]) -> Slip:
    def slip(made: Car, rng: random.Random) -> set[str] | None:
        if len(made.visits) < 2:
            return None
        last = made.visits[-1]
        before_km = made.visits[-2].odometer_mm // 1_000_000
        km = new(last.odometer_mm // 1_000_000, before_km)
        if km is None:
            return None
        made.visits[-1] = replace(last, odometer_mm=km * 1_000_000, odometer_text=str(km))
        return {last.id}

    return slip


def low_digits(km: int, before_km: int) -> int | None:
    """Two neighbouring digits swapped so that it still rises, and by far too little."""
    text = str(km)
    found = []
    for n in range(len(text) - 1):
        other = int(text[:n] + text[n + 1] + text[n] + text[n + 2 :])
        if before_km < other and (km - before_km) > 4 * (other - before_km):
            found.append(other)
    return found[0] if found else None


def high_digits(km: int, before_km: int) -> int | None:
    text = str(km)
    found = []
    for n in range(len(text) - 1):
        other = int(text[:n] + text[n + 1] + text[n] + text[n + 2 :])
        if other - before_km > 4 * (km - before_km):
            found.append(other)
    return found[0] if found else None


def other_car(made: Car, rng: random.Random) -> set[str] | None:
    """All readings are those of another car with the same brakes."""
    shop = made.shop
    stranger = next(
        other
        for seed in range(10_000, 20_000)
        if (other := car(seed, visits=2, shop="fine")).drum_rear == made.drum_rear
        and rng.random() < 0.2
    )
    assert shop is not None
    theirs = [each for each in stranger.sets if each.visit_id == stranger.visits[-1].id]
    mine = made.visits[-1].id
    made.sets = [each for each in made.sets if each.visit_id != mine]
    made.sets += [
        replace(each, visit_id=mine, id=f"x{each.id}")
        for each in theirs
        if each.stage is Stage.AS_FOUND
    ]
    return {made.visits[-1].id}


S = Suspicion
KINDS = (
    Kind(name="one point one turn off", slip=point_off(500_000, 635_000), asks=frozenset({S.TURN})),
    Kind(
        name="one point a sleeve figure off",
        slip=point_off(1_000_000, 2_540_000),
        asks=frozenset({S.SLEEVE}),
    ),
    Kind(
        name="half-turn line missed on all points",
        slip=turn_on_all,
        asks=frozenset({S.TURN_ON_ALL, S.GREW, S.REFINISHED}),
    ),
    Kind(
        name="two digits of a rotor point swapped",
        slip=rotor_digits,
        asks=frozenset({S.DIGITS, S.TURN, S.SLEEVE}),
    ),
    Kind(
        name="two digits of a lining swapped",
        slip=lining_digits,
        asks=frozenset({S.DIGITS, S.GREW}),
    ),
    Kind(name="lining a tenth of itself", slip=lining_decimal, asks=frozenset({S.DECIMAL, S.HOLD})),
    Kind(
        name="lip on one point",
        slip=lip_on_point,
        asks=frozenset({S.LIP, S.TURN, S.SLEEVE, S.DIGITS}),
    ),
    Kind(name="lip on all points", slip=lip_on_all, asks=frozenset({S.LIP, S.GREW, S.BEYOND_NEW})),
    Kind(
        name="bottom of grooves, two points",
        slip=groove,
        asks=frozenset({S.GROOVE, S.TURN, S.DIGITS, S.STRAY}),
    ),
    Kind(
        name="lining in inches typed as mm",
        slip=lining_inches,
        asks=frozenset({S.LINING_UNIT, S.HOLD, S.DECIMAL}),
    ),
    Kind(
        name="lining in 32nds typed as mm",
        slip=lining_32nds,
        asks=frozenset({S.LINING_UNIT, S.GREW, S.PLATE}),
    ),
    Kind(
        name="backing plate included", slip=plate, asks=frozenset({S.PLATE, S.GREW, S.BEYOND_NEW})
    ),
    Kind(
        name="wrong notch of the drum gauge",
        slip=notch,
        asks=frozenset({S.NOTCH, S.GREW, S.BEYOND_NEW}),
    ),
    Kind(
        name="front corners swapped",
        slip=swap((1, 1), (Side.LEFT, Side.RIGHT)),
        asks=frozenset({S.CORNERS, S.GREW}),
    ),
    Kind(
        name="left front and left rear swapped",
        slip=swap((1, 2), (Side.LEFT, Side.LEFT)),
        asks=frozenset({S.CORNERS}),
    ),
    Kind(
        name="inner and outer swapped, 1 mm apart", slip=swap_pads, asks=frozenset({S.PADS, S.GREW})
    ),
    Kind(name="column copied from another corner", slip=copied_corner, asks=frozenset({S.COPIED})),
    Kind(name="column copied from the last visit", slip=copied_visit, asks=frozenset({S.COPIED})),
    Kind(name="all points equal, 0.001 mm", slip=invented, asks=frozenset({S.TOO_EVEN})),
    Kind(name="indicator clipped", slip=clipped, asks=frozenset({S.CLIPPED})),
    Kind(name="indicator base slipped", slip=base_slipped, asks=frozenset({S.BASE_SLIPPED})),
    Kind(name="pads renewed without a record", slip=unrecorded_pads, asks=frozenset({S.GREW})),
    Kind(
        name="rotors refinished without a record", slip=refinished, asks=frozenset({S.REFINISHED})
    ),
    Kind(
        name="odometer digits swapped, a quarter or less driven",
        slip=odometer(low_digits),
        asks=frozenset({S.ODOMETER_DIGITS}),
    ),
    Kind(
        name="odometer digits swapped, four times or more driven",
        slip=odometer(high_digits),
        asks=frozenset({S.ODOMETER_DIGITS, S.ODOMETER_FAST}),
    ),
    Kind(
        name="odometer with its tenths digit",
        slip=odometer(lambda km, _: km * 10),
        asks=frozenset({S.ODOMETER_TENTHS}),
    ),
    Kind(
        name="trip meter typed",
        slip=odometer(lambda km, before: 431 if before > 20_000 else None),
        asks=frozenset({S.TRIP_METER}),
    ),
    Kind(name="another car", slip=other_car, asks=frozenset({S.VEHICLE, S.GREW})),
)


@dataclass(frozen=True, kw_only=True)
class Caught:
    tried: int
    named: int
    """Asked about by one of the suspicions that belong to the slip."""
    asked: int
    """Asked about at all."""


def catch(kind: Kind, *, visits: int, tries: int, first_seed: int = 0) -> Caught:
    """Put a slip into cars with some visits and count what is asked."""
    tried = named = asked = 0
    seed = first_seed
    while tried < tries and seed < first_seed + 40 * tries:
        seed += 1
        made = car(seed, visits=visits, shop=kind.shop)
        rng = random.Random(seed)
        touched = kind.slip(made, rng)
        if touched is None:
            continue
        tried += 1
        found = list(_about(made, touched))
        named += any(question.suspicion in kind.asks for question in found)
        asked += bool(found)
    return Caught(tried=tried, named=named, asked=asked)


def _about(made: Car, touched: set[str]) -> Iterator[Question]:
    last = made.visits[-1].id
    for question in review(made.evidence(len(made.visits) - 1, Stage.AS_FOUND)):
        if question.suspicion is Suspicion.LIP_NOT_JUDGED or question.visit_id != last:
            continue
        if not touched.isdisjoint(question.set_ids) or last in touched:
            yield question
