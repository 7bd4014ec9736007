"""Will it stay still? What living yeast could still do in a closed bottle, the pressure of it, and the ways to prevent it.

The risk is a product of three things: sugar that yeast can take, yeast that lives, and alcohol that it still bears. Where
one of them is missing nothing happens. What is uncertain is told by its high end, because glass bursts at it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

from planner.batch import words
from planner.batch.batch import HouseRules
from planner.batch.mead import Mead
from planner.batch.rules import HEAT, SORBATE, SULPHITE, treatment_objections
from planner.batch.words import Words, say
from planner.model import gas, pasteurisation, sorbate, sulphite
from planner.model.constants import ETHANOL_DENSITY, ZERO_CELSIUS
from planner.model.fermentation import ETHANOL_YIELD
from planner.model.liquid import concentration
from planner.model.span import Span

STILL_SUGAR = 2.0
"""Sugar that yeast may take in a still bottle without harm. [kg/m^3] 10.2 and 10.3 of the property data: 2 g/L prickle,
4 g/L make about 1 bar at 20 °C."""

PRESSURE_TEMPERATURES = tuple(ZERO_CELSIUS + celsius for celsius in (10.0, 20.0, 30.0))
"""Temperatures of a cellar, a room and a hot day. [K]"""

UNKNOWN_PH = Span(3.1, 3.4, 3.8)
"""pH of fruit meads where none was measured. [-] Estimate, after the table of acidities in the property data."""

DOSED_PH = (2.01, 4.8)
"""Between these a dose is worked out; beyond them that of the nearer end stands, which is absurd enough to say no. [-]"""

HOLD_TEMPERATURE = 65.0 + ZERO_CELSIUS
"""At which bottles are held in the bath. [K] Common practice, no source."""

COLD = 4.0 + ZERO_CELSIUS
"""Of a refrigerator. [K] Common practice, no source."""

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


class Food(NamedTuple):
    """Where sugar that yeast can take comes from, and how much of it is in the finished mead. [kg/m^3]"""

    name: str
    sugar: float


class Pressure(NamedTuple):
    """Pressure above that of the air in a bottle kept at a temperature. [K], [Pa]"""

    temperature: float
    gauge: Span


@dataclass(frozen=True, slots=True)
class Stillness:
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
    strength = min(mead.after.alcohol.typical, 0.25)
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
                   words.concentration(max(sugar.high, 0.0)))  # fmt: skip
    if risk == Risk.NONE:
        return say("The yeast is past its limit, so the sugar ({}) should stay. Yeasts have been known to go further.",
                   words.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.HELD:
        return say("{} of sugar stay only as long as what keeps the yeast from working holds.",
                   words.concentration(sugar.typical))  # fmt: skip
    if risk == Risk.UNSURE:
        return say("Perhaps not: up to {} of sugar may be taken by living yeast. Test for residual sugar before you bottle.",
                   words.concentration(eaten.high))  # fmt: skip
    far = "it bears {} more alcohol" if margin.typical > 0.0 else "it may bear {} more alcohol"
    more = words.alcohol(margin.typical if margin.typical > 0.0 else margin.high)
    end = "corks would creep and bottles may break" if risk == Risk.REAL else "still bottles would burst"
    return say(f"No: living yeast would take about {{}} of sugar ({far}), and {end}.",
               words.concentration(eaten.typical), more)  # fmt: skip


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


# --- routes


class Way(NamedTuple):
    """One way to a mead that stays still.

    Attributes
    ----------
    key, name : str
        By which it is known, and what it is called.
    works : bool
        Whether it would do for the mead as it stands.
    state : Words
        Why, or what is missing.
    doses : tuple of Words
        What to weigh or to do.
    cannot : str
        What it cannot do.
    caution : str
        What can go wrong for people; empty where the rest says it.
    against : tuple of Words
        Why the rules of the house refuse it; empty if they do not.
    """

    key: str
    name: str
    works: bool
    state: Words
    doses: tuple[Words, ...]
    cannot: str
    caution: str
    against: tuple[Words, ...]

    @property
    def is_allowed(self) -> bool:
        """Whether no rule of the house is against it."""
        return not self.against


def ways(
    mead: Mead,
    tolerance: Span,
    rules: HouseRules | None = None,
    ph: Span | None = None,
    free_sulphite: float = 0.0,
    given: Mapping[str, float] | None = None,
) -> tuple[Way, ...]:
    """The ways to stability side by side.

    Parameters
    ----------
    mead : Mead
        Before and after its additions. [as its fields]
    tolerance : Span
        Alcohol at which its yeast stops. [m^3/m^3]
    rules : HouseRules, optional
        What the drinkers do not want. [as its fields]
    ph : Span, optional
        Of the mead after its additions; that of fruit meads at large where none is known. [-]
    free_sulphite : float
        Free sulphur dioxide in it now. [kg/m^3]
    given : mapping of str to float, optional
        Stabilisers among the additions already. [kg]

    Returns
    -------
    tuple of Way
        At the yeast's limit, dry, sulphite with sorbate, heat, cold.
    """
    rules, acidity = rules or HouseRules(), ph or mead.ph or UNKNOWN_PH
    measured = (ph or mead.ph) is not None
    return (
        _at_limit(mead, tolerance),
        _dry(mead),
        _stabilised(mead, rules, acidity, measured, free_sulphite, given or {}),
        _heated(mead, rules),
        _cold(mead, tolerance),
    )


def _at_limit(mead: Mead, tolerance: Span) -> Way:
    now = mead.after.alcohol
    lacking = tolerance.high - now.typical
    works = now.low >= tolerance.high
    if works:
        state = say("At {} this yeast (its limit: {} to {}) is past what it bears.", words.alcohol(now.typical),
                    words.alcohol(tolerance.low), words.alcohol(tolerance.high))  # fmt: skip
    else:
        state = say("{} below the most this yeast has been known to bear ({}).", words.alcohol(max(lacking, 0.0)),
                    words.alcohol(tolerance.high))  # fmt: skip
    doses: tuple[Words, ...] = ()
    if not works:
        doses = (
            say("Feed it sugar or honey while it still works, until it stops by itself; then wait a month and test."),
            *_spirit(mead, tolerance.high),
        )
    return Way("limit", "At the yeast's limit", works, state, doses,
               "Limits of yeasts are spans, not lines: it does not stop a yeast that bears more, nor bacteria.",
               "", ())  # fmt: skip


def _spirit(mead: Mead, wanted: float) -> tuple[Words, ...]:
    """Neutral spirit that would bring the mead to a strength, by the cross of blending volumes."""
    now, room, spirit = mead.after.alcohol.typical, mead.after.volume.typical, 0.40
    if not now < wanted < 0.9 * spirit:
        return ()
    needed = room * (wanted - now) / (spirit - wanted)
    return (say("Or about {} of spirit of {}: another drink then, in taste and before the law.", words.volume(needed),
                words.alcohol(spirit)),)  # fmt: skip


def _dry(mead: Mead) -> Way:
    left = mead.after.fermentable
    works = left.high <= STILL_SUGAR
    fed = [effect.name for effect in mead.effects if effect.fermentable / mead.after.volume.typical > TRACE]
    if works:
        state = say("At most {} of sugar that yeast can take is left.", words.concentration(left.high))
    else:
        state = say("There may be up to {} of sugar that yeast can take; {} are the limit here.",
                    words.concentration(left.high), words.concentration(STILL_SUGAR))  # fmt: skip
    doses = (
        say("Let it ferment out, test for residual sugar, and sweeten with what yeast leaves: erythritol, xylitol, allulose."),
        *((say(f"Among the additions {_listed(fed)} {'brings' if len(fed) == 1 else 'bring'} sugar that yeast takes."),)
          if fed else ()),
    )  # fmt: skip
    return Way("dry", "Dry, with sweetness that yeast leaves", works, state, doses,
               "Maltodextrin and extracts carry a little sugar that counts; bacteria take some of what yeast leaves.",
               "Sugar alcohols are hard on the gut in quantity, and xylitol is deadly for dogs.", ())  # fmt: skip


def _listed(names: list[str]) -> str:
    plain = [name.replace("{", "(").replace("}", ")") for name in dict.fromkeys(names)]
    return plain[0] if len(plain) == 1 else f"{', '.join(plain[:-1])} and {plain[-1]}"


def sulphite_dose(mead: Mead, acidity: Span, free: float = 0.0) -> tuple[float, Span]:
    """Free sulphur dioxide to aim at, and the metabisulphite for it.

    Parameters
    ----------
    mead : Mead
        After its additions. [as its fields]
    acidity : Span
        pH. [-] The typical one is aimed at.
    free : float
        Free sulphur dioxide in it now. [kg/m^3]

    Returns
    -------
    float
        Free sulphur dioxide to aim at. [kg/m^3]
    Span
        Potassium metabisulphite. [kg]
    """
    ph = min(max(acidity.typical, DOSED_PH[0]), DOSED_PH[1])
    aim = float(sulphite.free_for(sulphite.MOLECULAR_SWEET, ph))
    return aim, sulphite.metabisulphite(aim - free, mead.after.volume.typical)


def _stabilised(
    mead: Mead, rules: HouseRules, acidity: Span, measured: bool, free: float, given: Mapping[str, float]
) -> Way:
    room = mead.after.volume.typical
    aim, powder = sulphite_dose(mead, acidity, free)
    total = float(sulphite.total_from(powder.typical + given.get("potassium-metabisulphite", 0.0), room))
    salt = sorbate.usual_dose(min(max(acidity.typical, DOSED_PH[0]), DOSED_PH[1]), room)
    acid = float(sorbate.sorbic_acid(salt.typical, room))
    strictest, hardest = (min(limit.value for limit in some) for some in (sulphite.LIMITS, sorbate.LIMITS))
    too_much = total > strictest or acid > hardest * (1.0 + 1e-9)
    where = "at pH {}" if measured else "at a pH of about {}, which was not measured"
    if too_much:
        state = say(f"Not {where}: it would take {{}} of sulphur dioxide and {{}} of sorbic acid, beyond {{}} and {{}}.",
                    words.ph(acidity.typical), words.trace(total), words.trace(acid), words.trace(strictest),
                    words.trace(hardest))  # fmt: skip
    else:
        state = say(f"Holds yeast back {where}, in cleared, racked mead that has stopped. Measure the pH: it decides the dose.",
                    words.ph(acidity.typical)) if not measured else say(
                    f"Holds yeast back {where}, in cleared, racked mead that has stopped.",
                    words.ph(acidity.typical))  # fmt: skip
    doses = (
        say("Potassium metabisulphite: {} first, about {} in the end, to {} of free sulphur dioxide; measure after some days.",
            words.mass(powder.low), words.mass(powder.typical), words.trace(aim)),
        say("Potassium sorbate: {} to {}, just before bottling, dissolved in a little mead.",
            words.mass(salt.low), words.mass(min(salt.high, float(sorbate.sorbate_for(hardest, room))))),
    )  # fmt: skip
    return Way("stabilised", "Sulphite with sorbate", not too_much, state, doses,
               "It stops no fermentation that is going on, and sorbate holds back no bacteria.",
               f"{sulphite.CAUTION} {sorbate.CAUTION}",
               treatment_objections(rules, SULPHITE, SORBATE))  # fmt: skip


def _heated(mead: Mead, rules: HouseRules) -> Way:
    target = pasteurisation.TARGET
    minutes = Span(*(float(pasteurisation.minutes_for(units, HOLD_TEMPERATURE)) for units in target))
    doses = (
        say("Hold the middle of the bottle at {} for {} minutes ({} to {}), in a water bath, 3 % of it left empty.",
            words.temperature(HOLD_TEMPERATURE), words.count(minutes.typical), words.count(minutes.low),
            words.count(minutes.high)),
    )  # fmt: skip
    return Way("heated", "Pasteurised in the bottle", True,
               say("Ends all life in {} of mead, whatever its sugar.", words.volume(mead.after.volume.typical)), doses,
               "It costs some aroma, does not mend a spoiled mead, and protects only what stays closed.",
               pasteurisation.CAUTION, treatment_objections(rules, HEAT))  # fmt: skip


def _cold(mead: Mead, tolerance: Span) -> Way:
    eaten = min(mead.after.fermentable.high,
                max(tolerance.high - mead.after.alcohol.low, 0.0) * ETHANOL_DENSITY / ETHANOL_YIELD.typical)  # fmt: skip
    state = say("Slows the yeast; {} of sugar would still ferment in the first warm week.", words.concentration(eaten))
    doses = (say("At {} or below from the day it is filled, to be drunk within weeks.", words.temperature(COLD)),)
    return Way("cold", "Kept cold", False, state, doses,
               "It ends nothing: one forgotten or given bottle is a danger. In bottles made for pressure, or loosely closed.",
               gas.CAUTION, ())  # fmt: skip
