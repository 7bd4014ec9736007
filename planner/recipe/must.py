"""From the recipe to the must: juice pressed from fruit, honey by weight, water, and the nitrogen they bring."""

from __future__ import annotations

from functools import reduce

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, FruitLine, HoneyLine, Preparation
from planner.model.components import ACIDS
from planner.model.fermentation import hexoses
from planner.model.liquid import Liquid, gravity, titratable_acid, volume
from planner.model.numerics import solve_increasing
from planner.model.random_scores import scores
from planner.model.span import Span
from planner.recipe.pulp import Pulp, pulp_of
from planner.reference.catalogue import Catalogue
from planner.reference.rows import MINERALS, SOLUBLE_PROTEIN, Fruit, Honey, Yeast

Array = npt.NDArray[np.float64]

FREEZING_SHARE = 0.5
"""Share of the gain from plain pressing to enzyme that freezing alone brings. [-] Estimate: +5 to +20 points."""

SOAKING_SHARE = 0.2
"""Share of that gain which needs a cold soak of `SOAKING_DAYS`. [-] Estimate."""

SOAKING_DAYS = 7.0
"""Length of the soak after which no more juice comes. [d] Common practice, no source."""

SOLUBLE_PECTIN = {False: 0.2, True: 0.5}
"""Share of pectin that stays dissolved, without and with enzyme, which cuts it into soluble pieces. [-] Estimate."""

DRIEST_HONEY = 0.05
"""Water below which a honey is counted as having so much. [kg/kg] Drier is no liquid and could split no sugar."""

DUST = 1e-9
"""Mass of juice below which there is none. [kg] A microgram: smaller numbers have no volume to divide by."""

MEASURED_GRAVITY_ERROR = 0.001
"""Doubt that remains about a gravity read with care, 90 %. [-] One line of a hydrometer's scale."""


class Must(msgspec.Struct, frozen=True, eq=False):
    """The must at pitching, as an ensemble whose first member is the typical one.

    Attributes
    ----------
    liquid : Liquid
        Masses, shape (components, members + 1), with all that whole fruit holds: the must as it is once fruit and liquid have
        become one. [kg]
    nitrogen : numpy.ndarray, shape (members + 1,)
        Assimilable nitrogen, likewise. [kg]
    juices : tuple of Liquid
        What each fruit line brings: the juice that was pressed, or all of it where the fruit ferments whole. [kg]
    pulp : Pulp or None
        What of that the fruit still holds at pitching; None where it is pressed before. [as its fields]
    ph : Span or None
        At pitching, once it is known: measured, or by the balance of charges; see `hardships.acidity_of`. [-]
    """

    liquid: Liquid
    nitrogen: Array
    juices: tuple[Liquid, ...]
    pulp: Pulp | None = None
    ph: Span | None = None

    def free(self, day: float = 0.0) -> Liquid:
        """What is outside of the fruit on a day, as if nothing had fermented: what a hydrometer meets. [kg]

        Parameters
        ----------
        day : float
            Since pitching; before it as at pitching. [d]
        """
        return self.liquid if self.pulp is None else self.liquid + self.pulp.held(day) * -1.0

    @property
    def free_nitrogen(self) -> Array:
        """Assimilable nitrogen outside of the fruit at pitching. [kg]"""
        return self.nitrogen if self.pulp is None else self.nitrogen - self.pulp.nitrogen


def press_yield(fruit: Fruit, preparation: Preparation) -> Span:
    """Juice to be expected from a fruit without its stones.

    Returns
    -------
    Span
        Mass of juice per mass of fruit without stones, stems and cores. [kg/kg] Of fruit that ferments whole: what the press
        gives afterwards.

    Notes
    -----
    Between the table's figures for plain pressing and for enzyme: freezing alone brings half of the gain, enzyme
    the rest, and a fifth of the gain comes only with a week's cold soak (or as much of it as is given). Fruit that ferments
    whole is opened by yeast and alcohol as by enzyme and soak together. Estimate.
    """
    soaked = min(preparation.soak / SOAKING_DAYS, 1.0)
    gain = FREEZING_SHARE if preparation.frozen else 0.0
    if preparation.enzyme:
        gain = 1.0
    gain *= 1.0 - SOAKING_SHARE * (1.0 - soaked)
    if preparation.whole:
        gain = 1.0
    return Span(
        *(fresh + gain * (best - fresh) for fresh, best in zip(fruit.yield_fresh, fruit.yield_enzyme, strict=True))
    )


