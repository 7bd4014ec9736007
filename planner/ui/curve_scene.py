"""What the fermentation curve shows, taken from an outcome: no Qt, no drawing, SI throughout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.batch import words
from planner.batch.headline import DRY, REST_FALL, TEST_IS_FRESH
from planner.batch.moments import parsed
from planner.batch.outcome import Outcome
from planner.batch.readings import Logged
from planner.batch.results import Curve, FinishOutcome
from planner.batch.words import Words, say
from planner.model.span import Span

Array = npt.NDArray[np.float64]

HALF_LINE = 0.001
"""Half the bar on a hydrometer point. [-] One line of the usual stem is 0.002 (common practice, no source)."""

APART = 0.5
"""Days between two readings whose difference tells a daily fall. [d] Closer ones tell mostly their own error."""


class Event(NamedTuple):
    """Something on the time axis: "feed" or "third" of the sugar used."""

    day: float
    kind: str
    text: Words


@dataclass(frozen=True, eq=False, slots=True)
class Points:
    """The readings that have a day, in the order of their days; arrays of one length.

    Attributes
    ----------
    index : numpy.ndarray of int
        Place in the log.
    day, gravity : numpy.ndarray
        Days since pitching [d] and corrected gravity [-].
    sugar_test, excluded : numpy.ndarray of bool
        Whether sugar was tested rather than gravity; whether the reading is left out.
    temperature : numpy.ndarray
        Of the sample, nan where not noted. [K]
    """

    index: npt.NDArray[np.int_]
    day: Array
    gravity: Array
    sugar_test: npt.NDArray[np.bool_]
    excluded: npt.NDArray[np.bool_]
    temperature: Array

    @classmethod
    def of(cls, rows: tuple[Logged, ...]) -> Points:
        """The points of a log."""
        dated = sorted((row for row in rows if row.day is not None), key=_by_day)
        return cls(
            np.array([row.index for row in dated], dtype=int),
            np.array([row.day for row in dated], dtype=float),
            np.array([row.gravity for row in dated], dtype=float),
            np.array([row.kind == "sugar" for row in dated], dtype=bool),
            np.array([row.excluded for row in dated], dtype=bool),
            np.array([np.nan if row.temperature is None else row.temperature for row in dated], dtype=float),
        )


@dataclass(frozen=True, eq=False, slots=True)
class Scene:
    """All that is drawn.

    Attributes
    ----------
    name : str
        Of the batch.
    curve, finish : Curve, FinishOutcome or None
        What is expected.
    rows : tuple of Logged
        The log, by place.
    points : Points
        Its readings that have a day.
    with_band : bool
        Whether the curve has a band.
    stopped : tuple of float, or None
        First and last day of a rest well above where the ferment should end. [d]
    events : tuple of Event
        What falls due.
    pitched_at : datetime or None
        Day zero on the calendar.
    """

    name: str = ""
    curve: Curve | None = None
    finish: FinishOutcome | None = None
    rows: tuple[Logged, ...] = ()
    points: Points = field(default_factory=lambda: Points.of(()))
    with_band: bool = False
    stopped: tuple[float, float] | None = None
    events: tuple[Event, ...] = ()
    pitched_at: datetime | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to draw."""
        return self.curve is None and self.points.day.size == 0


def scene_of(outcome: Outcome, nutrient_name: Callable[[str], str]) -> Scene:
    """What is drawn of an outcome; `nutrient_name` gives the words for the key of a nutrient."""
    log = outcome.batch.log
    return Scene(
        name=outcome.batch.name,
        curve=outcome.curve,
        finish=outcome.finish,
        rows=outcome.log,
        points=Points.of(outcome.log),
        with_band=outcome.with_band,
        stopped=stopped_days(outcome),
        events=_events(outcome, nutrient_name),
        pitched_at=parsed(log.pitched_at) if log.pitched_at else None,
    )


def with_former_band(scene: Scene, former: Scene) -> Scene:
    """A scene worked out without an ensemble, with the spread of the one before until its own is there.

    The first answer to an edit is the typical course alone. With no band at all the picture would flicker and the view
    jump at each key; the former spread about the new course is close, and soon replaced.
    """
    if scene.with_band or not former.with_band:
        return scene
    if scene.curve is None or former.curve is None or scene.finish is None or former.finish is None:
        return scene
    spread = former.curve.band - former.curve.gravity
    moved = np.stack([np.interp(scene.curve.days, former.curve.days, edge) for edge in spread])
    gravity, was = scene.finish.gravity.typical, former.finish.gravity
    about = Span(gravity + was.low - was.typical, gravity, gravity + was.high - was.typical)
    return replace(
        scene,
        curve=replace(scene.curve, band=scene.curve.gravity + moved),
        finish=replace(scene.finish, gravity=about),
        with_band=True,
    )


