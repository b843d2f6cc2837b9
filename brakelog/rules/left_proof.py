"""Whether the size of a new part at fitting shows by itself that it is inside its limit."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.uncertainty import spread_of
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Datum
from brakelog.rules.bound import Bound
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.compare import is_out, margin_nm
from brakelog.rules.figure import one_unit
from brakelog.rules.measure import Measure
from brakelog.rules.spreading import IRON_SIZES


def bound_of(file: CaseFile, kind: LimitKind, corner: Corner, measure: Measure) -> Bound:
    """Return what bounds the size of a part, of its lining where it has one."""
    is_lining = measure.facts.part in (Part.PADS, Part.SHOES)
    return file.bounds.of(
        kind, corner, which_pad=measure.facts.which_pad, datum=Datum.LINING if is_lining else None
    )


def unproven_new(
    file: CaseFile, corner: Corner, measure: Measure, position: Position, event: Fitting
) -> Iterator[OpenItem]:
    """Yield a new part whose size at fitting is too close to its limit to show that it is inside.

    With what it was measured is not on record, so that the worst gauge for it is assumed.
    """
    bound = bound_of(file, measure.facts.limit, corner, measure)
    if event.size_nm is None or event.basis is not SizeBasis.MEASURED or not bound.figures:
        return
    quantity = measure.facts.quantities[0]
    size = Fraction(event.size_nm)
    size_nm = event.size_nm if quantity in IRON_SIZES else None
    u1_nm = spread_of(quantity, None, size_nm=size_nm).u1_nm
    nearest = min(bound.figures, key=lambda each: margin_nm(size, each.limit.comparator, each.nm))
    margin = margin_nm(size, nearest.limit.comparator, nearest.nm)
    is_beyond = is_out(size, nearest.limit.comparator, nearest.nm)
    if is_beyond or conformance_probability(float(margin), u1_nm) >= file.shop.probability:
        return
    fine = position.part in (Part.ROTOR, Part.DRUM)
    printed = one_unit(event.size_nm, file.shop, fine=fine, against=[nearest.nm])
    yield OpenItem(
        gap=Gap.LEFT_NOT_PROVEN,
        hand=Hand.PARTS,
        text=(
            f"{corner} {position.label}: new at {printed}, too close to the "
            f"{measure.facts.limit.facts.label} limit {bound.printed(nearest)} to be proven by "
            f"its size at fitting"
        ),
        do="measure it as left",
        line=f"{corner} {quantity.value} ",
        corner=corner,
        axle=corner.axle,
        part=position.part,
        position=position,
    )
