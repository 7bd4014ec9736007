"""The trade between two additives: what more of one saves of the other while the wishes stay met."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from planner.adjusting.dose import Bound, Found, find
from planner.document.batch import Addition
from planner.model.liquid import Liquid, volume
from planner.reference.catalogue import Catalogue


class Trade(NamedTuple):
    """One point of the trade between two additives: so much of the one, and what else is then needed. [kg]"""

    mass: float
    other: float
    found: Found


def trade(
    base: Liquid,
    wanted: Sequence[Bound],
    pair: tuple[str, str],
    allowed: Sequence[str],
    catalogue: Catalogue,
    points: int = 9,
    lines: Mapping[str, Addition] | None = None,
) -> tuple[Trade, ...]:
    """What more of one additive saves of another while the wishes stay met.

    Parameters
    ----------
    base : Liquid
        The mead before, shape (components,). [kg]
    wanted : sequence of Bound
        As for `find`. [as `Bound`]
    pair : (str, str)
        Keys of the two: more of the first against the second. [-]
    points : int
        How many points. [-]

    Returns
    -------
    tuple of Trade
        By rising mass of the first: from none to what would make the second needless. Points at which a wish is
        missed say so. [kg]
    """
    first, second = pair
    without = [key for key in allowed if key != second]
    alone = find(base, wanted, [*dict.fromkeys([first, *without])], catalogue, lines)
    best = find(base, wanted, [*dict.fromkeys([first, second, *allowed])], catalogue, lines)
    most = max(_mass(alone, first), _mass(best, first))
    if most <= 0.0:
        most = 0.05 * float(volume(base))
    made = []
    for mass in np.linspace(0.0, most, points):
        found = find(base, wanted, [*dict.fromkeys([second, *allowed])], catalogue, lines, fixed={first: float(mass)})
        made.append(Trade(float(mass), _mass(found, second), found))
    return tuple(made)


def _mass(found: Found, key: str) -> float:
    return sum(addition.mass for addition in found.additions if addition.key == key)
