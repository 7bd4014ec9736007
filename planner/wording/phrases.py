"""Sentences with figures in them that are still figures: the window and the report each show them in their own units."""

from __future__ import annotations

import re
from collections.abc import Callable

import msgspec


class Figure(msgspec.Struct, frozen=True, gc=False):
    """A number in a sentence.

    Attributes
    ----------
    kind : str
        What it is: one of the keys of `PLAIN`.
    value : float
        In SI, or as `PLAIN` says.
    """

    kind: str
    value: float


class Words(msgspec.Struct, frozen=True, gc=False):
    """A sentence with a pair of braces for each of its figures."""

    template: str
    figures: tuple[Figure, ...] = ()

    def shown(self, formats: dict[str, Callable[[float], str]]) -> str:
        """The sentence with its figures in somebody's units, by kind. [each as `Figure` holds it]"""
        return self.template.format(*(formats[figure.kind](figure.value) for figure in self.figures))

    def __str__(self) -> str:
        return self.shown(PLAIN)


def say(template: str, *figures: Figure) -> Words:
    """A sentence with figures.

    Parameters
    ----------
    template : str
        Text with `{}` for each figure.
    *figures : Figure
        In order.

    Raises
    ------
    ValueError
        If braces and figures do not match in number.
    """
    if template.count("{}") != len(figures):
        raise ValueError(f"{template!r} has room for {template.count('{}')} figures, not {len(figures)}")
    return Words(template, figures)


def literal(text: str) -> str:
    """A text of the tables or of the user as a part of a template, where its braces are no room for a figure. [-]

    Examples
    --------
    >>> literal("sweet {still}")
    'sweet (still)'
    """
    return text.replace("{", "(").replace("}", ")")


def in_a_sentence(name: str) -> str:
    """The name of an ingredient as it is said in a sentence: in small letters, without what follows a comma. [-]

    Examples
    --------
    >>> in_a_sentence("Yeast autolysate, organic"), in_a_sentence("DL-malic acid")
    ('yeast autolysate', 'DL-malic acid')
    """
    short = literal(name).split(",")[0]
    return short if short[1:2].isupper() else short[:1].lower() + short[1:]


_TABLED = re.compile(r"\{([\d.]+) (kg|g|L|g/L|bar)\}")


def tabled(text: str) -> Words:
    """A text of the tables; what stands in braces in it, such as {250 L}, is a figure in the reader's units. [-]

    Examples
    --------
    >>> str(tabled("A kilogram gives off {250 L}, {0.25 kg} more or less."))
    'A kilogram gives off 250 L, 250 g more or less.'
    """
    kinds = {"kg": ("rough_mass", 1.0), "g": ("rough_mass", 1e-3), "L": ("rough_volume", 1e-3)}
    kinds |= {"g/L": ("concentration", 1.0), "bar": ("pressure", 1e5)}
    parts = _TABLED.split(text)
    figures = [
        Figure(kinds[unit][0], float(number) * kinds[unit][1])
        for number, unit in zip(parts[1::3], parts[2::3], strict=True)
    ]
    return Words("{}".join(literal(part) for part in parts[::3]), tuple(figures))


def mass(kilograms: float) -> Figure:
    """A mass. [kg]"""
    return Figure("mass", kilograms)


def volume(cubic_metres: float) -> Figure:
    """A volume. [m^3]"""
    return Figure("volume", cubic_metres)


def temperature(kelvin: float) -> Figure:
    """A temperature. [K]"""
    return Figure("temperature", kelvin)


def gravity(specific: float) -> Figure:
    """A specific gravity 20/20 °C. [-]"""
    return Figure("gravity", specific)


def gravity_step(difference: float) -> Figure:
    """A difference of specific gravities. [-]"""
    return Figure("gravity_step", difference)


def alcohol(fraction: float) -> Figure:
    """Alcohol by volume. [m^3/m^3]"""
    return Figure("alcohol", fraction)


def share(fraction: float) -> Figure:
    """A share of a whole. [-]"""
    return Figure("share", fraction)


