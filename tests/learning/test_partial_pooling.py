"""Few batches are pooled: none is copied, and one unlike the others does not lead."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.learning.pooling import pooled

TOLD = st.lists(st.tuples(st.floats(-1.5, 1.5), st.floats(0.02, 1.0)), min_size=1, max_size=8)


@given(TOLD)
def test_that_the_next_batch_lies_between_the_shelf_and_what_batches_told(told):
    values, sds = zip(*told, strict=True)
    found = pooled(values, sds, 0.25, 0.25)
    assert min(0.0, *values) <= found.mean <= max(0.0, *values)
    assert 0.0 <= found.shelf <= 1.0
    assert found.mean_sd <= found.sd


def test_that_one_batch_is_never_copied():
    found = pooled((0.4,), (0.02,), 0.25, 0.25)
    assert 0.0 < found.mean < 0.4
    assert found.sd > 5.0 * 0.02


def test_that_more_batches_that_agree_leave_the_shelf_less_to_say():
    shares = [pooled((0.3,) * n, (0.1,) * n, 0.25, 0.25).shelf for n in range(6)]
    assert shares[0] == pytest.approx(1.0)
    assert all(later < before for before, later in itertools.pairwise(shares))


def test_that_a_batch_unlike_the_others_is_seen_and_hardly_followed():
    alike, odd = (-0.30, -0.26, -0.33), (-0.30, -0.26, -0.33, 1.6)
    told = pooled(odd, (0.08,) * 4, 0.25, 0.25)
    blind = pooled(odd, (0.08,) * 4, 0.25, 0.25, odd=0.0)
    without = pooled(alike, (0.08,) * 3, 0.25, 0.25)
    assert int(np.argmax(told.odd)) == 3
    assert told.odd[3] > 0.5
    assert abs(told.mean - without.mean) < abs(blind.mean - without.mean)


@given(TOLD, st.randoms())
def test_that_the_order_of_batches_does_not_matter(told, dice):
    other = list(told)
    dice.shuffle(other)
    first, second = (pooled(*zip(*some, strict=True), 0.25, 0.25) for some in (told, other))
    assert first[:4] == pytest.approx(second[:4], abs=1e-12)
