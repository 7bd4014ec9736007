"""What is doubtful about a recipe, found by comparing it with the limits of the yeast, the vessel, the model and the law."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from planner.document.batch import Batch, Event, What
from planner.evaluation.yeast_findings import temperature_findings, yeast_findings
from planner.model.kinetics import NORMAL_PITCH
from planner.model.liquid import alcohol
from planner.recipe.house_rules import rule_findings
from planner.recipe.preparation import solids
from planner.recipe.vessels import CAP_ROOM, FOAM_ROOM, added_room
from planner.reference.catalogue import Catalogue, UnknownIngredient
from planner.reference.own_rows import impossible
from planner.reference.rows import Additive
from planner.timeline.course import Expected
from planner.timeline.results import MustOutcome
from planner.timeline.self_warming import Warmth
from planner.wording import phrases
from planner.wording.finding import Finding, caution, error, note, warning
from planner.wording.phrases import literal

PITCH_RANGE = (0.4, 4.0)
"""Multiples of the usual pitch outside which it is worth a word. [-] Common practice, no source."""


def unknown_keys(batch: Batch, catalogue: Catalogue) -> tuple[Finding, ...]:
    """Ingredients that the shelf does not hold, each with its place.

    Returns
    -------
    tuple of Finding
        Errors; empty when all is known.
    """
    recipe = batch.recipe
    asked = [
        *((f"recipe.fruits.{i}", catalogue.fruit, line.key) for i, line in enumerate(recipe.fruits)),
        *((f"recipe.honeys.{i}", catalogue.honey, line.key) for i, line in enumerate(recipe.honeys)),
        *((f"recipe.feeds.{i}", catalogue.nutrient, feed.key) for i, feed in enumerate(recipe.feeds)),
        *((f"recipe.step_feeds.{i}", catalogue.sugary, line.key) for i, line in enumerate(recipe.step_feeds)),
        ("recipe.yeast", catalogue.yeast, recipe.yeast.key),
        *_keys_of_events(batch, catalogue),
        *((f"adjustment.additions.{i}", catalogue.additive, a.key) for i, a in enumerate(batch.adjustment.additions)),
    ]
    found = []
    for place, lookup, key in asked:
        try:
            lookup(key)
        except UnknownIngredient as failure:
            found.append(error(place, literal(str(failure))))
    reasons = impossible(catalogue, batch.own) if found else ()
    return (*found, *(error("recipe", literal(why)) for why in reasons))


def _keys_of_events(batch: Batch, catalogue: Catalogue) -> Iterator[tuple[str, Callable[[str], object], str]]:
    """What the log says was fed or added. What a dose was made of changes nothing that is worked out."""
    for index, entry in batch.log.entries.of_kind(Event):
        if entry.key and entry.what in (What.FEED, What.ADDED):
            lookup = catalogue.nutrient if entry.what is What.FEED else catalogue.sugary
            yield f"log.readings.{index}", lookup, entry.key


def recipe_findings(
    batch: Batch,
    catalogue: Catalogue,
    must: MustOutcome | None,
    ahead: Expected | None,
    warm: Warmth | None = None,
    is_finished: bool = False,
) -> tuple[Finding, ...]:
    """Doubts about the recipe."""
    if must is None:
        return (note("recipe", "Enter fruit, honey or water to see the must."),)
    found = [
        *temperature_findings(batch, catalogue),
        *_vessel(batch, catalogue, must),
        *_pitch(batch, must),
        *_cautions(batch, catalogue),
        *rule_findings(batch, catalogue, None if ahead is None else float(alcohol(ahead.finished.member(0)))),
    ]
    if ahead is None:
        return (*found, warning("recipe", "There is no sugar in this must, so nothing will ferment."))
    return (*found, *yeast_findings(batch, catalogue, must, ahead, warm, is_finished))


def _vessel(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> Iterator[Finding]:
    vessel, whole = batch.recipe.vessel, batch.recipe.preparation.whole
    if vessel is None:
        return
    full = must.volume.typical + added_room(batch, catalogue) + (solids(batch, catalogue) if whole else 0.0)
    shown = (phrases.volume(full), phrases.volume(vessel))
    what, over = ("must with its fruit", "the cap") if whole else ("must", "foam")
    if any(line.mass > 0.0 for line in batch.recipe.step_feeds):
        what += " and what is added to it"
    if full > vessel:
        yield error("recipe.vessel", f"The {what} ({{}}) does not fit into the vessel ({{}}).", *shown)
    elif full > (1.0 - (CAP_ROOM if whole else FOAM_ROOM)) * vessel:
        yield warning("recipe.vessel", f"The {what} ({{}}) leaves little room for {over} in the vessel ({{}}).", *shown)


def _pitch(batch: Batch, must: MustOutcome) -> Iterator[Finding]:
    dose = batch.recipe.yeast.pitch / must.volume.typical
    usual = phrases.mass(NORMAL_PITCH * must.volume.typical)
    if dose <= 0.0:
        yield error("recipe.yeast", "No yeast is pitched. Usual for this must is about {}.", usual)
    elif dose < PITCH_RANGE[0] * NORMAL_PITCH:
        yield warning(
            "recipe.yeast", "This is little yeast for this must: a long lag is likely. Usual is about {}.", usual
        )
    elif dose > PITCH_RANGE[1] * NORMAL_PITCH:
        yield note("recipe.yeast", "This is much yeast for this must. Usual is about {}.", usual)


def _cautions(batch: Batch, catalogue: Catalogue) -> Iterator[Finding]:
    seen: set[str] = set()
    for index, line in enumerate(batch.recipe.fruits):
        for key in catalogue.fruit(line.key).cautions:
            if key not in seen:
                seen.add(key)
                yield caution(f"recipe.fruits.{index}", key, catalogue)
    rows = [(f"recipe.honeys.{i}", catalogue.honey(pot.key).cautions) for i, pot in enumerate(batch.recipe.honeys)]
    # What an additive warns of is said of a sweet mead, not of what ferments.
    later = [(i, catalogue.sugary(line.key)) for i, line in enumerate(batch.recipe.step_feeds)]
    rows += [(f"recipe.step_feeds.{i}", row.cautions) for i, row in later if not isinstance(row, Additive)]
    for place, keys in (*rows, ("recipe.yeast", catalogue.yeast(batch.recipe.yeast.key).cautions)):
        for key in keys:
            if key not in seen:
                seen.add(key)
                yield caution(place, key, catalogue)
    for index, pot in enumerate(batch.recipe.honeys):
        if pot.moisture is not None and not 0.10 <= pot.moisture <= 0.26:
            yield warning(f"recipe.honeys.{index}", "{} is an unlikely water content for honey; 13 to 23 % is usual.",
                          phrases.percent(pot.moisture))  # fmt: skip
        elif pot.moisture is not None and pot.moisture > 0.20:
            yield note(f"recipe.honeys.{index}", "Honey with more than 20 % water may already ferment ({}).",
                       phrases.percent(pot.moisture))  # fmt: skip
