"""What a must or mead is made of: each dissolved substance with the constants the model needs.

Each row states where its figures come from. `status` speaks for the weakest of the row's figures that matter
at the doses met here. Figures are for 20 °C.
"""

from __future__ import annotations

from types import MappingProxyType

import msgspec

from planner.model.constants import HEXOSE_PER_DISACCHARIDE
from planner.model.span import Span


class Component(msgspec.Struct, frozen=True):
    """A dissolved substance. The fields' units stand behind them."""

    key: str
    name: str
    specific_volume: float  # apparent, at high dilution [m^3/kg]
    specific_refraction: float  # Lorentz-Lorenz, sodium light, at high dilution [m^3/kg]
    viscosity_slope: float  # d ln(viscosity)/d concentration at high dilution [m^3/kg]
    viscosity_rise: float  # growth of that slope with concentration [m^6/kg^2]
    sweetness: Span  # mass of sucrose that is as sweet as a mass of it [kg/kg]
    hexose: float  # hexose that yeast can take, per mass [kg/kg]
    acid_equivalents: float  # titratable equivalents to pH 8.2 [mol/kg]
    intrinsic_viscosity: Span  # of polymers, else zero [m^3/kg]
    source: str  # keys of resources/sources.csv
    status: str  # "verified", "one-source", "memory" or "estimate"
    polyol: bool = False  # a sugar alcohol, which a label must tell of


_NONE = Span.exactly(0.0)


def _solute(
    key: str,
    name: str,
    volume: float,
    refraction: float,
    slope: float,
    rise: float,
    sweetness: Span,
    *,
    hexose: float = 0.0,
    acid: float = 0.0,
    polymer: Span = _NONE,
    polyol: bool = False,
    source: str,
    status: str,
) -> Component:
    """A row in the units of the handbooks: cm³/g twice, 1e-3 L/g, 1e-6 L²/g², equivalents per gram."""
    return Component(
        key, name, volume * 1e-3, refraction * 1e-3, slope * 1e-3, rise * 1e-6, sweetness, hexose, acid * 1e3,
        polymer.scaled(1e-3), source, status, polyol,
    )  # fmt: skip


