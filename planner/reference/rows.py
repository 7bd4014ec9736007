"""What stands on the shelf, as frozen rows in SI: fruit, honey, additives, yeast, nutrients, cautions.

Spans are 90 % ranges. Every row names its sources by key and says how far it can be trusted.
"""

from __future__ import annotations

import msgspec

from planner.model.components import COMPONENTS
from planner.model.constants import ETHANOL_DENSITY
from planner.model.fermentation import TYPICAL_YIELDS
from planner.model.span import Span
from planner.reference.status import Status

MINERALS = 0.005
"""Minerals of fruit flesh. [kg/kg] Handbook averages 0.003 to 0.008 (belitz-2009, table 18.3)."""

SOLUBLE_PROTEIN = 0.25
"""Share of a fruit's protein that is dissolved in its juice. [-] Estimate: amino acids and small peptides."""


class Fruit(msgspec.Struct, frozen=True):
    """A fruit. Composition is that of the flesh, without stones, stems, skins that are thrown away.

    Attributes
    ----------
    key, name : str
        By which batches and users name it.
    status : Status
        Of the sugars.
    water, protein, fibre, pectin : float
        Mass per flesh; pectin is part of the fibre. [kg/kg]
    sugar : Span
        Glucose, fructose, sucrose and other sugars together, per flesh. [kg/kg]
    glucose_share, fructose_share, sucrose_share, maltose_share : float
        Of the typical sugar; they add up to 1. The last stands for maltose, galactose and their like. [kg/kg]
    sorbitol : Span
        Per flesh; yeast leaves it. [kg/kg]
    acid : Span
        Titratable acid as the main acid, per flesh. [kg/kg]
    bound_acid : float
        Acid that minerals hold, as the main acid, per flesh: no titration finds it. [kg/kg]
    acids : tuple of (str, float)
        Component key and share of each acid in the mass of all of them, the main one first; the shares add up
        to 1. `acid_masses` turns titratable acid into masses by them. [kg/kg]
    acid_status : Status
    ph : Span
        Of the juice. [-]
    ph_status : Status
    stone : float
        Share of the whole fruit that is thrown away. [kg/kg]
    stone_what : str
        What that is, in words; empty if nothing.
    has_stone : bool
        Whether it is a stone fruit, whose kernels release cyanide when broken.
    yield_fresh, yield_enzyme : Span
        Juice per fruit without its refuse, as pressed and with pectic enzyme or heat. [kg/kg]
    yield_status : Status
    brix_low, brix_typical : float or None
        Brix of juices as measured by others: a low one and a typical one; None where nothing is known. [kg/kg]
    nitrogen : Span
        Assimilable nitrogen per volume of juice. [kg/m^3]
    nitrogen_status : Status
    cautions : tuple of str
        Keys of cautions.
    note : str
        What a user should know, in a sentence or two.
    sources : tuple of str
        Keys of sources.
    benzoic : Span
        Free benzoic acid per volume of juice, which keeps yeast from working. [kg/m^3]
    learnt : bool
        Whether it has what earlier batches taught.
    """

    key: str
    name: str
    status: Status
    water: float
    protein: float
    fibre: float
    pectin: float
    sugar: Span
    glucose_share: float
    fructose_share: float
    sucrose_share: float
    maltose_share: float
    sorbitol: Span
    acid: Span
    bound_acid: float
    acids: tuple[tuple[str, float], ...]
    acid_status: Status
    ph: Span
    ph_status: Status
    stone: float
    stone_what: str
    has_stone: bool
    yield_fresh: Span
    yield_enzyme: Span
    yield_status: Status
    brix_low: float | None
    brix_typical: float | None
    nitrogen: Span
    nitrogen_status: Status
    cautions: tuple[str, ...]
    note: str
    sources: tuple[str, ...]
    benzoic: Span = Span.exactly(0.0)
    learnt: bool = False

    @property
    def soluble(self) -> float:
        """Dissolved matter of the typical flesh: sugar, sorbitol, all acid, minerals, part of the protein. [kg/kg]"""
        acid = self.acid.typical + self.bound_acid
        return dissolved(self.sugar.typical, self.sorbitol.typical, acid, self.protein)

    def acid_masses(self, acid: float) -> dict[str, float]:
        """Masses of the acids that titrate together like so much of the main one.

        Parameters
        ----------
        acid : float
            Titratable acid as the main acid, such as `acid.typical`. [kg/kg, or any unit of mass]

        Returns
        -------
        dict of str to float
            By component key. More in sum than `acid` where a weak titrator such as quinic acid takes part.
            [as `acid`]
        """
        strength = {key: COMPONENTS[key].acid_equivalents for key, _ in self.acids}
        main = strength[self.acids[0][0]]
        whole = acid * main / sum(share * strength[key] for key, share in self.acids)
        return {key: whole * share for key, share in self.acids}


