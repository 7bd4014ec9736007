"""Will it stay still? What living yeast could still do in a closed bottle, and the pressure of it.

The risk is a product of three things: sugar that yeast can take, yeast that lives, and alcohol that it still bears. Where
one of them is missing nothing happens. What is uncertain is told by its high end, because glass bursts at it.
"""

from __future__ import annotations

from enum import IntEnum

import msgspec

from planner.adjusting.mead import Mead
from planner.model import gas
from planner.model.constants import ETHANOL_DENSITY, ZERO_CELSIUS
from planner.model.fermentation import ETHANOL_YIELD
from planner.model.liquid import concentration
from planner.model.span import Span
from planner.wording import phrases
from planner.wording.phrases import Words, say

STILL_SUGAR = 2.0
"""Sugar that yeast may take in a still bottle without harm. [kg/m^3] 10.2 and 10.3 of the property data: 2 g/L prickle,
4 g/L make about 1 bar at 20 °C."""

PRESSURE_TEMPERATURES = tuple(ZERO_CELSIUS + celsius for celsius in (10.0, 20.0, 30.0))
"""Temperatures of a cellar, a room and a hot day. [K]"""

BACTERIA = (
    ("lactose", "Lactose feeds some lactic bacteria, though no yeast of this craft."),
    ("sorbitol", "Sorbitol, from fruit or added, feeds some bacteria, though no yeast."),
    (
        "malic",
        "Malic acid can be turned into lactic acid and gas by malolactic bacteria: a little prickle, softer acid.",
    ),
    ("glycerol", "Some lactic bacteria turn glycerol bitter."),
)
"""What bacteria take of what yeast leaves, by component, in words. From memory."""

BACTERIA_FROM = {"lactose": 1.0, "sorbitol": 5.0, "malic": 1.0, "glycerol": 20.0}
"""Concentrations from which that is worth a word. [kg/m^3] Estimate."""

BURSTS_FROM = 2.5 * gas.BAR
"""Pressure at 20 °C above which still bottles are spoken of as bursting; below it, of corks that creep. [Pa] The end of
semi-sparkling (Regulation (EU) No 1308/2013); still bottles have no rating at all."""

TRACE = 0.05
"""Sugar of one source that is worth a line. [kg/m^3]"""


class Risk(IntEnum):
    """How likely a second fermentation in the bottle is, and how bad."""

    NONE = 0
    """Nothing left to ferment, or nothing that could."""
    HELD = 1
    """There is sugar, and something keeps yeast from it: as long as that holds."""
    UNSURE = 2
    """By the typical figures no, by the high ones yes: a sugar test decides."""
    REAL = 3
    """It would prickle or push corks."""
    GRAVE = 4
    """It would burst bottles that are not made for pressure."""


class Food(msgspec.Struct, frozen=True):
    """Where sugar that yeast can take comes from, and how much of it is in the finished mead. [kg/m^3]"""

    name: str
    sugar: float


class Pressure(msgspec.Struct, frozen=True):
    """Pressure above that of the air in a bottle kept at a temperature. [K], [Pa]"""

    temperature: float
    gauge: Span


class Stillness(msgspec.Struct, frozen=True):
    """What may happen in the closed bottle.

    Attributes
    ----------
    risk : Risk
    words : Words
        One sentence on it.
    sugar : Span
        All that yeast could take. [kg/m^3]
    eaten : Span
        What it would take before the alcohol stops it. [kg/m^3]
    margin : Span
        Alcohol that the yeast still bears; below nothing it is past its limit. [m^3/m^3]
    pressures : tuple of Pressure
        At 10, 20 and 30 °C, if all that is eaten becomes gas.
    vessel : gas.Vessel
        What bottle and closure bear the high end at 20 °C.
    food : tuple of Food
        Where the sugar comes from, the largest part first.
    bacteria : tuple of str
        What bacteria could take of what yeast leaves.
    """

    risk: Risk
    words: Words
    sugar: Span
    eaten: Span
    margin: Span
    pressures: tuple[Pressure, ...]
    vessel: gas.Vessel
    food: tuple[Food, ...]
    bacteria: tuple[str, ...]


