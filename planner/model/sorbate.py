"""Potassium sorbate: what keeps left-over yeasts from waking in a sweetened mead, and when it must not be used."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.span import Span
from planner.model.sulphite import Limit

Array = npt.NDArray[np.float64]

SORBIC_PK = 4.76
"""-log10 of the dissociation constant of sorbic acid in water. [-] 25 °C."""

ACID_PER_SORBATE = 112.13 / 150.22
"""Sorbic acid of potassium sorbate. [kg/kg] Molar masses."""

USUAL_ACID = Span(0.150, 0.180, 0.200)
"""Sorbic acid that is usual with alcohol and sulphite beside it. [kg/m^3] 0.20 to 0.27 g/L of sorbate; University of
California, Davis: about 0.2 g/L of acid holds back yeast."""


def undissociated_share(ph: Any) -> Array:
    """Share of the sorbic acid that can enter a cell: the part that works.

    Parameters
    ----------
    ph : array-like
        [-] 2 to 7.

    Returns
    -------
    numpy.ndarray
        Undissociated over all. [kg/kg]

    Raises
    ------
    guards.BadInput
        Outside the range.

    References
    ----------
    .. [1] 1/(1 + 10^(pH - pK)), with the pK in water; alcohol makes it a little more.

    Examples
    --------
    >>> round(float(undissociated_share(3.6)), 2)
    0.94
    """
    acidity = guards.within("pH", ph, 2.0, 7.0)
    return np.asarray(1.0 / (1.0 + 10.0 ** (acidity - SORBIC_PK)))


def sorbate_for(acid: Any, volume: Any) -> Array:
    """Potassium sorbate to weigh for so much sorbic acid.

    Parameters
    ----------
    acid : array-like
        Wanted sorbic acid. [kg/m^3]
    volume : array-like
        Of the mead. [m^3]

    Returns
    -------
    numpy.ndarray
        Mass of potassium sorbate. [kg]

    Raises
    ------
    guards.BadInput
        A negative amount.

    Examples
    --------
    >>> round(1e3 * float(sorbate_for(0.200, 0.010)), 2)  # 200 mg/L in 10 L, in grams
    2.68
    """
    wanted = guards.amount("sorbic acid", acid, "kg/m³")
    return np.asarray(wanted * guards.amount("volume", volume, "m³") / ACID_PER_SORBATE)


def sorbic_acid(mass: Any, volume: Any) -> Array:
    """Sorbic acid that a mass of potassium sorbate brings; compare with `LIMITS`.

    Parameters
    ----------
    mass : array-like
        Of potassium sorbate. [kg]
    volume : array-like
        Of the mead. [m^3]

    Returns
    -------
    numpy.ndarray
        Sorbic acid. [kg/m^3]

    Raises
    ------
    guards.BadInput
        A negative amount.

    Examples
    --------
    >>> round(1e3 * float(sorbic_acid(0.0025, 0.010)))
    187
    """
    weighed = guards.amount("mass", mass)
    return np.asarray(weighed * ACID_PER_SORBATE / guards.within("volume", volume, 1e-9, np.inf, "m³"))


def usual_dose(ph: float, volume: float) -> Span:
    """Potassium sorbate that is usual at a pH, so that as much of it works as at pH 3.4.

    Parameters
    ----------
    ph : float
        [-] 2 to 7. Above about 4 it would take more than the law allows: then another way is better.
    volume : float
        Of the mead. [m^3]

    Returns
    -------
    Span
        Mass, from low to high. [kg] Not held to any law: see `LIMITS`.

    Raises
    ------
    guards.BadInput
        Outside the range.

    Examples
    --------
    >>> [round(1e3 * x, 1) for x in usual_dose(3.4, 0.010)]
    [2.0, 2.4, 2.7]
    """
    working = float(undissociated_share(3.4) / undissociated_share(ph))
    return Span(*(float(sorbate_for(acid * working, volume)) for acid in USUAL_ACID))


LIMITS = (
    Limit(0.200, "Codex Alimentarius, mead (CODEX STAN 192-1995, category 14.2.5: 200 mg/kg), from memory", "memory", "memory"),
    Limit(0.200, "EU, mead (Regulation (EC) No 1333/2008, category 14.2.5), by an Austrian code; changed in 2024: check it",
          "austrian-code-b3", "one-source"),
    Limit(0.300, "USA, wine, honey wine with it (27 CFR 24.246, text of 2015: 300 mg/L)", "cfr-27-24-246", "verified"),
    Limit(0.500, "Codex Alimentarius, wine of other fruit (CODEX STAN 192-1995, category 14.2.4: 500 mg/kg)", "codex-gsfa", "verified"),
    Limit(0.200, "OIV and EU, grape wine (200 mg/L)", "oiv-code", "verified"),
)  # fmt: skip
"""Sorbic acid allowed. [kg/m^3]"""
