"""Sentences with figures in them that are still figures: the window and the report each show them in their own units."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from itertools import chain, pairwise
from typing import Any

import msgspec

from planner.model.components import COMPONENTS
from planner.model.constants import ZERO_CELSIUS
from planner.reference.catalogue import catalogue
from planner.wording.figures import METRIC, Reader, joined, ranged, told


class Figure(msgspec.Struct, frozen=True, gc=False):
    """A number in a sentence.

    Attributes
    ----------
    kind : str
        What it is: one of the keys of `figures.TELLERS`.
    value : float
        In SI, or as the function of that name says.
    """

    kind: str
    value: float


class Words(msgspec.Struct, frozen=True, gc=False):
    """A sentence with a pair of braces for each of its figures."""

    template: str
    figures: tuple[Figure, ...] = ()

    def shown(self, reader: Reader = METRIC) -> str:
        """The sentence in somebody's units. Bounds of a range name theirs once, and behind their middle not at all."""
        pieces, figures = self.template.split("{}"), self.figures
        texts = [joined(told(one.kind, one.value, reader), reader) for one in figures]
        for low, high in pairwise(range(len(figures))):
            if pieces[high] != " to " or figures[low].kind != figures[high].kind:
                continue
            has_middle = low > 0 and pieces[low].endswith("(") and figures[low - 1].kind == figures[low].kind
            places = range(low - has_middle, high + 1)
            named = low - 1 if has_middle else high
            for place, one in zip(
                places, ranged(figures[low].kind, [figures[p].value for p in places], reader), strict=True
            ):
                texts[place] = joined(one, reader) if place == named else one.number
        return "".join(chain.from_iterable(zip(pieces, [*texts, ""], strict=True)))

    def __str__(self) -> str:
        return self.shown()


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
    >>> literal("sweet {dry}"), literal("{}")
    ('sweet {dry}', '{ }')
    """
    return text.replace("{}", "{ }")


def in_a_sentence(name: str) -> str:
    """The name of an ingredient as a part of a template: one of the shelf small and short, one that somebody gave as typed. [-]

    Examples
    --------
    >>> in_a_sentence("Yeast autolysate, organic"), in_a_sentence("Dark honey (honeydew, chestnut, buckwheat)")
    ('yeast autolysate', 'dark honey')
    >>> in_a_sentence("Aunt Ada's Plums, 2025")
    "Aunt Ada's Plums, 2025"
    """
    return _on_the_shelf().get(name) or literal(name)


@cache
def _on_the_shelf() -> dict[str, str]:
    """What the names that come with the program become in a sentence."""
    shelf = catalogue()
    rows: tuple[Mapping[str, Any], ...] = (shelf.fruits, shelf.honeys, shelf.additives, shelf.yeasts, shelf.nutrients)
    names = [*(row.name for kind in rows for row in kind.values()), *(one.name for one in COMPONENTS.values())]
    short = {name: re.split(r",| \(", f"{name[0].lower()}{name[1:]}")[0] for name in names}
    return short | {f"{row.name} juice": f"{short[row.name]} juice" for row in shelf.fruits.values()}


_TABLED = re.compile(r"\{([\d.]+) (kg|g|L|mL|g/L|bar|°C|K)\}")


def tabled(text: str) -> Words:
    """A fixed text; what stands in braces in it, such as {250 L} or {20 °C}, is a figure in the reader's units. [-]

    Examples
    --------
    >>> str(tabled("A kilogram gives off {250 L}, {0.25 kg} more or less, at {20 °C}."))
    'A kilogram gives off 250 L, 250 g more or less, at 20 °C.'
    """
    parts = _TABLED.split(text)
    figures = [_FIGURES[unit](float(number)) for number, unit in zip(parts[1::3], parts[2::3], strict=True)]
    return Words("{}".join(literal(part) for part in parts[::3]), tuple(figures))


def mass(kilograms: float) -> Figure:
    """A mass. [kg]"""
    return Figure("mass", kilograms)


def volume(cubic_metres: float) -> Figure:
    """A volume. [m^3]"""
    return Figure("volume", cubic_metres)


def weighed(kilograms: float) -> Figure:
    """A mass that was decided, as fine as it may have been typed. [kg]"""
    return Figure("weighed", kilograms)


def rough_mass(kilograms: float) -> Figure:
    """A mass of which two figures are enough. [kg]"""
    return Figure("rough_mass", kilograms)


def rough_volume(cubic_metres: float) -> Figure:
    """A volume of which two figures are enough. [m^3]"""
    return Figure("rough_volume", cubic_metres)


def temperature(kelvin: float) -> Figure:
    """A temperature. [K]"""
    return Figure("temperature", kelvin)


def warmer(kelvin: float) -> Figure:
    """A difference of temperatures. [K]"""
    return Figure("warmer", kelvin)


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
    """A share of a whole, told to a whole percent. [-]"""
    return Figure("share", fraction)


def percent(fraction: float) -> Figure:
    """A share of a whole that is measured, told to a tenth of a percent. [-]"""
    return Figure("percent", fraction)


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


def person(kilograms: float) -> Figure:
    """How heavy somebody is, told to a whole kilogram or pound. [kg]"""
    return Figure("person", kilograms)


def count(number: float) -> Figure:
    """A whole number. [-]"""
    return Figure("count", number)


_FIGURES: dict[str, Callable[[float], Figure]] = {
    "kg": rough_mass,
    "g": lambda grams: rough_mass(grams * 1e-3),
    "L": lambda litres: rough_volume(litres * 1e-3),
    "mL": lambda millilitres: rough_volume(millilitres * 1e-6),
    "g/L": concentration,
    "bar": lambda bar: pressure(bar * 1e5),
    "°C": lambda celsius: temperature(celsius + ZERO_CELSIUS),
    "K": warmer,
}
"""What a number with a unit in a fixed text is."""
