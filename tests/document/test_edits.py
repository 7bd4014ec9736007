"""Edits: pure, sparing of what they do not touch, and deaf to the impossible."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import full, plain, read, with_learning
from hypothesis import given
from hypothesis import strategies as st
from random_batches import batches

from planner.document import edits
from planner.document.batch import (
    Addition,
    Batch,
    Feed,
    FruitLine,
    Glass,
    HoneyLine,
    Recipe,
    SugarReading,
    Tasting,
    TemperatureStep,
    Trial,
    TrialPart,
    new_batch,
)
from planner.document.codec import decode, encode
from planner.document.edits import EditRefused
from planner.document.tasting import BlindTest, Serving

LINES = {
    "fruits": FruitLine(key="plum", mass=2.0), "honeys": HoneyLine(key="dark", mass=1.0), "feeds": Feed(key="blend", mass=0.004),
    "temperatures": TemperatureStep(day=20.0, temperature=295.15),
}  # fmt: skip

TRIAL = Trial(parts=(TrialPart(key="sugar", dose=20.0),), glasses=(Glass(strength=0.0), Glass(strength=1.0)))

TEST = BlindTest(kind="paired", samples=("plain", "dosed"), servings=(Serving(samples=(0, 1), codes=(318, 742)),))

# Every edit once, with the parts of the batch that it must not touch.
EDITS = {
    "describe": (lambda b: edits.describe(b, name="Other", notes="x"), ("recipe", "log", "adjustment", "tastings")),
    "change_recipe": (lambda b: edits.change_recipe(b, water=3.0, vessel=None), ("log", "adjustment", "recipe.fruits")),
    "change_rules": (lambda b: edits.change_rules(b, no_sulphite=True), ("log", "recipe.fruits", "recipe.wish")),
    "change_wish": (lambda b: edits.change_wish(b, alcohol=0.11), ("log", "recipe.fruits", "recipe.rules")),
    "change_losses": (lambda b: edits.change_losses(b, lees=0.07), ("log", "recipe.fruits", "recipe.wish")),
    "change_prices": (lambda b: edits.change_prices(b, bottle=0.9), ("log", "recipe.fruits", "recipe.losses")),
    "set_price": (lambda b: edits.set_price(b, "blossom", 12.0), ("log", "recipe.fruits", "recipe.losses")),
    "change_preparation": (lambda b: edits.change_preparation(b, soak=2.0), ("log", "recipe.fruits", "recipe.yeast")),
    "change_yeast": (lambda b: edits.change_yeast(b, pitch=0.004), ("log", "recipe.fruits", "recipe.preparation")),
    **{
        f"add_line {lines}": (
            lambda b, lines=lines: edits.add_line(b, lines, LINES[lines]), ("log", "adjustment", "recipe.yeast"),
        )
        for lines in LINES
    },
    "change_line": (lambda b: edits.change_line(b, "fruits", 1, mass=9.0), ("log", "recipe.honeys", "recipe.fruits.0")),
    "remove_line": (lambda b: edits.remove_line(b, "honeys", 0), ("log", "recipe.fruits", "recipe.feeds")),
    "change_log": (lambda b: edits.change_log(b, pitched_at=None), ("recipe", "adjustment", "log.readings")),
    "add_readings": (lambda b: edits.add_readings(b, read(8.0, 1.02), SugarReading(sugar=2.0)), ("recipe", "log.readings.0")),
    "change_reading": (lambda b: edits.change_reading(b, 1, excluded=True), ("recipe", "log.readings.0", "log.hydrometer")),
    "replace_reading": (
        lambda b: edits.replace_reading(b, 1, SugarReading(sugar=2.0)), ("recipe", "log.readings.0", "log.hydrometer"),
    ),
    "leave_out": (lambda b: edits.leave_out(b, [1]), ("recipe", "log.readings.0", "log.hydrometer")),
    "remove_readings": (lambda b: edits.remove_readings(b, [1]), ("recipe", "log.readings.0", "adjustment")),
    "add_entries": (lambda b: edits.add_entries(b, b.log.entries), ("recipe", "log.readings.0", "log.hydrometer")),
    "change_adjustment": (lambda b: edits.change_adjustment(b, gravity=1.01), ("recipe", "log", "adjustment.additions")),
    "add_addition": (lambda b: edits.add_addition(b, Addition(key="sugar", mass=0.1)), ("recipe", "log", "adjustment.additions.0")),
    "change_addition": (lambda b: edits.change_addition(b, 0, mass=0.1), ("recipe", "log", "adjustment.additions.1")),
    "remove_addition": (lambda b: edits.remove_addition(b, 0), ("recipe", "log", "tastings")),
    "log_doses": (
        lambda b: edits.log_doses(b, Addition(key="sugar", mass=0.1), at="2026-11-20T18:00+01:00"),
        ("recipe", "adjustment", "log.readings.0"),
    ),
    "add_trial": (lambda b: edits.add_trial(b, TRIAL), ("recipe", "log", "adjustment.additions")),
    "change_trial": (lambda b: edits.change_trial(edits.add_trial(b, TRIAL), 0, glass=5e-5), ("recipe", "log")),
    "score_glass": (lambda b: edits.score_glass(edits.add_trial(b, TRIAL), 0, 1, score=7.5), ("recipe", "log")),
    "remove_trial": (lambda b: edits.remove_trial(edits.add_trial(edits.add_trial(b, TRIAL), TRIAL), 0), ("recipe", "log")),
    "add_tasting": (lambda b: edits.add_tasting(b, Tasting(note="Good.")), ("recipe", "log", "adjustment", "tastings.0")),
    "change_tasting": (lambda b: edits.change_tasting(b, 1, note="Better."), ("recipe", "log", "adjustment", "tastings.0")),
    "remove_tasting": (lambda b: edits.remove_tasting(b, 1), ("recipe", "log", "adjustment", "tastings.0")),
    "mark_tasting": (lambda b: edits.mark_tasting(b, 1, "sweet", value=4.0), ("recipe", "log", "adjustment", "tastings.0")),
    "add_test": (lambda b: edits.add_test(b, TEST), ("recipe", "log", "adjustment", "tastings")),
    "answer_test": (lambda b: edits.answer_test(edits.add_test(b, TEST), 0, 0, (1,)), ("recipe", "log", "tastings")),
    "remove_test": (lambda b: edits.remove_test(edits.add_test(edits.add_test(b, TEST), TEST), 0), ("recipe", "log", "tastings")),
    "learn": (lambda b: edits.learn(b, with_learning().learning), ("recipe", "log", "adjustment", "tastings")),
    "go_by_learning": (lambda b: edits.go_by_learning(b, False), ("recipe", "log", "adjustment", "learning.values")),
    "scaled": (lambda b: edits.scaled(b, 2.0), ("log", "tastings", "recipe.preparation", "recipe.temperatures")),
}  # fmt: skip


def part(batch, path):
    for name in path.split("."):
        batch = batch[int(name)] if name.isdigit() else getattr(batch, name)
    return batch


@pytest.mark.parametrize("name", EDITS)
def test_that_an_edit_leaves_the_old_batch_as_it_was_and_gives_another(name):
    before, same = full(), full()
    after = EDITS[name][0](before)
    assert before == same
    assert isinstance(after, Batch)
    assert after != before


@pytest.mark.parametrize("name", EDITS)
def test_that_an_edit_shares_what_it_does_not_touch(name):
    edit, untouched = EDITS[name]
    before = full()
    after = edit(before)
    for path in untouched:
        assert part(after, path) is part(before, path), path


@pytest.mark.parametrize("name", EDITS)
def test_that_whatever_an_edit_gives_can_be_saved(name):
    after = EDITS[name][0](full())
    assert decode(encode(after)) == after


def test_that_every_edit_has_been_tried():
    tried = {name.split()[0] for name in EDITS} | {"changed"}
    public = {
        name
        for name, thing in vars(edits).items()
        if callable(thing) and getattr(thing, "__module__", "") == edits.__name__
    }
    assert {name for name in public if not name.startswith("_")} - {"EditRefused"} == tried


@pytest.mark.parametrize("lines", LINES)
def test_that_lines_are_added_at_the_end_changed_in_place_and_removed(lines):
    before = full()
    added = edits.add_line(before, lines, LINES[lines])
    place = len(getattr(before.recipe, lines))
    assert getattr(added.recipe, lines) == (*getattr(before.recipe, lines), LINES[lines])
    assert edits.remove_line(added, lines, place) == before
    field = {"temperatures": {"temperature": 290.0}}.get(lines, {"mass": 0.123})
    changed = edits.change_line(added, lines, 0, **field)
    (name, value), = field.items()  # fmt: skip
    assert getattr(getattr(changed.recipe, lines)[0], name) == value
    assert getattr(changed.recipe, lines)[1:] == getattr(added.recipe, lines)[1:]


def test_that_readings_come_at_the_end_and_change_alone():
    first, second = read(1.0, 1.08), SugarReading(day=2.0, sugar=10.0)
    logged = edits.add_readings(new_batch(), first, second)
    assert logged.log.readings == (first, second)
    struck = edits.change_reading(logged, 1, excluded=True)
    assert [r.excluded for r in struck.log.readings] == [False, True]
    assert edits.remove_readings(struck, (1,)).log.readings == (first,)


IMPOSSIBLE = [
    (lambda b: edits.change_recipe(b, water=-1.0), "water_kg"), (lambda b: edits.change_recipe(b, water=1e6), "water_kg"),
    (lambda b: edits.change_recipe(b, vessel=0.0), "vessel_m3"), (lambda b: edits.change_recipe(b, water="8"), "water_kg"),
    (lambda b: edits.change_yeast(b, pitch=-1e-9), "mass_kg"), (lambda b: edits.change_yeast(b, key=""), "key"),
    (lambda b: edits.change_line(b, "fruits", 0, press_yield=1.2), "press_yield_fraction"),
    (lambda b: edits.change_line(b, "fruits", 0, mass=True), "mass_kg"),
    (lambda b: edits.change_line(b, "honeys", 0, moisture=-0.1), "moisture_fraction"),
    (lambda b: edits.change_line(b, "temperatures", 0, temperature=20.0), "temperature_k"),
    (lambda b: edits.add_line(b, "feeds", Feed(key="blend", mass=-1.0)), "mass_kg"),
    (lambda b: edits.change_reading(b, 0, gravity=1098.0), "indicated_gravity"),
    (lambda b: edits.add_readings(b, read(0.0, 0.1)), "indicated_gravity"),
    (lambda b: edits.change_adjustment(b, volume=-0.02), "volume_m3"),
    (lambda b: edits.add_addition(b, Addition(key="sugar", mass=-0.1)), "mass_kg"),
    (lambda b: edits.add_tasting(b, Tasting(note="x" * 30_000)), "note"), (lambda b: edits.describe(b, name=""), "name"),
    (lambda b: edits.describe(b, name=None), "name"), (lambda b: edits.scaled(b, 1e9), "mass_kg"),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "place"), IMPOSSIBLE, ids=range(len(IMPOSSIBLE)))
def test_that_an_impossible_value_is_refused_with_its_place(edit, place):
    batch = full()
    with pytest.raises(EditRefused, match=place):
        edit(batch)
    assert batch == full()


@pytest.mark.parametrize("endless", [float("nan"), float("inf"), -float("inf")])
def test_that_a_number_that_is_none_is_refused(endless):
    for edit in (
        lambda: edits.change_recipe(full(), water=endless),
        lambda: edits.change_recipe(full(), vessel=endless),  # where nothing would be allowed
        lambda: edits.change_adjustment(full(), gravity=endless),
        lambda: edits.change_reading(full(), 0, temperature=endless),
    ):
        with pytest.raises(EditRefused, match=r"finite|expected"):
            edit()


def test_that_half_a_character_is_refused_since_no_file_can_hold_it():
    with pytest.raises(EditRefused, match="half of a character"):
        edits.describe(full(), notes="\ud83c")


@pytest.mark.parametrize("factor", [0.0, -1.0, float("nan"), float("inf")])
def test_that_a_batch_is_only_scaled_by_a_positive_number(factor):
    with pytest.raises(EditRefused):
        edits.scaled(full(), factor)


def test_that_lines_of_no_such_kind_are_a_fault_of_the_program():
    with pytest.raises(KeyError, match="herbs"):
        edits.add_line(full(), "herbs", LINES["feeds"])


def masses(value):
    """Every mass of a batch, however deep."""
    if isinstance(value, msgspec.Struct):
        for name in value.__struct_fields__:
            inner = getattr(value, name)
            if name in ("mass", "water", "pitch"):
                if inner is not None:  # of an event of the log that states none
                    yield inner
            else:
                yield from masses(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from masses(inner)


@given(st.floats(1e-3, 1e3))
def test_that_scaling_scales_every_mass_and_nothing_measured(factor):
    before = full()
    after = edits.scaled(before, factor)
    assert len(list(masses(before))) == 13
    assert list(masses(after)) == pytest.approx([mass * factor for mass in masses(before)], rel=1e-12)
    assert after.log == before.log
    assert after.adjustment.gravity == before.adjustment.gravity
    assert after.recipe.fruits[1].press_yield == before.recipe.fruits[1].press_yield


@given(batches(unknown=True), st.floats(0.1, 10.0))
def test_that_any_batch_is_scaled_there_and_back_or_refused(batch, factor):
    heaviest = max(masses(batch), default=0.0)
    if heaviest * max(factor, 1.0) > 1e5:
        return
    back = edits.scaled(edits.scaled(batch, factor), 1.0 / factor)
    assert list(masses(back)) == pytest.approx(list(masses(batch)), rel=1e-9, abs=1e-300)


def test_that_a_new_batch_is_empty_and_can_be_saved():
    batch = new_batch()
    assert batch.recipe == Recipe(yeast=batch.recipe.yeast)
    assert decode(encode(batch)) == batch
    assert plain() == plain()
