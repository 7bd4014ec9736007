"""How a speed is measured here: as the ratio of two runs that alternate in one process, with median and spread.

A ratio says the same on a slow machine and on a busy one; a time in milliseconds does not.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import perf_counter

import numpy as np


@dataclass(frozen=True)
class Row:
    """One line of the table of speeds.

    Attributes
    ----------
    key : str
        Name of the row.
    what, reference : str
        What was timed, and beside what.
    ratios : tuple of float
        Time of ours by time of the reference, one for each round. [-]
    reach : float
        What the median is to keep below. [-]
    reach_p95 : float or None
        What the 95th percentile is to keep below; None where nothing is asked of it. [-]
    """

    key: str
    what: str
    reference: str
    ratios: tuple[float, ...]
    reach: float
    reach_p95: float | None = None

    @property
    def median(self) -> float:
        """The middle ratio. [-]"""
        return float(np.median(self.ratios))

    @property
    def p95(self) -> float:
        """The ratio that 95 of 100 rounds keep below. [-]"""
        return float(np.percentile(self.ratios, 95.0))

    @property
    def is_reached(self) -> bool:
        """Whether the row keeps what is asked of it."""
        return self.median <= self.reach and (self.reach_p95 is None or self.p95 <= self.reach_p95)


@dataclass(frozen=True)
class Growth:
    """How the time of something grows with its size: time is about size to the power of `exponent`.

    Attributes
    ----------
    key, what : str
        Name of the row, and what grows.
    sizes, times : tuple of float
        What was tried, and the median time of each. [-], [s]
    """

    key: str
    what: str
    sizes: tuple[float, ...]
    times: tuple[float, ...]

    @property
    def exponent(self) -> float:
        """The slope over the upper half of the sizes, in logarithms; below it the fixed cost hides the growth. [-]"""
        half = len(self.sizes) // 2
        return float(np.polyfit(np.log(self.sizes[half:]), np.log(self.times[half:]), 1)[0])


def timed(run: Callable[[], object]) -> float:
    """Time of one run, with the collector of garbage kept out of it. [s]"""
    gc.collect()
    gc.disable()
    try:
        start = perf_counter()
        run()
        return perf_counter() - start
    finally:
        gc.enable()


def paired(
    ours: Callable[[], object], reference: Callable[[], object], rounds: int = 21, warm_up: int = 3
) -> tuple[float, ...]:
    """Ratios of the times of `ours` by those of `reference`, run alternately, after some rounds that do not count."""
    ratios = [timed(ours) / timed(reference) for _ in range(warm_up + rounds)]
    return tuple(ratios[warm_up:])


def growth(key: str, what: str, sizes: Sequence[float], at: Callable[[float], Callable[[], object]]) -> Growth:
    """Median time of five runs at each size; `at` makes the run of a size, outside the time."""
    times = []
    for size in sizes:
        run = at(size)
        run()
        times.append(float(np.median([timed(run) for _ in range(5)])))
    return Growth(key, what, tuple(sizes), tuple(times))
