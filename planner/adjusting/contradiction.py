"""Two states of a mead that instruments tell, when they contradict each other."""

from __future__ import annotations

import numpy as np

from planner.model.fermentation import Yields, partly_fermented
from planner.model.liquid import Liquid, fermentable, volume
from planner.model.random_scores import scores
from planner.model.span import Span


def sweeter(one: Liquid, other: Liquid) -> Liquid:
    """The one of two with more sugar for yeast in its typical member: glass bursts at it.

    Parameters
    ----------
    one, other : Liquid
        Shape (components, m). [kg]
    """
    first, second = (float((fermentable(liquid) / volume(liquid))[0]) for liquid in (one, other))
    return one if first >= second else other


def along(must: Liquid, yields: Yields, sugar: Span) -> Liquid:
    """The mead of each member, by mass balance, that has so much fermentable sugar left, whatever its gravity.

    Parameters
    ----------
    must : Liquid
        Musts at pitching, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    sugar : Span
        Fermentable sugar left. [kg/m^3]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    left = sugar.at(scores("mead/sugar left", must.masses.shape[1] - 1), 0.0)
    liquid = must
    for _ in range(3):  # its volume changes with what is left
        liquid = partly_fermented(must, np.minimum(left * volume(liquid), fermentable(must)), yields)
    return liquid


def torn(first: Liquid, second: Liquid) -> Liquid:
    """Two states of a mead of which nothing tells which it is: half of the members each, the typical one of the sweeter,
    because bottles burst at it.

    Parameters
    ----------
    first, second : Liquid
        Shape (components, m). [kg]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    if sweeter(first, second) is second:
        first, second = second, first
    chosen = scores("mead/which instrument", first.masses.shape[1] - 1) <= 0.0
    return Liquid(np.where(chosen, first.masses, second.masses))
