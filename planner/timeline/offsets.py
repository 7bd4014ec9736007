"""What only shifts a gravity, carried by each particle as a normal distribution instead of being drawn.

Its first part is other extract than the recipe tells, which shifts the gravity the more, the more sugar is used; each
further one is the constant error of one instrument. Kalman's formulas move them exactly, so that no particle has to hit
them by chance, and many readings of one instrument do not make it true.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.intp]


class Offsets:
    """Means, shape (k, n), and covariances, shape (k, k, n), of what shifts the gravity of n particles. [-]"""

    def __init__(self, extract_sd: Array) -> None:
        self.first_sd = extract_sd
        self.mean = np.zeros((1, extract_sd.size))
        self.covariance = (extract_sd**2)[None, None, :].copy()
        self.rows: dict[str, int] = {}

    @property
    def extract(self) -> Array:
        """Mean shift of the dry gravity by other extract. [-]"""
        return np.asarray(self.mean[0])

    @property
    def extract_variance(self) -> Array:
        """Its variance. [-]"""
        return np.asarray(self.covariance[0, 0])

    def row(self, instrument: str, sd: float) -> int:
        """The place of an instrument's error, known beforehand to a standard deviation; made at its first reading. [-]"""
        if instrument not in self.rows:
            k, n = self.mean.shape
            wider = np.zeros((k + 1, k + 1, n))
            wider[:k, :k] = self.covariance
            wider[k, k] = sd**2
            self.mean, self.covariance = np.vstack((self.mean, np.zeros((1, n)))), wider
            self.rows[instrument] = k
        return self.rows[instrument]

    def of(self, instrument: str) -> Array:
        """Mean error of an instrument; none where it was never used. [-]"""
        row = self.rows.get(instrument)
        return np.zeros_like(self.mean[0]) if row is None else np.asarray(self.mean[row])

    def shift(self, row: int, used: Array) -> Array:
        """Mean shift of a reading by an instrument, where such a share of the sugar is used. [-]"""
        return np.asarray(used * self.mean[0] + self.mean[row])

    def variance(self, row: int, used: Array) -> Array:
        """Variance of that shift. [-]"""
        p = self.covariance
        return np.asarray(used**2 * p[0, 0] + 2.0 * used * p[0, row] + p[row, row])

    def update(self, row: int, used: Array, residual: Array, noise: Array, which: Array) -> None:
        """Kalman's update by what a reading is off its mean [-], with the variance of its noise [-], for some particles."""
        joint = used * self.covariance[:, 0] + self.covariance[:, row]
        gain = np.where(which, joint / (used * joint[0] + joint[row] + noise), 0.0)
        self.mean = self.mean + gain * residual
        self.covariance = self.covariance - gain[:, None] * joint[None, :]

    def shift_extract(self, change: Array) -> None:
        """Take another part of the gravity for extract. [-]"""
        self.mean[0] = self.mean[0] + change

    def pick(self, which: Integers) -> None:
        """Those of some particles."""
        self.first_sd = self.first_sd[which]
        self.mean, self.covariance = self.mean[:, which], self.covariance[:, :, which]

    def draw(self, scores: Array) -> None:
        """Draw the extract at standard-normal scores [-], so that it is one value for each particle from now on."""
        self.mean[0] = self.mean[0] + np.sqrt(np.maximum(self.extract_variance, 0.0)) * scores
        self.covariance[0] = 0.0
        self.covariance[:, 0] = 0.0
