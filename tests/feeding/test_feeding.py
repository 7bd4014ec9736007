"""Proposed feeds: how much, when, until when, and within which limits."""

from __future__ import annotations

from datetime import datetime

import msgspec
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log
from hypothesis import example, given, settings
from hypothesis import strategies as st

from planner.document import edits
from planner.document.batch import Event, Feed, FruitLine, HoneyLine, Log, TemperatureStep, What, Yeast
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.feeding.nitrogen_feeds import LAST_SHARE, as_weighed, day_now, propose, usual_food
from planner.reference.own import OwnIngredients, OwnNutrient, OwnYeast
from planner.reference.own_rows import shelf_with
from planner.reference.shipped import samples
from planner.timeline.actual_recipe import as_given

FAST, SLOW, BLEND = "diammonium-phosphate", "yeast-autolysate", "blend"
SULPHATE = "ammonium-sulphate"
NITROGEN = 28.014 / 132.06  # of (NH4)2HPO4, by its formula
DAY = 1.0


def honey_must(honey=5.4, water=16.4, **recipe):
    """About twenty litres with next to no nitrogen of its own."""
    usual = {"fruits": (), "honeys": (HoneyLine(key="light-blossom", mass=honey),), "water": water, "feeds": ()}
    return plain(**(usual | recipe))


def plan_of(batch, *keys, now=0.0, members=0):
    outcome = evaluate(batch, SHELF, members)
    assert outcome.must is not None
    assert outcome.curve is not None
    return propose(batch, shelf_with(SHELF, batch.own), outcome.must, outcome.curve, keys, now, outcome.log)


def hungry_must(honey):
    """A strong must for a yeast that wants much and can ferment all of it."""
    mine = OwnYeast(key="own-hungry", name="Hungry and hardy", based_on="aromatic-hungry", tolerance=(0.19, 0.22, 0.24))
    batch = honey_must(honey=honey, yeast=Yeast(key=mine.key, pitch=0.008))
    return msgspec.structs.replace(batch, own=OwnIngredients(yeasts=(mine,)))


def unfed_last_day(batch):
    """The day on which a third of the sugar is used as long as nothing is fed."""
    return evaluate(batch, SHELF, 0).curve.third_day


def told(plan):
    return " ".join(str(words) for words in plan.summary)


def mass_of(plan, key):
    return sum(step.feed.mass for step in plan.steps if step.feed.key == key)


def test_that_the_grams_of_a_salt_follow_from_its_formula():
    plan = plan_of(honey_must(), FAST)
    room = evaluate(honey_must(), SHELF, 0).must.volume.typical
    assert mass_of(plan, FAST) == pytest.approx(plan.lack.typical * room / NITROGEN, rel=0.02)  # weighed to a decigram


@pytest.mark.parametrize("key", [FAST, BLEND])
def test_that_what_is_missing_is_fed_and_no_more(key):
    plan = plan_of(honey_must(), key)
    assert sum(step.nitrogen for step in plan.steps) == pytest.approx(plan.lack.typical, rel=0.02)
    assert plan.steps[-1].reaches == pytest.approx(plan.need.typical, rel=0.02)


@pytest.mark.parametrize(
    ("yeast", "demand"), [("dry-finisher", 0.62), ("all-rounder", 0.75), ("aromatic-hungry", 0.91)]
)  # mg per g of sugar, low to high end of the optimum found by Taillandier et al. 2007
def test_that_the_need_goes_with_sugar_and_with_the_demand_of_the_yeast(yeast, demand):
    batch = honey_must(yeast=Yeast(key=yeast, pitch=0.005))
    outcome = evaluate(batch, SHELF, 0)
    assert plan_of(batch, FAST).need.typical == pytest.approx(demand * 1e-3 * outcome.must.sugar.typical)


def test_that_sugar_that_a_yeast_cannot_ferment_asks_for_no_nitrogen():
    yeast = SHELF.yeast("aromatic-hungry")
    strong, stronger = (
        plan_of(honey_must(honey=honey, yeast=Yeast(key=yeast.key, pitch=0.008)), FAST) for honey in (8.0, 12.0)
    )
    assert strong.need.typical == stronger.need.typical
    # 16.83 to 18 g/L of sugar make a per cent of alcohol (European convention, AWRI): it stops at 14.
    assert 16.83 * 14.0 <= strong.need.typical / yeast.demand <= 18.0 * 14.0


