"""An uncertain number: what it typically is, and between which bounds it lies nine times out of ten."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.numerics import percentiles

Array = npt.NDArray[np.float64]

Z_90 = 1.6448536269514722
"""Half width of the central 90 % of a standard normal distribution. [-]"""


class Span(NamedTuple):
    """A value known to lie between `low` and `high` (central 90 %) and typically at `typical` (median)."""

    low: float
    typical: float
    high: float

    @classmethod
    def exactly(cls, value: float) -> Span:
        """A value that is known: a measurement, a definition or a decision. [any]"""
        return cls(value, value, value)

    @classmethod
    def of(cls, members: Any) -> Span:
        """The span of an ensemble whose first member is the typical one.

        Parameters
        ----------
        members : array-like, shape (m,)
            Values of the members; member 0 is the typical case. [any]

        Returns
        -------
        Span
            Typical value and the 5th and 95th percentile. [any]
        """
        values = np.atleast_1d(np.asarray(members, dtype=float))
        typical = float(values[0])
        if values.size == 1:
            return cls.exactly(typical)
        low, high = percentiles(values[1:], (5.0, 95.0)).tolist()
        return cls(min(low, typical), typical, max(high, typical))

    @property
    def is_exact(self) -> bool:
        """Whether the value carries no spread."""
        return self.low == self.high

    def at(self, z: Any, floor: float = 0.0, ceiling: float = np.inf) -> Array:
        """Values of ensemble members at the standard-normal scores `z`.

        The distribution is split normal: its median is `typical`, its 5th and 95th percentiles are `low` and `high`.

        Parameters
        ----------
        z : array-like, shape (m,)
            Standard-normal scores of the members. [-]
        floor, ceiling : float
            Physical bounds at which values are clipped. [as the span]

        Returns
        -------
        numpy.ndarray, shape (m,)
            One value per member. [as the span]
        """
        z = np.asarray(z, dtype=float)
        slope = np.where(z < 0.0, self.typical - self.low, self.high - self.typical) / Z_90
        return np.asarray(np.clip(self.typical + slope * z, floor, ceiling))

    def scaled(self, factor: float) -> Span:
        """The same span in other units, or for another amount, by a positive factor. [other units per own]"""
        return Span(self.low * factor, self.typical * factor, self.high * factor)
