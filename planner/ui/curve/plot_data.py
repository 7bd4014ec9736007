"""What the fermentation curve shows, taken from an outcome: no Qt, no drawing, SI throughout."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import NamedTuple, cast

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Entry, TasteReading, VolumeReading, What
from planner.document.batch import Event as Doing
from planner.document.timestamps import day_of, parsed
from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.timeline.actual_recipe import replaced_feeds
from planner.timeline.current_gravity import DOUBTED
from planner.timeline.entry_text import in_words
from planner.timeline.instruments import Pair
from planner.timeline.readings import DOSED, Columns, Logged, columns_of
from planner.timeline.results import Curve, FinishOutcome
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST
from planner.ui.curve.reference_batch import Earlier
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

Array = npt.NDArray[np.float64]

_SHORTEST_REST = 0.5
"""So wide is the span of a rest at least, to be seen. [d]"""

APART = 0.5
"""Days between two readings whose difference tells a daily fall. [d] Closer ones tell mostly their own error."""


class Event(NamedTuple):
    """Something on the time axis: a "feed" that is planned, what is planned to "add", the "third" of the sugar used; "given"
    for a feed that was given, "added" for what was added, "done" for what else was, "taste" for a note on how it tasted."""

    day: float
    kind: str
    text: Words


class Points(msgspec.Struct, frozen=True, eq=False):
    """The readings that have a day, in the order of their days; arrays of one length.

    Attributes
    ----------
    index : numpy.ndarray of int
        Place in the log.
    day, gravity : numpy.ndarray
        Days since pitching [d] and corrected gravity, or the one that goes with what was measured. [-]
    kind : numpy.ndarray of str
        As `planner.timeline.readings.KINDS` has them; only kinds that tell a gravity or sugar are points.
    excluded : numpy.ndarray of bool
        Whether the reading is left out.
    low, high : numpy.ndarray
        The 90 % interval of the gravity. [-]
    """

    index: npt.NDArray[np.int_]
    day: Array
    gravity: Array
    kind: npt.NDArray[np.str_]
    excluded: npt.NDArray[np.bool_]
    low: Array
    high: Array
    dosed: npt.NDArray[np.bool_] | None = None
    """Taken after something was stirred in; None where none was."""

    @property
    def sugar_test(self) -> npt.NDArray[np.bool_]:
        """Whether sugar was tested rather than gravity."""
        return np.asarray(self.kind == "sugar")

    @classmethod
    def of(cls, rows: Sequence[Logged]) -> Points:
        """The points of a log."""
        log = columns_of(rows)
        dated = np.flatnonzero(~np.isnan(log.day) & (log.tells != ""))
        dated = dated[np.lexsort((log.place[dated], log.day[dated]))]
        kinds = log.kind[dated].astype("<U13")
        return cls(log.place[dated], log.day[dated], log.gravity[dated], kinds, log.excluded[dated], log.low[dated],
                   log.high[dated], log.tells[dated] == DOSED)  # fmt: skip


class Noted(NamedTuple):
    """What was measured beside gravity and sugar, by rising day; shape (n,) each."""

    day: Array
    value: Array

    @classmethod
    def of(cls, log: Columns, value: Array) -> Noted:
        """What was noted of a value, by the rows of a log that count."""
        some = np.flatnonzero(~np.isnan(log.day) & ~np.isnan(value) & ~log.excluded)
        some = some[np.lexsort((value[some], log.day[some]))]
        return cls(log.day[some], value[some])


class Forecast(NamedTuple):
    """The course as the log has it.

    Attributes
    ----------
    days, gravity : numpy.ndarray, shape (n,)
        Days since pitching [d] and median gravity. [-]
    band : numpy.ndarray, shape (4, n)
        5th, 25th, 75th and 95th percentile of gravity. [-]
    today : float
        Day of the last reading it rests on. [d]
    finish_gravity, finish_day : Span
        Where [-] and when [d] it should come to rest.
    stands : bool
        Whether it stands still already, stalled or finished, so that it rests where it stands.
    """

    days: Array
    gravity: Array
    band: Array
    today: float
    finish_gravity: Span
    finish_day: Span
    stands: bool = False


class Scene(msgspec.Struct, frozen=True, eq=False):
    """All that is drawn.

    Attributes
    ----------
    name : str
        Of the batch.
    curve, finish : Curve, FinishOutcome or None
        What is expected.
    rows : tuple of Logged
        The log, by place.
    lacks_log : bool
        Whether it is too long to be shown at once.
    points : Points
        Its readings that have a day.
    with_band : bool
        Whether the curve has a band.
    forecast : Forecast or None
        The course as the log has it.
    stopped : tuple of float, or None
        First and last day of a rest that the verdict calls stalled, or wants tested. [d]
    stopped_word : str
        What the verdict calls it.
    doubted : frozenset of int
        Places in the log of readings that the others speak against.
    events : tuple of Event
        What falls due, and what was done.
    warmth, ph : Noted
        Temperatures [K] and pH [-] that were noted.
    pitched_at : datetime or None
        Day zero on the calendar.
    pairs : tuple of Pair
        What hydrometer and refractometer of a day say together.
    in_room : bool
        Whether the must warms itself in its room, so that its temperatures are expected and not planned.
    earlier : Earlier or None
        Another batch beside this one.
    today : float or None
        The present, where pitching is dated. [d]
    """

    name: str = ""
    curve: Curve | None = None
    finish: FinishOutcome | None = None
    rows: tuple[Logged, ...] = ()
    lacks_log: bool = False
    points: Points = msgspec.field(default_factory=lambda: Points.of(()))
    with_band: bool = False
    forecast: Forecast | None = None
    stopped: tuple[float, float] | None = None
    stopped_word: str = ""
    doubted: frozenset[int] = frozenset()
    events: tuple[Event, ...] = ()
    warmth: Noted = msgspec.field(default_factory=lambda: Noted(np.empty(0), np.empty(0)))
    ph: Noted = msgspec.field(default_factory=lambda: Noted(np.empty(0), np.empty(0)))
    pitched_at: datetime | None = None
    pairs: tuple[Pair, ...] = ()
    in_room: bool = False
    earlier: Earlier | None = None
    today: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to draw."""
        return self.curve is None and self.points.day.size == 0


