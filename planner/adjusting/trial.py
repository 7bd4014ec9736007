"""Trial glasses: a plan that a kitchen scale and a syringe can follow, what the scores say, and dosing in steps.

Each ingredient gets a stock solution made with the mead itself, so that a gram scale can measure it and the mead is not
thinned; a glass is a measure of each stock, filled up with plain mead. The dose of a glass is exact in mass: what the
stocks bring, per volume of the plain mead in it. A stock so strong that neighbouring glasses would differ by less than can
be measured is diluted with mead first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise, product

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.additions import liquid_of, stirred
from planner.adjusting.dose import values_of
from planner.adjusting.mead import noticed
from planner.document.batch import Addition, Glass, Trial, TrialPart
from planner.model.liquid import Liquid, volume
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive

Array = npt.NDArray[np.float64]

SCALE_MARK = 1e-3
"""Smallest step of a kitchen scale. [kg]"""

SYRINGE_MARK = 0.5e-6
"""Half a millilitre, to which a syringe or a slim cylinder is read. [m^3] Estimate."""

LEAST_APART = 2.0 * SYRINGE_MARK
"""Least volume of stock by which neighbouring glasses differ. [m^3] Two marks, so that none is read for the other."""

STOCK_MASSES = (
    0.1e-3,
    0.2e-3,
    0.5e-3,
    1e-3,
    2e-3,
    3e-3,
    5e-3,
    10e-3,
    15e-3,
    20e-3,
    25e-3,
    30e-3,
    40e-3,
    50e-3,
    75e-3,
    100e-3,
)
"""Round masses for a stock. [kg] None is larger than what the whole batch would get."""

STOCK_VOLUMES = (50e-6, 100e-6, 150e-6, 200e-6, 250e-6, 300e-6, 400e-6, 500e-6)
"""Volumes to which a stock is made up. [m^3] As kitchen measures are marked."""

TAKEN = (5e-6, 10e-6, 20e-6, 25e-6, 50e-6, 100e-6)
"""Volumes of a stock that are diluted. [m^3] As syringes and small cylinders are marked."""

STRONGEST_STOCK = 300.0
"""Most that is dissolved in a stock. [kg/m^3] Dextrins still pour. Estimate."""

DISSOLVES = 600.0
"""Most that is dissolved in a stock, per its solubility in cold water. [kg/m^3 per kg/kg] Estimate: warmer helps, the
alcohol hinders."""

MOST_OF_GLASS = 0.9
"""Largest part of a glass that may be stock. [-]"""

COARSE = 0.25
"""Doubt of a dose from which a trial tells little. [-] Estimate."""

STRENGTHS = {
    4: (0.0, 0.5, 1.0, 1.5),
    5: (0.0, 0.4, 0.7, 1.0, 1.4),
    6: (0.0, 0.4, 0.7, 1.0, 1.3, 1.6),
}
"""Full doses in each glass, by the number of glasses; one without, so that the taster may prefer the mead as it is."""


class Dilution(msgspec.Struct, frozen=True):
    """So much of a stock, made up with mead to a volume, which is what the glasses get. [m^3]"""

    taken: float
    made_up_to: float

    @property
    def share(self) -> float:
        """Of the stock in it. [-]"""
        return self.taken / self.made_up_to


class Stock(msgspec.Struct, frozen=True):
    """A stock solution: so much of an ingredient, made up with mead to a volume. [kg], [m^3]"""

    key: str
    name: str
    mass: float
    made_up_to: float
    plain: float
    """Mead that goes into it. [m^3]"""
    dilution: Dilution | None = None
    """How it is diluted before it is poured; None where it is not."""

    @property
    def strength(self) -> float:
        """Of the ingredient in it, before it is diluted. [kg/m^3]"""
        return self.mass / self.made_up_to

    @property
    def concentration(self) -> float:
        """Of the ingredient in what is poured. [kg/m^3]"""
        return self.strength * (1.0 if self.dilution is None else self.dilution.share)

    @property
    def mead(self) -> float:
        """Mead that it takes, that for its dilution included. [m^3]"""
        return self.plain + (0.0 if self.dilution is None else self.dilution.made_up_to - self.dilution.taken)

    @property
    def volume(self) -> float:
        """Of the stock and what is made of it, together. [m^3]"""
        return self.made_up_to + (0.0 if self.dilution is None else self.dilution.made_up_to - self.dilution.taken)


class Pour(msgspec.Struct, frozen=True):
    """What goes into one glass. [m^3] [kg/m^3]"""

    strength: float
    stocks: tuple[float, ...]
    plain: float
    doses: tuple[float, ...]
    """Of each ingredient, per volume of the plain mead that is in the glass. [kg/m^3]"""
    doubts: tuple[float, ...]
    """Share of each dose by which scale and syringe may miss it (90 %). [-]"""
    steps: float
    """Just-noticeable steps from the glass before. [-]"""

    @property
    def doubt(self) -> float:
        """The largest of the doubts. [-]"""
        return max(self.doubts, default=0.0)


class TrialPlan(msgspec.Struct, frozen=True):
    """How to prepare the glasses of a trial.

    Attributes
    ----------
    stocks : tuple of Stock
        One for each ingredient.
    pours : tuple of Pour
        One for each glass.
    mead : float
        Plain mead that all stocks and glasses take. [m^3]
    drunk : float
        Mead that is in the glasses: what the trial takes from the batch if the rest of the stocks goes back. [m^3]
    left : tuple of float
        What is left of each stock, and of its dilution. [m^3] It can go back into the batch and then counts as a dose.
    doubts : tuple of str
        What may go wrong with it, in words.
    """

    stocks: tuple[Stock, ...]
    pours: tuple[Pour, ...]
    mead: float
    drunk: float
    left: tuple[float, ...]
    doubts: tuple[str, ...]


def new_trial(additions: Sequence[Addition], volume_of_mead: float, glasses: int = 5, glass: float = 1e-4) -> Trial:
    """A trial about a proposal: glasses with none of it, some of it, all of it and more.

    Parameters
    ----------
    additions : sequence of Addition
        The proposal for the whole batch. [kg]
    volume_of_mead : float
        Mead that it is for. [m^3]
    glasses : int
        4 to 6. [-]
    glass : float
        Size of a sample. [m^3]

    Returns
    -------
    Trial
        Ready to be poured; no scores yet.

    Raises
    ------
    ValueError
        Nothing is proposed, or the number of glasses is another.
    """
    if glasses not in STRENGTHS:
        raise ValueError(f"{glasses} glasses; a trial has {min(STRENGTHS)} to {max(STRENGTHS)}.")
    masses: dict[str, float] = {}
    for addition in additions:
        masses[addition.key] = masses.get(addition.key, 0.0) + addition.mass
    parts = tuple(
        TrialPart(key=key, dose=min(mass / volume_of_mead, 1000.0)) for key, mass in masses.items() if mass > 0.0
    )
    if not parts:
        raise ValueError("There is nothing to try: add an addition first.")
    return Trial(parts=parts, glasses=tuple(Glass(strength=s) for s in STRENGTHS[glasses]), glass=glass)


def plan(
    trial: Trial,
    mead: Liquid,
    catalogue: Catalogue,
    lines: Mapping[str, Addition] | None = None,
    scale: float = SCALE_MARK,
    syringe: float = SYRINGE_MARK,
) -> TrialPlan:
    """How to make the stocks and fill the glasses.

    Parameters
    ----------
    mead : Liquid
        The mead as it is, shape (components,). [kg]
    scale : float
        Smallest step of the scale. [kg]
    syringe : float
        Smallest step of the measure for stocks. [m^3]

    Returns
    -------
    TrialPlan
        Stocks of round mass and volume, chosen so that scale and syringe together miss the doses least.

    Raises
    ------
    UnknownIngredient
        An ingredient that the shelf does not hold.
    """
    rows = [catalogue.additive(part.key) for part in trial.parts]
    lines = lines or {}
    grown = [_growth(mead, row, part.dose, lines.get(part.key)) for row, part in zip(rows, trial.parts, strict=True)]
    strengths = [glass.strength for glass in trial.glasses]
    most = max(strengths, default=0.0)
    needs = _needs(trial, grown, strengths)
    largest = [max(need, default=0.0) for need in needs]
    stocks, doubts = [], []
    for row, part, need, most_of_it, room in zip(rows, trial.parts, needs, largest, grown, strict=True):
        share = MOST_OF_GLASS * trial.glass * most_of_it / max(sum(largest), 1e-12)
        whole = part.dose * float(volume(mead))
        stocks.append(_stock(row, need, whole, share, scale, syringe, room))
        if stocks[-1].strength > _strongest(row):
            doubts.append(
                f"{row.name}: this much may not dissolve in its stock. Warm it gently, or try a smaller dose."
            )
    pours, before = [], None
    for place, strength in enumerate(strengths):
        doses = tuple(part.dose * strength for part in trial.parts)
        poured = tuple(need[place] / stock.concentration for need, stock in zip(needs, stocks, strict=True))
        tasted = _taste(mead, rows, doses, lines)
        steps = 0.0 if before is None else _steps(before, tasted)
        doubt = tuple(_miss(s, one, scale, syringe) for s, one in zip(stocks, poured, strict=True))
        pours.append(Pour(strength, poured, trial.glass - sum(poured), doses, doubt, steps))
        before = tasted
    used = [sum(pour.stocks[i] for pour in pours) for i in range(len(stocks))]
    left = tuple(stock.volume - one for stock, one in zip(stocks, used, strict=True))
    drunk = sum(_plain_in(trial, grown, strength) for strength in strengths) if most > 0.0 else trial.glass * len(pours)
    mead_used = sum(stock.mead for stock in stocks) + sum(pour.plain for pour in pours)
    if any(pour.doubt > COARSE for pour in pours):
        doubts.append(
            "Your scale and syringe are too coarse for the weakest glass. Use larger glasses, or finer tools."
        )
    if any(0.0 < pour.steps < 1.0 for pour in pours):
        doubts.append("Some neighbours are less than a noticeable step apart. Few tasters will tell them apart.")
    return TrialPlan(tuple(stocks), tuple(pours), mead_used, drunk, left, tuple(doubts))


def _strongest(row: Additive) -> float:
    """Most of an ingredient that a stock dissolves. [kg/m^3]"""
    return STRONGEST_STOCK if row.solubility_cold is None else min(STRONGEST_STOCK, DISSOLVES * row.solubility_cold)


def _growth(mead: Liquid, row: Additive, dose: float, line: Addition | None) -> float:
    """Volume that each mass of an ingredient adds to the mead. [m^3/kg]"""
    room = float(volume(mead))
    mass = max(dose, 1e-3) * room
    return (float(volume(stirred(mead, row, mass, liquid_of(row, mass, line)))) - room) / mass


def _plain_in(trial: Trial, grown: Sequence[float], strength: float) -> float:
    """Plain mead in a glass, that in the stocks included. [m^3]"""
    more = sum(part.dose * strength * room for part, room in zip(trial.parts, grown, strict=True))
    return trial.glass / (1.0 + more)


def _needs(trial: Trial, grown: Sequence[float], strengths: Sequence[float]) -> list[list[float]]:
    """Mass of each ingredient in each glass. [kg]"""
    plain = [_plain_in(trial, grown, strength) for strength in strengths]
    return [[part.dose * s * room for s, room in zip(strengths, plain, strict=True)] for part in trial.parts]


def _stock(
    row: Additive, need: Sequence[float], dose: float, room: float, scale: float, syringe: float, grown: float
) -> Stock:
    """The stock that scale and syringe miss least, of round numbers, enough for all glasses, and of no more than the batch would
    get, unless the glasses alone need more."""
    whole, largest = sum(need), max(need, default=0.0)
    poured = sorted({one for one in need if one > 0.0})
    least = poured[0] if poured else largest
    apart = min((more - less for less, more in pairwise([0.0, *poured])), default=largest)
    most = max(dose, whole)
    masses = [mass for mass in STOCK_MASSES if mass <= most] or [min(STOCK_MASSES)]
    # What does not dissolve so well is still tried, with a word about it, if the glass needs it.
    strongest = min(max(_strongest(row), 1.6 * largest / room if room else 0.0), 0.9 / max(grown, 1e-9))
    best: tuple[float, Stock] | None = None
    for up_to, mass, dilution in product(STOCK_VOLUMES, masses, _DILUTIONS):
        if dilution is not None and dilution.taken >= up_to:
            continue
        made = Stock(row.key, row.name, mass, up_to, up_to - mass * grown, dilution)
        there = mass if dilution is None else made.concentration * dilution.made_up_to
        over = (whole / there, largest / made.concentration / room if room else 0.0, made.strength / strongest,
                LEAST_APART * made.concentration / apart if apart > 0.0 else 0.0)  # fmt: skip
        # Mead in a stock is mead from the batch: a little is preferred, other things equal; and no dilution.
        miss = _miss(made, least / made.concentration, scale, syringe) + 0.10 * made.volume / STOCK_VOLUMES[-1]
        miss += 0.0 if dilution is None else 0.05
        miss += 1e3 * max(over) if max(over) > 1.0 + 1e-9 else 0.0
        if best is None or miss < best[0]:
            best = (miss, made)
    assert best is not None
    return best[1]


_DILUTIONS = (
    None,
    *(Dilution(taken, up_to) for taken in TAKEN for up_to in STOCK_VOLUMES if taken < up_to),
)


def _miss(stock: Stock, measured: float, scale: float, syringe: float) -> float:
    """Share by which a dose may be off (90 %): half a mark each way, evenly likely, of scale and syringe. [-]"""
    if stock.mass <= 0.0 or measured <= 0.0:
        return 0.0
    taken = 0.0 if stock.dilution is None else syringe / stock.dilution.taken
    return 0.45 * math.hypot(scale / stock.mass, syringe / measured, taken)


def _taste(mead: Liquid, rows: Sequence[Additive], doses: Sequence[float], lines: Mapping[str, Addition]) -> Array:
    """Sweetness, body and acid of a glass, each in its just-noticeable steps."""
    room, mixed = float(volume(mead)), mead
    for row, dose in zip(rows, doses, strict=True):
        mixed = stirred(mixed, row, dose * room, liquid_of(row, dose * room, lines.get(row.key)))
    found = values_of(Liquid(mixed.masses[:, None]), ("sweetness", "viscosity", "acid"), {})
    return np.array([noticed(key, 0.0, float(found[key][0])) for key in ("sweetness", "viscosity", "acid")])


def _steps(before: Array, after: Array) -> float:
    return float(np.max(np.abs(after - before)))