def juice(line: FruitLine, fruit: Fruit, preparation: Preparation, members: int) -> tuple[Liquid, Array]:
    """The juice of one line and the nitrogen in it.

    Parameters
    ----------
    members : int
        Members besides the typical one. [-]

    Returns
    -------
    Liquid
        Masses of the juice, shape (components, members + 1); all that the flesh holds where it ferments whole. [kg]
    numpy.ndarray, shape (members + 1,)
        Assimilable nitrogen in it. [kg]
    """
    held, nitrogen, _ = _juice(line, fruit, preparation, members)
    return held, nitrogen


def _juice(line: FruitLine, fruit: Fruit, preparation: Preparation, members: int) -> tuple[Liquid, Array, Array]:
    """The juice of one line, the nitrogen in it, and the share of the juice that its pomace keeps."""

    def z(what: str) -> Array:
        return scores(f"fruit/{line.key}/{what}", members)

    sugar, sorbitol = fruit.sugar.at(z("sugar")), fruit.sorbitol.at(z("sorbitol"))
    acid = fruit.acid.at(z("acid"))
    acids = {key: acid * mass for key, mass in fruit.acid_masses(1.0).items()}
    other = fruit.bound_acid + SOLUBLE_PROTEIN * fruit.protein + MINERALS
    other += SOLUBLE_PECTIN[preparation.enzyme] * fruit.pectin
    flesh = Liquid.of(
        water=np.full(members + 1, fruit.water),
        glucose=sugar * fruit.glucose_share,
        fructose=sugar * fruit.fructose_share,
        sucrose=sugar * fruit.sucrose_share,
        maltose=sugar * fruit.maltose_share,
        sorbitol=sorbitol,
        other=np.full(members + 1, other),
        **acids,
    )
    kept = np.zeros(members + 1)
    if line.as_juice:
        mass = np.full(members + 1, line.mass)
    else:
        flesh_mass = line.mass * (1.0 if line.stoned else 1.0 - fruit.stone)
        measured = line.press_yield
        expected = press_yield(fruit, preparation) if measured is None else Span.exactly(measured)
        # More than the water and what is dissolved in it cannot come out, whatever a table says.
        comes = np.minimum(expected.at(z("yield"), 0.0, 1.0), flesh.mass)
        if preparation.whole:
            kept, comes = 1.0 - comes / flesh.mass, flesh.mass
        mass = flesh_mass * comes
    mass = np.where(mass < DUST, 0.0, mass)
    pressed = flesh * (mass / flesh.mass)
    if line.juice_gravity is not None:
        doubt = Span(*(line.juice_gravity + d for d in (-MEASURED_GRAVITY_ERROR, 0.0, MEASURED_GRAVITY_ERROR)))
        pressed = with_gravity(pressed, doubt.at(z("gravity"), 0.7))
    return pressed, fruit.nitrogen.at(z("nitrogen")) * volume(pressed), kept


def with_gravity(liquid: Liquid, wanted: Array, known: tuple[str, ...] = ()) -> Liquid:
    """The same mass of liquid with what is dissolved scaled by one factor, to have a measured gravity.

    Parameters
    ----------
    liquid : Liquid
        Shape (components, m). [kg]
    wanted : numpy.ndarray, shape (m,)
        Specific gravity 20/20 °C. [-]

    Returns
    -------
    Liquid
        Water makes up the mass. Unreachable gravities give the nearest that can be reached. [kg]
    """
    solvent = liquid["water"] + liquid["ethanol"]
    solutes = liquid.without("water", "ethanol", *known)
    kept = Liquid(liquid.masses - solutes.masses).plus(water=-liquid["water"])
    most = 0.95 * (liquid.mass - kept.mass) / np.maximum(solutes.mass, 1e-12)

    def scaled(share: Array) -> Liquid:
        factor = share * most
        water = liquid["water"] - (factor - 1.0) * solutes.mass
        return solutes * factor + kept + Liquid.of(water=np.maximum(water, 0.0))

    if not np.any(solutes.mass > 0.0) or not np.any(solvent > 0.0):
        return liquid
    return scaled(solve_increasing(lambda share: gravity(scaled(share)), wanted, 0.0, 1.0))