def scene_of(outcome: Outcome, name_of: Callable[[str], str], former: Scene | None = None) -> Scene:
    """What is drawn of an outcome; `name_of` gives the words for the key of a nutrient. Of a log that is the same as in a former
    scene the points are the same."""
    log, rows = outcome.batch.log, columns_of(outcome.log)
    same = former if former is not None and former.rows is outcome.log else None
    return Scene(
        name=outcome.batch.name,
        curve=outcome.curve,
        finish=outcome.finish,
        rows=outcome.log,
        lacks_log=not outcome.log and len(log.readings) > 0,
        points=Points.of(outcome.log) if same is None else same.points,
        with_band=outcome.with_band,
        forecast=_forecast(outcome),
        stopped=stopped_days(outcome),
        stopped_word="stalled"
        if outcome.verdict is not None and outcome.verdict.kind == STALLED
        else "stalled or finished?",
        doubted=_doubted(outcome),
        events=_events(outcome, name_of),
        warmth=Noted.of(rows, rows.temperature) if same is None else same.warmth,
        ph=Noted.of(rows, rows.ph) if same is None else same.ph,
        pitched_at=parsed(log.pitched_at) if log.pitched_at else None,
        pairs=() if outcome.so_far is None else outcome.so_far.pairs,
        in_room=outcome.batch.recipe.in_room,
    )


