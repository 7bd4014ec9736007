"""How a mead that is being adjusted stands, and what comes next: danger first, then what was chosen and what is in."""

from __future__ import annotations

from planner.adjusting.additions import Given, liquid_of
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import HANDLING, HEATED_STEP, IN_BOTTLES, bottled_danger
from planner.adjusting.mead import Mead
from planner.adjusting.refermentation_risk import STILL_SUGAR, Risk, clears_below, consequence, most_sugar, stillness
from planner.adjusting.stabilisation import BY_HEAT, BY_SALTS, Treatment, keepers, logged_as_stabilised, treatment
from planner.document.batch import Addition, Batch
from planner.document.bottled import bottled
from planner.model.liquid import fermentable
from planner.reference.catalogue import Catalogue
from planner.timeline.particle_filter import STILL_SWEET
from planner.wording import phrases
from planner.wording.phrases import Words, say

SALTS = frozenset({"potassium-metabisulphite", "potassium-sorbate"})
"""Which together keep yeast from working."""

NOT_TASTED = frozenset({"stabiliser", "enzyme"})
"""Groups of what is weighed by need and not to taste."""

WHOLE = 0.995
"""Share of a planned dose from which it counts as given. [-] What weighing leaves."""

ADDED = 0.5
"""Sugar for yeast from additions that counts as brought by them. [kg/m^3] As in the findings."""

_BEFORE_DOSING = {
    "salts": "Try it in a glass; stabilise before you dose the batch.",
    "heat": "Try it in a glass; dose it on the day of bottling, and " + IN_BOTTLES + ".",
}

Said = tuple[Words, Words]
"""How it stands, and what comes next."""


def adjusting_words(batch: Batch, mead: Mead, catalogue: Catalogue) -> Said:
    """How a mead that is being adjusted stands, and what comes next.

    Parameters
    ----------
    mead : Mead
        Before and after its additions. [as its fields]

    Returns
    -------
    (Words, Words)
        A sentence for each.
    """
    return (
        unstable(batch, mead, catalogue)
        or _nothing_chosen(batch, mead)
        or (_chosen(batch, mead, catalogue), _next(batch, mead, catalogue))
    )


def bottled_words(batch: Batch, mead: Mead, catalogue: Catalogue) -> Said | None:
    """What is said of bottles that may burst, and what to do with them; None where nothing speaks for it.

    Parameters
    ----------
    batch : Batch
        Bottled or not. [as its fields]
    """
    if bottled(batch) is None or treatment(batch, mead) is Treatment.DONE:
        return None
    now = mead.known.present if mead.known is not None and mead.basis is Basis.FORECAST else None
    still = stillness(mead, catalogue.yeast(batch.recipe.yeast.key).tolerance, False)
    sentence = bottled_danger(still, None if now is None else now.sugar)
    if sentence is None:
        return None
    meant = batch.adjustment.stabilising or batch.adjustment.stabilised
    untold = (
        " If they were stabilised or heated, log “stabilised”." if meant and not logged_as_stabilised(batch) else ""
    )
    return sentence, say(HANDLING + untold)


# --- danger


def unstable(batch: Batch, mead: Mead, catalogue: Catalogue) -> Said | None:
    """What would burst a bottle, and what to do first: it goes before all else. None where nothing speaks for it."""
    if treatment(batch, mead) is Treatment.DONE:
        return None
    still = stillness(mead, catalogue.yeast(batch.recipe.yeast.key).tolerance, False)
    added = sum(effect.fermentable for effect in mead.effects) / mead.after.volume.typical
    found = mead.known is not None and mead.known.by_test  # what a test found is there, however little
    left = (found or still.sugar.typical > STILL_SWEET) and mead.basis in (Basis.AT_REST, Basis.MEASURED)
    tested = found and still.risk is Risk.UNSURE and still.sugar.typical > STILL_SUGAR
    if (still.risk < Risk.REAL and not tested) or not (added > ADDED or left):
        return None
    sentence = say(f"Do not bottle this yet: up to {{}} of sugar can still ferment, and would {consequence(still.gauge)}.",
                   most_sugar(still.eaten.high))  # fmt: skip
    return sentence, _way_out(batch, mead, added > ADDED, catalogue)


def _way_out(batch: Batch, mead: Mead, added: bool, catalogue: Catalogue) -> Words:
    given = _given(mead)
    chosen = {addition.key for addition in batch.adjustment.additions if addition.mass > 0.0} | set(given)
    if chosen >= SALTS:
        if all(_is_in(batch, mead, key) for key in SALTS):
            return say("Sulphite and sorbate are in. When the gravity has not moved for two weeks, tick “Stabilised”.")
        return say(
            "Stir in sulphite and sorbate first. When the gravity has not moved for two weeks, tick “Stabilised”."
        )
    fed = any(_feeds(one, catalogue) for one in mead.given)
    planned = batch.adjustment.stabilising
    if planned and added and not fed:
        return say(_BEFORE_DOSING[planned])
    if planned == "heat":
        return say(f"{HEATED_STEP} Then tick “Stabilised”.")
    ways = tuple({BY_SALTS: "stabilise it", BY_HEAT: IN_BOTTLES}[way] for way in keepers(batch.recipe.rules))
    if not added:
        return say(f"Let it finish{''.join(f', or {way}' for way in ways)}.")
    if fed:
        return say(f"Keep it under an airlock, it may start again: {' or '.join((*ways, 'let it finish'))}.")
    first = "Stabilise first, use" if "stabilise it" in ways else "Use"
    heat = f"{IN_BOTTLES}, " if IN_BOTTLES in ways else ""
    return say(f"{first} sweeteners that yeast leaves, {heat}or keep it cold and drink it soon.")