def test_that_the_ceiling_of_the_law_holds_and_is_named():
    # 27 CFR 24.246 (2015 text): 8 lb per 1000 US gallons, which is 0.96 g/L. A strong must for a hungry yeast wants more.
    batch = hungry_must(10.0)
    plan = plan_of(batch, FAST)
    room = evaluate(batch, SHELF, 0).must.volume.typical
    limit = 8 * 0.45359237 / (1000 * 3.785411784e-3)
    assert plan.ceilings[0].binds
    assert mass_of(plan, FAST) / room <= limit
    assert mass_of(plan, FAST) / room == pytest.approx(limit, rel=0.02)
    assert plan.ceilings[0].limit == pytest.approx(limit, rel=0.01)
    assert plan.short > 0.0
    assert "limit binds" in told(plan)
    assert "24.246" in plan.ceilings[0].note


USUAL = 2.0
"""Most that practice gives of yeast autolysate, g/L: 1 to 2, common practice, no source. 27 CFR 24.246 (2015 text) sets no number."""


def test_that_organic_food_alone_is_planned_up_to_its_usual_dose_and_the_rest_is_told():
    plan = plan_of(honey_must(), SLOW)
    room = evaluate(honey_must(), SHELF, 0).must.volume.typical
    assert mass_of(plan, SLOW) / room <= USUAL
    assert mass_of(plan, SLOW) / room == pytest.approx(USUAL, rel=0.05)  # weighed to a decigram in three portions
    assert plan.short == pytest.approx(plan.lack.typical - sum(step.nitrogen for step in plan.steps))
    assert [(at.limit, at.binds, at.usual) for at in plan.ceilings] == [(USUAL, True, True)]
    said = told(plan)
    assert f"About {1e3 * plan.short:.0f} mg/L stays missing, because no more than the usual dose" in said
    assert "A nutrient with ammonium as well would bring more." in said
    assert "More fruit and less honey, or a yeast that needs less" in said


def test_that_a_yeast_of_lower_demand_is_named_only_where_there_is_one():
    frugal = honey_must(yeast=Yeast(key="dry-finisher", pitch=0.005))  # the low end of Taillandier et al. 2007
    assert "More fruit and less honey would help." in told(plan_of(frugal, SLOW))
    sugar = evaluate(honey_must(), SHELF, 0).must.sugar.typical
    assert f"“High tolerance, dry finish”: about {0.62 * sugar:.0f} mg/L" in told(plan_of(honey_must(), SLOW))


def test_that_a_label_that_allows_more_goes_before_what_is_usual():
    mine = OwnNutrient(key="own-food", name="Own food", based_on=SLOW, nitrogen=(0.05, 0.06, 0.07), ceiling=2.0)
    shelf = shelf_with(SHELF, OwnIngredients(nutrients=(mine,)))
    batch = honey_must()
    outcome = evaluate(batch, SHELF, 0)
    plan = propose(batch, shelf, outcome.must, outcome.curve, ["own-food"])
    dose = mass_of(plan, "own-food") / outcome.must.volume.typical
    assert 1.9 <= dose <= 2.0  # three portions, each weighed down to half a gram
    assert [(at.limit, at.usual) for at in plan.ceilings] == [(2.0, False)]


def test_that_organic_food_makes_up_a_little_for_what_the_ceiling_keeps_out():
    batch = hungry_must(18.0)
    plan, without = plan_of(batch, FAST, SLOW), plan_of(batch, FAST)
    assert all(at.dose <= at.limit for at in plan.ceilings)
    assert {at.binds for at in plan.ceilings} == {True}
    brought = USUAL * SHELF.nutrient(SLOW).nitrogen.typical
    assert without.short - plan.short == pytest.approx(brought, rel=0.1)  # both are weighed
    assert "the law's limit binds and no more than the usual dose" in told(plan)
    assert "An organic nutrient as well would bring a little more." in told(without)


def test_that_all_nitrogen_of_a_blend_counts_towards_the_ceiling():
    # Its label does not tell the parts; so no blend of this plan can hold more ammonium phosphate than the law allows.
    plan = plan_of(hungry_must(14.0), BLEND)
    assert plan.ceilings[0].binds
    assert sum(step.nitrogen for step in plan.steps) / NITROGEN <= 0.96


def test_that_each_salt_keeps_its_own_ceiling_and_another_makes_up_for_it():
    # OIV code: 0.3 g/L of ammonium sulphate, the strictest figure on the shelf; the phosphate may take the rest.
    plan = plan_of(honey_must(honey=7.0), SULPHATE, FAST)
    room = evaluate(honey_must(honey=7.0), SHELF, 0).must.volume.typical
    assert mass_of(plan, SULPHATE) / room == pytest.approx(0.3, rel=0.03)
    assert mass_of(plan, FAST) > mass_of(plan, SULPHATE)
    assert plan.short == 0.0
    assert {at.limit: at.binds for at in plan.ceilings} == {0.96: False, 0.3: True}