def stopped_days(outcome: Outcome) -> tuple[float, float] | None:
    """The days of a rest well above the expected finish: from the first gravity that the last one repeats.

    Where a fresh sugar test was made it decides, as it does in the headline.
    """
    finish = outcome.finish
    if finish is None or outcome.headline.stage != "rest":
        return None
    counted = sorted((row for row in outcome.log if row.counts), key=_by_day)
    stem = [row for row in counted if row.kind == "hydrometer"]
    last = stem[-1]
    tests = [row.sugar for row in counted if row.kind == "sugar" and abs(_day(row) - _day(last)) <= TEST_IS_FRESH]
    has_stopped = tests[-1] > DRY if tests else last.gravity > finish.dry_gravity.high + REST_FALL
    if not has_stopped:
        return None
    first = last
    for row in reversed(stem):
        if abs(row.gravity - last.gravity) > REST_FALL:
            break
        first = row
    return _day(first), _day(last)


def falls(points: Points) -> tuple[Array, Array]:
    """Measured falls of gravity per day between counted gravities at least `APART` days from each other.

    Returns
    -------
    days : numpy.ndarray, shape (n, 2)
        From when to when. [d]
    gravities : numpy.ndarray, shape (n, 2)
        The gravities then. [-]
    """
    counted = np.flatnonzero(~points.excluded & ~points.sugar_test)
    chosen: list[int] = []
    for place in counted:
        if not chosen or points.day[place] - points.day[chosen[-1]] >= APART:
            chosen.append(int(place))
    pairs = np.array([chosen[:-1], chosen[1:]], dtype=int).T.reshape(-1, 2)
    return points.day[pairs], points.gravity[pairs]


def thinned(day: Array, gravity: Array, most: int) -> npt.NDArray[np.int_]:
    """Which of many points to draw: of each stretch of days the first, the last, the lowest and the highest.

    Parameters
    ----------
    day, gravity : numpy.ndarray, shape (n,)
        The points, by rising day.
    most : int
        Most points wanted.

    Returns
    -------
    numpy.ndarray of int
        Places, rising; all of them where there are not too many.
    """
    if day.size <= most:
        return np.arange(day.size)
    width = max(float(day[-1] - day[0]), 1e-9)
    stretch = np.minimum(((day - day[0]) / width * (most // 4)).astype(int), most // 4 - 1)
    begins = np.flatnonzero(np.diff(stretch, prepend=-1))
    ends = np.append(begins[1:], day.size)
    by_height = np.lexsort((gravity, stretch))
    kept = np.concatenate((begins, ends - 1, by_height[begins], by_height[ends - 1]))
    return np.unique(kept)


def summary(scene: Scene) -> Words:
    """The curve in a sentence, for those who do not see it."""
    if scene.curve is None or scene.finish is None:
        return say("No expected curve yet.")
    expected = (
        words.gravity(float(scene.curve.gravity[0])),
        words.gravity(scene.finish.gravity.typical),
        words.day(scene.finish.day.typical),
    )
    start = "Expected to fall from {} to {} by day {}. "
    counted = [place for place in range(scene.points.day.size) if not scene.points.excluded[place]]
    if not counted:
        return say(start + "No readings yet.", *expected)
    last = counted[-1]
    return say(
        start + "{} readings, the last {} on day {}." + (" It may have stopped." if scene.stopped else ""),
        *expected, words.count(len(counted)), words.gravity(float(scene.points.gravity[last])),
        words.day(float(scene.points.day[last])),
    )  # fmt: skip


def _events(outcome: Outcome, nutrient_name: Callable[[str], str]) -> tuple[Event, ...]:
    curve = outcome.curve
    if curve is None:
        return ()
    due = []
    for moment in curve.feeds:
        feed = outcome.batch.recipe.feeds[moment.feed]
        name = nutrient_name(feed.key).replace("{", "(").replace("}", ")")
        due.append(Event(moment.day, "feed", say("feed {} " + name, words.mass(feed.mass))))
    if curve.third_day is not None:
        due.append(Event(curve.third_day, "third", say("a third of the sugar used")))
    return tuple(sorted(due))


def _day(row: Logged) -> float:
    return 0.0 if row.day is None else row.day


def _by_day(row: Logged) -> tuple[float, int]:
    return _day(row), row.index
