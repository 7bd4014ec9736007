"""The gravity at the last reading: one number for headline, pane, alcohol and report."""

from __future__ import annotations

import msgspec

from planner.model.span import Span
from planner.timeline.posterior import Posterior

DOUBTED = 0.5
"""Probability of being a bad one from which a reading is not believed. [-]"""

EXACT = 10
"""Decimals of a gravity that is told as it was read, however it was worked out since. [-]"""

SAME_TIME = 1.5
"""Days for which a gravity still is that of a later sugar test. [d] Most of what is still to fall takes longer; estimate."""


class PresentGravity(msgspec.Struct, frozen=True):
    """The gravity at the last reading.

    Attributes
    ----------
    gravity : Span
        With what all readings together leave open. [-]
    last : float
        The last reading itself, or the middle of the last ones of a sensor. [-]
    is_read : bool
        Whether it is that reading; else it is what all readings together say: the last one is doubted, too old, or one of many
        that scatter.
    is_fresh : bool
        Whether it is of the time of that reading.
    """

    gravity: Span
    last: float
    is_read: bool
    is_fresh: bool = True


def present_gravity(after: Posterior) -> PresentGravity | None:
    """Gravity at the last reading.

    Returns
    -------
    PresentGravity or None
        The last reading where it stands alone and is believed, else what all readings together have; None before the first
        reading. [as its fields]
    """
    now = after.now
    if now is None:
        return None
    low, typical, high = now.indicated
    found = next((step for step in reversed(after.steps) if step.evidence.kind == "gravity"), None)
    if found is None:
        return PresentGravity(Span(min(low, typical), typical, max(high, typical)), typical, False, False)
    read = found.evidence
    fresh = now.evidence.day - read.day <= SAME_TIME
    own = fresh and read.readings == 1 and found.bad < DOUBTED
    middle = round(read.value, EXACT) if own else typical
    return PresentGravity(Span(min(low, middle), middle, max(high, middle)), read.value, own, fresh)
