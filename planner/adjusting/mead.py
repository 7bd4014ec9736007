"""The finished mead: where it stands, and what each addition to it would do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.additions import Given, carbonate_charge, liquid_of, stirred
from planner.adjusting.base_mead import Basis, KnownMead
from planner.adjusting.done import left_of_doses
from planner.document.batch import Addition, Adjustment
from planner.model.components import COMPONENTS
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
from planner.model.ph import ph_after
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.model.sweetness import acid_steps, sucrose_equivalent, sweetness_span, sweetness_steps
from planner.model.taste import Taste, taste
from planner.model.viscosity import STEP as BODY_STEP
from planner.model.viscosity import viscosity, viscosity_span
from planner.recipe.must import with_acid
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive
from planner.timeline.logged_acidity import TITRATION_DOUBT
from planner.timeline.state import brought_to, gravity_of, titrated, with_alcohol

__all__ = [
    "AdditionEffect",
    "Mead",
    "Properties",
    "in_all",
    "liquid_of",
    "mead",
    "noticed",
    "properties",
    "seeming",
]

Array = npt.NDArray[np.float64]

_DISSOLVED = tuple(key for key in COMPONENTS if key not in ("water", "ethanol"))

ALCOHOL_ERROR = 0.003
"""Doubt about a measured alcohol. [m^3/m^3] Estimate: an ebulliometer or a small still at home."""

LEAST_LEFT = 0.01
"""Share of the mead that is taken to be left whatever was drunk. [-] So that nothing is divided by nothing."""


class Properties(msgspec.Struct, frozen=True):
    """What can be said of a mead, each with its doubt. Units stand behind the fields."""

    volume: Span  # at 20 °C [m^3]
    gravity: Span  # [-]
    alcohol: Span  # [m^3/m^3]
    sweetness: Span  # sucrose equivalent [kg/m^3]
    viscosity: Span  # at 20 °C [Pa s]
    acid: Span  # titratable, as tartaric [kg/m^3]
    fermentable: Span  # sugar that yeast can take [kg/m^3]
    extract: Span  # everything dissolved [kg/m^3]


class AdditionEffect(msgspec.Struct, frozen=True):
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
    sweetness_range, viscosity_range : Span
        Changes with the doubt of the literature. [kg/m^3], [Pa s]
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
    sweetness_range: Span
    viscosity_range: Span


class Mead(msgspec.Struct, frozen=True, eq=False):
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
    given : tuple of Given
        What was really stirred in so far, by the log; what exceeds the plan counts as planned.
    now : Properties or None
        With what was given; None while nothing was.
    known : KnownMead or None
        By what the mead before its additions is known.
    ph_before, ph : Span or None
        Before, and after all additions; None where nothing is known of it. [-]
    ph_measured : bool
        Whether they rest on a pH that was measured of the finished mead.
    left : array-like
        Share that is left of each by the volumes that were measured after the first dose. [-] `base` is what is left.
    """

    base: Liquid
    mixed: Liquid
    before: Properties
    after: Properties
    effects: tuple[AdditionEffect, ...]
    measured: bool
    given: tuple[Given, ...] = ()
    now: Properties | None = None
    known: KnownMead | None = None
    ph_before: Span | None = None
    ph: Span | None = None
    ph_measured: bool = False
    left: Any = 1.0

    @property
    def basis(self) -> Basis:
        """By what the mead before its additions is known."""
        return Basis.MEASURED if self.measured else self.known.basis if self.known is not None else Basis.EXPECTED


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
        gravity=gravity_of(liquid),
        alcohol=Span.of(alcohol(liquid)),
        sweetness=_with_literature(sucrose_equivalent(liquid), sweetness_span(typical)),
        viscosity=_with_literature(viscosity(liquid), viscosity_span(typical)),
        acid=Span.of(titratable_acid(liquid)),
        fermentable=Span.of(fermentable_concentration(liquid)),
        extract=Span.of(everything),
    )


def seeming(known: Properties, ph: Span | None) -> Taste:
    """How a mead will seem to a taster.

    Parameters
    ----------
    ph : Span or None
        None where nothing is known of it. [-]
    """
    return taste(known.sweetness, known.acid, ph, known.alcohol, known.viscosity)