def stillness(mead: Mead, tolerance: Span, stabilised: bool) -> Stillness:
    """What may happen with an adjusted mead in a closed bottle.

    Parameters
    ----------
    mead : Mead
        Before and after its additions. [as its fields]
    tolerance : Span
        Alcohol at which its yeast stops. [m^3/m^3]
    stabilised : bool
        Whether yeast and bacteria are kept from working. [-]

    Returns
    -------
    Stillness
        Of the mead after its additions. [as its fields]
    """
    after = mead.after
    sugar = after.fermentable
    margin = _minus(tolerance, after.alcohol)
    eaten = Span(*(min(some, max(room, 0.0) * ETHANOL_DENSITY / ETHANOL_YIELD.typical)
                   for some, room in zip(sugar, margin, strict=True)))  # fmt: skip
    pressures = tuple(Pressure(t, _gauge(mead, eaten, t)) for t in PRESSURE_TEMPERATURES)
    vessel = gas.vessel_words(pressures[1].gauge.high)
    risk = _risk(sugar, eaten, pressures[1].gauge, stabilised)
    return Stillness(risk, _words(risk, sugar, eaten, margin), sugar, eaten, margin, pressures, vessel,
                     _food(mead), _bacteria(mead))  # fmt: skip


def _minus(one: Span, other: Span) -> Span:
    return Span(one.low - other.high, one.typical - other.typical, one.high - other.low)


def _gauge(mead: Mead, eaten: Span, temperature: float) -> Span:
    strength = min(max(mead.after.alcohol.typical, 0.0), 0.25)
    sweet = min(max(mead.after.extract.typical - eaten.typical, 0.0), 400.0)
    yields = gas.GAS_PER_HEXOSE
    return Span(*(
        float(gas.refermentation(some, temperature, strength, sweet, gas_per_hexose=part).gauge)
        for some, part in zip(eaten, yields, strict=True)
    ))  # fmt: skip


def _risk(sugar: Span, eaten: Span, at_twenty: Span, stabilised: bool) -> Risk:
    if sugar.high <= STILL_SUGAR:
        return Risk.NONE
    if stabilised:
        return Risk.HELD
    if eaten.high <= STILL_SUGAR:
        return Risk.NONE if eaten.high <= 0.0 else Risk.UNSURE
    if eaten.typical <= STILL_SUGAR:
        return Risk.UNSURE
    return Risk.GRAVE if at_twenty.high >= BURSTS_FROM else Risk.REAL


def _words(risk: Risk, sugar: Span, eaten: Span, margin: Span) -> Words:
    if risk == Risk.NONE and sugar.high <= STILL_SUGAR:
        return say("Nothing to speak of is left to ferment: at most {}. A sugar test makes sure.",
                   phrases.concentration(max(sugar.high, 0.0)))  # fmt: skip
    if risk == Risk.NONE:
        return say("The yeast is past its limit, so the sugar ({}) should stay. Yeasts have been known to go further.",
                   phrases.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.HELD:
        return say("{} of sugar stay only as long as what keeps the yeast from working holds.",
                   phrases.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.UNSURE:
        return say("Perhaps not: up to {} of sugar may be taken by living yeast. Test for residual sugar before you bottle.",
                   phrases.concentration(eaten.high))  # fmt: skip
    far = "it bears {} more alcohol" if margin.typical > 0.0 else "it may bear {} more alcohol"
    more = phrases.alcohol(margin.typical if margin.typical > 0.0 else margin.high)
    end = "corks would creep and bottles may break" if risk == Risk.REAL else "still bottles would burst"
    return say(f"No: living yeast would take about {{}} of sugar ({far}), and {end}.",
               phrases.concentration(eaten.typical), more)  # fmt: skip


def _food(mead: Mead) -> tuple[Food, ...]:
    room = mead.after.volume.typical
    before = mead.before.fermentable.typical * mead.before.volume.typical
    parts: dict[str, float] = {"what the yeast left": before}
    for effect in mead.effects:
        parts[effect.name] = parts.get(effect.name, 0.0) + effect.fermentable
    found = (Food(name, mass / room) for name, mass in parts.items() if mass / room >= TRACE)
    return tuple(sorted(found, key=lambda food: -food.sugar))


def _bacteria(mead: Mead) -> tuple[str, ...]:
    liquid = mead.mixed.member(0)
    return tuple(text for key, text in BACTERIA if float(concentration(liquid, key)) >= BACTERIA_FROM[key])
