"""What follows from a batch, part by part, as frozen values: the must, where it should come to rest, and the curve."""

from __future__ import annotations

import itertools

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.span import Span

Array = npt.NDArray[np.float64]


SMOOTHED = 5
"""Points of the curve over which the fall of a must on whole fruit is told. [-]"""


class FeedMoment(msgspec.Struct, frozen=True):
    """A feed or step feed of the recipe and when it falls due."""

    feed: int  # its place among them
    day: float  # [d]


class State(msgspec.Struct, frozen=True):
    """What the liquid of a batch holds on a day."""

    sugar: Span  # fermentable [kg/m^3]
    alcohol: Span  # by volume [m^3/m^3]


class Part(msgspec.Struct, frozen=True):
    """What one group of substances does to the finishing gravity. [-]"""

    name: str
    lifts: Span


class MustOutcome(msgspec.Struct, frozen=True):
    """The must as the recipe gives it, and as far as its acid was measured. Units stand behind the fields."""

    volume: Span  # at 20 °C [m^3]
    mass: Span  # [kg]
    gravity: Span  # 20/20 °C, with all that whole fruit holds [-]
    first: Span  # the same as a hydrometer finds it at pitching, without that [-]
    brix: Span  # of a sucrose solution of that gravity [g/(100 g)]
    sugar: Span  # fermentable, as hexose [kg/m^3]
    sugar_in_all: Span  # the same with all that is added while it works, still per volume at pitching [kg/m^3]
    acid: Span  # titratable, as tartaric [kg/m^3]
    nitrogen: Span  # assimilable, without feeds [kg/m^3]
    juices: tuple[Span, ...]  # juice of each fruit line [m^3]
    ph: Span | None = None  # measured, or estimated from fruit and honey; None where neither goes in [-]
    measured: tuple[str, ...] = ()  # which of "ph" and "acid" the log tells


class FinishOutcome(msgspec.Struct, frozen=True):
    """Where the ferment should come to rest. Units stand behind the fields."""

    gravity: Span  # [-]
    dry_gravity: Span  # if yeast took every sugar it can [-]
    alcohol: Span  # [m^3/m^3]
    sugar: Span  # fermentable, left by the yeast [kg/m^3]
    acid: Span  # titratable, as tartaric [kg/m^3]
    volume: Span  # [m^3]
    day: Span  # on which it gets there [d]
    parts: tuple[Part, ...]  # what makes the gravity


class Curve(msgspec.Struct, frozen=True, eq=False):
    """The expected curve for drawing.

    Attributes
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching. [d]
    gravity, alcohol, sugar : numpy.ndarray, shape (n,)
        Of the typical member. [-], [m^3/m^3], [kg/m^3]
    planned : numpy.ndarray, shape (n,), or None
        Gravity as the recipe alone has it, where the course starts from a measured gravity instead. [-]
    band : numpy.ndarray, shape (4, n)
        5th, 25th, 75th and 95th percentile of gravity; equal to the typical one without an ensemble. [-]
    temperature : numpy.ndarray, shape (n,)
        Planned. [K]
    feeds, step_feeds : tuple of FeedMoment
        With their days.
    used : numpy.ndarray, shape (n,)
        Share of the sugar given by then that is used, of the typical member. [-]
    on_fruit : bool
        Whether it ferments on whole fruit.
    third_day : float or None
        When a third of the sugar should be used. [d]
    """

    days: Array
    gravity: Array
    alcohol: Array
    sugar: Array
    band: Array
    temperature: Array
    feeds: tuple[FeedMoment, ...]
    third_day: float | None
    used: Array
    planned: Array | None = None
    step_feeds: tuple[FeedMoment, ...] = ()
    on_fruit: bool = False

    def fall(self, level: Array) -> Array:
        """How fast something falls along the curve, between what was added: that lifts or thins it, and is no work of the yeast.

        Parameters
        ----------
        level : numpy.ndarray, shape (n,)
            Gravity or what follows from it, on the days of the curve. [any]

        Returns
        -------
        numpy.ndarray, shape (n,)
            Per day. [as `level`, 1/d] On whole fruit, whose juice comes in small steps here, told over some days together.
        """
        rate = np.zeros_like(level)
        parts = np.searchsorted(self.days, sorted(moment.day for moment in self.step_feeds)).tolist()
        for first, end in itertools.pairwise([0, *parts, self.days.size]):
            if end - first > 1:
                rate[first:end] = -np.gradient(level[first:end], self.days[first:end])
        if not self.on_fruit:
            return rate
        return np.convolve(np.pad(rate, SMOOTHED // 2, mode="edge"), np.full(SMOOTHED, 1.0 / SMOOTHED), mode="valid")
