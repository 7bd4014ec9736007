"""Simulated ferments whose truth is known, from models that are not the planner's, and what their makers know and log.

The structures stand in `verdict_structures`; the first, of carriers, is the one that is measured unless another is asked for.
Gravity is that of the extract plus that of the alcohol (Tabarié's rule), not the planner's sum of volumes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from tests.benchmarks.verdict_structures import STRUCTURES, Drawn, Structure

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
    """A structure, and how the truth is told of it and the maker's knowledge is formed."""

    structure: Structure
    wide: float = 1.0  # what the maker states is so many times as wide as it need be
    off: float = 0.0  # and off its centre by so many of its half widths, this way or that
    from_cause: bool = False  # a stall begins with its cause, not when hardly any sugar is used any more
    by_thumb: bool = False  # gravity by a rule of thumb


SETTINGS = {
    "carriers": Setting(STRUCTURES["carriers"]),
    "logistic": Setting(STRUCTURES["logistic"], wide=1.5, from_cause=True),
    "no yeast": Setting(STRUCTURES["no yeast"], off=0.5, by_thumb=True),
    "two sugars": Setting(STRUCTURES["two sugars"], wide=1.25, off=0.3, from_cause=True),
}


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


def _temperatures(p: Drawn, days: Array) -> Array:
    """Temperature of every ferment on every day, shape (days, n). [°C]"""
    t = days[:, None]
    plain = p["mean"] + p["drift"] * np.minimum(t / 30.0, 1.0) + p["wave"] * np.sin(0.9 * t + p["phase"])
    snap = (t >= p["snap_day"]) & (t < p["snap_day"] + p["snap_long"])
    hot = (p["cause"] == CAUSES.index("heat")) & (t >= p["snap_day"]) & (t < p["snap_day"] + p["snap_long"])
    return np.clip(np.where(hot, np.maximum(plain, 29.5), np.where(snap, plain - p["snap_deep"], plain)), 12.0, 30.0)


