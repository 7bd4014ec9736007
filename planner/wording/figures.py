"""A figure as somebody reads it in a sentence: in his units, with the digits that his instruments can follow."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import NamedTuple, Protocol

from planner.model.constants import ZERO_CELSIUS
from planner.model.gas import BAR

POUND, OUNCE = 0.45359237, 0.028349523125
"""[kg] NIST Handbook 44, appendix C."""
GALLON, FLUID_OUNCE, QUART = 3.785411784e-3, 3.785411784e-3 / 128.0, 3.785411784e-3 / 4.0
"""[m^3] US measures of liquids. NIST Handbook 44, appendix C."""
PSI = 6894.757
"""[Pa] NIST Special Publication 811, appendix B."""
GRAMS_BELOW = OUNCE / 2.0
"""[kg] In US measures, too: scales that resolve less than half an ounce are marked in grams (common practice, no source)."""


class Reader(Protocol):
    """Somebody's units and number signs."""

    @property
    def system(self) -> str:
        """Measures: "metric" or "us"."""

    @property
    def gravity_scale(self) -> str:
        """Scale of gravities: "sg" or "brix"."""

    @property
    def space(self) -> str:
        """What stands between a number and its unit."""

    def number(self, value: float, decimals: int, trim: bool = False) -> str:
        """A bare number; below no decimals it is rounded to tens, and trimmed it has no zeros at its end. [-]"""


class Plain(NamedTuple):
    """A reader of plain text: decimal points, blanks, and no locale."""

    system: str = "metric"
    gravity_scale: str = "sg"
    space: str = " "

    def number(self, value: float, decimals: int, trim: bool = False) -> str:
        """A bare number. [-]"""
        text = f"{round(value, decimals) + 0.0:.{max(decimals, 0)}f}"
        return text.rstrip("0").removesuffix(".") if trim and decimals > 0 else text


class Told(NamedTuple):
    """A number as it is written, and its unit."""

    number: str
    unit: str = ""


Teller = Callable[[float, float, Reader], Told]
"""What a value [as its kind holds it] is for a reader, in the unit in which another, of the same range, has a handy size."""


def told(kind: str, value: float, reader: Reader, like: float | None = None) -> Told:
    """A figure in a reader's units.

    Parameters
    ----------
    value : float
        As the kind holds it. [SI or as told by `phrases`]
    like : float or None
        The value whose size chooses the unit, where several stand beside each other; by default itself.
    """
    return TELLERS[kind](value, value if like is None else like, reader)


def ranged(kind: str, values: Sequence[float], reader: Reader) -> list[Told]:
    """Figures that stand beside each other, such as a typical one and its bounds: in the unit of the last, with like digits.

    Parameters
    ----------
    values : sequence of float
        The highest last. [as its kind holds it]
    """
    found = [told(kind, value, reader, values[-1]) for value in values]
    point = reader.number(0.5, 1)[1]
    most = max(len(one.number.partition(point)[2]) for one in found)
    return [
        one
        if value == 0.0
        else one._replace(number=_with_decimals(told(kind, value, _Untrimmed(reader), values[-1]), point, most))
        for value, one in zip(values, found, strict=True)
    ]


def _with_decimals(full: Told, point: str, most: int) -> str:
    whole, _, decimals = full.number.partition(point)
    return f"{whole}{point}{decimals[:most]}" if most and decimals else whole


class _Untrimmed:
    """A reader who is shown zeros at the end."""

    def __init__(self, reader: Reader) -> None:
        self.system, self.gravity_scale, self.space = reader.system, reader.gravity_scale, reader.space
        self._number = reader.number

    def number(self, value: float, decimals: int, trim: bool = False) -> str:
        """A bare number, not trimmed. [-]"""
        del trim
        return self._number(value, decimals)


def joined(figure: Told, reader: Reader) -> str:
    """Number and unit as one text. [-]"""
    return f"{figure.number}{reader.space}{figure.unit}" if figure.unit else figure.number


def _digits(value: float, figures: int, most: int) -> int:
    """Decimals that show so many figures of a number, below zero to round to tens; at most so many."""
    size = math.floor(math.log10(abs(value) * (1.0 + 0.5 * 10.0**-figures))) if value else 0
    return min(most, figures - 1 - size)


