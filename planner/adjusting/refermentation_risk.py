"""Will it stay still? What living yeast could still do in a closed bottle, and the pressure of it.

The risk is a product of three things: sugar that yeast can take, yeast that lives, and alcohol that it still bears. Where
one of them is missing nothing happens. What is uncertain is told by its high end, because glass bursts at it.
"""

from __future__ import annotations

import math
from enum import IntEnum

import msgspec

from planner.adjusting.mead import Mead
from planner.model import gas
from planner.model.constants import ETHANOL_DENSITY, ZERO_CELSIUS
from planner.model.fermentation import ETHANOL_YIELD
from planner.model.liquid import concentration
from planner.model.span import Span
from planner.timeline.readings import sugar_doubt
from planner.wording import phrases
from planner.wording.phrases import Words, say

STILL_SUGAR = 2.0
"""Sugar that may be left for living yeast in an ordinary bottle: the one limit. [kg/m^3] In a degassed mead (`gas.DEGASSED`) of
12 % vol all of it makes 1 bar at 20 °C, the bound of still wine (`gas.ORDINARY`). A strong, sweet mead dissolves less gas, and
comes to 1.2 bar; one that was not degassed, to 1.5."""

LIMIT = "{} is the limit for ordinary bottles: in a degassed mead it makes {} at {}"
"""The limit with its reason, inside a sentence."""

PRESSURE_TEMPERATURES = tuple(ZERO_CELSIUS + celsius for celsius in (10.0, 20.0, 30.0))
"""Temperatures of a cellar, a room and a hot day. [K]"""

BACTERIA = (
    ("lactose", "Lactose feeds some lactic bacteria, though no mead yeast."),
    ("sorbitol", "Sorbitol, from fruit or added, feeds some bacteria, though no yeast."),
    (
        "malic",
        "Malolactic bacteria can turn malic acid into lactic acid and gas: the mead prickles a little and tastes softer.",
    ),
    ("glycerol", "Some lactic bacteria turn glycerol bitter."),
)
"""What bacteria take of what yeast leaves, by component, in words. From memory."""

BACTERIA_FROM = {"lactose": 1.0, "sorbitol": 5.0, "malic": 1.0, "glycerol": 20.0}
"""Concentrations from which that is worth a word. [kg/m^3] Estimate."""

BURSTS_FROM = 2.5 * gas.BAR
"""Pressure at 20 °C above which ordinary bottles are spoken of as bursting; below it, of corks that creep. [Pa] The end of
semi-sparkling (Regulation (EU) No 1308/2013); ordinary bottles have no rating at all."""

BURSTS_ANY = 8.0 * gas.BAR
"""Pressure at 20 °C beyond every bottle. [Pa] See `gas.vessel_words`."""

TRACE = 0.05
"""Sugar of one source that is worth a line. [kg/m^3]"""


LEAST_FOUND = 0.1
"""Least that a sugar test is asked to show. [kg/m^3] The finest kits state so much; from memory."""


class Risk(IntEnum):
    """How likely a second fermentation in the bottle is, and how bad."""

    NONE = 0
    """Nothing left to ferment, or nothing that could."""
    HELD = 1
    """There is sugar, and something keeps yeast from it: as long as that holds."""
    UNSURE = 2
    """By the typical figures no, by the high ones yes: a sugar test decides."""
    REAL = 3
    """It would prickle or push corks; or it may, and no test can decide."""
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
    vessel : gas.BottleKind
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
    vessel: gas.BottleKind
    food: tuple[Food, ...]
    bacteria: tuple[str, ...]

    @property
    def gauge(self) -> float:
        """The high end of the pressure at 20 °C. [Pa]"""
        return self.pressures[1].gauge.high


def clears_below(mead: Mead) -> float | None:
    """What a sugar test may find at most for a mead to be safe in ordinary bottles.

    Parameters
    ----------
    mead : Mead
        Before and after its additions. [as its fields]

    Returns
    -------
    float or None
        To a tenth; None where no test can clear it, because of the sugar in what was added. [kg/m^3]
    """
    added = sum(effect.fermentable for effect in mead.effects) / mead.after.volume.typical
    most = STILL_SUGAR - added - sugar_doubt(0.0)
    return math.floor(10.0 * most) / 10.0 if most >= LEAST_FOUND else None


