"""What a batch costs, from the user's own prices; what has no price is named, not guessed."""

from __future__ import annotations

import msgspec

from planner.document.batch import Batch


class Item(msgspec.Struct, frozen=True):
    """One thing that is used up: its key, how much of it [kg], and what it costs; None without a price."""

    key: str
    mass: float
    cost: float | None


class Cost(msgspec.Struct, frozen=True):
    """What a batch costs, in the user's own money.

    Attributes
    ----------
    items : tuple of Item
        Fruit, honey, yeast, nutrients, what is added while it works, and additions, each once.
    bottles : float
        Bottles and closures.
    total : float
        Of everything that has a price.
    per_bottle : float or None
        None without bottles.
    unpriced : tuple of str
        Keys of what has no price; water is free.
    """

    items: tuple[Item, ...]
    bottles: float
    total: float
    per_bottle: float | None
    unpriced: tuple[str, ...]


def cost(batch: Batch, bottles: int) -> Cost | None:
    """What a batch costs.

    Parameters
    ----------
    bottles : int
        How many are filled. [-]

    Returns
    -------
    Cost or None
        None where the user gave no price at all. [as its fields]
    """
    prices = batch.recipe.prices
    if not prices.lines and prices.bottle == 0.0:
        return None
    per_kg = {line.key: line.per_kg for line in prices.lines}
    used: dict[str, float] = {}
    recipe = batch.recipe
    weighed = [(fruit.key, fruit.mass) for fruit in recipe.fruits]
    weighed += [(honey.key, honey.mass) for honey in recipe.honeys]
    weighed += [(feed.key, feed.mass) for feed in recipe.feeds]
    weighed += [(line.key, line.mass) for line in recipe.step_feeds]
    weighed += [(addition.key, addition.mass) for addition in batch.adjustment.additions]
    for key, mass in weighed:
        used[key] = used.get(key, 0.0) + mass
    used[recipe.yeast.key] = used.get(recipe.yeast.key, 0.0) + recipe.yeast.pitch
    items = tuple(
        Item(key, mass, per_kg[key] * mass if key in per_kg else None) for key, mass in used.items() if mass > 0.0
    )
    glass = prices.bottle * bottles
    total = glass + sum(item.cost for item in items if item.cost is not None)
    return Cost(
        items=items,
        bottles=glass,
        total=total,
        per_bottle=total / bottles if bottles else None,
        unpriced=tuple(item.key for item in items if item.cost is None and item.key != "water"),
    )
