"""One column of a table as numbers, texts or moments in SI; what cannot be read is told with its row and its reason."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from datetime import datetime, tzinfo
from typing import Any, TypeVar, get_args

import msgspec

from planner.document import values
from planner.document.timestamps import FIRST_YEAR, LAST_YEAR
from planner.importing.cells import UNDATED, Number, clock, day_number, moment, number
from planner.importing.mapping import SINCE_PITCHING, SUGARS, Meaning
from planner.importing.table import ImportStopped, never
from planner.model.constants import ZERO_CELSIUS
from planner.model.liquid import WATER_DENSITY
from planner.model.scales import gravity_from_brix

_T = TypeVar("_T")

ZERO_SUGAR = -5.0
"""An assay that gives no less than this means that no sugar is left. [kg/m^3] Infrared and strip assays scatter by
a few g/L about zero (common practice, no source)."""

# What may stand behind a number, in small letters.
_SPECIFIC = ("", "sg", "s.g", "s g")
_BRIX = ("bx", "°bx", "brix", "°brix", "°")
_POINTS = ("", "points", "point", "pts")
_DENSITIES = ("", "g/ml", "g/cc", "g/cm³", "kg/m³", "g/l")
_DEGREES = ("", "°", "c", "°c", "° c", "deg c", "degc", "f", "°f", "° f", "deg f", "degf")

_BRIX_RANGE = (-10.0, 85.0)
"""°Brix that can be turned into a gravity. [g/(100 g)]"""
_POINTS_ABOVE = (-100.0, 300.0)
"""Points counted from water's gravity; from 700 on they are counted from zero. [-]"""
YEARS = (FIRST_YEAR, LAST_YEAR)
"""Years beyond are slips: 0026, 20226."""
MOST_ACID = 50.0
"""More than a batch can hold. [kg/m^3]"""
_QUOTED = 40
"""Characters of a cell that a message repeats."""
_BETWEEN_STOPS = 1 << 15
"""Rows between two questions whether to go on."""
_YES, _NO = (
    frozenset(["yes", "y", "x", "true", "1", "ja", "oui", "si", "sí"]),
    frozenset(["", "no", "n", "false", "0", "nein", "non"]),
)


def _limits(kind: Any) -> tuple[float, float]:
    """What a file of the batch can hold of a kind of number."""
    limits = get_args(kind)[1]
    return limits.ge, limits.le


GRAVITY, TEMPERATURE = _limits(values.Gravity), _limits(values.Temperature)
_SUGAR, DAY, _MASS = _limits(values.Concentration), _limits(values.Day), _limits(values.Mass)
HOT, COLD = 45.0, 40.0
"""From here up yeast dies, from here down it rests; a whole column of such is perhaps on the other scale. [°C], [°F]"""
_OF_MUSTS = (0.95, 1.25)
"""Gravities of musts and meads; the wider limits hold honey too. [-] From memory."""
_SHOWN = (-2.0, 80.0)
_OF_SUGAR = {"": 0.0, "g/l": 1.0, "g/dl": 10.0, "mg/l": 1e-3, "mg/dl": 1e-2, "mmol/l": SUGARS[Meaning.SUGAR_MMOL]}
"""Grams in a litre of what may stand behind a number; nothing behind it means the unit of the column."""
_MASSES = {"": 1.0, "kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": 0.45359237, "oz": 0.028349523125}
"""Kilograms of each unit; pound and ounce by NIST SP 811."""

_TIMES = {
    Meaning.DAY: ("", "d", "day", "days"), Meaning.HOURS: ("", "h", "hr", "hrs", "hour", "hours"),
    Meaning.MINUTES: ("", "min", "minute", "minutes"), Meaning.SECONDS: ("", "s", "sec", "second", "seconds"),
}  # fmt: skip
_PER_CUBIC_METRE = {"": 1e3, "l": 1e3, "litre": 1e3, "liter": 1e3, "cl": 1e5, "ml": 1e6}
"""Litres and parts of them in a cubic metre; SI Brochure, 9th ed., table 8."""
_MOST_BOTTLES = 100_000


