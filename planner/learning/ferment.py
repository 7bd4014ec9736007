"""What one ferment tells of its maker's yeast: pace, trend and lag, the gravity when dry, and how readings scatter.

The typical must is fermented many times at once, each with another pace, trend and lag, by the law of the possible ferments of a log
(`timeline/particles.py`); how well each meets the readings weighs it. In three rounds the points gather where the weight is
(adaptive importance sampling; Cappé et al. 2004, J Comput Graph Stat 13:907, from memory). What only shifts a gravity is integrated
and not tried. From what then is known the wide prior is taken out again, so that a batch tells what its log alone says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.learnt import Trait
from planner.model.kinetics import Culture
from planner.timeline.observations import BAD_READING, Observation, suspicions
from planner.timeline.particle_filter import MOMENT_DOUBT
from planner.timeline.particles import PER_SUGAR, ParticleEnsemble
from planner.timeline.prior import AS_EXPECTED, LEARNT, Prior, Tables
from planner.timeline.random_numbers import normals

Array = npt.NDArray[np.float64]

WIDE: dict[Trait, float] = {"pace": 0.7, "trend": 1.3, "lag": 0.7}
"""Standard deviations from which each is sought. [-] Twice what the shelf leaves open, so that the log decides."""

POINTS, ROUNDS, WIDER = 160, 2, 1.5
"""Ferments of a round, rounds, and by how much each next round is wider than what the last one left. [-]"""

STRAYS = 0.0025
"""By how much a ferment strays from any such course. [-] Its pace wanders; estimate."""

OFF = 0.006
"""Standard deviation of the dry gravity from which that is sought. [-] Wide, so that the log decides."""

UNKNOWN = 0.8
"""Part of the variance that, left by a log, is no news. [-]"""

FEWEST = 4
"""Readings of gravity below which a log tells nothing. [-]"""

PLATEAU, STOPPED_ABOVE = (0.002, 5.0, 3), 0.010
"""Fall since, days and readings by which a gravity counts as stopped [-], [d], [-], and by how much it must lie above the dry one for a
stop with sugar left [-]: some 23 g/L of it."""

STRIDES = ((1.0, 0.125), (6.0, 0.5), (math.inf, 1.0))
"""Longest steps up to a day. [d] Longer than those of a forecast: a course so strays by less than `STRAYS`."""

NEARLY_OVER = 0.1
"""Share of the sugar left from which on a ferment is followed in long steps. [-]"""

MISTAKEN = (0.012, 0.006)
"""Shift of the dry gravity, and distance of the readings from the nearest course, beyond which the log is not of this recipe. [-], [-]
Twice `OFF`, and twice `STRAYS`: an ingredient was left out of the recipe, or instruments are mixed up."""

FEWEST_SCATTERED = 8
"""Readings from which their scatter can be told. [-]"""


Told = dict[Trait, tuple[float, float]]


class Ferment(NamedTuple):
    """What the log of one ferment tells.

    Attributes
    ----------
    told : dict of Trait to (float, float)
        Value and standard deviation of "pace", "trend", "lag", "dry_gravity" and "scatter", as far as it tells them:
        see `planner.document.learnt.Trait`.
    stopped : float or None
        Alcohol at which it stopped with sugar left; None where it did not. [m^3/m^3]
    dry : float or None
        Alcohol with which it went dry; None where it did not. [m^3/m^3]
    """

    told: Told
    stopped: float | None
    dry: float | None


class _Steady(ParticleEnsemble):
    """Ferments whose pace does not wander: each is what its traits make of it."""

    steps = STRIDES

    def draw_pace(self) -> None:
        self.begin_gap()

    def _stop_or_resume(self, days: float, may_stick: npt.NDArray[np.bool_]) -> None:
        """None stops: where it stopped is told by the log."""


def ferment_tells(prior: Prior, log: Sequence[Observation]) -> Ferment | None:
    """What one log tells.

    Parameters
    ----------
    prior : Prior
        Of the batch as it was made; only what is typical of it is looked at. [as its fields]
    log : sequence of Observation
        In the order of days. [as its fields]

    Returns
    -------
    Ferment or None
        None of too few readings. [as its fields]
    """
    believed = [
        one for one, doubt in zip(log, suspicions(log), strict=True) if one.kind == "gravity" and doubt <= BAD_READING
    ]
    if len(believed) < FEWEST:
        return None
    typical = _typical(prior, 1)
    end = _where_it_stopped(typical, believed)
    working = believed if end is None else believed[: end + 1]
    stopped = None if end is None else _alcohol_at(typical, believed[end].level)
    if len(working) < FEWEST:
        return Ferment({}, stopped, None)
    names = tuple(WIDE)
    wide = np.array([WIDE[name] for name in names])
    mean, spread = np.zeros(wide.size), np.diag(wide**2)
    seen, said = np.empty((wide.size, 0)), np.empty(0)
    for turn in range(ROUNDS):
        score = np.stack([normals(f"learning/{name}/{turn}", POINTS) for name in names])
        factor = np.linalg.cholesky(spread * (WIDER**2 if turn else 1.0))
        points = np.clip(mean[:, None] + factor @ score, -3.0 * wide[:, None], 3.0 * wide[:, None])
        fit, offset, offset_variance, residuals, used = _fits(prior, working, dict(zip(names, points, strict=True)))
        proposed = -0.5 * np.sum(score**2, axis=0)
        weight = fit - 0.5 * np.sum((points / wide[:, None]) ** 2, axis=0) - proposed
        weight = np.exp(weight - weight.max())
        weight /= weight.sum()
        mean = points @ weight
        off = points - mean[:, None]
        # Of few that count, the spread would be that of chance.
        least = np.diag((0.03 * wide) ** 2)
        spread = (off * weight) @ off.T + least
        seen, said = points, weight
    middle = float(offset @ said)
    missed = float(np.sqrt(np.mean((residuals @ said) ** 2)))
    if abs(middle) > MISTAKEN[0] or missed > MISTAKEN[1]:
        return Ferment({}, None, None)
    told = _without_prior(names, seen, said, wide)
    variance = float(offset_variance @ said + (offset - middle) ** 2 @ said)
    if variance < UNKNOWN * OFF**2:
        kept = 1.0 - variance / OFF**2
        told["dry_gravity"] = (middle / kept, math.sqrt(variance / kept))
    told |= _scatter(working, residuals @ said)
    last = float(used[-1] @ said)
    dry = None
    if end is None and last > 0.97:
        dry = _alcohol_at(typical, working[-1].level - middle)
    return Ferment(told, stopped, dry)


def _without_prior(names: Sequence[Trait], points: Array, weight: Array, wide: Array) -> Told:
    """What is known of each less what was put in: precisions subtract."""
    told: Told = {}
    for name, row, sd in zip(names, points, wide.tolist(), strict=True):
        mean = float(row @ weight)
        variance = float((row - mean) ** 2 @ weight) + (0.02 * sd) ** 2
        if variance < UNKNOWN * sd**2:
            kept = 1.0 - variance / sd**2
            told[name] = (mean / kept, math.sqrt(variance / kept))
    return told


def _typical(prior: Prior, size: int) -> Prior:
    """What is typical of a prior, so many times over, with yeast that never stops of itself."""

    def some(values: Array) -> Array:
        return np.full(size, float(np.median(values)))

    def tables(of: Tables) -> Tables:
        return Tables(*(np.repeat(np.mean(table, axis=1, keepdims=True), size, axis=1) for table in of))

    given = [
        msgspec.structs.replace(
            one, nitrogen=some(one.nitrogen), glucose=some(np.asarray(one.glucose)), fructose=some(np.asarray(one.fructose)),
            thinner=some(np.asarray(one.thinner)), sugars=None if one.sugars is None else some(one.sugars),
            tables=None if one.tables is None else tables(one.tables),
        )
        for one in prior.given
    ]  # fmt: skip
    return msgspec.structs.replace(
        prior, glucose=some(prior.glucose), fructose=some(prior.fructose), nitrogen=some(prior.nitrogen),
        culture=Culture(*(some(value) for value in prior.culture))._replace(risk=np.zeros(size)),
        warmer=some(prior.warmer), given=given, tables=tables(prior.tables), lift=some(prior.lift), habits=None,
    )  # fmt: skip


def _fits(
    prior: Prior, log: Sequence[Observation], tried: dict[Trait, Array]
) -> tuple[Array, Array, Array, Array, Array]:
    """Log likelihood of ferments of such traits, each of shape (n,); mean and variance of the shift of the dry gravity that goes with
    each; and residuals and shares used, shape (readings, n)."""
    size = POINTS
    flock = _Steady(_typical(prior, size))
    traits = {name: np.full(size, float(np.median(values))) for name, values in flock.traits._asdict().items()}
    for trait, name in LEARNT.items():
        traits[trait] = traits[trait] + AS_EXPECTED[name] + tried[name]
    flock.take(flock.traits._replace(**traits))
    gravity, used, steep = (np.empty((len(log), size)) for _ in range(3))
    for place, one in enumerate(log):
        flock.predict(one.day, is_far=bool(np.max(flock.share) < NEARLY_OVER))
        gravity[place], used[place], steep[place] = flock.model_gravity, 1.0 - flock.share, PER_SUGAR * flock.uptake
    off = np.array([one.value for one in log])[:, None] - gravity
    sd = np.array([one.sd for one in log])[:, None]
    heavy = 1.0 / (sd**2 + STRAYS**2 + (MOMENT_DOUBT * steep) ** 2)
    # Two unknowns shift all readings: extract, by what is used, and the instrument.
    extract, stem = OFF**-2, max(one.offset_sd for one in log) ** -2
    a, b, c = extract + np.sum(heavy * used**2, 0), np.sum(heavy * used, 0), stem + np.sum(heavy, 0)
    u, v = np.sum(heavy * used * off, 0), np.sum(heavy * off, 0)
    det = a * c - b**2
    shift, error = (c * u - b * v) / det, (a * v - b * u) / det
    fit = (
        -0.5 * (np.sum(heavy * off**2, 0) - shift * u - error * v) + 0.5 * np.sum(np.log(heavy), 0) - 0.5 * np.log(det)
    )
    return fit, shift, c / det, off - used * shift - error, used


def _where_it_stopped(typical: Prior, log: Sequence[Observation]) -> int | None:
    """Place of the first of the gravities at the end that no longer fall, where sugar must be left; None where it went on."""
    fall, days, readings = PLATEAU
    last = log[-1]
    flat = [place for place, one in enumerate(log) if one.level <= last.level + fall]
    first = flat[0]
    dry = float(typical.tables.gravity[3].mean())
    alike = len(log) - first
    if last.day - log[first].day < days or alike < readings or last.level - dry < STOPPED_ABOVE:
        return None
    return first


def _alcohol_at(typical: Prior, gravity: float) -> float:
    """Alcohol of the typical mead where its gravity is so. [m^3/m^3]"""
    share = np.linspace(0.0, 1.0, 201)
    way, strong = (np.polyval(table.mean(axis=1), share) for table in (typical.tables.gravity, typical.tables.alcohol))
    return float(np.interp(gravity, way, strong))


def _scatter(log: Sequence[Observation], residuals: Array) -> Told:
    """How readings scatter about their own course, beside what was thought of them: by second differences, which no course shows."""
    alone = np.array([one.readings == 1 for one in log])
    if np.count_nonzero(alone) < FEWEST_SCATTERED:
        return {}
    own = residuals[alone]
    bent = own[1:-1] - 0.5 * (own[:-2] + own[2:])
    seen = 1.4826 * float(np.median(np.abs(bent))) / math.sqrt(1.5)
    thought = float(np.median([one.sd for one, single in zip(log, alone, strict=True) if single]))
    return {"scatter": (float(np.clip(math.log(max(seen, 1e-5) / thought), -1.5, 1.5)), 1.2 / math.sqrt(bent.size))}
