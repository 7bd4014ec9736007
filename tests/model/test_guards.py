"""Bad numbers are refused at the door, by a message that names the place, what it was, and what is accepted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model import (
    bottle_pressure,
    extract,
    gas,
    guards,
    inference,
    pasteurisation,
    ph,
    refraction,
    refractometer,
    sorbate,
    sulphite,
    weight_loss,
)
from planner.model.liquid import Liquid
from planner.model.span import Span

NAN = float("nan")


def test_that_moisture_of_120_percent_is_refused_in_words():
    with pytest.raises(guards.OutOfRange) as caught:
        guards.share("moisture", 1.2)
    assert str(caught.value) == "moisture was 1.2 (120 %); accepted is 0 to 1 (0 to 100 %)."
    assert (caught.value.argument, caught.value.value) == ("moisture", 1.2)


def test_that_minus_300_degrees_is_refused_in_degrees():
    with pytest.raises(guards.OutOfRange, match=r"temperature was -300 °C; accepted is 0 to 40 °C\."):
        guards.temperature("temperature", -300.0 + 273.15)


def test_that_a_negative_mass_is_refused():
    with pytest.raises(guards.OutOfRange, match=r"mass of honey was -2 kg; accepted is 0 kg or more\."):
        guards.amount("mass of honey", -2.0)
    with pytest.raises(guards.OutOfRange, match=r"mass of a component was -0\.1 kg"):
        refraction.refractive_index(Liquid.of(water=1.0, glucose=-0.1))


def test_that_what_is_not_a_number_is_called_so():
    for door in (guards.amount, guards.share, guards.temperature):
        with pytest.raises(guards.NotANumber, match="juice was not a number"):
            door("juice", NAN)
    with pytest.raises(guards.NotANumber, match="juice was not a number"):
        guards.within("juice", [1.0, NAN], 0.0, 2.0)


def test_that_the_first_bad_value_of_an_array_is_named():
    with pytest.raises(guards.OutOfRange, match=r"gravity was 1\.9; accepted is 0\.95 to 1\.6"):
        guards.within("gravity", np.array([[1.0, 1.9], [0.1, 1.0]]), 0.95, 1.6)


def test_that_every_refusal_is_a_value_error():
    for kind in (guards.NotANumber, guards.OutOfRange):
        assert issubclass(kind, guards.BadInput)
    assert issubclass(guards.BadInput, ValueError)


@given(st.floats(0.0, 1.0))
def test_that_what_is_accepted_comes_back_unchanged(value):
    assert float(guards.share("share", value)) == value
    assert float(guards.within("value", value, 0.0, 1.0)) == value
    assert float(guards.amount("mass", value)) == value


def test_that_a_hair_of_rounding_below_nothing_is_no_negative_mass():
    assert guards.masses([1.0, -1e-17])[1] == -1e-17


MEAD = Liquid.of(water=0.88, ethanol=0.09, citric=0.004, malic=0.003)
MUST = Liquid.of(water=0.8, glucose=0.1, fructose=0.1)

# Every public function with something it cannot use, and the argument that its message must name.
REFUSALS = {
    "index in the cold": (lambda: refraction.refractive_index(MEAD, 200.0), "temperature"),
    "brix of no index": (lambda: refraction.brix_from_index(1.1), "refractive index"),
    "hot drop": (lambda: refractometer.brix_at_twenty(12.0, 380.0), "temperature"),
    "must of nothing": (lambda: refractometer.must_gravity(12.0, Liquid.of(water=1.0)), "extract of the must"),
    "gravity of mercury": (lambda: inference.infer(MUST, inference.Reading("gravity", 1.09, True), inference.Reading("gravity", 13.5)), "gravity"),
    "brix of no number": (
        lambda: inference.infer(MUST, inference.Reading("gravity", 1.09, True), inference.Reading("brix", NAN)), "brix"),
    "extract of stone": (lambda: extract.extract_from_gravity(2.6), "gravity"),
    "pure spirit": (lambda: extract.gravity_of_spirit(0.96), "alcohol"),
    "shortcut of stone": (lambda: extract.shortcuts(2.6, 1.0), "starting gravity"),
    "frozen gas": (lambda: gas.water_solubility(200.0), "temperature"),
    "gas in spirit": (lambda: gas.wine_solubility(293.15, 0.6, 0.0), "alcohol"),
    "negative sugar": (lambda: gas.refermentation(-1.0, 293.15, 0.1), "fermentable sugar"),
    "empty bottle": (lambda: gas.refermentation(1.0, 293.15, 0.1, fill=0.0), "fill"),
    "bottle in the oven": (lambda: bottle_pressure.heated(MUST, 400.0), "temperature"),
    "brim-full bottle": (lambda: bottle_pressure.heated(MUST, 338.15, room=0.0), "room"),
    "gas of a vacuum": (lambda: bottle_pressure.heated(MUST, 338.15, dissolved=-1.0), "dissolved carbon dioxide"),
    "unknown pressure": (lambda: gas.vessel_words(NAN), "pressure"),
    "gained weight": (lambda: weight_loss.by_weight(-1.0, MUST), "weight lost"),
    "unknown convention": (lambda: sulphite.pk("guess"), "convention"),
    "alkaline mead": (lambda: sulphite.molecular_share(9.0), "pH"),
    "cold constant": (lambda: sulphite.pk(sulphite.OIV, 0.1, 278.15), "temperature"),
    "negative molecular": (lambda: sulphite.free_for(-1.0, 3.3), "molecular sulphur dioxide"),
    "no volume": (lambda: sulphite.total_from(0.01, 0.0), "volume"),
    "negative volume": (lambda: sulphite.metabisulphite(0.03, -1.0), "volume"),
    "alkaline sorbate": (lambda: sorbate.undissociated_share(9.0), "pH"),
    "negative sorbate": (lambda: sorbate.sorbate_for(-1.0, 1.0), "sorbic acid"),
    "sorbate in nothing": (lambda: sorbate.sorbic_acid(1.0, 0.0), "volume"),
    "steam": (lambda: pasteurisation.units_per_minute(400.0), "temperature"),
    "negative units": (lambda: pasteurisation.minutes_for(-1.0, 338.15), "target"),
    "alkaline must": (lambda: ph.buffer(MEAD, 9.0), "pH"),
    "no parts": (lambda: ph.ph_of_blend([]), "parts"),
    "blend of unknown ph": (lambda: ph.ph_of_blend([(MEAD, Span(NAN, NAN, NAN))]), "pH"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSALS)
def test_that_no_formula_takes_what_cannot_be(case):
    call, argument = REFUSALS[case]
    with pytest.raises(guards.BadInput) as caught:
        call()
    assert caught.value.argument == argument
    assert "accepted is" in str(caught.value)
