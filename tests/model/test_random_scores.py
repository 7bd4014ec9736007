"""The same dice for every edit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model.random_scores import MEMBERS, scores


@given(st.text(max_size=30), st.integers(0, 300))
def test_that_a_label_always_throws_the_same(label, members):
    assert np.array_equal(scores(label, members), scores(label, members))
    assert scores(label, members).shape == (members + 1,)
    assert scores(label, members)[0] == 0.0


def test_that_other_labels_throw_otherwise():
    one, other = scores("fruit/plum/sugar", MEMBERS)[1:], scores("fruit/plum/acid", MEMBERS)[1:]
    # Two independent sets of 200 have |r| < 0.14 in 95 of 100 cases, and below 0.3 in all but one of 60,000.
    assert abs(float(np.corrcoef(one, other)[0, 1])) < 0.3


@pytest.mark.parametrize("label", ["honey/blossom/moisture", "yeast/vigour", "must/warmer"])
def test_that_the_throws_are_standard_normal_around_the_typical_case(label):
    thrown = scores(label, MEMBERS)[1:]
    assert float(thrown.mean()) == pytest.approx(0.0, abs=1e-12)  # each with its opposite
    assert float(thrown.std()) == pytest.approx(1.0, abs=0.2)  # 100 pairs: standard error 0.07


def test_that_nobody_can_load_the_dice():
    with pytest.raises(ValueError, match="read-only"):
        scores("yeast/vigour", 10)[1] = 9.0
