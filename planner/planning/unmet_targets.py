"""What a wish asks of the glass that the amounts of a recipe do not settle: sweetness and body come after the ferment."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document.batch import Batch
from planner.evaluation.outcome import evaluate
from planner.model.sweetness import STEP as SWEETNESS_STEP
from planner.model.viscosity import STEP as BODY_STEP
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.phrases import Words, say


def unmet(batch: Batch, catalogue: Catalogue) -> tuple[Words, ...]:
    """What of a wish for the glass the recipe by itself does not come to.

    Returns
    -------
    tuple of Words
        Empty where nothing is wished of the glass, or where it comes so near that no taster would tell. [-]
    """
    wish = batch.recipe.wish
    if wish.sweetness is None and wish.body is None:
        return ()
    mead = evaluate(batch, catalogue, 0).mead
    return () if mead is None else tuple(_lacking(batch, mead.after.sweetness.typical, mead.after.viscosity.typical))


def _lacking(batch: Batch, sweet: float, thick: float) -> Iterator[Words]:
    wish = batch.recipe.wish
    if wish.sweetness is not None and sweet < wish.sweetness - SWEETNESS_STEP:
        yield say("It will end at about {} of sweetness; you want {}. Sweeten it after the ferment: see Batch > Compare ways to finish.", phrases.concentration(sweet), phrases.concentration(wish.sweetness))  # fmt: skip
    elif wish.sweetness is not None and sweet > wish.sweetness + SWEETNESS_STEP:
        yield say("It will end at about {} of sweetness; you want {}. Use a yeast that tolerates more, or less honey.",
                  phrases.concentration(sweet), phrases.concentration(wish.sweetness))  # fmt: skip
    if wish.body is not None and thick < wish.body - BODY_STEP:
        yield say(f"Its body will be about {1000.0 * thick:.2f} mPa·s; you want {1000.0 * wish.body:.2f}. Add body after the ferment: see Batch > Compare ways to finish.")  # fmt: skip
