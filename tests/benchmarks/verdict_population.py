"""Simulated ferments whose truth is known, from models that are not the planner's, and what their makers know and log.

The structures stand in `verdict_structures`; the first, of carriers, is the one that is measured unless another is asked for.
Gravity is that of the extract plus that of the alcohol (Tabarié's rule), not the planner's sum of volumes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from tests.benchmarks.verdict_structures import STRUCTURES, Drawn, Parts, Structure

Array = npt.NDArray[np.float64]
Ferment = dict[str, Any]

LONGEST, STEP = 90.0, 0.05  # [d]
PER_DAY = round(1.0 / STEP)
CAUSES = ("cold", "heat", "hunger", "strength")

# Specific gravity 20/20 of ethanol-water by volume of alcohol, OIML R 22 tables [% vol], [-]
_ALCOHOL, _LIGHT = (0.0, 5.0, 10.0, 12.0, 15.0, 20.0), (1.0, 0.99284, 0.98648, 0.98412, 0.98073, 0.97531)
# Specific gravity of 100 and 250 g/L of sugar: 1.0384 and 1.0955 (handbook tables of sucrose and invert sugar, from memory).
_HEAVY = (3.858e-4, -1.55e-8)


# A rule of thumb that some would use instead, as its own doubt: each g/L of alcohol takes so much. [L/g]
_RULE_OF_THUMB = 1.57e-4


class Setting(NamedTuple):
    """A structure, what happens to its ferments, how the truth is told of them and the maker's knowledge is formed."""

    structure: Structure
    wide: float = 1.0  # what the maker states is so many times as wide as it need be
    off: float = 0.0  # and off its centre by so many of its half widths, this way or that
    from_cause: bool = False  # a stall begins with its cause, not when hardly any sugar is used any more
    by_thumb: bool = False  # gravity by a rule of thumb
    fed: bool = False  # honey is given in two or three parts while it works
    whole: bool = False  # part of the juice is still in whole fruit, and comes out over days
    shaken: bool = False  # by cold nights and hot days: two to four shocks of temperature
    pauses: bool = False  # two in three of those that get dry stop for one to three weeks on the way
    careless: bool = False  # read seldom and roughly, with a stem and a thermometer that are off


SETTINGS = {
    "carriers": Setting(STRUCTURES["carriers"]),
    "logistic": Setting(STRUCTURES["logistic"], wide=1.5, from_cause=True),
    "no yeast": Setting(STRUCTURES["no yeast"], off=0.5, by_thumb=True),
    "two sugars": Setting(STRUCTURES["two sugars"], wide=1.25, off=0.3, from_cause=True),
    "step-fed": Setting(STRUCTURES["carriers"], fed=True),
    "whole fruit": Setting(STRUCTURES["two sugars"], whole=True),
    "shocks": Setting(STRUCTURES["carriers"], shaken=True),
    "restarting": Setting(STRUCTURES["no yeast"], pauses=True, from_cause=True),
    "careless": Setting(STRUCTURES["two sugars"], careless=True),
}

PER_HONEY = 0.82e-3  # volume of honey per g of its sugar, a fifth as much water with it [L/g]
JUICE = (110.0, 15.0, 0.16)  # of fruit: sugar, other extract and nitrogen [g/L]


def gravity_of(sugar: Array, extract: Array, ethanol: Array, by_thumb: bool = False) -> Array:
    """Tabarié: what the extract adds and what the alcohol takes. [g/L] each; [-]"""
    solids = sugar + extract
    light = -_RULE_OF_THUMB * ethanol if by_thumb else np.interp(ethanol / 7.893, _ALCOHOL, _LIGHT) - 1.0
    return np.asarray(1.0 + _HEAVY[0] * solids + _HEAVY[1] * solids**2 + light)


def _draw(dice: np.random.Generator, n: int) -> Drawn:
    def uniform(low: float, high: float) -> Array:
        return dice.uniform(low, high, n)

    def around(middle: float, factor: float) -> Array:
        """Log-normal, nine in ten within a factor."""
        return np.asarray(middle * np.exp(np.log(factor) / 1.645 * dice.standard_normal(n)))

    return Drawn(
        start=uniform(1.070, 1.145), extract=around(18.0, 2.3), nitrogen=np.exp(uniform(np.log(40.0), np.log(350.0))),
        tolerance=uniform(9.0, 18.0), pitch=around(0.25, 1.8), glucose=uniform(0.40, 0.52),
        to_ethanol=uniform(0.455, 0.480), to_rest=uniform(0.028, 0.046),
        grow=around(4.3, 1.35), per_nitrogen=around(22.0, 1.3), carriers=around(26.0, 1.5), worn=around(0.035, 1.8),
        hold=around(0.8, 1.3), bend=around(9.0, 1.3), cold=uniform(3.0, 7.0), best=uniform(28.0, 31.0), hot=uniform(36.0, 39.0),
        lag=around(0.6, 1.8), mean=uniform(14.0, 25.0), drift=uniform(-3.0, 3.0), wave=uniform(0.0, 1.2), phase=uniform(0.0, 6.3),
        snap_day=uniform(3.0, 20.0), snap_long=uniform(1.5, 5.0), snap_deep=np.where(dice.random(n) < 0.35, uniform(3.0, 9.0), 0.0),
        stuck=dice.random(n), stop_share=uniform(0.25, 0.92), stop_fast=around(0.8, 1.8),
    )  # fmt: skip


