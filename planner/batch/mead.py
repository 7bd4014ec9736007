"""The finished mead: where it stands, and what each addition to it would do."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
import numpy.typing as npt

from planner.batch.batch import Adjustment
from planner.batch.must import MEASURED_GRAVITY_ERROR, with_gravity
from planner.batch.scores import scores
from planner.model.components import COMPONENTS, SUGARS
from planner.model.fermentation import Yields, partly_fermented
from planner.model.liquid import (
    Liquid,
    alcohol,
    concentration,
    fermentable,
    fermentable_concentration,
    gravity,
    titratable_acid,
    volume,
)
from planner.model.numerics import solve_increasing
from planner.model.span import Span
from planner.model.sweetness import sucrose_equivalent, sweetness_span
from planner.model.viscosity import STEP as BODY_STEP
from planner.model.viscosity import viscosity, viscosity_span
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive

Array = npt.NDArray[np.float64]

_DISSOLVED = tuple(key for key in COMPONENTS if key not in ("water", "ethanol"))


SUGAR_TEST_ERROR = 1.0
"""Doubt about a residual-sugar test of almost nothing. [kg/m^3] Strips read 1 to 2 g/L in dry wine, from memory."""


@dataclass(frozen=True, slots=True)
class Properties:
    """What can be said of a mead, each with its doubt. Units stand behind the fields."""

    volume: Span  # at 20 °C [m^3]
    gravity: Span  # [-]
    alcohol: Span  # [m^3/m^3]
    sweetness: Span  # sucrose equivalent [kg/m^3]
    viscosity: Span  # at 20 °C [Pa s]
    acid: Span  # titratable, as tartaric [kg/m^3]
    fermentable: Span  # sugar that yeast can take [kg/m^3]
    extract: Span  # everything dissolved [kg/m^3]


@dataclass(frozen=True, slots=True)
class AdditionEffect:
    """What one addition does, after those before it.

    Attributes
    ----------
    index : int
        Its place among the additions.
    name : str
        What it is called.
    mass : float
        How much. [kg]
    teaspoons : float or None
        Level US teaspoons, approximate; None where no weight of a spoon is known. [-]
    volume : float
        By how much the batch grows. [m^3]
    gravity, alcohol, sweetness, viscosity, acid : float
        Changes, typical. [-], [m^3/m^3], [kg/m^3], [Pa s], [kg/m^3]
    fermentable : float
        Hexose in it that yeast can take. [kg]
    """

    index: int
    name: str
    mass: float
    teaspoons: float | None
    volume: float
    gravity: float
    alcohol: float
    sweetness: float
    viscosity: float
    acid: float
    fermentable: float


@dataclass(frozen=True, eq=False, slots=True)
class Mead:
    """Before and after the additions.

    Attributes
    ----------
    base, mixed : Liquid
        Ensembles, shape (components, m). [kg]
    before, after : Properties
        With their doubt.
    effects : tuple of AdditionEffect
        In the order of the additions.
    measured : bool
        Whether `before` rests on a measured gravity; else on the expected finish.
    """

    base: Liquid
    mixed: Liquid
    before: Properties
    after: Properties
    effects: tuple[AdditionEffect, ...]
    measured: bool


def at_gravity(must: Liquid, yields: Yields, measured: float, sugar: float | None = None) -> Liquid:
    """The mead of each member that has a measured gravity.

    Where a member's must passes through that gravity, sugar is what is left; where even dry it would be heavier or
    lighter, what else is dissolved is taken to differ. So the ensemble tells how much sugar there may be.

    Parameters
    ----------
    must : Liquid
        Musts at pitching, shape (components, m). [kg]
    yields : Yields
        Products per hexose. [kg/kg]
    measured : float
        Gravity, corrected. [-]
    sugar : float or None
        Fermentable sugar found by a test; the gravity then tells what else is dissolved. [kg/m^3]

    Returns
    -------
    Liquid
        Shape (components, m). [kg]
    """
    members = must.masses.shape[1] - 1
    doubt = Span(*(measured + d for d in (-MEASURED_GRAVITY_ERROR, 0.0, MEASURED_GRAVITY_ERROR)))
    wanted = doubt.at(scores("mead/gravity", members), 0.7)
    total = fermentable(must)
    if sugar is not None:
        doubt = Span(0.5 * sugar, sugar, 1.5 * sugar + SUGAR_TEST_ERROR)
        found = doubt.at(scores("mead/sugar test", members))
        dry = partly_fermented(must, 0.0 * total, yields)
        tested = partly_fermented(must, np.minimum(found * volume(dry), total), yields)
        return with_gravity(tested, wanted, SUGARS)
    share = solve_increasing(lambda s: gravity(partly_fermented(must, s * total, yields)), wanted, 0.0, 1.0, 1e-7)
    liquid = partly_fermented(must, share * total, yields)
    off = np.abs(gravity(liquid) - wanted) > 1e-5
    return Liquid(np.where(off, with_gravity(liquid, wanted).masses, liquid.masses)) if np.any(off) else liquid


def liquid_of(additive: Additive, mass: float) -> Liquid:
    """So much of an additive as components. [kg]"""
    return Liquid.of(**{key: share * mass for key, share in additive.composition})


def _with_literature(members: Array, literature: Span) -> Span:
    """The doubt of the ensemble and that of the literature, which are independent, together."""
    own = Span.of(members)
    low = hypot(own.typical - own.low, literature.typical - literature.low)
    high = hypot(own.high - own.typical, literature.high - literature.typical)
    return Span(max(own.typical - low, 0.0), own.typical, own.typical + high)


def properties(liquid: Liquid) -> Properties:
    """What can be said of an ensemble of meads whose first member is the typical one.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    """
    typical = liquid.member(0)
    everything = concentration(liquid, *_DISSOLVED)
    return Properties(
        volume=Span.of(volume(liquid)),
        gravity=Span.of(gravity(liquid)),
        alcohol=Span.of(alcohol(liquid)),
        sweetness=_with_literature(sucrose_equivalent(liquid), sweetness_span(typical)),
        viscosity=_with_literature(viscosity(liquid), viscosity_span(typical)),
        acid=Span.of(titratable_acid(liquid)),
        fermentable=Span.of(fermentable_concentration(liquid)),
        extract=Span.of(everything),
    )


def body_steps(change: float) -> float:
    """A change of viscosity in steps that a taster can just notice. [-]"""
    return change / BODY_STEP


def mead(adjustment: Adjustment, base: Liquid, measured: bool, catalogue: Catalogue) -> Mead:
    """The mead before and after its additions.

    Parameters
    ----------
    adjustment : Adjustment
        Additions in order. [as its fields]
    base : Liquid
        The finished mead, shape (components, m). [kg]
    measured : bool
        Whether `base` has a measured gravity.
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    Mead
        Every mass of `mixed` is the sum of that in `base` and in the additions. [as its fields]

    Raises
    ------
    UnknownIngredient
        A key of an addition that the catalogue does not hold.
    """
    if adjustment.volume is not None:
        base = base * (adjustment.volume / volume(base))
    mixed = base
    effects = []
    for index, addition in enumerate(adjustment.additions):
        row = catalogue.additive(addition.key)
        added = liquid_of(row, addition.mass)
        grown = mixed + added
        effects.append(_effect(index, row, addition.mass, mixed.member(0), grown.member(0), added))
        mixed = grown
    return Mead(base, mixed, properties(base), properties(mixed), tuple(effects), measured)


def _effect(index: int, row: Additive, mass: float, before: Liquid, after: Liquid, added: Liquid) -> AdditionEffect:
    def change(what: object) -> float:
        return float(what(after) - what(before))  # type: ignore[operator]

    spoon = row.teaspoon
    return AdditionEffect(
        index=index,
        name=row.name,
        mass=mass,
        teaspoons=mass / spoon if spoon else None,
        volume=change(volume),
        gravity=change(gravity),
        alcohol=change(alcohol),
        sweetness=change(sucrose_equivalent),
        viscosity=change(viscosity),
        acid=change(titratable_acid),
        fermentable=float(fermentable(added)),
    )