class Below(float):
    """A test that shows no more than its lowest mark: less than this."""

    __slots__ = ()


class Trouble(str):
    """Why a cell cannot be read."""

    __slots__ = ()


class Reader(msgspec.Struct):
    """Reads the cells of chosen rows, column after column.

    Attributes
    ----------
    chosen : sequence of int
        Numbers of the rows to read.
    decimal, day_first : str, bool
        As the mapping says.
    offset : tzinfo
        Of moments that state none.
    stop : callable
        Asked now and then whether the work has become needless.
    troubles : dict
        The first trouble of each row that has any.
    seen : Counter
        How often something worth a note was met in one of the chosen rows, by its name.
    sample : dict
        The first cell that was so.
    hot_in_fahrenheit : bool
        Whether numbers too hot for yeast in a column of °C are taken for °F.
    """

    chosen: Sequence[int]
    decimal: str
    day_first: bool
    offset: tzinfo
    stop: Callable[[], bool] = never
    troubles: dict[int, str] = msgspec.field(default_factory=dict)
    seen: Counter[str] = msgspec.field(default_factory=Counter)
    sample: dict[str, str] = msgspec.field(default_factory=dict)
    hot_in_fahrenheit: bool = False

    def each(self, name: str, cells: Sequence[_T], read: Callable[[_T], Any]) -> list[Any]:
        """What `read` makes of the cells of the chosen rows; equal cells are read once. None where there is trouble.

        `read` gives a value or a `Trouble`, either of them perhaps in a tuple with what is worth noting about it.
        """
        known: dict[_T, Any] = {}
        values = []
        for place, row in enumerate(self.chosen):
            if place % _BETWEEN_STOPS == 0 and self.stop():
                raise ImportStopped
            cell = cells[row]
            try:
                value = known[cell]
            except KeyError:
                value = known[cell] = read(cell)
            if value.__class__ is tuple:
                value, noted = value
                self.seen[noted] += 1
                self.sample.setdefault(noted, str(cell))
            if value.__class__ is Trouble:
                self.troubles.setdefault(row, f"{name}: {value}")
                value = None
            values.append(value)
        return values

    def gravities(self, name: str, cells: Sequence[str], meaning: Meaning) -> list[float | None]:
        """Specific gravities of a column on any of the scales. [-]"""
        if meaning is not Meaning.BRIX:
            read = {Meaning.GRAVITY: self.gravity, Meaning.POINTS: self.points, Meaning.DENSITY: self.density}[meaning]
            return self.each(name, cells, read)
        finely = sum(len(cells[row].strip()) - 4 >= cells[row].strip().find(self.decimal) > 0 for row in self.chosen)
        brix = self.each(name, cells, self.brix if 2 * finely > len(self.chosen) else self.coarse_brix)
        numbers = [value for value in brix if value is not None]
        true = iter(gravity_from_brix(numbers).tolist() if numbers else ())
        return [None if value is None else next(true) for value in brix]

    def _figure(self, cell: str, units: Collection[str]) -> Any:
        """The number in a cell, with one of these units or none; else nothing, or why there is none."""
        found = number(cell, self.decimal)
        if found is None:
            return _blank(cell) or Trouble(f"{_quoted(cell)} is not a number.")
        if found.unit.casefold() not in units:
            return Trouble(f"{_quoted(found.unit)} in {_quoted(cell)} does not belong in this column.")
        return found

    def gravity(self, cell: str) -> Any:
        """A specific gravity, also one written as 1060 or with its own scale behind it. [-]"""
        found = self._figure(cell, (*_SPECIFIC, *_BRIX))
        if not isinstance(found, Number):
            return found
        value, unit = found.value, found.unit.casefold()
        if unit in _BRIX:
            low, high = _BRIX_RANGE
            return (float(gravity_from_brix(value)), "brix") if low <= value <= high else _no_gravity(cell, value)
        low, high = GRAVITY
        if low <= value <= high:
            return value, "near one"
        if 1000.0 * low <= value <= 1000.0 * high:
            return value / 1000.0, "near one" if _has_sign(cell) else "near a thousand"
        return _no_gravity(cell, value)

    def points(self, cell: str) -> Any:
        """A gravity in thousandths, counted from zero or from water. [-]"""
        found = self._figure(cell, _POINTS)
        if not isinstance(found, Number):
            return found
        value, (low, high) = found.value, GRAVITY
        if 1000.0 * low <= value <= 1000.0 * high:
            return value / 1000.0, "near a thousand"
        if found.value != round(found.value) and low <= value <= high:
            return value, "near one"
        if _POINTS_ABOVE[0] <= value <= _POINTS_ABOVE[1]:
            return 1.0 + value / 1000.0, "above water"
        return _no_gravity(cell, value)

    def density(self, cell: str) -> Any:
        """A specific gravity from a density at 20 °C in g/mL or kg/m³. [-]"""
        found = self._figure(cell, _DENSITIES)
        if not isinstance(found, Number):
            return found
        value = found.value / WATER_DENSITY if found.value > 10.0 else 1000.0 * found.value / WATER_DENSITY
        if GRAVITY[0] <= value <= GRAVITY[1]:
            return value
        return Trouble(f"{_quoted(cell)} is not a density of a must or mead.")

    def brix(self, cell: str) -> Any:
        """°Brix. [g/(100 g)]"""
        found = self._figure(cell, ("", *_BRIX))
        if not isinstance(found, Number):
            return found
        low, high = _BRIX_RANGE
        if not low <= found.value <= high:
            return Trouble(f"{_quoted(cell)} is not °Brix, which lies between {low:g} and {high:g}.")
        return found.value

    def coarse_brix(self, cell: str) -> Any:
        """°Brix of a column with few decimals, in which a number such as 1.010 is a gravity. [g/(100 g)]"""
        value = self.brix(cell)
        if isinstance(value, float) and 0.97 <= value <= 1.25 and len(cell.strip()) >= 5:
            return Trouble(f"{_quoted(cell)} looks like a specific gravity among °Brix.")
        return value

    def temperature(self, cell: str, fahrenheit: bool) -> Any:
        """A temperature in the scale of its column, or in the one behind the number. [K]"""
        found = self._figure(cell, _DEGREES)
        if not isinstance(found, Number):
            return found
        unit = found.unit.casefold().removeprefix("deg").strip("° ")
        in_f = unit == "f" if unit else fahrenheit
        if not unit and not in_f and self.hot_in_fahrenheit and found.value >= HOT:
            return self._kelvin(cell, found.value, in_f=True, noted="taken for °F")
        noted = "cold" if in_f and found.value <= COLD else "hot" if not in_f and found.value >= HOT else "warm"
        return self._kelvin(cell, found.value, in_f, noted)

    def _kelvin(self, cell: str, value: float, in_f: bool, noted: str) -> Any:
        kelvin = (value - 32.0) / 1.8 + ZERO_CELSIUS if in_f else value + ZERO_CELSIUS
        if TEMPERATURE[0] <= kelvin <= TEMPERATURE[1]:
            return kelvin, noted
        hint = f" Is it {value:g} °F?" if not in_f and HOT <= value <= 120.0 else ""
        return Trouble(
            f"{_quoted(cell)} in °{'F' if in_f else 'C'} is not a temperature of a must or mead.{hint}"
        ), noted

    def celsius(self, cell: str) -> Any:
        """A temperature in °C. [K]"""
        return self.temperature(cell, fahrenheit=False)

    def fahrenheit(self, cell: str) -> Any:
        """A temperature in °F. [K]"""
        return self.temperature(cell, fahrenheit=True)

    def kelvin(self, cell: str) -> Any:
        """A temperature in K. [K]"""
        found = self._figure(cell, ("", "k"))
        if not isinstance(found, Number):
            return found
        if TEMPERATURE[0] <= found.value <= TEMPERATURE[1]:
            return found.value, "warm"
        return Trouble(f"{_quoted(cell)} in K is not a temperature of a must or mead.")

    def sugar(self, cell: str, per_unit: float = 1.0) -> Any:
        """A sugar content in the unit of its column, or in the one behind it, or less than one. [kg/m^3]"""
        if cell.lstrip()[:1] in ("<", "≤"):
            most = self.sugar(cell.lstrip()[1:], per_unit)
            return Below(most) if isinstance(most, float) else most
        found = self._figure(cell, tuple(_OF_SUGAR))
        if not isinstance(found, Number):
            return found
        sugar = found.value * (_OF_SUGAR[found.unit.casefold()] or per_unit)
        if ZERO_SUGAR <= sugar < 0.0:
            return 0.0, "below zero"
        if not _SUGAR[0] <= sugar <= _SUGAR[1]:
            return Trouble(
                f"{_quoted(cell)}, {sugar:g} g/L, is not a sugar content, which lies between 0 and {_SUGAR[1]:g} g/L."
            )
        return sugar

    def refractometer(self, cell: str) -> Any:
        """°Brix as a refractometer shows them. [g/(100 g)]"""
        value = self.brix(cell)
        if isinstance(value, float) and not _SHOWN[0] <= value <= _SHOWN[1]:
            return Trouble(f"{_quoted(cell)}: a refractometer shows {_SHOWN[0]:g} to {_SHOWN[1]:g} °Brix.")
        return value

    def mass(self, cell: str, usual: str = "kg") -> Any:
        """A mass in the usual unit of its column, or in the one behind it; a minus is that of a loss. [kg]"""
        found = self._figure(cell, tuple(_MASSES))
        if not isinstance(found, Number):
            return found
        kilograms = abs(found.value) * _MASSES[found.unit.casefold() or usual]
        return kilograms if kilograms <= _MASS[1] else Trouble(f"{_quoted(cell)} is more than any batch weighs.")

    def bottles(self, cell: str) -> Any:
        """How many bottles. [-]"""
        found = self._figure(cell, ("",))
        if not isinstance(found, Number):
            return found
        whole = found.value == round(found.value) and 1 <= found.value <= _MOST_BOTTLES
        return int(found.value) if whole else Trouble(f"{_quoted(cell)} is not a number of bottles.")

    def volume(self, cell: str, what: str) -> Any:
        """A volume in litres or in the unit behind it. [m^3]"""
        found = self._figure(cell, tuple(_PER_CUBIC_METRE))
        if not isinstance(found, Number):
            return found
        size = found.value / _PER_CUBIC_METRE[found.unit.casefold()]
        return size if 0.0 < size <= 1e3 else Trouble(f"{_quoted(cell)} is not {what}.")

    def ph(self, cell: str) -> Any:
        """A pH. [-]"""
        found = self._figure(cell.casefold().replace("ph", ""), ("",))
        if not isinstance(found, Number):
            return found
        return found.value if 0.0 <= found.value <= 14.0 else Trouble(f"{_quoted(cell)} is not a pH.")

    def acid(self, cell: str, per_unit: float = 1.0) -> Any:
        """Titratable acid, as tartaric. [kg/m^3]"""
        found = self._figure(cell.casefold().replace("g/l", "").replace("%", ""), ("",))
        if not isinstance(found, Number):
            return found
        acid = found.value * per_unit
        return acid if 0.0 <= acid <= MOST_ACID else Trouble(f"{_quoted(cell)} is not a titratable acid of a must.")

    def doubt(self, cell: str) -> Any:
        """Half the width of an interval, in the unit of what it belongs to. [as that]"""
        found = self._figure(cell.replace("±", ""), ("",))
        if not isinstance(found, Number):
            return found
        return (
            found.value if 0.0 <= found.value <= 1000.0 else Trouble(f"{_quoted(cell)} is not a range such as ±0.002.")
        )

    def known(self, cell: str) -> Any:
        """The gravity of a liquid in which an instrument was checked. [-]"""
        found = self._figure(cell, ("",))
        if not isinstance(found, Number):
            return found
        is_one = GRAVITY[0] <= found.value <= GRAVITY[1]
        return found.value if is_one else Trouble(f"{_quoted(cell)} is not a gravity such as 1.000.")

    def days(self, cell: str, unit: Meaning) -> Any:
        """Days since pitching, from days, hours, minutes or seconds. [d]"""
        found = day_number(cell, self.decimal)
        if found is None:
            return _blank(cell) or Trouble(f"{_quoted(cell)} is not a number of days or hours.")
        if found.unit.casefold() not in _TIMES[unit]:
            return Trouble(f"{_quoted(found.unit)} in {_quoted(cell)} does not belong there.")
        days = found.value / SINCE_PITCHING[unit]
        if DAY[0] <= days <= DAY[1]:
            return days
        return Trouble(f"{_quoted(cell)} is out of range: days since pitching are from {DAY[0]:g} to {DAY[1]:g}.")

    def moment(self, cells: tuple[str, str]) -> Any:
        """A moment as ISO 8601 text with its offset, from a date and perhaps a time of day in a cell of its own."""
        text, hand = cells
        found = moment(text, self.day_first)
        if found is None:
            return "" if text.strip().casefold() == UNDATED else _blank(text) or _no_date(text)
        when = found.when
        if hand.strip():
            time = clock(hand)
            if time is None:
                return Trouble(f"{_quoted(hand)} is not a time of day.")
            when = when.replace(hour=time[0], minute=time[1], second=time[2], microsecond=0)
        if not YEARS[0] <= when.year <= YEARS[1]:
            return Trouble(f"{_quoted(text)} is not in the years {YEARS[0]} to {YEARS[1]}.")
        if found.as_it_stands and not hand.strip() and len(text.strip()) <= 40:
            return text.strip()
        written = self._with_offset(when)
        if not found.has_time and not hand.strip():
            return written, "noon"
        return (written, "assumed") if when.tzinfo is None else written

    def _with_offset(self, when: datetime) -> str:
        full = when if when.tzinfo is not None else when.replace(tzinfo=self.offset)
        return full.isoformat(timespec="seconds")

    def left_out(self, cell: str) -> Any:
        """Whether a reading is left out."""
        word = cell.strip().casefold()
        return word in _YES if word in _YES | _NO else Trouble(f"{_quoted(cell)} is neither yes nor no.")


