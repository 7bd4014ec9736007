"""What a plan of feeds is, and its reasons in sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from planner.batch import words
from planner.batch.batch import Feed
from planner.batch.recipe.rules import LeftOut
from planner.batch.words import Words, say
from planner.model.span import Span

ENOUGH = 0.05
"""Share of the need that may be missing without a word. [-] Less than what any of the figures is known to."""


class Step(NamedTuple):
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


class Total(NamedTuple):
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


class Ceiling(NamedTuple):
    """How near a plan comes to a limit of the law.

    Attributes
    ----------
    name : str
        What is limited.
    dose : float
        Of it, or of what brings as much nitrogen, with what was given already. [kg/m^3]
    limit : float
        What the law allows. [kg/m^3]
    note : str
        Which law.
    binds : bool
        Whether the plan would give more without it.
    """

    name: str
    dose: float
    limit: float
    note: str
    binds: bool


@dataclass(frozen=True, slots=True)
class FeedingPlan:
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
        What the recipe's feeds become when the plan is taken: what was given, and the steps.
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


def sentences(plan: FeedingPlan, picked: bool, in_time: bool) -> list[Words]:
    """Why a plan is as it is.

    Parameters
    ----------
    plan : FeedingPlan
        The plan. [as its fields]
    picked : bool
        Whether there is a nutrient to plan with. [-]
    in_time : bool
        Whether feeds are still of use. [-]
    """
    need, has, lack = (words.trace(span.typical) for span in (plan.need, plan.has, plan.lack))
    known = say("This yeast wants about {} of nitrogen for so much sugar; the must brings about {}.", need, has)
    if plan.given > 0.0:
        known = say(known.template[:-1] + ", feeds so far {}.", *known.figures, words.trace(plan.given))
    if plan.lack.typical <= ENOUGH * plan.need.typical:
        told = [known, say("No feed is needed.")]
        if plan.lack.high > 0.2 * plan.need.typical:
            told.append(say("Nitrogen of fruit varies: at worst {} are missing. If it is slow by the second day, feed.",
                            words.trace(plan.lack.high)))  # fmt: skip
        return told
    missing = say("About {} are missing.", lack)
    if plan.lack.high - plan.lack.low > 0.1 * plan.need.typical:
        missing = say("About {} are missing: {} to {}, because fruit varies.", lack, words.trace(plan.lack.low),
                      words.trace(plan.lack.high))  # fmt: skip
    told = [known, missing]
    if not in_time:
        told.append(say("It is too late to feed: the yeast takes up no more once a third of the sugar is used. What is given "
                        "now feeds others."))  # fmt: skip
    elif not picked:
        told.append(say("Choose a nutrient that the house rules allow." if plan.refused else "Choose a nutrient."))
    elif plan.short > 0.0:
        told.append(say("About {} stay missing, because the law's limit binds. An organic nutrient has none.",
                        words.trace(plan.short)))  # fmt: skip
    return told
