"""Solve for what is open: random problems whose answer is known, random problems that have none, and the words for it."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np
import pytest
from example_batches import SHELF, plain
from scipy.optimize import brentq

from planner.document.batch import Batch, FruitLine, HoneyLine, Wish, Yeast
from planner.model.fermentation import fully_fermented, partly_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, titratable_acid, volume
from planner.planning.balance import AMOUNTS, parts
from planner.planning.solve import Answer, solve_wish, with_amounts
from planner.planning.unmet_targets import unmet
from planner.recipe.must import must

GRAVITY, ROOM, STRENGTH, ACID = 1e-4, 10e-6, 1e-4, 0.02
"""What the planner promises: 1e-4 in gravity, 10 mL; the last two are far below any measurement."""

LIMITS = {"volume": ROOM, "gravity": GRAVITY, "alcohol": STRENGTH, "finish": GRAVITY, "acid": ACID}


def mead_of(start: Liquid, tolerance: float) -> Liquid:
    """The mead by mass balance, by a root finder of its own: dry, or at the yeast's limit."""
    dry = fully_fermented(start)
    if float(alcohol(dry)) <= tolerance:
        return dry
    all_sugar = float(fermentable(start))
    left = brentq(lambda sugar: float(alcohol(partly_fermented(start, sugar))) - tolerance, 0.0, all_sugar, xtol=1e-12)
    return partly_fermented(start, left)


def targets_of(batch: Batch, tolerance: float) -> dict[str, float]:
    """Every target as a batch has it, from the must as the whole program works it out."""
    start = must(batch, SHELF, 0).liquid.member(0)
    mead = mead_of(start, tolerance)
    return {
        "volume": float(volume(start)), "gravity": float(gravity(start)), "alcohol": float(alcohol(mead)),
        "finish": float(gravity(mead)), "acid": float(titratable_acid(mead)),
    }  # fmt: skip


def some_batch(dice: np.random.Generator) -> Batch:
    """A batch of 2 to 200 litres: one or two fruits, perhaps juice, honey, water, any yeast."""
    size = 10 ** dice.uniform(0.3, 2.3)
    fruit = [
        FruitLine(key=str(dice.choice(sorted(SHELF.fruits))), mass=size * dice.uniform(0.2, 1.0))
        for _ in range(dice.integers(1, 3))
    ]
    if dice.random() < 0.4:
        fruit.append(FruitLine(key="apple", mass=size * dice.uniform(0.1, 0.5), as_juice=True))
    return plain(
        fruits=tuple(fruit),
        honeys=(HoneyLine(key=str(dice.choice(sorted(SHELF.honeys))), mass=size * dice.uniform(0.08, 0.28)),),
        water=size * dice.uniform(0.05, 0.6),
        yeast=Yeast(key=str(dice.choice(sorted(SHELF.yeasts))), pitch=0.005),
    )


class Puzzle(NamedTuple):
    """A batch whose open amounts were forgotten, and what it was to reach."""

    batch: Batch
    wish: Wish
    tolerance: float
    wanted: dict[str, float]


def puzzle(seed: int) -> Puzzle:
    """A random problem that has an answer: the amounts are measured, scattered, and to be found again."""
    dice = np.random.default_rng(seed)
    while True:
        batch = some_batch(dice)
        tolerance = SHELF.yeast(batch.recipe.yeast.key).tolerance.typical
        reached = targets_of(batch, tolerance)
        present = [name for name in AMOUNTS if name in parts(batch, SHELF).columns]
        open_count = int(dice.integers(1, min(len(present), 3) + 1))
        left_open = tuple(str(name) for name in dice.choice(present, open_count, replace=False))
        known = ["volume", "gravity", "acid", "finish" if dice.random() < 0.3 else "alcohol"]
        if "alcohol" in known and reached["alcohol"] > tolerance - 1e-3:
            known.remove("alcohol")
        names = [str(name) for name in dice.choice(known, min(open_count, len(known)), replace=False)]
        if len(names) < open_count or (len(left_open) == len(present) and "volume" not in names):
            continue
        wanted = {name: reached[name] for name in names}
        scattered = {name: 10 ** dice.uniform(-1, 1) for name in left_open}
        start = with_amounts(batch, {n: f * parts(batch, SHELF).present[n] for n, f in scattered.items()})
        return Puzzle(start, Wish(left_open=left_open, **wanted), tolerance, wanted)


@pytest.mark.parametrize("seed", range(0, 1000, 100))
def test_that_a_thousand_random_problems_are_solved(seed):
    for number in range(seed, seed + 100):
        case = puzzle(number)
        answer = solve_wish(case.batch, SHELF, case.wish)
        assert answer.kind == "solved", (number, case.wish, str(answer.sentence), str(answer.nearest))
        reached = targets_of(answer.batch, case.tolerance)
        for name, value in case.wanted.items():
            assert reached[name] == pytest.approx(value, abs=LIMITS[name]), (number, name)
        before, after = parts(case.batch, SHELF).present, parts(answer.batch, SHELF).present
        for name, mass in before.items():
            if name in case.wish.left_open:
                assert after[name] >= 0.0
            else:
                assert after[name] == mass


