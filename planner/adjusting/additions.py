"""What stirring something into a mead does to its masses: additives by the table or their label, carbonates, blends."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec
import numpy as np

from planner.document.batch import Addition, Entry, Event, OtherMead, Share, What
from planner.document.columnar_log import Entries
from planner.model.acidity import CARBONATES
from planner.model.components import ACIDS, COMPONENTS
from planner.model.constants import ETHANOL_DENSITY, MOLAR_MASS
from planner.model.liquid import Liquid, alcohol, volume
from planner.model.numerics import solve_increasing
from planner.reference.rows import Additive

WATER_MOLAR_MASS, PROTON_MOLAR_MASS = 0.018015, 0.001008
"""[kg/mol] From the standard atomic weights, as in the CRC Handbook, 102nd ed."""

GAS_PER_EQUIVALENT = {"potassium-bicarbonate": 1.0, "potassium-carbonate": 0.5, "calcium-carbonate": 0.5}
"""Carbon dioxide, and water, set free with each equivalent of acid. [mol/mol] HCO3- takes one, CO3-- takes two."""


class Given(msgspec.Struct, frozen=True):
    """How much of an additive was really stirred in, beside what is planned of it. [kg]"""

    key: str
    mass: float
    planned: float
    addition: Addition | None


def given_doses(entries: Iterable[Entry]) -> dict[str, float]:
    """Masses by additive that were stirred in, by the events of a log.

    Parameters
    ----------
    entries : iterable of Entry
        Readings and events. Those that are excluded, or tell no mass, do not count. [as their fields]

    Returns
    -------
    dict of str to float
        In the order in which each first occurs. [kg]
    """
    masses: dict[str, float] = {}
    for _, entry in Entries.of(entries).of_kind(Event):
        if entry.what == What.DOSE and entry.key and entry.mass and not entry.excluded:
            masses[entry.key] = masses.get(entry.key, 0.0) + entry.mass
    return masses


def liquid_of(additive: Additive, mass: Any, addition: Addition | None = None) -> Liquid:
    """So much of an additive as components.

    Parameters
    ----------
    mass : array-like
        How much, of one mead or of each of an ensemble. [kg]
    addition : Addition, optional
        Where its label or the mead that is blended in tell more than the table. [as its fields]

    Returns
    -------
    Liquid
        Of that mass. [kg]
    """
    if addition is not None and addition.blend is not None and addition.blend.composition:
        return blended(addition.blend, mass)
    if addition is not None and additive.liquid and (addition.alcohol is not None or addition.sugar is not None):
        own = _strength_of(additive) if addition.alcohol is None else addition.alcohol
        return by_label(own, addition.sugar or 0.0, mass)
    return Liquid.of(**{key: share * mass for key, share in additive.composition})


def _strength_of(additive: Additive) -> float:
    return dict(additive.composition).get("ethanol", 0.0) * (additive.density or 0.0) / ETHANOL_DENSITY


def by_label(alcohol: float, sugar: float, mass: Any) -> Liquid:
    """A liquid of which the label tells alcohol and sugar.

    Parameters
    ----------
    alcohol : float
        By volume. [m^3/m^3]
    sugar : float
        Counted as sucrose. [kg/m^3]
    mass : array-like
        How much of it. [kg]

    Returns
    -------
    Liquid
        Water makes up the volume, alcohol and sugar are as the label says. [kg]

    Examples
    --------
    >>> spirit = by_label(0.40, 0.0, 1.0)
    >>> round(float(spirit["ethanol"]), 4)  # 40 % vol are 33.3 % by mass (OIML R 22)
    0.333
    """
    spirit = Liquid.of(ethanol=alcohol * ETHANOL_DENSITY, sucrose=sugar)
    water = solve_increasing(lambda kg: volume(spirit.plus(water=kg)), np.array(1.0), 0.0, 1000.0)
    whole = spirit.plus(water=water)
    return Liquid(np.multiply.outer(whole.masses, mass / max(float(whole.mass), 1e-12)))


def ethanol_share(strength: float, others: Mapping[str, float]) -> float:
    """Share of ethanol by mass in what has a strength by volume, where water makes up the rest.

    Parameters
    ----------
    strength : float
        Alcohol by volume. [m^3/m^3]
    others : mapping of str to float
        What else is in it, by mass. [kg/kg]

    Returns
    -------
    float
        [kg/kg] The most there is room for, where the strength cannot be reached.

    Examples
    --------
    >>> round(ethanol_share(0.40, {}), 4)  # 40 % vol are 33.3 % by mass (OIML R 22)
    0.333
    """
    room = max(1.0 - sum(others.values()), 0.0)
    parts = Liquid.of(**others)
    return float(
        solve_increasing(
            lambda share: alcohol(parts.plus(ethanol=share, water=room - share)), np.array(strength), 0.0, room, 1e-9
        )
    )


def density_of(additive: Additive, addition: Addition | None = None) -> float:
    """Density of a liquid additive at 20 °C, by its label or composition where it has one.

    Returns
    -------
    float
        Density. [kg/m^3] The table's, where nothing else is told.
    """
    told = addition is not None and (addition.alcohol is not None or addition.sugar is not None or addition.blend)
    if additive.density is not None and not told:
        return additive.density
    return 1.0 / float(volume(liquid_of(additive, 1.0, addition)))


def blended(other: OtherMead, mass: Any) -> Liquid:
    """So much of another mead. [kg] Components that are not known count as other extract; one that says nothing is water."""
    whole = sum(part.share for part in other.composition)
    if whole <= 0.0:
        return Liquid.of(water=mass)
    parts: dict[str, Any] = {}
    for part in other.composition:
        key = part.component if part.component in COMPONENTS else "other"
        parts[key] = parts.get(key, 0.0) + mass * part.share / whole
    return Liquid.of(**parts)


def other_mead(name: str, liquid: Liquid) -> OtherMead:
    """A mead as something to blend with another.

    Parameters
    ----------
    liquid : Liquid
        Shape (components,). [kg]

    Returns
    -------
    OtherMead
        What it is made of, by mass.
    """
    whole = float(liquid.mass)
    shares = ((key, float(liquid[key]) / whole) for key in COMPONENTS)
    return OtherMead(name=name[:200] or "Another mead", composition=tuple(
        Share(component=key, share=min(share, 1.0)) for key, share in shares if share > 1e-12))  # fmt: skip


def carbonate_charge(additive: Additive, mass: Any) -> Any:
    """Acid that so much of an additive neutralises; nothing where it is no carbonate.

    Parameters
    ----------
    mass : array-like
        How much. [kg]

    Returns
    -------
    array-like
        Equivalents. [mol]
    """
    row = CARBONATES.get(additive.key)
    return mass * row.equivalents * row.capacity.typical if row else 0.0 * mass


def stirred(base: Liquid, additive: Additive, mass: Any, added: Liquid) -> Liquid:
    """A mead with something stirred in.

    Parameters
    ----------
    base : Liquid
        Shape (components, ...). [kg]
    mass : array-like
        How much. [kg]
    added : Liquid
        The same as components. [kg]

    Returns
    -------
    Liquid
        Every mass is the sum; with a carbonate, acid has become salt and the carbon dioxide is gone. [kg]
    """
    whole = base + added
    if additive.key not in GAS_PER_EQUIVALENT:
        return whole
    strength = {key: COMPONENTS[key].acid_equivalents for key in ACIDS}
    there = sum((whole[key] * strength[key] for key in ACIDS), np.zeros(()))
    taken = np.minimum(carbonate_charge(additive, mass), there)  # what finds no acid stays as it is
    share = np.divide(taken, there, out=np.zeros_like(taken + there), where=there > 0.0)
    gone = {key: -share * whole[key] for key in ACIDS}
    gas = GAS_PER_EQUIVALENT[additive.key] * taken
    lost = gas * (MOLAR_MASS["carbon dioxide"] + WATER_MOLAR_MASS) - PROTON_MOLAR_MASS * taken
    # The anions stay, with the metal of the carbonate in place of their hydrogen, which leaves as water.
    salt = -sum(gone.values()) - PROTON_MOLAR_MASS * taken
    return whole.plus(**gone, water=gas * WATER_MOLAR_MASS, other=salt - lost)
