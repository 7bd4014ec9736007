"""Acid by titration, carbonates, and the pH of known solutions."""

from __future__ import annotations

import numpy as np
import pytest
from chemicals.elements import molecular_weight, simple_formula_parser

from planner.model.acidity import CARBONATES
from planner.model.components import ACIDS
from planner.model.liquid import TARTARIC_PER_EQUIVALENT, Liquid
from planner.model.ph import Buffer, buffer, ph_by_salts
from published.rows import LIBRARY, READ, RECALLED, apart, as_tartaric, table


def ph_of(mixture, room, strength=0.0):
    """pH at which the charges of a mixture balance. [-]"""
    return float(ph_by_salts(mixture, [0.0], room, strength)[0])


TOPIC = "Acid in the terms of tartaric"


@pytest.mark.parametrize("row", table(TOPIC, "acid-factors", READ, 0.0006, [
    ("malic", 1.119), ("citric", 1.172), ("lactic", 0.833), ("acetic", 1.250), ("succinic", 1.271), ("gluconic", 0.383)]))  # fmt: skip
def test_that_acids_are_worth_what_the_handbooks_say(row, agrees):
    agrees(row, as_tartaric(1.0, row.given[0]))


def groups(formula, count):
    return molecular_weight(simple_formula_parser(formula)) / count


@pytest.mark.parametrize(
    "row",
    table(TOPIC, "molar-masses", LIBRARY, 2e-4, [
        ("malic", groups("C4H6O6", 2) / groups("C4H6O5", 2)), ("citric", groups("C4H6O6", 2) / groups("C6H8O7", 3)),
        ("lactic", groups("C4H6O6", 2) / groups("C3H6O3", 1)), ("quinic", groups("C4H6O6", 2) / groups("C7H12O6", 1)),
    ]),
)  # fmt: skip
def test_that_acids_are_worth_what_their_formulas_say(row, agrees):
    agrees(row, as_tartaric(1.0, row.given[0]))


CARBONATE = "Carbonate per fall of acid"
BICARBONATE = "potassium-bicarbonate"


@pytest.mark.parametrize(
    "row",
    table(CARBONATE, "enology-2", READ, 0.005, [(BICARBONATE, 0.49), ("calcium-carbonate", 0.98)], unit="as H2SO4"),
)
def test_that_a_gram_of_carbonate_takes_what_the_handbook_says(row, agrees):
    agrees(row, CARBONATES[row.given[0]].equivalents * molecular_weight(simple_formula_parser("H2SO4")) / 2e3)


@pytest.mark.parametrize("row", table(CARBONATE, "cfr-27-sheet", READ, 0.005, [
    (BICARBONATE, 1.334), ("potassium-carbonate", 0.92), ("calcium-carbonate", 0.667)], unit="g per g"))  # fmt: skip
def test_that_a_fall_of_one_gram_takes_so_much_carbonate(row, agrees):
    agrees(row, 1.0 / TARTARIC_PER_EQUIVALENT / CARBONATES[row.given[0]].equivalents)


@pytest.mark.parametrize("row", table(CARBONATE, "molar-masses", LIBRARY, 2e-5, [
    (BICARBONATE, 39.0983 / molecular_weight(simple_formula_parser("KHCO3"))),
    ("potassium-carbonate", 2 * 39.0983 / molecular_weight(simple_formula_parser("K2CO3")))], unit="K, kg/kg"))  # fmt: skip
def test_that_carbonates_bring_the_potassium_of_their_formulas(row, agrees):
    agrees(row, CARBONATES[row.given[0]].potassium)


def solution(acid, moles, salt):
    return Buffer(np.array([moles if key == acid else 0.0 for key in ACIDS]), salt)


PH = "pH of known solutions"


def by_first_constant(constant, moles):
    """pH of an acid of so many moles per cubic metre by its first dissociation alone."""
    k, c = 10.0**-constant, moles / 1e3
    return -np.log10((np.sqrt(k * k + 4.0 * k * c) - k) / 2.0)


