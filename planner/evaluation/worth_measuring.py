"""Which one measurement would tell most about what the maker wants to know.

Of the possible musts, or of the possible ferments that a log leaves, each has what the measurement would find and what will come.
How much of the second the first explains, with the doubt of the instrument, is a regression; what is left of the range is the square
root of what it does not explain.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch
from planner.model.liquid import alcohol, gravity, titratable_acid
from planner.model.random_scores import scores
from planner.model.span import Z_90
from planner.recipe.must import MEASURED_GRAVITY_ERROR, Must
from planner.reference.catalogue import Catalogue
from planner.timeline.course import Expected
from planner.timeline.logged_acidity import TITRATION_DOUBT
from planner.timeline.posterior import Posterior
from planner.timeline.readings import SUGAR_DOUBT
from planner.wording import phrases
from planner.wording.phrases import Figure, Words, in_a_sentence, say

Array = npt.NDArray[np.float64]

LEAST = 0.1
"""Part by which a measurement must narrow a range to be worth its effort. [-] Estimate: less is seen by nobody."""

HALVES, ALL_BUT_ENDS = (0.40, 0.62), 0.25
"""What is left of a range that is called halved, and up to which it is called all but known. [-]"""

MOISTURE_ERROR = 0.005
"""Doubt of a honey's moisture by a refractometer made for it. [kg/kg] Common practice, no source: half a percent."""

NITROGEN_ERROR = 0.12
"""Doubt of a formol titration of assimilable nitrogen, as a share. [-] From memory."""


NOTHING = say("No single measurement would narrow the ranges by much. They are of fruit, yeast and season.")


class Worth(msgspec.Struct, frozen=True):
    """What is worth measuring.

    Attributes
    ----------
    what, target : str
        What is measured, and what it tells of: "strength", "finishing gravity" or "finishing day"; empty where no measurement tells much.
    left : float
        What is left of the range. [-]
    words : Words
        One sentence, and what it takes.
    """

    what: str
    target: str
    left: float
    words: Words


class _Measurement(NamedTuple):
    what: str  # as the subject of a sentence: "Measuring …"
    found: Array  # by each member
    error: float  # standard deviation of the instrument [as found]
    effort: str


def left_of_range(target: Array, found: Array, error: float) -> float:
    """What a measurement leaves of the range of what will come.

    Parameters
    ----------
    target, found : numpy.ndarray, shape (m,)
        What comes of each member, and what would be measured of it. [any], [any]
    error : float
        Standard deviation of the instrument. [as found]

    Returns
    -------
    float
        Of 1 it tells nothing. [-] What chance explains of so many members is not counted.

    Examples
    --------
    >>> left_of_range(np.arange(100.0), np.arange(100.0), 0.0)
    0.0
    """
    if target.size < 4:
        return 1.0
    off, seen = target - target.mean(), found - found.mean()
    whole, spread = float(np.mean(off**2)), float(np.mean(seen**2))
    if whole <= 0.0 or spread <= 0.0:
        return 1.0
    explained = float(np.mean(off * seen)) ** 2 / (whole * (spread + error**2))
    chance = (1.0 - explained) / (target.size - 2)
    return math.sqrt(min(max(1.0 - explained + chance, 0.0), 1.0)) if explained < 1.0 - 1e-12 else 0.0


def worth_before(batch: Batch, start: Must, ahead: Expected, is_read: bool, catalogue: Catalogue) -> Worth | None:
    """What is worth measuring before yeast is pitched.

    Parameters
    ----------
    start : Must
        Of the recipe, before its gravity was measured. [as its fields]
    is_read : bool
        Whether that was.

    Returns
    -------
    Worth or None
        None without an ensemble. [as its fields]
    """
    if start.nitrogen.size < 10:
        return None
    end = ahead.finished
    coming = {
        "strength": alcohol(end)[1:],
        "finishing gravity": gravity(end)[1:],
        "finishing day": np.log(np.maximum(ahead.finish_day[1:], 0.5)),
    }
    return _best(_wanted(batch, coming), list(_of_must(batch, start, is_read, catalogue)))


