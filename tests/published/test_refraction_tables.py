"""Refractive index and refractometer °Brix of sugar, alcohol, must and honey."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from chemicals.refractivity import RI, RI_IAPWS
from scipy.optimize import brentq

from planner.model import sucrose
from planner.model.liquid import WATER_DENSITY, Liquid, density
from planner.model.numerics import solve_increasing
from planner.model.refraction import apparent_brix, brix_from_index, refractive_index
from planner.model.refractometer import brix_at_twenty
from published.rows import LIBRARY, READ, RECALLED, apart, table

SUGAR = "Refractive index of sucrose solutions"


def index_from_brix(brix):
    """Where the scale that the program reads has so much. [-]"""
    return float(brentq(lambda index: float(brix_from_index(index)) - brix, 1.33, 1.515, xtol=1e-13))


def solution(brix):
    return Liquid.of(water=1.0 - brix / 100.0, sucrose=brix / 100.0)


INDICES = (
    table(SUGAR, "oiv-as2-02", READ, 1e-5, [(10, 1.34782), (15, 1.35568), (25, 1.37233), (30, 1.38115)])
    + table(
        SUGAR, "crc-2021", READ, 1e-4,
        [(5, 1.3403), (20, 1.3639), (40, 1.3999), (50, 1.4201), (60, 1.4419), (70, 1.4654)],
    )
    + table(SUGAR, "crc-2021", READ, apart(1.4906, 1.4907, 1e-4), [(80, 1.4906)], differ="ICUMSA SPS-3, which has 1.4907")
    + table(
        SUGAR, "icumsa-sps3", RECALLED, 1e-5,
        [(0, 1.33299), (5, 1.34026), (20, 1.36384), (35, 1.39032), (40, 1.39986), (50, 1.42009), (55, 1.43080),
         (60, 1.44193), (65, 1.45348), (70, 1.46546)],
    )
    + table(
        SUGAR, "icumsa-sps3", RECALLED, 2e-5, [(75, 1.47787), (85, 1.50398)],
        differ="the published fit to the same table: above 70 % the two part by 0.01 °Brix, 2e-5 of the index",
    )
)  # fmt: skip


@pytest.mark.parametrize("row", INDICES)
def test_that_the_index_by_scale_is_the_published_one(row, agrees):
    agrees(row, index_from_brix(row.given[0]))


@pytest.mark.parametrize("row", INDICES)
def test_that_the_index_by_masses_and_density_is_the_same(row, agrees):
    # 7e-6 more: the crowding term meets the scale within 0.0027 °Brix, and one °Brix is at most 0.0026 of the index.
    agrees(_looser(row, 7e-6), refractive_index(solution(row.given[0])))


def _looser(row, by):
    return msgspec.structs.replace(row, tolerance=row.tolerance + by, topic="The same by specific refraction")


@pytest.mark.parametrize("row", table("°Brix from index", "oiv-as2-02", READ, 0.005, [
    (1.34782, 10.0), (1.35568, 15.0), (1.37233, 25.0), (1.38115, 30.0)], unit="°Brix"))  # fmt: skip
def test_that_brix_by_index_is_that_of_the_oiv(row, agrees):
    agrees(row, brix_from_index(row.given[0]))


# Amounts to subtract below 20 °C. The table is older than the indices of water that the formula rests on.
COOL = {
    5: {10: 0.82, 15: 0.87, 20: 0.92, 25: 0.95, 30: 0.99},
    10: {10: 0.59, 15: 0.62, 20: 0.65, 25: 0.67, 30: 0.69, 40: 0.72, 50: 0.74, 60: 0.75, 70: 0.75},
    12: {10: 0.49, 15: 0.51, 20: 0.53, 25: 0.55, 30: 0.56, 40: 0.58, 50: 0.60, 60: 0.61, 70: 0.60},
    15: {10: 0.32, 15: 0.33, 20: 0.34, 25: 0.35, 30: 0.36, 40: 0.37, 50: 0.38, 60: 0.38, 70: 0.38},
    17: {10: 0.20, 15: 0.20, 20: 0.21, 25: 0.21, 30: 0.22, 40: 0.23, 50: 0.23, 60: 0.23},
}  # fmt: skip
STATED = 0.035
"""What the model states for its doubt away from 20 °C. [°Brix] No spread of sources is allowed more."""


def by_steam(celsius):
    """Index of water by the steam association; against air, which is by 1.00027 less than against vacuum. [-]"""
    kelvin = celsius + 273.15
    return RI_IAPWS(kelvin, float(sucrose.water_density(kelvin)), 0.5893e-6) / 1.00027


def two_waters(celsius):
    """How far the table, its first two columns carried on to water, lies from the steam association's water. [°Brix]"""
    ten, fifteen = COOL[celsius][10], COOL[celsius][15]
    a_brix = (float(index_from_brix(1.0)) - float(index_from_brix(0.0))) / 1.0
    return abs(ten - 2.0 * (fifteen - ten) - (by_steam(celsius) - by_steam(20.0)) / a_brix)


@pytest.mark.parametrize("row", [
    param for t, line in COOL.items() for param in table(
        "Refractometer read away from 20 °C", "oiv-as2-02", READ, min(STATED, two_waters(t) + 0.005), unit="°Brix",
        differ=f"IAPWS R9-97: at {t} °C the water of the two lies {two_waters(t):.3f} °Brix apart",
        rows=[(t, b, off) for b, off in line.items()],
    )
] + table(
    "Refractometer read away from 20 °C", "oiv-as2-02", RECALLED, 0.01, [(25, 15, -0.38)], unit="°Brix"
))  # fmt: skip
def test_that_a_drop_that_is_not_at_twenty_degrees_is_corrected_as_by_the_table(row, agrees):
    celsius, true = row.given[:2]
    shown = np.array([true + row.published])
    agrees(row, shown[0] - float(brix_at_twenty(shown, np.array([celsius + 273.15]))[0]))


