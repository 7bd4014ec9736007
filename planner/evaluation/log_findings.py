"""What is doubtful about a log: its dates, its values, its jumps, what was done, and the strain that it tells of."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta

import numpy as np

from planner.document.batch import Batch, Event, Feed, HydrometerReading, SensorReading, StepFeed, What
from planner.document.timestamps import parsed
from planner.evaluation.headline import REST_FALL
from planner.evaluation.yeast_findings import LOW_PH
from planner.model.hydrometer import HOT, HOTTEST, hot_doubt
from planner.model.numerics import median
from planner.model.span import Span
from planner.recipe.pulp import MOMENTS
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Yeast
from planner.timeline.actual_recipe import feeds_given, replaced_feeds
from planner.timeline.current_gravity import DOUBTED
from planner.timeline.instrument_checks import checked, checks
from planner.timeline.posterior import Posterior
from planner.timeline.readings import AT_PITCHING, Logged, columns_of
from planner.timeline.results import Curve, FeedMoment, MustOutcome
from planner.timeline.start_reading import is_hot, starting_reading
from planner.wording import phrases
from planner.wording.finding import Finding, error, note, warning
from planner.wording.phrases import in_a_sentence

LEAST_OFF = 0.0003
"""Error of an instrument from which it is told. [-] A third of a line."""

LOGGED_WITHIN = 1.0
"""After how long a planned feed that is not in the log is asked about. [d] Estimate."""

FAR_START = 0.015
"""Difference between the gravity measured at pitching and that of the recipe that asks for a word. [-] Estimate: more than
fruit, honey and their weighing let expect."""

CLOCKS_DIFFER = timedelta(hours=1)
"""A reading this much ahead of the clock may still be of now."""

FAR_OFF = 0.030
"""Jump between a reading and both its neighbours that looks like a slip of the pen. [-] Estimate."""


APART, NEAR = 0.005, 0.75
"""Distance of a sensor from the hydrometer that asks for a word [-], more than the doubt of both and an hour of a brisk ferment
let expect; and days within which the sensor must have been read before and after [d]. Estimates."""


def log_findings(batch: Batch, rows: tuple[Logged, ...], today: datetime | None = None) -> tuple[Finding, ...]:
    """Doubts about the log.

    Parameters
    ----------
    today : datetime or None
        The present moment with its offset, to notice readings from the future; None to leave that. [-]
    """
    return (
        *_dating(batch, rows, today),
        *_values(batch, rows),
        *_checks(batch),
        *_jumps(batch, rows),
        *_apart(rows),
        *_doings(batch, rows),
    )


def feed_findings(
    batch: Batch, curve: Curve, rows: tuple[Logged, ...], names: Mapping[str, str]
) -> tuple[Finding, ...]:
    """Whether planned feeds and step feeds that were due by the last reading are missing from the log.

    Returns
    -------
    tuple of Finding
        One question for each of the two, at its place in the recipe. [as its fields]
    """
    log = columns_of(rows)
    last = float(np.max(log.day[(log.tells != "") & ~log.excluded & ~np.isnan(log.day)], initial=0.0))
    recipe = batch.recipe
    return (
        *_unlogged(batch, What.FEED, recipe.feeds, curve.feeds, last, names),
        *_unlogged(batch, What.ADDED, recipe.step_feeds, curve.step_feeds, last, names),
    )


_ASKED = {
    What.FEED: ("recipe.feeds", "Did you feed it?", "feeds", "fed"),
    What.ADDED: ("recipe.step_feeds", "Did you add it?", "additions", "added"),
}
"""Of what was perhaps forgotten in the log: its place, the question, what several are called, and how one is logged."""


def _unlogged(
    batch: Batch,
    done: What,
    lines: Sequence[Feed | StepFeed],
    due: Sequence[FeedMoment],
    last: float,
    names: Mapping[str, str],
) -> tuple[Finding, ...]:
    """One question about planned feeds of a kind that were due by a day [d] and are not in the log."""
    given = set(replaced_feeds(batch, done).values())
    missing = [
        one for one in due
        if one.day + LOGGED_WITHIN < last and one.feed < len(lines) and one.feed not in given and lines[one.feed].mass > 0.0
    ]  # fmt: skip
    # One that was logged without its amount is enough of an answer.
    events = (entry for _, entry in batch.log.entries.of_kind(Event))
    bare = sum(event.what == done and not (event.key and event.mass) for event in events)
    missing = missing[bare:]
    if not missing:
        return ()
    first, parts = lines[missing[0].feed], len(missing)
    spoken = in_a_sentence(names.get(first.key, first.key))
    mass, day = phrases.mass(first.mass), phrases.day(missing[0].day)
    place, question, several, verb = _ASKED[done]
    example = f"{verb} {{}} {spoken}"
    asked = (
        f"{{}} of {spoken}, planned for day {{}}, is not in the log; the curve assumes you gave it. Log it (type “{example}”)"
        if parts == 1
        else f"{parts} planned {several} are not in the log: the first is {{}} of {spoken} on day {{}}. The curve assumes you gave them. Log each (type “{example}”)"
    )
    return (note(place, f"{question} {asked}, or delete it from the recipe.", mass, day, mass),)


def start_findings(rows: tuple[Logged, ...], must: MustOutcome, taken: bool) -> tuple[Finding, ...]:
    """Whether the gravity measured at pitching can be that of the recipe."""
    row = starting_reading(rows)
    if row is None:
        return ()
    place, both = f"log.readings.{row.index}", (phrases.gravity(row.gravity), phrases.gravity(must.first.typical))
    if not taken:
        return (error(place, "{} at pitching cannot be the must of this recipe, which has {}. The course starts from the recipe instead. Check the reading, its day, and the recipe.", *both),)  # fmt: skip
    # How much of its juice whole fruit gave by then is not known better than that.
    near = Span.exactly(must.first.typical) if must.first == must.gravity else must.first
    if max(near.low - row.gravity, row.gravity - near.high) > FAR_START:
        return (warning(place, "{} at pitching is far from the {} of this recipe. The course starts from this reading and its sugar. If it was misread, or not all was stirred in, leave it out.", *both),)  # fmt: skip
    return ()


def misread_findings(batch: Batch, rows: tuple[Logged, ...], after: Posterior | None) -> tuple[Finding, ...]:
    """Readings that the rest of the log speaks against, as soon as they are entered.

    Parameters
    ----------
    batch : Batch
        What was added while it worked lets gravity rise. [as its fields]

    Returns
    -------
    tuple of Finding
        At those of them that no leap to both neighbours gives away. [as their fields]
    """
    if after is None:
        return ()
    leaps = {row.index for row in _leaps(batch, rows)}
    read = {row.index for row in rows if row.kind == "hydrometer"}  # of other instruments, `agreement` tells
    found = []
    for step in after.steps:
        one = step.evidence
        if step.bad < DOUBTED or one.readings > 1 or one.place in leaps or one.place not in read:
            continue
        shown = (phrases.gravity(one.value), phrases.gravity(float(np.interp(one.day, after.days, after.gravity))))
        text = "{} does not fit the readings before it, which lead to about {}. If it was misread, leave it out; if it is right, the next reading will show it."  # fmt: skip
        if step is not after.steps[-1]:
            text = "{} does not fit the other readings, which lead to about {}. If it was misread, leave it out."
        found.append(warning(f"log.readings.{one.place}", text, *shown))
    return tuple(found)


def strain_findings(
    batch: Batch, catalogue: Catalogue, rows: tuple[Logged, ...], until: float | None
) -> tuple[Finding, ...]:
    """What the log tells of strain on the yeast: the must's own temperature out of its range, and a low pH.

    Parameters
    ----------
    batch, catalogue
        As those of `recipe_findings`. [as there]
    until : float or None
        Day until which it ferments; None where nothing does. [d]

    Returns
    -------
    tuple of Finding
        At the last reading of each kind. [as their fields]
    """
    if until is None:
        return ()
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    counted = [row for row in rows if not row.excluded and row.day is not None and 0.0 <= row.day <= until]
    warm = [row for row in counted if row.kind == "temperature" and row.temperature is not None]
    sour = [row for row in counted if row.ph is not None]
    found: list[Finding] = []
    if warm:
        last = max(warm, key=lambda row: row.day or 0.0)
        found += _out_of_range(f"log.readings.{last.index}", last.temperature or 0.0, yeast)
    if sour:
        last = max(sour, key=lambda row: row.day or 0.0)
        if 2.5 <= (last.ph or 0.0) < LOW_PH:
            found.append(warning(f"log.readings.{last.index}", "A pH of {} strains the yeast; below {} it may stop early. A "
                                 "little potassium bicarbonate, stirred in and measured again, raises it.",
                                 phrases.ph(last.ph or 0.0), phrases.ph(LOW_PH)))  # fmt: skip
    return tuple(found)


def _out_of_range(place: str, measured: float, yeast: Yeast) -> Iterator[Finding]:
    shown = phrases.temperature(measured)
    if measured > yeast.t_high + 0.5:
        yield warning(place, "{} is above this yeast's range, which ends at {}. Cool it, a few degrees a day.",
                      shown, phrases.temperature(yeast.t_high))  # fmt: skip
    elif measured < yeast.t_low - 0.5:
        yield warning(place, "{} is below this yeast's range, which begins at {}. Warm it slowly.",
                      shown, phrases.temperature(yeast.t_low))  # fmt: skip


def _dating(batch: Batch, rows: tuple[Logged, ...], today: datetime | None) -> Iterator[Finding]:
    if batch.log.pitched_at and parsed(batch.log.pitched_at) is None:
        yield error(
            "log.pitched_at", "The moment of pitching cannot be read. Enter a date, a time and an offset from UTC."
        )
    for row in rows:
        place = f"log.readings.{row.index}"
        at = batch.log.readings[row.index].at
        if at and parsed(at) is None:
            yield error(
                place, "The moment of this reading cannot be read. Enter a date, a time and an offset from UTC."
            )
        elif row.day is None:
            yield warning(place, "This reading cannot be placed on the curve. Enter when the yeast was pitched.")
        elif today is not None and row.moment is not None and row.moment - today > CLOCKS_DIFFER:
            yield warning(place, "This reading lies in the future. Check its date.")
        elif row.day < -1.0:
            yield note(place, "This reading was taken {} days before pitching.", phrases.day(-row.day))


def _values(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Finding]:
    for row in rows:
        reading = batch.log.readings[row.index]
        if isinstance(reading, HydrometerReading | SensorReading) and not 0.97 <= reading.gravity <= 1.25:
            yield warning(f"log.readings.{row.index}", "A gravity of {} is unlikely for a must or mead.",
                          phrases.gravity(reading.gravity))  # fmt: skip
        yield from _warmth(row)

        if row.ph is not None and not 2.5 <= row.ph <= 5.0:
            yield warning(f"log.readings.{row.index}", "A pH of {} is unlikely for a must or mead.", phrases.ph(row.ph))
        if row.acid is not None and not 2.0 <= row.acid <= 25.0:
            yield warning(f"log.readings.{row.index}", "A titratable acid of {} is unlikely for a must or mead. Check that it is told as tartaric acid.", phrases.concentration(row.acid))  # fmt: skip
        if not row.fits and row.kind == "weight":
            yield warning(f"log.readings.{row.index}", "More weight is gone than the sugar could give as gas. Something else left the vessel, or it was weighed differently.")  # fmt: skip
        elif not row.fits:
            yield warning(f"log.readings.{row.index}", "This must shows no such °Brix by refractometer at any stage. Check the reading and the recipe.")  # fmt: skip


def _checks(batch: Batch) -> Iterator[Finding]:
    """What the last check of each instrument has told of it."""
    errors = checked(batch.log)
    for name, place in {name: place for place, name, _ in checks(batch.log)}.items():
        off, where = errors[name].mean, f"log.readings.{place}"
        if abs(off) < LEAST_OFF:
            yield note(where, "This instrument reads true, as far as its checks tell.")
        else:
            side = "high" if off > 0.0 else "low"
            yield note(where, f"This instrument reads about {{}} too {side}. Its readings are corrected for that.",
                       phrases.gravity_step(abs(off)))  # fmt: skip


def _warmth(row: Logged) -> Iterator[Finding]:
    """Samples beyond the range of the corrections, or so hot that one reading is not enough."""
    if row.temperature is None:
        return
    place, warmth = f"log.readings.{row.index}", row.temperature
    early = is_hot(row) and row.counts and (row.day or 0.0) <= AT_PITCHING[1]
    most = HOTTEST if early else HOT
    if not 273.15 <= warmth <= most:
        yield warning(place, "{} is outside the range of the temperature correction, {} to {}.",
                      *(phrases.temperature(t) for t in (warmth, 273.15, most)))  # fmt: skip
    if early:
        doubt = phrases.gravity_step(float(hot_doubt(warmth)))
        yield note(place, "A gravity read at {} is good to {} only. The course starts from it once a second reading agrees. Cool a covered sample and read again.", phrases.temperature(warmth), doubt)  # fmt: skip


def _doings(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Finding]:
    """What was done to the batch, and what that does to readings."""
    racked = min((row.day for row in rows if row.day is not None and not row.excluded
                  and _is(batch, row, What.RACKING)), default=None)  # fmt: skip
    for row in rows:
        place, entry = f"log.readings.{row.index}", batch.log.readings[row.index]
        if racked is not None and row.counts and row.kind == "weight" and (row.day or 0.0) > racked:
            yield warning(
                place,
                "This was weighed after a racking, so what was left behind counts as gas. Leave this reading out.",
            )
        if not isinstance(entry, Event) or row.excluded:
            continue
        if entry.what is What.FEED and (not entry.key or entry.mass is None):
            yield note(place, "This feed is not in the curve. Enter how much of which nutrient.")
        if entry.what is What.ADDED and (not entry.key or entry.mass is None):
            yield note(place, "This addition is not in the curve. Enter how much of what.")
        if entry.what is What.TEMPERATURE and entry.temperature is None:
            yield note(place, "This change is not in the curve. Enter the new temperature.")


def _is(batch: Batch, row: Logged, what: What) -> bool:
    entry = batch.log.readings[row.index]
    return isinstance(entry, Event) and entry.what is what


def _floated(rows: tuple[Logged, ...]) -> list[Logged]:
    """What was read off a hydrometer and counts, by day."""
    return sorted((r for r in rows if r.counts and r.kind == "hydrometer"), key=lambda r: r.day or 0.0)


def _leaps(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Logged]:
    """Readings that lie far from both their neighbours, on the same side."""
    counted, sweetened = _floated(rows), _sweetened(batch)
    for before, row, after in zip(counted, counted[1:], counted[2:], strict=False):
        up, down = row.gravity - before.gravity, row.gravity - after.gravity
        if (min(up, down) > FAR_OFF or max(up, down) < -FAR_OFF) and not sweetened(before, after):
            yield row


def _sweetened(batch: Batch) -> Callable[[Logged, Logged], bool]:
    """Whether something that moves gravity by itself came between two readings: an addition, or the juice of whole fruit."""
    days = [day for _, _, day in feeds_given(batch, What.ADDED)]
    fruit = batch.recipe.preparation.whole and any(not line.as_juice for line in batch.recipe.fruits)
    gives = MOMENTS[-2] if fruit else -math.inf

    def between(before: Logged, after: Logged) -> bool:
        first, last = before.day or 0.0, after.day or 0.0
        return first < gives or any(first <= day <= last for day in days)

    return between


def _jumps(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Finding]:
    for row in _leaps(batch, rows):
        yield warning(f"log.readings.{row.index}", "{} lies far from the readings before and after it. If it was misread, leave it out.", phrases.gravity(row.gravity))  # fmt: skip
    sweetened = _sweetened(batch)
    for before, row in itertools.pairwise(_floated(rows)):
        if REST_FALL * 2.5 < row.gravity - before.gravity <= FAR_OFF and not sweetened(before, row):
            yield note(f"log.readings.{row.index}", "The gravity rose since the reading before. Stir or degas the sample, or check its temperature.")  # fmt: skip


def _apart(rows: tuple[Logged, ...]) -> Iterator[Finding]:
    """Whether a floating sensor and the hydrometer tell of different musts: yeast on a float, or one that was never set right."""
    told = columns_of(rows)
    counts = (told.tells == "gravity") & ~told.excluded & np.isfinite(told.day)
    floated, read = (np.flatnonzero(counts & (told.kind == kind)) for kind in ("sensor", "hydrometer"))
    if not floated.size or not read.size:
        return
    floated = floated[np.argsort(told.day[floated], kind="stable")]
    days, there = told.day[read], told.day[floated]
    after = np.searchsorted(there, days)
    between = (after > 0) & (after < there.size)
    after = np.clip(after, 1, max(there.size - 1, 1))
    if there.size < 2 or not np.any(between):
        return
    near = between & (days - there[after - 1] <= NEAR) & (there[after] - days <= NEAR)
    off = (np.interp(days, there, told.gravity[floated]) - told.gravity[read])[near]
    if not off.size or abs(median(off)) < APART:
        return
    worst = off[np.argmax(np.abs(off))]
    place = f"log.readings.{told.place[read[near][np.argmax(np.abs(off))]]}"
    side = "below" if median(off) < 0.0 else "above"
    points = [phrases.gravity_step(round(abs(value), 3)) for value in (median(off), worst)]
    times, figures = ("by one comparison", points[:1]) if off.size == 1 else (
        "by the middle of {} comparisons, and {} at most", [points[0], phrases.count(off.size), points[1]]
    )  # fmt: skip
    yield warning(place, f"The floating sensor lies {{}} {side} your hydrometer {times}. The hydrometer is surer. Clean and recalibrate the sensor, or leave out the readings of the one that is off.", *figures)  # fmt: skip
