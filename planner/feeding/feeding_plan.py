"""What a plan of feeds is, and its reasons in sentences."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from planner.document.batch import Batch, Feed
from planner.model.span import Span
from planner.recipe.house_rules import LeftOut
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient
from planner.timeline.next_actions import TOO_LATE_TO_FEED
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

ENOUGH = 0.05
"""Share of the need that may be missing without a word. [-] Less than what any of the figures is known to."""


WORTH_INSURING = 0.2
"""Share of the need that has to be missing at worst, for an insurance to be offered. [-] Estimate."""


class Step(msgspec.Struct, frozen=True):
    """One feed of a plan.

    Attributes
    ----------
    feed : Feed
        What is given, how much [kg] and when it is due.
    day : float
        When that should be. [d]
    nitrogen : float
        What it brings. [kg/m^3]
    reaches : float
        What must and feeds have brought with it, all together. [kg/m^3]
    why : Words
        Why then.
    """

    feed: Feed
    day: float
    nitrogen: float
    reaches: float
    why: Words


class Total(msgspec.Struct, frozen=True):
    """How much of one nutrient a plan takes.

    Attributes
    ----------
    key : str
        The nutrient.
    mass : Span
        From what the must may at least lack to what it may at most. [kg]
    dose : float
        Per volume of must. [kg/m^3]
    """

    key: str
    mass: Span
    dose: float


class Ceiling(msgspec.Struct, frozen=True):
    """How near a plan comes to a limit of the law, or to what is usual.

    Attributes
    ----------
    name : str
        What is limited.
    dose : float
        Of it, or of what brings as much nitrogen, with what was given already. [kg/m^3]
    limit : float
        What the law allows, or what is usual. [kg/m^3]
    note : str
        Which law, or what is usual.
    binds : bool
        Whether the plan would give more without it.
    usual : bool
        Whether it is no law, but the most that is usual.
    """

    name: str
    dose: float
    limit: float
    note: str
    binds: bool
    usual: bool = False


class FeedingPlan(msgspec.Struct, frozen=True):
    """A proposal: nothing of it is done before the user takes it.

    Attributes
    ----------
    need, has, lack : Span
        Nitrogen that this yeast wants for the sugar, what the must brings, and what is missing beside what was fed already.
        [kg/m^3]
    given : float
        Nitrogen fed already, by the log. [kg/m^3]
    steps : tuple of Step
        In the order of their days; empty where no feed is needed, or none would be of use.
    totals : tuple of Total
        One for each nutrient that is used.
    ceilings : tuple of Ceiling
        Empty where nothing is given that the law limits.
    short : float
        What stays missing because a limit binds. [kg/m^3]
    last_day : float or None
        Day after which nothing is given; None if the ferment never gets there. [d]
    refused : tuple of LeftOut
        Nutrients that house rules keep out.
    summary : tuple of Words
        The reasons in sentences.
    feeds : tuple of Feed
        What the recipe's feeds become when the plan is taken: what was given, the steps, and the insurance.
    insurance : Step or None
        A small feed where none is needed typically, but may be: to be given if the ferment shows that it is.
    """

    need: Span
    has: Span
    lack: Span
    given: float
    steps: tuple[Step, ...]
    totals: tuple[Total, ...]
    ceilings: tuple[Ceiling, ...]
    short: float
    last_day: float | None
    refused: tuple[LeftOut, ...]
    summary: tuple[Words, ...]
    feeds: tuple[Feed, ...]
    insurance: Step | None = None

    @property
    def offered(self) -> tuple[Step, ...]:
        """All that may be given. [as their fields]"""
        return self.steps if self.insurance is None else (*self.steps, self.insurance)


def other_ways(batch: Batch, catalogue: Catalogue, sugar: float) -> Words:
    """What brings a must and its yeast together where feeds cannot.

    Parameters
    ----------
    sugar : float
        Of the must, for yeast. [kg/m^3]

    Returns
    -------
    Words
        Empty where nothing is known that would help.
    """
    ways = ["more fruit and less honey"] if any(pot.mass > 0.0 for pot in batch.recipe.honeys) else []
    mine = catalogue.yeast(batch.recipe.yeast.key)
    gentle = min(catalogue.yeasts.values(), key=lambda row: row.demand)
    if gentle.demand >= (1.0 - ENOUGH) * mine.demand:
        return say("More fruit and less honey would help." if ways else "")
    name = literal(gentle.name)
    told = ", or ".join([*ways, f"a yeast that needs less (“{name}”: about {{}})"])
    return say(f"{told[0].upper()}{told[1:]} would help.", phrases.trace(gentle.nitrogen_for(sugar)))


def _reason(plan: FeedingPlan) -> str:
    """Which limits bind."""
    law = any(at.binds and not at.usual for at in plan.ceilings)
    usual = any(at.binds and at.usual for at in plan.ceilings)
    of_law, of_use = "the law's limit binds", "no more than the usual dose of organic nutrient is planned"
    return f"{of_law} and {of_use}" if law and usual else of_use if usual else of_law


def _short(plan: FeedingPlan, foods: Sequence[Nutrient], ways: Words) -> list[Words]:
    """What stays missing, why, and what else would bring it."""
    told = [say(f"About {{}} stays missing, because {_reason(plan)}.", phrases.trace(plan.short))]
    if all(row.organic for row in foods) and not plan.refused:
        told.append(say("A nutrient with ammonium as well would bring more."))
    elif not any(row.organic for row in foods):
        told.append(say("An organic nutrient as well would bring a little more."))
    return [*told, ways] if ways.template else told


def sentences(plan: FeedingPlan, foods: Sequence[Nutrient], in_time: bool, ways: Words) -> list[Words]:
    """Why a plan is as it is.

    Parameters
    ----------
    in_time : bool
        Whether feeds are still of use. [-]
    ways : Words
        What helps where feeds cannot; see `other_ways`. [-]
    """
    need, has, lack = (phrases.trace(span.typical) for span in (plan.need, plan.has, plan.lack))
    known = say("This yeast needs about {} of nitrogen for this much sugar; the must brings about {}.", need, has)
    if plan.given > 0.0:
        known = say(known.template[:-1] + ", feeds so far {}.", *known.figures, phrases.trace(plan.given))
    if plan.lack.typical <= ENOUGH * plan.need.typical:
        told = [known, say("No feed is needed.")]
        if plan.lack.high > WORTH_INSURING * plan.need.typical:
            told.append(say("Nitrogen of fruit varies: at worst {} is missing.", phrases.trace(plan.lack.high)))
        if plan.insurance is not None:
            told.append(say("The small feed below is an insurance. Give it if the gravity has fallen little by the second day, "
                            "or if it smells of rotten eggs. Leave it out if it works well."))  # fmt: skip
        return told
    missing = say("About {} is missing.", lack)
    if plan.lack.high - plan.lack.low > 0.1 * plan.need.typical:
        missing = say("About {} is missing, {} to {} as the fruit varies.", lack, phrases.trace(plan.lack.low),
                      phrases.trace(plan.lack.high))  # fmt: skip
    told = [known, missing]
    if not in_time:
        told.append(say(f"Too late to feed. {TOO_LATE_TO_FEED}, and what is left feeds spoilage."))
    elif not foods:
        told.append(say("Choose a nutrient that the house rules allow." if plan.refused else "Choose a nutrient."))
    elif plan.short > 0.0:
        told += _short(plan, foods, ways)
    return told
