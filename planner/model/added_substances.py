"""What is given to a must while it works: nitrogen, and liquids that bring sugar and room."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import msgspec
import numpy as np

from planner.model.liquid import Liquid


class Dose(msgspec.Struct, frozen=True):
    """What is given to a working must at once: nitrogen, a liquid that brings sugar and room, or both.

    Amounts are told per volume of the must at pitching, one value or one per member, whatever else was given before: so they
    are masses but for one factor, two halves are one whole, and their order does not change what there is in the end.
    With a liquid, what is in the must already is diluted: yeast, nitrogen and the alcohol made so far. The sugar that the
    must counts as started with becomes what is left plus what its alcohol was made of plus what is added.

    Attributes
    ----------
    day : float or None
        When; where that is None, as soon as the first member has used the share `used` of the sugar that it had so far, or has
        fallen to `gravity` where that is given. [d]
    nitrogen : float or numpy.ndarray, shape (m,)
        Assimilable nitrogen. [kg/m^3]
    used : float
        Share of the sugar given so far. [-]
    gravity : float or None
        Specific gravity. [-]
    liquid : Liquid or None
        What else it brings, masses of shape (components,) or (components, m). [kg/m^3]
    """

    day: float | None
    nitrogen: Any
    used: float = 0.0
    gravity: float | None = None
    liquid: Liquid | None = None

    @property
    def is_nothing(self) -> bool:
        """Whether it adds none of anything. A day of which nothing comes is no reason to begin a new step there."""
        return self.liquid is not None and not (np.any(self.liquid.masses) or np.any(self.nitrogen))


Way = Callable[[Liquid | None], Callable[[float], float]]
"""Of what the first member was given so far [kg/m^3], or None, to its gravity [-] by the share of its sugar left [-]."""


class Holding(NamedTuple):
    """What a must holds from a day on: its room per volume at pitching [-], and all the hexose it was given per that [kg/m^3]."""

    since: float
    room: Any
    given: Any


def first_of(liquid: Liquid) -> Liquid:
    """The first member of a liquid alone. [as its masses]

    Parameters
    ----------
    liquid : Liquid
        Shape (components,) or (components, m). [any]
    """
    return Liquid(liquid.masses.reshape(len(liquid.masses), -1)[:, 0])