def _simulate(p: Drawn, warmth: Array, structure: Structure) -> tuple[Array, Array]:
    """Sugar of every ferment at the start of every day, shape (days, n) [g/L], and the day on which an outside cause struck."""
    n = p["start"].size
    parts, running = structure.start(p), np.ones(n)
    table, onset = [structure.sugar(parts).copy()], np.full(n, np.inf)
    for step in range(round(LONGEST) * PER_DAY):
        day, t = step * STEP, warmth[step // PER_DAY]
        one = structure.change(p, parts, t, day, running)
        half = tuple(v + 0.5 * STEP * d for v, d in zip(parts, one, strict=True))
        two = structure.change(p, half, t, day + 0.5 * STEP, running)
        parts = tuple(v + STEP * d for v, d in zip(parts, two, strict=True))
        sugar = structure.sugar(parts)
        begins = np.isinf(onset) & _stops(p, sugar, day)
        onset = np.where(begins, day, onset)
        running = np.where(np.isfinite(onset), 0.004 + np.exp(-np.maximum(day - onset, 0.0) / p["stop_fast"]), 1.0)
        if (step + 1) % PER_DAY == 0:
            table.append(sugar.copy())
    return np.array(table), onset


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
    dice, own, found = np.random.default_rng(seed), np.random.default_rng([seed, 1]), list[Ferment]()
    wanted = {True: round(0.25 * count), False: count - round(0.25 * count)}
    while sum(wanted.values()):
        p = _draw(dice, 400)
        _complete(p, dice)
        setting.structure.draw(own, p)
        days = np.arange(round(LONGEST) + 1.0)
        warmth = _temperatures(p, days)
        sugar, struck = _simulate(p, warmth, setting.structure)
        for i in range(p["start"].size):
            ferment = _tell(dice, p, i, days, warmth[:, i], sugar[:, i], len(found), struck[i], setting)
            if ferment is not None and wanted[ferment["truth"]["stall_day"] is not None]:
                wanted[ferment["truth"]["stall_day"] is not None] -= 1
                found.append(ferment)
    return found


STUCK_FROM, CEASED = 12.0, 1.0
"""A ferment sticks if it ends with more than so much sugar [g/L], from the day on which it takes up less than so much per day
for good [g/(L d)]: half a line of the hydrometer."""


def _tell(
    dice: np.random.Generator, p: Drawn, i: int, days: Array, warmth: Array, sugar: Array, number: int,
    struck: float, setting: Setting,
) -> Ferment | None:  # fmt: skip
    dry = np.flatnonzero(sugar < 4.0)
    sticks = p["cause"][i] >= 0
    if sticks != (sugar[-1] > STUCK_FROM) or (not sticks and (not dry.size or days[dry[0]] > 70.0)):
        return None
    moving = np.flatnonzero(sugar[:-1] - sugar[1:] >= CEASED)
    stall = float(days[moving[-1] + 1]) if sticks and moving.size else None
    if sticks and stall is None:
        return None
    if stall is not None and setting.from_cause and np.isfinite(struck):
        stall = min(stall, round(float(struck), 2))
    finish = None
    if not sticks:
        before = dry[0] - 1
        finish = float(days[before] + (sugar[before] - 4.0) / (sugar[before] - sugar[dry[0]]))
    rest = float(stall if stall is not None else finish or 0.0)
    if rest < 3.0:
        return None
    read = _reading_days(dice, rest + dice.uniform(8.0, 25.0))
    present = np.interp(read, days, sugar)
    used = p["sugar"][i] - present
    true = gravity_of(present, p["extract"][i] + p["to_rest"][i] * used, p["to_ethanol"][i] * used, setting.by_thumb)
    line = dice.choice([0.001, 0.002])
    shown = true + 0.0008 * dice.standard_normal(len(read))
    bad = dice.random(len(read)) < 1.0 / 40.0
    shown = np.where(bad, shown + dice.choice([-1.0, 1.0], len(read)) * dice.uniform(0.004, 0.020, len(read)), shown)
    tests = [rest + float(dice.uniform(3.0, 7.0))] + (
        [float(dice.uniform(0.3, 0.9)) * rest] if dice.random() < 0.3 else []
    )
    measured = [max(0.0, float(s * (1.0 + 0.06 * dice.standard_normal()) + 0.5 * dice.standard_normal()))
                for s in np.interp(tests, days, sugar)]  # fmt: skip
    return {
        "name": f"ferment {number + 1}" + (f", stuck by {CAUSES[int(p['cause'][i])]}" if sticks else ""),
        "starting_gravity": round(float(p["start"][i] + 0.0005 * dice.standard_normal()), 4),
        "fermentable_g_l": _interval(dice, float(p["sugar"][i]), 0.045, setting),
        "non_sugar_extract_g_l": _interval(dice, float(p["extract"][i]), 0.45, setting),
        "nitrogen_mg_l": _interval(dice, float(p["nitrogen"][i]), 0.45, setting),
        "tolerance_pct_vol": [
            round(float(p["tolerance"][i] + 0.6 * dice.standard_normal() + d), 2) for d in (-1.2, 1.2)
        ],
        "temperature_c": [[float(d), round(float(t), 1)] for d, t in zip(days, warmth, strict=True)],
        "pitch_g_l": round(float(p["pitch"][i]), 3),
        "readings": [[d, round(round(float(g) / line) * line, 4)] for d, g in zip(read, shown, strict=True)],
        "sugar_tests": sorted([round(d, 2), round(s, 1)] for d, s in zip(tests, measured, strict=True)),
        "truth": {
            "sugar_g_l": [[float(d), round(max(float(s), 0.0), 2)] for d, s in zip(days, sugar, strict=True)],
            "stall_day": stall,
            "finish_day": finish,
        },
    }
