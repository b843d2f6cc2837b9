"""How well a share is known that was counted."""

from __future__ import annotations

from brakelog.metrology.distributions import f_quantile


def share_interval(hits: float, count: float, *, confidence: float = 0.95) -> tuple[float, float]:
    """Return the interval that holds a share of which some trials were counted.

    Parameters
    ----------
    hits, count : float
        Successes and trials; not whole where the trials depend on each other and fewer count. [-]
    confidence : float
        Least probability that the interval holds the share. [-]

    Raises
    ------
    ValueError
        If there are more hits than trials, or no trials.

    References
    ----------
    C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits illustrated in the
    case of the binomial", Biometrika 26 (1934) 404-413.

    Examples
    --------
    >>> low, high = share_interval(45, 50)
    >>> round(low, 3), round(high, 3)
    (0.782, 0.967)
    """
    if not 0.0 <= hits <= count or not count > 0.0:
        raise ValueError(f"no share of {hits} in {count}")
    beyond = (1.0 - confidence) / 2.0
    misses = count - hits
    low, high = 0.0, 1.0
    if hits > 0.0:
        ratio = f_quantile(beyond, 2.0 * hits, 2.0 * (misses + 1.0))
        low = hits * ratio / (hits * ratio + misses + 1.0)
    if misses > 0.0:
        ratio = f_quantile(1.0 - beyond, 2.0 * (hits + 1.0), 2.0 * misses)
        high = (hits + 1.0) * ratio / ((hits + 1.0) * ratio + misses)
    return low, high
