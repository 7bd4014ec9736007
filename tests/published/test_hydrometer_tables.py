"""Corrections that are printed with hydrometers."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model import sucrose
from planner.model.hydrometer import corrected, corrected_hot
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


# Hot samples, points to add to what an instrument for 20 °C shows; worked from SPS-4 and the glass by another program, printed to
# a tenth of a point. The leaflet for 60 °F has 15.3, 17.0 and 18.6 points at 140 °F for 1.000, 1.050 and 1.100.
HOT = {1.000: (5.6, 9.7, 14.5, 19.9, 25.9), 1.050: (6.5, 10.9, 15.9, 21.5, 27.6), 1.100: (7.4, 12.0, 17.2, 23.0, 29.2),
       1.150: (8.1, 13.0, 18.5, 24.3, 30.6)}  # fmt: skip


@pytest.mark.parametrize("row", table("Hydrometer in a hot must", "sps-4-hot", READ, 0.06, [
    (read, celsius, added) for read, row in HOT.items() for celsius, added in zip((40, 50, 60, 70, 80), row, strict=True)],
    unit="points"))  # fmt: skip
def test_that_a_hot_must_is_corrected_as_sugar_solution_expands(row, agrees):
    read, celsius = row.given
    agrees(row, 1e3 * float(corrected_hot([read], [celsius + 273.15])[0] - read))


@pytest.mark.parametrize("row", table("Hydrometer in a hot must", "leaflet-60f", READ, 0.4, [
    (1.000, 140, 15.3), (1.050, 140, 17.0), (1.100, 140, 18.6)], unit="points"))  # fmt: skip
def test_that_a_hot_must_is_corrected_as_a_leaflet_says(row, agrees):
    read, fahrenheit = row.given
    at_twenty = corrected_hot([read], [(fahrenheit + 459.67) / 1.8], SIXTY_FAHRENHEIT)
    true = density(sugar(at_twenty), SIXTY_FAHRENHEIT) / sucrose.water_density(SIXTY_FAHRENHEIT)
    agrees(row, 1e3 * float(true[0] - read))


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