def with_acid(base: Liquid, wanted: Array) -> Liquid:
    """The same mass of liquid with so much titratable acid, its acids in their proportions; malic acid where there was none.

    Parameters
    ----------
    base : Liquid
        Shape (components, m). [kg]
    wanted : numpy.ndarray, shape (m,)
        As tartaric. [kg/m^3]
    """
    none = titratable_acid(base) <= 1e-9  # a trace, which no proportion could be read from [kg/m^3]
    if np.any(none):
        base = base.plus(malic=np.where(none, 1e-6 * base.mass, 0.0), water=np.where(none, -1e-6 * base.mass, 0.0))
    for _ in range(3):  # the room that acids take is other than that of the water in whose place they come
        now, acids = titratable_acid(base), Liquid(base.masses - base.without(*ACIDS).masses)
        more = acids * (np.divide(wanted, now, out=np.ones_like(now), where=now > 0.0) - 1.0)
        base = Liquid(np.maximum((base + more).plus(water=-more.mass).masses, 0.0))
    return base


def honey(line: HoneyLine, row: Honey, members: int) -> tuple[Liquid, Array]:
    """One honey as components, and the nitrogen in it.

    Parameters
    ----------
    members : int
        Members besides the typical one. [-]

    Returns
    -------
    Liquid
        Shape (components, members + 1). Disaccharides that yeast takes count as maltose, the rest as higher sugars;
        the division makes the fermentable share that of the row. [kg]
    numpy.ndarray, shape (members + 1,)
        Assimilable nitrogen. [kg]
    """

    def z(what: str) -> Array:
        return scores(f"honey/{line.key}/{what}", members)

    measured = row.moisture if line.moisture is None else Span.exactly(line.moisture)
    moisture = np.maximum(measured.at(z("moisture")), DRIEST_HONEY)
    solids = (1.0 - moisture) / (1.0 - row.moisture.typical)
    simple = hexoses(Liquid.of(glucose=row.glucose, fructose=row.fructose, sucrose=row.sucrose)).total
    hexose_per_maltose = float(hexoses(Liquid.of(maltose=1.0)).total)
    taken = (row.fermentable.at(z("fermentable"), 0.0, 1.0) - simple) / hexose_per_maltose
    maltose = np.clip(taken, 0.0, row.disaccharides + row.higher_sugars)
    dry = Liquid.of(
        glucose=row.glucose,
        fructose=row.fructose,
        sucrose=row.sucrose,
        maltose=maltose,
        higher_sugars=row.disaccharides + row.higher_sugars - maltose,
        gluconic=row.acid,
        other=row.ash_protein + row.undetermined,
    )
    # The row's parts may miss 1 by a rounding; the mass that was weighed is what counts.
    mixed = dry * (solids * (1.0 - row.moisture.typical) / dry.mass) + Liquid.of(water=moisture)
    return mixed * (line.mass / mixed.mass), row.nitrogen.at(z("nitrogen")) * line.mass * np.ones(members + 1)


def must(batch: Batch, catalogue: Catalogue, members: int) -> Must:
    """The must of a recipe.

    Parameters
    ----------
    members : int
        Members besides the typical one; 0 for the typical case alone. [-]

    Returns
    -------
    Must
        Before yeast and feeds. [as its fields]

    Raises
    ------
    UnknownIngredient
        A key of the recipe that the catalogue does not hold.
    """
    recipe = batch.recipe
    yeast = catalogue.yeast(recipe.yeast.key)
    pressed: list[tuple[Liquid, Array, Array]] = [
        _juice(line, catalogue.fruit(line.key), recipe.preparation, members) for line in recipe.fruits
    ]
    honeys = [honey(line, catalogue.honey(line.key), members) for line in recipe.honeys]
    nothing = Liquid.of(water=np.full(members + 1, recipe.water))
    liquids = [*(held for held, _, _ in pressed), *(part for part, _ in honeys)]
    nitrogen = sum((part[1] for part in (*pressed, *honeys)), np.zeros(members + 1))
    whole = for_yeast(reduce(Liquid.__add__, liquids, nothing), yeast)
    fruit = [
        (for_yeast(held, yeast), food, kept)
        for (held, food, kept), line in zip(pressed, recipe.fruits, strict=True)
        if not line.as_juice
    ]
    pulp = pulp_of(fruit, recipe.preparation, members) if recipe.preparation.whole and fruit else None
    whole = _as_yours(whole, batch, members)
    return Must(whole, np.asarray(nitrogen), tuple(part[0] for part in pressed), pulp)


