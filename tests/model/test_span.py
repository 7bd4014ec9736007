"""Uncertain numbers: quantiles, order, clipping."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from planner.model.span import Z_90, Span

FINITE = st.floats(-1e6, 1e6)
spans = st.lists(FINITE, min_size=3, max_size=3).map(lambda three: Span(*sorted(three)))


def test_that_its_score_is_the_ninetyfifth_percentile_of_the_normal_distribution():
    assert pytest.approx(norm.ppf(0.95), rel=1e-12) == Z_90


@given(spans)
def test_that_the_ends_are_the_fifth_and_ninetyfifth_percentile_and_the_middle_the_median(span):
    at = span.at([-Z_90, 0.0, Z_90], floor=-np.inf)
    assert at == pytest.approx(list(span), rel=1e-12, abs=1e-9)


def test_that_nine_of_ten_members_lie_between_the_ends():
    scores = norm.ppf((np.arange(2000) + 0.5) / 2000)
    members = Span(2.0, 3.0, 7.0).at(scores)
    assert np.percentile(members, [5, 50, 95]) == pytest.approx([2.0, 3.0, 7.0], abs=0.01)


@given(spans, st.lists(st.floats(-6, 6), min_size=2, max_size=20))
def test_that_higher_scores_never_give_lower_values(span, scores):
    values = span.at(np.sort(scores), floor=-np.inf)
    assert np.all(np.diff(values) >= 0.0)


@given(spans, st.lists(st.floats(-6, 6), min_size=1, max_size=20))
def test_that_values_keep_to_physical_bounds(span, scores):
    values = span.at(scores, 0.0, 1.0)
    assert np.all((values >= 0.0) & (values <= 1.0))


@given(FINITE)
def test_that_a_known_value_has_no_spread(value):
    span = Span.exactly(value)
    assert span.is_exact
    assert span.at([-3.0, 0.0, 3.0], floor=-np.inf) == pytest.approx([value] * 3)


@given(st.lists(FINITE, min_size=1, max_size=50))
def test_that_the_span_of_an_ensemble_holds_its_typical_member(members):
    span = Span.of(members)
    assert span.low <= span.typical <= span.high
    assert span.typical == members[0]


def test_that_the_span_of_an_ensemble_is_its_central_ninety_percent():
    rest = np.linspace(0.0, 100.0, 101)
    assert Span.of([50.0, *rest]) == pytest.approx((5.0, 50.0, 95.0))
    assert Span.of(7.0) == Span.exactly(7.0)


@given(spans, st.floats(1e-3, 1e3))
def test_that_scaling_scales_all_three(span, factor):
    assert span.scaled(factor) == pytest.approx([factor * value for value in span])