def _sized(value: float, unit: str, reader: Reader, most: int = 2, figures: int = 3) -> Told:
    return Told(reader.number(value, max(_digits(value, figures, most), 0), trim=True), unit)


_ROUNDS_UP = 1.0005
"""What lies so little below a larger unit is rounded into it: 999.7 g is 1 kg."""


def _is_us(reader: Reader) -> bool:
    return reader.system == "us"


def _unit_of_mass(like: float, reader: Reader) -> tuple[float, str]:
    """The unit [kg] in which a mass has a handy size, and its sign."""
    size = abs(like) * _ROUNDS_UP
    if _is_us(reader) and size >= GRAMS_BELOW:
        return (POUND, "lb") if size >= POUND else (OUNCE, "oz")
    return (1.0, "kg") if size >= 1.0 else (1e-6, "mg") if 0.0 < size < 1e-4 else (1e-3, "g")


def _unit_of_volume(like: float, reader: Reader) -> tuple[float, str]:
    """The unit [m^3] in which a volume has a handy size, and its sign."""
    size = abs(like) * _ROUNDS_UP
    if _is_us(reader):
        return (GALLON, "US gal") if size >= QUART or not like else (FLUID_OUNCE, "US fl oz")
    return (1e-3, "L") if size >= 1e-3 or not like else (1e-6, "mL")


# What can be read off: pocket scales show 0.01 g, kitchen scales 0.1 to 1 g, cylinders 1 mL (common practice, no source).
_FINEST = {"kg": 3, "g": 1, "mg": 0, "oz": 2, "L": 2, "mL": 0, "US gal": 2, "US fl oz": 1}
"""Decimals at most, by unit; one more below one gram and below ten millilitres."""


def _amount(value: float, unit: float, sign: str, reader: Reader) -> Told:
    size = value / unit
    finer = (sign == "g" and abs(size) < 1.0) or (sign == "mL" and abs(size) < 9.95)
    return _sized(size, sign, reader, _FINEST[sign] + finer)


def _mass(kilograms: float, like: float, reader: Reader) -> Told:
    unit, sign = _unit_of_mass(like, reader)
    return _pounds(kilograms, reader) if sign == "lb" else _amount(kilograms, unit, sign, reader)


def _volume(cubic_metres: float, like: float, reader: Reader) -> Told:
    return _amount(cubic_metres, *_unit_of_volume(like, reader), reader)


def _pounds(kilograms: float, reader: Reader) -> Told:
    """In pounds and ounces; ounces are rounded first, so that sixteen never appear."""
    whole = kilograms / OUNCE
    decimals = max(_digits(whole, 3, 1), 0)
    pounds, ounces = divmod(round(whole, decimals), 16)
    parts = [f"{reader.number(pounds, 0)}{reader.space}lb"] if pounds else []
    if round(ounces, decimals) or not pounds:
        parts.append(f"{reader.number(ounces, decimals, trim=True)}{reader.space}oz")
    return Told(reader.space.join(parts))


def _weighed(kilograms: float, like: float, reader: Reader) -> Told:
    """As fine as it may have been typed."""
    unit, sign = _unit_of_mass(like, reader)
    if sign == "lb":
        return _pounds(kilograms, reader)
    return _sized(kilograms / unit, sign, reader, {"kg": 4, "g": 2}.get(sign, _FINEST[sign]), 6)


def _rough(size: float, sign: str, reader: Reader) -> Told:
    """To two figures, whatever its size."""
    return Told(reader.number(size, _digits(size, 2, 9), trim=True), sign)


def _rough_mass(kilograms: float, like: float, reader: Reader) -> Told:
    unit, sign = _unit_of_mass(like, reader)
    return _rough(kilograms / unit, sign, reader)


def _rough_volume(cubic_metres: float, like: float, reader: Reader) -> Told:
    unit, sign = _unit_of_volume(like, reader)
    return _rough(cubic_metres / unit, sign, reader)


def _person(kilograms: float, _like: float, reader: Reader) -> Told:
    return (
        Told(reader.number(kilograms / POUND, 0), "lb") if _is_us(reader) else Told(reader.number(kilograms, 0), "kg")
    )


