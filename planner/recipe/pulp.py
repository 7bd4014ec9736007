"""Whole fruit in a must: the juice that it holds at pitching, how it comes out, and what the pomace keeps of the mead.

Until then honey and water are alone with the juice that ran out by itself, and a hydrometer sees no other. In the end all
juice has become one with the must, whether it left the fruit or not; what the pomace keeps costs volume, not strength.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Preparation
from planner.model.liquid import Liquid, volume
from planner.model.random_scores import scores
from planner.model.span import Span

Array = npt.NDArray[np.float64]

RUN_OUT = {True: Span(0.3, 0.6, 0.85), False: Span(0.05, 0.3, 0.6)}
"""Share of its juice that fruit has given at pitching, where frozen or treated with enzyme, and else. [-] Estimate: thawed or
with enzyme 70 to 80 % drain in time, of unbroken berries half, and whole ones give nothing at first."""

LEAST_RUN_OUT = 0.02
"""Least share of it: even whole berries wet what they lie in. [-] Estimate."""

HALF_TIME = {True: Span(0.06, 0.25, 0.8), False: Span(0.3, 1.2, 3.0)}
"""Time in which half of what fruit still holds comes out, likewise. [d] So that nine tenths are out when diffusion has brought
them from a sphere of 5 to 20 mm: with 3e-10 m^2/s in soft tissue (estimate), and with 1.24e-10 m^2/s in flesh and 5.4e-11 in
skin (sour cherry; Maldonado & Gonzalez Pacheco 2022, Heliyon 8, e08788)."""

MOMENTS = (0.0, 0.1, 0.25, 0.5, 0.8, 1.2, 1.75, 2.5, 3.5, 5.0, 8.0)
"""Days between which juice is counted as one addition, in the middle of them; what is left then comes with the last. [d]"""


class Pulp(msgspec.Struct, frozen=True, eq=False):
    """What whole fruit holds at pitching.

    Attributes
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    nitrogen : numpy.ndarray, shape (m,)
        Assimilable nitrogen in it. [kg]
    half_time : numpy.ndarray, shape (m,)
        Time in which half of what is left comes out. [d]
    pressed : float
        Day on which the fruit is pressed. [d]
    pomace : numpy.ndarray, shape (m,)
        Volume of juice, and later of mead, that the pomace keeps then. [m^3]
    """

    liquid: Liquid
    nitrogen: Array
    half_time: Array
    pressed: float
    pomace: Array

    def held(self, day: float) -> Liquid:
        """What the fruit still holds on a day. [kg]

        Parameters
        ----------
        day : float
            Since pitching. [d]
        """
        return self.liquid * self._share_held(day)

    def _share_held(self, day: float) -> Array:
        return np.asarray(0.5 ** (max(day, 0.0) / self.half_time)) if day < self.pressed else 0.0 * self.half_time

    def releases(self) -> list[tuple[float, Array]]:
        """Days on which the juice enters as additions [d], and which share of `liquid` each is, shape (m,) [-]."""
        bounds = [*(day for day in MOMENTS[:-1] if day < self.pressed), min(self.pressed, MOMENTS[-1])]
        held = [self._share_held(day) for day in bounds[:-1]] + [0.0 * self.half_time]
        return [
            (0.5 * (bounds[i] + bounds[i + 1]), held[i] - held[i + 1])
            for i in range(len(bounds) - 1) if bounds[i + 1] > bounds[i]
        ]  # fmt: skip

    def member(self, index: Any) -> Pulp:
        """One of the ensemble, or a slice of it. [-]"""
        return Pulp(
            self.liquid.member(index), self.nitrogen[index], self.half_time[index], self.pressed, self.pomace[index]
        )


def pulp_of(fruit: Sequence[tuple[Liquid, Array, Array]], preparation: Preparation, members: int) -> Pulp | None:
    """What fruit that ferments whole holds at pitching.

    Parameters
    ----------
    fruit : sequence of (Liquid, numpy.ndarray, numpy.ndarray)
        Of each line all juice [kg], the nitrogen in it [kg], and the share of it that the press does not get out [-].
    members : int
        Members besides the typical one. [-]

    Returns
    -------
    Pulp or None
        None where there is none, or it is pressed at once. [as its fields]
    """
    masses = sum(liquid.masses for liquid, _, _ in fruit)
    if not preparation.on_fruit > 0.0 or not np.sum(masses) > 0.0:
        return None
    opened = preparation.frozen or preparation.enzyme
    inside = 1.0 - RUN_OUT[opened].at(scores("pulp/run out", members), LEAST_RUN_OUT, 1.0)
    return Pulp(
        liquid=Liquid(np.asarray(masses * inside)),
        nitrogen=np.asarray(sum(food for _, food, _ in fruit) * inside),
        half_time=HALF_TIME[opened].at(scores("pulp/half time", members), 0.02),
        pressed=preparation.on_fruit,
        pomace=np.asarray(sum(volume(liquid) * kept for liquid, _, kept in fruit)),
    )