@pytest.mark.parametrize(
    "row",
    table(
        "Refractive index of water", "iapws-r9-97", LIBRARY, 1.5e-5, [(t, 0.0) for t in (0, 5, 10, 15, 25, 30, 35, 40)]
    ),
)  # which states 1.5e-5 for water at ambient conditions (from memory)
def test_that_water_bends_light_less_when_warm_as_the_steam_association_says(row, agrees):
    water = Liquid.of(water=1.0)
    own = float(refractive_index(water, row.given[0] + 273.15)) - float(refractive_index(water))
    agrees(row, own - (by_steam(row.given[0]) - by_steam(20.0)))


SPIRIT = "Refractive index of ethanol and water"


@pytest.mark.parametrize("row", table(
    SPIRIT, "crc-2021", READ, 1e-4,  # one of its last digit; the handbook's own steps of 6, 7 and 8 jump by as much
    [(1, 1.3336), (2, 1.3342), (3, 1.3348), (4, 1.3354), (5, 1.3360), (6, 1.3367), (7, 1.3374), (8, 1.3381), (9, 1.3388),
     (10, 1.3395), (11, 1.3403), (12, 1.3410), (13, 1.3417), (14, 1.3425), (15, 1.3432), (16, 1.3440), (18, 1.3455),
     (20, 1.3469), (30, 1.3535), (40, 1.3583)],
))  # fmt: skip
def test_that_the_index_of_spirit_is_the_handbooks(row, agrees):
    p = row.given[0] / 100.0
    agrees(row, refractive_index(Liquid.of(water=1.0 - p, ethanol=p)))


@pytest.mark.parametrize("row", table(SPIRIT, "crc-pure", LIBRARY, 1e-4, [("neat", RI("64-17-5")[0])]))
def test_that_the_index_of_pure_ethanol_is_the_libraries(row, agrees):
    agrees(row, refractive_index(Liquid.of(water=0.0, ethanol=1.0)))


@pytest.mark.parametrize("row", table(
    "°Brix of invert sugar", "icumsa-invert", RECALLED, apart(0.012, 0.022, 1e-3), [(w, w * 0.978) for w in (5.0, 10.0, 15.0)],
    "°Brix/%", "CRC Handbook: its indices of glucose and fructose lie 1.2 % below sucrose, not 2.2",
))  # fmt: skip
def test_that_invert_sugar_shows_less_than_it_weighs(row, agrees):
    """The handbook's indices of glucose and fructose give 1.2 % less than for sucrose, the rule of the analysts 2.2."""
    w = row.given[0] / 100.0
    shown = float(apparent_brix(Liquid.of(water=1.0 - w, glucose=w / 2.0, fructose=w / 2.0)))
    assert shown < row.given[0]
    agrees(row, row.published + (shown - row.published) / row.given[0])


MUST = table(
    # Other extract's refraction was chosen so that these four come out; that it can be, with one number, is the check.
    "Grape must: °Brix, density and sugar", "oiv-as2-02", READ, 0.1, unit="°Brix",
    rows=[(1.0391, 82.2, 10.0), (1.0598, 136.1, 15.0), (1.1047, 249.5, 25.0), (1.1287, 308.9, 30.0)],
)  # fmt: skip


@pytest.mark.parametrize("row", MUST)
def test_that_grape_must_shows_the_brix_that_belongs_to_its_density_and_sugar(row, agrees):
    heavy, sugar = row.given

    def must(other):
        solids = sugar + 7.0 + other  # 4 g/L tartaric and 3 g/L malic acid: common practice, no source
        return Liquid.of(
            water=heavy * 1e3 - solids, glucose=sugar / 2, fructose=sugar / 2, tartaric=4.0, malic=3.0, other=other
        )

    other = float(
        solve_increasing(lambda x: np.stack([density(must(o)) for o in x]), np.array([1e3 * heavy]), 0.0, 80.0)[0]
    )
    agrees(row, apparent_brix(must(other)))


WHITE = [(13, 1.4457), (14, 1.4404), (16, 1.4295), (18, 1.4171), (19, 1.4101), (20, 1.4027), (21, 1.3950)]
"""Water of neat honey [%] and its gravity 20/20 °C."""

# Parts of 490 honeys at 17.2 % of water [g/100 g]: White et al. 1962.
PARTS = {"fructose": 38.19, "glucose": 31.28, "sucrose": 1.31, "maltose": 7.31, "higher_sugars": 1.50, "gluconic": 0.57,
         "other": 2.64}  # fmt: skip


@pytest.mark.parametrize(
    "row",
    table(
        "Gravity of honey by its parts",
        "white-1975",
        RECALLED,
        3e-3,
        WHITE,
        unit="20/20 °C",
        differ="White 1962, whose average parts are not those of the honeys weighed; the model states 0.003 for it",
    ),
)
def test_that_honey_by_its_parts_has_the_published_gravity(row, agrees):
    water = row.given[0] / 100.0
    neat = Liquid.of(water=water, **{key: part / 82.8 * (1.0 - water) for key, part in PARTS.items()})
    agrees(row, float(density(neat)) / WATER_DENSITY)
