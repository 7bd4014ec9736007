"""Next steps that follow from what was done and measured, beside the gravities: racking, and warming."""

from __future__ import annotations

from collections.abc import Sequence

from planner.timeline.actual_recipe import Met
from planner.timeline.particle_filter import Present
from planner.wording import phrases
from planner.wording.phrases import Words, say

LAST_SHARE = 1.0 / 3.0
"""Share of the sugar after which no more is given. [-] Nitrogen is taken up in the first third of a ferment, whatever there
is of it (density down by 30 points): common practice, from memory."""

LAST_ALCOHOL = 0.09
"""Alcohol by volume after which no more is given. [-] Common practice, no source: it hinders the uptake; 9 to 10 % vol."""

TOO_LATE_TO_FEED = (
    f"After a third of the sugar, or above {LAST_ALCOHOL * 100:.0f} % vol, yeast takes up little nitrogen"
)
"""The rule of the two constants above, for all who speak of it."""

COOL_BY = 1.0
"""How far below the middle of its range a yeast is worth warming. [K]"""

SETTLED = 0.004
"""How near the last gravity a ferment is about at rest. [-] Two lines of a coarse hydrometer."""

KNOWN_WARMTH = ("", "measured", "sampled")
"""By what the temperature of the must is known well enough to be told as its own; see `given.Met`. Empty where whoever asks
tells it."""


def racked_at_rest(steps: Sequence[Present], met: Met) -> int:
    """How often it was racked since its gravity came near where it rests. [-]

    Parameters
    ----------
    steps : sequence of Present
        How it stood after each reading. [as its fields]
    """
    gravities = [step.evidence for step in steps if step.evidence.kind == "gravity" and step.bad < 0.5]
    if not gravities:
        return 0
    rested = next(found.day for found in gravities if found.value <= gravities[-1].value + SETTLED)
    return sum(day >= rested for day in met.racked)


def racking(racked: int, met: Met) -> Words:
    """What to do about the lees.

    Parameters
    ----------
    racked : int
        How often it was racked at rest. [-]
    """
    if not racked:
        return say("Rack it off the lees.")
    day = phrases.day(met.racked[-1])
    if racked < met.rackings:
        return say("Racked on day {}: let it clear for some weeks, then rack it again.", day)
    return say("Racked on day {}: let it clear.", day)


def warming(now: float, best: float, hottest: float, met: Met) -> list[Words]:
    """What to do about the temperature; nothing where it suits the yeast.

    Parameters
    ----------
    now : float
        Temperature that counts. [K]
    best, hottest : float
        Middle and end of the yeast's range. [K]
    """
    here, there = phrases.temperature(now), phrases.temperature(best)
    if now > hottest:
        return [say("Cool it from {} to {}, the middle of this yeast's range.", here, there)]
    if now >= best - COOL_BY:
        return []
    if met.told in KNOWN_WARMTH:
        return [say("Warm it slowly from {} to {}, the middle of this yeast's range.", here, there)]
    if met.told == "hidden":
        return [say("If it is colder than {}, the middle of this yeast's range, warm it slowly. Measure the must itself: the samples were read at the temperature of the stem.", there)]  # fmt: skip
    return [say("Warm it slowly to {}, the middle of this yeast's range, if it is at the {} planned. Measure the must itself.",
                there, here)]  # fmt: skip