def test_that_what_was_fed_already_counts_towards_need_and_ceiling():
    batch = honey_must()
    before = plan_of(batch, FAST)
    log = Log(readings=(Event(what=What.FEED, key=FAST, mass=0.006, day=1.0),))
    after = plan_of(msgspec.structs.replace(batch, log=log), FAST, now=1.0)
    room = evaluate(batch, SHELF, 0).must.volume.typical
    assert after.given == pytest.approx(0.006 * NITROGEN / room, rel=0.001)
    assert after.lack.typical == pytest.approx(before.lack.typical - after.given)
    assert after.ceilings[0].dose == pytest.approx((0.006 + mass_of(after, FAST)) / room, rel=0.001)


def test_that_house_rules_keep_ammonium_out():
    batch = honey_must()
    natural = edits.change_rules(batch, natural_only=True)
    plan = plan_of(natural, FAST, SLOW)
    assert {step.feed.key for step in plan.steps} == {SLOW}
    assert [left.name for left in plan.refused] == [SHELF.nutrient(FAST).name]
    room = evaluate(batch, SHELF, 0).must.volume.typical
    # Honey brings next to nothing; organic food brings what 2 g/L of it hold, 4 % by its row, and no more.
    brought = USUAL * SHELF.nutrient(SLOW).nitrogen.typical
    assert plan.short == pytest.approx(plan.lack.typical - brought, abs=0.001 * 3 / room)
    assert "ammonium" not in told(plan)
    assert FAST not in usual_food(natural, SHELF)
    assert not plan_of(natural, FAST).steps
    assert "house rules" in told(plan_of(natural, FAST))


def test_that_feeds_come_in_portions_and_end_with_a_third_of_the_sugar():
    plan = plan_of(honey_must(), FAST)
    days = [step.day for step in plan.steps]
    assert len(days) == 3
    assert days == sorted(days)
    assert days[0] >= DAY  # never into the water that wakes the yeast
    assert plan.steps[-1].feed.sugar_used == LAST_SHARE
    assert days[-1] == pytest.approx(plan.last_day)


def test_that_the_days_told_are_those_of_the_must_so_fed():
    batch = honey_must()
    plan = plan_of(batch, FAST)
    fed = evaluate(edits.change_recipe(batch, feeds=plan.feeds), SHELF, 0)
    assert [moment.day for moment in fed.curve.feeds] == pytest.approx(
        [step.day for step in plan.steps], abs=0.5
    )  # told to half a day
    assert plan.last_day < unfed_last_day(batch) - 1.0


def test_that_slow_food_comes_first_and_fast_food_last():
    steps = plan_of(honey_must(), SLOW, FAST).steps
    assert steps[0].feed.key == SLOW
    assert steps[-1].feed.key == FAST
    days = sorted({step.day for step in steps})
    portions = [sum(step.nitrogen for step in steps if step.day == day) for day in days]
    assert portions == pytest.approx([sum(portions) / 3.0] * 3, rel=0.05)  # alike, and weighed


def test_that_either_kind_of_food_brings_half_where_its_dose_lets_it():
    batch = honey_must(fruits=(FruitLine(key="sour-cherry", mass=13.0, as_juice=True),), water=4.0, honey=3.6)
    plan = plan_of(batch, SLOW, FAST)
    assert 0.0 < plan.lack.typical < 2.0 * USUAL * SHELF.nutrient(SLOW).nitrogen.typical
    halves = [sum(step.nitrogen for step in plan.steps if step.feed.key == key) for key in (SLOW, FAST)]
    assert halves[0] == pytest.approx(halves[1], rel=0.1)  # weighed


def test_that_a_quick_must_is_fed_fewer_times():
    hot = honey_must(temperatures=(TemperatureStep(day=0.0, temperature=303.15),), yeast=Yeast(key="dry-finisher", pitch=0.04),
                     feeds=(Feed(key=FAST, mass=0.018, day=0.0),))  # fmt: skip
    assert 1 <= len(plan_of(hot, FAST).steps) <= 2


def test_that_nothing_is_fed_once_a_third_of_the_sugar_is_used():
    batch = honey_must()
    plan = plan_of(batch, FAST, now=unfed_last_day(batch) + 1.0)
    assert plan.steps == ()
    assert "Too late" in told(plan)


