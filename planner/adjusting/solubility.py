"""How much of an additive stays dissolved in a mead: in a refrigerator, and in a cellar."""

from __future__ import annotations

import msgspec
import numpy as np

from planner.reference.rows import Additive

COLD, CELLAR = 277.15, 288.15
"""Of a refrigerator, and of a cellar. [K] Common practice, no source."""

IN_CELLAR = ((0.12, 150.0), (0.14, 130.0), (0.16, 114.0), (0.18, 100.0))
"""Erythritol that stays dissolved at 15 °C, by alcohol. [m^3/m^3], [kg/m^3] Estimate, by the same rule as the table of cold
ceilings: the curve of water lowered log-linearly towards the pharmacopoeia's class in ethanol of 96 %."""

WARN, STRONG, WARN_STRONG = 90.0, 0.14, 70.0
"""Erythritol from which a warning is due, in meads up to a strength and in stronger ones. [kg/m^3], [m^3/m^3], [kg/m^3]
Below the ceilings at 4 °C by their doubt, which is that of two points on one curve; estimate."""

ALCOHOL_HINDERS = 0.5
"""Share of its cold solubility in water at which something else may crystallise in mead. [-] Estimate."""


class Dissolves(msgspec.Struct, frozen=True):
    """How much stays dissolved in the finished mead. [kg/m^3]

    Attributes
    ----------
    warn : float
        Above it a warning is due.
    cold : float
        At 4 °C.
    cellar : float or None
        At 15 °C; None where it is not known.
    """

    warn: float
    cold: float
    cellar: float | None


def dissolves(row: Additive, strength: float) -> Dissolves | None:
    """How much of an additive stays dissolved.

    Parameters
    ----------
    strength : float
        Alcohol of the finished mead by volume. [m^3/m^3]

    Returns
    -------
    Dissolves or None
        None where it is not known, or more than anybody adds. [kg/m^3]
    """
    if row.cold_ceilings:
        strengths, ceilings = np.array(row.cold_ceilings).T
        cold = float(np.interp(strength, strengths, ceilings))
        warm, limits = np.array(IN_CELLAR).T
        cellar = float(np.interp(strength, warm, limits))
        return Dissolves(min(WARN if strength <= STRONG else WARN_STRONG, cold), cold, cellar)
    if row.solubility_cold is None or "refermentation" in row.cautions:
        return None
    limit = ALCOHOL_HINDERS * 1000.0 * row.solubility_cold
    return Dissolves(limit, limit, None)
