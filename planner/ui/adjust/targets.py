"""What may be wanted where doses are found: how each target is called, in what it is read, and which are the recipe's own."""

from __future__ import annotations

import msgspec

from planner.adjusting.dose import Found
from planner.ui.adjust.text import BODY_UNIT
from planner.units import Kind, System

GRAMS = {System.METRIC: "g/L", System.US: "g/L"}
"""Concentrations are told in grams per litre everywhere."""

TARGETS = (
    # property, caption, kind, sides, factor from field to SI, hover
    (
        "sweetness",
        "Sweetness",
        Kind.CONCENTRATION,
        "both",
        1.0,
        "This sweet, as sucrose in water: a figure, or a word such as dry, half sweet or medium.",
    ),
    (
        "viscosity",
        f"Body at least, {BODY_UNIT}",
        Kind.NUMBER,
        "low",
        1e-3,
        "At least this thick: a figure, or medium, full or thick. A step is 0.14 mPa·s.",
    ),
    (
        "acid",
        "Acid",
        Kind.CONCENTRATION,
        "both",
        1.0,
        "This sharp: titratable acid, as tartaric, or a word such as soft, fresh, crisp or sharp. Acids are used only where this is set.",
    ),
    ("gravity", "Gravity at most", Kind.GRAVITY, "high", 1.0, "A ceiling on the gravity."),
    ("alcohol", "Alcohol at least", Kind.STRENGTH, "low", 1.0, "A floor under the alcohol."),
    (
        "fermentable",
        "Sugar left at most",
        Kind.CONCENTRATION,
        "high",
        1.0,
        "A ceiling on fermentable sugar: maltodextrin and extracts carry some. Up to 2 g/L is stable.",
    ),
)

OF_RECIPE = {"sweetness": "sweetness", "viscosity": "body", "acid": "acid", "alcohol": "alcohol"}
"""Targets that are the recipe's own: changed here, they are changed there."""

TASTERS_SAY = {"sweetness": "sweetness", "viscosity": "body", "acid": "sharpness", "alcohol": "strength"}
"""What words say of each."""

DRY, STRENGTH_ROOM = 9.0, 0.5
"""A mead that is meant to be dry may be so sweet: glycerol alone makes 5, and wine beside acid is called dry up to 9 (Regulation
(EU) 2019/33, annex III) [kg/m^3]. A strength may be missed by half of a step, as by stirring anything in. [steps]"""

MOST = {Kind.CONCENTRATION: 1000.0, Kind.NUMBER: 1000.0}
"""More is wanted of no mead. [kg/m^3], [mPa·s]"""


def near_enough(found: Found) -> Found:
    """Doses, without what they miss of a target by no more than is meant by it."""
    missed = tuple(
        miss for miss in found.missed
        if not (miss.what == "alcohol" and miss.steps <= STRENGTH_ROOM)
        and not (miss.what == "sweetness" and miss.wanted < miss.reached <= DRY)
    )  # fmt: skip
    return msgspec.structs.replace(found, missed=missed)
