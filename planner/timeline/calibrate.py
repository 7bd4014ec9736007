"""The few quantities by which a ferment is fitted to its own readings, with what is known of them before.

Lag, uptake, nitrogen, growth and viability are what practice fits (Coleman R., Nelson & Boulton 2024); the starting
sugar joins them, since it too was measured. Each is a factor with a 90 % range; the most probable factors given the
readings are found, and how far they may still be off.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import simulate
from planner.model.given import Dose
from planner.model.kinetics import Culture
from planner.model.random_scores import scores
from planner.model.span import Z_90, Span

Array = npt.NDArray[np.float64]

SUGAR_DOUBT = 3.0
"""Standard deviation of a measured sugar. [kg/m^3] About one line of a hydrometer, or an infrared assay; estimate."""

FURTHEST = 4.0
"""Standard deviations from what was expected beyond which no factor is sought. [-]"""

_NUDGE = 0.05  # of a standard deviation, for derivatives


class Factors(NamedTuple):
    """Factors on what was expected of a ferment; each a float, one value per member, or a Span. [-]"""

    lag: Any
    vigour: Any  # on the uptake of sugar
    nitrogen: Any  # on that of the must; what is fed is known
    growth: Any
    decline: Any  # how fast viability is lost
    sugar: Any  # on the starting sugar


PRESSED = Factors(
    lag=Span(0.5, 1.0, 2.0),
    vigour=Span(0.7, 1.0, 1.4),
    nitrogen=Span(0.6, 1.0, 1.65),
    growth=Span(0.75, 1.0, 1.35),
    decline=Span(0.5, 1.0, 2.0),
    sugar=Span(0.985, 1.0, 1.015),
)
"""A must without solids, its gravity read with care. Uptake and growth: the two published models differ by as much."""

ON_SOLIDS = Factors(
    lag=Span(0.6, 1.2, 2.4),
    vigour=Span(1.45, 2.1, 3.0),
    nitrogen=Span(0.5, 1.0, 1.7),
    growth=Span(1.0, 1.7, 2.9),
    decline=Span(0.5, 1.0, 2.0),
    sugar=Span(0.935, 1.0, 1.07),
)
"""A must fermented on its fruit. Uptake about twice that of the published models, which were made on clear musts; growth
between that of Zenteno et al. 2010 and three times it, the range of the same group's later fits to red musts; the lag
longer, as crushed fruit is sulphited (common practice, no source); its starting sugar doubtful by some 4 %, because what
is in the berries is not yet in the juice."""


class Ferment(msgspec.Struct, frozen=True, eq=False):
    """A ferment as it was expected.

    Attributes
    ----------
    glucose, fructose, nitrogen : float
        Per volume of must. [kg/m^3]
    culture : Culture
        The yeast, each field a float. [as its fields]
    schedule : sequence of (float, float)
        Days and temperatures. [d], [K]
    doses : sequence of Dose
        Nitrogen given. [d], [kg/m^3]
    ramps : bool
        Whether temperature goes steadily between the entries of the schedule, as between measurements.
    shrunk : float
        Volume of the dry mead per volume of must; readings are per present volume. [m^3/m^3]
    """

    glucose: float
    fructose: float
    nitrogen: float
    culture: Culture
    schedule: Sequence[tuple[float, float]]
    doses: Sequence[Dose] = ()
    ramps: bool = False
    shrunk: float = 1.0

    def course(self, factors: Factors, days: Array) -> simulate.Course:
        """How it runs with factors.

        Parameters
        ----------
        factors : Factors
            Floats, or one value per member. [-]
        days : numpy.ndarray, shape (n,)
            Days wanted, rising from 0. [d]

        Returns
        -------
        simulate.Course
            Concentrations per volume of must. [kg/m^3]
        """
        members = np.broadcast_shapes(*(np.shape(f) for f in factors), (1,))
        f = Factors(*(np.broadcast_to(np.asarray(value, dtype=float), members) for value in factors))
        yeast = self.culture._replace(
            vigour=self.culture.vigour * f.vigour,
            growth=self.culture.growth * f.growth,
            decline=self.culture.decline * f.decline,
            lag=self.culture.lag * f.lag,
        )
        return simulate.run(
            self.glucose * f.sugar, self.fructose * f.sugar, self.nitrogen * f.nitrogen, yeast,
            self.schedule, self.doses, days, ramps=self.ramps,
        )  # fmt: skip

    def sugar(self, factors: Factors, days: Array) -> Array:
        """Sugar as an instrument would find it.

        Parameters
        ----------
        factors : Factors
            Floats, or one value per member. [-]
        days : numpy.ndarray, shape (n,)
            Days wanted, rising, none before 0. [d]

        Returns
        -------
        numpy.ndarray, shape (n, m)
            Per present volume. [kg/m^3]
        """
        wanted = np.unique([0.0, *days])
        left = self.course(factors, wanted).sugar
        used = 1.0 - left / np.maximum(left[0], 1e-12)
        return np.asarray((left / (1.0 - (1.0 - self.shrunk) * used))[np.searchsorted(wanted, days)])


def factors_at(priors: Factors, z: Any) -> Factors:
    """Factors at standard-normal scores: log-normal, their 90 % range as wide as that of the prior.

    Parameters
    ----------
    priors : Factors
        Spans. [-]
    z : array-like, shape (6,) or (6, m)
        Scores, in the order of the fields. [-]

    Returns
    -------
    Factors
        One value, or one per member. [-]

    Examples
    --------
    >>> round(float(factors_at(ON_SOLIDS, np.zeros(6)).vigour), 2)
    2.1
    """
    return Factors(
        *(
            span.typical * (span.high / span.low) ** (score / (2.0 * Z_90))
            for span, score in zip(priors, z, strict=True)
        )
    )


class Calibration(msgspec.Struct, frozen=True, eq=False):
    """A ferment fitted to its readings.

    Attributes
    ----------
    ferment : Ferment
        As it was expected.
    priors : Factors
        Spans, before the readings. [-]
    scores : numpy.ndarray, shape (6,)
        Most probable scores. [-]
    covariance : numpy.ndarray, shape (6, 6)
        Of the scores, near the most probable ones. [-]
    """

    ferment: Ferment
    priors: Factors
    scores: Array
    covariance: Array

    @property
    def factors(self) -> Factors:
        """The most probable factors. [-]"""
        return factors_at(self.priors, self.scores)

    @property
    def spans(self) -> Factors:
        """The factors with what is left of their doubt, as spans. [-]"""
        width = Z_90 * np.sqrt(np.diag(self.covariance))
        bounds = [factors_at(self.priors, self.scores + shift) for shift in (-width, 0.0, width)]
        return Factors(*(Span(*(float(value) for value in three)) for three in zip(*bounds, strict=True)))

    def members(self, count: int) -> Factors:
        """Factors of an ensemble.

        Parameters
        ----------
        count : int
            Members besides the first, the most probable one. [-]

        Returns
        -------
        Factors
            One value per member, count + 1 of them. [-]
        """
        dice = np.stack([scores(f"calibration/{name}", count) for name in Factors._fields])
        spread = np.linalg.cholesky(self.covariance) @ dice
        return factors_at(self.priors, np.clip(self.scores[:, None] + spread, -FURTHEST, FURTHEST))


def calibrated(
    ferment: Ferment, days: Array, sugar: Array, priors: Factors = PRESSED, doubt: Any = SUGAR_DOUBT
) -> Calibration:
    """Fit a ferment to readings: the most probable factors, given what was known before.

    Parameters
    ----------
    ferment : Ferment
        As it was expected. [as its fields]
    days : numpy.ndarray, shape (n,)
        Of the readings, rising, none before 0; there may be none. [d]
    sugar : numpy.ndarray, shape (n,)
        Sugar read, per present volume. [kg/m^3]
    priors : Factors
        Spans. [-]
    doubt : array-like
        Standard deviation of a reading. [kg/m^3]

    Returns
    -------
    Calibration
        Without readings, what was known before. [-]
    """
    from scipy.optimize import least_squares  # slow to import

    count = len(Factors._fields)
    if not len(days):
        return Calibration(ferment, priors, np.zeros(count), np.eye(count))
    days = np.asarray(days, dtype=float)
    nudges = _NUDGE * np.eye(count)

    def off(z: Array) -> Array:
        found = ferment.sugar(factors_at(priors, z), days)[:, 0]
        return np.concatenate(((found - sugar) / doubt, z))

    def slopes(z: Array) -> Array:
        both = np.concatenate((z[:, None] + nudges, z[:, None] - nudges), axis=1)
        found = ferment.sugar(factors_at(priors, both), days)
        change = (found[:, :count] - found[:, count:]) / (2.0 * _NUDGE)
        return np.concatenate((change / np.reshape(doubt, (-1, 1)), np.eye(count)))

    best = least_squares(off, np.zeros(count), slopes, bounds=(-FURTHEST, FURTHEST), xtol=1e-4, ftol=1e-5, gtol=1e-4)
    steep = slopes(best.x)
    return Calibration(ferment, priors, best.x, np.asarray(np.linalg.inv(steep.T @ steep), dtype=float))
