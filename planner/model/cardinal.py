"""Cardinal temperatures and pH: where a microbe begins to grow, grows best, and ceases to.

The two curves of Rosso and others have no other constants than these three; they take floats as well as arrays of members.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from planner.model.constants import ZERO_CELSIUS
from planner.model.maths import ARRAYS, Maths


class Cardinal(NamedTuple):
    """Where growth begins, is best and ceases; each a float or one value per member. [K] or [-]"""

    lowest: Any
    best: Any
    highest: Any


USUAL = Cardinal(2.5 + ZERO_CELSIUS, 32.3 + ZERO_CELSIUS, 45.4 + ZERO_CELSIUS)
"""Temperatures of ordinary wine yeast. [K] Salvadó et al. 2011 (abstract): mean of its species in rich medium without alcohol."""

PH = Cardinal(2.0, 4.7, 8.5)
"""pH of wine yeast. [-] From memory: 2.0 to 2.35, 4.5 to 5.0, 8.0 to 8.5; none was fitted in must. See `hardship.SUSCEPTIBLE`."""

_BELOW, _BELOW_BEST, _ABOVE = 8.0, 1.0, 9.0  # kelvin from a supplier's range to its cardinal temperatures; estimate
_COLDEST = 1.0 + ZERO_CELSIUS  # no wine yeast begins below [K] Salvadó et al. 2011: 1.3 to 4.3 °C over the genus


def of_range(low: float, high: float) -> Cardinal:
    """Cardinal temperatures of a yeast from the range in which it is said to work well.

    Parameters
    ----------
    low, high : float
        The range. [K]

    Returns
    -------
    Cardinal
        Estimate: 8 K below it, 1 K below its end, 9 K above it. [K]

    Examples
    --------
    >>> [round(float(t) - 273.15, 1) for t in of_range(288.15, 300.15)]
    [7.0, 26.0, 36.0]
    """
    lowest, highest = max(low - _BELOW, _COLDEST), max(high, low) + _ABOVE
    # The curve asks for a best above the middle, which a narrow range would not give.
    best = max(high - _BELOW_BEST, 0.5 * (lowest + highest) + 1.0)
    return Cardinal(lowest, best, highest)


def by_temperature(temperature: Any, of: Cardinal, maths: Maths = ARRAYS) -> Any:
    """Growth beside that at the best temperature.

    Parameters
    ----------
    temperature : float or array-like
        [K]
    of : Cardinal
        Cardinal temperatures, the best above the middle of the others. [K]
    maths : Maths
        `FLOATS` where all of these are floats. [-]

    Returns
    -------
    float or numpy.ndarray
        From 0, at the ends and beyond, to 1. [-]

    References
    ----------
    .. [1] Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162, 447.

    Examples
    --------
    >>> [round(float(by_temperature(t + 273.15, USUAL)), 3) for t in (12.0, 20.0, 32.3)]
    [0.218, 0.601, 1.0]
    """
    low, best, high = of
    t = maths.smaller(maths.larger(temperature, low), high)
    above, wide = t - low, best - low
    return (t - high) * (above * above) / (wide * (wide * (t - best) - (best - high) * (best + low - 2.0 * t)))


def by_ph(ph: Any, of: Cardinal = PH, maths: Maths = ARRAYS) -> Any:
    """Growth beside that at the best pH.

    Parameters
    ----------
    ph : float or array-like
        [-]
    maths : Maths
        `FLOATS` where all of these are floats. [-]

    Returns
    -------
    float or numpy.ndarray
        From 0, at the ends and beyond, to 1. [-]

    References
    ----------
    .. [1] Rosso, Lobry, Bajard & Flandrois 1995, Appl. Environ. Microbiol. 61, 610-616.

    Examples
    --------
    >>> [round(float(by_ph(ph)), 3) for ph in (2.5, 3.0, 4.0, 4.7)]
    [0.383, 0.656, 0.948, 1.0]
    """
    low, best, high = of
    x = maths.smaller(maths.larger(ph, low), high)
    product, off = (x - low) * (x - high), x - best
    return product / (product - off * off)
