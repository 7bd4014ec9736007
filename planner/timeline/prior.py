"""What is known of a ferment at pitching, spread over many possible ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model.added_substances import Dose
from planner.model.fermentation import Yields, hexoses, partly_fermented
from planner.model.kinetics import Culture
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume
from planner.reference.rows import Habits

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
    habits : Habits or None
        What earlier batches taught of the traits that `particles.py` draws.
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
    habits: Habits | None = None

    @property
    def size(self) -> int:
        """Number of particles. [-]"""
        return self.glucose.size


UNLIKE = 0.15
"""Share of the particles that go by the shelf whatever was learnt: the next batch may be unlike those before it. [-] A robust
mixture prior (Schmidli et al. 2014, Biometrics 70:1023, from memory); estimate."""

LEARNT: dict[str, Literal["pace", "trend", "lag"]] = {"vigour": "pace", "late": "trend", "lag": "lag"}
"""Traits of a particle by what is learnt of them; what is left of the doubt of the others is `Habits.shape`."""

AS_EXPECTED = {"pace": -0.35, "trend": 0.04, "lag": -0.5}
"""What the typical possible ferment of a log lacks to go as the expected course does, by what is learnt. [-] Mean over ten musts, by
which the pace strays by 0.07 (tests/learning): the two have other declines and other limits. What is learnt stands beside the expected
course."""

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


def as_learnt(prior: Prior, habits: Habits | None) -> Prior:
    """The particles of a yeast of which earlier batches tell: what they tell is drawn as traits, and no more as the strain's."""
    if habits is None:
        return prior

    def less(values: Array, kept: float) -> Array:
        middle = float(np.exp(np.mean(np.log(values))))
        return np.where(familiar(values.size), middle * (values / middle) ** kept, values)

    yeast, shape = prior.culture, habits.shape
    yeast = yeast._replace(
        vigour=less(yeast.vigour, 0.0), lag=less(yeast.lag, 0.0), growth=less(yeast.growth, shape),
        decline=less(yeast.decline, shape), crop=less(yeast.crop, shape),
    )  # fmt: skip
    learnt = msgspec.structs.replace(prior, culture=yeast, habits=habits)
    if habits.dry_sd is None:
        return learnt
    return msgspec.structs.replace(learnt, dry_sd=habits.dry_sd, lift=np.zeros_like(prior.lift))


def learnt_trait(name: str, drawn: Array, habits: Habits | None) -> Array:
    """A trait of all particles as earlier batches teach it.

    Parameters
    ----------
    name : str
        A field of `planner.timeline.particles.Traits`.
    drawn : numpy.ndarray, shape (n,)
        As the shelf has it. [as the trait]
    """
    if habits is None or name == "warmth":  # which no batch tells apart from its pace
        return drawn
    middle, spread, what = drawn.mean(), drawn.std(), LEARNT.get(name)
    if what is None:
        own = middle + habits.shape * (drawn - middle)
    else:
        mean, sd = getattr(habits, what), getattr(habits, f"{what}_sd")
        own = middle + AS_EXPECTED[what] + mean + sd * (drawn - middle) / max(spread, 1e-9)
    return np.where(familiar(drawn.size), own, drawn)


def familiar(size: int) -> npt.NDArray[np.bool_]:
    """Which of so many particles go by what was learnt. [-]"""
    return np.arange(size) >= UNLIKE * size
