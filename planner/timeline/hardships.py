"""What the must of a recipe does to its yeast, for each member: acid, benzoic acid, strength, and how little yeast there is."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planner.document.batch import Recipe
from planner.model import hardship
from planner.model.hardship import SUSCEPTIBLE, Hardships, by_acid, by_benzoic, by_sugar, crop_of_pitch
from planner.model.liquid import fermentable, volume
from planner.model.random_scores import scores
from planner.recipe.must import Must
from planner.reference.catalogue import Catalogue
from planner.timeline.ferment_ph import (
    BEARS_LITTLE,
    FALL_DOUBT,
    PER_PROTON,
    POTASSIUM,
    acidity_of,
    given_by_feeds,
    potassium_of,
    rise_at_once,
)

Array = npt.NDArray[np.float64]

SHORT_OF_POTASSIUM = 2.5
"""How many times as likely as usual a yeast short of potassium stops. [-] Estimate: "a cause of stuck ferments" (Kudo 1998)."""


def benzoic(recipe: Recipe, start: Must, catalogue: Catalogue) -> Array:
    """Benzoic acid that fruit brought into the must, shape (m,). [kg/m^3]

    Parameters
    ----------
    recipe, start, catalogue
        As those of `planner.timeline.ferment_ph.acidity_of`. [as there]
    """
    members = start.nitrogen.size - 1
    found = np.zeros(members + 1)
    for line, juice in zip(recipe.fruits, start.juices, strict=True):
        held = catalogue.fruit(line.key).benzoic
        if held.high > 0.0:
            found = found + held.at(scores(f"fruit/{line.key}/benzoic", members)) * volume(juice)
    return found / volume(start.liquid)


def hardships(recipe: Recipe, start: Must, catalogue: Catalogue, fed: float, fall: float) -> Hardships:
    """What a must does to the yeast of each member.

    Parameters
    ----------
    recipe, start, catalogue
        As those of `planner.timeline.ferment_ph.acidity_of`. [as there]
    fed : float
        Nitrogen of the feeds. [kg]
    fall : float
        By how much the pH falls while it ferments: see `planner.timeline.ferment_ph.fall_at_work`. [-]
    """
    members = start.nitrogen.size - 1
    room = volume(start.liquid)
    # What goes in while it works does not meet the yeast as it wakes; the juice of whole fruit does, within the first days.
    sugar = fermentable(start.liquid) / room
    known = acidity_of(recipe, start, catalogue)
    ph = known.at(scores("must/ph", members), 2.0, 7.0)
    at_work = np.maximum(ph - fall * FALL_DOUBT.at(scores("must/fall of ph", members)), 1.5)
    power = {what: SUSCEPTIBLE.at(scores(f"yeast/hard {what}", members), 0.1) for what in ("acid", "sugar")}
    stops = hardship.BENZOIC_STOPS.at(scores("yeast/benzoic", members), 0.05)
    per_ph = hardship.ALCOHOL_PER_PH.at(scores("yeast/alcohol by ph", members), 0.0)
    strong = hardship.ICE_WINE_DOUBT.at(scores("yeast/alcohol by sugar", members), -np.inf)
    oxygen = hardship.OXYGEN.at(scores("must/oxygen", members), 0.0003)
    held = by_benzoic(benzoic(recipe, start, catalogue), ph, stops)
    share = POTASSIUM.at(scores("must/potassium", members))
    potassium = potassium_of(start, known, 1.0) * share + given_by_feeds(recipe, catalogue).potassium
    short = (potassium < PER_PROTON * 1e3 * 10.0**-at_work * room) & (at_work < BEARS_LITTLE)
    return Hardships(
        acid=by_acid(ph + rise_at_once(recipe, start, catalogue, known)) ** power["acid"] * held,
        acid_at_work=by_acid(at_work) ** power["acid"] * held,
        sugar=by_sugar(sugar) ** power["sugar"],
        pitch=crop_of_pitch(recipe.yeast.pitch / room, (start.nitrogen + fed) / room, oxygen),
        most_alcohol=np.maximum(hardship.ICE_WINE * (hardship.STRONGEST - sugar) + strong, 0.0),
        less_alcohol=np.maximum(hardship.HARD_PH - at_work, 0.0) * per_ph,
        risk=np.where(short, SHORT_OF_POTASSIUM, 1.0),
    )