ALCOHOL_STEP = 0.01
"""Smallest difference of alcohol noticed in wine. [m^3/m^3] Yu and Pickering (authors from memory), four wines:
1.03 to 1.32 % vol in the mouth."""

TASTED = ("sweetness", "acid", "viscosity", "alcohol")
"""Properties that a taster notices."""


def noticed(what: str, before: float, after: float) -> float:
    """Steps that a taster just notices, from one value of a property to another; below nothing on the way down.

    Parameters
    ----------
    before, after : float
        As in `Properties`. [kg/m^3, kg/m^3, Pa s or m^3/m^3]
    """
    if what == "sweetness":
        return sweetness_steps(before, after)
    if what == "acid":
        return acid_steps(before, after)
    return (after - before) / (BODY_STEP if what == "viscosity" else ALCOHOL_STEP)


def _as_measured(base: Liquid, adjustment: Adjustment, measured: bool) -> Liquid:
    """The mead with the alcohol and acid that were measured; a measured gravity stays as it is."""
    members, wanted = base.masses.shape[1] - 1, gravity(base)
    if adjustment.acid is not None:
        doubt = Span(adjustment.acid - TITRATION_DOUBT, adjustment.acid, adjustment.acid + TITRATION_DOUBT)
        found = doubt.at(scores("mead/acid", members))
        base = titrated(base, found) if measured else with_acid(base, found)
    if adjustment.alcohol is None:
        return base
    doubt = Span(*(adjustment.alcohol + d for d in (-ALCOHOL_ERROR, 0.0, ALCOHOL_ERROR)))
    strength = doubt.at(scores("mead/alcohol", members))
    return (
        brought_to(base, fermentable_concentration(base), strength, wanted)
        if measured
        else with_alcohol(base, strength)
    )


def mead(
    adjustment: Adjustment,
    base: Liquid,
    measured: bool,
    catalogue: Catalogue,
    given: Mapping[str, float] | None = None,
    known: KnownMead | None = None,
) -> Mead:
    """The mead before and after its additions.

    Parameters
    ----------
    base : Liquid
        The finished mead, shape (components, m). [kg]
    measured : bool
        Whether `base` has a measured gravity.
    given : mapping of str to float, optional
        Masses by additive that were really stirred in, by the log. [kg]
    known : KnownMead, optional
        By what the base is known, with its pH where none was measured. [as its fields]

    Returns
    -------
    Mead
        Every mass of `mixed` is the sum of that in `base` and in the additions, but for the gas that carbonates
        set free. [as its fields]

    Raises
    ------
    UnknownIngredient
        A key of an addition that the catalogue does not hold.
    """
    base = _as_measured(
        Liquid(np.maximum(base.masses, 0.0)), adjustment, measured
    )  # solvers leave traces below nothing
    measured_room = adjustment.volume if adjustment.volume is not None or known is None else known.room
    if measured_room is not None:
        base = base * (measured_room / volume(base))
    if adjustment.drunk > 0.0:
        room = volume(base)
        base = base * (left_of(room, adjustment.drunk) / room)
    done = () if known is None else known.done
    left, gone = left_of_doses(base, done, adjustment.additions, catalogue)
    base = base * left
    steps = _given(adjustment, given or {}, catalogue)
    mixed, now, effects = base, base, []
    lost = dict(gone)
    for index, addition in enumerate(in_all(adjustment, steps)):
        row, mass = catalogue.additive(addition.key), addition.mass - lost.pop(addition.key, 0.0)
        added = liquid_of(row, mass, addition)
        grown = stirred(mixed, row, mass, added)
        typical = added.member(0) if np.ndim(mass) else added
        effects.append(_effect(index, row, addition.mass, mixed.member(0), grown.member(0), typical))
        mixed = grown
    for one in steps:
        row, mass = catalogue.additive(one.key), one.mass - gone.get(one.key, 0.0)
        now = stirred(now, row, mass, liquid_of(row, mass, one.addition))
    acidity = _ph_before(adjustment, known)
    before = properties(base)
    return Mead(
        base=base,
        mixed=mixed,
        before=before,
        after=properties(mixed) if effects else before,
        effects=tuple(effects),
        measured=measured,
        given=steps,
        now=properties(now) if steps else None,
        known=known,
        ph_before=acidity,
        ph=_ph(adjustment, base, steps, catalogue, acidity),
        ph_measured=adjustment.ph is not None,
        left=left,
    )