def test_that_a_fresh_reading_decides_and_not_the_expected_course():
    fast = with_log(honey_must(), read(0.0, 1.086), read(2.0, 1.050))  # far ahead of the plan: two fifths are gone
    assert "Too late" in told(plan_of(fast, FAST, now=2.0))
    late = unfed_last_day(with_log(honey_must(), read(0.0, 1.086))) + 2.0
    slow = with_log(honey_must(), read(0.0, 1.086), read(late, 1.080))
    assert plan_of(slow, FAST, now=late).steps[0].day == late
    old = with_log(honey_must(), read(0.0, 1.086), read(late, 1.080))
    assert "Too late" in told(plan_of(old, FAST, now=late + 5.0))
    tested = with_log(honey_must(), sugar_test(3.0, 40.0))
    assert "Too late" in told(plan_of(tested, FAST, now=3.0))


def test_that_no_feed_is_proposed_where_none_is_needed():
    rich = plain(
        fruits=(FruitLine(key="sour-cherry", mass=24.0, as_juice=True),), honeys=(HoneyLine(key="blossom", mass=1.0),),
        water=0.0, feeds=(),
    )  # fmt: skip
    plan = plan_of(rich, FAST, members=200)
    assert plan.steps == ()
    assert "No feed is needed." in told(plan)


def test_that_uncertain_fruit_makes_the_want_a_range():
    plan = plan_of(plain(feeds=()), FAST, members=200)
    assert plan.lack.low < plan.lack.typical < plan.lack.high
    assert "as the fruit varies" in told(plan)
    assert plan.totals[0].mass.low < plan.totals[0].mass.typical < plan.totals[0].mass.high


def test_that_a_dose_that_its_limit_sets_does_not_vary_with_the_fruit():
    hungry = {"honey": 8.0, "yeast": Yeast(key="aromatic-hungry", pitch=0.008)}
    plan = plan_of(
        honey_must(fruits=(FruitLine(key="raspberry", mass=5.0),), water=13.0, **hungry), SLOW, FAST, members=200
    )
    assert 0.04 < plan.lack.low < 0.9 * plan.lack.high
    spans = {total.key: total.mass for total in plan.totals}
    assert spans[SLOW].is_exact
    assert spans[FAST].low < spans[FAST].typical < spans[FAST].high


def test_that_a_plan_can_be_taken_as_one_edit_and_is_then_enough():
    batch = honey_must()
    plan = plan_of(batch, SLOW, FAST)
    taken = edits.change_recipe(batch, feeds=plan.feeds)
    assert taken.recipe.feeds == tuple(step.feed for step in plan.steps)
    assert not [f for f in evaluate(taken, SHELF, 0).findings if f.place.startswith("recipe.feeds")]


def test_that_a_plan_taken_half_way_keeps_what_was_given():
    log = Log(readings=(Event(what=What.FEED, key=FAST, mass=0.004, day=1.2),))
    batch = msgspec.structs.replace(honey_must(feeds=(Feed(key=FAST, mass=0.005, day=1.0),)), log=log)
    plan = plan_of(batch, FAST, now=1.2)
    taken = edits.change_recipe(batch, feeds=plan.feeds)
    really = as_given(taken).feeds
    assert really == plan.feeds  # nothing that was given stands for a feed still to come
    assert really[0] == Feed(key=FAST, mass=0.004, day=1.2)


def test_that_the_present_day_is_that_of_the_clock_or_of_the_log():
    batch = with_log(honey_must(), read(3.0, 1.06), pitched_at="2026-08-14T19:30+02:00")
    assert day_now(batch, None) == 3.0
    assert day_now(batch, datetime.fromisoformat("2026-08-20T19:30+02:00")) == pytest.approx(6.0)
    assert day_now(honey_must(), datetime.fromisoformat("2026-08-20T19:30+02:00")) == 0.0


def test_that_only_what_the_recipe_uses_is_proposed_at_first():
    assert usual_food(plain(feeds=(Feed(key=BLEND, mass=0.001, day=1.0),)), SHELF) == (BLEND,)
    assert {SHELF.nutrient(key).organic for key in usual_food(plain(feeds=()), SHELF)} == {True, False}


@given(st.floats(1e-5, 20.0))
def test_that_a_scale_can_show_each_mass(mass):
    shown = as_weighed(mass)
    # Half a step: of half a gram from ten on, of a gram from a hundred on, of ten from a thousand on.
    assert shown == pytest.approx(mass, rel=0.025, abs=0.00005 * (1 + 1e-9))
    assert as_weighed(mass, at_most=True) <= mass * (1 + 1e-9)


