"""An arrow key goes to the next round number that matters at this size."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from PySide6.QtCore import QLocale

from planner.model.scales import gravity_from_brix
from planner.ui.display import Display
from planner.ui.widgets.steps import stepped
from planner.units import GravityScale, Kind, System

METRIC = Display(locale=QLocale("en_US"))
US = replace(METRIC, system=System.US)
BRIX = replace(METRIC, gravity_scale=GravityScale.BRIX)
POUND, OUNCE = 0.45359237, 0.028349523125  # NIST Handbook 44, appendix C


def step(value, steps, kind, display, size=None):
    unit = display.unit_for(value, kind)
    return stepped(value, steps, kind, display, unit.key if unit else None, size)


@pytest.mark.parametrize(
    ("kind", "display", "si", "steps", "expected"),
    [
        (Kind.MASS, METRIC, 6.4, 1, 6.6),
        (Kind.MASS, METRIC, 6.5, 1, 6.6),
        (Kind.MASS, METRIC, 6.4, -1, 6.2),
        (Kind.MASS, METRIC, 0.85, 1, 0.86),
        (Kind.VOLUME, METRIC, 18e-3, 1, 18.5e-3),
        (Kind.VOLUME, METRIC, 10e-3, -1, 9.8e-3),
        (Kind.TEMPERATURE, METRIC, 293.15, 1, 293.65),
        (Kind.TEMPERATURE, US, 293.15, 1, 293.15 + 5 / 9),
        (Kind.GRAVITY, METRIC, 1.085, -1, 1.084),
        (Kind.GRAVITY, METRIC, None, 1, 1.0),
        (Kind.STRENGTH, METRIC, 0.12, 1, 0.121),
        (Kind.TIME, METRIC, 12 * 86400.0, 1, 13 * 86400.0),
        (Kind.NUMBER, METRIC, 3.4, 1, 3.5),
        (Kind.MASS, US, 14 * POUND, 1, 14.5 * POUND),
        (Kind.MASS, US, 2 * POUND, 1, 2 * POUND + OUNCE),
        (Kind.MASS, METRIC, None, 1, 1.0),
        (Kind.GRAVITY, METRIC, 1.08, 10, 1.09),
        (Kind.GRAVITY, BRIX, float(gravity_from_brix(20.04)), 1, float(gravity_from_brix(20.1))),
    ],
)
def test_that_a_step_leads_to_the_next_round_number(kind, display, si, steps, expected):
    assert step(si, steps, kind, display) == pytest.approx(expected, rel=1e-9)


def test_that_a_given_step_is_taken():
    assert step(24.0, -1, Kind.NUMBER, METRIC, size=1.0) == 23.0
    assert step(293.15, 1, Kind.TEMPERATURE, METRIC, size=2.0) == pytest.approx(295.15)


@pytest.mark.parametrize("si", [1e-3, 0.0123, 0.5, 0.999, 1.0, 6.4, 10.0, 99.9, 250.0])
@pytest.mark.parametrize("display", [METRIC, US], ids=["metric", "us"])
def test_that_a_step_up_is_a_small_part_of_the_number_and_never_nothing(display, si):
    unit = display.unit_for(si, Kind.MASS).key
    up, down = (stepped(si, way, Kind.MASS, display, unit) for way in (1, -1))
    assert down < si < up
    assert up - down <= max(si / 9.0, 2.5 * OUNCE * (unit == "lb"))


@pytest.mark.parametrize("display", [METRIC, US, BRIX], ids=["metric", "us", "brix"])
@pytest.mark.parametrize("kind", list(Kind))
@given(number=st.floats(0.5, 60.0))
def test_that_down_and_up_again_leads_back_to_a_round_number(kind, display, number):
    unit = display.unit_for(None, kind)
    key = unit.key if unit else None
    at = 1.0 + number / 500.0 if kind == Kind.GRAVITY else display.from_scale(number, kind, key)
    start = stepped(at, 1, kind, display, key)
    back = stepped(stepped(start, -1, kind, display, key), 1, kind, display, key)
    assert back == pytest.approx(start, rel=1e-9)
