"""What was learnt, said in plain words, and from how many batches."""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.document.batch import Batch
from planner.document.learnt import Learnt
from planner.document.shelf import shelf_of
from planner.learning.pool import of_recipe, things_of, unlike
from planner.model.numerics import median
from planner.recipe.must import press_yield
from planner.recipe.vessels import losses_of
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Fruit
from planner.wording import phrases
from planner.wording.phrases import Figure, Words, in_a_sentence, literal, say

NOTHING = say("No earlier batch has taught this one anything yet.")
LEFT_OUT = say("You left out what earlier batches teach. All figures go by the shelf alone.")

SMALL = 0.04
"""Change of a pace, a sugar or an acid below which it is as usual. [-] Nobody plans by less."""

SMALL_STEP = 0.0005
"""Change of the final gravity below which it is as the recipe says. [-] Half a line of a hydrometer."""

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")

Part = tuple[str, tuple[Figure, ...]]
"""Some words with places for figures, and the figures."""


def told(batch: Batch, catalogue: Catalogue) -> tuple[Words, ...]:
    """What a batch goes by, of what earlier ones taught: of its yeast, of each fruit, and of its maker; then how much of the say
    the shelf keeps, and who of them is unlike the others."""
    learning = of_recipe(batch)
    if not learning.values:
        return (NOTHING,)
    if not learning.used:
        return (LEFT_OUT,)
    shelf, yeast = shelf_of(batch, catalogue), batch.recipe.yeast.key
    found = []
    of_yeast = [one for one in learning.values if one.of == yeast]
    if of_yeast and yeast in shelf.yeasts:
        stops = shelf.yeasts[yeast].tolerance.typical
        found.append(_sentence(_number(of_yeast, " with this yeast"), (_of_yeast(one, stops) for one in of_yeast)))
    for key in dict.fromkeys(line.key for line in batch.recipe.fruits):
        some, row = [one for one in learning.values if one.of == key], shelf.fruits.get(key)
        if some and row is not None:
            name = in_a_sentence(row.name)
            found.append(_sentence(_number(some, f" with {name}"), (_of_fruit(one, row, batch) for one in some)))
    mine = [one for one in learning.values if not one.of]
    if mine:
        found.append(_sentence(_number(mine, " in all"), (_of_maker(one, batch) for one in mine)))
    shares = [one.shelf for one in learning.values]
    found.append(
        say(
            "The tables of the shelf still count for {}, because so few batches cannot tell more.",
            phrases.share(median(shares)),
        )
    )
    odd = unlike(learning.sources, things_of(batch))
    found += [say(f"“{literal(name)}” is unlike the others and therefore counts for little.") for name in sorted(odd)]
    return tuple(found)


def _sentence(whose: str, parts: Iterable[Part]) -> Words:
    """Parts as one sentence."""
    texts, figures = [], list[Figure]()
    for text, some in parts:
        texts.append(text)
        figures += some
    listed = texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"
    return say(f"{whose}: {listed}.", *figures)


def _number(some: list[Learnt], of: str) -> str:
    most = max(one.batches for one in some)
    number = _NUMBERS[most] if most < len(_NUMBERS) else str(most)
    return f"Your {number} batch{'es' if most > 1 else ''}{of}"


def _by(mean: float, more: str, less: str, usual: str) -> Part:
    """By what share it is more or less; or that it is as usual."""
    if abs(mean) < SMALL:
        return usual, ()
    return f"{{}} {more if mean > 0.0 else less}", (phrases.share(abs(math.expm1(mean))),)


def _of_yeast(one: Learnt, stops: float) -> Part:
    if one.trait == "tolerance":
        return "it stops near {}", (phrases.alcohol(stops),)
    if one.trait == "lag":
        return _by(one.mean, "longer until it starts", "less time until it starts", "it starts when most do")
    if one.trait == "trend":
        return _by(one.mean, "faster at the end", "slower at the end", "no slower at the end than usual")
    return _by(one.mean, "faster", "slower", "it ferments at the usual pace")


def _of_fruit(one: Learnt, row: Fruit, batch: Batch) -> Part:
    if one.trait == "juice_yield":
        return "{} juice from the press", (phrases.share(press_yield(row, batch.recipe.preparation).typical),)
    if one.trait == "ph":
        return "juice of pH {}", (phrases.ph(row.ph.typical),)
    return _by(one.mean, f"more {one.trait} than most", f"less {one.trait} than most", f"as much {one.trait} as most")


def _of_maker(one: Learnt, batch: Batch) -> Part:
    if one.trait == "losses":
        losses = losses_of(batch)
        kept = (1.0 - losses.lees) * (1.0 - losses.racking) ** (losses.rackings - 1) * (1.0 - losses.bottling)
        return "{} is lost up to the bottle", (phrases.share(1.0 - kept),)
    if one.trait == "dry_gravity":
        if abs(one.mean) < SMALL_STEP:
            return "they end where their recipes say", ()
        step = phrases.gravity_step(abs(one.mean))
        return f"they end {{}} {'higher' if one.mean > 0.0 else 'lower'} than their recipes say", (step,)
    if abs(one.mean) < SMALL:
        return "your readings scatter as most do", ()
    return f"your readings scatter {'more' if one.mean > 0.0 else 'less'} than most", ()