def dissolved(sugar: float, sorbitol: float, acid: float, protein: float) -> float:
    """Dissolved matter of flesh. [kg/kg] See `MINERALS` and `SOLUBLE_PROTEIN` for the two shares estimated."""
    return sugar + sorbitol + acid + SOLUBLE_PROTEIN * protein + MINERALS


class Honey(msgspec.Struct, frozen=True):
    """A kind of honey. All shares but `moisture` are at the typical moisture, with which they add up to 1.

    Attributes
    ----------
    key, name : str
        By which batches and users name it.
    moisture : Span
        Water per honey. [kg/kg]
    fructose, glucose, sucrose, disaccharides, higher_sugars : float
        Per honey; disaccharides are the reducing ones, as maltose. [kg/kg]
    acid : float
        Total acid as gluconic acid. [kg/kg]
    ash_protein : float
        Ash and true protein. [kg/kg]
    ph : Span
        [-]
    undetermined : float
        What analysts could not account for. [kg/kg]
    fermentable : Span
        Hexose that yeast can take, per honey. [kg/kg]
    nitrogen : Span
        Assimilable nitrogen per honey. [kg/kg]
    cautions, sources : tuple of str
        Keys.
    note : str
        What a user should know.
    status : Status
        Of the composition; the nitrogen is an estimate in all rows.
    """

    key: str
    name: str
    moisture: Span
    fructose: float
    glucose: float
    sucrose: float
    disaccharides: float
    higher_sugars: float
    acid: float
    ash_protein: float
    ph: Span
    undetermined: float
    fermentable: Span
    nitrogen: Span
    cautions: tuple[str, ...]
    note: str
    status: Status
    sources: tuple[str, ...]


class Additive(msgspec.Struct, frozen=True):
    """Something stirred in to sweeten, thicken, sharpen, soften, flavour, dilute or keep.

    Attributes
    ----------
    key, name : str
        By which batches and users name it.
    group : str
        One of `planner.reference.ingredients.GROUPS`.
    composition : tuple of (str, float)
        Component key and mass fraction, as sold; they add up to 1. [kg/kg]
    solubility_cold : float or None
        Mass in a saturated solution in water at 4 °C; None where no figure is known. [kg/kg solution]
    cold_ceilings : tuple of (float, float)
        Ethanol by volume and the concentration above which it may crystallise at 4 °C, rising by ethanol;
        empty where no figure is known. [m^3/m^3, kg/m^3]
    teaspoon : float or None
        Mass of a level US teaspoon (4.93 mL); spoons are rough. [kg]
    liquid : bool
        Whether it is measured by volume too.
    density : float or None
        Of liquids, at 20 °C. [kg/m^3]
    ceiling : float or None
        Strictest limit known, of it in the finished drink. [kg/m^3]
    ceiling_note : str
        The law or standard behind the limit.
    fermentable_note : str
        What yeast does with it, in words.
    allergen : str
        "milk", or empty.
    natural : bool
        Found in nature and made from natural matter by extraction, enzymes or fermentation only. Polyols made
        by hydrogenation and synthetic (DL-) malic acid are not.
    cautions, sources : tuple of str
        Keys.
    status : Status
    """

    key: str
    name: str
    group: str
    composition: tuple[tuple[str, float], ...]
    solubility_cold: float | None
    cold_ceilings: tuple[tuple[float, float], ...]
    teaspoon: float | None
    liquid: bool
    density: float | None
    ceiling: float | None
    ceiling_note: str
    fermentable_note: str
    allergen: str
    natural: bool
    cautions: tuple[str, ...]
    status: Status
    sources: tuple[str, ...]


