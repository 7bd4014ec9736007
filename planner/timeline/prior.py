"""What is known of a ferment at pitching, spread over many possible ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.fermentation import Yields, hexoses, partly_fermented
from planner.model.given import Dose
from planner.model.kinetics import Culture
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume

Array = npt.NDArray[np.float64]


class Outset(msgspec.Struct, frozen=True, eq=False):
    """What is known of a ferment at pitching, as particles.

    Attributes
    ----------
    glucose, fructose, nitrogen : numpy.ndarray, shape (n,)
        At pitching. [kg/m^3]
    culture : Culture
        Fields of shape (n,). [as its fields]
    warmer : numpy.ndarray, shape (n,)
        By how much the must is warmer than its schedule. [K]
    schedule : sequence of (float, float)
        Day and temperature of each step. [d], [K]
    doses : sequence of Dose
        Nitrogen given, of shape (n,). [d], [kg/m^3]
    gravity, alcohol, sugar : numpy.ndarray, shape (4, n)
        Coefficients of cubics in the share of sugar left, the highest power first, for the specific gravity [-], the
        alcohol by volume [m^3/m^3] and the fermentable sugar per volume [kg/m^3].
    lift : numpy.ndarray, shape (n,)
        What extract adds to the gravity when dry. [-]
    comfort : (float, float)
        The yeast's range of temperature. [K]
    """

    glucose: Array
    fructose: Array
    nitrogen: Array
    culture: Culture
    warmer: Array
    schedule: Sequence[tuple[float, float]]
    doses: Sequence[Dose]
    gravity: Array
    alcohol: Array
    sugar: Array
    lift: Array
    comfort: tuple[float, float]

    @property
    def size(self) -> int:
        """Number of particles. [-]"""
        return self.glucose.size


_SHARES = np.array([0.0, 0.3, 0.7, 1.0])
_TO_CUBIC = np.linalg.inv(np.vander(_SHARES, 4))


def outset(
    liquid: Liquid,
    nitrogen: Array,
    yields: Yields,
    culture: Culture,
    warmer: Array,
    schedule: Sequence[tuple[float, float]],
    doses: Sequence[Dose],
    comfort: tuple[float, float],
    size: int,
) -> Outset:
    """Particles from an ensemble of musts, each member several times.

    Parameters
    ----------
    liquid : Liquid
        The must, shape (components, m); the first member is the typical one. [kg]
    nitrogen : numpy.ndarray, shape (m,)
        Assimilable nitrogen per volume of must. [kg/m^3]
    yields : Yields
        Products per hexose, floats or of shape (m,). [kg/kg]
    culture : Culture
        The yeast, fields of shape (m,) or floats. [as its fields]
    warmer : numpy.ndarray, shape (m,)
        By how much each is warmer than the schedule. [K]
    schedule : sequence of (float, float)
        Day and temperature of each step. [d], [K]
    doses : sequence of Dose
        Nitrogen given, floats or of shape (m,). [d], [kg/m^3]
    comfort : (float, float)
        The yeast's range of temperature. [K]
    size : int
        Number of particles. [-]

    Returns
    -------
    Outset
        Particle i is member 1 + i modulo (m - 1), or the only one. [as its fields]
    """
    members = liquid.masses.shape[1]
    which = np.arange(size) % max(members - 1, 1) + (members > 1)

    def some(values: Any) -> Array:
        return np.asarray(np.broadcast_to(np.asarray(values, dtype=float), (members,))[which])

    room = volume(liquid)
    sugars = hexoses(liquid)
    left = _SHARES[:, None] * sugars.total
    way = partly_fermented(Liquid(liquid.masses[:, None, :]), left, yields)
    tables = (gravity(way), alcohol(way), fermentable(way) / volume(way))
    cubics = [(_TO_CUBIC @ table)[:, which] for table in tables]
    return Outset(
        glucose=some(sugars.glucose / room),
        fructose=some(sugars.fructose / room),
        nitrogen=some(nitrogen),
        culture=Culture(*(some(value) for value in culture)),
        warmer=some(warmer),
        schedule=schedule,
        doses=[Dose(dose.day, some(dose.nitrogen)) for dose in doses],
        gravity=cubics[0],
        alcohol=cubics[1],
        sugar=cubics[2],
        lift=some(tables[0][0] - gravity(Liquid.of(water=way["water"][0], ethanol=way["ethanol"][0]))),
        comfort=comfort,
    )