PER_EXTRACT = 3.85e-4
"""Specific gravity per extract that yeast leaves. [m^3/kg] From tables of sucrose in water, near enough for some grams."""

FARTHEST = 0.03
"""By how much earlier meads may have ended beside the shelf. [-] Beyond lies a mistake; estimate."""


def _as_yours(whole: Liquid, batch: Batch, members: int) -> Liquid:
    """A must with as much extract more or less as the maker's earlier meads ended higher or lower. [kg]"""
    dry = batch.learning.of("dry_gravity")
    if dry is None or float(whole.mass[0]) < DUST:
        return whole
    shift = np.clip(dry.mean + dry.sd * scores("learnt/dry", members), -FARTHEST, FARTHEST)
    per_room = shift / PER_EXTRACT
    more = np.maximum(per_room * volume(whole), -whole["other"])
    return whole.plus(other=more, water=-more)


def for_yeast(liquid: Liquid, yeast: Yeast) -> Liquid:
    """A must as its yeast finds it: maltose that it cannot take is counted with the sugars that stay.

    Parameters
    ----------
    liquid : Liquid
        Of fruit, honey and water. [kg]
    """
    if yeast.maltose >= 1.0:
        return liquid
    left = (1.0 - yeast.maltose) * liquid["maltose"]
    return liquid.plus(maltose=-left, higher_sugars=left)


def typical(start: Must) -> Must:
    """The typical member alone. [as its fields]"""
    first = slice(0, 1)
    pulp = None if start.pulp is None else start.pulp.member(first)
    juices = tuple(juice.member(first) for juice in start.juices)
    return Must(start.liquid.member(first), start.nitrogen[:1], juices, pulp, start.ph)


def anchored(start: Must, measured: float, day: float = 0.0, added: Liquid | None = None) -> Must:
    """The must as it proved to be: its sugars scaled so that it starts at a measured gravity.

    Parameters
    ----------
    measured : float
        Gravity at pitching, corrected. [-]
    day : float
        When that was measured: whole fruit has then given so much of its juice. [d]
    added : Liquid or None
        What had been added by then. [kg]

    Returns
    -------
    Must
        Same volume of juice and honey, other sugar. Acids, sorbitol and nitrogen stay as they were. What whole fruit holds is
        not seen by a hydrometer and stays as the recipe says. [as its fields]
    """
    members = start.nitrogen.size - 1
    doubt = Span(*(measured + d for d in (-MEASURED_GRAVITY_ERROR, 0.0, MEASURED_GRAVITY_ERROR)))
    wanted = doubt.at(scores("log/starting gravity", members), 0.7)
    free, met = start.free(), _met(start, day, added)
    sugars = {key: free[key] for key in ("glucose", "fructose", "sucrose", "maltose")}
    if not np.any(sum(sugars.values()) > 0.0):
        return start

    def scaled(liquid: Liquid, factor: Array) -> Liquid:
        extra = {key: mass * (factor - 1.0) for key, mass in sugars.items()}
        return liquid.plus(water=-sum(extra.values()), **extra)

    highest = float(np.min(1.0 + 0.9 * free["water"] / np.maximum(sum(sugars.values()), 1e-12)))
    factor = solve_increasing(lambda f: gravity(scaled(met, f)), wanted, 0.0, min(highest, 4.0))
    return msgspec.structs.replace(start, liquid=scaled(start.liquid, factor))


def _met(start: Must, day: float, added: Liquid | None) -> Liquid:
    """What a hydrometer meets on a day, as if nothing had fermented. [kg]"""
    return start.free(day) if added is None else start.free(day) + added


REACHED = 0.002
"""How near an anchored must comes to a gravity that it can start at. [-] Two lines of a hydrometer."""


def starts_at(real: Must, measured: float, day: float = 0.0, added: Liquid | None = None) -> bool:
    """Whether an anchored must really starts at the measured gravity, and has sugar to ferment.

    Parameters
    ----------
    real : Must
        What `anchored` gave: it takes no more than four times the recipe's sugar, and cannot take less than none.
    measured : float
        Gravity at pitching, corrected. [-]
    day, added
        As those of `anchored`. [as there]
    """
    first = _met(real, day, added).member(slice(0, 1))
    sugar = sum(first[key] for key in ("glucose", "fructose", "sucrose", "maltose"))
    return bool(abs(float(gravity(first)[0]) - measured) <= REACHED and float(np.sum(sugar)) > 0.0)