def without(batch: Batch, *names: str) -> dict[str, float]:
    """What a batch comes to when some of its amounts are nothing."""
    tolerance = SHELF.yeast(batch.recipe.yeast.key).tolerance.typical
    return targets_of(with_amounts(batch, dict.fromkeys(names, 0.0)), tolerance)


def too_light(dice):
    """Honey is heavier than any must, so that a must with it cannot be lighter than the same without it."""
    batch = some_batch(dice)
    wanted = without(batch, "honey")["gravity"] - dice.uniform(0.002, 0.010)
    return batch, Wish(left_open=("honey",), gravity=wanted), {"honey", "gravity"}


def too_small(dice):
    """What is given already fills more than the volume."""
    batch = some_batch(dice)
    wanted = without(batch, "honey", "water")["volume"] * dice.uniform(0.3, 0.9)
    return batch, Wish(left_open=("honey", "water"), volume=wanted, gravity=1.090), {"volume"}


def too_much(dice):
    """Two amounts settle volume and gravity; the acid is then what it is, and another is wanted."""
    batch = some_batch(dice)
    start = must(batch, SHELF, 0).liquid.member(0)
    acid = targets_of(batch, SHELF.yeast(batch.recipe.yeast.key).tolerance.typical)["acid"]
    wish = Wish(left_open=("honey", "water"), volume=float(volume(start)), gravity=float(gravity(start)),
                acid=acid + dice.uniform(1.5, 6.0))  # fmt: skip
    return batch, wish, {"acid", "volume", "gravity"}


def too_strong(dice):
    """No yeast goes on at two percent above the alcohol that it bears."""
    batch = some_batch(dice)
    tolerance = SHELF.yeast(batch.recipe.yeast.key).tolerance.typical
    return batch, Wish(left_open=("honey",), alcohol=tolerance + 0.02), {"alcohol", "yeast"}


def nothing_open(dice):
    """A recipe that is given whole has one volume."""
    batch = some_batch(dice)
    return batch, Wish(volume=without(batch)["volume"] * dice.uniform(1.2, 2.0)), {"volume"}


@pytest.mark.parametrize("kind", [too_light, too_small, too_much, too_strong, nothing_open])
def test_that_two_hundred_impossible_problems_name_their_conflict(kind):
    for number in range(40):
        batch, wish, culprits = kind(np.random.default_rng(5000 + number))
        answer = solve_wish(batch, SHELF, wish)
        assert answer.kind == "conflict", (kind.__name__, number)
        assert culprits & set(answer.clashing), (kind.__name__, number, answer.clashing, str(answer.sentence))
        assert str(answer.sentence)[-1] in ".!"
        keeps_what_can_be_kept(batch, wish, answer)


def keeps_what_can_be_kept(batch: Batch, wish: Wish, answer: Answer) -> None:
    """The nearest that works can be weighed, alters nothing that was given, and says what it gives up."""
    if answer.batch is None:
        return
    before, after = parts(batch, SHELF).present, parts(answer.batch, SHELF).present
    assert all(mass >= 0.0 for mass in after.values())
    assert all(after[name] == mass for name, mass in before.items() if name not in wish.left_open)
    reached = targets_of(answer.batch, SHELF.yeast(batch.recipe.yeast.key).tolerance.typical)
    told = str(answer.nearest)
    for name, said in (("volume", "volume"), ("gravity", "starting gravity"), ("acid", "acid")):
        value = getattr(wish, name)
        if value is not None and answer.nearest is not None and said not in told:
            assert reached[name] == pytest.approx(
                value, abs=max(LIMITS[name], 0.05 * abs(value) if name == "volume" else 2e-4)
            )


def test_that_a_recipe_that_would_take_honey_out_is_refused_with_the_amount_and_the_nearest():
    batch = plain(fruits=(FruitLine(key="blackcurrant", mass=16.0),), water=0.0)
    answer = solve_wish(batch, SHELF, Wish(left_open=("honey",), gravity=1.030))
    assert answer.kind == "conflict"
    assert "would mean removing" in str(answer.sentence)
    assert "of honey" in str(answer.sentence)
    assert answer.batch.recipe.honeys[0].mass == 0.0
    assert "instead of 1.030" in str(answer.nearest)


def test_that_too_much_that_agrees_is_no_conflict():
    batch = plain()
    reached = targets_of(batch, 0.145)
    wish = Wish(left_open=("honey",), volume=reached["volume"], gravity=reached["gravity"], acid=reached["acid"])
    answer = solve_wish(batch, SHELF, wish)
    assert answer.kind == "solved"
    assert answer.batch.recipe.honeys[0].mass == pytest.approx(batch.recipe.honeys[0].mass, abs=2e-4)


