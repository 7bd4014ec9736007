"""SI becomes text that a person reads, and text that was shown reads back."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from PySide6.QtCore import QLocale

from planner.model.scales import brix_from_gravity, gravity_from_brix
from planner.model.span import Span
from planner.ui.display import Display
from planner.ui.entry import read
from planner.units import GravityScale, Kind, System

METRIC = Display(locale=QLocale("en_US"))
US = replace(METRIC, system=System.US)
GERMAN = Display(locale=QLocale("de_DE"))
BRIX = replace(METRIC, gravity_scale=GravityScale.BRIX)
POUND = 0.45359237  # NIST Handbook 44, appendix C


def plain(text):
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (METRIC.mass(0.85), "850 g"),
        (METRIC.mass(6.4), "6.4 kg"),
        (METRIC.mass(0.9997), "1 kg"),
        (METRIC.mass(0.0), "0 kg"),
        (METRIC.volume(0.0182), "18.2 L"),
        (METRIC.volume(0.00025), "250 mL"),
        (METRIC.temperature(290.15), "17 °C"),
        (METRIC.temperature(290.65), "17.5 °C"),
        (METRIC.temperature(290.15, decimals=1), "17.0 °C"),
        (METRIC.temperature(268.15), "−5 °C"),
        (METRIC.percent(0.126), "12.6 %"),
        (METRIC.percent_vol(0.126), "12.6 % vol"),
        (METRIC.grams_per_litre(6.5), "6.5 g/L"),
        (METRIC.milligrams_per_litre(0.15), "150 mg/L"),
        (METRIC.days(86400.0), "1 day"),
        (METRIC.days(12 * 86400.0), "12 days"),
        (METRIC.gravity(1.085), "1.085"),
        (METRIC.gravity_difference(-0.004), "−4 points"),
        (METRIC.gravity_difference(0.001), "1 point"),
        (METRIC.gravity_difference(0.0015), "1.5 points"),
        (US.mass(14 * POUND + POUND / 8), "14 lb 2 oz"),
        (US.mass(POUND), "1 lb"),
        (US.mass(16 * POUND - 1e-7), "16 lb"),
        (US.mass(POUND / 4), "4 oz"),
        (US.volume(0.0182), "4.81 US gal"),
        (US.temperature(293.15), "68 °F"),
        (GERMAN.mass(6.4), "6,4 kg"),
        (GERMAN.gravity(1.085), "1,085"),
    ],
)
def test_that_numbers_are_shown_as_people_write_them(shown, expected):
    assert plain(shown) == expected


def test_that_no_line_breaks_between_a_number_and_its_unit():
    texts = [US.mass(6.4), METRIC.volume(0.0182), METRIC.percent_vol(0.1), BRIX.gravity(1.05), METRIC.days(1e6)]
    assert not any(" " in text for text in texts)


def test_that_brix_is_shown_to_one_decimal():
    assert plain(BRIX.gravity(float(gravity_from_brix(20.0)))) == "20.0 °Bx"


def test_that_a_fall_in_brix_is_the_fall_of_brix():
    before, after = 1.060, 1.050
    fall = float(brix_from_gravity(before) - brix_from_gravity(after))
    shown = plain(BRIX.gravity_difference(before - after, near=1.055))
    assert float(shown.removesuffix(" °Bx")) == pytest.approx(fall, abs=0.05)


# The rounding rule of the Particle Data Group: a deviation of 0.827 asks for one digit, of 0.119 for two, of 0.367
# for one (the review's own examples: 0.827 +- 0.119 stays 0.83 +- 0.12; 0.827 +- 0.367 becomes 0.8 +- 0.4).
@pytest.mark.parametrize(("deviation", "expected"), [(0.119, "0.83"), (0.367, "0.8")], ids=str)
def test_that_digits_follow_the_uncertainty(deviation, expected):
    half = 1.6448536 * deviation
    assert METRIC.text(Span(0.827 - half, 0.827, 0.827 + half), Kind.NUMBER) == expected


def test_that_a_wide_span_rounds_to_tens_but_keeps_a_figure():
    # deviations of 274 g (two digits: tens) and 1520 g (two digits: hundreds, but 47 g must stay visible)
    assert plain(METRIC.mass(Span(0.397, 0.847, 1.297))) == "850 g"
    assert plain(METRIC.mass(Span(0.0, 0.047, 5.0))) == "50 g"


def test_that_gravity_keeps_the_three_decimals_of_the_trade():
    assert METRIC.gravity(Span(1.0, 1.1, 1.2)) == "1.100"


def test_that_a_span_is_shown_with_its_bounds_in_one_unit():
    assert plain(METRIC.format_span(Span(5.4, 6.4, 7.4), Kind.MASS)) == "6.4 kg (5.4 to 7.4)"
    assert plain(METRIC.format_span(Span(0.6, 0.85, 1.1), Kind.MASS)) == "850 g (600 to 1100)"
    assert plain(METRIC.format_span(Span.exactly(6.4), Kind.MASS)) == "6.4 kg"


def test_that_an_uncertain_mass_is_in_decimal_pounds():
    assert plain(US.format_span(Span(13 * POUND, 14 * POUND, 15 * POUND), Kind.MASS)) == "14.0 lb (13.0 to 15.0)"


def test_that_a_number_that_is_none_is_a_dash():
    assert METRIC.mass(math.nan) == "–"
    assert METRIC.volume(Span(1.0, 2.0, math.inf)) == "–"


def test_that_rounding_leaves_no_negative_zero():
    assert METRIC.number(-0.001, 1) == "0.0"


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (METRIC.text_for_editing(6.4, Kind.MASS), "6.4 kg"),
        (METRIC.text_for_editing(12.543, Kind.MASS), "12.543 kg"),
        (METRIC.text_for_editing(0.85, Kind.MASS), "850 g"),
        (METRIC.text_for_editing(0.85, Kind.MASS, "kg"), "0.85 kg"),
        (METRIC.text_for_editing(1.08, Kind.GRAVITY), "1.080"),
        (METRIC.text_for_editing(1.0855, Kind.GRAVITY), "1.0855"),
        (METRIC.text_for_editing(0.125, Kind.STRENGTH), "12.5 % vol"),
        (METRIC.text_for_editing(3.4, Kind.NUMBER), "3.4"),
        (US.text_for_editing(14.125 * POUND, Kind.MASS), "14 lb 2 oz"),
        (US.text_for_editing(5 * POUND, Kind.MASS), "5 lb"),
        (BRIX.text_for_editing(float(gravity_from_brix(20.0)), Kind.GRAVITY), "20.0 °Bx"),
    ],
)
def test_that_a_field_holds_what_was_entered(shown, expected):
    assert plain(shown) == expected


AMOUNTS = {
    Kind.MASS: (1e-5, 500.0),
    Kind.VOLUME: (1e-6, 1.0),
    Kind.TEMPERATURE: (263.15, 373.15),
    Kind.CONCENTRATION: (1e-4, 1e3),
    Kind.TIME: (0.0, 3e7),
    Kind.GRAVITY: (0.98, 1.2),
    Kind.FRACTION: (0.0, 1.0),
    Kind.STRENGTH: (0.0, 0.25),
    Kind.NUMBER: (0.0, 1000.0),
}


@st.composite
def displays(draw):
    locale = QLocale(draw(st.sampled_from(["en_US", "en_GB", "de_DE", "fr_FR", "sv_SE", "de_CH", "pl_PL"])))
    return Display(draw(st.sampled_from(System)), draw(st.sampled_from(GravityScale)), locale)


def last_digit(text, display):
    """What one step in the last digit of a shown text is worth in SI, read through the difference of two texts."""
    sign = re.escape(display.locale.decimalPoint())
    decimals = [len(found) for found in re.findall(rf"{sign}(\d+)", text)]
    return 10.0 ** -(decimals[-1] if decimals else 0)


UNIT_STEP = {
    "mg": 1e-6, "g": 1e-3, "kg": 1.0, "oz": 0.028349523125, "lb": POUND, "mL": 1e-6, "L": 1e-3,
    "US fl oz": 29.5735295625e-6, "US gal": 3.785411784e-3, "°C": 1.0, "°F": 5 / 9, "mg/L": 1e-3, "g/L": 1.0,
    "h": 3600.0, "d": 86400.0, "%": 0.01, "% vol": 0.01, "": 1.0, "°Bx": 0.0065,
}  # fmt: skip
"""SI size of one of each unit (NIST Handbook 44, SP 811); one °Bx is at most 0.0065 in gravity up to 1.2."""


@pytest.mark.parametrize("kind", list(Kind))
@given(data=st.data(), display=displays())
def test_that_every_shown_text_reads_back_within_what_it_shows(kind, data, display):
    value = data.draw(st.floats(*AMOUNTS[kind]))
    for text in (display.text(value, kind), display.text_for_editing(value, kind)):
        back = read(text, kind, display.locale, "", display.gravity_scale)
        unit = re.search(r"\D*$", text)[0].replace("\u00a0", " ").strip()
        half_a_digit = 0.5 * last_digit(text, display) * UNIT_STEP[unit]
        assert abs(back - value) <= half_a_digit * 1.001 + 1e-12 * abs(value)


@pytest.mark.parametrize("kind", list(Kind))
@given(data=st.data(), display=displays())
def test_that_a_number_on_its_scale_leads_back_to_the_value(kind, data, display):
    value = data.draw(st.floats(*AMOUNTS[kind]))
    unit = display.unit_for(value, kind)
    key = unit.key if unit else None
    assert display.from_scale(display.to_scale(value, kind, key), kind, key) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("grams", "told"), [(0.7, "0.7 g"), (0.4371, "0.44 g"), (4.371, "4.4 g"), (20.0, "20 g"), (196.04, "196 g")]
)
def test_that_small_masses_are_told_as_a_scale_shows_them(grams, told):
    # Pocket scales read 0.01 g, kitchen scales 0.1 to 1 g (common practice, no source).
    assert Display().mass(grams / 1000.0).replace("\xa0", " ").replace("\u202f", " ") == told


def test_that_millilitres_are_told_as_a_measuring_glass_shows_them():
    shown = [Display().volume(volume * 1e-6).replace("\xa0", " ").replace("\u202f", " ") for volume in (62.2, 4.26)]
    assert shown == ["62 mL", "4.3 mL"]
