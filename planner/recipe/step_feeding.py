"""Step feeding: honey, juice and sugar that go into the must while it works, and what they bring."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from planner.document.batch import FruitLine, HoneyLine, Preparation, Recipe, StepFeed
from planner.model.liquid import Liquid, volume
from planner.recipe.must import for_yeast, honey, juice
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive, Fruit, Honey

Array = npt.NDArray[np.float64]

SUGARS = ("glucose", "fructose", "sucrose", "maltose")
"""Components of an additive that yeast takes."""


def brought(line: StepFeed, recipe: Recipe, catalogue: Catalogue, members: int) -> tuple[Liquid, Array]:
    """What one addition brings.

    Parameters
    ----------
    members : int
        Members besides the typical one. [-]

    Returns
    -------
    Liquid
        Shape (components, members + 1). [kg]
    numpy.ndarray, shape (members + 1,)
        Assimilable nitrogen. [kg]

    Raises
    ------
    UnknownIngredient
        A key that the catalogue does not hold.
    """
    row = catalogue.sugary(line.key)
    nitrogen = np.zeros(members + 1)
    if isinstance(row, Honey):
        liquid, nitrogen = honey(HoneyLine(key=line.key, mass=line.mass), row, members)
    elif isinstance(row, Fruit):
        pressed = FruitLine(key=line.key, mass=line.mass, as_juice=True)
        liquid, nitrogen = juice(pressed, row, Preparation(enzyme=recipe.preparation.enzyme), members)
    else:
        liquid = Liquid.of(**{key: np.full(members + 1, share * line.mass) for key, share in row.composition})
    return for_yeast(liquid, catalogue.yeast(recipe.yeast.key)), nitrogen


def together(recipe: Recipe, catalogue: Catalogue, members: int) -> Liquid:
    """All that a recipe adds while it works.

    Parameters
    ----------
    recipe, catalogue, members
        As those of `brought`. [as there]

    Returns
    -------
    Liquid
        Shape (components, members + 1); nothing where nothing is added. [kg]
    """
    nothing = Liquid.of(water=np.zeros(members + 1))
    return sum((brought(line, recipe, catalogue, members)[0] for line in recipe.step_feeds), start=nothing)


def offered(catalogue: Catalogue) -> Mapping[str, str]:
    """What may be added while a must works, by key: honeys, juices, sugars that ferment, and water.

    Returns
    -------
    mapping of str to str
        What each is called.
    """
    return {
        **{key: row.name for key, row in catalogue.honeys.items()},
        **{key: juice_name(row) for key, row in catalogue.fruits.items()},
        **{key: row.name for key, row in catalogue.additives.items() if _is_offered(row)},
    }


def _is_offered(row: Additive) -> bool:
    """Honey stands among the honeys."""
    parts = dict(row.composition)
    of_use = row.group == "sweetener" and sum(parts.get(key, 0.0) for key in SUGARS) > 0.5
    return row.key == "water" or (of_use and row.key != "honey")


def juice_name(row: Fruit) -> str:
    """What the juice of a fruit is called. [-]"""
    return f"{row.name} juice"


def name_of(key: str, catalogue: Catalogue) -> str:
    """What an addition is called; its key where the shelf does not hold it. [-]"""
    return offered(catalogue).get(key, key)


def density_of(key: str, catalogue: Catalogue) -> float | None:
    """Density of an addition that is poured; None of a powder. [kg/m^3]"""
    if key not in offered(catalogue):
        return None
    row = catalogue.sugary(key)
    if isinstance(row, Additive):
        return row.density
    if isinstance(row, Honey):
        liquid, _ = honey(HoneyLine(key=key, mass=1.0), row, 0)
    else:
        liquid, _ = juice(FruitLine(key=key, mass=1.0, as_juice=True), row, Preparation(), 0)
    return 1.0 / float(volume(liquid)[0])
