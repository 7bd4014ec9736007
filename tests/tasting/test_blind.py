"""Blind tests: counts against the tables of ISO 4120 and 5495 as quoted, and against work by hand."""

from __future__ import annotations

from collections import Counter

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import friedmanchisquare

from planner.document.tasting import BlindTest, Serving
from planner.tasting.blind import (
    LEVEL,
    TRIANGLE_ORDERS,
    by_chance,
    needed,
    planned,
    preferring,
    ranked_by_chance,
    result,
)

# Right answers needed, by number of answers: triangle at 10, 5 and 1 %; 1/2 one-sided at 10, 5 and 1 %; two-sided likewise.
# The triangle column agrees with a table of the FAO (document v7180e, appendix A), which is that of ISO 4120; the others are
# those of ISO 5495, worked out from the same distribution.
TABLE = {
    5: (4, 4, 5, 5, 5, None, 5, None, None), 6: (5, 5, 6, 6, 6, None, 6, 6, None), 7: (5, 5, 6, 6, 7, 7, 7, 7, None),
    8: (5, 6, 7, 7, 7, 8, 7, 8, 8), 9: (6, 6, 7, 7, 8, 9, 8, 8, 9), 10: (6, 7, 8, 8, 9, 10, 9, 9, 10),
    12: (7, 8, 9, 9, 10, 11, 10, 10, 11), 15: (8, 9, 10, 11, 12, 13, 12, 12, 13), 18: (10, 10, 12, 13, 13, 15, 13, 14, 15),
    20: (10, 11, 13, 14, 15, 16, 15, 15, 17), 24: (12, 13, 15, 16, 17, 19, 17, 18, 19),
    30: (14, 15, 17, 20, 20, 22, 20, 21, 23),
}  # fmt: skip
LEVELS = (0.10, 0.05, 0.01)

# k of n: probability that more than half prefer it, 90 % band, two-sided probability; from the beta distribution.
BELIEFS = {
    (3, 4): (0.813, 0.34, 0.92, 0.63), (5, 6): (0.938, 0.48, 0.95, 0.22), (6, 8): (0.910, 0.45, 0.90, 0.29),
    (7, 8): (0.980, 0.57, 0.96, 0.07), (8, 10): (0.967, 0.53, 0.92, 0.11), (9, 10): (0.994, 0.64, 0.97, 0.021),
    (10, 12): (0.989, 0.59, 0.93, 0.039),
}  # fmt: skip


def is_shown(found):
    """Whether there is more than guessing."""
    return found.chance is not None and found.chance <= LEVEL


@pytest.mark.parametrize("number", TABLE)
def test_that_as_many_right_answers_are_needed_as_the_tables_say(number):
    found = [
        needed(number, chance, level, both)
        for chance, both in ((1.0 / 3.0, False), (0.5, False), (0.5, True))
        for level in LEVELS
    ]
    assert tuple(found) == TABLE[number]


@pytest.mark.parametrize("counts", BELIEFS)
def test_that_a_preference_is_believed_as_the_beta_distribution_has_it(counts):
    above, low, high, two_sided = BELIEFS[counts]
    belief, share = preferring(*counts)
    assert belief == pytest.approx(above, abs=0.0006)
    assert (share.low, share.high) == (pytest.approx(low, abs=0.006), pytest.approx(high, abs=0.006))
    assert by_chance(*counts, 0.5, two_sided=True) == pytest.approx(two_sided, abs=0.006)


def test_that_guesses_are_counted_as_by_hand():
    assert by_chance(2, 3, 1.0 / 3.0) == pytest.approx(7.0 / 27.0)  # three ways of two right, and one of three
    assert by_chance(3, 3, 0.5) == pytest.approx(1.0 / 8.0)


def test_that_rankings_are_weighed_as_by_hand():
    # Two tasters agree on three glasses: one order of six is the same, and none is clearer.
    assert ranked_by_chance(np.array([[1, 2, 3], [1, 2, 3]])) == pytest.approx(1.0 / 6.0)
    # Published exact table of Friedman's statistic (k = 3, n = 3, chi-square 6): 0.028 (Siegel, 1956, table N, from memory).
    assert ranked_by_chance(np.array([[1, 2, 3]] * 3)) == pytest.approx(0.028, abs=0.0005)
    assert ranked_by_chance(np.array([[1, 2, 3], [2, 3, 1], [3, 1, 2]])) == pytest.approx(1.0)  # sums all alike


