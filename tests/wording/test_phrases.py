"""Sentences whose figures are still figures."""

from __future__ import annotations

import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.units import UNITS, scale
from planner.wording import figures, phrases
from planner.wording.figures import TELLERS, Plain, joined, ranged, told
from planner.wording.phrases import Figure, Words, literal, say

MAKERS = {
    name: make
    for name, make in vars(phrases).items()
    if inspect.isfunction(make) and make.__annotations__.get("return") == "Figure"
}


@pytest.mark.parametrize("name", MAKERS)
def test_that_every_kind_of_figure_can_be_told_plainly(name):
    figure = MAKERS[name](0.123)
    assert figure == Figure(name, 0.123)
    assert all(joined(told(figure.kind, figure.value, Plain(system)), Plain(system)) for system in ("metric", "us"))


def test_that_no_way_of_telling_is_without_its_figure():
    assert set(TELLERS) == set(MAKERS)


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (phrases.mass(12.345), "12.3 kg"), (phrases.mass(1.0), "1 kg"), (phrases.mass(0.00549), "5.5 g"), (phrases.mass(0.25), "250 g"),
        (phrases.mass(0.99996), "1 kg"), (phrases.weighed(12.345), "12.345 kg"), (phrases.rough_volume(0.7391e-3), "740 mL"),
        (phrases.volume(0.0205), "20.5 L"), (phrases.volume(0.01), "10 L"), (phrases.alcohol(0.4), "40 % vol"), (phrases.volume(0.00025), "250 mL"), (phrases.temperature(293.15), "20 °C"),
        (phrases.gravity(1.0985), "1.099"), (phrases.gravity_step(-0.0041), "4.1 points"), (phrases.warmer(5.0), "5 °C"), (phrases.alcohol(0.1294), "12.9 % vol"),
        (phrases.share(0.3333), "33 %"), (phrases.concentration(27.3), "27 g/L"), (phrases.trace(0.1031), "103 mg/L"), (phrases.trace(1.402), "1.4 g/L"), (phrases.percent(0.1754), "17.5 %"), (phrases.day(6.6), "7"),
        (phrases.day(-0.3), "0"), (phrases.count(3), "3"),
    ],
    ids=str,
)  # fmt: skip
def test_that_figures_are_told_in_metric_words(figure, text):
    assert str(say("{}", figure)) == text


@given(st.text())
def test_that_any_text_can_be_part_of_a_sentence(text):
    assert str(say(literal(text) + " {}", phrases.count(1))).endswith(" 1")


@pytest.mark.parametrize(
    ("sentence", "text"),
    [
        (say("Add {} on day {}.", phrases.mass(0.227), phrases.day(2.0)), "Add 8.01 oz on day 2."),
        (say("{} of fruit", phrases.mass(6.4)), "14 lb 2 oz of fruit"),
        (say("{} of yeast", phrases.mass(0.005)), "5 g of yeast"),  # less than scales in ounces show
        (say("{} in {}", phrases.rough_mass(0.45359237), phrases.volume(3.785411784e-3)), "1 lb in 1 US gal"),
        (say("at {}, {} warmer", phrases.temperature(293.15), phrases.warmer(5.0)), "at 68 °F, 9 °F warmer"),
        (say("{} above the air", phrases.pressure(1.0e5)), "15 psi above the air"),
    ],
    ids=str,
)
def test_that_a_sentence_is_told_in_american_measures(sentence, text):
    assert sentence.shown(Plain("us")) == text


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("lb", figures.POUND), ("oz", figures.OUNCE), ("US_gal", figures.GALLON), ("US_floz", figures.FLUID_OUNCE),
     ("US_qt", figures.QUART)],
)  # fmt: skip
def test_that_american_measures_are_those_of_the_units_library(unit, factor):
    assert UNITS[unit].pint_name
    assert scale(unit).factor == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("sentence", "text"),
    [
        (say("{} to {} is missing", phrases.trace(0.077), phrases.trace(0.156)), "77 to 156 mg/L is missing"),
        (say("{} ({} to {})", *map(phrases.alcohol, (0.12, 0.116, 0.125))), "12.0 % vol (11.6 to 12.5)"),
        (say("{} of it ({} to {})", *map(phrases.mass, (0.95, 0.8, 1.2))), "0.95 kg of it (0.80 to 1.20)"),
        (say("{} to {} of sugar", phrases.concentration(0.0), phrases.concentration(33.0)), "0 to 33 g/L of sugar"),
        (say("from {} to {}", phrases.temperature(285.65), phrases.temperature(293.15)), "from 12.5 to 20.0 °C"),
        (say("{} to {}", phrases.mass(1.0), phrases.volume(1.0)), "1 kg to 1000 L"),  # no range
    ],
    ids=str,
)  # fmt: skip
def test_that_a_range_names_its_unit_once(sentence, text):
    assert str(sentence) == text


@given(st.sampled_from(sorted(set(TELLERS) - {"gravity_step"})), st.lists(st.floats(1e-6, 2.0), min_size=2, max_size=3))
def test_that_figures_of_a_range_have_the_unit_of_its_upper_end(kind, values):
    for system in ("metric", "us"):
        shown = ranged(kind, sorted(values), Plain(system))
        assert shown[-1].unit == told(kind, max(values), Plain(system)).unit
        assert len({one.unit for one in shown}) == 1 or any(" " in one.number for one in shown)  # pounds and ounces


@given(st.integers(0, 6), st.integers(0, 6))
def test_that_braces_and_figures_must_match_in_number(braces, figures):
    template, given_figures = "x {} " * braces, [phrases.count(1)] * figures
    if braces == figures:
        assert say(template, *given_figures) == Words(template, tuple(given_figures))
    else:
        with pytest.raises(ValueError, match="has room for"):
            say(template, *given_figures)
