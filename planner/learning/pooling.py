"""Partial pooling: what a few batches teach of the next one, never more than so few can (a normal hierarchical model).

Each batch j tells a number y_j with its standard deviation s_j, of its own value th_j ~ N(mu, tau^2). Beforehand the maker's mean
is mu ~ N(0, S^2) about what the shelf says, and the spread between batches tau is half-normal (Gelman 2006, Bayesian Anal 1:515).
The spread is integrated on a grid, so that a few batches that happen to agree do not make the next one certain.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

SPREADS, WIDEST = 201, 8.0
"""Spreads between batches that are tried, and the widest of them in those scales. [-]"""

ODD, ODD_BY = 0.10, 4.0
"""Chance that one batch is unlike the others, and by how many times the spread of all that is thought possible it then may be. [-]
Estimates: a stall that was not named, a recipe that was not followed."""


class Taught(NamedTuple):
    """What some batches teach of the next one.

    Attributes
    ----------
    mean, sd : float
        Of the next batch, beside what the shelf says. [as what was told]
    mean_sd : float
        Standard deviation of the maker's mean alone. [likewise]
    shelf : float
        Part of the say that the shelf keeps in the mean: 1 where nothing was told, near 0 where batches tell all. [-]
    odd : tuple of float
        How likely each batch is unlike the others. [-]
    """

    mean: float
    sd: float
    mean_sd: float
    shelf: float
    odd: tuple[float, ...]


def pooled(
    values: Sequence[float],
    sds: Sequence[float],
    mean_sd: float,
    spread: float,
    odd: float = ODD,
    spreads: int = SPREADS,
) -> Taught:
    """Pool what batches told.

    Parameters
    ----------
    values, sds : sequence of float
        What each told beside the shelf, and its standard deviation. [any]
    mean_sd, spread : float
        Standard deviation of a maker's mean, and scale of the spread between batches, as thought beforehand. [as the values]
    odd : float
        Chance that a batch is unlike the others. [-]
    spreads : int
        How fine the grid of spreads is. [-]

    Returns
    -------
    Taught
        Of no batch, what was thought beforehand. [as its fields]

    Examples
    --------
    >>> told = pooled((-0.30,), (0.10,), 0.25, 0.25, odd=0.0)
    >>> round(told.mean, 3), round(told.sd, 3)
    (-0.18, 0.29)
    """
    y, s = np.asarray(values, dtype=float), np.asarray(sds, dtype=float)
    tau = np.linspace(0.0, WIDEST * spread, spreads)
    thought = np.exp(-0.5 * (tau / spread) ** 2)
    thought[[0, -1]] *= 0.5  # trapezoids
    odd = odd if y.size > 1 else 0.0
    wide = (ODD_BY * math.hypot(mean_sd, spread)) ** 2
    each = s**2 + tau[:, None] ** 2  # (spreads, batches)
    # None is odd, or one of them is: then its own term in each sum is another. (spreads, 1 + batches)
    known, drawn, squares, logs = (
        np.sum(term, axis=1, keepdims=True) + (np.hstack((np.zeros((tau.size, 1)), other - term)) if odd else 0.0)
        for term, other in (
            (1.0 / each, 1.0 / (each + wide)),
            (y / each, y / (each + wide)),
            (y**2 / each, y**2 / (each + wide)),
            (np.log(each), np.log(each + wide)),
        )
    )
    centre, variance = drawn / (1.0 / mean_sd**2 + known), 1.0 / (1.0 / mean_sd**2 + known)
    # log N(y; 0, diag(each) + mean_sd^2 J), by the matrix determinant lemma
    fit = -0.5 * (squares - variance * drawn**2 + logs + np.log1p(mean_sd**2 * known))
    chance = np.full(fit.shape[1], odd / max(y.size, 1))
    chance[0] = 1.0 - odd
    said = chance * thought[:, None] * np.exp(fit - fit.max())
    said /= said.sum()
    mean = float(np.sum(said * centre))
    of_mean = float(np.sum(said * (variance + (centre - mean) ** 2)))
    next_batch = of_mean + float(np.sum(said.sum(axis=1) * tau**2))
    shelf = float(np.sum(said * variance)) / mean_sd**2
    which = tuple(said.sum(axis=0)[1:].tolist()) or (0.0,) * y.size
    return Taught(mean, math.sqrt(next_batch), math.sqrt(of_mean), shelf, which)