def test_that_many_rankings_come_near_the_distribution_they_tend_to():
    dice = np.random.default_rng(7)
    ranks = np.array([dice.permutation(4) + 1 for _ in range(40)])
    ranks[:22] = [1, 2, 3, 4]
    known = friedmanchisquare(*ranks.T).pvalue
    assert ranked_by_chance(ranks) <= 0.001
    assert known <= 0.001


@given(st.integers(1, 24), st.integers(0, 2**32 - 1))
def test_that_orders_of_a_triangle_are_served_equally_often(number, seed):
    test = planned(BlindTest(kind="triangle", samples=("a", "b")), (), number, np.random.default_rng(seed))
    counts = Counter(serving.samples for serving in test.servings)
    assert set(counts) <= set(TRIANGLE_ORDERS)
    assert max(counts.values()) - min([counts[order] for order in TRIANGLE_ORDERS]) <= 1
    assert all(len(set(serving.codes)) == 3 and min(serving.codes) >= 100 for serving in test.servings)


@given(st.integers(2, 6), st.integers(1, 12), st.integers(0, 2**32 - 1))
def test_that_each_glass_of_a_ranking_stands_equally_often_at_each_place(samples, number, seed):
    names = tuple("abcdef"[:samples])
    test = planned(BlindTest(kind="ranking", samples=names), (), number * samples, np.random.default_rng(seed))
    for place in range(samples):
        assert set(Counter(serving.samples[place] for serving in test.servings).values()) == {number}


def test_that_each_taster_tastes_as_often():
    test = planned(BlindTest(kind="paired", samples=("a", "b")), ("Ines", "Olaf"), 4, np.random.default_rng(3))
    assert Counter(serving.taster for serving in test.servings) == {"Ines": 4, "Olaf": 4}


def answered(kind, right, wrong, samples=("plain", "dosed")):
    """A test with so many right and wrong answers; for a preference those for and against the second sample."""
    test = planned(BlindTest(kind=kind, samples=samples), (), right + wrong, np.random.default_rng(5))

    def answer(serving: Serving, good: bool) -> tuple[int, ...]:
        if kind == "triangle":
            odd = next(n for n, one in enumerate(serving.samples) if serving.samples.count(one) == 1)
            return (odd if good else (odd + 1) % 3,)
        return (serving.samples.index(1 if good else 0),)

    servings = tuple(
        msgspec.structs.replace(serving, answer=answer(serving, n < right)) for n, serving in enumerate(test.servings)
    )
    return msgspec.structs.replace(test, servings=servings)


def test_that_a_triangle_is_shown_from_the_number_of_the_table_on_and_never_called_the_same():
    shown, not_shown = result(answered("triangle", 8, 4)), result(answered("triangle", 7, 5))
    assert is_shown(shown)
    assert "A difference is shown." in str(shown.told)
    assert not is_shown(not_shown)
    assert "not shown; that does not make them the same" in str(not_shown.told)
    assert "8 right answers of as many would show one" in str(not_shown.told)


def test_that_a_pair_asks_for_the_sample_that_has_more():
    assert is_shown(result(answered("paired", 10, 2)))
    assert result(answered("paired", 2, 10)).right == 2
    assert not is_shown(result(answered("paired", 2, 10)))


def test_that_a_preference_is_told_with_what_may_be_of_it():
    found = result(answered("preference", 9, 1))
    assert "“dosed” is preferred, fairly surely" in str(found.told)
    assert "64 to 97 % of tastings" in str(found.told)
    assert "“plain” is preferred, fairly surely" in str(result(answered("preference", 1, 9)).told)
    assert "They lean to neither" in str(result(answered("preference", 3, 3)).told)
    assert "They lean to “dosed”" in str(result(answered("preference", 5, 1)).told)


def test_that_too_few_answers_say_that_they_can_show_nothing():
    assert "So few answers can never show one" in str(result(answered("triangle", 1, 1)).told)
    assert result(BlindTest(kind="paired", samples=("a", "b"))).chance is None


def test_that_a_ranking_names_the_first_and_asks_for_a_second_look():
    test = planned(BlindTest(kind="ranking", samples=("none", "half", "full")), (), 4, np.random.default_rng(5))
    best_first = [1, 2, 0]
    servings = tuple(
        msgspec.structs.replace(serving, answer=tuple(serving.samples.index(sample) for sample in best_first))
        for serving in test.servings
    )
    found = result(msgspec.structs.replace(test, servings=servings))
    assert found.ranks == (3.0, 1.0, 2.0)
    assert is_shown(found)
    assert "“half” first" in str(found.told)
    assert "test these two once more" in str(found.told)  # four of four are no proof between two
