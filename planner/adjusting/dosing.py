"""Dosing in steps: what comes next, computed from what was really stirred in."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from planner.document.batch import Adjustment

FIRST_SHARE = 0.6
"""Share of the whole that is stirred in first; then rest, taste, and go on. [-] Common practice, no source."""


_MARKS = ((10.0, 1e-2), (0.1, 1e-3), (0.01, 1e-4), (0.0, 1e-5))
"""From such a mass [kg] a dose is rounded to such a mark. [kg] What scales at home show: a gram, or a letter scale's parts
of it. Estimate."""


def weighable(mass: float) -> float:
    """A mass as it can be weighed: to a gram from 100 g, to a tenth from 10 g, and to a hundredth below.

    Parameters
    ----------
    mass : float
        As it was worked out. [kg]

    Returns
    -------
    float
        Within half a percent of it, from 2 g on. [kg]

    Examples
    --------
    >>> weighable(0.70456), weighable(0.033691), weighable(0.0015549)
    (0.705, 0.0337, 0.00155)
    """
    mark = next(mark for fewest, mark in _MARKS if mass >= fewest)
    return round(round(mass / mark) * mark, 6)


class Step(msgspec.Struct, frozen=True):
    """What comes next of one ingredient. [kg]"""

    key: str
    planned: float
    given: float
    next: float

    @property
    def left(self) -> float:
        """Still to come in all; nothing where more was given than planned. [kg]"""
        return max(self.planned - self.given, 0.0)


def next_step(adjustment: Adjustment, given: Mapping[str, float], share: float = FIRST_SHARE) -> tuple[Step, ...]:
    """What to stir in next, computed from what was really added.

    Parameters
    ----------
    given : mapping of str to float
        Masses that were stirred in so far, by the log. [kg]
    share : float
        Of what is still to come. [-] 1 for all of it.

    Returns
    -------
    tuple of Step
        For each ingredient of the plan. [kg]
    """
    planned: dict[str, float] = {}
    for addition in adjustment.additions:
        planned[addition.key] = planned.get(addition.key, 0.0) + addition.mass
    part = min(max(share, 0.0), 1.0)
    return tuple(
        Step(key, mass, given.get(key, 0.0), part * max(mass - given.get(key, 0.0), 0.0))
        for key, mass in planned.items()
    )
