"""The ways to a mead that stays still, side by side: doses, what each cannot do, and what the house has against it."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import heat_caution, heated_closed, heating, together
from planner.adjusting.dosing import weighable
from planner.adjusting.mead import Mead
from planner.adjusting.refermentation_risk import LEAST_FOUND, STILL_SUGAR, TRACE, limit_words, most_sugar, stillness
from planner.document.batch import Addition, HouseRules
from planner.model import sorbate, sulphite
from planner.model.constants import ZERO_CELSIUS
from planner.model.span import Span
from planner.recipe.house_rules import HEAT, SORBATE, SULPHITE, treatment_objections
from planner.reference.catalogue import catalogue
from planner.wording import phrases
from planner.wording.finding import warned, with_sources
from planner.wording.measuring import measured_as
from planner.wording.phrases import Words, say

UNKNOWN_PH = Span(3.1, 3.4, 3.8)
"""pH of fruit meads where none was measured. [-] Estimate, after the table of acidities in the property data."""

DOSED_PH = (2.01, 4.8)
"""Between these a dose is worked out; beyond them that of the nearer end stands, which is absurd enough to say no. [-]"""

COLD = 4.0 + ZERO_CELSIUS
"""Of a refrigerator. [K] Common practice, no source."""


class Way(msgspec.Struct, frozen=True):
    """One way to a mead that stays still.

    Attributes
    ----------
    key, name : str
        By which it is known, and what it is called.
    works : bool
        Whether it would do for the mead as it stands; nothing but the end of the sugar does while it ferments.
    state : Words
        Why, or what is missing.
    doses : tuple of Words
        What to weigh or to do.
    cannot : str
        What it cannot do.
    caution : Words
        What can go wrong for people, and what says so; empty where the rest says it.
    against : tuple of Words
        Why the rules of the house refuse it; empty if they do not.
    additions : tuple of Addition
        What goes into the mead for it, as it can be weighed; empty where nothing does. [kg]
    """

    key: str
    name: str
    works: bool
    state: Words
    doses: tuple[Words, ...]
    cannot: str
    caution: Words
    against: tuple[Words, ...]
    additions: tuple[Addition, ...] = ()

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
    in_bottles: bool = False,
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
    if in_bottles:
        return (_cold(mead, tolerance),)
    rules, acidity = rules or HouseRules(), ph or mead.ph or UNKNOWN_PH
    measured = ph is not None or mead.ph_measured
    found = (
        _at_limit(mead, tolerance),
        _dry(mead),
        _stabilised(mead, rules, acidity, measured, free_sulphite, given or {}),
        _heated(mead, rules),
        _cold(mead, tolerance),
    )
    return tuple(_not_yet(way) for way in found) if mead.basis is Basis.FORECAST else found


def _not_yet(way: Way) -> Way:
    """A way for a mead that still ferments: it waits, whatever it would do at its end."""
    if way.key not in ("stabilised", "heated"):
        return way
    why = (
        "it does not stop a running fermentation"
        if way.key == "stabilised"
        else "a bottle that makes gas bursts in the heat"
    )
    return msgspec.structs.replace(
        way, works=False, state=say(f"Not while it ferments: {why}. Wait until it has stopped.")
    )


def _at_limit(mead: Mead, tolerance: Span) -> Way:
    now = mead.after.alcohol
    lacking = tolerance.high - now.typical
    works = now.low >= tolerance.high
    if works:
        state = say("At {} this yeast is past its limit ({} to {}).", phrases.alcohol(now.typical),
                    phrases.alcohol(tolerance.low), phrases.alcohol(tolerance.high))  # fmt: skip
    else:
        state = say("The mead is {} below the most that this yeast has tolerated ({}).", phrases.alcohol(max(lacking, 0.0)),
                    phrases.alcohol(tolerance.high))  # fmt: skip
    doses: tuple[Words, ...] = ()
    if not works:
        doses = (
            say("Feed it sugar or honey while it still ferments, until it stops. Then wait a month and test."),
            *_spirit(mead, tolerance.high),
        )
    return Way("limit", "At the yeast's limit", works, state, doses,
               "Limits of yeasts vary: this does not stop a yeast that tolerates more, or bacteria.",
               say(""), ())  # fmt: skip


def _spirit(mead: Mead, wanted: float) -> tuple[Words, ...]:
    """Neutral spirit that would bring the mead to a strength, by the cross of blending volumes."""
    now, room, spirit = mead.after.alcohol.typical, mead.after.volume.typical, 0.40
    if not now < wanted < 0.9 * spirit:
        return ()
    needed = room * (wanted - now) / (spirit - wanted)
    return (say("Or add about {} of spirit ({}). It then tastes, and counts in law, as another drink.", phrases.rough_volume(needed),
                phrases.alcohol(spirit)),)  # fmt: skip


def _dry(mead: Mead) -> Way:
    left = mead.after.fermentable
    works = left.high <= STILL_SUGAR
    fed = [effect.name for effect in mead.effects if effect.fermentable / mead.after.volume.typical > TRACE]
    if works:
        state = say("At most {} of fermentable sugar is left.", phrases.concentration(left.high))
    else:
        limit = limit_words()
        state = say(f"Up to {{}} of sugar may still ferment. {limit.template}.", most_sugar(left.high),
                    *limit.figures)  # fmt: skip
    doses = (
        say("Let it ferment out, and test for residual sugar. Sweeten it with what yeast leaves: erythritol, xylitol, allulose."),
        *((say(f"Among the additions {_listed(fed)} {'brings' if len(fed) == 1 else 'bring'} fermentable sugar."),)
          if fed else ()),
    )  # fmt: skip
    return Way("dry", "Dry, with sweetness that yeast leaves", works, state, doses,
               "Maltodextrin and extracts carry a little fermentable sugar. Bacteria take some of what yeast leaves.",
               with_sources(say("Much sugar alcohol loosens the bowels, and xylitol can kill dogs. Some sweeteners may not be allowed for sale where you live: check your local rules."),
                            ("oku-polyols", "xylitol-dogs-2010", "common-practice"), catalogue()), ())  # fmt: skip


def _listed(names: list[str]) -> str:
    plain = [phrases.in_a_sentence(name) for name in dict.fromkeys(names)]
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
    aim = max(float(sulphite.free_for(sulphite.MOLECULAR_SWEET, ph)), sulphite.LEAST_FREE)
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
    where = "at pH {}" if measured else "at a pH of about {}"
    measure = "" if measured else " The pH was not measured: measure it, because it decides the dose."
    if too_much:
        state = say(f"Not {where}: it would take {{}} of sulphur dioxide and {{}} of sorbic acid. The limits are {{}} and {{}}.{measure}",
                    phrases.ph(acidity.typical), phrases.trace(total), phrases.trace(acid), phrases.trace(strictest),
                    phrases.trace(hardest))  # fmt: skip
    else:
        state = say(f"Both together hold yeast back {where}, in cleared, racked mead that has stopped.{measure}", phrases.ph(acidity.typical))  # fmt: skip
    most = float(sorbate.sorbate_for(hardest, room))
    doses = (
        say("Potassium metabisulphite: start with {}, and measure free sulphur dioxide after some days. Expect to need {} in all for {}.",
            phrases.mass(powder.low), phrases.mass(powder.typical), phrases.trace(aim)),
        *((less,) if (less := measured_as(powder.low)) is not None else ()),
        say("Potassium sorbate: {} to {}, just before bottling, dissolved in a little mead.",
            phrases.mass(salt.low), phrases.mass(min(salt.high, most))),
    )  # fmt: skip
    additions = (
        Addition(key="potassium-metabisulphite", mass=weighable(powder.low)),
        Addition(key="potassium-sorbate", mass=weighable(min(salt.typical, most))),
    )
    return Way("stabilised", "Sulphite with sorbate", not too_much, state, doses,
               "This does not stop a running fermentation, and sorbate does not stop bacteria.",
               together(warned("sulphite", catalogue()), warned("sorbate", catalogue())),
               treatment_objections(rules, SULPHITE, SORBATE), () if too_much else additions)  # fmt: skip


def _heated(mead: Mead, rules: HouseRules) -> Way:
    return Way("heated", "Pasteurised in the bottle", True,
               say("Heat kills yeast and most bacteria, whatever the sugar. It does not kill spores."),
               (*heating(), heated_closed(mead)),
               "Heat costs some aroma, does not rescue a spoiled mead, and protects only what stays closed.",
               heat_caution(), treatment_objections(rules, HEAT))  # fmt: skip


def _cold(mead: Mead, tolerance: Span) -> Way:
    eaten = stillness(mead, tolerance, stabilised=False).eaten
    if eaten.high <= STILL_SUGAR:
        state = say("Not needed: at most {} of sugar can still ferment.", phrases.concentration(eaten.high))
    elif eaten.typical < LEAST_FOUND:
        state = say(
            "Cold only slows the yeast. In warmth up to {} of sugar may ferment.", phrases.concentration(eaten.high)
        )
    else:
        state = say("Cold only slows the yeast: about {} of sugar would ferment in the first warm week.",
                    phrases.concentration(eaten.typical))  # fmt: skip
    doses = (
        say(
            "Keep every bottle at {} or below from the day you fill it, and drink it within weeks.",
            phrases.temperature(COLD),
        ),
    )
    return Way("cold", "Kept cold", False, state, doses,
               "A bottle that gets warm ferments again and can burst. Use bottles made for pressure, or close them loosely.",
               warned("refermentation", catalogue()), ())  # fmt: skip
