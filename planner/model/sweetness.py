"""Sweetness as the sucrose that would be as sweet, and its balance with acid."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planner.model.components import COMPONENTS, INDEX
from planner.model.liquid import Liquid, volume
from planner.model.span import Span

Array = npt.NDArray[np.float64]

STEP = 4.5
"""Smallest difference of sweetness noticed in white wine. [kg/m^3 sucrose] Pickering & Kvas 2016: 3.5 to 5.2."""

ACID_STEP = 0.5
"""Smallest difference of acid noticed in white wine. [kg/m^3 as tartaric] Same study: 0.23 to 0.70."""

SHARE, ACID_SHARE = 0.205, 0.12
"""Shares of what is there already by which a difference of sweetness and of acid must be larger to be noticed. [-] Mixtures of sucrose
and citric acid in water: 0.205 to 0.33 and 0.095 to 0.18 (npj Science of Food 6, 33, 2022)."""


def sweetness_steps(before: float, after: float) -> float:
    """How many steps that a taster just notices lie between two sweetnesses; below nothing if the second is less sweet.

    Parameters
    ----------
    before, after : float
        Sucrose equivalents. [kg/m^3]

    Returns
    -------
    float
        [-]

    Examples
    --------
    >>> round(sweetness_steps(0.0, 9.0), 2), round(sweetness_steps(100.0, 109.0), 2)
    (2.0, 0.42)
    """
    return _noticed(after, STEP, SHARE) - _noticed(before, STEP, SHARE)


def acid_steps(before: float, after: float) -> float:
    """The same of two titratable acids, as tartaric. [kg/m^3]

    Parameters
    ----------
    before, after : float
        [kg/m^3]

    Returns
    -------
    float
        [-]
    """
    return _noticed(after, ACID_STEP, ACID_SHARE) - _noticed(before, ACID_STEP, ACID_SHARE)


def _noticed(value: float, step: float, share: float) -> float:
    """Steps from nothing, each as large as `step`, and from where that is its share, as large as that share of what is there."""
    bend = step / share
    if value <= bend:
        return value / step
    return (1.0 + math.log(value / bend)) / share


_TABLE = np.array([c.sweetness for c in COMPONENTS.values()])  # low, typical, high in columns


def _erythritol_shift(concentration: Array) -> Array:
    """Erythritol grows sweeter with dose: 0.60 up to 30 g/L, 0.70 from 80 g/L; here as departure from 0.65. [kg/kg]

    Choi & Chung 2015 report the rise; the two figures are this project's estimate.
    """
    return np.interp(concentration, [30.0, 80.0], [-0.05, 0.05])


def sucrose_equivalent(liquid: Liquid, which: int = 1) -> Array:
    """Concentration of sucrose in water that would taste as sweet.

    Parameters
    ----------
    liquid : Liquid
        A drink with bulk sweeteners. [kg]
    which : int
        0, 1 or 2 for the low, typical or high relative sweetnesses of the literature. [-]

    Returns
    -------
    numpy.ndarray
        Sucrose equivalent: sum of relative sweetness times concentration. [kg/m^3]

    Notes
    -----
    Acid, tannin, carbon dioxide and cold make the same sum taste less sweet. Bulk sweeteners have similar dose
    response, so that a sum is fair; intense sweeteners have not and are not in the table.

    References
    ----------
    .. [1] Moskowitz 1970 (dose response); the spread of relative sweetness is that of the reviews in sources.csv.
    """
    concentrations = liquid.masses / volume(liquid)
    total = np.tensordot(_TABLE[:, which], concentrations, axes=(0, 0))
    erythritol = concentrations[INDEX["erythritol"]]
    return np.asarray(total + _erythritol_shift(erythritol) * erythritol)


def sweetness_span(liquid: Liquid) -> Span:
    """Sucrose equivalent of one drink with the spread of the literature. [kg/m^3]"""
    low, typical, high = (float(sucrose_equivalent(liquid, which)) for which in range(3))
    return Span(low, typical, high)