def _feeds_yeast(addition: Addition, catalogue: Catalogue) -> bool:
    """Whether an addition holds sugar for yeast."""
    return float(fermentable(liquid_of(catalogue.additive(addition.key), addition.mass, addition))) > 0.0


def _feeds(given: Given, catalogue: Catalogue) -> bool:
    """Whether something that was stirred in holds sugar for yeast."""
    row = catalogue.additive(given.key)
    return float(fermentable(liquid_of(row, given.mass, given.addition))) > 0.0


# --- what was chosen, and what is in


def _given(mead: Mead) -> dict[str, float]:
    return {one.key: one.mass for one in mead.given}


def _is_in(batch: Batch, mead: Mead, key: str) -> bool:
    """Whether what is planned of an additive was stirred in, by the log."""
    planned = sum(addition.mass for addition in batch.adjustment.additions if addition.key == key)
    return _given(mead).get(key, 0.0) >= WHOLE * planned


def _keys(batch: Batch, mead: Mead) -> list[str]:
    return list(dict.fromkeys((*(addition.key for addition in batch.adjustment.additions), *_given(mead))))


def _nothing_chosen(batch: Batch, mead: Mead) -> Said | None:
    if _keys(batch, mead):
        return None
    return say("Ready to be adjusted: no addition chosen yet."), say("Choose a sweetener or something for body.")


def _chosen(batch: Batch, mead: Mead, catalogue: Catalogue) -> Words:
    keys = _keys(batch, mead)
    given = sum(_is_in(batch, mead, key) for key in keys)
    if given == len(keys):
        one = say("Adjusted: one addition is stirred in.")
        return one if given == 1 else say("Adjusted: {} additions are stirred in.", phrases.count(given))
    if _given(mead):
        return say(
            "Being adjusted: {} of {} additions are stirred in completely.",
            phrases.count(given),
            phrases.count(len(keys)),
        )
    kind = "preservative" if _is_dull(keys, catalogue) else "addition"
    chosen = f"one {kind} chosen" if len(keys) == 1 else f"{{}} {kind}s chosen"
    figures = [] if len(keys) == 1 else [phrases.count(len(keys))]
    return say(f"Being adjusted: {chosen}.", *figures)


def _is_dull(keys: list[str], catalogue: Catalogue) -> bool:
    """Whether nothing of it is for the taste."""
    return all(catalogue.additive(key).group == "stabiliser" for key in keys)


def _before_bottling(batch: Batch, mead: Mead, catalogue: Catalogue) -> Words:
    """What is left to do once all is stirred in: a test is asked for where one is missing and can clear it."""
    still = stillness(mead, catalogue.yeast(batch.recipe.yeast.key).tolerance, treatment(batch, mead) is Treatment.DONE)
    clear = clears_below(mead)
    if still.risk != Risk.UNSURE or clear is None:
        return say("Let it settle, and read it again in two weeks. If the gravity has not moved, bottle it.")
    return say("Let it settle, and read it again in two weeks. If the gravity has not moved, test it for sugar: bottle it at {} or "
               "less.", phrases.concentration(clear))  # fmt: skip


def _next(batch: Batch, mead: Mead, catalogue: Catalogue) -> Words:
    keys = _keys(batch, mead)
    tasted = [key for key in keys if catalogue.additive(key).group not in NOT_TASTED]
    if all(_is_in(batch, mead, key) for key in keys):
        return _before_bottling(batch, mead, catalogue)
    if not tasted:
        first = "" if mead.ph_measured else "Measure the pH, which decides the doses; then "
        text = first + "weigh exactly and stir in once it has stopped."
        return say(text[0].upper() + text[1:])
    if any(key in _given(mead) for key in tasted):
        return say("Let it settle and taste it before you stir in the rest.")
    if any(
        glass.score is not None or glass.rank is not None
        for trial in batch.adjustment.trials
        for glass in trial.glasses
    ):
        return say("You tried it in glasses. Stir a part of it into the batch, let it settle, and taste again.")
    way = "" if batch.adjustment.stabilised else batch.adjustment.stabilising
    if way and any(_feeds_yeast(addition, catalogue) for addition in batch.adjustment.additions):
        return say(_BEFORE_DOSING[way])
    without = ", without the preservatives," if len(tasted) < len(keys) else ""
    return say(f"Try it in a glass{without} before you dose the batch.")
