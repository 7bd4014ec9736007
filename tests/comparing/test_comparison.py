"""Batches side by side: on simulated pairs whose difference is known, the cause that is named first is the true one."""

from __future__ import annotations

from functools import cache

import msgspec
import numpy as np
import pytest
from example_batches import with_adjustment
from made_batches import SHELF, batch, having, logged, outcome

from planner.comparing.causes import causes
from planner.comparing.comparison import PROPERTIES, Comparison, compared, known
from planner.document import edits
from planner.document.batch import Batch, FruitLine, HoneyLine, StepFeed, TemperatureStep, Yeast, new_batch
from planner.document.tasting import Mark, Tasting
from planner.reference.own import OwnYeast

READ_TO = 0.0007
"""Standard deviation of a reading of these logs. [-] Half a line of a hydrometer, and the foam."""


def nearly(told: Batch, dice: np.random.Generator) -> Batch:
    """The same recipe as it is made once more: weighed, warmed and pitched a little otherwise."""
    made = told.recipe

    def about(value: float, share: float) -> float:
        return float(value * (1.0 + share * dice.uniform(-1.0, 1.0)))

    return having(
        told,
        fruits=tuple(msgspec.structs.replace(line, mass=about(line.mass, 0.02)) for line in made.fruits),
        honeys=tuple(msgspec.structs.replace(line, mass=about(line.mass, 0.015)) for line in made.honeys),
        water=about(made.water, 0.02),
        yeast=msgspec.structs.replace(made.yeast, pitch=about(made.yeast.pitch, 0.05)),
        temperatures=(
            TemperatureStep(day=0.0, temperature=made.temperatures[0].temperature + dice.uniform(-0.3, 0.3)),
        ),
    )


CHANGES = {
    "honey": lambda one, up: having(one, honeys=tuple(msgspec.structs.replace(h, mass=h.mass * (1.2 if up else 0.8)) for h in one.recipe.honeys)),
    "fruit": lambda one, up: having(one, fruits=(FruitLine(key="damson", mass=one.recipe.fruits[0].mass * (1.5 if up else 0.5)),)),
    "water": lambda one, up: having(one, water=one.recipe.water * (1.3 if up else 0.7)),
    "temperature": lambda one, up: having(one, temperatures=(TemperatureStep(day=0.0, temperature=287.15 if up else 284.15),)),
    "feeds": lambda one, _: having(one, feeds=()),
    "step_feeds": lambda one, up: having(one, step_feeds=(StepFeed(key="blossom", mass=1.0 if up else 0.7, day=4.0),)),
    "addition/erythritol": lambda one, up: with_adjustment(one, ("erythritol", 0.8 if up else 0.4)),
    "addition/malic-acid": lambda one, up: with_adjustment(one, ("malic-acid", 0.040 if up else 0.025)),
    "yeast": lambda one, _: having(one, yeast=msgspec.structs.replace(one.recipe.yeast, key="sweet-leaver")),
    "must": lambda one, _: one,
}  # fmt: skip


@cache
def pair(cause: str, up: bool, seed: int) -> Comparison:
    """Two batches by nearly one recipe, and one cause between them; their yeasts went at a pace of their own."""
    dice = np.random.default_rng(seed)
    size = float(dice.uniform(0.5, 2.0))
    first, second = nearly(batch("First"), dice), nearly(batch("Second"), dice)
    second = CHANGES[cause](second, up)
    made = [paced(one, dice) for one in (first, second)]
    if cause == "must":  # honey that nobody weighed
        made[1] = CHANGES["honey"](made[1], up)
    second, made[1] = edits.scaled(second, size), edits.scaled(made[1], size)
    logs = [
        outcome(logged(told, true, noise=READ_TO, seed=seed + place))
        for place, (told, true) in enumerate(zip((first, second), made, strict=True))
    ]
    return compared(logs, SHELF)


def paced(told: Batch, dice: np.random.Generator) -> Batch:
    """The batch with a yeast that is a little quicker or slower than anyone knows."""
    key = told.recipe.yeast.key
    vigour = SHELF.yeast(key).vigour.typical * float(np.exp(0.06 * dice.standard_normal()))
    own = OwnYeast(key="own-true", name="True", based_on=key, vigour=(vigour, vigour, vigour))
    yeast = msgspec.structs.replace(told.recipe.yeast, key="own-true")
    return msgspec.structs.replace(having(told, yeast=yeast), own=told.own.having(own))


def first_named(found: Comparison) -> str:
    return found.differences[0].causes[0].key if found.differences and found.differences[0].causes else ""


def test_that_the_first_cause_named_is_the_true_one_in_nine_pairs_of_ten():
    cases = [(cause, up, 100 * n + up) for n, cause in enumerate(CHANGES) for up in (True, False)]
    wrong = {case[:2]: first_named(pair(*case)) for case in cases if first_named(pair(*case)) != case[0]}
    assert len(wrong) <= len(cases) // 10, wrong


