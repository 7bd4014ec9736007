"""Sulphur dioxide, sorbate and heat."""

from __future__ import annotations

import pytest
from chemicals.elements import molecular_weight, simple_formula_parser

from planner.model import pasteurisation, sorbate, sulphite
from published.rows import LIBRARY, READ, RECALLED, apart, table


def mass(formula):
    return molecular_weight(simple_formula_parser(formula))


# Free sulphur dioxide [mg/L] for 0.5 and 0.8 mg/L molecular by pH, printed whole.
FREE = [
    (3.0, 8, 13), (3.1, 10, 16), (3.2, 13, 21), (3.3, 16, 26), (3.4, 20, 32), (3.5, 25, 40), (3.6, 31, 50),
    (3.7, 39, 63), (3.8, 49, 79), (3.9, 62, 99), (4.0, 78, 125),
]  # fmt: skip


@pytest.mark.parametrize(
    "row",
    # Rounded, in some copies upwards: one milligram.
    table("Free sulphur dioxide", "free-so2-table", RECALLED, 1.0, [(ph, 0.5, low) for ph, low, _ in FREE], "mg/L")
    + table("Free sulphur dioxide", "free-so2-table", RECALLED, 1.0, [(ph, 0.8, high) for ph, _, high in FREE], "mg/L"),
)
def test_that_the_laboratories_table_comes_out(row, agrees):
    ph, molecular = row.given
    agrees(row, 1e3 * float(sulphite.free_for(molecular * 1e-3, ph)))


CONSTANTS = {
    0: (1.798, 2.000, 2.219, 2.334, 2.493), 5: (1.897, 2.098, 2.299, 2.397, 2.527), 10: (1.997, 2.198, 2.394, 2.488, 2.606),
    15: (2.099, 2.301, 2.503, 2.607, 2.728),
}  # fmt: skip
WARMTHS = (20, 25, 30, 35, 40)


@pytest.mark.parametrize("row", table(
    "Constant of sulphur dioxide", "oiv-as323-04c", READ, 0.0005,
    [(percent, c, value) for percent, line in CONSTANTS.items() for c, value in zip(WARMTHS, line, strict=True)],
))  # fmt: skip
def test_that_the_constant_follows_alcohol_and_warmth_as_in_the_oivs_table(row, agrees):
    percent, celsius = row.given
    mixed = float(sulphite.pk(sulphite.OIV, percent / 100.0, celsius + 273.15))
    agrees(row, mixed + 0.08)  # the step to the mixed constant is ours


@pytest.mark.parametrize(
    "row",
    table("Powders", "molar-masses", LIBRARY, 1e-4, [
        ("sulphur dioxide of K2S2O5", 2 * mass("SO2") / mass("K2S2O5")),
        ("sorbic acid of potassium sorbate", mass("C6H8O2") / mass("KC6H7O2")),
    ], unit="kg/kg"),
)  # fmt: skip
def test_that_powders_hold_what_their_formulas_say(row, agrees):
    found = {
        "sulphur dioxide of K2S2O5": sulphite.SO2_PER_METABISULPHITE,
        "sorbic acid of potassium sorbate": sorbate.ACID_PER_SORBATE,
    }
    agrees(row, found[row.given[0]])


@pytest.mark.parametrize(
    "row",
    table("Sorbic acid", "sorbic-handbook", READ, 0.5, [(3.2, 97.0), (3.6, 94.0), (4.0, 85.0)], unit="%"),
)
def test_that_so_much_sorbic_acid_is_undissociated(row, agrees):
    agrees(row, 100.0 * float(sorbate.undissociated_share(row.given[0])))


@pytest.mark.parametrize(
    "row", table("Sorbic acid", "law-sorbate", READ, 0.5, [(200.0, 268.0), (300.0, 402.0)], unit="mg/L")
)
def test_that_the_law_of_the_acid_is_so_much_of_the_salt(row, agrees):
    agrees(row, 1e6 * float(sorbate.sorbate_for(row.given[0] * 1e-3, 1e-3)))


HEAT = "Pasteurisation units"


@pytest.mark.parametrize(
    "row",
    [
        param
        for c in (55, 58, 60, 62, 64, 65, 67, 68, 70, 72, 75, 80)
        for param in table(
            HEAT,
            "z-seven",
            READ,
            apart(1.393 ** (c - 60) / 10 ** ((c - 60) / 7), 1.0, 1e-6),
            [(c, 1.0)],
            "relative",
            "Del Vecchio 1951: 1.393 per degree is ten times in 6.95 °C, not in 7",
        )
    ],
)
def test_that_units_per_minute_are_those_of_the_other_convention(row, agrees):
    celsius = row.given[0]
    agrees(row, float(pasteurisation.units_per_minute(celsius + 273.15)) / 10.0 ** ((celsius - 60.0) / 7.0))
