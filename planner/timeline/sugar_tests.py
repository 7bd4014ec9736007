"""What a sugar test makes of possible ferments: sugar is told from other extract, as far as the tables allow."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planner.timeline.observations import BAD_READING, Observation
from planner.timeline.particles import ParticleEnsemble
from planner.timeline.random_numbers import normals

Array = npt.NDArray[np.float64]

EXTRACT_SLACK = (3.0, 0.03)
"""Extract that one possible ferment may have misjudged when a test says so: so much [kg/m^3] and a share of the sugar [-],
standard deviation. Estimate."""

MISJUDGED = 3.0
"""Standard deviations, of extract by the tables and of the test joined, beyond which no must hides so much other extract: sugar
test and gravity then disagree. [-] Three in a thousand of a normal distribution; what the tables leave open is an estimate."""

LEAST_LEFT = 0.05
"""Least sugar that a test draws a possible liquid to. [kg/m^3] No test tells it from none."""

LEAST_SUGAR = 0.02
"""Of each hexose, what a particle is given before a test draws its sugar up or down. [kg/m^3] No test finds so little."""


def reach(sugar: float, doubt: float, extract_doubt: float) -> float:
    """How far from what gravity tells a sugar test may be, for other extract to account for it.

    Parameters
    ----------
    sugar, doubt : float
        What the test found, and its standard deviation. [kg/m^3]
    extract_doubt : float
        What is not known of other extract beforehand, as sugar; standard deviation. [kg/m^3]

    Returns
    -------
    float
        `MISJUDGED` standard deviations. [kg/m^3]

    Examples
    --------
    >>> round(reach(10.0, 1.0, 5.5), 1)
    19.5
    """
    return MISJUDGED * float(np.sqrt((EXTRACT_SLACK[0] + EXTRACT_SLACK[1] * sugar) ** 2 + doubt**2 + extract_doubt**2))


def drawn(
    sugar: Array, mean: float, found: float, sd: float, extract_doubt: float, scores: Array
) -> tuple[Array, npt.NDArray[np.bool_], Array]:
    """Sugar of possible liquids, as a test draws them to it.

    Those that other extract can reconcile with it are drawn, their gravity kept: what was thought sugar is other extract, or
    the reverse. The further off all of them are, the more of the extract must have been misjudged. To those beyond `reach` it
    is a bad test.

    Parameters
    ----------
    sugar : numpy.ndarray, shape (n,)
        As thought. [kg/m^3]
    mean : float
        Of it. [kg/m^3]
    found, sd : float
        What the test found, and its standard deviation. [kg/m^3]
    extract_doubt : float
        What is not known of other extract beforehand, as sugar; standard deviation. [kg/m^3]
    scores : numpy.ndarray, shape (n,)
        Standard-normal. [-]

    Returns
    -------
    numpy.ndarray, shape (n,)
        As the test has it. [kg/m^3]
    numpy.ndarray of bool, shape (n,)
        Which believe it. [-]
    numpy.ndarray, shape ()
        Standard deviation of the test and of what it may move, joined. [kg/m^3]
    """
    slack = EXTRACT_SLACK[0] + EXTRACT_SLACK[1] * found
    most = reach(found, sd, extract_doubt)
    slack = np.hypot(slack, max(0.0, min(abs(mean - found), most) - 2.0 * np.hypot(slack, sd)))
    wide = np.hypot(slack, sd)
    near = np.abs(sugar - found) <= most
    moved = np.maximum(sugar + (slack / wide) ** 2 * (found + sd * scores - sugar), LEAST_LEFT)
    return np.where(near, moved, sugar), near, wide


def weigh(particles: ParticleEnsemble, weights: Array, found: Observation) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Weigh particles by a sugar test, and draw them to it; see `drawn`.

    Parameters
    ----------
    weights : numpy.ndarray, shape (n,)
        How likely each is; they add up to one. [-]

    Returns
    -------
    numpy.ndarray, shape (n,)
        New weights. [-]
    numpy.ndarray of bool, shape (n,)
        Which particles believe it. To the others it is a bad test, of any amount up to what the must began with. [-]
    """
    # Where none is left at all, there would be nothing to draw out.
    particles.state[:2] = np.maximum(particles.state[:2], LEAST_SUGAR)
    sugar, scores = particles.sugar, normals("sugar test", particles.size, found.day)
    mean = float(np.sum(weights * sugar))
    moved, near, wide = drawn(sugar, mean, found.value, found.sd, particles.extract_doubt, scores)
    good = np.exp(-0.5 * ((found.value - sugar) / wide) ** 2) + BAD_READING
    bad = BAD_READING * np.sqrt(2.0 * np.pi) * wide / max(float(np.mean(particles.sugars)), wide)
    weights = weights * np.where(near, good, bad)
    particles.resweeten(moved)
    return weights / weights.sum(), near
