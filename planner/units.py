"""Units at the door: the closed list of units a person may read or type, and the way from each to SI.

Inside the program every number is an SI float. A unit appears only where a person reads or types one, and
only units of the list below do. Text that a person typed never reaches pint, which would read "2,5 kg" as 25 kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, TypeVar

import msgspec
import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import pint

Number = TypeVar("Number", float, npt.NDArray[np.float64])
Origin = Literal["metric", "us", "imperial"]


class Kind(StrEnum):
    """What a number is a number of; decides how it is read and shown."""

    MASS = "mass"
    VOLUME = "volume"
    TEMPERATURE = "temperature"
    CONCENTRATION = "concentration"
    TIME = "time"
    GRAVITY = "gravity"
    """Specific gravity 20/20 °C; read and shown on a scale, not in a unit."""
    FRACTION = "fraction"
    """A share of a whole; read and shown in percent."""
    STRENGTH = "strength"
    """Ethanol by volume; read and shown in percent by volume."""
    NUMBER = "number"
    """A plain number, such as a pH or a count of bottles."""


SI_UNIT: Mapping[Kind, str] = MappingProxyType(
    {
        Kind.MASS: "kilogram",
        Kind.VOLUME: "meter ** 3",
        Kind.TEMPERATURE: "kelvin",
        Kind.CONCENTRATION: "kilogram / meter ** 3",
        Kind.TIME: "second",
    }
)
"""The SI unit that numbers of each kind carry inside the program; the kinds with units are its keys."""


class System(StrEnum):
    """The family of units that a person prefers to read."""

    METRIC = "metric"
    US = "us"


class GravityScale(StrEnum):
    """The scale on which a person reads gravity."""

    SG = "sg"
    BRIX = "brix"


class Scale(NamedTuple):
    """An affine map between SI and a unit: shown = (si - offset) / factor."""

    factor: float
    offset: float = 0.0

    def shown(self, si: Number) -> Number:
        """The number that this unit gives to an SI value."""
        return (si - self.offset) / self.factor

    def si(self, shown: Number) -> Number:
        """The SI value of a number in this unit."""
        return shown * self.factor + self.offset

    @property
    def difference(self) -> Scale:
        """The scale of differences: five degrees warmer, not five degrees."""
        return Scale(self.factor)


class Unit(msgspec.Struct, frozen=True):
    """A row of the closed list: either its exact decimal scale, or the name under which pint knows it."""

    key: str
    symbol: str
    kind: Kind
    origin: Origin
    names: str
    """Names accepted in typed text beside key and symbol, separated by semicolons; letter case is ignored."""
    exact: Scale | None = None
    pint_name: str = ""


def _metric(key: str, kind: Kind, factor: float, names: str = "", symbol: str = "") -> Unit:
    return Unit(key, symbol or key, kind, "metric", names, Scale(factor))


_GALLON = "gal;gallon;gallons"
_QUART = "qt;qts;quart;quarts"
_PINT = "pt;pts;pint;pints"
_FLUID_OUNCE = "fl oz;floz;fluid ounce;fluid ounces"


def _with(country: str, names: str) -> str:
    """The names bare, and with the country before them."""
    words = names.split(";")
    return ";".join(words + [f"{country} {word}" for word in words])


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        unit.key: unit
        for unit in (
            _metric("kg", Kind.MASS, 1.0, "kgs;kilo;kilos;kilogram;kilograms;kilogramme;kilogrammes"),
            _metric("g", Kind.MASS, 1e-3, "gr;gram;grams;gramme;grammes"),
            _metric("mg", Kind.MASS, 1e-6, "milligram;milligrams"),
            Unit("lb", "lb", Kind.MASS, "us", "lbs;pound;pounds", pint_name="pound"),
            Unit("oz", "oz", Kind.MASS, "us", "ozs;ounce;ounces", pint_name="ounce"),
            _metric("L", Kind.VOLUME, 1e-3, "ltr;liter;liters;litre;litres"),
            _metric("cL", Kind.VOLUME, 1e-5, "centiliter;centiliters;centilitre;centilitres"),
            _metric("mL", Kind.VOLUME, 1e-6, "milliliter;milliliters;millilitre;millilitres"),
            Unit("US_gal", "US gal", Kind.VOLUME, "us", _with("us", _GALLON), pint_name="gallon"),
            Unit("US_qt", "US qt", Kind.VOLUME, "us", _with("us", _QUART), pint_name="quart"),
            Unit("US_pt", "US pt", Kind.VOLUME, "us", _with("us", _PINT), pint_name="pint"),
            Unit("US_floz", "US fl oz", Kind.VOLUME, "us", _with("us", _FLUID_OUNCE), pint_name="fluid_ounce"),
            Unit("US_cup", "US cup", Kind.VOLUME, "us", _with("us", "cup;cups"), pint_name="cup"),
            Unit(
                "US_tbsp",
                "US tbsp",
                Kind.VOLUME,
                "us",
                _with("us", "tbsp;tbsps;tablespoon;tablespoons"),
                pint_name="tablespoon",
            ),
            Unit(
                "US_tsp",
                "US tsp",
                Kind.VOLUME,
                "us",
                _with("us", "tsp;tsps;teaspoon;teaspoons"),
                pint_name="teaspoon",
            ),
            Unit("imp_gal", "imp gal", Kind.VOLUME, "imperial", _with("imp", _GALLON), pint_name="imperial_gallon"),
            Unit("imp_qt", "imp qt", Kind.VOLUME, "imperial", _with("imp", _QUART), pint_name="imperial_quart"),
            Unit("imp_pt", "imp pt", Kind.VOLUME, "imperial", _with("imp", _PINT), pint_name="imperial_pint"),
            Unit(
                "imp_floz",
                "imp fl oz",
                Kind.VOLUME,
                "imperial",
                _with("imp", _FLUID_OUNCE),
                pint_name="imperial_fluid_ounce",
            ),
            Unit(
                "degC",
                "°C",
                Kind.TEMPERATURE,
                "metric",
                "c;deg c;degree c;degrees c;celsius;degrees celsius",
                Scale(1.0, 273.15),
            ),
            Unit(
                "degF",
                "°F",
                Kind.TEMPERATURE,
                "us",
                "f;deg f;degree f;degrees f;fahrenheit;degrees fahrenheit",
                pint_name="degF",
            ),
            _metric("g/L", Kind.CONCENTRATION, 1.0, "g per l;grams per liter;grams per litre;gpl"),
            _metric("mg/L", Kind.CONCENTRATION, 1e-3, "mg per l;milligrams per liter;milligrams per litre"),
            Unit(
                "oz/US_gal",
                "oz/US gal",
                Kind.CONCENTRATION,
                "us",
                "oz/gal;oz per gal;ounces per gallon;oz per us gal",
                pint_name="ounce / gallon",
            ),
            Unit(
                "oz/imp_gal",
                "oz/imp gal",
                Kind.CONCENTRATION,
                "imperial",
                "oz/gal;oz per gal;ounces per gallon;oz per imp gal",
                pint_name="ounce / imperial_gallon",
            ),
            _metric("d", Kind.TIME, 86400.0, "day;days"),
            _metric("h", Kind.TIME, 3600.0, "hr;hrs;hour;hours"),
            _metric("wk", Kind.TIME, 604800.0, "wks;week;weeks"),
        )
    }
)
"""Every unit the program knows, by key. Sources of the metric factors: SI Brochure, 9th ed., tables 7 and 8."""

_SIZES: Mapping[tuple[System, Kind], tuple[tuple[float, str], ...]] = MappingProxyType(
    {
        (System.METRIC, Kind.MASS): ((0.0, "mg"), (1e-4, "g"), (1.0, "kg")),
        # Scales that resolve less than half an ounce are marked in grams (common practice, no source).
        (System.US, Kind.MASS): ((0.0, "mg"), (1e-4, "g"), (0.5 / 35.274, "oz"), (1.0 / 2.204623, "lb")),
        (System.METRIC, Kind.VOLUME): ((0.0, "mL"), (1e-3, "L")),
        (System.US, Kind.VOLUME): ((0.0, "US_floz"), (0.94635e-3, "US_gal")),
        (System.METRIC, Kind.TEMPERATURE): ((0.0, "degC"),),
        (System.US, Kind.TEMPERATURE): ((0.0, "degF"),),
        # Laboratories and nutrient labels speak grams per litre everywhere (common practice, no source).
        (System.METRIC, Kind.CONCENTRATION): ((0.0, "mg/L"), (0.1, "g/L")),
        (System.US, Kind.CONCENTRATION): ((0.0, "mg/L"), (0.1, "g/L")),
        (System.METRIC, Kind.TIME): ((0.0, "h"), (86400.0, "d")),
        (System.US, Kind.TIME): ((0.0, "h"), (86400.0, "d")),
    }
)
"""For each system and kind: from which SI magnitude on which unit makes a number of handy size."""

_ROUNDS_UP = 1.0005
"""A magnitude this close below a threshold would be rounded across it by three digits: 999.7 g is 1.00 kg."""


def preferred(kind: Kind, system: System, si: float) -> Unit:
    """The unit in which a value has a handy size.

    Parameters
    ----------
    kind : Kind
        A kind that has units.
    system : System
        The family of units the person prefers.
    si : float
        The value; only its magnitude counts. [SI unit of the kind]

    Returns
    -------
    Unit
        Such as g below one kilogram and kg from there on. Zero is shown in the unit of ordinary amounts.
    """
    sizes = _SIZES[system, kind]
    if si == 0.0:
        return UNITS[sizes[-1][1]]
    fitting = [key for threshold, key in sizes if abs(si) * _ROUNDS_UP >= threshold]
    return UNITS[fitting[-1]]


def units_of(kind: Kind) -> tuple[Unit, ...]:
    """The units of a kind, in the order in which messages list them."""
    return tuple(unit for unit in UNITS.values() if unit.kind == kind)


@cache
def scale(key: str) -> Scale:
    """The scale of a unit of the closed list.

    Parameters
    ----------
    key : str
        Key of the unit, as in `UNITS`; never text that a person typed.

    Returns
    -------
    Scale
        Exact for decimal metric units; otherwise from pint, which is loaded at the first such unit.
    """
    unit = UNITS[key]
    if unit.exact is not None:
        return unit.exact
    quantity = _registry().Quantity
    target = SI_UNIT[unit.kind]
    # A hundred steps apart, so that taking the offset away costs no digits.
    zero, hundred = (float(quantity(x, unit.pint_name).to(target).magnitude) for x in (0.0, 100.0))
    return Scale((hundred - zero) / 100.0, zero)


@cache
def _registry() -> pint.UnitRegistry[Any]:
    """The one registry of the program."""
    import pint

    return pint.UnitRegistry()


def normal(text: str) -> str:
    """A typed unit as it is looked up: lower case, single spaces, no dots, one kind of degree sign."""
    text = text.casefold().translate({ord("º"): "°", ord("˚"): "°", ord("."): " "})
    text = " ".join(text.split())
    return text.replace("° ", "°").replace(" /", "/").replace("/ ", "/")


@cache
def names() -> Mapping[str, tuple[Unit, ...]]:
    """Every accepted name, normalised, with the units that bear it."""
    found: dict[str, tuple[Unit, ...]] = {}
    for unit in UNITS.values():
        for name in dict.fromkeys(normal(n) for n in (unit.key, unit.symbol, *unit.names.split(";")) if n):
            found[name] = (*found.get(name, ()), unit)
    return MappingProxyType(found)


def find_unit(text: str, kind: Kind | None = None, imperial: bool = False) -> Unit | None:
    """The unit that a typed name means.

    Parameters
    ----------
    text : str
        What was typed for the unit.
    kind : Kind, optional
        The kind that is wanted; a unit of another kind is found only if the name fits none of this one.
    imperial : bool
        Whether a bare "gal", "qt", "pt" or "fl oz" is an imperial one, as in the United Kingdom; else it is a US one.

    Returns
    -------
    Unit or None
        None if no unit bears the name.
    """
    bearers = names().get(normal(text), ())
    wanted = [unit for unit in bearers if unit.kind == kind] or list(bearers)
    if len(wanted) > 1:
        wanted = [unit for unit in wanted if (unit.origin == "imperial") == imperial] or wanted
    return wanted[0] if wanted else None
