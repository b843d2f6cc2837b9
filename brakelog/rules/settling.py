"""What would settle a reading that proves nothing: which gauge, how many points, what to do."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.uncertainty import Spread
from brakelog.record.gauge import Gauge, Tips
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Doubt, Judgement
from brakelog.rules.spreading import spread_with

_BY_GAUGE = (Doubt.TOO_CLOSE, Doubt.UNFIT_GAUGE, Doubt.NEVER_PROVES)
"""Doubts that only another gauge removes; all others are removed by doing the same again right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """What would settle one measure."""

    gauges: tuple[Gauge, ...] = ()
    """Gauges of the shop that would, if they read the same; the finest first."""
    more_points: int = 0
    again: tuple[Doubt, ...] = ()
    """What has to be done right for the next reading to count."""
    needs_gauge: bool = False
    """Whether another gauge is needed at all."""
    has_list: bool = True
    """Whether the shop has any gauge for this quantity on file."""

    @property
    def is_possible(self) -> bool:
        """Whether something in the shop could settle it, or nobody knows what the shop has."""
        return not self.needs_gauge or bool(self.gauges) or not self.has_list


def settling_of(file: CaseFile, judgement: Judgement) -> Settling:
    """Return what would settle a measure that is not proven."""
    sets = [each for each in file.sets if each.id in judgement.set_ids]
    needs_gauge = any(doubt in _BY_GAUGE for doubt in judgement.doubts)
    candidates = [
        (spread, gauge)
        for gauge in file.shop_gauges
        for spread in [_worst_spread(file, sets, gauge)]
        if spread.is_known
    ]
    fit = sorted(
        ((spread, gauge) for spread, gauge in candidates if _would(file, judgement, spread, gauge)),
        key=lambda pair: (pair[0].u1_nm, pair[1].tag),
    )
    few = Doubt.FEW_POINTS in judgement.doubts
    return Settling(
        gauges=tuple(gauge for _, gauge in fit) if needs_gauge else (),
        more_points=max(judgement.points_needed - judgement.points, 1) if few else 0,
        again=tuple(
            doubt
            for doubt in judgement.doubts
            if doubt not in _BY_GAUGE and doubt is not Doubt.FEW_POINTS
        ),
        needs_gauge=needs_gauge,
        has_list=bool(candidates),
    )


def _worst_spread(file: CaseFile, sets: list[ReadingSet], gauge: Gauge) -> Spread:
    return max((spread_with(file, each, gauge) for each in sets), key=lambda each: each.u1_nm)


def _would(file: CaseFile, judgement: Judgement, spread: Spread, gauge: Gauge) -> bool:
    """Whether the same reading, taken with this gauge, would prove the part to be in limits."""
    if judgement.deciding is None or judgement.margin_nm is None or not spread.proves:
        return False
    if Doubt.LIP in judgement.doubts and gauge.tips is not Tips.POINTED:
        return False
    u1_nm = spread.u1_nm
    if judgement.is_difference:
        u1_nm = spread.u1_difference_nm
        limit_nm = judgement.deciding.nm
        if not spread.takes_differences or 2 * u1_nm > limit_nm or gauge.resolution_nm > limit_nm:
            return False
    probability = conformance_probability(float(judgement.margin_nm), u1_nm)
    return probability >= file.shop.probability
