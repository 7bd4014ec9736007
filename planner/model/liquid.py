"""A liquid is the masses of its components; whatever else can be said of it follows from them.

Masses add exactly when liquids are mixed, volumes do not: volume is always mass over density.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import ethanol, sucrose
from planner.model.components import COMPONENTS, INDEX
from planner.model.constants import ETHANOL_DENSITY, REFERENCE_TEMPERATURE

Array = npt.NDArray[np.float64]

WATER_DENSITY = float(sucrose.water_density(REFERENCE_TEMPERATURE))
"""Density of water at 20 °C, on which specific gravity 20/20 rests. [kg/m^3] ICUMSA SPS-4 (1998)."""

_FIRST_SOLUTE = 2
_SPECIFIC_VOLUME = np.array([c.specific_volume for c in COMPONENTS.values()])
_DILUTE_SUCROSE = float(sucrose.apparent_specific_volume(0.0, REFERENCE_TEMPERATURE))
_SPECIFIC_VOLUME[INDEX["sucrose"]] = _DILUTE_SUCROSE  # unrounded, so that the limit of sucrose alone is exact
_REDUCING = [INDEX[key] for key in ("glucose", "fructose", "maltose", "higher_sugars")]
_HONEY_EXCESS, _HONEY_SOLIDS = 9.7e-6, 0.83
# Neat honey is 0.6 to 1.2 % lighter than a sucrose solution of its solids. [m^3/kg], [-]: one excess volume,
# fitted to White's gravities of honey with 13 to 21 % water (FAO Bulletin 124, 1975), left over +-0.003 in gravity;
# it goes with the fourth power of solids, so that it is gone (below 1e-4 in gravity) in musts of up to 30 % solids. Estimate.
_SUMS = np.zeros((3, len(COMPONENTS)))  # what of a liquid is extract, reducing, and the room of its solutes
_SUMS[0, _FIRST_SOLUTE:] = _SUMS[1, _REDUCING] = 1.0
_SUMS[2] = _SPECIFIC_VOLUME
_HEXOSE = np.array([c.hexose for c in COMPONENTS.values()])
_EQUIVALENTS = np.array([c.acid_equivalents for c in COMPONENTS.values()])
STRONGEST = 0.25
"""Alcohol by volume up to which the additivity of solvent and extract was tried, as in `volume`. [m^3/m^3]"""

TARTARIC_PER_EQUIVALENT = 0.15009 / 2
"""Mass of tartaric acid that one equivalent of acid is counted as. [kg/mol] Half its molar mass."""


class Liquid(msgspec.Struct, frozen=True, eq=False):
    """An amount of liquid, or an ensemble of them.

    Attributes
    ----------
    masses : numpy.ndarray, shape (components, ...)
        Mass of each component, in the order of `COMPONENTS`; further axes are members, days and the like. Never written
        to once it belongs to a liquid. [kg]
    """

    masses: Array
    _room: Array | None = None
    """Volume at 20 °C, as soon as it was asked for. [m^3]"""

    @classmethod
    def of(cls, **masses: Any) -> Liquid:
        """A liquid from the masses of its components by key; those not named are absent. [kg]

        Raises
        ------
        KeyError
            A key that is not a component's.
        """
        values = np.broadcast_arrays(*(np.asarray(m, dtype=float) for m in masses.values())) if masses else []
        shape = values[0].shape if masses else ()
        table = np.zeros((len(INDEX), *shape))
        for key, value in zip(masses, values, strict=True):
            table[INDEX[key]] += value
        return cls(table)

    def __getitem__(self, key: str) -> Array:
        """Mass of one component. [kg]"""
        return np.asarray(self.masses[INDEX[key]])

    def __add__(self, other: Liquid) -> Liquid:
        """Both liquids together: every mass is the sum."""
        a, b = self.masses, other.masses
        if a.ndim != b.ndim:  # members stand on trailing axes: a plain liquid goes with each of them
            a, b = (m.reshape(m.shape + (1,) * (max(a.ndim, b.ndim) - m.ndim)) for m in (a, b))
        return Liquid(a + b)

    def __mul__(self, factor: Any) -> Liquid:
        """The same liquid in another amount."""
        return Liquid(self.masses * np.asarray(factor, dtype=float))

    __rmul__ = __mul__

    def plus(self, **masses: Any) -> Liquid:
        """With more (or, if negative, less) of some components. [kg]"""
        table = np.array(np.broadcast_arrays(self.masses, *(np.asarray(m)[None, ...] for m in masses.values()))[0])
        for key, mass in masses.items():
            table[INDEX[key]] = table[INDEX[key]] + mass
        return Liquid(table)

    def without(self, *keys: str) -> Liquid:
        """With some components taken out."""
        table = self.masses.copy()
        table[[INDEX[key] for key in keys]] = 0.0
        return Liquid(table)

    def member(self, index: Any) -> Liquid:
        """One of an ensemble, or a slice of it, by its place among the members. [-]"""
        return Liquid(self.masses[:, index])

    @property
    def mass(self) -> Array:
        """Mass of the whole. [kg]"""
        return np.asarray(self.masses.sum(axis=0))

    @property
    def extract(self) -> Array:
        """Mass of all that is dissolved, without water and ethanol. [kg]"""
        return np.asarray(self.masses[_FIRST_SOLUTE:].sum(axis=0))


_SMALL = 8192
"""Masses up to which a matrix product is quickest. Beyond, its library shares them among threads, which on a machine that
does something else costs ten times what it gains."""


def _weighed(weights: Array, masses: Array) -> Array:
    """Masses summed over the components, with a weight each."""
    if masses.size > _SMALL:
        return np.asarray(np.einsum("i,i...->..." if weights.ndim == 1 else "ki,i...->k...", weights, masses))
    return np.asarray((weights @ masses.reshape(len(masses), -1)).reshape(weights.shape[:-1] + masses.shape[1:]))


@lru_cache(maxsize=64)
def _own_water(temperature: Any) -> Array:
    """By how much the density of plain water differs between the two standards. [kg/m^3]"""
    return np.asarray(sucrose.water_density(temperature) - ethanol.density(0.0, temperature))


def volume(liquid: Liquid, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """Volume of a liquid.

    The solvent takes the room that the alcoholometric formula gives it; each dissolved substance adds its own
    apparent volume, which changes with concentration and temperature as that of sucrose does. Without extract
    this is the alcoholometric formula, with sucrose alone the sugar formula, both exactly.

    Parameters
    ----------
    liquid : Liquid
        Up to `STRONGEST` by volume of ethanol and 0.85 by mass of extract. [kg]
    temperature : array-like
        Temperature. [K] 273.15 to 313.15; up to 348.15 with the doubt that `ethanol.density` states.

    Returns
    -------
    numpy.ndarray
        Volume. [m^3]

    References
    ----------
    .. [1] OIML R 22, 1975. .. [2] ICUMSA SPS-4, 1998. Additivity on top of them is the practice of OIV method
       MA-AS2-03B (total dry matter), there with one substance.
    """
    at_reference = isinstance(temperature, float) and temperature == REFERENCE_TEMPERATURE
    if at_reference and liquid._room is not None:
        return liquid._room
    m = liquid.masses
    water, alcohol = m[INDEX["water"]], m[INDEX["ethanol"]]
    extract, reducing, solutes = _weighed(_SUMS, m)
    solvent = water + alcohol
    w = _share(extract, solvent + extract)
    # The two standards differ by 2e-6 on plain water; each keeps its own where it alone applies.
    own_water = _own_water(temperature) if isinstance(temperature, float) else _own_water.__wrapped__(temperature)
    solvent_density = ethanol.density(_share(alcohol, solvent), temperature)
    solvent_density = solvent_density + own_water * _share(extract, extract + alcohol)
    crowding = sucrose.apparent_specific_volume(w, temperature) - _DILUTE_SUCROSE
    squared = (w / _HONEY_SOLIDS) ** 2  # and squared again, which is quicker than the fourth power
    honey = _HONEY_EXCESS * (squared * squared) * reducing
    room = np.asarray(solvent / solvent_density + solutes + crowding * extract + honey)
    if at_reference:
        room.flags.writeable = False
        msgspec.structs.force_setattr(liquid, "_room", room)
    return room


def _share(part: Array, whole: Array) -> Array:
    """A part of a whole, none where there is no whole. [-]"""
    return np.divide(part, whole, out=np.zeros_like(whole), where=whole > 0.0)


def density(liquid: Liquid, temperature: Any = REFERENCE_TEMPERATURE) -> Array:
    """Density of a liquid: its mass over its volume. [kg/m^3] See `volume` for range and sources."""
    return np.asarray(liquid.mass / volume(liquid, temperature))


def gravity(liquid: Liquid) -> Array:
    """Specific gravity 20/20 °C: density over that of water, both at 20 °C. [-] See `volume`."""
    return np.asarray(density(liquid) / WATER_DENSITY)


def alcohol(liquid: Liquid) -> Array:
    """Alcoholic strength: volume of pure ethanol at 20 °C over the liquid's volume at 20 °C. [m^3/m^3]"""
    return np.asarray(liquid["ethanol"] / ETHANOL_DENSITY / volume(liquid))


def concentration(liquid: Liquid, *keys: str) -> Array:
    """Mass of some components together per volume at 20 °C. [kg/m^3]"""
    rows = liquid.masses[[INDEX[key] for key in keys]]
    return np.asarray(rows.sum(axis=0) / volume(liquid))


def fermentable(liquid: Liquid) -> Array:
    """Mass of hexose that yeast can make of the liquid's sugars. [kg]"""
    return np.asarray(_weighed(_HEXOSE, liquid.masses))


def fermentable_concentration(liquid: Liquid) -> Array:
    """Hexose that yeast can take, per volume at 20 °C. [kg/m^3]"""
    return np.asarray(fermentable(liquid) / volume(liquid))


def titratable_acid(liquid: Liquid) -> Array:
    """Acid found by titration to pH 8.2, counted as tartaric acid, per volume at 20 °C.

    Returns
    -------
    numpy.ndarray
        Titratable acid as tartaric. [kg/m^3] Acid bound to potassium in fruit is not seen by a titration; the
        fruit table therefore states titratable acid, which is what stands in the masses.
    """
    equivalents = _weighed(_EQUIVALENTS, liquid.masses)
    return np.asarray(equivalents * TARTARIC_PER_EQUIVALENT / volume(liquid))
