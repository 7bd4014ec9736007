"""Density of sucrose solutions, the scales read off it, and extract per volume."""

from __future__ import annotations

import pytest

from planner.model import sucrose
from planner.model.extract import extract_from_gravity
from planner.model.liquid import WATER_DENSITY
from planner.model.scales import brix_from_gravity, gravity_from_brix
from published.rows import READ, RECALLED, table

TOPIC = "Density of sucrose solutions"
AIR = 1.2
"""Density of air at 20 °C. [kg/m3] Convention for weighing in air (OIML D 28)."""


def apparent(true):
    """Gravity weighed in air, without correction for the air displaced."""
    return (true * WATER_DENSITY - AIR) / (WATER_DENSITY - AIR)


def true_gravity(weighed):
    """Its inverse."""
    return (weighed * (WATER_DENSITY - AIR) + AIR) / WATER_DENSITY


HANDBOOK = table(
    # To 50 % the two are held to 0.2 kg/m3; above, where the sugar formula is only continued,
    # the handbook lies 0.5 and 0.8 below it.
    TOPIC, "crc-2021", RECALLED, 0.2, unit="kg/m3",
    rows=[(10, 1038.1), (20, 1081.0), (30, 1127.0), (40, 1176.5), (50, 1229.5)],
) + table(
    TOPIC, "crc-2021", READ, 0.55, unit="kg/m3", differ=True, rows=[(80, 1411.7)]
) + table(
    TOPIC, "crc-2021", READ, 0.9, unit="kg/m3", differ=True, rows=[(84, 1438.3)]
)  # fmt: skip


@pytest.mark.parametrize("row", HANDBOOK)
def test_that_density_is_the_handbooks(row, agrees):
    agrees(row, sucrose.density(row.given[0] / 100.0, 293.15))


# Below 10 °Brix both are one to 2e-5, beside half of the last printed digit; further up, the circular is known to lie 1e-4 lower at 40 °Brix.
BUREAU = (
    table(
        TOPIC,
        "nbs-c440",
        READ,
        2.5e-5,
        [(3.8, 1.01490), (4.0, 1.01569), (7.6, 1.03017), (7.9, 1.03139)],
        unit="in air",
    )
    + table(TOPIC, "nbs-c440", READ, 1.2e-4, [(40.0, 1.17874)], unit="in air", differ=True)
    + table(TOPIC, "nbs-c440", RECALLED, 2.5e-5, [(5.0, 1.01965), (10.0, 1.03998)], unit="true")
    + table(
        TOPIC, "nbs-c440", RECALLED, 3.5e-4, unit="true", differ=True,
        rows=[(15.0, 1.06104), (20.0, 1.08287), (25.0, 1.10551), (30.0, 1.12898), (35.0, 1.15331), (40.0, 1.17853),
              (45.0, 1.20467), (50.0, 1.23174), (55.0, 1.25976), (60.0, 1.28873), (65.0, 1.31866), (70.0, 1.34956)],
    )
)  # fmt: skip


@pytest.mark.parametrize("row", BUREAU)
def test_that_gravity_is_that_of_the_bureau_of_standards(row, agrees):
    true = float(gravity_from_brix(row.given[0]))
    agrees(row, apparent(true) if row.unit == "in air" else true)


@pytest.mark.parametrize(
    "row",
    table(TOPIC, "plato", RECALLED, 1e-4, [(5, 1.0197), (12, 1.0484), (15, 1.0611), (20, 1.0830)], unit="in air"),
)
def test_that_gravity_is_platos(row, agrees):
    agrees(row, apparent(float(gravity_from_brix(row.given[0]))))


GRAVITIES = (1.010, 1.020, 1.030, 1.040, 1.050, 1.060, 1.070, 1.080, 1.090, 1.100, 1.110, 1.120)


def cubic(a, b, c, d):
    return lambda s: ((a * s + b) * s + c) * s + d


NBS_FIT = cubic(182.4601, -775.6821, 1262.7794, -669.5622)
ASBC_FIT = cubic(135.997, -630.272, 1111.14, -616.868)


@pytest.mark.parametrize(
    "row",
    # Both cubics stay within 0.02 °Brix of the sugar formula to 1.12: the difference of the tables they go through.
    table("°Brix from gravity", "nbs-fit", READ, 0.02, [(s, float(NBS_FIT(s))) for s in GRAVITIES], "°Brix", True)
    + table("°Brix from gravity", "asbc-fit", READ, 0.02, [(s, float(ASBC_FIT(s))) for s in GRAVITIES], "°Brix", True),
)
def test_that_brix_by_gravity_is_that_of_published_cubics(row, agrees):
    agrees(row, brix_from_gravity(true_gravity(row.given[0])))


EXTRACT = (
    # Printed to 0.1 g/L; the old table is known to lie up to 0.16 g/L below the sugar formula.
    table(
        "Extract from gravity", "german-table-xix", READ, 0.2, unit="g/L", differ=True,
        rows=[(1.001, 2.6), (1.005, 12.9), (1.010, 25.8), (1.015, 38.7), (1.017, 43.9), (1.019, 49.1)],
    )
    + table("Extract from gravity", "oiv-as2-03b", RECALLED, 0.2, [(1.020, 51.7)], "g/L", True)
)  # fmt: skip


@pytest.mark.parametrize("row", EXTRACT)
def test_that_extract_is_that_of_the_official_tables(row, agrees):
    agrees(row, extract_from_gravity(row.given[0]))
