"""Typed text becomes SI, or a sentence that says why not. Factors: NIST Handbook 44, appendix C (exact)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QLocale

from planner.model.scales import gravity_from_brix
from planner.ui.entry import (
    EntryError,
    NumberFormat,
    read,
    read_fraction,
    read_gravity,
    read_number,
    read_quantity,
)
from planner.units import GravityScale, Kind

ENGLISH, GERMAN, BRITISH, FRENCH, POLISH, SWISS = map(QLocale, ("en_US", "de_DE", "en_GB", "fr_FR", "pl_PL", "de_CH"))
LB, OZ, US_GAL, IMP_GAL, US_CUP = 0.45359237, 0.028349523125, 3.785411784e-3, 4.54609e-3, 236.5882365e-6


def mass(text, locale=ENGLISH, default="kg"):
    return read_quantity(text, Kind.MASS, default, locale)


def refusal(reader, *arguments, **options):
    with pytest.raises(EntryError) as caught:
        reader(*arguments, **options)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2.5 kg", 2.5),
        ("2.5kg", 2.5),
        ("2.5\u00a0kg", 2.5),
        (" 750 g ", 0.75),
        ("750", 750.0),
        (".5", 0.5),
        ("5 lb 8 oz", 5 * LB + 8 * OZ),
        ("5lb8oz", 5 * LB + 8 * OZ),
        ("5 lb, 8 oz", 5 * LB + 8 * OZ),
        ("5 lbs. and 8 ounces", 5 * LB + 8 * OZ),
        ("½ lb", 0.5 * LB),
        ("1½ lb", 1.5 * LB),
        ("1 ½ lb", 1.5 * LB),
        ("1 1/2 lb", 1.5 * LB),
        ("1-1/2 lb", 1.5 * LB),
        ("3/4 kg", 0.75),
        ("1⁄4 kg", 0.25),
        ("1500 g", 1.5),
        ("1,234,567 mg", 1.234567),
    ],
)
def test_that_masses_are_read_as_people_write_them(text, expected):
    assert mass(text) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "locale", "expected"),
    [
        ("2,5 L", GERMAN, 2.5e-3),
        ("1 1/2 US gal", GERMAN, 1.5 * US_GAL),
        ("3/4 cup", ENGLISH, 0.75 * US_CUP),
        ("1 gal", ENGLISH, US_GAL),
        ("1 gal", GERMAN, US_GAL),
        ("1 gal", BRITISH, IMP_GAL),
        ("1 US gal", BRITISH, US_GAL),
        ("1 gallon 1 cup", ENGLISH, US_GAL + US_CUP),
        ("18", ENGLISH, 18e-3),
    ],
)
def test_that_volumes_are_read_in_the_habits_of_the_place(text, locale, expected):
    assert read_quantity(text, Kind.VOLUME, "L", locale) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "locale", "expected"),
    [
        ("1 234,5 g", FRENCH, 1.2345),
        ("1\u202f234,5 g", FRENCH, 1.2345),
        ("1 234 g", POLISH, 1.234),  # Polish groups from five digits on, but people write it from four
        ("1'234.5 g", SWISS, 1.2345),
        ("1’234.5 g", SWISS, 1.2345),
    ],
)
def test_that_thousands_may_be_set_apart_in_the_way_of_the_place(text, locale, expected):
    assert mass(text, locale) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "default", "kelvin"),
    [
        ("20", "degC", 293.15),
        ("20 c", "degC", 293.15),
        ("20°", "degC", 293.15),
        ("68 F", "degC", 293.15),
        ("68°", "degF", 293.15),
        ("-5 °C", "degC", 268.15),
        ("−5", "degC", 268.15),
    ],
)
def test_that_temperatures_are_read_in_either_scale(text, default, kelvin):
    assert read_quantity(text, Kind.TEMPERATURE, default, ENGLISH) == pytest.approx(kelvin, abs=1e-9)


def test_that_a_bare_number_is_in_the_default_unit():
    assert mass("750", default="g") == pytest.approx(0.75)
    assert mass("2", default="lb") == pytest.approx(2 * LB)


@pytest.mark.parametrize(
    ("text", "locale", "small", "large"),
    [
        ("1,250 kg", ENGLISH, "1.250", "1250"),
        ("1.250 kg", GERMAN, "1,250", "1250"),
        ("1.250 kg", FRENCH, "1,250", "1250"),
    ],
)
def test_that_a_number_with_two_meanings_is_asked_about(text, locale, small, large):
    message = refusal(mass, text, locale)
    assert text in message
    assert f"is it {small} or {large}?" in message
    assert f"“{locale.decimalPoint()}”" in message


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Enter a mass"),
        ("   ", "Enter a mass"),
        ("honey", "“honey”"),
        ("nan", "“nan”"),
        ("inf kg", "“inf kg”"),
        ("kg 5", "“kg 5”"),
        ("5 kg 3", "without a unit"),
        ("5 kg 3 kg", "more than one mass"),
        ("8 oz 5 lb", "more than one mass"),
        ("5 kg rubbish", "“kg rubbish” is not a unit"),
        ("1e3 g", "“e” is not a unit"),
        ("1.2.3 kg", "“1.2.3”"),
        ("1/0 kg", "zero"),
        ("-5 kg", "cannot be negative"),
        ("−5 kg", "cannot be negative"),
        ("2-3 kg", "range"),
        ("2 to 3 kg", "range"),
        ("9" * 81, "too long"),
        ("5 L", "is a volume. Enter a mass, in kg, g, mg, lb, oz"),
        ("5 kg 3 L", "is a volume. Enter a mass"),
        ("20 °C", "is a temperature. Enter a mass"),
    ],
)
def test_that_what_is_no_mass_is_refused_with_a_reason(text, said):
    assert said in refusal(mass, text)


@pytest.mark.parametrize(("typed", "meant"), [("kilgrams", "kg"), ("ounze", "oz"), ("lbz", "lb"), ("grms", "g")])
def test_that_a_mistyped_unit_brings_a_suggestion(typed, meant):
    message = refusal(mass, f"5 {typed}")
    assert f"“{typed}”" in message
    assert f"Did you mean {meant}?" in message


def test_that_ounces_of_a_volume_are_asked_about():
    assert "Did you mean fl oz?" in refusal(read_quantity, "8 oz", Kind.VOLUME, "L", ENGLISH)


def test_that_parts_per_million_are_not_taken_for_milligrams_per_litre():
    assert "enter mg/L" in refusal(read_quantity, "150 ppm", Kind.CONCENTRATION, "mg/L", ENGLISH)


def test_that_nothing_is_colder_than_absolute_zero():
    assert "absolute zero" in refusal(read_quantity, "-274", Kind.TEMPERATURE, "degC", ENGLISH)


def test_that_temperatures_do_not_add_up():
    assert "more than one temperature" in refusal(read_quantity, "20 °C 5 °F", Kind.TEMPERATURE, "degC", ENGLISH)


def test_that_negative_amounts_are_read_where_they_make_sense():
    assert read_quantity("-5 g", Kind.MASS, "g", ENGLISH, negative=True) == pytest.approx(-0.005)


def test_that_examples_in_messages_carry_the_decimal_sign_of_the_place():
    assert "2,5 kg" in refusal(mass, "", GERMAN)
    assert "2.5 kg" in refusal(mass, "", ENGLISH)


@given(text=st.text(max_size=30) | st.text(alphabet="0123456789.,/½ -kglboz°CF%", max_size=14))
@pytest.mark.parametrize("locale", [ENGLISH, GERMAN, FRENCH], ids=lambda locale: locale.name())
@pytest.mark.parametrize("kind", list(Kind))
def test_that_any_text_gives_a_finite_number_or_a_message(kind, locale, text):
    unit = {Kind.MASS: "kg", Kind.VOLUME: "L", Kind.TEMPERATURE: "degC", Kind.CONCENTRATION: "g/L", Kind.TIME: "d"}
    for gravity_scale in GravityScale:
        value, message = 0.0, "."
        try:
            value = read(text, kind, locale, unit.get(kind, ""), gravity_scale)
        except EntryError as error:
            message = str(error)
        assert math.isfinite(value)
        assert message[-1] in ".?"


@pytest.mark.parametrize("locale", [ENGLISH, GERMAN, FRENCH], ids=lambda locale: locale.name())
@pytest.mark.parametrize("gravity_scale", list(GravityScale))
@pytest.mark.parametrize("text", ["1.085", "1,085", "1085", " 1.085 SG", "sg 1,085", "1.0850"])
def test_that_a_specific_gravity_reads_the_same_in_every_place_and_scale(text, gravity_scale, locale):
    assert read_gravity(text, locale, gravity_scale) == pytest.approx(1.085, abs=1e-12)


@pytest.mark.parametrize(("text", "expected"), [("1", 1.0), ("1.0", 1.0), ("1.1", 1.1), ("0.996", 0.996)])
def test_that_short_gravities_are_read_on_their_own_scale(text, expected):
    assert read_gravity(text, ENGLISH) == expected


@pytest.mark.parametrize("text", ["20 Bx", "20 °Bx", "20 Brix", "20°brix", "20.0 bx"])
def test_that_brix_is_read_with_its_name(text):
    assert read_gravity(text, ENGLISH) == pytest.approx(float(gravity_from_brix(20.0)), abs=1e-12)


@pytest.mark.parametrize(("text", "brix"), [("20", 20.0), ("20,5", 20.5), ("1,1", 1.1), ("-1", -1.0), ("−1,0", -1.0)])
def test_that_a_bare_number_is_brix_for_who_reads_brix(text, brix):
    expected = float(gravity_from_brix(brix))
    assert read_gravity(text, GERMAN, GravityScale.BRIX) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("20", "enter 20 °Bx"),
        ("85", "Enter a gravity"),
        ("0.5", "between 0.85 and 1.48"),
        ("108", "between 0.85 and 1.48"),
        ("20 plum", "“plum” is not a scale of gravity"),
        ("90 Bx", "from -10 to 85"),
        ("20,500 Bx", "is it 20.500 or 20500?"),
        ("-1.0", "not a specific gravity"),
        ("sweet", "“sweet”"),
        ("", "Nothing was entered"),
    ],
)
def test_that_what_is_no_gravity_is_refused_with_a_reason(text, said):
    assert said in refusal(read_gravity, text, ENGLISH)


@pytest.mark.parametrize(
    ("text", "locale", "expected"),
    [("12", ENGLISH, 0.12), ("12 %", ENGLISH, 0.12), ("12.5%", ENGLISH, 0.125), ("12,5 %", GERMAN, 0.125)],
)
def test_that_percentages_are_read_with_and_without_their_sign(text, locale, expected):
    assert read_fraction(text, locale) == pytest.approx(expected, rel=1e-12)
    assert read_fraction(text, locale, Kind.STRENGTH) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("kind", [Kind.MASS, Kind.GRAVITY, Kind.STRENGTH, Kind.TEMPERATURE, Kind.NUMBER])
def test_that_a_long_paste_is_refused_in_few_words(kind):
    for text in ("1" * 50_000, "1 kg " * 10_000, "1.05" + "x" * 50_000):
        with pytest.raises(EntryError) as refused:
            read(text, kind, QLocale("en_GB"), "kg")
        assert len(str(refused.value)) < 200


@pytest.mark.parametrize("text", ["12.5 % vol", "12.5 vol%", "12.5 % ABV", "12.5 vol."])
def test_that_a_strength_may_say_that_it_is_by_volume(text):
    assert read_fraction(text, ENGLISH, Kind.STRENGTH) == pytest.approx(0.125, rel=1e-12)
    assert "does not belong here" in refusal(read_fraction, text, ENGLISH)


@pytest.mark.parametrize(
    ("text", "said"),
    [("120", "more than the whole"), ("-1", "negative"), ("12 5", "more than one number"), ("12 kg", "“kg”")],
)
def test_that_what_is_no_percentage_is_refused_with_a_reason(text, said):
    assert said in refusal(read_fraction, text, ENGLISH)


def test_that_a_ph_may_carry_its_name():
    assert read_number("pH 3.4", ENGLISH) == 3.4
    assert read_number("3,4", GERMAN) == 3.4


def test_that_the_signs_of_a_number_come_from_the_locale():
    assert NumberFormat.of(GERMAN) == NumberFormat(",", ".")
    assert NumberFormat.of(ENGLISH) == NumberFormat(".", ",")


@pytest.mark.parametrize(
    ("text", "locale", "kilograms"),
    [("2,5 kg", ENGLISH, 2.5), ("2.5 kg", GERMAN, 2.5), ("10,85 kg", ENGLISH, 10.85), ("0,750 kg", ENGLISH, 0.75)],
)
def test_that_a_decimal_sign_of_elsewhere_is_read_where_it_can_part_no_thousands(text, locale, kilograms):
    assert mass(text, locale=locale) == pytest.approx(kilograms)
