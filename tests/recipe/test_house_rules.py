"""House rules: every additive, nutrient and treatment obeys, and what is left out says why."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, plain, with_adjustment, worked_out

from planner.document.batch import Feed, HouseRules
from planner.recipe import house_rules

STRICT = HouseRules(
    no_sulphite=True, no_sorbate=True, natural_only=True, no_added_acid=True, no_allergens=True, no_heat=True,
    alcohol_ceiling=0.12,
)  # fmt: skip
ADDITIVES = tuple(SHELF.additives.values())


def test_that_without_rules_everything_is_offered():
    kept, out = house_rules.offered(HouseRules(), ADDITIVES)
    assert kept == ADDITIVES
    assert out == ()


def test_that_what_is_offered_and_what_is_left_out_are_all_there_is():
    kept, out = house_rules.offered(STRICT, ADDITIVES)
    assert len(kept) + len(out) == len(ADDITIVES)
    assert {row.name for row in kept}.isdisjoint({row.name for row in out})
    assert all(str(row.why).startswith("House rule: ") for row in out)


@pytest.mark.parametrize(
    ("rule", "refused"),
    [
        ("no_sulphite", {"potassium-metabisulphite"}),
        ("no_sorbate", {"potassium-sorbate"}),
        ("natural_only", {row.key for row in ADDITIVES if not row.natural}),
        ("no_added_acid", {row.key for row in ADDITIVES if row.group == "acid"}),
        # Regulation (EU) 1169/2011, Annex II: milk with lactose (7), sulphites above 10 mg/L (12)
        ("no_allergens", {"lactose", "potassium-metabisulphite"}),
        ("no_heat", set()),
    ],
)
def test_that_each_rule_refuses_its_own_and_nothing_else(rule, refused):
    only = HouseRules(**{rule: True})
    assert {row.key for row in ADDITIVES if house_rules.objections(only, row)} == refused


def test_that_polyols_made_by_hydrogenation_are_not_natural_but_erythritol_is():
    only = HouseRules(natural_only=True)
    assert house_rules.objections(only, SHELF.additive("xylitol"))
    assert not house_rules.objections(only, SHELF.additive("erythritol"))


def test_that_natural_food_for_yeast_is_yeast():
    only = HouseRules(natural_only=True)
    assert {key for key, row in SHELF.nutrients.items() if not house_rules.nutrient_objections(only, row)} == {
        "yeast-autolysate"
    }


@pytest.mark.parametrize(
    ("rule", "refused"),
    [
        ("no_sulphite", {house_rules.SULPHITE}),
        ("no_sorbate", {house_rules.SORBATE}),
        ("no_heat", {house_rules.HEAT}),
        ("no_added_acid", {house_rules.ACID}),
        ("natural_only", {house_rules.SORBATE}),  # the salt of trade is made by synthesis
        ("no_allergens", {house_rules.SULPHITE}),
    ],
)
def test_that_each_rule_refuses_its_treatments(rule, refused):
    only = HouseRules(**{rule: True})
    every = (house_rules.SULPHITE, house_rules.SORBATE, house_rules.HEAT, house_rules.ACID)
    assert {what for what in every if house_rules.treatment_objections(only, what)} == refused


def test_that_a_ceiling_is_a_ceiling_and_no_target():
    only = HouseRules(alcohol_ceiling=0.12)
    assert not house_rules.strength_objections(only, 0.12)
    assert not house_rules.strength_objections(only, 0.08)
    assert "12 % vol; this reaches 12.4 % vol" in str(house_rules.strength_objections(only, 0.124)[0])


def test_that_a_batch_is_told_where_it_breaks_its_rules():
    batch = with_adjustment(
        plain(rules=STRICT, feeds=(Feed(key="yeast-autolysate", mass=0.01, day=1.0), Feed(key="diammonium-phosphate", mass=0.005, day=2.0))),
        ("erythritol", 0.5), ("malic-acid", 0.01),
    )  # fmt: skip
    places = {found.place for found in worked_out(batch).findings if "House rule" in str(found.text)}
    assert places == {"recipe.feeds.1", "adjustment.additions.1", "recipe.rules"}


def test_that_a_batch_without_rules_breaks_none():
    batch = msgspec.structs.replace(plain(), name="Any")
    assert not [found for found in worked_out(batch).findings if "House rule" in str(found.text)]
