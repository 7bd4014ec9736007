"""Acid by titration: in the terms of any acid, raised by acids, lowered by carbonates."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.components import COMPONENTS
from planner.model.liquid import TARTARIC_PER_EQUIVALENT
from planner.model.span import Span

Array = npt.NDArray[np.float64]

SULPHURIC_EQUIVALENTS = 2 / 0.09808
"""Equivalents of sulphuric acid, in whose terms some countries state acidity. [mol/kg] Molar mass."""


def equivalents(acid: str) -> float:
    """Acid that a mass of an acid gives in a titration to pH 8.2.

    Returns
    -------
    float
        Equivalents per mass. [mol/kg]

    Raises
    ------
    guards.BadInput
        Not an acid.

    Examples
    --------
    >>> round(1e3 / equivalents("malic"), 2)  # equivalent weight in grams
    67.05
    """
    if acid == "sulphuric":
        return SULPHURIC_EQUIVALENTS
    row = COMPONENTS.get(acid)
    if row is None or row.acid_equivalents <= 0.0:
        known = [key for key, c in COMPONENTS.items() if c.acid_equivalents > 0.0]
        raise guards.BadInput("acid", np.nan, ", ".join([*known, "sulphuric"]), repr(acid))
    return row.acid_equivalents


def in_terms_of(concentration: Any, stated_as: str, wanted: str) -> Array:
    """Titratable acid stated as one acid, in terms of another.

    Parameters
    ----------
    concentration : array-like
        Titratable acid. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        The same acidity. [kg/m^3]

    Raises
    ------
    guards.BadInput
        A negative concentration, or not an acid.

    Examples
    --------
    >>> round(float(in_terms_of(1.0, "sulphuric", "tartaric")), 2)
    1.53
    """
    amount = guards.amount("titratable acid", concentration, "kg/m³")
    return np.asarray(amount * equivalents(stated_as) / equivalents(wanted))


def acid_to_add(rise: Any, volume: Any, acid: str) -> Array:
    """Mass of an acid that raises titratable acid by so much.

    Parameters
    ----------
    rise : array-like
        Wanted rise, as tartaric. [kg/m^3]
    volume : array-like
        Of the mead. [m^3]

    Returns
    -------
    numpy.ndarray
        Mass of the pure, dry acid. [kg] The pH falls.

    Raises
    ------
    guards.BadInput
        A negative amount, or not an acid.

    Examples
    --------
    >>> round(1e3 * float(acid_to_add(1.0, 0.020, "malic")), 1)  # 1 g/L in 20 L, in grams
    17.9
    """
    wanted = guards.amount("rise of acid", rise, "kg/m³") * guards.amount("volume", volume, "m³")
    return np.asarray(wanted / TARTARIC_PER_EQUIVALENT / equivalents(acid))


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


def _carbonate(key: str) -> Carbonate:
    if key not in CARBONATES:
        raise guards.BadInput("carbonate", np.nan, ", ".join(CARBONATES), repr(key))
    return CARBONATES[key]


def carbonate_to_add(fall: float, volume: float, carbonate: str = "potassium-bicarbonate") -> Span:
    """Mass of a carbonate that lowers titratable acid by so much, in a mead with little tartaric acid.

    Parameters
    ----------
    fall : float
        Wanted fall, as tartaric. [kg/m^3]
    volume : float
        Of the mead. [m^3]

    Returns
    -------
    Span
        Mass. [kg] 1.33 g of potassium bicarbonate for each g/L and litre: malic and citric acid stay in solution as
        their salts. The smaller figures of grape growers count on tartar falling out; see `fall_of_acid`.

    Raises
    ------
    guards.BadInput
        A negative amount, or an unknown carbonate.

    References
    ----------
    .. [1] Molar masses. Handbook of Enology, vol. 2: 1 g/L of bicarbonate takes 0.49 g/L of acid as sulphuric.

    Examples
    --------
    >>> round(1e3 * carbonate_to_add(1.0, 0.020).typical, 1)  # 1 g/L in 20 L, in grams
    26.7
    """
    row = _carbonate(carbonate)
    wanted = float(guards.amount("fall of acid", fall, "kg/m³") * guards.amount("volume", volume, "m³"))
    plain = wanted / TARTARIC_PER_EQUIVALENT / row.equivalents
    return Span(plain / row.capacity.high, plain / row.capacity.typical, plain / row.capacity.low)


def fall_of_acid(mass: float, volume: float, carbonate: str = "potassium-bicarbonate", tartaric: float = 0.0) -> Span:
    """By how much a mass of carbonate lowers titratable acid.

    Parameters
    ----------
    mass : float
        Of the carbonate. [kg]
    volume : float
        Of the mead. [m^3]
    tartaric : float
        Tartaric acid in the mead: with potassium and cold, some of it falls out as tartar. [kg/m^3]

    Returns
    -------
    Span
        Fall, as tartaric: typical without tartar, high if all the potassium takes tartar along. [kg/m^3]

    Raises
    ------
    guards.BadInput
        A negative amount, or an unknown carbonate.

    Examples
    --------
    >>> fall = fall_of_acid(0.001, 0.001)
    >>> round(fall.typical, 2), round(fall.high, 2)
    (0.75, 0.75)
    >>> round(fall_of_acid(0.001, 0.001, tartaric=5.0).high, 2)
    1.5
    """
    row = _carbonate(carbonate)
    dose = float(guards.amount("mass", mass) / guards.within("volume", volume, 1e-9, np.inf, "m³"))
    held = float(guards.amount("tartaric acid", tartaric, "kg/m³"))
    plain = dose * row.equivalents * TARTARIC_PER_EQUIVALENT
    # Each potassium that falls out as KHC4H4O6 takes one more acid group with it, as long as there is tartrate.
    as_tartar = min(dose * row.potassium / 0.039098 * TARTARIC_PER_EQUIVALENT, held / 2.0)
    return Span(plain * row.capacity.low, plain * row.capacity.typical, plain * row.capacity.high + as_tartar)
