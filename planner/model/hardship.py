"""What a must itself does to its yeast: strong acid, strong sugar, benzoic acid, and too little yeast for so much must.

Each is a factor from 0 to 1 on growth, 1 where nothing is hard. How a factor acts on the other rates is one rule for all:
uptake of sugar gets its square root, the lag is divided by its square. These figures are estimates of this project through the
published observations that stand beside them; none of the published courses has a term for them. The doubt about each is a power
of the factor, one for each member: where nothing is hard there is no doubt, and it widens with the hardship.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.cardinal import by_ph
from planner.model.kinetics import ACTIVE_PER_DRY, NORMAL_PITCH, YEAST_PER_NITROGEN, Culture
from planner.model.span import Span

Array = npt.NDArray[np.float64]

SUSCEPTIBLE = Span(0.4, 1.0, 1.8)
"""Power of each factor. [-] That of acid then spans 0.75 to 0.94 at pH 3.0 and 0.36 to 0.80 at 2.6, about as far as the two pairs
of cardinal pH lie apart; that of sugar at 300 g/L as far as the published fits of substrate inhibition. Estimate."""

EASY_PH = 3.3
"""pH from which on acid is no hardship. [-] Charoenchai 1998: 3.0 to 4.0 without significant effect on growth or biomass."""

HARD_PH = 3.1
"""pH below which the alcohol that yeast reaches falls. [-] Estimate."""

ALCOHOL_PER_PH = Span(0.0, 0.05, 0.10)
"""Alcohol by volume that a strain's tolerance loses with each unit below `HARD_PH`. [m^3/m^3] Estimate: 1 % vol for 0.2."""

MEASURED_SUGAR = 260.0
"""Sugar up to which the courses are those of the published models, which were fitted so far. [kg/m^3]"""

STRONGEST = 655.0
"""Sugar at which nothing ferments. [kg/m^3] Pigeau et al. 2007 (from memory): peak cells, growth and sugar used fall linearly with
the °Brix of ice-wine juice, extrapolated to none at 52.5 °Bx; Charoenchai 1998: less biomass in all strains from 200 to 300 g/L."""

ICE_WINE = 0.10 / (STRONGEST - 497.0)
"""Alcohol reached for each sugar short of that at which nothing ferments. [m^3/m^3 per kg/m^3] Pigeau et al. 2007 (from memory):
above 42 °Bx, 497 g/L, 10 % vol was not reached."""

ICE_WINE_DOUBT = Span(-0.05, 0.0, 0.02)
"""Doubt about that alcohol. [m^3/m^3] Estimate: makers tell of ice wines from 35 to 40 °Bx on that end at 9 to 12 % vol."""

BENZOIC_CONSTANT = 4.20
"""-log10 of the dissociation constant of benzoic acid, 25 °C. [-] CRC Handbook; only what is not dissociated enters a cell."""

BENZOIC_STOPS = Span(0.122, 0.183, 0.305)
"""Undissociated benzoic acid at which yeast does not grow. [kg/m^3] From memory: 1, 1.5 and 2.5 mmol/L; a handbook has 0.02 to
0.7 g/L for most yeasts below pH 5."""

STEROL_DOUBLINGS = 8.0
"""Times its mass to which yeast grows by the sterols that it brings, without oxygen. [kg/kg] Three doublings; suppliers say 3 to 4."""

YEAST_PER_OXYGEN = 400.0
"""Yeast that grows by the sterols made with oxygen. [kg/kg] Estimate: 0.97 mg of oxygen for 1 mg of ergosterol, of which a gram
of yeast wants 2.5 mg to the end."""

OXYGEN = Span(0.001, 0.006, 0.009)
"""Oxygen of a must as it is pitched. [kg/m^3] A supplier's page: air gives about 8 mg/L; less in a must poured quietly. The fat of
fruit solids stands in for it."""

LEAST = 0.02
"""The lowest factor that is told apart from none. [-]"""


def by_acid(ph: Any) -> Array:
    """How freely yeast grows at a pH, beside one at which acid is no hardship.

    Parameters
    ----------
    ph : array-like
        [-]

    Returns
    -------
    numpy.ndarray
        From 0 to 1. [-] The cardinal-pH model of Rosso et al. 1995.

    Examples
    --------
    >>> [round(float(by_acid(ph)), 2) for ph in (2.6, 2.9, 3.2, 3.6)]
    [0.57, 0.79, 0.95, 1.0]
    """
    return np.asarray(np.minimum(by_ph(ph) / float(by_ph(EASY_PH)), 1.0))