def until_whole(scene: Scene, former: Scene) -> Scene:
    """What is drawn of the typical course alone until the whole answer to an edit is there: about the new course the spread of
    the last whole answer, and what that made of the log.

    Parameters
    ----------
    scene : Scene
        Drawn as it is where it rests on an ensemble. [as its fields]
    """
    if scene.with_band or not former.with_band:
        return scene
    if scene.lacks_log:
        scene = msgspec.structs.replace(
            scene, rows=former.rows, points=former.points, warmth=former.warmth, ph=former.ph, lacks_log=False
        )
    if scene.points.day.size:
        scene = msgspec.structs.replace(
            scene, forecast=former.forecast, stopped=former.stopped, stopped_word=former.stopped_word,
            doubted=former.doubted, pairs=former.pairs,
        )  # fmt: skip
    if scene.curve is None or former.curve is None or scene.finish is None or former.finish is None:
        return scene
    spread = former.curve.band - former.curve.gravity
    moved = np.stack([np.interp(scene.curve.days, former.curve.days, edge) for edge in spread])
    gravity, was = scene.finish.gravity.typical, former.finish.gravity
    about = Span(gravity + was.low - was.typical, gravity, gravity + was.high - was.typical)
    return msgspec.structs.replace(
        scene,
        curve=msgspec.structs.replace(scene.curve, band=scene.curve.gravity + moved),
        finish=msgspec.structs.replace(scene.finish, gravity=about),
        with_band=True,
    )


def stopped_days(outcome: Outcome) -> tuple[float, float] | None:
    """The days of a rest that the verdict calls stalled, or wants tested: from when on, to the last reading."""
    verdict, after = outcome.verdict, outcome.posterior
    if verdict is None or verdict.kind not in (STALLED, TEST) or after is None or after.now is None:
        return None
    last = after.now.evidence.day
    began = verdict.stalled_since
    if began is None:
        decided = next((row.day for row in outcome.log if row.index == verdict.decided_by), None)
        began = last if decided is None else decided
    return min(began, last - _SHORTEST_REST), last


def _forecast(outcome: Outcome) -> Forecast | None:
    after = outcome.posterior
    if after is None or after.now is None:
        return None
    finished = outcome.verdict is not None and outcome.verdict.kind == FINISHED
    return Forecast(
        after.days,
        after.gravity,
        after.band,
        after.now.evidence.day,
        after.finish_gravity,
        after.finish_day,
        after.held or finished,
    )


def _doubted(outcome: Outcome) -> frozenset[int]:
    steps = () if outcome.posterior is None else outcome.posterior.steps
    return frozenset(step.evidence.place for step in steps if step.bad >= DOUBTED)


def falls(points: Points, doubted: frozenset[int] = frozenset()) -> tuple[Array, Array]:
    """Measured falls of gravity per day between counted gravities at least `APART` days from each other; those at the `doubted`
    places of the log tell none.

    Returns
    -------
    days : numpy.ndarray, shape (n, 2)
        From when to when. [d]
    gravities : numpy.ndarray, shape (n, 2)
        The gravities then. [-]
    """
    left_out = points.excluded if points.dosed is None else points.excluded | points.dosed
    if doubted:
        left_out = left_out | np.isin(points.index, list(doubted))
    counted = np.flatnonzero(~left_out & (points.kind == _mostly(points)))
    days = points.day[counted]
    chosen: list[int] = []
    next_one = 0
    while next_one < days.size:
        chosen.append(int(counted[next_one]))
        next_one = int(np.searchsorted(days, days[next_one] + APART))
    pairs = np.array([chosen[:-1], chosen[1:]], dtype=int).T.reshape(-1, 2)
    return points.day[pairs], points.gravity[pairs]


def _mostly(points: Points) -> str:
    """The kind of gravity most readings are of: differences between two instruments are no falls."""
    kinds, counts = np.unique(points.kind[~points.excluded & ~points.sugar_test], return_counts=True)
    return str(kinds[np.argmax(counts)]) if kinds.size else ""


