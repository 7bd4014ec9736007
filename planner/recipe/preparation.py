"""What is done to the fruit before it ferments: thawing, enzyme, soak, press loads, or whole fruit in the ferment."""

from __future__ import annotations

from math import ceil

import msgspec

from planner.document.batch import Batch, FruitLine
from planner.document.shelf import shelf_of
from planner.recipe.must import juice, press_yield
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.finding import with_sources
from planner.wording.phrases import Words, say

PULP_DENSITY = 1050.0
"""Of crushed fruit without air. [kg/m^3] Estimate: between water and its juice of 10 to 15 % sugar."""

HEAP_DENSITY = {"whole": 650.0, "pulp": 950.0}
"""Of whole berries with air between them, and of thawed or crushed fruit in a basket. [kg/m^3] Estimate."""

THAW_DAYS = {"cool": 2.0, "room": 1.0}
"""Days to thaw boxes of some kilograms in a cellar or a room. [d] Common practice, no source: 1 to 2."""

ENZYME_DOSE = 0.02e-3
"""Powder of trade strength per mass of fruit. [kg/kg] 1 to 4 g per 100 L of concentrated powders (printed in a
wine-making chart), so 20 mg per kg in the middle; dilute powders for home use take ten times and more: the packet wins."""

RICH_IN_PECTIN = 0.008
"""Pectin from which the dose is doubled. [kg/kg] Currants, quince, gooseberry and their like; estimate."""

ENZYME_HOURS = 12.0
"""Time the enzyme needs at `ENZYME_WARMTH`. [h] Common practice, no source: overnight."""

ENZYME_WARMTH, ENZYME_DOUBLING, ENZYME_LIMIT = 293.15, 10.0, 328.15
"""Its temperature [K]; how much warmer halves the time [K]; and where heat begins to spoil it [K]. From memory: best at 45
to 50 °C, lost above 60 °C."""

FREE_RUN = 0.6
"""Share of the juice that runs by itself from thawed fruit treated with enzyme; a third of that otherwise. [-] Estimate:
blueberries gave 74 of 87 % as free juice (2017), other fruit less."""

PRESS_HOURS = 1.0
"""A load of a small basket press with patience. [h] Common practice, no source."""


class EnzymeDose(msgspec.Struct, frozen=True):
    """How much pectic enzyme for a line of fruit. [kg], and whether its pectin asks for the double dose."""

    line: int
    mass: float
    rich: bool


class Loads(msgspec.Struct, frozen=True):
    """How often the press is filled: volume of the pulp [m^3], loads [-], time [h]."""

    volume: float
    number: int
    hours: float


class Prepared(msgspec.Struct, frozen=True):
    """What the preparation asks for and gives.

    Attributes
    ----------
    fruit : float
        To be prepared, juice bought aside. [kg]
    waste : float
        Stones, stems and cores. [kg]
    juice, free_run, pressings, pomace : float
        What comes of it: juice in all, what runs by itself, what the press adds, what stays behind. [kg]
    enzyme : tuple of EnzymeDose
        Empty where none is used.
    loads : Loads or None
        None where no press is named.
    cautions : tuple of Words
        What to mind, stones above all.
    """

    fruit: float
    waste: float
    juice: float
    free_run: float
    pressings: float
    pomace: float
    enzyme: tuple[EnzymeDose, ...]
    loads: Loads | None
    cautions: tuple[Words, ...]


def enzyme_hours(temperature: float) -> float:
    """Time that pectic enzyme needs at a temperature; twice as long for each ten kelvin less.

    Parameters
    ----------
    temperature : float
        Of the pulp. [K] 273.15 to 328.15.

    Returns
    -------
    float
        [h] See `ENZYME_HOURS`.

    Examples
    --------
    >>> enzyme_hours(283.15)
    24.0
    """
    warm = min(max(temperature, 273.15), ENZYME_LIMIT)
    return float(ENZYME_HOURS * 2.0 ** ((ENZYME_WARMTH - warm) / ENZYME_DOUBLING))


def flesh(line: FruitLine, catalogue: Catalogue) -> float:
    """What is left of a line of fruit without stones, stems and cores. [kg]"""
    return 0.0 if line.as_juice else line.mass * (1.0 if line.stoned else 1.0 - catalogue.fruit(line.key).stone)