def worth_while(batch: Batch, after: Posterior) -> Worth | None:
    """What is worth measuring while it ferments, likewise; None where it stands still, of which the verdict speaks."""
    ahead = after.outlook
    if ahead is None or after.held or after.now is None or after.now.moving < 0.5 or ahead.sugar.size < 20:
        return None
    coming = {
        "strength": after.finish.alcohol,
        "finishing gravity": after.finish.gravity,
        "finishing day": np.log(np.maximum(after.finish_days, 0.5)),
    }
    middle = float(np.median(ahead.sugar))
    tested = after.now.tested
    tried = [
        _Measurement(
            "gravity once more on day {}", ahead.gravity, math.sqrt(2.0) * MEASURED_GRAVITY_ERROR / Z_90,
            "a minute with a hydrometer",
        )
    ]  # fmt: skip
    if not tested:
        error = max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * middle) / Z_90
        tried.append(_Measurement("the sugar left", ahead.sugar, error, "ten minutes with a sugar test"))
    return _best(_wanted(batch, coming), tried, ahead.day)


def _wanted(batch: Batch, coming: dict[str, Array]) -> dict[str, Array]:
    """What the maker set a target for; all of it where none is set."""
    wish = batch.recipe.wish
    asked = {"strength": wish.alcohol, "finishing gravity": wish.finish}
    some = {name: coming[name] for name, value in asked.items() if value is not None}
    return some or coming


def _of_must(batch: Batch, start: Must, is_read: bool, catalogue: Catalogue) -> Iterator[_Measurement]:
    members, recipe, free = start.nitrogen.size - 1, batch.recipe, start.free()
    by_eye = MEASURED_GRAVITY_ERROR / Z_90
    if not is_read:
        hand = "a minute with a hydrometer"
        yield _Measurement("the gravity of the must", gravity(free)[1:], by_eye, hand)
        for line, held in zip(recipe.fruits, start.juices, strict=True):
            if line.juice_gravity is None and float(held.mass[0]) > 0.0:
                name = in_a_sentence(catalogue.fruit(line.key).name)
                yield _Measurement(f"the gravity of the {name} juice", gravity(held)[1:], by_eye, hand)
        for honey in recipe.honeys:
            if honey.moisture is None and honey.mass > 0.0:
                row = catalogue.honey(honey.key)
                found = row.moisture.at(scores(f"honey/{honey.key}/moisture", members))[1:]
                name = in_a_sentence(row.name)
                yield _Measurement(f"the moisture of the {name}", found, MOISTURE_ERROR / Z_90, "a drop on a refractometer for honey")  # fmt: skip
    acid = titratable_acid(free)[1:]
    if batch.log.readings == () or float(np.ptp(acid)) > 0.0:
        yield _Measurement("the acid of the must", acid, TITRATION_DOUBT / Z_90, "ten minutes with a titration kit")
    food = start.free_nitrogen[1:]
    yield _Measurement(
        "the nitrogen of the must",
        food,
        NITROGEN_ERROR * float(np.mean(food)) / Z_90,
        "half an hour with a formol titration",
    )


def _best(coming: dict[str, Array], tried: list[_Measurement], day: float | None = None) -> Worth | None:
    """The one that narrows most; of nearly equal ones the first, which is the least effort."""
    found = [
        (left_of_range(target, one.found, one.error), name, one) for name, target in coming.items() for one in tried
    ]
    if not found:
        return None
    best = min(left for left, _, _ in found)
    if best > 1.0 - LEAST:
        return Worth("", "", best, NOTHING)
    left, name, one = next(each for each in found if each[0] <= best + 0.03)
    figures = () if day is None or "{}" not in one.what else (phrases.day(day),)
    more: tuple[Figure, ...] = ()
    if left <= ALL_BUT_ENDS:
        told = f"would nearly settle the {name}"
    elif HALVES[0] <= left <= HALVES[1]:
        told = f"would halve the range of the {name}"
    else:
        told, more = f"would narrow the range of the {name} by {{}}", (phrases.share(1.0 - left),)
    sentence = f"Measuring {one.what} {told}. It takes {one.effort}."
    return Worth(one.what.replace(" on day {}", ""), name, left, say(sentence, *figures, *more))
