"""What the properties are asked to hold against published figures, whatever a single source would allow."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from published.rows import Row


class Asked(NamedTuple):
    """A limit on the largest deviation of some checks."""

    what: str
    limit: float
    unit: str
    of: Callable[[Row], bool]


def _ethanol(row: Row) -> bool:
    return row.source == "ph-eur" and row.unit == "kg/m3"


def _sucrose(row: Row) -> bool:
    return row.topic == "Density of sucrose solutions" and row.unit == "kg/m3" and row.given[0] <= 50


def _apparent(row: Row) -> bool:
    return row.source == "nbs-c440" and row.unit == "in air" and row.given[0] <= 10.0


def _hydrometer(row: Row) -> bool:
    return row.topic == "Hydrometer read away from its temperature"


def _gas(row: Row) -> bool:
    return row.topic == "Carbon dioxide dissolved" and (row.unit == "relative" or row.source == "eu-2676-90")


def _wines(row: Row) -> bool:
    return row.topic == "Viscosity of measured wines"


ASKED = (
    Asked("ethanol and water at 20 °C", 0.01, "kg/m3", _ethanol),
    Asked("sucrose to 50 %", 0.2, "kg/m3", _sucrose),
    Asked("gravity in air below 10 °Brix, beyond the rounding of the print", 2e-5, "in air", _apparent),
    Asked("three tables of hydrometer corrections", 0.4, "points", _hydrometer),
    Asked("carbon dioxide dissolved", 0.03, "relative", _gas),
    Asked("viscosity of wines beyond the band of 0 to 10 % above what was measured", 0.0, "mPa s", _wines),
)
"""Every limit, in the order of the properties."""
