"""Sentences whose figures are still figures."""

from __future__ import annotations

import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.wording import phrases
from planner.wording.phrases import PLAIN, Figure, Words, literal, say

MAKERS = {
    name: make
    for name, make in vars(phrases).items()
    if inspect.isfunction(make) and make.__annotations__.get("return") == "Figure"
}
CONVERTED = {"rough_mass", "rough_volume"}
"""Kinds that `say` makes itself of an amount with its unit in a text from a table."""


@pytest.mark.parametrize("name", MAKERS)
def test_that_every_kind_of_figure_can_be_told_plainly(name):
    figure = MAKERS[name](0.123)
    assert figure == Figure(name, 0.123)
    assert PLAIN[figure.kind](figure.value)


def test_that_no_plain_format_is_without_its_figure():
    assert set(PLAIN) == set(MAKERS) | CONVERTED


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (phrases.mass(12.345), "12.35 kg"), (phrases.mass(1.0), "1.00 kg"), (phrases.mass(0.00549), "5.49 g"), (phrases.mass(0.25), "250 g"),
        (phrases.volume(0.0205), "20.5 L"), (phrases.volume(0.00025), "250 mL"), (phrases.temperature(293.15), "20 °C"),
        (phrases.gravity(1.0985), "1.099"), (phrases.gravity_step(-0.0041), "0.004"), (phrases.alcohol(0.1294), "12.9 % vol"),
        (phrases.share(0.3333), "33 %"), (phrases.concentration(27.3), "27 g/L"), (phrases.trace(0.1031), "103 mg/L"), (phrases.day(6.6), "7"),
        (phrases.day(-0.3), "0"), (phrases.count(3), "3"),
    ],
    ids=str,
)  # fmt: skip
def test_that_figures_are_told_in_metric_words(figure, text):
    assert str(say("{}", figure)) == text


@given(st.text())
def test_that_any_text_can_be_part_of_a_sentence(text):
    assert str(say(literal(text) + " {}", phrases.count(1))).endswith(" 1")


def test_that_a_sentence_is_told_in_somebodys_units():
    sentence = say("Add {} on day {}.", phrases.mass(0.008), phrases.day(2.0))
    assert str(sentence) == "Add 8 g on day 2."
    imperial = PLAIN | {"mass": lambda value: f"{value / 0.028349523125:.2f} oz"}
    assert sentence.shown(imperial) == "Add 0.28 oz on day 2."


@given(st.integers(0, 6), st.integers(0, 6))
def test_that_braces_and_figures_must_match_in_number(braces, figures):
    template, given_figures = "x {} " * braces, [phrases.count(1)] * figures
    if braces == figures:
        assert say(template, *given_figures) == Words(template, tuple(given_figures))
    else:
        with pytest.raises(ValueError, match="has room for"):
            say(template, *given_figures)