def concentration(kg_per_m3: float) -> Figure:
    """A concentration, told in g/L. [kg/m^3]"""
    return Figure("concentration", kg_per_m3)


def trace(kg_per_m3: float) -> Figure:
    """A small concentration, told in mg/L. [kg/m^3]"""
    return Figure("trace", kg_per_m3)


def pressure(pascals: float) -> Figure:
    """A pressure above that of the air. [Pa]"""
    return Figure("pressure", pascals)


def viscosity(pascal_seconds: float) -> Figure:
    """A viscosity. [Pa s]"""
    return Figure("viscosity", pascal_seconds)


def score(of_ten: float) -> Figure:
    """A mark of a taster, of ten. [-]"""
    return Figure("score", of_ten)


def day(days: float) -> Figure:
    """A day since pitching, or a number of days. [d]"""
    return Figure("day", days)


def ph(value: float) -> Figure:
    """A pH. [-]"""
    return Figure("ph", value)


def brix(percent: float) -> Figure:
    """What a refractometer shows. [g/(100 g)]"""
    return Figure("brix", percent)


def percents(fraction: float) -> Figure:
    """Alcohol by volume as a bound beside one that is told with its unit. [m^3/m^3]"""
    return Figure("percents", fraction)


def grams(kg_per_m3: float) -> Figure:
    """A concentration as a bound beside one that is told with its unit. [kg/m^3]"""
    return Figure("grams", kg_per_m3)


def milligrams(kg_per_m3: float) -> Figure:
    """A small concentration as a bound beside one that is told with its unit. [kg/m^3]"""
    return Figure("milligrams", kg_per_m3)


def person(kilograms: float) -> Figure:
    """How heavy somebody is, told to a whole kilogram or pound. [kg]"""
    return Figure("person", kilograms)


def count(number: float) -> Figure:
    """A whole number. [-]"""
    return Figure("count", number)


def _mass(value: float) -> str:
    return f"{value:.2f} kg" if value >= 1.0 else f"{value * 1e3:.3g} g"


def _volume(value: float) -> str:
    return f"{value * 1e3:.1f} L" if value >= 1e-3 else f"{value * 1e6:.0f} mL"


def _rough(value: float, unit: str) -> str:
    return f"{float(f'{value:.2g}'):g} {unit}"


PLAIN: dict[str, Callable[[float], str]] = {
    "mass": _mass,
    "volume": _volume,
    "rough_mass": lambda value: _rough(value, "kg") if value >= 1.0 else _rough(value * 1e3, "g"),
    "rough_volume": lambda value: _rough(value * 1e3, "L"),
    "person": lambda value: f"{value:.0f} kg",
    "temperature": lambda value: f"{round(value - 273.15, 1) + 0.0:g} °C",  # 17 °C, but 17.5 °C
    "gravity": lambda value: f"{value:.3f}",
    "gravity_step": lambda value: f"{abs(value):.3f}",
    "alcohol": lambda value: f"{value * 100:.1f} % vol",
    "share": lambda value: f"{value * 100:.0f} %",
    "concentration": lambda value: f"{value:.0f} g/L" if value >= 9.95 else f"{value:.1f} g/L",
    "trace": lambda value: f"{value * 1e3:.0f} mg/L",
    "pressure": lambda value: f"{value / 1e5:.1f} bar",
    "viscosity": lambda value: f"{value * 1e3:.1f} mPa·s",
    "score": lambda value: f"{value:.1f} of 10",
    "day": lambda value: f"{round(value)}",  # a whole number: hours before pitching are day 0, not -0
    "count": lambda value: f"{round(value)}",
    "ph": lambda value: f"{value:.1f}",
    "percents": lambda value: f"{value * 100:.1f}",
    "grams": lambda value: f"{value:.0f}" if value >= 9.95 else f"{value:.1f}",
    "milligrams": lambda value: f"{value * 1e3:.0f}",
    "brix": lambda value: f"{value:.1f} °Bx",
}
"""Metric words for each kind of figure; gravities as specific gravity."""
