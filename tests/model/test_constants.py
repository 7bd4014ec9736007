"""Constants and components against the standard atomic weights and CODATA as general-purpose libraries hold them."""

from __future__ import annotations

import pytest
import scipy.constants
from chemicals.elements import molecular_weight

from planner.model import constants
from planner.model.components import ACIDS, COMPONENTS, INDEX, SUGARS

HEXOSE = {"C": 6, "H": 12, "O": 6}
DISACCHARIDE = {"C": 12, "H": 22, "O": 11}
ETHANOL = {"C": 2, "H": 6, "O": 1}
CARBON_DIOXIDE = {"C": 1, "O": 2}

# Formula and protons that a titration to pH 8.2 takes.
ACID_FORMULAS = {
    "malic": ({"C": 4, "H": 6, "O": 5}, 2), "citric": ({"C": 6, "H": 8, "O": 7}, 3),
    "tartaric": ({"C": 4, "H": 6, "O": 6}, 2), "lactic": ({"C": 3, "H": 6, "O": 3}, 1),
    "succinic": ({"C": 4, "H": 6, "O": 4}, 2), "acetic": ({"C": 2, "H": 4, "O": 2}, 1),
    "gluconic": ({"C": 6, "H": 12, "O": 7}, 1), "quinic": ({"C": 7, "H": 12, "O": 6}, 1),
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "formula"),
    [
        ("hexose", HEXOSE), ("ethanol", ETHANOL), ("carbon dioxide", CARBON_DIOXIDE), ("tartaric", ACID_FORMULAS["tartaric"][0]),
    ],
)  # fmt: skip
def test_that_molar_masses_are_sums_of_the_atomic_weights(name, formula):
    # Tables of different years differ in the last digit printed, 1 to 2 mg/mol.
    assert constants.MOLAR_MASS[name] == pytest.approx(molecular_weight(formula) * 1e-3, abs=6e-6)


def test_that_the_gas_constant_and_zero_celsius_are_those_of_the_si():
    assert scipy.constants.R == constants.GAS_CONSTANT
    assert scipy.constants.zero_Celsius == constants.ZERO_CELSIUS
    assert pytest.approx(scipy.constants.convert_temperature(20.0, "C", "K")) == constants.REFERENCE_TEMPERATURE


def test_that_sugar_splits_by_the_equation_of_gay_lussac():
    assert pytest.approx(0.5114, abs=5e-5) == constants.ETHANOL_PER_HEXOSE  # handbooks print 0.5114 g/g
    carbon_dioxide = (
        constants.ETHANOL_PER_HEXOSE * constants.MOLAR_MASS["carbon dioxide"] / constants.MOLAR_MASS["ethanol"]
    )
    assert carbon_dioxide == pytest.approx(0.4886, abs=5e-5)
    assert constants.ETHANOL_PER_HEXOSE + carbon_dioxide == pytest.approx(1.0, abs=2e-5)  # rounded molar masses


def test_that_a_disaccharide_takes_up_one_water():
    ratio = 2.0 * molecular_weight(HEXOSE) / molecular_weight(DISACCHARIDE)
    assert pytest.approx(ratio, rel=2e-5) == constants.HEXOSE_PER_DISACCHARIDE
    for key in ("sucrose", "maltose"):
        assert COMPONENTS[key].hexose == constants.HEXOSE_PER_DISACCHARIDE


@pytest.mark.parametrize("key", ACID_FORMULAS)
def test_that_acids_titrate_by_their_protons_and_molar_masses(key):
    formula, protons = ACID_FORMULAS[key]
    per_kilogram = 1e3 * protons / molecular_weight(formula)
    assert COMPONENTS[key].acid_equivalents == pytest.approx(per_kilogram, rel=1e-4)


def test_that_every_acid_has_been_checked():
    assert set(ACIDS) == set(ACID_FORMULAS)


def test_that_each_component_has_its_place_and_says_where_it_comes_from():
    assert list(INDEX.values()) == list(range(len(COMPONENTS)))
    assert (INDEX["water"], INDEX["ethanol"]) == (0, 1)
    for key, row in COMPONENTS.items():
        assert row.key == key
        assert row.name
        assert row.source
        assert row.status in {"verified", "one-source", "memory", "estimate"}
        assert row.sweetness.low <= row.sweetness.typical <= row.sweetness.high
        assert row.intrinsic_viscosity.low <= row.intrinsic_viscosity.typical <= row.intrinsic_viscosity.high


def test_that_yeast_takes_four_sugars_and_nothing_else():
    assert {key for key, row in COMPONENTS.items() if row.hexose > 0.0} == set(SUGARS)
