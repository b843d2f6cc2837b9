"""The uncertainty of a reading set: its gauge, its part's warmth, the shop's own repeats."""

from __future__ import annotations

from brakelog.lengths import NM_PER_MM
from brakelog.metrology.repeatability import Repeatability
from brakelog.metrology.uncertainty import Spread, spread_of
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile


def spread_for(file: CaseFile, reading: ReadingSet) -> Spread:
    """Return the uncertainty of one reading of a set."""
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    return spread_with(file, reading, gauge)


def spread_with(file: CaseFile, reading: ReadingSet, gauge: Gauge | None) -> Spread:
    """Return the uncertainty that the same readings would have with another gauge."""
    return spread_of(
        reading.quantity,
        gauge,
        size_nm=_size_nm(reading),
        temperature_dc=reading.temperature_dc,
        repeatability=_repeats(file, reading, gauge),
    )


def _size_nm(reading: ReadingSet) -> int | None:
    """Return the largest reading, to the next whole millimetre; None for a difference. [nm]

    To a millimetre the budget of a part's warmth is as good, and few sizes are different ones.
    """
    if reading.quantity not in IRON_SIZES:
        return None
    return -(-max(reading.measured_nm) // NM_PER_MM) * NM_PER_MM


def _repeats(file: CaseFile, reading: ReadingSet, gauge: Gauge | None) -> Repeatability | None:
    if gauge is None or reading.quantity is not Quantity.ROTOR:
        return None
    return file.repeats.get(gauge.id)


IRON_SIZES = (Quantity.ROTOR, Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)
"""Sizes of iron parts, which their warmth changes."""
