"""From SI to text: one person's units, number signs and gravity scale, with digits that follow the uncertainty."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

import msgspec
from PySide6.QtCore import QLocale

from planner.model.span import Z_90, Span
from planner.units import SI_UNIT, UNITS, GravityScale, Kind, System, Unit, preferred, scale
from planner.wording.figures import joined, told

SPACE = "\u00a0"
"""Between a number and its unit, so that no line breaks there."""

MINUS = "\u2212"
OUNCES_IN_POUND = 16


class Digits(NamedTuple):
    """How finely a kind of number is shown when nothing is known about its uncertainty."""

    most: int
    """Most decimals."""
    least: int = 0
    """Fewest decimals, also when the uncertainty asks for less: what the trade writes."""
    figures: int = 3
    """Significant figures; decimals follow from them between the two bounds."""


_SHOWN: Mapping[Kind, Digits] = MappingProxyType(
    {
        Kind.MASS: Digits(3),
        Kind.VOLUME: Digits(2),
        Kind.TEMPERATURE: Digits(1),
        Kind.CONCENTRATION: Digits(2),
        Kind.TIME: Digits(1),
        Kind.GRAVITY: Digits(3, least=3),
        Kind.FRACTION: Digits(1),
        Kind.STRENGTH: Digits(1),
        Kind.NUMBER: Digits(2),
    }
)
_EDITED: Mapping[Kind, Digits] = MappingProxyType(
    {
        Kind.MASS: Digits(4, figures=5),
        Kind.VOLUME: Digits(4, figures=5),
        Kind.TEMPERATURE: Digits(1, figures=5),
        Kind.CONCENTRATION: Digits(3, figures=5),
        Kind.TIME: Digits(2, figures=5),
        Kind.GRAVITY: Digits(4, least=3, figures=5),
        Kind.FRACTION: Digits(2, figures=5),
        Kind.STRENGTH: Digits(2, figures=5),
        Kind.NUMBER: Digits(3, figures=5),
    }
)
_BRIX_SHOWN, _BRIX_EDITED = Digits(1, least=1), Digits(2, least=1, figures=5)
_CONVERTED = (Kind.MASS, Kind.VOLUME)
_CONVERTED_FIGURES = 4
"""Significant figures of an amount in a field of other units: most are metric ones converted, and no scale shows more."""
_TRIMMED = frozenset({Kind.TEMPERATURE, Kind.TIME})
"""Kinds shown without zeros at the end: 17 °C, but 17.5 °C."""


_TO_A_PLACE = frozenset({Kind.GRAVITY, Kind.NUMBER})
"""Kinds whose zeros at the end tell how finely they were read: 1.050, and a pH of 3.60."""


class _Shown(NamedTuple):
    """A value on the scale on which it is shown."""

    span: Span
    suffix: str
    digits: Digits


class Display(msgspec.Struct, frozen=True):
    """How one person reads numbers. Every method takes SI, a float or a `Span`, and gives text.

    A span is shown by its typical value, with as many digits as its width supports: the standard deviation, taken as
    the half width over 1.645, is rounded by the rule of the Particle Data Group (two digits from 100 to 354 and from
    950, one between), and the value to the same place ("Review of Particle Physics", introduction, section 5.3,
    from memory).
    """

    system: System = System.METRIC
    gravity_scale: GravityScale = GravityScale.SG
    locale: QLocale = msgspec.field(default_factory=QLocale.c)

    @property
    def space(self) -> str:
        """What stands between a number and its unit in a sentence."""
        return SPACE

    # --- the kinds of number, one by one

    def mass(self, value: float | Span, unit: str | None = None) -> str:
        """A mass: "850 g", "6.40 kg", "14 lb 2 oz"."""
        return self.text(value, Kind.MASS, unit)

    def volume(self, value: float | Span, unit: str | None = None) -> str:
        """A volume: "18.2 L", "4.81 US gal"."""
        return self.text(value, Kind.VOLUME, unit)

    def temperature(self, value: float | Span, decimals: int | None = None) -> str:
        """A temperature: "17.5 °C"; with `decimals` for columns."""
        return self.text(value, Kind.TEMPERATURE, decimals=decimals)

    def gravity(self, value: float | Span, decimals: int | None = None) -> str:
        """A gravity: "1.085" or "20.5 °Bx"."""
        return self.text(value, Kind.GRAVITY, decimals=decimals)

    def gravity_difference(self, difference: float, near: float = 1.0) -> str:
        """A fall or rise of gravity: "4 points", or "1.0 °Bx" when it happens near the gravity `near`."""
        if self.gravity_scale == GravityScale.BRIX:
            change = _brix(near + difference / 2.0) - _brix(near - difference / 2.0)
            return f"{self.number(change, 1)}{SPACE}°Bx"
        points = self.number(1000.0 * difference, 1, trim=True)
        return f"{points}{SPACE}{'point' if points in ('1', MINUS + '1') else 'points'}"

    def percent(self, value: float | Span) -> str:
        """A share: "12.6 %"."""
        return self.text(value, Kind.FRACTION)

    def percent_vol(self, value: float | Span) -> str:
        """Ethanol by volume: "12.6 % vol"."""
        return self.text(value, Kind.STRENGTH)

    def grams_per_litre(self, value: float | Span) -> str:
        """A concentration in g/L, in either system: that is how acids are spoken of."""
        return self.text(value, Kind.CONCENTRATION, "g/L")

    def milligrams_per_litre(self, value: float | Span) -> str:
        """A concentration in mg/L, in either system: that is how nitrogen is spoken of."""
        return self.text(value, Kind.CONCENTRATION, "mg/L")

    def days(self, value: float | Span) -> str:
        """A time in words: "1 day", "12 days", "1.5 days"."""
        shown = self.text(value, Kind.TIME, "d").split(SPACE)[0]
        return f"{shown}{SPACE}{'day' if shown == '1' else 'days'}"

    def pressure(self, value: float | Span) -> str:
        """A pressure above that of the air, in bar or psi; below nothing it is none. [Pa]"""
        span = value if isinstance(value, Span) else Span.exactly(value)
        low, high = (told("pressure", bound, self) for bound in (span.low, span.high))
        return joined(high, self) if low == high else f"{low.number} to {joined(high, self)}"

    def number(self, value: float, decimals: int, trim: bool = False) -> str:
        """A bare number as the locale writes it, without thousands signs; `decimals` below zero rounds to tens."""
        rounded = round(value, decimals) + 0.0  # adding zero takes the sign off a rounded -0.0
        locale = QLocale(self.locale)
        locale.setNumberOptions(locale.numberOptions() | QLocale.NumberOption.OmitGroupSeparator)
        text = locale.toString(rounded, "f", max(decimals, 0))
        if trim and decimals > 0:
            text = text.rstrip(locale.zeroDigit()).removesuffix(locale.decimalPoint())
        return text.replace("-", MINUS)

    # --- any kind

    def text(self, value: float | Span, kind: Kind, unit: str | None = None, decimals: int | None = None) -> str:
        """A number of any kind.

        Parameters
        ----------
        value : float or Span
            The number. [SI unit of the kind]
        kind : Kind
            What it is a number of.
        unit : str, optional
            Key of the unit; by default the one in which the value has a handy size.
        decimals : int, optional
            Decimals, where a column wants them fixed; by default they follow the span, or the size of the number.

        Returns
        -------
        str
            Such as "6.40 kg". A number that is not finite is shown as a dash.
        """
        span = value if isinstance(value, Span) else Span.exactly(value)
        if not all(math.isfinite(bound) for bound in span):
            return "–"
        if decimals is None and span.is_exact and self._in_pounds(span.typical, kind, unit):
            return self._pounds_and_ounces(span.typical, _SHOWN[kind])
        shown = self._shown(span, kind, unit, _SHOWN, _BRIX_SHOWN)
        is_none = decimals is None and not self.number(shown.span.typical, 3, trim=True).strip("0" + MINUS)
        trim = decimals is None and (kind in _TRIMMED or is_none or (span.is_exact and kind not in _TO_A_PLACE))
        places = decimals
        if places is None:
            places = min(_places(shown.span, shown.digits), _finest(shown))
        return f"{self.number(shown.span.typical, places, trim)}{shown.suffix}"

    def format_span(self, span: Span, kind: Kind, unit: str | None = None) -> str:
        """A number with its bounds: "6.4 kg (5.9 to 7.0)"; an exact one without."""
        if span.is_exact or not all(math.isfinite(bound) for bound in span):
            return self.text(span, kind, unit)
        shown = self._shown(span, kind, unit, _SHOWN, _BRIX_SHOWN)
        places = _places(shown.span, shown.digits)
        low, typical, high = (self.number(bound, places, trim=round(bound, places) == 0.0) for bound in shown.span)
        return f"{typical}{shown.suffix}" + (f" ({low} to {high})" if low != high else "")

    def text_for_editing(self, value: float, kind: Kind, unit: str | None = None) -> str:
        """A number as a field holds it: finer than elsewhere, without zeros at the end, and readable by `entry`."""
        if self._in_pounds(value, kind, unit):
            return self._pounds_and_ounces(value, _EDITED[kind], trim=True)
        shown = self._shown(Span.exactly(value), kind, unit, _EDITED, _BRIX_EDITED)
        digits = shown.digits
        row = UNITS[unit] if unit else self.unit_for(value, kind)
        if kind in _CONVERTED and row is not None and row.origin != "metric":
            digits = digits._replace(figures=_CONVERTED_FIGURES)
        places = _places(shown.span, digits)
        text = self.number(shown.span.typical, places, trim=True)
        if shown.digits.least:
            fewest = self.number(shown.span.typical, shown.digits.least)
            text = max(text, fewest, key=len)
        return text + shown.suffix

    def unit_for(self, value: float | None, kind: Kind) -> Unit | None:
        """The unit in which a value is shown, and in which a bare number typed over it is meant."""
        return preferred(kind, self.system, value or 0.0) if kind in SI_UNIT else None

    def to_scale(self, value: float, kind: Kind, unit: str | None = None) -> float:
        """The bare number that stands for a value on its scale: 293.15 K is 20 on °C."""
        return self._shown(Span.exactly(value), kind, unit, _SHOWN, _BRIX_SHOWN).span.typical

    def from_scale(self, number: float, kind: Kind, unit: str | None = None) -> float:
        """The value for which a bare number stands; the inverse of `to_scale`, given the same unit."""
        if kind == Kind.GRAVITY and self.gravity_scale == GravityScale.BRIX:
            return _gravity(number)
        if kind in (Kind.FRACTION, Kind.STRENGTH):
            return number / 100.0
        if kind not in SI_UNIT:
            return number
        return scale(unit or preferred(kind, self.system, 0.0).key).si(number)

    def _shown(self, span: Span, kind: Kind, unit: str | None, digits: Mapping[Kind, Digits], brix: Digits) -> _Shown:
        """The span on its scale, what follows the number, and how finely it may be shown."""
        if kind == Kind.GRAVITY and self.gravity_scale == GravityScale.BRIX:
            return _Shown(Span(*(_brix(bound) for bound in span)), f"{SPACE}°Bx", brix)
        if kind in (Kind.FRACTION, Kind.STRENGTH):
            return _Shown(span.scaled(100.0), f"{SPACE}%" + (kind == Kind.STRENGTH) * f"{SPACE}vol", digits[kind])
        if kind not in SI_UNIT:
            return _Shown(span, "", digits[kind])
        row = UNITS[unit] if unit else preferred(kind, self.system, span.typical)
        of_unit = scale(row.key)
        return _Shown(Span(*(of_unit.shown(bound) for bound in span)), f"{SPACE}{row.symbol}", digits[kind])

    def _in_pounds(self, value: float, kind: Kind, unit: str | None) -> bool:
        """Whether a mass is shown in pounds and ounces."""
        return kind == Kind.MASS and (unit or preferred(kind, self.system, value).key) == "lb"

    def _pounds_and_ounces(self, value: float, digits: Digits, trim: bool = False) -> str:
        """A mass in pounds and ounces; ounces are rounded first, so that sixteen never appear."""
        ounces = abs(scale("oz").shown(value))
        places = min(2, _places(Span.exactly(ounces), digits))
        pounds, ounces = divmod(round(ounces, places), OUNCES_IN_POUND)
        parts = [f"{self.number(pounds, 0)}{SPACE}lb"]
        if round(ounces, places) > 0.0:
            parts.append(f"{self.number(ounces, places, trim)}{SPACE}oz")
        return (MINUS if value < 0.0 else "") + SPACE.join(parts)


def between(low: str, high: str) -> str:
    """Two amounts as a range that names their unit once: "12 to 15 g/L"."""
    unit = high.partition(SPACE)[2]
    once = bool(unit) and not any(letter.isdecimal() for letter in unit) and low.endswith(SPACE + unit)
    return f"{low.removesuffix(SPACE + unit) if once else low} to {high}"


def _finest(shown: _Shown) -> int:
    """Decimals that a scale or a measuring glass can follow: 0.1 g from a gram on, whole millilitres from ten on.

    Common practice, no source: pocket scales read 0.01 g, kitchen scales 0.1 to 1 g, cylinders 1 mL.
    """
    least = _FINEST.get(shown.suffix)
    return 9 if least is None else least[1] if abs(shown.span.typical) < least[0] else least[2]


_FINEST = {f"{SPACE}g": (1.0, 2, 1), f"{SPACE}mL": (10.0, 1, 0)}
"""By what follows the number: below which size how many decimals are the finest, and how many from there on."""


@lru_cache(maxsize=4096)
def _brix(gravity: float) -> float:
    """°Brix of one gravity; kept, because finding it takes a third of a millisecond and tables repaint often."""
    from planner.model.scales import brix_from_gravity

    return float(brix_from_gravity(gravity))


def _gravity(brix: float) -> float:
    from planner.model.scales import gravity_from_brix

    return float(gravity_from_brix(brix))


def _places(span: Span, digits: Digits) -> int:
    """Decimals that the width of a span supports; negative for tens and hundreds."""
    # A number that rounds up to the next power of ten is as large as that: 0.9997 is 1.00.
    size = math.floor(math.log10(abs(span.typical) * (1.0 + 0.5 * 10.0**-digits.figures))) if span.typical else 0
    by_size = min(digits.most, max(digits.least, digits.figures - 1 - size, 0))
    deviation = (span.high - span.low) / (2.0 * Z_90)
    if deviation <= 0.0:
        return by_size
    order = math.floor(math.log10(deviation))
    by_width = 1 - order if deviation / 10.0**order < 3.55 else -order
    # At least the first figure stays, because a number nobody knows is still of some size; unless that is next to none.
    negligible = abs(span.typical) < deviation / 1000.0
    places = min(by_size, by_width if negligible else max(by_width, -size))
    return max(places, digits.least) if digits.least else places