def _happens(dice: np.random.Generator, p: Drawn, setting: Setting) -> Drawn:
    """What happens to each: parts of honey [g/L of must] and how much sugar is used before each, juice in the fruit per must,
    shocks, and a pause."""
    n = p["start"].size
    fed = setting.fed * dice.uniform(20.0, 60.0, (n, 3)) * (np.arange(3) < dice.integers(2, 4, n)[:, None])
    pauses = setting.pauses & (dice.random(n) < 2.0 / 3.0) & (p["cause"] < 0)
    return Drawn(
        fed=fed, feed_at=np.sort(dice.uniform(0.25, 0.6, (n, 3)), axis=1),
        juice=setting.whole * dice.uniform(0.10, 0.40, n), half_time=np.exp(dice.uniform(np.log(0.1), np.log(2.0), n)),
        shock_day=dice.uniform(2.0, 25.0, (n, 4)), shock_long=dice.uniform(1.0, 4.0, (n, 4)),
        shock=setting.shaken * dice.choice([-1.0, -1.0, 0.7], (n, 4)) * dice.uniform(4.0, 10.0, (n, 4))
        * (np.arange(4) < dice.integers(2, 5, n)[:, None]),
        pause_at=np.where(pauses, dice.uniform(0.3, 0.85, n), np.inf), pause_long=dice.uniform(7.0, 21.0, n),
        woken=dice.uniform(0.5, 1.0, n),
    )  # fmt: skip


def _temperatures(p: Drawn, days: Array) -> Array:
    """Temperature of every ferment on every day, shape (days, n). [°C]"""
    t = days[:, None]
    plain = p["mean"] + p["drift"] * np.minimum(t / 30.0, 1.0) + p["wave"] * np.sin(0.9 * t + p["phase"])
    snap = (t >= p["snap_day"]) & (t < p["snap_day"] + p["snap_long"])
    hot = (p["cause"] == CAUSES.index("heat")) & (t >= p["snap_day"]) & (t < p["snap_day"] + p["snap_long"])
    for day, lasts, by in zip(p["shock_day"].T, p["shock_long"].T, p["shock"].T, strict=True):
        plain = plain + np.where((t >= day) & (t < day + lasts), by, 0.0)
    return np.clip(np.where(hot, np.maximum(plain, 29.5), np.where(snap, plain - p["snap_deep"], plain)), 12.0, 30.0)


class Course(NamedTuple):
    """How ferments went.

    `before` and `after` hold, for the start of every day and just after what is given then, four rows, shape (days, 4, n): sugar
    [g/L], all sugar that came in so far, per volume of now [g/L], which part of that volume was there at pitching [-], and other
    extract that came in with juice [g/L].
    """

    before: Array
    after: Array
    struck: Array  # day on which an outside cause struck, shape (n,) [d]
    rests: Array  # day on which a pause began, shape (n,) [d]
    fed: list[
        list[tuple[int, float]]
    ]  # of each the day and honey of each part [d], [g of sugar per L of the must at first]

    def of(self, i: int) -> tuple[Array, Array]:
        """Days and rows of one ferment, twice on days when honey was given."""
        days = np.arange(float(len(self.before)))
        when = [day for day, _ in self.fed[i] if day < len(days)]
        both = np.concatenate((days, [day + 1e-3 for day in when]))
        rows = np.concatenate((self.before[:, :, i], self.after[when, :, i]))
        order = np.argsort(both, kind="stable")
        return both[order], rows[order]


