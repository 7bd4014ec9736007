"""How less than a kitchen scale or a syringe shows is measured all the same: as a solution."""

from __future__ import annotations

from planner.wording import phrases
from planner.wording.phrases import Words, say

LEAST_WEIGHED, LEAST_POURED = 1e-3, 0.5e-6
"""Least that a kitchen scale [kg] and a syringe [m^3] show with sense. Common practice, no source: their steps are a gram and half a
millilitre."""

SOLUTION, THINNED = (0.010, 0.5e-3), (10e-6, 100e-6)
"""By which less is measured: ten grams [kg] made up to half a litre [m^3], and ten millilitres made up to a hundred. [m^3]"""


def measured_as(mass: float, density: float | None = None) -> Words | None:
    """How a dose below what scale or syringe shows is given; None where it can be measured as it is.

    Parameters
    ----------
    mass : float
        The dose. [kg]
    density : float or None
        Of a liquid, which is measured by its volume. [kg/m^3]

    Examples
    --------
    >>> str(measured_as(0.0004))
    'This is too little for a kitchen scale. Stir 10 g into water, make it up to 500 mL, and give 20 mL of it at once.'
    >>> measured_as(0.004) is None
    True
    """
    if mass <= 0.0:
        return None
    if density is not None:
        if mass / density > LEAST_POURED:
            return None
        given = mass / density / THINNED[0] * THINNED[1]
        return say("This is too little for a syringe. Stir {} into water, make it up to {}, and give {} of it at once.",
                   phrases.volume(THINNED[0]), phrases.volume(THINNED[1]), phrases.volume(given))  # fmt: skip
    if mass >= LEAST_WEIGHED:
        return None
    given = mass / SOLUTION[0] * SOLUTION[1]
    return say("This is too little for a kitchen scale. Stir {} into water, make it up to {}, and give {} of it at once.",
               phrases.mass(SOLUTION[0]), phrases.volume(SOLUTION[1]), phrases.volume(given))  # fmt: skip