def stillness(mead: Mead, tolerance: Span, stabilised: bool) -> Stillness:
    """What may happen with an adjusted mead in a closed bottle.

    Parameters
    ----------
    mead : Mead
        Before and after its additions. [as its fields]
    tolerance : Span
        Alcohol at which its yeast stops. [m^3/m^3]

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
    # Up to the limit an ordinary bottle does, whatever a strong, sweet mead adds to the last tenths of a bar: one rule.
    vessel = gas.vessel_words(0.0 if eaten.high <= STILL_SUGAR else pressures[1].gauge.high)
    risk = _risk(sugar, eaten, pressures[1].gauge, stabilised, clears_below(mead) is not None)
    return Stillness(risk, _words(risk, sugar, eaten, pressures[1].gauge.high), sugar, eaten, margin, pressures, vessel,
                     _food(mead), _bacteria(mead))  # fmt: skip


def _minus(one: Span, other: Span) -> Span:
    return Span(one.low - other.high, one.typical - other.typical, one.high - other.low)


def _gauge(mead: Mead, eaten: Span, temperature: float) -> Span:
    strength = min(max(mead.after.alcohol.typical, 0.0), 0.25)
    sweet = min(max(mead.after.extract.typical - eaten.typical, 0.0), 400.0)
    held = (gas.DEGASSED, gas.STANDING, gas.STANDING)  # nobody knows how well it will be degassed
    return Span(*(
        float(gas.refermentation(some, temperature, strength, sweet, present=there, gas_per_hexose=part).gauge)
        for some, there, part in zip(eaten, held, gas.GAS_PER_HEXOSE, strict=True)
    ))  # fmt: skip


def _risk(sugar: Span, eaten: Span, at_twenty: Span, stabilised: bool, testable: bool) -> Risk:
    if sugar.high <= STILL_SUGAR:
        return Risk.NONE
    if stabilised:
        return Risk.HELD
    if eaten.high <= STILL_SUGAR:
        return Risk.NONE if eaten.high <= 0.0 else Risk.UNSURE
    if eaten.typical <= STILL_SUGAR and testable:
        return Risk.UNSURE
    return Risk.GRAVE if at_twenty.high >= BURSTS_FROM else Risk.REAL


def limit_words() -> Words:
    """The one limit of sugar for ordinary bottles with its reason, inside a sentence."""
    return say(
        LIMIT,
        phrases.concentration(STILL_SUGAR),
        phrases.pressure(gas.ORDINARY),
        phrases.temperature(PRESSURE_TEMPERATURES[1]),
    )


def most_sugar(high: float) -> phrases.Figure:
    """The high end of a sugar, told so that what is beyond the limit reads as beyond it. [kg/m^3]"""
    return phrases.concentration(max(high, STILL_SUGAR + 0.1) if high > STILL_SUGAR else high)


def consequence(gauge: float) -> str:
    """What a pressure at 20 °C does to bottles, after "would" or "could".

    Parameters
    ----------
    gauge : float
        The high end. [Pa]
    """
    if gauge >= BURSTS_FROM:
        return f"burst {'any bottle' if gauge >= BURSTS_ANY else 'ordinary bottles'}"
    return "push out corks, and break bottles"


def _words(risk: Risk, sugar: Span, eaten: Span, gauge: float) -> Words:
    if risk == Risk.NONE and sugar.high <= STILL_SUGAR:
        return say("Dry: at most {} of sugar can still ferment.", phrases.concentration(max(sugar.high, 0.0)))
    if risk == Risk.NONE:
        return say("The yeast is past its limit, so the sugar ({}) should stay. Some yeasts have gone further.",
                   phrases.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.HELD:
        return say("{} of sugar stays only as long as the treatment holds.",
                   phrases.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.UNSURE:
        limit = limit_words()
        return say(f"Perhaps not stable: up to {{}} of sugar may still ferment, which could {consequence(gauge)}. {limit.template}. Test for residual sugar "
                   "before you bottle.", most_sugar(eaten.high), *limit.figures)  # fmt: skip
    low, high = phrases.concentration(max(eaten.low, 0.0)), most_sugar(eaten.high)
    if eaten.is_exact:
        return say(f"Not stable: yeast may ferment another {{}} of sugar, which would {consequence(gauge)}.", high)
    return say(f"Not stable: yeast may ferment another {{}} to {{}} of sugar, most likely {{}}. The upper end would "
               f"{consequence(gauge)}.", low, high, phrases.concentration(eaten.typical))  # fmt: skip


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