def _blank(cell: str) -> Any:
    """A value for an empty cell: none, in a form that is not mistaken for something unreadable."""
    return _NOTHING if not cell.strip() or cell.strip() in ("-", "–", "—", "n/a", "NA", "N/A") else None


_NOTHING = (None, "blank")


def _quoted(cell: str) -> str:
    """A cell in a message; a long one is cut."""
    return f"“{cell}”" if len(cell) <= _QUOTED else f"“{cell[:_QUOTED]}…”"


def _no_date(cell: str) -> Trouble:
    yearless = re.fullmatch(r"\s*\d{1,2}[./\s-]\s?(?:\d{1,2}|[^\W\d_]+)\.?(?:[\s,]+\d{1,2}:\d{2}.*)?\s*", cell)
    return Trouble(f"{_quoted(cell)} {'has no year' if yearless else 'is not a date'}.")


def _has_sign(cell: str) -> bool:
    """Whether a gravity is written with a sign: 1.060 and 1,060 mean the same, whichever marks the thousands."""
    return "." in cell or "," in cell


def _no_gravity(cell: str, value: float) -> Trouble:
    hint = " If it is °Brix, say so above the column." if 1.6 < value <= 60.0 else ""
    figures = re.sub(r"\D", "", cell)
    meant = float(f"{figures[:1]}.{figures[1:]}") if len(figures) >= 4 and cell.isascii() else 0.0
    if _OF_MUSTS[0] <= meant <= _OF_MUSTS[1] and value > 0.0:  # the figures are right, the point is not
        hint = f" Is it {meant:.{len(figures) - 1}f}?"
    return Trouble(f"{_quoted(cell)} is not a specific gravity, such as 1.085.{hint}")
