"""What a warm part would measure at the reference temperature."""

from __future__ import annotations

from fractions import Fraction

REFERENCE_DC = 200
"""20 degrees Celsius, the reference temperature for dimensions (ISO 1:2016, clause 3).
[tenths of a degree Celsius]"""
GREY_IRON_PER_K = Fraction(11, 1_000_000)
"""Linear expansion of grey cast iron: 11e-6/K within about 1e-6/K (material summaries for
grey-iron grades). [1/K]"""


def at_reference_nm(size_nm: int, temperature_dc: int) -> Fraction:
    """Return the size of an iron part at 20 degrees Celsius.

    Parameters
    ----------
    size_nm : int
        Size as read at the part's temperature. [nm]
    temperature_dc : int
        Temperature of the part. [tenths of a degree Celsius]

    Returns
    -------
    Fraction
        Exact value of ``size * (1 - alpha * (t - 20))``. [nm]

    Examples
    --------
    A 28 mm disc read 40 K too warm reads 12.32 micrometres thick:

    >>> round(28_000_000 - at_reference_nm(28_000_000, 600))
    12320
    """
    kelvin = Fraction(temperature_dc - REFERENCE_DC, 10)
    return size_nm * (1 - GREY_IRON_PER_K * kelvin)