def left_of(room: Any, drunk: float) -> Any:
    """Volume of mead that is left after some was taken out.

    Parameters
    ----------
    room : array-like
        Volume before. [m^3]
    drunk : float
        What was taken out. [m^3]

    Returns
    -------
    array-like
        At least a trace of it. [m^3]

    Examples
    --------
    >>> round(float(left_of(0.020, 0.0005)), 4)
    0.0195
    """
    return np.maximum(room - drunk, LEAST_LEFT * room)


def _given(adjustment: Adjustment, given: Mapping[str, float], catalogue: Catalogue) -> tuple[Given, ...]:
    """What was given of each additive that the shelf knows, beside what is planned of it."""
    planned: dict[str, list[Addition]] = {}
    for addition in adjustment.additions:
        planned.setdefault(addition.key, []).append(addition)
    return tuple(
        Given(key, mass, sum(line.mass for line in planned.get(key, ())), next(iter(planned.get(key, ())), None))
        for key, mass in given.items()
        if key in catalogue.additives and mass > 0.0
    )


def in_all(adjustment: Adjustment, steps: tuple[Given, ...]) -> tuple[Addition, ...]:
    """What is planned, and what was given beyond the plan."""
    beyond = (
        Addition(key=one.key, mass=one.mass - one.planned)
        if one.addition is None
        else Addition(key=one.key, mass=one.mass - one.planned, alcohol=one.addition.alcohol, sugar=one.addition.sugar,
                      blend=one.addition.blend)
        for one in steps
        if one.mass > one.planned * (1.0 + 1e-9)
    )  # fmt: skip
    return (*adjustment.additions, *beyond)


def _ph_before(adjustment: Adjustment, known: KnownMead | None) -> Span | None:
    if adjustment.ph is not None:
        return Span.exactly(adjustment.ph)
    return known.ph if known is not None else None


def _ph(
    adjustment: Adjustment, base: Liquid, steps: tuple[Given, ...], catalogue: Catalogue, before: Span | None
) -> Span | None:
    """After the additions: the doubt about the pH before and that about its change are independent."""
    lines = in_all(adjustment, steps)
    if before is None or not lines:
        return before
    change, salts = Liquid.of(), 0.0
    for addition in lines:
        row = catalogue.additive(addition.key)
        charge = carbonate_charge(row, addition.mass)
        salts += charge
        change = change if charge else change + liquid_of(row, addition.mass, addition)
    after = ph_after(base.member(0), min(max(before.typical, 2.0), 7.0), change, salts)
    return Span(
        after.typical - hypot(after.typical - after.low, before.typical - before.low),
        after.typical,
        after.typical + hypot(after.high - after.typical, before.high - before.typical),
    )


def _effect(index: int, row: Additive, mass: float, before: Liquid, after: Liquid, added: Liquid) -> AdditionEffect:
    def change(what: object) -> float:
        return float(what(after) - what(before))  # type: ignore[operator]

    def changes(what: Callable[[Liquid], Span], typical: float) -> Span:
        """What is doubtful of a substance is so before and after alike: bound goes with bound."""
        bounds = [end - begin for begin, end in zip(what(before), what(after), strict=True)]
        return Span(min(*bounds, typical), typical, max(*bounds, typical))

    spoon = row.teaspoon
    sweeter, thicker = change(sucrose_equivalent), change(viscosity)
    return AdditionEffect(
        index=index,
        name=row.name,
        mass=mass,
        teaspoons=mass / spoon if spoon else None,
        volume=change(volume),
        gravity=change(gravity),
        alcohol=change(alcohol),
        sweetness=sweeter,
        viscosity=thicker,
        acid=change(titratable_acid),
        fermentable=float(fermentable(added)),
        sweetness_range=changes(sweetness_span, sweeter),
        viscosity_range=changes(viscosity_span, thicker),
    )