@pytest.mark.parametrize(
    "row",
    table(PH, "nist-buffers", RECALLED, 0.03, [
        ("tartaric", 34.1, 34.1, 3.557), ("citric", 50.0, 50.0, 3.776), ("acetic", 200.0, 100.0, 4.65)], unit="pH"),
)  # fmt: skip
def test_that_standard_buffers_have_their_ph(row, agrees):
    """The constants are handbook ones for 25 °C with one ionic strength for all: 0.03 is what that leaves."""
    acid, moles, salt = row.given
    agrees(row, ph_of(solution(acid, moles, salt), 1.0))


@pytest.mark.parametrize(
    "row",
    table(
        PH,
        "normal-acids",
        RECALLED,
        0.05,
        [("acetic", 100.0, 2.9), ("lactic", 100.0, 2.4), ("tartaric", 50.0, 2.2)],
        "pH",
    )
    + [
        param
        for acid, moles, constant in (("citric", 100.0 / 3, 3.13), ("malic", 50.0, 3.40))
        for param in table(
            PH,
            "normal-acids",
            RECALLED,
            apart(2.2, by_first_constant(constant, moles), 0.1),
            [(acid, moles, 2.2)],
            "pH",
            f"the acid's own first constant, pK {constant} (CRC Handbook, recalled), makes {by_first_constant(constant, moles):.2f}",
        )
    ],
)
def test_that_tenth_normal_acids_have_their_ph(row, agrees):
    acid, moles = row.given
    agrees(row, ph_of(solution(acid, moles, 0.0), 1.0))


# Fruit: main acid, titratable [%] and pH of table 18.3; K, Ca, Mg, P [mg/100 g] of another laboratory's fruit.
FRUIT = [
    ("apple", "malic", 0.6, 3.3, 107, 6, 5, 11), ("pear", "malic", 0.2, 3.9, 116, 9, 7, 12),
    ("apricot", "malic", 1.4, 3.7, 259, 13, 10, 23), ("sour cherry", "malic", 1.8, 3.4, 173, 16, 9, 15),
    ("sweet cherry", "malic", 1.0, 4.0, 222, 13, 11, 21), ("peach", "malic", 0.6, 3.7, 190, 6, 9, 20),
    ("plum", "malic", 1.5, 3.3, 157, 6, 7, 16), ("blackberry", "malic", 1.7, 3.4, 162, 29, 20, 22),
    ("redcurrant", "citric", 2.3, 3.0, 275, 33, 13, 44), ("blackcurrant", "citric", 2.6, 3.3, 322, 55, 24, 59),
    ("raspberry", "citric", 2.1, 3.4, 151, 25, 22, 29), ("grape", "tartaric", 0.9, 3.3, 191, 10, 7, 20),
    ("lemon", "citric", 4.9, 2.5, 138, 26, 8, 16), ("orange", "citric", 1.1, 3.3, 181, 40, 10, 14),
    ("grapefruit", "citric", 1.5, 3.3, 135, 22, 9, 18), ("pineapple", "citric", 0.7, 3.4, 109, 13, 12, 8),
]  # fmt: skip


@pytest.mark.parametrize(
    "row",
    table(
        "Minerals by acid and pH",
        "belitz-usda",
        RECALLED,
        1.0,
        [(*line, 0.0) for line in FRUIT],
        "doublings",
        "acid and pH are one laboratory's fruit, minerals another's; acid alone differs twofold between lots of a fruit",
    ),
)
def test_that_acid_and_ph_of_fruit_tell_the_minerals_that_analysts_find(row, agrees):
    name, acid, percent, ph, potassium, calcium, magnesium, phosphorus = row.given
    assert name
    flesh = Liquid.of(water=0.88, fructose=0.12 - percent / 100.0, **{acid: percent / 100.0})
    by_charge = 1e3 * buffer(flesh, ph).salts
    analysed = 10.0 * (potassium / 39.1 + 2 * calcium / 40.08 + 2 * magnesium / 24.3 - phosphorus / 31.0)
    agrees(row, np.log2(by_charge / analysed))