def _temperature(kelvin: float, _like: float, reader: Reader) -> Told:
    celsius = kelvin - ZERO_CELSIUS
    if _is_us(reader):
        return Told(reader.number(1.8 * celsius + 32.0, 0), "°F")
    return Told(reader.number(celsius, 1, trim=True), "°C")


def _warmer(kelvin: float, _like: float, reader: Reader) -> Told:
    if _is_us(reader):
        return Told(reader.number(1.8 * kelvin, 0 if kelvin >= 1.0 else 1, trim=True), "°F")
    return Told(reader.number(kelvin, 1, trim=True), "°C")


def _gravity(specific: float, _like: float, reader: Reader) -> Told:
    if reader.gravity_scale == "brix":
        return Told(reader.number(_brix_of(specific), 1), "°Bx")
    return Told(reader.number(specific, 3))


def _gravity_step(difference: float, _like: float, reader: Reader) -> Told:
    step = abs(difference)
    if reader.gravity_scale == "brix":
        return Told(reader.number(_brix_of(1.0 + step / 2.0) - _brix_of(1.0 - step / 2.0), 1), "°Bx")
    number = reader.number(1e3 * step, 1, trim=True)
    return Told(number, "point" if number == "1" else "points")


@lru_cache(maxsize=4096)
def _brix_of(gravity: float) -> float:
    """°Brix of one gravity; kept, because finding it takes a third of a millisecond. [g/(100 g)]"""
    from planner.model.scales import brix_from_gravity

    return float(brix_from_gravity(gravity))


def _alcohol(fraction: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(100.0 * fraction, 1, trim=True), f"%{reader.space}vol")


def _share(fraction: float, _like: float, reader: Reader) -> Told:
    return _sized(100.0 * fraction, "%", reader, 0 if fraction >= 0.01 else 1)


def _percent(fraction: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(100.0 * fraction, 1, trim=True), "%")


def _concentration(grams: float, _like: float, reader: Reader) -> Told:
    """In g/L for all readers: laboratories, test kits and labels of food are marked so in the USA, too."""
    if grams >= 99.5:
        return Told(reader.number(grams, 0), "g/L")
    return _sized(grams, "g/L", reader, 0 if grams >= 9.95 else 1 if grams >= 0.995 or not grams else 2, 2)


def _trace(grams: float, like: float, reader: Reader) -> Told:
    """In mg/L for all readers, as nitrogen and sulphite are told."""
    if abs(like) * _ROUNDS_UP >= 1.0:
        return _sized(grams, "g/L", reader, 1, 2)
    return Told(reader.number(1e3 * grams, 0 if grams >= 9.95e-3 else 1, trim=True), "mg/L")


def _pressure(pascals: float, _like: float, reader: Reader) -> Told:
    above = max(pascals, 0.0)
    return (
        Told(reader.number(above / PSI, 0), "psi")
        if _is_us(reader)
        else Told(reader.number(above / BAR, 1, trim=True), "bar")
    )


def _viscosity(pascal_seconds: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(1e3 * pascal_seconds, 1), "mPa·s")


def _score(mark: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(mark, 1), "of 10")


def _whole(number: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(number, 0))


def _one_decimal(number: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(number, 1))


def _as_brix(percent: float, _like: float, reader: Reader) -> Told:
    return Told(reader.number(percent, 1), "°Bx")


TELLERS: dict[str, Teller] = {
    "mass": _mass,
    "volume": _volume,
    "weighed": _weighed,
    "rough_mass": _rough_mass,
    "rough_volume": _rough_volume,
    "person": _person,
    "temperature": _temperature,
    "warmer": _warmer,
    "gravity": _gravity,
    "gravity_step": _gravity_step,
    "alcohol": _alcohol,
    "share": _share,
    "percent": _percent,
    "concentration": _concentration,
    "trace": _trace,
    "pressure": _pressure,
    "viscosity": _viscosity,
    "score": _score,
    "day": _whole,
    "count": _whole,
    "ph": _one_decimal,
    "brix": _as_brix,
}
"""How each kind of figure is told."""

METRIC = Plain()
"""The reader of files and of the report, where no other is named."""
