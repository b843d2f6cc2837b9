"""The distances at which many parts reach their limit; see ``wear.crossing`` for one part."""

from __future__ import annotations

import numpy as np

from brakelog.wear.bulk.laplace import RateEstimates
from brakelog.wear.bulk.lives import Floats
from brakelog.wear.crossing import LEAST_MARGIN_SHARE, LEAST_SD_MM, PASSES


def crossing_distances(estimates: RateEstimates, process_c: Floats, z: float) -> Floats:
    """Distances after the last visit at which the limit is reached, at level z. [1000 km]

    Parameters
    ----------
    estimates
        Rates and margins after the last visit.
    process_c
        Process variance over rate squared and distance, shape (N,). [1000 km]
    z
        Standard normal level: negative for an early distance, positive for a late one. [-]

    Notes
    -----
    The method is that of ``wear.crossing.crossing_distance``, round for round; the two differ by
    rounding only.
    """
    if z == 0.0:
        return median_distances(estimates)
    rho, spread, lean = estimates.log_rate, estimates.log_rate_u1, estimates.lean
    centre, rate = estimates.margin_mm, np.exp(estimates.log_rate)
    sd = np.sqrt(estimates.margin_var) + LEAST_SD_MM
    var, spread_lean = np.square(sd), spread * lean
    least = LEAST_MARGIN_SHARE * sd
    at_no_rate = centre - lean * rate
    margin = np.maximum(centre, least)
    distance = margin / rate
    process_var, by_margin, by_rate, scale, moved, scratch = np.empty((6, len(rho)))
    # Every line works in place: at this length allocating costs as much as computing.
    for turn in range(PASSES):
        np.log1p(np.divide(process_c, distance, out=process_var), out=process_var)
        np.multiply(spread_lean, rate, out=by_rate)
        by_rate /= margin
        by_rate -= spread
        # This one is multiplied with the standard uncertainty of the margin already.
        np.divide(var, margin, out=by_margin)
        np.divide(by_margin, margin, out=scale)
        scale += np.square(by_rate, out=scratch)
        scale += process_var
        np.divide(z, np.sqrt(scale, out=scale), out=scale)
        by_rate *= spread
        by_rate *= scale
        by_rate += rho
        np.exp(by_rate, out=rate)
        np.multiply(lean, rate, out=moved)
        moved += at_no_rate
        by_margin *= scale
        moved += by_margin
        # The rate, slowed or sped up by the process.
        process_var *= scale
        pace = np.exp(np.subtract(by_rate, process_var, out=by_rate), out=by_rate)
        if turn == PASSES - 1:
            break
        kept = np.maximum(moved, least, out=by_margin)
        margin += kept
        margin *= 0.5
        # The geometric mean with the last round damps an oscillation close to the limit.
        distance *= kept
        distance /= pace
        np.sqrt(distance, out=distance)
    found: Floats = np.maximum(moved, 0.0) / pace
    if z < 0.0:
        # Where the margin itself is not proven there is no distance to state.
        found[centre <= -z * sd] = 0.0
    return found


def median_distances(estimates: RateEstimates) -> Floats:
    """Distances that half of such parts reach; 0 at or beyond the limit. [1000 km]"""
    distances: Floats = np.maximum(estimates.margin_mm, 0.0) / np.exp(estimates.log_rate)
    return distances