@pytest.mark.parametrize("cause", ["honey", "addition/malic-acid", "temperature"])
def test_that_a_cause_is_told_with_its_amount_and_its_direction(cause):
    words = {"honey": "more honey", "addition/malic-acid": "more malic acid", "temperature": "in place of"}
    told = str(pair(cause, True, 100 * list(CHANGES).index(cause) + 1).differences[0].told)
    assert words[cause] in told


def test_that_two_batches_alike_differ_in_nothing_for_which_a_cause_is_named():
    one = outcome(logged(batch("First")))
    other = outcome(logged(batch("Second")))
    assert compared([one, other], SHELF).differences == ()
    assert causes(one, other, SHELF) == () or all(
        abs(effect) < 1e-6 for cause in causes(one, other, SHELF) for effect in cause.effects.values()
    )


def test_that_a_batch_of_twice_the_size_by_the_same_recipe_differs_in_nothing():
    one = outcome(logged(batch("First")))
    twice = outcome(logged(edits.scaled(batch("Second"), 2.0)))
    assert compared([one, twice], SHELF).differences == ()


def test_that_the_effect_is_turned_round_where_the_batches_change_places():
    one, other = outcome(logged(batch("First"))), outcome(logged(CHANGES["honey"](batch("Second"), True)))
    there, back = ({c.key: c.effects for c in causes(*two, SHELF)}["honey"] for two in ((one, other), (other, one)))
    for key in there:
        assert there[key] == pytest.approx(-back[key], rel=1e-6, abs=1e-9)


def test_that_what_is_doubtful_comes_last_and_what_is_noticed_most_first():
    found = pair("honey", True, 1)
    steps = [(one.doubtful, -abs(one.steps)) for one in found.differences]
    assert steps == sorted(steps)
    assert all(abs(one.steps) >= 1.0 for one in found.differences)


def test_that_a_stall_is_named_as_what_it_is():
    one = outcome(logged(batch("Went through")))
    stuck = logged(batch("Stopped short"), days=(0.0, 1.0, 2.0, 3.0, 4.0, 5.0))
    last = stuck.log.entries[-1]
    still = tuple(msgspec.structs.replace(last, day=day) for day in (8.0, 12.0, 16.0, 20.0, 26.0, 32.0))
    other = outcome(edits.add_readings(stuck, *still))
    assert other.verdict.kind == "stalled"
    first = compared([one, other], SHELF).differences[0]
    assert first.causes[0].key == "stall"
    assert "“Stopped short” stalled" in str(first.told)


def test_that_ingredients_of_ones_own_are_exchanged_with_what_they_are():
    slow = OwnYeast(key="own-slow", name="Slow", based_on="all-rounder", vigour=(0.3, 0.3, 0.3))
    told = having(batch("Second"), yeast=Yeast(key="own-slow", pitch=0.010))
    other = outcome(logged(msgspec.structs.replace(told, own=told.own.having(slow))))
    found = {cause.key: cause for cause in causes(outcome(logged(batch("First"))), other, SHELF)}
    assert set(found) <= {"yeast", "must"}
    assert found["yeast"].effects["half"] > 1.0


def test_that_each_batch_has_its_place_in_every_line_side_by_side():
    found = compared([outcome(logged(batch(name))) for name in ("A", "B", "C")], SHELF)
    assert all(len(fact.values) == 3 for fact in found.facts)
    keys = [fact.key for fact in found.facts]
    assert len(keys) == len(set(keys))
    assert {of.key for of in PROPERTIES} <= set(keys)


def test_that_what_was_measured_is_compared_and_not_what_was_expected():
    told = logged(batch(), having(batch(), honeys=(HoneyLine(key="blossom", mass=5.5),)))
    there = outcome(told)
    assert known(there)["start"].typical == there.starting_gravity
    assert known(there)["finish"].typical != there.finish.gravity.typical


@pytest.mark.parametrize("number", [0, 1, 7])
def test_that_too_few_or_too_many_batches_are_refused(number):
    with pytest.raises(ValueError, match="2 to 6 can be compared"):
        compared([outcome(batch())] * number, SHELF)


def test_that_a_batch_without_a_must_is_still_shown_beside_the_others():
    found = compared([outcome(logged(batch())), outcome(new_batch())], SHELF)
    assert found.differences == ()
    assert next(fact for fact in found.facts if fact.key == "volume").values[1] is None


def test_that_what_was_tasted_last_stands_side_by_side():
    sweet = Tasting(note="", marks=(Mark(line="sweet", value=6.0),))
    tasted = outcome(edits.add_tasting(logged(batch("Tasted")), sweet))
    found = compared([tasted, outcome(logged(batch("Not yet")))], SHELF)
    facts = {fact.key: fact for fact in found.facts}
    assert [None if v is None else v.typical for v in facts["tasted/sweet"].values] == [6.0, None]
    assert "tasted/sour" not in facts