def solids(batch: Batch, catalogue: Catalogue) -> float:
    """Room that the fruit takes in the fermenter beside its juice, where it ferments whole. [m^3]"""
    catalogue = shelf_of(batch, catalogue)
    left = 0.0
    for line in batch.recipe.fruits:
        held, _ = juice(line, catalogue.fruit(line.key), batch.recipe.preparation, 0)
        left += max(flesh(line, catalogue) - float(held.mass[0]), 0.0)
    return left / PULP_DENSITY


def _yield(line: FruitLine, batch: Batch, catalogue: Catalogue) -> float:
    """Juice per flesh. [kg/kg]"""
    if line.press_yield is not None:
        return line.press_yield
    return press_yield(catalogue.fruit(line.key), batch.recipe.preparation).typical


def prepared(batch: Batch, catalogue: Catalogue) -> Prepared:
    """What the preparation of a recipe's fruit asks for and gives."""
    catalogue = shelf_of(batch, catalogue)
    how = batch.recipe.preparation
    lines = [line for line in batch.recipe.fruits if not line.as_juice]
    fruit = sum(line.mass for line in lines)
    pulp = sum(flesh(line, catalogue) for line in lines)
    juice = sum(flesh(line, catalogue) * _yield(line, batch, catalogue) for line in lines)
    free = juice * (FREE_RUN if how.frozen and how.enzyme else FREE_RUN / 3.0)
    if how.whole:
        free = juice * 0.5 * (1.0 + FREE_RUN)  # most of it is wine by then and runs off the skins
    return Prepared(
        fruit=fruit,
        waste=fruit - pulp,
        juice=juice,
        free_run=free,
        pressings=juice - free,
        pomace=pulp - juice,
        enzyme=_enzyme(batch, catalogue) if how.enzyme else (),
        loads=_loads(batch, pulp, free),
        cautions=_cautions(batch, catalogue),
    )


def _enzyme(batch: Batch, catalogue: Catalogue) -> tuple[EnzymeDose, ...]:
    doses = []
    for index, line in enumerate(batch.recipe.fruits):
        if not line.as_juice and line.mass > 0.0:
            rich = catalogue.fruit(line.key).pectin >= RICH_IN_PECTIN
            doses.append(EnzymeDose(index, flesh(line, catalogue) * ENZYME_DOSE * (2.0 if rich else 1.0), rich))
    return tuple(doses)


def _loads(batch: Batch, pulp: float, free: float) -> Loads | None:
    basket = batch.recipe.preparation.press
    if basket is None or pulp <= 0.0:
        return None
    to_press = (pulp - free) / HEAP_DENSITY["pulp"]
    number = ceil(to_press / basket - 1e-9)
    return Loads(to_press, number, number * PRESS_HOURS)


_OF_STONES = ("efsa-2016", "memory")


def _cautions(batch: Batch, catalogue: Catalogue) -> tuple[Words, ...]:
    told: list[Words] = []
    how = batch.recipe.preparation
    stony = [line for line in batch.recipe.fruits if not line.as_juice and catalogue.fruit(line.key).has_stone]
    if stony and how.whole and not all(line.stoned for line in stony):
        told.append(
            with_sources(
                say("Kernels release cyanide in time: take the stones out before the fruit ferments whole."),
                _OF_STONES,
                catalogue,
            )
        )
    if stony:
        told.append(
            with_sources(
                say(
                    "Broken kernels release cyanide: do not crush the stones. Press gently, and never mill stone fruit."
                ),
                _OF_STONES,
                catalogue,
            )
        )
    if how.enzyme and how.soak < 1.0 and not how.whole:
        told.append(say("Give the enzyme time: about {} hours at {}.", phrases.count(enzyme_hours(285.15)),
                        phrases.temperature(285.15)))  # fmt: skip
    if how.whole:
        told.append(say("Push the cap down twice a day: fruit that stays dry on top turns sour and moulds."))
    if how.soak > 0.0 and not how.whole:
        told.append(say("Keep the soak below {}, covered, and stir it daily. Warmer fruit starts to ferment or moulds.",
                        phrases.temperature(281.15)))  # fmt: skip
    return tuple(told)