class Habits(msgspec.Struct, frozen=True):
    """How a yeast works with one maker, as earlier batches tell: means and standard deviations for the next batch.

    Attributes
    ----------
    pace, pace_sd : float
        Logarithm of a factor on its uptake, beside what the shelf says of it. [-]
    trend, trend_sd : float
        Logarithm of a factor on uptake at the end, see `planner.model.kinetics.Culture`. [-]
    lag, lag_sd : float
        Logarithm of a factor on its lag. [-]
    shape : float
        Part that is left of the doubt about whatever else bends a course, from 0 to 1. [-]
    dry_sd : float or None
        Standard deviation of the gravity when dry, all causes together; None where only the recipe tells. [-]
    """

    pace: float = 0.0
    pace_sd: float = 0.0
    trend: float = 0.0
    trend_sd: float = 0.0
    lag: float = 0.0
    lag_sd: float = 0.0
    shape: float = 1.0
    dry_sd: float | None = None


class Yeast(msgspec.Struct, frozen=True):
    """A yeast by its traits.

    Attributes
    ----------
    key, name : str
        By which batches and users name it.
    tolerance : Span
        Ethanol by volume at which it stops. [m^3/m^3]
    t_low, t_best, t_high : float
        Temperatures at which it still works well, best, and still works cleanly. [K]
    demand : float
        Assimilable nitrogen needed per sugar. [kg/kg]
    vigour : Span
        Factor on the sugar uptake of an average yeast. [-]
    lag : float
        Factor on the time in which an average yeast wakes. [-]
    maltose : float
        Share of the maltose that it takes, besides glucose, fructose and sucrose. [kg/kg]
    cautions, sources : tuple of str
        Keys.
    note : str
        What a user should know.
    status : Status
    habits : Habits or None
        None where no earlier batch tells.
    learnt : bool
        Whether it has what earlier batches taught.
    """

    key: str
    name: str
    tolerance: Span
    t_low: float
    t_best: float
    t_high: float
    demand: float
    vigour: Span
    lag: float
    maltose: float
    cautions: tuple[str, ...]
    note: str
    status: Status
    sources: tuple[str, ...]
    habits: Habits | None = None
    learnt: bool = False

    def nitrogen_for(self, sugar: float) -> float:
        """Assimilable nitrogen wanted for a must: what its strain cannot ferment for alcohol asks for none.

        Parameters
        ----------
        sugar : float
            Of the must, as hexose. [kg/m^3]

        Returns
        -------
        float
            [kg/m^3]
        """
        most = self.tolerance.typical * ETHANOL_DENSITY / TYPICAL_YIELDS.ethanol
        return float(self.demand * min(sugar, most))


class Nutrient(msgspec.Struct, frozen=True):
    """What is fed to yeast: food, or potassium.

    Attributes
    ----------
    key, name : str
        By which batches and users name it.
    nitrogen : Span
        Assimilable nitrogen. [kg/kg]
    organic : bool
        Whether all of its nitrogen is organic.
    ceiling : float or None
        Strictest known legal limit per must. [kg/m^3]
    ceiling_note : str
        The law behind the limit, or why there is none.
    note : str
        What a user should know.
    status : Status
    sources : tuple of str
        Keys.
    """

    key: str
    name: str
    nitrogen: Span
    organic: bool
    ceiling: float | None
    ceiling_note: str
    note: str
    status: Status
    sources: tuple[str, ...]

    @property
    def is_food(self) -> bool:
        """Whether it brings nitrogen; a carbonate brings potassium, and takes acid away."""
        return self.nitrogen.typical > 0.0


class Caution(msgspec.Struct, frozen=True):
    """A danger, in plain words.

    Attributes
    ----------
    key, title : str
        By which rows and users name it.
    text : str
        What to know and do, and whom to ask.
    sources : tuple of str
        Keys.
    """

    key: str
    title: str
    text: str
    sources: tuple[str, ...]
