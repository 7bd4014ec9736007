"""Every result says where it comes from: method, sources that exist, how firm what enters is, and what was assumed."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import SHELF, full, plain, worked_out
from hypothesis import given, settings
from random_batches import batches

from planner.adjusting.mead import Properties
from planner.document import edits
from planner.document.batch import Addition, FruitLine, new_batch
from planner.document.reading_kinds import KINDS
from planner.evaluation.provenance import every_provenance, provenance, source_of
from planner.evaluation.provenance_methods import METHODS, NOT_MEASURED
from planner.model.components import COMPONENTS
from planner.reference.own import OwnFruit, OwnIngredients
from planner.reference.status import Status
from planner.timeline.results import FinishOutcome, MustOutcome


@pytest.mark.parametrize("key", METHODS)
def test_that_every_method_is_a_sentence_with_sources_that_exist(key):
    method = METHODS[key]
    assert method.sentence.endswith(".")
    assert method.sources
    for source in method.sources:
        assert SHELF.source(source).citation
    assert all(component in COMPONENTS for component in method.components)
    assert all(text[0].isupper() or text[0] == "°" for text in method.assumptions)
    assert all(text.endswith(".") for text in method.assumptions)


@pytest.mark.parametrize(
    ("block", "of"), [("must", MustOutcome), ("finish", FinishOutcome), ("stand", Properties), ("mead", Properties)]
)
def test_that_no_number_of_an_outcome_lacks_a_method(block, of):
    lacking = {name for name in of.__struct_fields__ if f"{block}.{name}" not in METHODS}
    # Some stand as must.juice and budget.*, one by one; what was measured is told of each.
    assert lacking <= {"juices", "parts", "measured"}


def test_that_every_part_of_the_finishing_gravity_and_every_corrected_reading_has_a_method():
    outcome = worked_out(full())
    assert {f"budget.{part.name}" for part in outcome.finish.parts} == {k for k in METHODS if k.startswith("budget.")}
    telling = {f"log.{row.kind}" for row in outcome.log if row.tells}
    assert telling <= set(METHODS)
    assert {key.partition(".")[2] for key in METHODS if key.startswith("log.")} <= set(KINDS.values())


def test_that_the_rows_of_the_recipe_enter_with_their_own_status():
    outcome = worked_out(plain())
    found = provenance("must.nitrogen", outcome, SHELF)
    fruit = SHELF.fruit(outcome.batch.recipe.fruits[0].key)
    entered = {row.name: row for row in found.entering}
    assert entered[f"{fruit.name}, nitrogen"].status is fruit.nitrogen_status
    assert set(fruit.sources) <= set(found.all_sources)
    assert provenance("must.acid", outcome, SHELF).entering[0].status is fruit.acid_status


def test_that_what_the_person_measured_stands_as_theirs():
    batch = edits.change_line(plain(), "fruits", 0, press_yield=0.7, juice_gravity=1.05)
    outcome = worked_out(batch)
    for key in ("must.volume", "must.gravity"):
        first = provenance(key, outcome, SHELF).entering[0]
        assert first.status is Status.OWN
        assert source_of(first.sources[0], SHELF).title == "Your own value"


def test_that_own_ingredients_are_marked_in_the_results_that_rest_on_them():
    own = OwnIngredients(fruits=(OwnFruit(key="own-x", name="Ours", based_on="blackcurrant", sugar=(0.1, 0.1, 0.1)),))
    batch = msgspec.structs.replace(plain(), own=own)
    batch = edits.change_recipe(batch, fruits=(FruitLine(key="own-x", mass=5.0),))
    outcome = worked_out(batch)
    sugar = {row.name: row.status for row in provenance("must.sugar", outcome, SHELF).entering}
    acid = {row.name: row.status for row in provenance("must.acid", outcome, SHELF).entering}
    assert sugar["Ours, composition"] is Status.OWN
    assert acid["Ours, acid"] is SHELF.fruit("blackcurrant").acid_status


def test_that_measured_gravities_are_named_as_what_the_result_rests_on():
    outcome = worked_out(full())
    assert outcome.starting_gravity is not None
    assert "measured at pitching" in provenance("finish.alcohol", outcome, SHELF).assumptions[0]
    assert "measured in the finished mead" in provenance("mead.sweetness", outcome, SHELF).assumptions[0]
    assert "you measured" not in " ".join(provenance("finish.alcohol", worked_out(plain()), SHELF).assumptions)


def test_that_where_the_mead_stands_rests_on_no_addition():
    batch = edits.change_adjustment(full(), additions=(Addition(key="erythritol", mass=0.1),))
    outcome = worked_out(batch)
    name = SHELF.additive("erythritol").name
    for what in Properties.__struct_fields__:
        assert name not in {row.name for row in provenance(f"stand.{what}", outcome, SHELF).entering}
        assert name in {row.name for row in provenance(f"mead.{what}", outcome, SHELF).entering}


def test_that_nothing_is_told_of_an_after_where_nothing_is_added():
    told = every_provenance(worked_out(edits.change_adjustment(full(), additions=())), SHELF)
    assert "stand.alcohol" in told
    assert not any(key.startswith("mead.") for key in told)


def test_that_an_addition_names_itself_and_not_the_others():
    batch = edits.change_adjustment(
        full(), additions=(Addition(key="erythritol", mass=0.1), Addition(key="malic-acid", mass=0.02))
    )
    outcome = worked_out(batch)
    assert [row.name for row in provenance("addition.acid.1", outcome, SHELF).entering] == [
        SHELF.additive("malic-acid").name
    ]
    assert len(provenance("addition.acid", outcome, SHELF).entering) == 2


def test_that_only_results_that_there_are_are_told():
    empty = every_provenance(worked_out(new_batch()), SHELF)
    assert not any(key.startswith(("finish.", "mead.", "budget.", "addition.")) for key in empty)
    assert {"must.volume", "finish.day", "mead.viscosity", "addition.acid", "log.hydrometer"} <= set(
        every_provenance(worked_out(full()), SHELF)
    )


def test_that_the_weakest_footing_is_found():
    found = provenance("must.nitrogen", worked_out(plain()), SHELF)
    assert found.weakest is Status.ESTIMATE  # honey's nitrogen is one in all rows
    assert provenance("budget.alcohol", worked_out(plain()), SHELF).weakest is Status.VERIFIED


def test_that_an_unknown_result_has_no_provenance():
    with pytest.raises(KeyError):
        provenance("must.colour", worked_out(plain()), SHELF)


@settings(max_examples=15)
@given(batches())
def test_that_any_batch_can_say_where_its_results_come_from(batch):
    for found in every_provenance(worked_out(batch), SHELF).values():
        assert found.all_sources
        for key in found.all_sources:
            assert source_of(key, SHELF).citation


def test_that_what_stands_in_for_a_gravity_is_assumed_only_without_one():
    measured = worked_out(full())
    assert measured.batch.adjustment.gravity is not None
    assert NOT_MEASURED not in provenance("stand.alcohol", measured, SHELF).assumptions
    open_ = worked_out(edits.change_adjustment(full(), gravity=None))
    assert NOT_MEASURED in provenance("stand.alcohol", open_, SHELF).assumptions
