"""What is said of bottles that may burst, and of bottles that are heated. Nowhere else is either put in words."""

from __future__ import annotations

import numpy as np

from planner.adjusting.mead import Mead
from planner.adjusting.refermentation_risk import BURSTS_FROM, STILL_SUGAR, Risk, Stillness, most_sugar
from planner.model import bottle_pressure, gas, pasteurisation
from planner.model.constants import ZERO_CELSIUS
from planner.model.span import Span
from planner.reference.catalogue import catalogue
from planner.wording import phrases
from planner.wording.finding import warned
from planner.wording.phrases import Words, say

HOLD_TEMPERATURE = 65.0 + ZERO_CELSIUS
"""At which bottles are held in the bath. [K] Common practice, no source."""

CLOSE_BELOW = 40.0 + ZERO_CELSIUS
"""From which on bottles that were heated with their closures laid on are closed. [K] Estimate: what is closed warmer draws
more of a vacuum, and nothing presses."""

BOTTLE = 0.75e-3
"""For which the room to leave is told. [m^3]"""

HANDLING = (
    "Keep people away. Wear goggles or a face shield, and thick gloves. Chill all bottles without shaking them. Then open "
    "them one by one, each wrapped in a towel, over a basin. Never heat them. Source: common practice."
)
"""What to do with bottles that may burst. Common practice, no source."""

IN_BOTTLES = "pasteurise it in the bottles at once, with the closures only laid on"
"""How a mead is heated, inside a sentence. A closed bottle with sugar and living yeast never is."""

HEATED_STEP = "Fill the bottles and pasteurise them at once in a water bath, with the closures only laid on."
"""The same as a step."""

COLD_NOTE = (
    "A bottle that gets warm ferments again and can burst. Keep every bottle in the fridge, drink them within weeks, and use "
    "bottles made for pressure. Source: common practice."
)
"""What is minded where nothing but cold keeps yeast from working."""


def heat_caution() -> Words:
    """What can hurt somebody who heats bottles."""
    return warned("heated-bottles", catalogue())


def heating() -> tuple[Words, ...]:
    """How bottles are made ready, heated and closed, step by step."""
    minutes = Span(*(float(pasteurisation.minutes_for(units, HOLD_TEMPERATURE)) for units in pasteurisation.TARGET))
    return (
        say("Degas the mead first: stir it until no more gas rises, to {} of carbon dioxide or less.",
            phrases.concentration(gas.DEGASSED)),
        say("Leave at least {} of each bottle empty: {} in one of {}.", phrases.share(bottle_pressure.ROOM),
            phrases.volume(bottle_pressure.ROOM * BOTTLE), phrases.volume(BOTTLE)),
        say("Only lay the closures on. Warm the bottles slowly in a water bath, on a rack, until the middle of one is at {}.",
            phrases.temperature(HOLD_TEMPERATURE)),
        say("Hold it there for {} minutes ({} to {}). Close the bottles when they have cooled to {}.",
            phrases.count(minutes.typical), phrases.count(minutes.low), phrases.count(minutes.high),
            phrases.temperature(CLOSE_BELOW)),
    )  # fmt: skip


def heated_closed(mead: Mead) -> Words:
    """What a closed bottle of this mead would have to bear in the heat, and what it must be.

    Parameters
    ----------
    mead : Mead
        After its additions. [as its fields]
    """
    room = bottle_pressure.ROOM
    rooms, held = np.array([room, room, room / 2.0]), np.array([gas.DEGASSED, gas.STANDING, gas.DEGASSED])
    found = bottle_pressure.heated(mead.mixed.member(0), HOLD_TEMPERATURE, rooms, held).gauge.tolist()
    tight = (
        say("With {} empty the pressure is {}.", phrases.share(room / 2.0), phrases.pressure(found[2]))
        if np.isfinite(found[2])
        else say("With {} empty the mead fills it to the brim, and it bursts.", phrases.share(room / 2.0))
    )
    return together(
        say("Heat closed bottles only if nothing in them can ferment, and only bottles and closures made for sparkling wine."),
        say("Degassed and with {} empty, the pressure in each is {} above the air at {}; not degassed, {}.", phrases.share(room),
            phrases.pressure(found[0]), phrases.temperature(HOLD_TEMPERATURE), phrases.pressure(found[1])),
        tight,
    )  # fmt: skip


def bottled_danger(still: Stillness, now: Span | None) -> Words | None:
    """That bottles may burst, and how much sugar does it; None where nothing speaks for it.

    Parameters
    ----------
    now : Span or None
        Sugar in them at present, where they still ferment. [kg/m^3]
    """
    most = max(still.eaten.high, 0.0 if now is None else now.high)
    if still.risk < Risk.UNSURE and (now is None or now.high <= STILL_SUGAR):
        return None
    bursts = now is not None or still.gauge >= BURSTS_FROM
    may = "may burst" if bursts else "may push out their corks, or break"
    return say(f"These bottles {may}: yeast in them may still ferment up to {{}} of sugar.", most_sugar(most))


def together(*sentences: Words) -> Words:
    """Several sentences as one text."""
    return Words(" ".join(one.template for one in sentences), tuple(f for one in sentences for f in one.figures))