def test_that_too_little_gives_the_room_that_is_left():
    answer = solve_wish(plain(), SHELF, Wish(left_open=("fruit", "honey", "water"), volume=0.020, gravity=1.090))
    assert answer.kind == "range"
    assert answer.amounts["water"].low == 0.0
    assert answer.amounts["fruit"].low == 0.0
    assert answer.reached["volume"] == pytest.approx(0.020, abs=ROOM)
    assert answer.reached["gravity"] == pytest.approx(1.090, abs=GRAVITY)
    assert "Enter one more thing" in str(answer.sentence)


def test_that_every_recipe_within_the_room_works_and_none_outside_it():
    wish = Wish(left_open=("fruit", "honey", "water"), volume=0.020, gravity=1.090)
    low, high = solve_wish(plain(), SHELF, wish).amounts["fruit"]
    for share, works in ((0.02, True), (0.5, True), (0.98, True), (1.02, False), (1.5, False)):
        fruit = (FruitLine(key="sour-cherry", mass=low + share * (high - low)),)
        answer = solve_wish(plain(fruits=fruit), SHELF, msgspec.structs.replace(wish, left_open=("honey", "water")))
        assert (answer.kind == "solved") is works, share


def test_that_without_any_size_any_amount_would_do():
    answer = solve_wish(plain(water=0.0), SHELF, Wish(left_open=("fruit", "honey"), gravity=1.090))
    assert answer.kind == "range"
    assert answer.clashing == ("size",)


def test_that_what_nothing_bounds_is_told_as_so_much_or_more():
    answer = solve_wish(plain(), SHELF, Wish(left_open=("honey", "water"), gravity=1.090))
    assert answer.kind == "range"
    assert answer.amounts["honey"].high == float("inf")
    assert "or more" in str(answer.sentence)


def test_that_strength_and_finish_together_ask_for_a_ferment_that_is_stopped():
    wish = Wish(left_open=("honey", "water"), volume=0.020, alcohol=0.10, finish=1.025)
    answer = solve_wish(plain(), SHELF, wish)
    assert answer.kind == "solved"
    assert answer.reached["alcohol"] == pytest.approx(0.10, abs=1e-5)
    assert answer.reached["finish"] == pytest.approx(1.025, abs=1e-5)
    assert "stopped with sugar left" in str(answer.sentence)


def test_that_what_the_recipe_has_no_line_of_cannot_be_worked_out():
    answer = solve_wish(plain(fruits=()), SHELF, Wish(left_open=("fruit",), gravity=1.090))
    assert answer.kind == "conflict"
    assert answer.clashing == ("fruit",)
    assert "no fruit" in str(answer.sentence)


def test_that_a_recipe_that_names_no_honey_is_told_how_much_of_a_usual_one_it_takes():
    answer = solve_wish(plain(honeys=()), SHELF, Wish(left_open=("honey",), gravity=1.090))
    assert answer.kind == "solved"
    assert targets_of(answer.batch, 0.2)["gravity"] == pytest.approx(1.090, abs=GRAVITY)
    (line,) = answer.batch.recipe.honeys
    assert SHELF.honey(line.key).name in str(answer.sentence)
    assert "names no honey" in str(answer.sentence)


WANTED = Wish(left_open=("honey",), alcohol=0.12)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, ()),
        ({"sweetness": 60.0}, ("you want 60 g/L",)),
        ({"body": 2.4e-3}, ("you want 2.40",)),
        ({"sweetness": 60.0, "body": 2.4e-3}, ("you want 60 g/L", "you want 2.40")),
        ({"body": 1e-3}, ()),  # as thin as water (CRC Handbook: 1.002 mPa·s at 20 °C), and a mead is thicker
    ],
)
def test_that_what_a_recipe_does_not_settle_of_the_glass_is_told(more, said):
    wish = msgspec.structs.replace(WANTED, **more)
    batch = solve_wish(plain(wish=wish), SHELF).batch
    told = [str(words) for words in unmet(batch, SHELF)]
    assert len(told) == len(said)
    assert all(part in text and "you want" in text for part, text in zip(said, told, strict=True))


def test_that_sugar_left_beyond_the_wish_is_told():
    batch = plain(honeys=(HoneyLine(key="blossom", mass=9.0),), wish=Wish(sweetness=0.0))
    (told,) = unmet(batch, SHELF)
    assert "It will end at about" in str(told)


def test_that_lines_keep_their_proportions():
    fruits = (FruitLine(key="sour-cherry", mass=6.0), FruitLine(key="damson", mass=2.0))
    answer = solve_wish(plain(fruits=fruits), SHELF, Wish(left_open=("fruit", "water"), volume=0.030, gravity=1.085))
    first, second = answer.batch.recipe.fruits
    assert first.mass / second.mass == pytest.approx(3.0)


def test_that_a_fruit_that_the_shelf_does_not_hold_is_named():
    answer = solve_wish(
        plain(fruits=(FruitLine(key="snozzberry", mass=1.0),)), SHELF, Wish(left_open=("honey",), gravity=1.08)
    )
    assert answer.kind == "conflict"
    assert "snozzberry" in str(answer.sentence)