@settings(max_examples=25)
@example(honey=2.625, fruit=2.75, celsius=12.0, keys=[SULPHATE], now=0.0, yeast="all-rounder")  # portions rounded up
@given(
    honey=st.floats(2.0, 9.0), fruit=st.floats(0.0, 15.0), celsius=st.floats(12.0, 28.0),
    keys=st.lists(st.sampled_from([FAST, SLOW, BLEND, SULPHATE]), min_size=1, max_size=4, unique=True), now=st.floats(0.0, 8.0),
    yeast=st.sampled_from(sorted(SHELF.yeasts)),
)  # fmt: skip
def test_that_every_plan_keeps_its_promises(honey, fruit, celsius, keys, now, yeast):
    batch = plain(
        fruits=(FruitLine(key="raspberry", mass=fruit),), honeys=(HoneyLine(key="blossom", mass=honey),), water=15.0,
        feeds=(), temperatures=(TemperatureStep(day=0.0, temperature=celsius + 273.15),),
        yeast=Yeast(key=yeast, pitch=0.005),
    )  # fmt: skip
    plan = plan_of(batch, *keys, now=now)
    assert all(step.feed.key in keys and step.feed.mass > 0.0 for step in plan.steps)
    assert all(step.day >= DAY for step in plan.steps)
    assert all(step.day >= now for step in plan.steps)
    if plan.last_day is not None:
        assert all(step.day <= plan.last_day + 1e-9 for step in plan.steps)
    assert all(at.dose <= at.limit + 1e-9 for at in plan.ceilings)
    if plan.steps:
        # Each mass is rounded to what a scale shows: half a decigram for each feed, or a quarter gram from 10 g on.
        assert plan.steps[-1].reaches <= plan.need.typical * 1.05
    edits.change_recipe(batch, feeds=plan.feeds)


def doubtful_must():
    """Enough nitrogen by the typical fruit, too little by the poor one."""
    return plain(
        fruits=(FruitLine(key="sour-cherry", mass=24.0, as_juice=True),), honeys=(HoneyLine(key="blossom", mass=5.0),),
        water=0.0, feeds=(), yeast=Yeast(key="dry-finisher", pitch=0.005),
    )  # fmt: skip


def test_that_a_small_feed_is_offered_where_the_need_lies_within_the_doubt_of_the_fruit():
    batch = doubtful_must()
    plan = plan_of(batch, SLOW, FAST, members=200)
    assert plan.steps == ()
    assert plan.insurance is not None
    assert plan.insurance.feed.key == SLOW
    assert 0.0 < plan.insurance.nitrogen <= 0.5 * plan.lack.high
    assert "Give it if the gravity has fallen little by the second day, or if it smells of rotten eggs." in told(plan)
    taken = edits.change_recipe(batch, feeds=plan.feeds)
    assert taken.recipe.feeds == (plan.insurance.feed,)


def test_that_no_insurance_is_offered_where_nothing_is_in_doubt_or_a_feed_is_needed_anyway():
    assert plan_of(doubtful_must(), SLOW, members=0).insurance is None  # the typical fruit alone has no doubt
    assert plan_of(honey_must(), SLOW, members=200).insurance is None


@pytest.mark.parametrize("sample", sorted(samples().glob("*.meadbatch")), ids=lambda path: path.stem)
def test_that_the_feeds_of_a_sample_pass_its_own_plan(sample):
    batch = decode(sample.read_bytes())
    outcome = evaluate(batch, SHELF, 200)
    said = [str(f.text) for f in outcome.findings if f.place.startswith("recipe.feeds")]
    if batch.log.readings:  # what was given is past; it kept to the limits
        said = [text for text in said if "limit" in text or "ceiling" in text or "usual" in text]
    assert not said


def test_that_a_feed_too_small_for_a_kitchen_scale_is_told_as_a_dilution():
    little = plain(
        fruits=(FruitLine(key="sour-cherry", mass=1.2),),
        honeys=(HoneyLine(key="blossom", mass=0.46),),
        water=0.8,
        feeds=(),
    )
    plan = plan_of(little, FAST)
    assert plan.steps
    for step in plan.steps:
        assert step.feed.mass < 1e-3
        assert "too little for a kitchen scale. Stir 10 g into water, make it up to 500 mL" in str(step.why)
        assert f"give {5e4 * step.feed.mass:.0f} mL" in str(step.why)
    assert "kitchen scale" not in " ".join(str(step.why) for step in plan_of(honey_must(), FAST).steps)
