"""Sulphur dioxide: how much of it protects at a pH, how much metabisulphite to weigh, and what the law allows."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from planner.model.span import Span

Array = npt.NDArray[np.float64]

TEXTBOOK = "textbook"
"""Convention of one pK of 1.81, water at about 20 °C: the trade's habit, and the cautious one."""

OIV = "oiv"
"""Convention of OIV-MA-AS323-04C: pK by alcohol and temperature."""

TEXTBOOK_PK = 1.81

_STRENGTHS = np.array([0.0, 0.05, 0.10, 0.15])
_WARMTHS = np.array([20.0, 25.0, 30.0, 35.0, 40.0]) + ZERO_CELSIUS
_PK = np.array(  # rows by alcohol, columns by temperature; thermodynamic, OIV-MA-AS323-04C
    [
        [1.798, 2.000, 2.219, 2.334, 2.493],
        [1.897, 2.098, 2.299, 2.397, 2.527],
        [1.997, 2.198, 2.394, 2.488, 2.606],
        [2.099, 2.301, 2.503, 2.607, 2.728],
    ]
)
_SALT_EFFECT = -0.08
# From the thermodynamic to the mixed constant at the ionic strength of wine, 0.038 mol/L: Debye and Hückel. Estimate;
# the OIV's second table, which would state it, was not read.


