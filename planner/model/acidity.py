"""Acid by titration: in the terms of any acid, raised by acids, lowered by carbonates."""

from __future__ import annotations

from types import MappingProxyType

import msgspec

from planner.model.span import Span


class Carbonate(msgspec.Struct, frozen=True):
    """A salt that takes acid away as carbon dioxide; it always raises the pH.

    Attributes
    ----------
    name : str
        For users.
    equivalents : float
        Acid it neutralises. [mol/kg]
    potassium : float
        Potassium it leaves in the mead. [kg/kg] Salty or soapy from about 2 kg/m^3 of bicarbonate: estimate.
    capacity : Span
        Share of that which it does in practice. [-]
    words : str
        What to know before using it.
    """

    name: str
    equivalents: float
    potassium: float
    capacity: Span
    words: str


CARBONATES = MappingProxyType(
    {
        "potassium-bicarbonate": Carbonate(
            "Potassium bicarbonate",
            1 / 0.100115,
            0.39098 / 1.00115,
            Span.exactly(1.0),
            "Raises the pH. In steps of at most 1 g/L of acid, tasting between; it foams.",
        ),
        "potassium-carbonate": Carbonate(
            "Potassium carbonate",
            2 / 0.138205,
            2 * 0.39098 / 1.38205,
            Span.exactly(1.0),
            "Raises the pH, and stings the skin. In steps of at most 1 g/L of acid, tasting between; it foams.",
        ),
        "calcium-carbonate": Carbonate(
            "Calcium carbonate",
            2 / 0.100087,
            0.0,
            Span(0.70, 0.85, 1.0),
            "Raises the pH; takes little malic acid, and can leave a chalky taste and late crystals. It foams.",
        ),
    }
)
"""By key. Neutralisation by molar masses; the capacity of calcium carbonate after Usseglio-Tomasset, as the Handbook of
Enology quotes him."""