# Refraction: from the handbook's indices of solutions where it has the substance (water, ethanol, glucose, fructose,
# sucrose, glycerol, citric and lactic acid; mannitol for sorbitol). Elsewhere the sum of the atomic refractions
# (from memory), with the 0.001 to 0.005 cm³/g by which the handbook's sugars and acids lie above theirs; it is good
# to 0.003 cm³/g, and 5 g/L of such a substance to 0.02 °Brix. Other extract: so that the OIV's table of grape musts,
# which states °Brix, density and sugar, comes out.
_ROWS = (
    # The first two are the solvent: their density and viscosity are tables of their own.
    Component("water", "Water", 0.0, 0.20606e-3, 0.0, 0.0, _NONE, 0.0, 0.0, _NONE, "oiml-r22", "verified"),
    Component("ethanol", "Ethanol", 0.0, 0.2770e-3, 0.0, 0.0, _NONE, 0.0, 0.0, _NONE, "oiml-r22", "verified"),
    # Sugars yeast can take. Viscosity slopes: two points of the handbook's curve, 20 and 160 g/L.
    _solute("glucose", "Glucose", 0.6215, 0.2071, 2.40, 2.6, Span(0.50, 0.65, 0.75), hexose=1.0,
            source="crc-2021", status="one-source"),
    _solute("fructose", "Fructose", 0.611, 0.2048, 2.40, 1.8, Span(1.10, 1.20, 1.50), hexose=1.0,
            source="crc-2021", status="one-source"),
    _solute("sucrose", "Sucrose", 0.61524, 0.20672, 2.52, 2.5, Span.exactly(1.0), hexose=HEXOSE_PER_DISACCHARIDE,
            source="icumsa-sps4 crc-2021", status="verified"),
    _solute("maltose", "Maltose and its like", 0.6161, 0.2072, 2.78, 2.5, Span(0.32, 0.40, 0.50),
            hexose=HEXOSE_PER_DISACCHARIDE, source="crc-2021", status="one-source"),
    # Sugars it leaves.
    _solute("higher_sugars", "Honey's higher sugars", 0.6154, 0.2072, 2.9, 2.5, Span(0.20, 0.40, 0.50),
            source="white-1962 estimate", status="estimate"),
    _solute("lactose", "Lactose", 0.606, 0.2072, 2.78, 2.5, Span(0.16, 0.20, 0.28),
            source="crc-2021", status="one-source"),
    _solute("sorbitol", "Sorbitol", 0.654, 0.214, 2.45, 1.5, Span(0.50, 0.60, 0.70), polyol=True,
            source="hindawi-2010 crc-2021", status="verified"),
    _solute("glycerol", "Glycerol", 0.7724, 0.2235, 2.64, 0.3, Span(0.55, 0.60, 0.75),
            source="crc-2021", status="verified"),
    _solute("erythritol", "Erythritol", 0.711, 0.219, 2.40, 0.0, Span(0.60, 0.65, 0.75), polyol=True,
            source="hindawi-2010 estimate", status="estimate"),
    _solute("xylitol", "Xylitol", 0.671, 0.216, 2.45, 1.5, Span(0.90, 1.00, 1.10), polyol=True,
            source="hindawi-2010 estimate", status="one-source"),
    _solute("allulose", "Allulose", 0.611, 0.2048, 2.40, 1.8, Span(0.65, 0.70, 0.75),
            source="estimate", status="estimate"),
    # Maltodextrins by dextrose equivalent: what is left of the powder when its sugars are counted as sugars.
    _solute("maltodextrin_high", "Maltodextrin (DE 17-20)", 0.6131, 0.2072, 0.0, 0.0, Span(0.0, 0.025, 0.12),
            polymer=Span(2.8, 5.0, 6.7), source="masuelli-2013 estimate", status="estimate"),
    _solute("maltodextrin_medium", "Maltodextrin (DE 10-12)", 0.6131, 0.2072, 0.0, 0.0, Span(0.0, 0.0155, 0.07),
            polymer=Span(4.0, 8.0, 11.7), source="masuelli-2013 estimate", status="estimate"),
    _solute("maltodextrin_low", "Maltodextrin (DE 5-6)", 0.6131, 0.2072, 0.0, 0.0, Span(0.0, 0.011, 0.04),
            polymer=Span(5.6, 14.0, 23.6), source="masuelli-2013 estimate", status="estimate"),
    # Acids. Equivalents per gram from molar masses, titrated to pH 8.2.
    _solute("malic", "Malic acid", 0.600, 0.193, 2.3, 1.2, _NONE, acid=2 / 134.09,
            source="lange-sinks-1930", status="one-source"),
    _solute("citric", "Citric acid", 0.596, 0.192, 2.20, 2.0, _NONE, acid=3 / 192.12,
            source="crc-2021", status="one-source"),
    _solute("tartaric", "Tartaric acid", 0.556, 0.183, 2.3, 1.2, _NONE, acid=2 / 150.09,
            source="memory", status="memory"),
    _solute("lactic", "Lactic acid", 0.792, 0.217, 2.55, 0.0, _NONE, acid=1 / 90.08,
            source="crc-2021", status="one-source"),
    _solute("succinic", "Succinic acid", 0.70, 0.205, 2.3, 1.2, _NONE, acid=2 / 118.09,
            source="memory", status="memory"),
    _solute("acetic", "Acetic acid", 0.862, 0.217, 2.0, 0.0, _NONE, acid=1 / 60.05,
            source="crc-2021", status="one-source"),
    _solute("gluconic", "Gluconic acid", 0.58, 0.203, 2.3, 1.2, _NONE, acid=1 / 196.16,
            source="estimate", status="estimate"),
    _solute("quinic", "Quinic acid", 0.60, 0.210, 2.3, 1.2, _NONE, acid=1 / 192.17,
            source="estimate", status="estimate"),
    # Minerals, proteins, soluble pectin and whatever else fruit, honey and yeast leave in solution.
    _solute("other", "Other extract", 0.58, 0.210, 2.5, 0.0, _NONE, source="estimate", status="estimate"),
)  # fmt: skip

COMPONENTS: MappingProxyType[str, Component] = MappingProxyType({row.key: row for row in _ROWS})
"""Every component by its key, in the order in which a liquid keeps their masses."""

INDEX: MappingProxyType[str, int] = MappingProxyType({key: i for i, key in enumerate(COMPONENTS)})
"""The place of each component among the masses of a liquid."""

SUGARS = ("glucose", "fructose", "sucrose", "maltose")
"""Sugars that yeast can take."""

ACIDS = tuple(key for key, row in COMPONENTS.items() if row.acid_equivalents > 0.0)
"""Acids that count in a titration."""
