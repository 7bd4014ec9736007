"""The house rules of those who will drink it: what may be offered, what is left out, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from planner.document.batch import Batch, HouseRules
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive, Nutrient
from planner.wording import phrases
from planner.wording.finding import Finding, error, warning
from planner.wording.phrases import Words, say

SULPHITES = frozenset({"potassium-metabisulphite"})
SORBATES = frozenset({"potassium-sorbate"})
"""Keys of additives that bring sulphite and sorbate."""

SULPHITE, SORBATE, HEAT, ACID = "sulphite", "sorbate", "heat", "acid"
"""Treatments that rules speak of, beside ingredients."""

NAMES = {
    "no_sulphite": "no sulphite",
    "no_sorbate": "no sorbate",
    "natural_only": "naturally derived only",
    "no_added_acid": "no added acid",
    "no_allergens": "no lactose or other allergens",
    "no_heat": "no heat",
    "alcohol_ceiling": "not above a strength",
}
"""What each rule is called, by its field."""


class LeftOut(msgspec.Struct, frozen=True):
    """Something that the rules keep from being offered, and why."""

    name: str
    why: Words


def objections(rules: HouseRules, row: Additive) -> tuple[Words, ...]:
    """Why the rules refuse an additive; empty if they do not.

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]
    """
    return tuple(_objections(rules, row))


def _objections(rules: HouseRules, row: Additive) -> Iterator[Words]:
    if rules.no_sulphite and row.key in SULPHITES:
        yield say("House rule: no sulphite.")
    if rules.no_sorbate and row.key in SORBATES:
        yield say("House rule: no sorbate.")
    if rules.natural_only and not row.natural:
        yield say("House rule: naturally derived only; this is made by synthesis.")
    if rules.no_added_acid and row.group == "acid":
        yield say("House rule: no added acid.")
    if rules.no_allergens and (row.allergen or row.key in SULPHITES):
        what = row.allergen or "sulphite, which labels must warn of from 10 mg/L on"
        yield say(f"House rule: no allergens; this brings {what}.")


def nutrient_objections(rules: HouseRules, row: Nutrient) -> tuple[Words, ...]:
    """Why the rules refuse a nutrient; empty if they do not.

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]
    """
    if rules.natural_only and not row.organic:
        salt = "its ammonium salt" if row.is_food else "it"
        return (say(f"House rule: naturally derived only; {salt} is made by synthesis."),)
    return ()


def treatment_objections(rules: HouseRules, *treatments: str) -> tuple[Words, ...]:
    """Why the rules refuse what a route does: `SULPHITE`, `SORBATE`, `HEAT` or `ACID`; empty if they do not.

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]
    """
    asked = {
        SULPHITE: (("no_sulphite", rules.no_sulphite), ("no_allergens", rules.no_allergens)),
        SORBATE: (("no_sorbate", rules.no_sorbate), ("natural_only", rules.natural_only)),
        HEAT: (("no_heat", rules.no_heat),),
        ACID: (("no_added_acid", rules.no_added_acid),),
    }
    broken = [
        say(f"House rule: {NAMES[name]}. This needs {treatment}.")
        for treatment in treatments
        for name, holds in asked[treatment]
        if holds
    ]
    return tuple(broken)


def strength_objections(rules: HouseRules, alcohol: float) -> tuple[Words, ...]:
    """Why the rules refuse a strength; empty if they do not.

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]
    alcohol : float
        Of the finished mead. [m^3/m^3]
    """
    ceiling = rules.alcohol_ceiling
    if ceiling is None or alcohol <= ceiling + 5e-4:  # less than labels round to (half of 0.1 % vol)
        return ()
    return (say("House rule: not above {}; this reaches {}.", phrases.alcohol(ceiling), phrases.alcohol(alcohol)),)


def offered(rules: HouseRules, rows: Iterable[Additive]) -> tuple[tuple[Additive, ...], tuple[LeftOut, ...]]:
    """Additives that may be offered, and those that are left out with the reason.

    Parameters
    ----------
    rules : HouseRules
        What the drinkers do not want. [as its fields]

    Returns
    -------
    tuple of LeftOut
        The others, each with the first rule that refuses it. [as their fields]
    """
    kept, out = [], []
    for row in rows:
        against = objections(rules, row)
        if against:
            out.append(LeftOut(row.name, against[0]))
        else:
            kept.append(row)
    return tuple(kept), tuple(out)


def addition_rule_findings(batch: Batch, catalogue: Catalogue) -> Iterator[Finding]:
    """What of the house rules the additions break."""
    for index, addition in enumerate(batch.adjustment.additions):
        for why in objections(batch.recipe.rules, catalogue.additive(addition.key)):
            yield error(f"adjustment.additions.{index}", why.template, *why.figures)


def rule_findings(batch: Batch, catalogue: Catalogue, alcohol: float | None) -> tuple[Finding, ...]:
    """Where a batch breaks the rules it was given.

    Parameters
    ----------
    alcohol : float or None
        Of the finished mead; None where it is not known. [m^3/m^3]

    Returns
    -------
    tuple of Finding
        Each at the line that breaks a rule. [as their fields]
    """
    return tuple(_findings(batch, catalogue, alcohol))


def _findings(batch: Batch, catalogue: Catalogue, alcohol: float | None) -> Iterator[Finding]:
    rules = batch.recipe.rules
    for index, feed in enumerate(batch.recipe.feeds):
        for why in nutrient_objections(rules, catalogue.nutrient(feed.key)):
            yield warning(f"recipe.feeds.{index}", why.template, *why.figures)
    for index, line in enumerate(batch.recipe.step_feeds):
        row = catalogue.sugary(line.key)
        for why in objections(rules, row) if isinstance(row, Additive) else ():
            yield warning(f"recipe.step_feeds.{index}", why.template, *why.figures)
    if alcohol is not None:
        for why in strength_objections(rules, alcohol):
            yield warning("recipe.rules", why.template, *why.figures)
