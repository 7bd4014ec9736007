"""The closed list of units and the way from each to SI."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.units import SI_UNIT, UNITS, Kind, Scale, System, find_unit, preferred, scale, units_of

# NIST Handbook 44 (2024), appendix C, section 4 and NIST SP 811 (2008), appendix B.8: exact by definition, but for
# the last, which B.8 prints as 7.489 152 E+00.
NIST_FACTORS = {
    "lb": 0.45359237,
    "oz": 0.028349523125,
    "US_gal": 3.785411784e-3,
    "US_qt": 0.946352946e-3,
    "US_pt": 0.473176473e-3,
    "US_floz": 29.5735295625e-6,
    "US_cup": 236.5882365e-6,
    "US_tbsp": 14.78676478125e-6,
    "US_tsp": 4.92892159375e-6,
    "imp_gal": 4.54609e-3,
    "imp_qt": 1.1365225e-3,
    "imp_pt": 0.56826125e-3,
    "imp_floz": 28.4130625e-6,
}


@pytest.mark.parametrize(("key", "factor"), NIST_FACTORS.items())
def test_that_factors_agree_with_nist_handbook_44(key, factor):
    assert scale(key) == Scale(pytest.approx(factor, rel=1e-12), 0.0)


def test_that_an_ounce_per_gallon_agrees_with_nist_sp_811():
    assert scale("oz/US_gal").factor == pytest.approx(7.489152, abs=5e-7)
    # The ounce of 28.349523 g in the imperial gallon of 4.54609 L, both from NIST SP 811.
    assert scale("oz/imp_gal").factor == pytest.approx(28.349523 / 4.54609, rel=1e-6)


@pytest.mark.parametrize(
    ("fahrenheit", "kelvin"),
    [(32.0, 273.15), (212.0, 373.15), (-40.0, 233.15), (-459.67, 0.0)],  # NIST SP 811, B.8 and 4.2.1.1
    ids=str,
)
def test_that_fahrenheit_meets_kelvin_at_the_fixed_points(fahrenheit, kelvin):
    assert scale("degF").si(fahrenheit) == pytest.approx(kelvin, abs=1e-9)
    assert scale("degF").shown(kelvin) == pytest.approx(fahrenheit, abs=1e-9)


def test_that_a_difference_of_temperatures_has_no_offset():
    assert scale("degC").difference.si(5.0) == 5.0
    assert scale("degF").difference.shown(5.0) == pytest.approx(9.0, rel=1e-12)  # 1 K is 9/5 °F, SP 811, B.8


@pytest.mark.parametrize("unit", [u for u in UNITS.values() if u.exact], ids=lambda u: u.key)
def test_that_metric_factors_written_here_are_those_of_pint(unit):
    import pint

    name = {"L": "liter", "mL": "milliliter", "g/L": "g/liter", "mg/L": "mg/liter", "d": "day", "h": "hour"}
    quantity = pint.UnitRegistry().Quantity
    pint_name = name.get(unit.key, "week" if unit.key == "wk" else unit.key)
    zero, one = (quantity(x, pint_name).to(SI_UNIT[unit.kind]).magnitude for x in (0.0, 1.0))
    assert unit.exact == Scale(pytest.approx(one - zero, rel=1e-12), pytest.approx(zero, abs=1e-12))


@pytest.mark.parametrize("key", UNITS)
@given(value=st.floats(-1e6, 1e6))
def test_that_a_number_survives_the_way_to_si_and_back(key, value):
    back = scale(key).shown(scale(key).si(value))
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_that_scales_take_arrays():
    kelvin = scale("degC").si(np.array([0.0, 20.0]))
    assert kelvin.tolist() == [273.15, 293.15]


def test_that_metric_units_never_load_pint():
    code = (
        "import sys; from planner import units\n"
        "for unit in units.UNITS.values():\n"
        "    if unit.origin == 'metric': units.scale(unit.key)\n"
        "assert 'pint' not in sys.modules\n"
        "units.scale('lb')\n"
        "assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize(
    ("typed", "kind", "key"),
    [
        ("KGs", Kind.MASS, "kg"),
        ("pounds", Kind.MASS, "lb"),
        ("lbs.", Kind.MASS, "lb"),
        ("litres", Kind.VOLUME, "L"),
        ("us gal", Kind.VOLUME, "US_gal"),
        ("US  Gallons", Kind.VOLUME, "US_gal"),
        ("imp. gal", Kind.VOLUME, "imp_gal"),
        ("fl. oz", Kind.VOLUME, "US_floz"),
        ("°c", Kind.TEMPERATURE, "degC"),
        ("º F", Kind.TEMPERATURE, "degF"),
        ("g / l", Kind.CONCENTRATION, "g/L"),
        ("oz/gal", Kind.CONCENTRATION, "oz/US_gal"),
        ("days", Kind.TIME, "d"),
    ],
)
def test_that_common_spellings_find_their_unit(typed, kind, key):
    unit = find_unit(typed, kind)
    assert unit is not None
    assert unit.key == key


def test_that_a_bare_gallon_is_imperial_only_where_that_is_meant():
    assert find_unit("gal", Kind.VOLUME).key == "US_gal"
    assert find_unit("gal", Kind.VOLUME, imperial=True).key == "imp_gal"
    assert find_unit("us gal", Kind.VOLUME, imperial=True).key == "US_gal"


def test_that_an_unknown_name_finds_nothing():
    assert find_unit("stone", Kind.MASS) is None
    assert find_unit("", Kind.MASS) is None


def test_that_a_name_of_another_kind_is_found_as_what_it_is():
    assert find_unit("litre", Kind.MASS).kind == Kind.VOLUME


def test_that_symbols_are_unambiguous_within_their_kind():
    for kind in SI_UNIT:
        assert len({unit.symbol for unit in units_of(kind)}) == len(units_of(kind))
        assert all(find_unit(unit.symbol, kind) is unit for unit in units_of(kind))


@pytest.mark.parametrize(
    ("kind", "system", "si", "key"),
    [
        (Kind.MASS, System.METRIC, 0.85, "g"),
        (Kind.MASS, System.METRIC, 0.9999, "kg"),
        (Kind.MASS, System.METRIC, 6.4, "kg"),
        (Kind.MASS, System.METRIC, 0.0, "kg"),
        (Kind.MASS, System.METRIC, 5e-5, "mg"),
        (Kind.MASS, System.US, 6.4, "lb"),
        (Kind.MASS, System.US, 0.45359237, "lb"),
        (Kind.MASS, System.US, 0.2, "oz"),
        (Kind.MASS, System.US, 0.005, "g"),
        (Kind.VOLUME, System.METRIC, 0.0182, "L"),
        (Kind.VOLUME, System.METRIC, 2.5e-4, "mL"),
        (Kind.VOLUME, System.US, 0.0182, "US_gal"),
        (Kind.VOLUME, System.US, 2.5e-4, "US_floz"),
        (Kind.TEMPERATURE, System.US, 293.15, "degF"),
        (Kind.TIME, System.METRIC, 3600.0, "h"),
        (Kind.TIME, System.METRIC, 86400.0, "d"),
    ],
)
def test_that_the_preferred_unit_gives_a_handy_number(kind, system, si, key):
    assert preferred(kind, system, si).key == key


@given(kind=st.sampled_from(list(SI_UNIT)), system=st.sampled_from(System), si=st.floats(-1e9, 1e9))
def test_that_every_amount_has_a_preferred_unit_of_its_kind(kind, system, si):
    assert preferred(kind, system, si).kind == kind