def _simulate(p: Drawn, warmth: Array, structure: Structure) -> Course:
    n = p["start"].size
    p = Drawn(p)
    parts, running = structure.start(p), np.ones(n)
    thinner, extract, held = np.ones(n), np.zeros(n), p["juice"].copy()
    before, after = [np.array([structure.sugar(parts), p["sugar"], thinner, extract])], []
    after.append(before[0])
    onset, rests = np.full(n, np.inf), np.full(n, np.inf)
    fed: list[list[tuple[int, float]]] = [[] for _ in range(n)]
    for step in range(round(LONGEST) * PER_DAY):
        day, t = step * STEP, warmth[step // PER_DAY]
        one = structure.change(p, parts, t, day, running)
        half = tuple(v + 0.5 * STEP * d for v, d in zip(parts, one, strict=True))
        two = structure.change(p, half, t, day + 0.5 * STEP, running)
        parts = tuple(v + STEP * d for v, d in zip(parts, two, strict=True))
        sugar = structure.sugar(parts)
        begins = np.isinf(onset) & _stops(p, sugar, day)
        onset = np.where(begins, day, onset)
        rests = np.where(np.isinf(rests) & (1.0 - sugar / p["sugar"] > p["pause_at"]), day, rests)
        since = day - np.minimum(rests, day)
        woken = p["woken"] / (1.0 + np.exp(-np.clip(4.0 * (since - p["pause_long"]), -50.0, 50.0)))
        paused = np.maximum(0.004 + np.exp(-since / 0.5), woken)
        running = np.where(np.isfinite(onset), 0.004 + np.exp(-np.maximum(day - onset, 0.0) / p["stop_fast"]),
                           np.where(np.isfinite(rests), np.minimum(paused, 1.0), 1.0))  # fmt: skip
        if held.any():
            out = held * -np.expm1(-STEP * np.log(2.0) / p["half_time"])
            held, came = held - out, out * thinner
            parts = _joined(p, parts, came * JUICE[0], came * JUICE[2], came, structure)
            extract, thinner = (extract + came * JUICE[1]) / (1.0 + came), thinner / (1.0 + came)
        if (step + 1) % PER_DAY == 0:
            before.append(np.array([structure.sugar(parts), p["sugar"], thinner, extract]))
            honey = _due(p, structure.sugar(parts), (step + 1) // PER_DAY, fed)
            room = honey * thinner * PER_HONEY
            parts = _joined(p, parts, honey * thinner, np.zeros(n), room, structure)
            extract, thinner = extract / (1.0 + room), thinner / (1.0 + room)
            after.append(np.array([structure.sugar(parts), p["sugar"], thinner, extract]))
    return Course(np.array(before), np.array(after), onset, rests, fed)


def _due(p: Drawn, sugar: Array, day: int, fed: list[list[tuple[int, float]]]) -> Array:
    """Honey that is given now, as enough of the sugar is used and the last part was two days ago. [g per L of must]"""
    due = np.zeros(sugar.size)
    used = 1.0 - sugar / p["sugar"]
    for i in np.flatnonzero(p["fed"].any(axis=1) & (used >= p["feed_at"][:, 0])):
        done = len(fed[i])
        rested = not done or day >= fed[i][-1][0] + 2
        if done < 3 and rested and p["fed"][i, done] > 0.0 and used[i] >= p["feed_at"][i, done]:
            due[i] = round(p["fed"][i, done], 1)
            fed[i].append((day, float(due[i])))
    return due


def _joined(p: Drawn, parts: Parts, sugar: Array, nitrogen: Array, room: Array, structure: Structure) -> Parts:
    """Parts with sugar and nitrogen [g/L] in more liquid [-], all per liquid before; `p` keeps all sugar that ever came in."""
    p["sugar"] = (p["sugar"] + sugar) / (1.0 + room)
    return structure.join(parts, p["glucose"] * sugar, sugar, nitrogen, room)


def _stops(p: Drawn, sugar: Array, day: float) -> Array:
    """Whether the yeast's work begins to cease: in the cold, in the heat, or hungry at some share of the sugar."""
    in_snap = (day >= p["snap_day"]) & (sugar < 0.97 * p["sugar"])
    outside = np.isin(p["cause"], (CAUSES.index("cold"), CAUSES.index("heat"))) & in_snap
    hungry = (p["cause"] == CAUSES.index("hunger")) & (1.0 - sugar / p["sugar"] > p["stop_share"])
    return np.asarray(outside | hungry)


def _complete(p: Drawn, dice: np.random.Generator) -> None:
    """Causes of sticking for every fourth, and the sugar that gives the starting gravity."""
    n = p["start"].size
    p["cause"] = np.where(p["stuck"] < 0.25, dice.integers(0, 4, n), -1).astype(float)
    p["snap_deep"] = np.where(p["cause"] == CAUSES.index("cold"), dice.uniform(4.5, 10.0, n), p["snap_deep"])
    hungry = p["cause"] == CAUSES.index("hunger")
    p["nitrogen"] = np.where(hungry, dice.uniform(40.0, 120.0, n), p["nitrogen"])
    solids = (np.sqrt(_HEAVY[0] ** 2 + 4.0 * _HEAVY[1] * (p["start"] - 1.0)) - _HEAVY[0]) / (2.0 * _HEAVY[1])
    p["extract"] = np.minimum(p["extract"], 0.25 * solids)
    p["sugar"] = solids - p["extract"]
    possible = p["to_ethanol"] * p["sugar"] / 7.893
    weak = p["cause"] == CAUSES.index("strength")
    p["tolerance"] = np.where(weak, np.clip(possible * dice.uniform(0.70, 0.93, n), 9.0, 18.0), p["tolerance"])


def _reading_days(dice: np.random.Generator, last: float) -> list[float]:
    """As people do: daily at first, then every few days, with gaps."""
    days, day, eager = [], 0.0, dice.uniform(5.0, 12.0)
    pause = dice.uniform(1.5, 4.0)
    while day < last:
        day += dice.uniform(0.8, 1.2) if day < eager else pause * dice.uniform(0.6, 1.5)
        if dice.random() < 0.06:
            day += dice.uniform(2.0, 6.0)
        days.append(round(day, 2))
    return [d for d in days if d < LONGEST - 1.0]


def _interval(dice: np.random.Generator, true: float, relative: float, setting: Setting) -> list[float]:
    """What a maker knows beforehand: a range that holds the truth nine times in ten."""
    middle = true * np.exp(relative / 1.645 * dice.standard_normal())
    if setting.off:
        middle *= np.exp(setting.off * relative * dice.choice([-1.0, 1.0]))
    half = setting.wide * relative
    return [round(float(middle * np.exp(-half)), 4), round(float(middle * np.exp(half)), 4)]


def population(count: int = 600, seed: int = 20, setting: Setting = SETTINGS["carriers"]) -> list[Ferment]:
    """Ferments, a quarter of them stuck. The others all get dry; draws that neither stick nor get dry are drawn again."""
    dice, own, other = (np.random.default_rng([seed, *more]) for more in ((), (1,), (2,)))
    found = list[Ferment]()
    wanted = {True: round(0.25 * count), False: count - round(0.25 * count)}
    while sum(wanted.values()):
        p = _draw(dice, 400)
        _complete(p, dice)
        setting.structure.draw(own, p)
        p |= _happens(other, p, setting)
        days = np.arange(round(LONGEST) + 1.0)
        warmth = _temperatures(p, days)
        course = _simulate(p, warmth, setting.structure)
        for i in range(p["start"].size):
            ferment = _tell(dice, p, i, days, warmth[:, i], course, len(found), setting)
            if ferment is not None and wanted[ferment["truth"]["finish_day"] is None]:
                wanted[ferment["truth"]["finish_day"] is None] -= 1
                found.append(ferment)
    return found


STUCK_FROM, CEASED = 12.0, 1.0
"""A ferment sticks if it ends with more than so much sugar [g/L], from the day on which it takes up less than so much per day
for good [g/(L d)]: half a line of the hydrometer."""


def _stall(sugar: Array, after: Array, rests: float) -> tuple[float | None, float | None]:
    """Days on which the last use of sugar ended, and on which it began again after a pause; None where they did not. [d]"""
    used = after[:-1] - sugar[1:]
    if np.isinf(rests):
        moving = np.flatnonzero(used >= CEASED)
        return (float(moving[-1] + 1) if moving.size else None), None
    still = np.flatnonzero((used < CEASED) & (np.arange(used.size) >= np.floor(rests)))
    if not still.size:
        return None, None
    again = np.flatnonzero((used >= CEASED) & (np.arange(used.size) > still[0]))
    return float(still[0]), float(again[0]) if again.size else None


def _shown(
    dice: np.random.Generator, own: np.random.Generator, true: Array, line: float, careless: bool
) -> list[float]:
    """Gravities as somebody reads them off a stem."""
    n = true.size
    shown = true + 0.0008 * dice.standard_normal(n)
    bad = dice.random(n) < 1.0 / 40.0
    shown = np.where(bad, shown + dice.choice([-1.0, 1.0], n) * dice.uniform(0.004, 0.020, n), shown)
    if careless:
        shown = shown + 0.0015 * own.standard_normal() + 0.0013 * own.standard_normal(n)
        slips = own.random(n) < 0.05
        shown = np.where(slips, shown + own.choice([-1.0, 1.0], n) * own.uniform(0.004, 0.020, n), shown)
    lines = [round(round(float(g) / line) * line, 4) for g in shown]
    for place in range(1, n):
        if careless and own.random() < 0.03:
            lines[place] = lines[place - 1]  # copied from the line above
    return lines


def _tell(
    dice: np.random.Generator,
    p: Drawn,
    i: int,
    days: Array,
    warmth: Array,
    course: Course,
    number: int,
    setting: Setting,
) -> Ferment | None:
    sugar = course.before[:, 0, i]
    own = np.random.default_rng(
        [round(1e6 * float(p["start"][i])), 3]
    )  # of habits, so that those of others stay as they are
    dry = np.flatnonzero(sugar < 4.0)
    sticks = p["cause"][i] >= 0
    if sticks != (sugar[-1] > STUCK_FROM) or (not sticks and (not dry.size or days[dry[0]] > 70.0)):
        return None
    rests = np.inf if sticks else float(course.rests[i])
    stall, resume = _stall(sugar, course.after[:, 0, i], rests) if sticks or np.isfinite(rests) else (None, None)
    if sticks and stall is None:
        return None
    struck = float(course.struck[i] if sticks else rests)
    if stall is not None and setting.from_cause and np.isfinite(struck):
        stall = min(stall, round(struck, 2))
    finish = None
    if not sticks:
        before = dry[0] - 1
        finish = float(days[before] + (sugar[before] - 4.0) / (sugar[before] - sugar[dry[0]]))
        stall, resume = (None, None) if stall is None or stall > finish else (stall, resume)
    rest = float(stall if finish is None else finish)  # type: ignore[arg-type]
    if rest < 3.0:
        return None
    read = _reading_days(dice, rest + dice.uniform(8.0, 25.0))
    if setting.careless:
        read = [day for place, day in enumerate(read) if place == 0 or own.random() < 0.7]
    when, rows = course.of(i)

    def gravity_on(on: list[float]) -> Array:
        present, whole, thinner, came = (np.interp(on, when, row) for row in rows.T)
        used = whole - present
        extract = p["extract"][i] * thinner + came
        return gravity_of(present, extract + p["to_rest"][i] * used, p["to_ethanol"][i] * used, setting.by_thumb)

    line = dice.choice([0.001, 0.002])
    shown = _shown(dice, own, gravity_on(read), line, setting.careless)
    tests = [rest + float(dice.uniform(3.0, 7.0))] + (
        [float(dice.uniform(0.3, 0.9)) * rest] if dice.random() < 0.3 else []
    )
    measured = [max(0.0, float(s * (1.0 + 0.06 * dice.standard_normal()) + 0.5 * dice.standard_normal()))
                for s in np.interp(tests, when, rows[:, 0])]  # fmt: skip
    start = p["start"][i] + 0.0005 * dice.standard_normal() + setting.careless * 0.0012 * own.standard_normal()
    colder = setting.careless * 2.0 * own.standard_normal()
    return {
        "name": f"ferment {number + 1}" + (f", stuck by {CAUSES[int(p['cause'][i])]}" if sticks else ""),
        "starting_gravity": round(float(start), 4),
        "fermentable_g_l": _interval(dice, float(p["sugar"][i]), 0.045, setting),
        "non_sugar_extract_g_l": _interval(dice, float(p["extract"][i]), 0.45, setting),
        "nitrogen_mg_l": _interval(dice, float(p["nitrogen"][i]), 0.45, setting),
        "tolerance_pct_vol": [
            round(float(p["tolerance"][i] + 0.6 * dice.standard_normal() + d), 2) for d in (-1.2, 1.2)
        ],
        "temperature_c": [[float(d), round(float(t + colder), 1)] for d, t in zip(days, warmth, strict=True)],
        "pitch_g_l": round(float(p["pitch"][i]), 3),
        "readings": [[d, g] for d, g in zip(read, shown, strict=True)],
        "sugar_tests": sorted([round(d, 2), round(s, 1)] for d, s in zip(tests, measured, strict=True)),
        "events": [[float(day), "honey", sugar] for day, sugar in course.fed[i]],
        "fruit": [round(float(p["juice"][i]), 3), *JUICE[:2], 1000.0 * JUICE[2]] if setting.whole else None,
        "truth": {
            "sugar_g_l": [
                [round(float(d), 3), round(max(float(s), 0.0), 2)] for d, s in zip(when, rows[:, 0], strict=True)
            ],
            "stall_day": stall,
            "resume_day": resume,
            "finish_day": finish,
            "finish_gravity": None if sticks else round(float(gravity_on([LONGEST])[0]), 5),
        },
    }