def pk(convention: str = TEXTBOOK, alcohol: Any = 0.0, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """First dissociation constant of sulphur dioxide, as -log10.

    Parameters
    ----------
    alcohol : array-like
        By volume; used by `OIV`. [m^3/m^3] 0 to 0.20; above 0.15 continued in a line.
    temperature : array-like
        Used by `OIV`. [K] 293.15 to 313.15.

    Returns
    -------
    numpy.ndarray
        pK. [-]

    Raises
    ------
    guards.BadInput
        Outside the range, or an unknown convention.

    References
    ----------
    .. [1] OIV-MA-AS323-04C, thermodynamic constants; the step to a mixed constant is an estimate.

    Examples
    --------
    >>> round(float(pk(OIV, alcohol=0.10)), 2)
    1.92
    """
    strength = guards.share("alcohol", alcohol, 0.20)
    if convention == TEXTBOOK:
        return np.full(np.broadcast_shapes(strength.shape, np.shape(temperature)), TEXTBOOK_PK)
    if convention != OIV:
        raise guards.BadInput("convention", np.nan, f"'{TEXTBOOK}' or '{OIV}'", repr(convention))
    kelvin = guards.temperature("temperature", temperature, low=293.15)
    strength, kelvin = np.broadcast_arrays(strength, kelvin)
    by_strength = np.stack([np.interp(kelvin, _WARMTHS, row) for row in _PK])
    place = np.clip(strength / 0.05, 0.0, None)
    below = np.clip(np.floor(place).astype(int), 0, 2)
    low = np.take_along_axis(by_strength, below[None, ...], axis=0)[0]
    high = np.take_along_axis(by_strength, below[None, ...] + 1, axis=0)[0]
    return np.asarray(low + (high - low) * (place - below) + _SALT_EFFECT)


def molecular_share(
    ph: Any, convention: str = TEXTBOOK, alcohol: Any = 0.0, temperature: Any = REFERENCE_TEMPERATURE
) -> Array:
    """Share of the free sulphur dioxide that is molecular: the part that works on microbes.

    Parameters
    ----------
    ph : array-like
        [-] 2 to 6.
    convention, alcohol, temperature
        As for `pk`. [as there]

    Returns
    -------
    numpy.ndarray
        Molecular over free. [kg/kg]

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] f = 1/(1 + 10^(pH - pK)), OIV-MA-AS323-04C.

    Examples
    --------
    >>> round(float(molecular_share(3.4)), 4)
    0.0251
    """
    acidity = guards.within("pH", ph, 2.0, 6.0)
    return np.asarray(1.0 / (1.0 + 10.0 ** (acidity - pk(convention, alcohol, temperature))))


MOLECULAR_SWEET = 0.8e-3
"""Molecular sulphur dioxide aimed at in white or sweet wine. [kg/m^3] Convention of the trade; 0.6 to
0.8 mg/L for stability, and 2 mg/L stings the nose (Waterhouse, Understanding Wine Chemistry, ch. 17)."""


LEAST_FREE = 0.020
"""Free sulphur dioxide below which none is advised, however low the pH. [kg/m^3] Common practice, no source: 20 to 30 mg/L.
Less is soon bound or lost to air, and a pH that was not measured may be higher."""


def free_for(
    molecular: Any,
    ph: Any,
    convention: str = TEXTBOOK,
    alcohol: Any = 0.0,
    temperature: Any = REFERENCE_TEMPERATURE,
) -> Array:
    """Free sulphur dioxide that holds so much of the molecular.

    Parameters
    ----------
    molecular : array-like
        Wanted molecular sulphur dioxide. [kg/m^3] Usually 0.0005 to 0.0008.
    ph, convention, alcohol, temperature
        As for `molecular_share`. [as there]

    Returns
    -------
    numpy.ndarray
        Free sulphur dioxide. [kg/m^3]

    Raises
    ------
    guards.BadInput
        Outside the range.

    Examples
    --------
    >>> round(1e6 * float(free_for(0.8e-3, 3.5)) / 1e3)  # mg/L
    40
    """
    wanted = guards.amount("molecular sulphur dioxide", molecular, "kg/m³")
    return np.asarray(wanted / molecular_share(ph, convention, alcohol, temperature))


SO2_PER_METABISULPHITE = 2 * 64.064 / 222.32
"""Sulphur dioxide of potassium metabisulphite, K2S2O5. [kg/kg] Molar masses."""

ACTIVE = Span(0.80, 0.95, 1.00)
"""Share of the powder's sulphur dioxide that is still there. [-] From memory: 0.9 after a year in a closed jar."""

BOUND = Span(0.0, 0.30, 0.50)
"""Share of an addition that sugars and aldehydes bind. [-] From memory: a third to a half in sweet and fruit wines."""


def metabisulphite(raise_free: float, volume: float, active: Span = ACTIVE, bound: Span = BOUND) -> Span:
    """Potassium metabisulphite to weigh in so that free sulphur dioxide rises by so much.

    Parameters
    ----------
    raise_free : float
        Wanted free less present free sulphur dioxide; nothing to add if negative. [kg/m^3]
    volume : float
        Of the mead. [m^3]
    active : Span
        Strength of the powder. [kg/kg]
    bound : Span
        Share that will be bound. [kg/kg]

    Returns
    -------
    Span
        Mass: enough if nothing binds, typical, and if much binds. [kg] Add the least, stir, wait some days, measure.

    Raises
    ------
    guards.BadInput
        Not a number, or a negative volume.

    Examples
    --------
    >>> [round(1e3 * x, 2) for x in metabisulphite(0.040, 0.020)]  # 40 mg/L in 20 L, in grams
    [1.39, 2.09, 3.47]
    """
    rise = max(float(guards.within("rise of free sulphur dioxide", raise_free, -1.0, 1.0, "kg/m³")), 0.0)
    plain = rise * float(guards.amount("volume", volume, "m³")) / SO2_PER_METABISULPHITE
    return Span(
        plain / active.high / (1.0 - bound.low),
        plain / active.typical / (1.0 - bound.typical),
        plain / active.low / (1.0 - bound.high),
    )


def total_from(mass: Any, volume: Any) -> Array:
    """Total sulphur dioxide that a mass of metabisulphite brings.

    Parameters
    ----------
    mass : array-like
        Of potassium metabisulphite. [kg]
    volume : array-like
        Of the mead. [m^3]

    Returns
    -------
    numpy.ndarray
        Total, bound or free; compare with `LIMITS`. [kg/m^3]

    Raises
    ------
    guards.BadInput
        A negative amount.

    Examples
    --------
    >>> round(1e3 * float(total_from(0.010, 0.100)), 1)  # one gram in 10 L, in mg/L
    57.6
    """
    weighed = guards.amount("mass", mass)
    return np.asarray(weighed * SO2_PER_METABISULPHITE / guards.within("volume", volume, 1e-9, np.inf, "m³"))


class Limit(msgspec.Struct, frozen=True):
    """What a law or standard allows. Laws change and differ: the local one decides.

    Attributes
    ----------
    value : float
        Largest total in the finished drink. [kg/m^3]
    text : str
        Which law, for which drink.
    source : str
        Key in resources/sources.csv.
    status : str
        "verified", "one-source" or "memory".
    """

    value: float
    text: str
    source: str
    status: str


LIMITS = (
    Limit(0.200, "Codex Alimentarius, mead (CODEX STAN 192-1995, category 14.2.5: 200 mg/kg), from memory", "memory", "memory"),
    Limit(0.200, "EU, mead (Regulation (EC) No 1333/2008, category 14.2.5), by an Austrian code; changed in 2024: check it",
          "austrian-code-b3", "one-source"),
    Limit(0.350, "USA, wine, honey wine with it (27 CFR 4.22, text of 2015)", "cfr-27-4-22", "one-source"),
    Limit(0.200, "Codex Alimentarius, wine of other fruit (CODEX STAN 192-1995, category 14.2.4: 200 mg/kg)", "codex-gsfa", "verified"),
    Limit(0.200, "EU, white and rosé grape wine below 5 g/L of sugar (Regulation (EU) 2019/934)", "eu-2019-934", "one-source"),
    Limit(0.250, "EU, white and rosé grape wine from 5 g/L of sugar (Regulation (EU) 2019/934)", "eu-2019-934", "one-source"),
)  # fmt: skip
"""Total sulphur dioxide allowed."""

LABEL_FROM = 0.010
"""Total from which a label must say "contains sulphites". [kg/m^3] Regulation (EU) No 1169/2011; the USA likewise."""
