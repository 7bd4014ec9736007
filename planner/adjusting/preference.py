"""What the tasters of trial glasses said, and the dose they liked carried to the batch with its doubt."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Trial
from planner.model.span import Span

Array = npt.NDArray[np.float64]

SCORE_NOISE = 1.0
"""How far two scores of the same glass by the same taster lie apart, standard deviation. [of 10] Estimate."""

RANK_NOISE = 0.5
"""The same for ranks turned into normal scores. [-] Estimate."""

PEAK_FALL = 4.0
"""How far the score falls, typically, from the best dose to one full dose beside it. [of 10] Estimate."""


class Preferred(msgspec.Struct, frozen=True):
    """What the scores say: the best strength in full doses, and how far the answer can be trusted. [-]"""

    strength: Span
    answered: int
    at_edge: bool
    """The best may lie beyond the strongest glass: another trial further up would tell."""


def preferred(trial: Trial) -> Preferred | None:
    """The dose that the taster liked best, with its doubt.

    Returns
    -------
    Preferred or None
        None with fewer answers, or if all glasses were liked alike. [-]

    Notes
    -----
    Liking is taken to fall with the square of the distance from the best dose; where that lies is weighed by how well
    such a curve fits, for every place from none to the strongest glass alike. Ranks become normal scores.
    """
    strengths, liked, noise = _answers(trial)
    if len(strengths) < 3 or np.ptp(liked) <= 0.0 or np.ptp(strengths) <= 0.0:
        return None
    top = float(max(strengths))
    places = np.linspace(0.0, top, 401)
    weights = np.exp(_log_evidence(places, strengths, liked, noise))
    share = np.cumsum(weights) / np.sum(weights)
    low, middle, high = (float(np.interp(q, share, places)) for q in (0.05, 0.5, 0.95))
    return Preferred(Span(low, middle, high), len(strengths), middle > 0.93 * top)


def _answers(trial: Trial) -> tuple[Array, Array, float]:
    scored = [(g.strength, g.score) for g in trial.glasses if g.score is not None]
    ranked = [(g.strength, g.rank) for g in trial.glasses if g.rank is not None]
    if len(scored) >= len(ranked):
        return np.array([s for s, _ in scored]), np.array([float(v) for _, v in scored]), SCORE_NOISE
    from statistics import NormalDist

    count, normal = len(ranked), NormalDist()
    order = [1.0 + sum(other < rank for _, other in ranked) for _, rank in ranked]
    ties = [sum(other == rank for _, other in ranked) for _, rank in ranked]
    liked = [
        normal.inv_cdf(1.0 - (o + (t - 1) / 2.0 - 0.375) / (count + 0.25)) for o, t in zip(order, ties, strict=True)
    ]
    return np.array([s for s, _ in ranked]), np.array(liked), RANK_NOISE


def _log_evidence(places: Array, strengths: Array, liked: Array, noise: float) -> Array:
    """How well liking - fall * (strength - place)² fits at each place, height and fall summed out."""
    usual = PEAK_FALL * noise / SCORE_NOISE
    falls = np.linspace(0.05, 3.0, 60) * usual
    # The sum of squares about the mean is a parabola in the fall, so its three numbers do for all falls.
    curve = (strengths - places[:, None]) ** 2
    curve, level = curve - curve.mean(axis=1, keepdims=True), liked - liked.mean()
    squares = (level**2).sum() + 2.0 * falls * (curve @ level)[:, None] + falls**2 * (curve**2).sum(axis=1)[:, None]
    return np.asarray(np.log(np.mean(np.exp(-0.5 * squares / noise**2) + 1e-300, axis=1)))


class Carried(msgspec.Struct, frozen=True):
    """A preferred dose for the whole batch: mass of one ingredient with its doubt. [kg]"""

    key: str
    mass: Span


def carried(trial: Trial, liked: Preferred, volume_left: Span, doubts: Sequence[float] = ()) -> tuple[Carried, ...]:
    """The preferred dose for what is left of the mead.

    Parameters
    ----------
    volume_left : Span
        Mead in the batch now, without what was drunk. [m^3]
    doubts : sequence of float
        Share by which scale and syringe may have missed each ingredient, as in `Pour.doubts`. [-]

    Returns
    -------
    tuple of Carried
        For each ingredient; doubts of liking, glass and volume, which are independent, together. [kg]
    """
    best, room = liked.strength, volume_left

    def off(side: int, doubt: float) -> float:
        if best.typical <= 0.0 or room.typical <= 0.0:
            return 0.0
        parts = (best[side] / best.typical - 1.0, room[side] / room.typical - 1.0, doubt)
        return float(np.sqrt(sum(part**2 for part in parts)))

    made = []
    for part, doubt in zip(trial.parts, doubts or [0.0] * len(trial.parts), strict=True):
        mass = part.dose * best.typical * room.typical
        low = max(mass * (1.0 - off(0, doubt)), 0.0)
        high = mass * (1.0 + off(2, doubt)) if mass > 0.0 else part.dose * best.high * room.high
        made.append(Carried(part.key, Span(low, mass, high)))
    return tuple(made)
