"""Corrections that are printed with hydrometers."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import sucrose
from planner.model.hydrometer import corrected
from planner.model.liquid import Liquid, density
from planner.model.scales import brix_from_gravity, gravity_from_brix
from published.rows import READ, RECALLED, table

TOPIC = "Hydrometer read away from its temperature"
SIXTY_FAHRENHEIT = (60.0 + 459.67) / 1.8
FIFTEEN = 288.15


def sugar(gravities):
    w = np.clip(brix_from_gravity(gravities) / 100.0, 0.0, None)
    return Liquid.of(water=1.0 - w, sucrose=w)


def points(read, kelvin, calibration):
    """Thousandths to add, both gravities at the temperature of calibration."""
    at_twenty = corrected(np.array([read]), np.array([kelvin]), sugar, calibration)
    true = density(sugar(at_twenty), calibration) / sucrose.water_density(calibration)
    return 1e3 * float(true[0] - read)


# None says for which gravity it is made: 1.020 for the two that match a weak must, 1.034 for the second for 60 °F, which
# is the one that serves all of its rows best. Rows beyond 40 °C, where the formulas end, are left out. Each tolerance is
# 0.4 points.
LEAFLET = [(50, -0.5), (70, 1.0), (77, 2.0), (84, 3.0), (95, 5.0)]
SECOND = [(32, -1.6), (41, -1.3), (50, -0.8), (68, 1.0), (77, 2.2), (86, 3.5), (95, 5.0), (104, 6.8)]
THIRD = [(20, 0.9), (25, 2.1), (30, 3.5), (35, 5.1), (40, 6.9)]


@pytest.mark.parametrize(
    "row",
    table(TOPIC, "leaflet-60f", READ, 0.4, [(1.020, f, p) for f, p in LEAFLET], unit="points")
    + table(TOPIC, "table-60f", READ, 0.4, [(1.034, f, p) for f, p in SECOND], unit="points"),
)
def test_that_a_printed_table_for_sixty_fahrenheit_is_met(row, agrees):
    read, fahrenheit = row.given
    agrees(row, points(read, (fahrenheit + 459.67) / 1.8, SIXTY_FAHRENHEIT))


@pytest.mark.parametrize("row", table(TOPIC, "table-15c", READ, 0.4, [(1.020, c, p) for c, p in THIRD], unit="points"))
def test_that_a_printed_table_for_fifteen_degrees_is_met(row, agrees):
    read, celsius = row.given
    agrees(row, points(read, celsius + 273.15, FIFTEEN))


@pytest.mark.parametrize(
    "row",
    table(
        "°Brix hydrometer read at 15 °C",
        "nbs-brix-correction",
        RECALLED,
        0.01,
        [(0.0, -0.20), (10.0, -0.24), (20.0, -0.28), (30.0, -0.32)],
        unit="°Brix",
    ),
)
def test_that_a_sugar_hydrometer_is_corrected_as_by_the_bureaus_table(row, agrees):
    read = gravity_from_brix(row.given[0])
    true = corrected(np.array([float(read)]), np.array([FIFTEEN]), sugar)
    agrees(row, float(brix_from_gravity(true)[0]) - row.given[0])