def by_sugar(sugar: Any) -> Array:
    """How freely yeast works in a strong must, beside the strongest of which the published models were fitted.

    Parameters
    ----------
    sugar : array-like
        At pitching, as hexose. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        From 0 to 1. [-]

    Examples
    --------
    >>> [round(float(by_sugar(sugar)), 2) for sugar in (230.0, 300.0, 350.0, 400.0, 450.0)]
    [1.0, 0.9, 0.77, 0.65, 0.52]
    """
    return np.asarray(np.clip((STRONGEST - np.asarray(sugar, dtype=float)) / (STRONGEST - MEASURED_SUGAR), 0.0, 1.0))


def undissociated(ph: Any) -> Array:
    """Share of benzoic acid that is not dissociated. [-]

    Parameters
    ----------
    ph : array-like
        [-]

    Returns
    -------
    numpy.ndarray
        From 0 to 1. [-]

    Examples
    --------
    >>> [round(float(undissociated(ph)), 3) for ph in (2.6, 3.0, 3.4, 4.0)]
    [0.975, 0.941, 0.863, 0.613]
    """
    return np.asarray(1.0 / (1.0 + 10.0 ** (np.asarray(ph, dtype=float) - BENZOIC_CONSTANT)))


def by_benzoic(benzoic: Any, ph: Any, stops: Any = BENZOIC_STOPS.typical) -> Array:
    """How freely yeast grows with the benzoic acid of cranberry and its kin.

    Parameters
    ----------
    benzoic : array-like
        In the must. [kg/m^3]
    ph : array-like
        [-]
    stops : array-like
        Undissociated acid at which nothing grows. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        From 0 to 1. [-] Estimate: no delay to speak of below a third of what stops it, slow at two thirds.

    Examples
    --------
    >>> [round(float(by_benzoic(g, 3.1)), 2) for g in (0.0, 0.065, 0.13, 0.2)]
    [1.0, 0.89, 0.57, 0.0]
    """
    share = np.asarray(benzoic, dtype=float) * undissociated(ph) / stops
    return np.asarray(np.maximum(1.0 - share**2, 0.0))


def crop_of_pitch(pitch: Any, nitrogen: Any, oxygen: Any = OXYGEN.typical) -> Array:
    """How much of the yeast that nitrogen could grow is grown from a pitch: sterols run short when little must become much.

    Parameters
    ----------
    pitch : array-like
        Dry yeast. [kg/m^3]
    nitrogen : array-like
        Assimilable, feeds included. [kg/m^3]
    oxygen : array-like
        Dissolved at pitching. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        From 0 to 1; 1 from the usual pitch on, with which the published models were fitted. [-]

    Examples
    --------
    >>> [round(float(crop_of_pitch(pitch, 0.2)), 2) for pitch in (0.25, 0.025, 0.0025)]
    [1.0, 0.65, 0.61]
    """
    made = YEAST_PER_OXYGEN * np.asarray(oxygen, dtype=float)

    def most(dry: Any) -> Array:
        return np.asarray(STEROL_DOUBLINGS * ACTIVE_PER_DRY * np.asarray(dry, dtype=float) + made)

    wanted = np.minimum(YEAST_PER_NITROGEN * np.asarray(nitrogen, dtype=float), most(NORMAL_PITCH))
    return np.asarray(np.minimum(most(pitch) / np.maximum(wanted, 1e-9), 1.0))


class Hardships(NamedTuple):
    """What a must does to its yeast; each a float or one value per member."""

    acid: Any  # factor on growth by the pH at pitching, benzoic acid included [-]
    acid_at_work: Any  # the same by the pH that the ferment comes to [-]
    sugar: Any  # factor by the strength of the must [-]
    pitch: Any  # factor on the crop by how little yeast was pitched [-]
    most_alcohol: Any  # by volume, beyond which no yeast goes in so strong a must [m^3/m^3]
    less_alcohol: Any  # by volume, that acid takes from the strain's tolerance [m^3/m^3]
    risk: Any = 1.0  # how many times as likely as usual it is to stop for want of potassium [-]


def hardened(culture: Culture, by: Hardships, per_alcohol: Any) -> Culture:
    """A culture as it works in such a must.

    Parameters
    ----------
    per_alcohol : array-like
        Ethanol per volume of must for an alcohol by volume of mead. [kg/m^3]
    """
    asleep = np.maximum(by.acid * by.sugar, LEAST)
    tolerance = np.minimum(culture.tolerance - by.less_alcohol * per_alcohol, by.most_alcohol * per_alcohol)
    return culture._replace(
        tolerance=np.maximum(tolerance, 0.01 * per_alcohol),
        growth=culture.growth * np.maximum(by.acid, LEAST),  # that of sugar is in the rates, and eases as sugar goes
        vigour=culture.vigour * np.sqrt(np.maximum(by.acid_at_work * by.sugar, LEAST)),
        lag=culture.lag / asleep**2,
        crop=culture.crop * np.maximum(by.sugar, LEAST) * by.pitch,
        risk=culture.risk * by.risk / np.maximum(by.acid_at_work, LEAST) ** 2,
    )
