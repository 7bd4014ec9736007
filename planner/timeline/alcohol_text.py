"""The alcohol so far in sentences: the balance, the rules of thumb with their error, and what two instruments say together."""

from __future__ import annotations

from planner.timeline.instrument_conflicts import alternative
from planner.timeline.instruments import AlcoholSoFar, Pair, Shortcut
from planner.wording import phrases
from planner.wording.finding import Finding, warning
from planner.wording.phrases import Words, say

_TOLD = 3
"""Decimals of alcohol by volume that are told: tenths of a per cent."""

RULES = {
    "drop": "131.25 × the drop in gravity",
    "sugar": "16.83 g/L of extract for each % vol",
    "attenuation": "the brewers' attenuation",
}
"""What each rule of thumb is called."""


ABOUT_RULES = say(
    "The balance knows what this must is made of. The rules of thumb were made for grape and malt, and count all extract as sugar. They stand here to show how far they are off."
)
"""What the rules of thumb are for."""


def balance(told: AlcoholSoFar) -> Words:
    """The alcohol by mass balance, and from which gravity it is counted."""
    low, typical, high = told.balance
    started = "the measured start at {}" if told.start.measured else "{}, as expected by the recipe,"
    if told.start.grown:
        known = "the measured start" if told.start.measured else "the start expected by the recipe"
        started = f"{{}}, {known} with what went in since,"
    return say(
        f"By mass balance, from {started} to {{}}: {{}} ({{}} to {{}}).",
        phrases.gravity(told.start.gravity), phrases.gravity(told.gravity),
        phrases.alcohol(typical), phrases.alcohol(low), phrases.alcohol(high),
    )  # fmt: skip


def shortcut(rule: Shortcut) -> Words:
    """A rule of thumb with its error against the balance."""
    name = f"{RULES[rule.rule][0].upper()}{RULES[rule.rule][1:]}"
    # The difference of the figures as they are told, so that the sum comes out before the reader's eyes.
    off = round(rule.alcohol, _TOLD) - round(rule.alcohol - rule.off, _TOLD)
    if not round(off, _TOLD):
        return say(f"{name}: {{}}, the same.", phrases.alcohol(rule.alcohol))
    side = "more" if off > 0.0 else "less"
    return say(f"{name}: {{}}, {{}} {side}.", phrases.alcohol(rule.alcohol), phrases.alcohol(abs(off)))


def pair(both: Pair) -> Words:
    """What hydrometer and refractometer of one day say together, and whether it agrees with the balance."""
    low, typical, high = both.alcohol
    extract = both.extract
    together = (
        phrases.gravity(both.gravity), phrases.brix(both.brix), phrases.alcohol(typical), phrases.alcohol(low),
        phrases.alcohol(high), phrases.concentration(extract.typical), phrases.concentration(extract.low), phrases.concentration(extract.high),
    )  # fmt: skip
    start = "Hydrometer {} and refractometer {} together: {} ({} to {}), {} of extract ({} to {}). "
    if not both.fits:
        return say(
            "Hydrometer {} and refractometer {} together fit no stage of this must. One of them is off, or the recipe leaves something out.",
            *together[:2],
        )
    if both.agrees:
        return say(start + "It agrees with the balance, {}.", *together, phrases.alcohol(both.balance))
    return say(
        start + "It differs from the balance, {}. A reading or the starting gravity is off, or the recipe leaves something out. The pair would have started at {} ({} to {}).",
        *together, phrases.alcohol(both.balance), phrases.gravity(both.start.typical), phrases.gravity(both.start.low),
        phrases.gravity(both.start.high),
    )  # fmt: skip


def sentences(told: AlcoholSoFar) -> tuple[Words, ...]:
    """All of it, the last pair only."""
    together = tuple(pair(both) for both in told.pairs[-1:])
    rival = () if told.rival is None else (alternative(told.rival),)
    if told.stirred is not None:
        low, typical, high = told.stirred
        figures = (phrases.alcohol(typical), phrases.alcohol(low), phrases.alcohol(high))
        together = (say("With what was stirred in since: {} ({} to {}).", *figures), *together)
    return (balance(told), *rival, *together, *(shortcut(rule) for rule in told.shortcuts))


def of_reading(told: AlcoholSoFar, place: int) -> tuple[Words, ...]:
    """What is to be said at one reading: of the pair that it is one of, and of the balance where it is the last.

    Parameters
    ----------
    place : int
        In the log. [-]
    """
    pairs = tuple(pair(both) for both in told.pairs if place in (both.hydrometer, both.refractometer))
    if place != told.reading:
        return pairs
    return (balance(told), *pairs, *(shortcut(rule) for rule in told.shortcuts))


def doubts(told: AlcoholSoFar | None, unfit: frozenset[int]) -> tuple[Finding, ...]:
    """A warning at the last pair of readings that does not agree with the balance.

    Parameters
    ----------
    unfit : frozenset of int
        Places of readings of which it is told already that they cannot be of this must. [-]
    """
    if told is None or not told.pairs:
        return ()
    last = told.pairs[-1]
    if last.agrees or last.refractometer in unfit:
        return ()
    place = f"log.readings.{last.refractometer}"
    if not last.fits:
        return (warning(place, "No stage of this must has both this °Brix and the hydrometer's {}: check both readings.",
                        phrases.gravity(last.gravity)),)  # fmt: skip
    low, typical, high = last.alcohol
    return (warning(place, "With the hydrometer's {} this makes {} ({} to {}). The balance from the start at {} makes {}. Check "
                    "both readings and the starting gravity.",
                    phrases.gravity(last.gravity), phrases.alcohol(typical), phrases.alcohol(low), phrases.alcohol(high),
                    phrases.gravity(told.start.gravity), phrases.alcohol(last.balance)),)  # fmt: skip
