"""The plain straight line through the readings of one part: a check beside the projection.

It is what a textbook or a spreadsheet makes of the same figures, so that anybody can work it out
again. It knows nothing of other parts, of gauges or of the way wear varies, and decides nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brakelog.metrology.inverse import place_of
from brakelog.metrology.line import Line, line_from, line_through
from brakelog.wear.history import MM_PER_1000KM, NM_PER_MM, believed_u1_mm
from brakelog.wear.life import PartLife
from brakelog.wear.question import odometer_questions

PROBABILITY = 0.95
"""Probability of the intervals. [-]

Source: common practice; what textbooks and spreadsheets give unless they are asked otherwise.
"""

LEAST_SCATTER_MM = 1e-6
"""Scatter about the line below which it says nothing. [mm]

Assumption: the step of the record, 1 nm. Points exactly on a line were lucky or read in coarse
steps, and an interval of no width would be believed.
"""

LEAST_RATE = 1e-6
"""Rate up to which the line is level. [mm/1000 km]

Assumption: 1 nm in 1000 km is what rounding leaves; no brake part wears so slowly.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Distance from the last reading to the limit.

    Parameters
    ----------
    expected_mm
        Where the line comes to the limit; negative if it has passed it already. [mm]
    earliest_mm, latest_mm
        Ends of the interval; both None where there is no finite one. [mm]
    """

    expected_mm: int
    earliest_mm: int | None
    latest_mm: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """What a reading further on should be if the line goes on.

    Parameters
    ----------
    expected_nm
        On the line. [nm]
    smallest_nm, largest_nm
        Ends of the prediction interval. [nm]
    """

    expected_nm: int
    smallest_nm: int
    largest_nm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainCheck:
    """What the plain line says of one part life.

    Parameters
    ----------
    life
        The part life.
    points
        Points behind the line: the readings, and the size when fitted. [-]
    is_from_start
        Whether the size when fitted was taken as exact instead of as one of the points.
    probability
        Of every interval. [-]
    rate_nm_per_1000km
        Wear; negative where the sizes go the other way. [nm/1000 km]
    reading1_nm
        Standard uncertainty of a reading by its gauge, root mean square. [nm]
    line_reaches
        Distance at which the line comes to the limit. None without a limit, without wear, and
        where the part is out already.
    reading_reaches
        Distance at which one new reading would come to it: as far, and less sure.
    line
        Material in mm over that of the last reading, against the distance from it in 1000 km.
        None where the points say nothing of their scatter: below three of them, or exactly on a
        line.
    """

    life: PartLife
    points: int
    is_from_start: bool
    probability: float
    rate_nm_per_1000km: float
    reading1_nm: float
    line_reaches: Reach | None
    reading_reaches: Reach | None
    line: Line | None

    @property
    def rate_u1_nm_per_1000km(self) -> float | None:
        """Standard uncertainty of the rate, from the scatter alone. [nm/1000 km]"""
        return None if self.line is None else self.line.u1_b * NM_PER_MM

    @property
    def scatter1_nm(self) -> float | None:
        """Standard deviation of a point about the line. [nm]"""
        return None if self.line is None else self.line.s1 * NM_PER_MM

    @property
    def is_too_straight(self) -> bool:
        """Whether the points scatter less than a reading is good for.

        Few points are often that lucky, and the intervals are too narrow then.
        """
        return self.line is not None and self.line.s1 * NM_PER_MM < self.reading1_nm

    def next_reading(self, distance_mm: int) -> NextReading | None:
        """Return what a reading should be at a distance after the last one.

        Parameters
        ----------
        distance_mm
            From the odometer of the last reading. [mm]
        """
        if self.line is None:
            return None
        x = distance_mm / MM_PER_1000KM
        low, high = self.line.interval_of_reading_at(x, probability=self.probability)
        last_nm, sign = self.life.readings[-1].value_nm, _sign(self.life)
        ends = sorted((sign * low * NM_PER_MM, sign * high * NM_PER_MM))
        return NextReading(
            expected_nm=last_nm + round(sign * self.line.at(x) * NM_PER_MM),
            smallest_nm=last_nm + math.floor(ends[0]),
            largest_nm=last_nm + math.ceil(ends[1]),
        )


def plain_check(
    life: PartLife, *, from_start: bool = False, probability: float = PROBABILITY
) -> PlainCheck | None:
    """Draw the plain line through the readings of a part life; never raises on data.

    Parameters
    ----------
    life
        The part life.
    from_start
        Whether the line has to begin exactly at the size when fitted. By default that size is a
        point among the others, so that its own error shows in the scatter.
    probability
        Of every interval. [-]

    Returns
    -------
    PlainCheck or None
        None where there is no line: less than two points, or all at one odometer; from a start,
        if there is none. None, too, while a question is open or an odometer runs back.

    Notes
    -----
    The intervals take each point as independent of the others. Wear adds up, so the points are
    not, and what is stated is narrower than it should be.
    """
    if life.unresolved or odometer_questions(life) or not life.readings:
        return None
    last = life.readings[-1]
    sizes = [(reading.odometer_mm, reading.value_nm) for reading in life.readings]
    if life.start is not None:
        sizes.insert(0, (life.start.odometer_mm, life.start.size_nm))
    elif from_start:
        return None
    # In order of odometer, so that the ends are alike only where all are.
    if sizes[0][0] == sizes[-1][0]:
        return None
    # From the last reading on, as integers: exact however far the car has gone.
    xs = [(odometer_mm - last.odometer_mm) / MM_PER_1000KM for odometer_mm, _ in sizes]
    ys = [_sign(life) * (size_nm - last.value_nm) / NM_PER_MM for _, size_nm in sizes]
    slope, line = (ys[-1] - ys[0]) / (xs[-1] - xs[0]), None
    if len(sizes) > 2:
        line = line_from((xs[0], ys[0]), xs[1:], ys[1:]) if from_start else line_through(xs, ys)
        slope = line.b
        if line.s1 < LEAST_SCATTER_MM:
            line = None
    return PlainCheck(
        life=life,
        points=len(sizes),
        is_from_start=from_start,
        probability=probability,
        rate_nm_per_1000km=-slope * NM_PER_MM,
        reading1_nm=_reading1_mm(life) * NM_PER_MM,
        line_reaches=_reach(life, slope, line, probability, reading_weight=None),
        reading_reaches=_reach(life, slope, line, probability, reading_weight=1.0),
        line=line,
    )


def _reach(
    life: PartLife,
    slope: float,
    line: Line | None,
    probability: float,
    *,
    reading_weight: float | None,
) -> Reach | None:
    if life.limit_nm is None or life.is_out or -slope <= LEAST_RATE:
        return None
    limit = _sign(life) * (life.limit_nm - life.readings[-1].value_nm) / NM_PER_MM
    place = None
    if line is not None:
        place = place_of(line, limit, probability=probability, reading_weight=reading_weight)
    if place is None:
        # Without scatter the line goes through the last reading.
        return Reach(expected_mm=_whole_mm(limit / slope), earliest_mm=None, latest_mm=None)
    return Reach(
        expected_mm=_whole_mm(place.x),
        earliest_mm=None if place.low is None else _whole_mm(place.low),
        latest_mm=None if place.high is None else _whole_mm(place.high),
    )


def _reading1_mm(life: PartLife) -> float:
    """Root mean square of the standard uncertainties of the readings. [mm]"""
    each = [believed_u1_mm(life.kind, reading.sigma1_nm) for reading in life.readings]
    return math.hypot(*each) / math.sqrt(len(each))


def _sign(life: PartLife) -> int:
    """Turns a size so that it falls with wear. [-]"""
    return -1 if life.grows else 1


def _whole_mm(distance: float) -> int:
    """Whole millimetres of a distance in 1000 km, rounded down. [mm]"""
    return math.floor(distance * MM_PER_1000KM)
