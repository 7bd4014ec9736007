"""What yeast makes of a must, to the gram: ethanol, glycerol, small acids, yeast mass, and the gas that leaves."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.components import ACIDS, COMPONENTS, INDEX
from planner.model.constants import ETHANOL_PER_HEXOSE, HEXOSE_PER_DISACCHARIDE, MOLAR_MASS
from planner.model.liquid import Liquid, fermentable
from planner.model.ph import DISSOCIATION
from planner.model.span import Span

Array = npt.NDArray[np.float64]

ETHANOL_YIELD = Span(0.450, 0.465, 0.485)
"""Ethanol per hexose. [kg/kg] 0.469 is the convention of 16.83 g/L per % vol; wines lie between 0.44 and 0.485."""

GLYCEROL_YIELD = Span(0.020, 0.030, 0.045)
"""Glycerol per hexose. [kg/kg] Wines 1 to 15 g/L (Scanes 1998), mead 7.8 g/L at 10.2 % vol (Gomes 2013)."""

SUCCINIC_YIELD = Span(0.003, 0.005, 0.008)
"""Succinic acid per hexose. [kg/kg] From memory: about 1 g/L in wines."""

ACETIC_YIELD = Span(0.001, 0.002, 0.003)
"""Acetic acid per hexose. [kg/kg] 0.2 to 0.6 g/L in wines from memory; mead 0.54 g/L (Gomes 2013)."""

OTHER_YIELD = Span(0.003, 0.006, 0.010)
"""Butanediol, higher alcohols, mannoprotein and the like, per hexose. [kg/kg] Estimate."""

BIOMASS_YIELD = Span(0.012, 0.018, 0.025)
"""Dry yeast per hexose; it settles and is not part of the liquid. [kg/kg] 3 to 5 g/L in the published models."""

MALIC_USED = Span(0.10, 0.15, 0.21)
"""Malic acid that yeast makes ethanol and carbon dioxide of, by the end, at `USUAL_PH`. [kg/kg] Handbook of Enology, vol. 1: 10 to
25 %, more at low pH; strains of other species use more, and a few of 282 make some (Yeramian et al. 2007)."""

USUAL_PH = 3.4
"""pH at which `MALIC_USED` holds. [-] The middle of table wines, from memory."""

ETHANOL_PER_MALIC = MOLAR_MASS["ethanol"] / 0.13409
"""Ethanol of a mass of malic acid; the rest leaves as carbon dioxide. [kg/kg] C4H6O5 -> C2H5OH + 2 CO2."""

FREED_BY = 0.4
"""Share of the sugar used by which ammonium is taken up, and carbonates have acted. [-] Estimate: a third, at which feeding ends."""

LEAST_ACID = 0.1
"""Share of each acid that stays titratable, whatever takes it away. [-] Estimate."""

HYDROLYSIS_POWER = 4
"""Disaccharides left, as a power of the share of hexose left: yeast splits them early. [-] Estimate; less is left where
the hexose bound in them would exceed what is left of it."""


class Yields(NamedTuple):
    """Mass of each product per mass of hexose taken up; each a float or one value per member. [kg/kg]

    What is left of the hexose leaves as gas: carbon dioxide with the water and ethanol it carries off. The last two are of acids.
    """

    ethanol: Any
    glycerol: Any
    succinic: Any
    acetic: Any
    other: Any
    biomass: Any
    malic: Any = MALIC_USED.typical
    """Share of its malic acid that a must has lost when all its sugar is used. [kg/kg]"""
    freed: Any = 0.0
    """Acid that a titration finds besides, per hexose: what ammonium frees as it is taken up, less what carbonates take. [mol/kg]"""

    @property
    def gas(self) -> Any:
        """Mass leaving as gas per mass of hexose. [kg/kg]"""
        return 1.0 - self.ethanol - self.glycerol - self.succinic - self.acetic - self.other - self.biomass


_SPANS = (ETHANOL_YIELD, GLYCEROL_YIELD, SUCCINIC_YIELD, ACETIC_YIELD, OTHER_YIELD, BIOMASS_YIELD)

TYPICAL_YIELDS = Yields(*(span.typical for span in _SPANS))
"""The yields when nothing particular is known. [kg/kg]"""


def malic_used(ph: Any, typical: Any = MALIC_USED.typical) -> Any:
    """Share of its malic acid that yeast uses in a must of some pH.

    Only whole molecules diffuse into the cell (Handbook of Enology, vol. 1), so that it goes with the share that has kept both
    protons.

    Parameters
    ----------
    ph : float or array-like
        [-]
    typical : float or array-like
        What this yeast uses at `USUAL_PH`. [kg/kg]

    Returns
    -------
    float or array-like
        At most half of it. [kg/kg] Estimate.

    Examples
    --------
    >>> [round(float(malic_used(ph)), 2) for ph in (2.8, 3.1, 3.4, 3.8)]
    [0.23, 0.2, 0.15, 0.09]
    """
    return np.minimum(typical * _whole_malic(ph) / _whole_malic(USUAL_PH), 0.5)


def _whole_malic(ph: Any) -> Any:
    first, second = DISSOCIATION["malic"]
    return 1.0 / (1.0 + 10.0 ** (ph - first) + 10.0 ** (2.0 * ph - first - second))


def yields_at(ethanol: Any, glycerol: Any, rest: Any, malic: Any = 0.0, ph: Any = USUAL_PH) -> Yields:
    """Yields of ensemble members.

    Parameters
    ----------
    ethanol, glycerol, rest : array-like, shape (m,)
        Standard-normal scores of the yield of ethanol, of glycerol and of the smaller products together. [-]
    malic : array-like, shape (m,)
        That of the malic acid used. [-]
    ph : float
        Of the must. [-]

    Returns
    -------
    Yields
        One value per member; ethanol never above its theoretical 0.511. [kg/kg]
    """
    return Yields(
        ETHANOL_YIELD.at(ethanol, 0.40, ETHANOL_PER_HEXOSE),
        GLYCEROL_YIELD.at(glycerol),
        SUCCINIC_YIELD.at(rest),
        ACETIC_YIELD.at(rest),
        OTHER_YIELD.at(rest),
        BIOMASS_YIELD.at(rest),
        malic_used(ph, MALIC_USED.at(malic, 0.0, 1.0)),
    )


class Hexoses(NamedTuple):
    """Hexose that yeast can take from a liquid once its disaccharides are split. [kg]"""

    glucose: Array
    fructose: Array

    @property
    def total(self) -> Array:
        """Both together. [kg]"""
        return self.glucose + self.fructose


def hexoses(must: Liquid) -> Hexoses:
    """Glucose and fructose a must can give: sucrose gives half of each, maltose and its like glucose.

    Parameters
    ----------
    must : Liquid
        Before fermentation. [kg]

    Returns
    -------
    Hexoses
        Their sum equals `liquid.fermentable(must)`. [kg]
    """
    half_sucrose = 0.5 * HEXOSE_PER_DISACCHARIDE * must["sucrose"]
    return Hexoses(
        must["glucose"] + half_sucrose + HEXOSE_PER_DISACCHARIDE * must["maltose"],
        must["fructose"] + half_sucrose,
    )


def _unsplit(must: Liquid, glucose: Array, fructose: Array, total: Array) -> Array:
    """Share of the disaccharides that is not yet split: never more than what is left of either hexose can hold."""
    half_sucrose = 0.5 * HEXOSE_PER_DISACCHARIDE * must["sucrose"]
    bound_glucose = half_sucrose + HEXOSE_PER_DISACCHARIDE * must["maltose"]

    def share(left: Array, whole: Array) -> Array:
        left = np.maximum(left, 0.0)  # solvers leave traces below nothing
        return np.divide(left, whole, out=np.ones_like(left + whole), where=whole > left)

    by_habit = share(glucose + fructose, total) ** HYDROLYSIS_POWER
    return np.minimum(by_habit, np.minimum(share(glucose, bound_glucose), share(fructose, half_sucrose)))


def fermented(must: Liquid, glucose: Any, fructose: Any, yields: Yields = TYPICAL_YIELDS) -> Liquid:
    """The liquid when of a must's hexose only so much is left.

    Parameters
    ----------
    must : Liquid
        Before fermentation. [kg]
    glucose, fructose : array-like
        What is left of each, counting disaccharides as the hexose they give; broadcast against the must. [kg]
    yields : Yields
        Products per hexose. [kg/kg]

    Returns
    -------
    Liquid
        Without the yeast, which settles, and without the gas. Mass of must = mass of this + yeast + gas. [kg]
    """
    glucose, fructose = np.asarray(glucose, dtype=float), np.asarray(fructose, dtype=float)
    total = hexoses(must).total
    left = glucose + fructose
    taken = np.maximum(total - left, 0.0)  # a rounding above the start is no sugar made
    unsplit = _unsplit(must, glucose, fructose, total)
    sucrose, maltose = must["sucrose"] * unsplit, must["maltose"] * unsplit
    half = 0.5 * HEXOSE_PER_DISACCHARIDE * sucrose
    bound = HEXOSE_PER_DISACCHARIDE * (must["sucrose"] - sucrose + must["maltose"] - maltose)
    water_taken = bound - (must["sucrose"] - sucrose + must["maltose"] - maltose)
    table = np.array(np.broadcast_arrays(must.masses, taken[None, ...])[0])
    table[INDEX["glucose"]] = glucose - half - HEXOSE_PER_DISACCHARIDE * maltose
    table[INDEX["fructose"]] = fructose - half
    table[INDEX["sucrose"]] = sucrose
    table[INDEX["maltose"]] = maltose
    table[INDEX["water"]] -= water_taken
    table[INDEX["ethanol"]] += yields.ethanol * taken
    table[INDEX["glycerol"]] += yields.glycerol * taken
    table[INDEX["succinic"]] += yields.succinic * taken
    table[INDEX["acetic"]] += yields.acetic * taken
    table[INDEX["other"]] += yields.other * taken
    used = taken / np.maximum(total, _NONE)
    malic = must["malic"] * yields.malic * used
    table[INDEX["malic"]] -= malic
    table[INDEX["ethanol"]] += ETHANOL_PER_MALIC * malic
    if np.any(yields.freed):
        _free(table, yields.freed * total * np.minimum(used / FREED_BY, 1.0))
    return Liquid(table)


def _free(table: Array, equivalents: Array) -> None:
    """Let a titration find more acid, or less, in the proportions there are: what was bound to potassium and its like, or will be.
    [kg], [mol] The mass is kept; what binds acid is not among the components."""
    there = table[_ACID_ROWS]
    found = np.tensordot(_EQUIVALENTS, there, axes=1)
    factor = np.maximum(1.0 + equivalents / np.maximum(found, _NO_ACID), LEAST_ACID)
    more = np.where(found > _NO_ACID, factor - 1.0, 0.0) * there
    table[_ACID_ROWS] += more
    table[INDEX["water"]] -= more.sum(axis=0)


_ACID_ROWS = [INDEX[key] for key in ACIDS]
_EQUIVALENTS = np.array([COMPONENTS[key].acid_equivalents for key in ACIDS])
_NONE = 1e-200
"""Stands for no sugar at all where it would be divided by. [kg]"""

_NO_ACID = 1e-12
"""Acid below which there is none to free or bind. [mol]"""

GLUCOSE_PREFERENCE = 2.2
"""d ln(glucose) / d ln(fructose): glucose goes first. [-] Median of nine measured red musts, 2.0 to 2.3."""


def split_left(must: Liquid, left: Any) -> Hexoses:
    """How what is left of the hexose divides into glucose and fructose.

    Parameters
    ----------
    must : Liquid
        Before fermentation. [kg]
    left : array-like
        Hexose left in all. [kg]

    Returns
    -------
    Hexoses
        Glucose falls as the 2.2th power of fructose. [kg]
    """
    start = hexoses(must)
    left = np.clip(np.asarray(left, dtype=float), 0.0, start.total)
    # Newton's method on the share of fructose left, from above: each part alone gives a bound within a factor of two, and
    # as the sum is convex and rises, every step stays above the root and the sixth is exact.
    first, second = np.maximum(start.fructose, _NONE), np.maximum(start.glucose, _NONE)
    some = np.maximum(left, 0.0)  # a solver may ask for less than nothing
    share = np.minimum(np.minimum(some / first, (some / second) ** (1.0 / GLUCOSE_PREFERENCE)), 1.0)
    for _ in range(6):
        steep = second * share ** (GLUCOSE_PREFERENCE - 1.0)
        step = (share * (first + steep) - some) / (first + GLUCOSE_PREFERENCE * steep)
        share = np.maximum(share - step, 0.0)
    glucose = np.minimum(start.glucose * share**GLUCOSE_PREFERENCE, left)
    return Hexoses(glucose, left - glucose)


def partly_fermented(must: Liquid, left: Any, yields: Yields = TYPICAL_YIELDS) -> Liquid:
    """The liquid when so much hexose is left in all, glucose having gone first. [kg] See `fermented`."""
    parts = split_left(must, left)
    return fermented(must, parts.glucose, parts.fructose, yields)


def fully_fermented(must: Liquid, yields: Yields = TYPICAL_YIELDS) -> Liquid:
    """The liquid when yeast has taken all it can take. [kg] See `fermented`."""
    nothing = np.zeros_like(fermentable(must))
    return fermented(must, nothing, nothing, yields)
