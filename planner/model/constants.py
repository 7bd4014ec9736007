"""Numbers that several rooms share, each with its unit and source."""

from __future__ import annotations

ZERO_CELSIUS = 273.15
"""0 °C. [K] Exact: definition of the Celsius scale (SI Brochure, 9th ed.)."""

REFERENCE_TEMPERATURE = 293.15
"""20 °C, at which gravities and volumes are stated here. [K] Convention (OIML R 22, ICUMSA)."""

ETHANOL_DENSITY = 789.24
"""Density of pure ethanol at 20 °C. [kg/m^3] OIML R 22 (1975), general formula at p = 1."""

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant. [J/(mol K)] Exact in the SI of 2019."""

MOLAR_MASS = {"hexose": 0.180156, "ethanol": 0.046069, "carbon dioxide": 0.044010, "tartaric": 0.15009}
"""Molar masses. [kg/mol] From the standard atomic weights, as in the CRC Handbook, 102nd ed."""

ETHANOL_PER_HEXOSE = 2 * MOLAR_MASS["ethanol"] / MOLAR_MASS["hexose"]
"""Mass of ethanol from a mass of hexose if nothing else were made. [kg/kg] C6H12O6 -> 2 C2H5OH + 2 CO2."""

HEXOSE_PER_DISACCHARIDE = 360.312 / 342.297
"""Mass of hexose from a mass of sucrose or maltose, which take up one water each. [kg/kg] Molar masses."""