def thinned(day: Array, gravity: Array, most: int) -> npt.NDArray[np.int_]:
    """Which of many points to draw: of each stretch of days the first, the last, the lowest and the highest,
    and three between, so that a cloud looks like one.

    Parameters
    ----------
    day, gravity : numpy.ndarray, shape (n,)
        The points, by rising day.
    most : int
        Most points wanted; at least 7.

    Returns
    -------
    numpy.ndarray of int
        Places, rising; all of them where there are not too many.
    """
    if day.size <= most:
        return np.arange(day.size)
    edges = np.linspace(day[0], day[-1], most // 7 + 1)[:-1]
    begins = np.unique(np.searchsorted(day, edges))
    ends = np.append(begins[1:], day.size)
    between = [begins + (ends - begins) * quarter // 4 for quarter in (1, 2, 3)]
    extremes = _first_at(gravity, begins, np.minimum), _first_at(gravity, begins, np.maximum)
    return np.unique(np.concatenate((begins, ends - 1, *extremes, *between)))


def _first_at(values: Array, begins: npt.NDArray[np.int_], extreme: np.ufunc) -> npt.NDArray[np.int_]:
    """Where in each stretch its extreme value stands first; without sorting, which 100,000 points would feel."""
    found = extreme.reduceat(values, begins)
    sizes = np.diff(np.append(begins, values.size))
    places = np.flatnonzero(values == np.repeat(found, sizes))
    stretch = np.searchsorted(begins, places, side="right")
    return places[np.flatnonzero(np.diff(stretch, prepend=0))]


def summary(scene: Scene) -> Words:
    """The curve in a sentence, for those who do not see it."""
    if scene.curve is None or scene.finish is None:
        return say("No expected curve yet.")
    expected = (
        phrases.gravity(float(scene.curve.gravity[0])),
        phrases.gravity(scene.finish.gravity.typical),
        phrases.day(scene.finish.day.typical),
    )
    start = "Expected to fall from {} to {} by day {}. "
    counted = np.flatnonzero(~scene.points.excluded)
    if not counted.size:
        return say(start + "No readings yet.", *expected)
    last = int(counted[-1])
    return say(
        start + "{} readings, the last {} on day {}." + (" It may have stopped." if scene.stopped else ""),
        *expected, phrases.count(counted.size), phrases.gravity(float(scene.points.gravity[last])),
        phrases.day(float(scene.points.day[last])),
    )  # fmt: skip


def _events(outcome: Outcome, name_of: Callable[[str], str]) -> tuple[Event, ...]:
    curve, batch = outcome.curve, outcome.batch
    due = []
    if curve is not None:
        recipe = batch.recipe
        for kind, done, moments, lines in (
            ("feed", What.FEED, curve.feeds, recipe.feeds), ("add", What.ADDED, curve.step_feeds, recipe.step_feeds),
        ):  # fmt: skip
            stood_for = set(replaced_feeds(batch, done).values())
            for moment in moments:
                line = lines[moment.feed]
                if moment.feed not in stood_for:
                    planned = say(f"{kind} {{}} " + literal(name_of(line.key)), phrases.mass(line.mass))
                    due.append(Event(moment.day, kind, planned))
    if curve is not None and curve.third_day is not None:
        due.append(Event(curve.third_day, "third", say("a third of the sugar used")))
    told = cast("Iterator[tuple[int, Entry]]", batch.log.entries.of_kind(Doing, TasteReading, VolumeReading))
    for _, entry in told:
        if isinstance(entry, TasteReading) and not entry.note:
            continue
        day = day_of(entry.at, entry.day, batch.log.pitched_at)
        if day is not None and not entry.excluded:
            due.append(_done(entry, day, name_of))
    return tuple(sorted(due, key=lambda event: (event.day, event.kind)))


_LONGEST_NOTE = 60


def _done(entry: Entry, day: float, name_of: Callable[[str], str]) -> Event:
    """Something that was done, tasted or measured of the amount, in words."""
    note = " ".join(entry.note.split())
    note = note if len(note) <= _LONGEST_NOTE else f"{note[: _LONGEST_NOTE - 1]}…"
    if isinstance(entry, TasteReading):
        return Event(day, "taste", say(f"tasted: {literal(note)}"))
    more = f": {literal(note)}" if note else ""
    kind = {What.FEED: "given", What.ADDED: "added"}.get(getattr(entry, "what", What.NOTE), "done")
    told = in_words(entry, name_of)
    return Event(day, kind, say(told.template + more, *told.figures))
