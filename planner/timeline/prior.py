"""What is known of a ferment at pitching, spread over many possible ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.fermentation import Yields, hexoses, partly_fermented
from planner.model.given import Dose
from planner.model.kinetics import Culture
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume

Array = npt.NDArray[np.float64]


class Tables(NamedTuple):
    """What the share of the sugar left tells of a liquid: coefficients of cubics in it, shape (4, n), the highest power first."""

    gravity: Array  # [-]
    alcohol: Array  # by volume [m^3/m^3]
    sugar: Array  # fermentable, per volume [kg/m^3]


class Given(msgspec.Struct, frozen=True, eq=False):
    """What is given to a working must on a day.

    Attributes
    ----------
    day : float
        When. [d]
    nitrogen, glucose, fructose : numpy.ndarray, shape (n,)
        Per volume after it. [kg/m^3]
    thinner : numpy.ndarray, shape (n,)
        What is there already, per volume after it and before it. [-]
    sugars : numpy.ndarray, shape (n,), or None
        All hexose given so far, per volume after it [kg/m^3]; None where only nitrogen is given.
    tables : Tables or None
        Of the liquid from then on; None likewise.
    """

    day: float
    nitrogen: Array
    glucose: Array | float = 0.0
    fructose: Array | float = 0.0
    thinner: Array | float = 1.0
    sugars: Array | None = None
    tables: Tables | None = None


class Prior(msgspec.Struct, frozen=True, eq=False):
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
    given : sequence of Given
        Feeds, honey and juice given while it works, in the order of their days.
    tables : Tables
        Of the must at pitching.
    lift : numpy.ndarray, shape (n,)
        What extract adds to the gravity when dry. [-]
    dry_sd : float
        Standard deviation of the gravity when dry, by the doubt of the recipe. [-] Every particle has its mean.
    comfort : (float, float)
        The yeast's range of temperature. [K]
    """

    glucose: Array
    fructose: Array
    nitrogen: Array
    culture: Culture
    warmer: Array
    schedule: Sequence[tuple[float, float]]
    given: Sequence[Given]
    tables: Tables
    lift: Array
    dry_sd: float
    comfort: tuple[float, float]

    @property
    def size(self) -> int:
        """Number of particles. [-]"""
        return self.glucose.size


_SHARES = np.array([0.0, 0.3, 0.7, 1.0])
_TO_CUBIC = np.linalg.inv(np.vander(_SHARES, 4))


def prior_of(
    liquid: Liquid,
    nitrogen: Array,
    yields: Yields,
    culture: Culture,
    warmer: Array,
    schedule: Sequence[tuple[float, float]],
    doses: Sequence[Dose],
    comfort: tuple[float, float],
    size: int,
) -> Prior:
    """Particles from an ensemble of musts, each member several times.

    Parameters
    ----------
    liquid : Liquid
        The must, shape (components, m); the first member is the typical one. [kg]
    nitrogen : numpy.ndarray, shape (m,)
        Assimilable nitrogen per volume of must. [kg/m^3]
    yields : Yields
        Products per hexose, floats or of shape (m,). [kg/kg]
    warmer : numpy.ndarray, shape (m,)
        By how much each is warmer than the schedule. [K]
    schedule : sequence of (float, float)
        Day and temperature of each step. [d], [K]
    doses : sequence of Dose
        What was given on which day, per volume of the must. [d], [kg/m^3]
    comfort : (float, float)
        The yeast's range of temperature. [K]
    size : int
        Number of particles. [-]

    Returns
    -------
    Prior
        Particle i is member 1 + i modulo (m - 1), or the only one. [as its fields]
    """
    members = liquid.masses.shape[1]
    which = np.arange(size) % max(members - 1, 1) + (members > 1)

    def some(values: Any) -> Array:
        return np.asarray(np.broadcast_to(np.asarray(values, dtype=float), (members,))[which])

    def tables_of(given: Liquid) -> tuple[Tables, Liquid]:
        left = _SHARES[:, None] * hexoses(given).total
        way = partly_fermented(Liquid(given.masses[:, None, :]), left, yields)
        heavy = gravity(way)
        # How heavy each is when dry is not drawn but carried by every particle: see `offsets.py`.
        heavy = heavy - (1.0 - _SHARES[:, None]) * (heavy[0] - heavy[0].mean())
        told = (heavy, alcohol(way), fermentable(way) / volume(way))
        return Tables(*((_TO_CUBIC @ table)[:, which] for table in told)), way

    room = volume(liquid)
    sugars = hexoses(liquid)
    tables, way = tables_of(liquid)
    given, whole, taken = [], liquid, np.ones(members)
    for dose in sorted((dose for dose in doses if dose.day is not None), key=lambda dose: dose.day or 0.0):
        if dose.liquid is None:
            given.append(Given(dose.day or 0.0, some(dose.nitrogen / taken)))
            continue
        added = Liquid(np.broadcast_to(dose.liquid.masses.reshape(len(dose.liquid.masses), -1), liquid.masses.shape))
        brought, grown = hexoses(added), taken + volume(added)
        whole = whole + added * room
        given.append(
            Given(dose.day or 0.0, some(dose.nitrogen / grown), some(brought.glucose / grown), some(brought.fructose / grown),
                  some(taken / grown), some(hexoses(whole).total / room / grown), tables_of(whole)[0])
        )  # fmt: skip
        taken = grown
    return Prior(
        glucose=some(sugars.glucose / room),
        fructose=some(sugars.fructose / room),
        nitrogen=some(nitrogen),
        culture=Culture(*(some(value) for value in culture)),
        warmer=some(warmer),
        schedule=schedule,
        given=given,
        tables=tables,
        dry_sd=float(np.std(gravity(way)[0])),
        lift=some(gravity(way)[0] - gravity(Liquid.of(water=way["water"][0], ethanol=way["ethanol"][0]))),
        comfort=comfort,
    )
