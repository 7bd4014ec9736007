"""What all earlier batches together teach of each yeast and fruit, so that a recipe may change and still go by them."""

from __future__ import annotations

from collections.abc import Collection, Iterable

import msgspec

from planner.document.batch import Batch
from planner.document.learnt import Learning, Learnt, Source, Told, Trait
from planner.document.shelf import USUAL
from planner.learning.pooling import pooled

FARTHEST = 3.0
"""Beside the shelf, as the batch file has it. [as `Trait`]"""

LIKELY = 0.5
"""Chance from which a batch is called unlike the others. [-]"""


TAKEN_OVER: tuple[Trait, ...] = ("juice_yield", "sugar")
"""What the next recipe keeps of the one before, so that the same figure need not have been measured twice."""


def learnt(sources: Iterable[Source]) -> tuple[Learnt, ...]:
    """What batches teach of each yeast and fruit that they tell of; those that are left out teach nothing.

    Returns
    -------
    tuple of Learnt
        In the order of `Trait`. [as its fields]
    """
    found = []
    for (trait, of), told in _by_thing(sources).items():
        one = pooled([each.value for _, each in told], [each.sd for _, each in told], *USUAL[trait])
        mean = min(max(one.mean, -FARTHEST), FARTHEST)
        found.append(Learnt(trait=trait, of=of, mean=mean, sd=one.sd, batches=len(told), shelf=min(one.shelf, 1.0)))
    return tuple(found)


def unlike(sources: Iterable[Source], things: Collection[str]) -> frozenset[str]:
    """Of what is told of some things, and of the maker, names of the batches that in something are unlike the others, and therefore count for little in that."""
    odd = set()
    for (trait, of), told in _by_thing(sources).items():
        if of not in {"", *things}:
            continue
        one = pooled([each.value for _, each in told], [each.sd for _, each in told], *USUAL[trait])
        odd |= {name for (name, _), chance in zip(told, one.odd, strict=True) if chance > LIKELY}
    return frozenset(odd)


def _by_thing(sources: Iterable[Source]) -> dict[tuple[Trait, str], list[tuple[str, Told]]]:
    """What is told of each thing, with the name of the batch; a figure that a recipe took over from another counts once."""
    found: dict[tuple[Trait, str], list[tuple[str, Told]]] = {}
    for source in sources:
        for told in () if source.left_out else source.told:
            others = found.setdefault((told.trait, told.of), [])
            if not (told.trait in TAKEN_OVER and any(told == other for _, other in others)):
                others.append((source.name, told))
    order = list(USUAL)
    return dict(sorted(found.items(), key=lambda item: (order.index(item[0][0]), item[0][1])))


def taught_by(batch: Batch, sources: Iterable[Source]) -> Learning:
    """What some batches teach, of all that they tell: another yeast or fruit asks for no second reading of them.

    Returns
    -------
    Learning
        Used as long as the batch used what it had learnt before. [as its fields]
    """
    kept = tuple(source for source in sources if source.told)
    return Learning(used=batch.learning.used, values=learnt(kept), sources=kept)


def leaving_out(batch: Batch, place: int, left_out: bool) -> Learning:
    """What a batch goes by with one of its sources left out, or with it again."""
    sources = list(batch.learning.sources)
    sources[place] = msgspec.structs.replace(sources[place], left_out=left_out)
    return msgspec.structs.replace(batch.learning, sources=tuple(sources), values=learnt(sources))


def things_of(batch: Batch) -> frozenset[str]:
    """Keys of the yeast and of the fruits of a recipe."""
    return frozenset((batch.recipe.yeast.key, *(line.key for line in batch.recipe.fruits)))


def of_recipe(batch: Batch) -> Learning:
    """What a batch has learnt of its own yeast and fruit, and of its maker."""
    return batch.learning.concerning(things_of(batch))
