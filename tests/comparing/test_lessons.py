"""What was expected and what came: on logs that the model itself wrote, so that what differs is known."""

from __future__ import annotations

import msgspec
import pytest
from made_batches import SHELF, batch, having, logged, outcome, recipe

from planner.comparing.lessons import lessons, off, taken_over
from planner.comparing.pace import below_from, expected_half, half
from planner.document import edits
from planner.document.batch import Batch, Event, FruitLine, HoneyLine, TemperatureStep, What, Wish, new_batch
from planner.document.tasting import Mark, Tasting
from planner.evaluation.outcome import evaluate
from planner.model.span import Span
from planner.recipe.vessels import way


def found(told: Batch):
    return {lesson.key: lesson for lesson in lessons(outcome(told), SHELF, 60)}


def next_of(told: Batch, *keys: str) -> Batch:
    of = found(told)
    return taken_over(told, [of[key].carry for key in keys])


def test_that_a_batch_that_went_as_planned_differs_in_nothing():
    of = found(logged(batch()))
    assert {key: of[key].off for key in ("start", "pace", "days", "finish", "strength")} == dict.fromkeys(
        ("start", "pace", "days", "finish", "strength"), 0
    )
    assert all(of[key].came is not None for key in ("start", "pace", "days", "finish", "strength"))


@pytest.mark.parametrize(("honey", "way_off"), [(1.25, 1), (0.75, -1)])
def test_that_honey_which_the_recipe_does_not_tell_shows_in_start_and_strength(honey, way_off):
    told = batch()
    of = found(logged(told, having(told, honeys=(HoneyLine(key="blossom", mass=4.0 * honey),))))
    assert (of["start"].off, of["strength"].off) == (way_off, way_off)


def test_that_what_was_not_measured_is_said_with_how_to_measure_it():
    of = found(batch())
    assert all(of[key].came is None and of[key].off == 0 for key in ("start", "pace", "finish", "losses", "acid", "ph"))
    assert "Read the next must" in str(of["start"].told)
    assert "log how many bottles" in str(of["losses"].told)


def test_that_what_still_ferments_has_no_end_yet():
    half_way = logged(batch(), days=(0.0, 1.0, 2.0, 3.0, 4.0))
    of = found(half_way)
    assert [of[key].came for key in ("days", "finish", "strength")] == [None] * 3


def test_that_nothing_is_told_of_a_batch_in_which_nothing_ferments():
    assert lessons(outcome(new_batch()), SHELF) == ()


def test_that_the_press_and_the_juice_are_set_beside_the_table():
    line = FruitLine(key="damson", mass=10.0, press_yield=0.35, juice_gravity=1.085)
    of = found(batch(fruits=(line,)))
    assert of["yield_0"].off == -1
    assert of["juice_0"].off == 1
    assert next_of(batch(fruits=(line,)), "juice_0").recipe.fruits == (
        msgspec.structs.replace(line, juice_gravity=None),
    )


def test_that_a_slow_ferment_makes_its_yeast_slower_by_a_part_of_it():
    told = logged(batch(), having(batch(), temperatures=(TemperatureStep(day=0.0, temperature=283.15),)))
    of = found(told)
    assert of["pace"].came.typical > of["pace"].expected.typical
    following = taken_over(told, [of["pace"].carry])
    mine = following.own.find("yeasts", following.recipe.yeast.key)
    usual = SHELF.yeast("all-rounder").vigour
    assert mine.vigour[1] < usual.typical
    assert mine.vigour[2] / mine.vigour[0] < usual.high / usual.low  # surer than before
    before, after = (expected_half(evaluate(one, SHELF, 0)).typical for one in (batch(), following))
    assert before < after < half(outcome(told)).typical  # nearer to what came, and not beyond


def test_that_pace_which_the_measured_warmth_explains_is_not_the_yeasts():
    cold = having(batch(), temperatures=(TemperatureStep(day=0.0, temperature=285.15),))
    told = logged(batch(), cold)
    known = tuple(msgspec.structs.replace(one, temperature=285.15) for one in told.log.entries)
    warm = edits.change_log(told, readings=known)
    by_name = [next_of(one, "pace") if found(one)["pace"].carry else one for one in (told, warm)]
    vigours = [one.own.find("yeasts", one.recipe.yeast.key) for one in by_name]
    moved = [0.0 if own is None else abs(own.vigour[1] - SHELF.yeast("all-rounder").vigour.typical) for own in vigours]
    assert moved[1] < moved[0]


def test_that_a_must_colder_than_planned_is_planned_so():
    told = logged(batch())
    colder = tuple(msgspec.structs.replace(one, temperature=289.15) for one in told.log.entries)
    told = edits.change_log(told, readings=colder)
    of = found(told)
    assert of["temperature"].off == -1
    assert next_of(told, "temperature").recipe.temperatures == (TemperatureStep(day=0.0, temperature=289.15),)


def test_that_measured_losses_are_those_that_the_next_batch_counts_on():
    told = edits.change_adjustment(logged(batch()), volume=0.013)
    of = found(told)
    assert of["losses"].off == 1
    following = next_of(told, "losses")
    there = outcome(told)
    passed = way(following, SHELF, there.must.volume.typical, there.finish.volume.typical)
    racked = passed.steps[-1].left / (1.0 - following.recipe.losses.bottling)
    assert racked == pytest.approx(0.013, rel=1e-6)


def test_that_counted_bottles_tell_the_losses_too():
    told = edits.add_readings(logged(batch()), Event(what=What.BOTTLED, day=90.0, bottles=24, size=0.75e-3))
    came = found(told)["losses"].came
    assert came.typical == pytest.approx(1.0 - 24 * 0.75e-3 / outcome(told).finish.volume.typical)
    assert came.low < came.typical < came.high


def test_that_a_target_is_set_beside_the_mead_with_all_that_was_added():
    told = having(edits.change_adjustment(logged(batch())), wish=Wish(sweetness=40.0))
    assert found(told)["sweetness"].off == -1
    assert "less sweet than you wanted" in str(found(told)["sweetness"].told)


def test_that_the_next_batch_is_the_same_recipe_where_nothing_is_taken_over():
    assert taken_over(logged(batch()), ()).recipe == recipe()


def test_that_two_numbers_differ_only_beyond_their_doubts_and_the_step():
    assert off(Span(9.0, 10.0, 11.0), Span(11.0, 12.0, 13.0), 0.0) == 1
    assert off(Span(9.0, 10.0, 11.0), Span(10.0, 11.2, 12.4), 0.0) == 0
    assert off(Span.exactly(10.0), Span.exactly(9.5), 1.0) == 0
    assert off(Span.exactly(10.0), Span.exactly(8.5), 1.0) == -1


def test_that_a_gravity_which_rises_again_is_below_from_its_last_fall_on():
    import numpy as np

    days = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    assert below_from(days, np.array([1.1, 1.0, 1.1, 1.05, 1.0]), 1.05) == 3.0
    assert below_from(days, np.array([1.1, 1.1, 1.1, 1.1, 1.1]), 1.05) is None


def test_that_what_the_last_sheet_finds_too_much_is_told_with_what_to_plan():
    told = logged(batch())
    for fit in (2, -1):
        told = edits.add_tasting(
            told, Tasting(note="", marks=(Mark(line="sweet", value=4.0, fit=fit), Mark(line="sour", fit=0)))
        )
    of = found(told)
    assert "too little. Plan more sweetness" in str(of["tasted_sweet"].told)
    assert of["tasted_sweet"].came == Span.exactly(4.0)
    assert str(of["tasted_sour"].told) == "Your last sheet says just right."
    assert "tasted_body" not in of
