"""What each column of a table means, as the user confirms it, and why it does not suffice yet."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from planner.importing.table import Table


class Meaning(StrEnum):
    """What a column holds."""

    IGNORED = "ignored"
    MOMENT = "date and time"
    CLOCK = "time of day"
    DAY = "day"
    HOURS = "hours"
    MINUTES = "minutes"
    SECONDS = "seconds"
    GRAVITY = "specific gravity"
    POINTS = "gravity points"
    BRIX = "°Brix"
    DENSITY = "density"
    REFRACTOMETER = "°Brix by refractometer"
    SUGAR = "sugar"
    SUGAR_PERCENT = "sugar in g/100 mL"
    SUGAR_MG = "sugar in mg/L"
    SUGAR_MG_DL = "sugar in mg/dL"
    SUGAR_MMOL = "sugar in mmol/L"
    WEIGHT = "weight lost"
    WEIGHT_G = "weight lost in g"
    WEIGHT_LB = "weight lost in lb"
    WEIGHT_OZ = "weight lost in oz"
    PH = "pH"
    ACID = "titratable acid"
    ACID_PERCENT = "titratable acid in g/100 mL"
    CELSIUS = "temperature °C"
    FAHRENHEIT = "temperature °F"
    KELVIN = "temperature K"
    NOTE = "note"
    SERIES = "series"
    LEFT_OUT = "left out"
    KIND = "kind"
    INSTRUMENT = "instrument"
    DOUBT = "doubt"
    AMOUNT = "amount given"
    INGREDIENT = "ingredient given"
    BOTTLES = "bottles"
    BOTTLE_SIZE = "bottle size"
    VOLUME_LEFT = "volume left"
    KNOWN = "gravity it was checked in"


SINCE_PITCHING = {Meaning.DAY: 1.0, Meaning.HOURS: 24.0, Meaning.MINUTES: 1440.0, Meaning.SECONDS: 86_400.0}
"""How many of each are in a day."""
TIMES = frozenset({Meaning.MOMENT, *SINCE_PITCHING})
GRAVITIES = frozenset({Meaning.GRAVITY, Meaning.POINTS, Meaning.BRIX, Meaning.DENSITY})
TEMPERATURES = frozenset({Meaning.CELSIUS, Meaning.FAHRENHEIT, Meaning.KELVIN})
SUGARS = {
    Meaning.SUGAR: 1.0, Meaning.SUGAR_PERCENT: 10.0, Meaning.SUGAR_MG: 1e-3, Meaning.SUGAR_MG_DL: 1e-2,
    Meaning.SUGAR_MMOL: 0.18016,
}  # fmt: skip
"""Grams in a litre of each unit of sugar; a millimole is of glucose or fructose, C6H12O6 (IUPAC's standard atomic weights)."""
ACIDS = {Meaning.ACID: 1.0, Meaning.ACID_PERCENT: 10.0}
"""Grams in a litre of each unit of titratable acid, counted as tartaric."""
WEIGHTS = {Meaning.WEIGHT: "kg", Meaning.WEIGHT_G: "g", Meaning.WEIGHT_LB: "lb", Meaning.WEIGHT_OZ: "oz"}
"""The unit of a bare number in each kind of column of weights."""
MEASURED = GRAVITIES | {Meaning.REFRACTOMETER, *SUGARS, *WEIGHTS, Meaning.PH, *ACIDS, Meaning.VOLUME_LEFT, Meaning.KIND}
NUMBERS = GRAVITIES | TEMPERATURES | {
    *SINCE_PITCHING, *SUGARS, Meaning.REFRACTOMETER, *WEIGHTS, Meaning.PH, *ACIDS, Meaning.DOUBT, Meaning.AMOUNT, Meaning.BOTTLES, Meaning.BOTTLE_SIZE,
    Meaning.VOLUME_LEFT, Meaning.KNOWN,
}  # fmt: skip

_ONCE = (
    (frozenset({Meaning.MOMENT}), "a date"),
    (frozenset({Meaning.CLOCK}), "a time of day"),
    (frozenset(SINCE_PITCHING), "a day or hours"),
    (GRAVITIES, "a gravity"),
    (TEMPERATURES, "a temperature"),
    (frozenset({Meaning.SERIES}), "the name of a series"),
    (frozenset({Meaning.LEFT_OUT}), "what is left out"),
    (frozenset({Meaning.REFRACTOMETER}), "what a refractometer shows"),
    (frozenset(WEIGHTS), "the weight lost"),
    (frozenset({Meaning.PH}), "the pH"),
    (frozenset(ACIDS), "the titratable acid"),
    (frozenset({Meaning.KIND}), "the kind"),
    (frozenset({Meaning.INSTRUMENT}), "the instrument"),
    (frozenset({Meaning.DOUBT}), "the doubt"),
    (frozenset({Meaning.AMOUNT}), "the amount given"),
    (frozenset({Meaning.INGREDIENT}), "the ingredient given"),
    (frozenset({Meaning.BOTTLES}), "the number of bottles"),
    (frozenset({Meaning.BOTTLE_SIZE}), "the size of the bottles"),
    (frozenset({Meaning.VOLUME_LEFT}), "the volume left"),
    (frozenset({Meaning.KNOWN}), "the gravity that an instrument was checked in"),
)
"""What only one column may hold; several columns of sugar are added up, several notes joined."""


OWN_HEADINGS: dict[str, Meaning] = {
    "Date and time": Meaning.MOMENT,
    "Day": Meaning.DAY,
    "Specific gravity": Meaning.GRAVITY,
    "Sugar [g/L]": Meaning.SUGAR,
    "Temperature [°C]": Meaning.CELSIUS,
    "Note": Meaning.NOTE,
    "Left out": Meaning.LEFT_OUT,
    "Refractometer [°Brix]": Meaning.REFRACTOMETER,
    "Weight lost [kg]": Meaning.WEIGHT,
    "pH": Meaning.PH,
    "Kind": Meaning.KIND,
    "Instrument": Meaning.INSTRUMENT,
    "Doubt": Meaning.DOUBT,
    "Amount given [kg]": Meaning.AMOUNT,
    "Ingredient given": Meaning.INGREDIENT,
    "Bottles": Meaning.BOTTLES,
    "Bottle size [L]": Meaning.BOTTLE_SIZE,
    "Volume left [L]": Meaning.VOLUME_LEFT,
    "Titratable acid [g/L]": Meaning.ACID,
    "Checked in a gravity of": Meaning.KNOWN,
}
"""What the export writes above its columns, and what each means; a table with all but the rare ones needs no guessing."""

PLAIN_COLUMNS = 7
"""So many of them are written where a log holds nothing but gravities and sugar tests."""
RARE_COLUMNS = 5
"""So many at the end are written only where an entry holds something for them."""


class Mapping(msgspec.Struct, frozen=True):
    """How a table is to be read.

    Attributes
    ----------
    meanings : tuple of Meaning
        One for each column.
    decimal : str
        The decimal sign, "." or ",".
    day_first : bool
        Whether 3/4/2026 is in April.
    series : str or None
        Which of several series to take; of a column with that meaning.
    hot_in_fahrenheit : bool
        Whether numbers too hot for yeast in a column of °C are taken for °F.
    floats : bool
        Whether gravities are those of a floating sensor, where no column says of what kind they are.
    repeats : bool
        Whether readings that repeat another to the last figure are taken too.
    unclear : tuple of int
        Columns that are left out because the unit in their heading is not known here.
    """

    meanings: tuple[Meaning, ...]
    decimal: str = "."
    day_first: bool = True
    series: str | None = None
    hot_in_fahrenheit: bool = False
    floats: bool = False
    repeats: bool = False
    unclear: tuple[int, ...] = ()

    def columns(self, *meanings: Meaning) -> tuple[int, ...]:
        """The columns with one of these meanings."""
        return tuple(index for index, meaning in enumerate(self.meanings) if meaning in meanings)

    def column(self, *meanings: Meaning) -> int | None:
        """The first column with one of these meanings."""
        return next(iter(self.columns(*meanings)), None)

    def with_meaning(self, column: int, meaning: Meaning) -> Mapping:
        """The same with another meaning of one column; a column that cannot share it becomes ignored.

        Parameters
        ----------
        column : int
            Number of the column, from 0. [-]
        """
        meanings = list(self.meanings)
        for group, _ in _ONCE:
            if meaning in group:
                meanings = [Meaning.IGNORED if m in group else m for m in meanings]
        meanings[column] = meaning
        unclear = tuple(other for other in self.unclear if other != column)
        after = msgspec.structs.replace(self, meanings=tuple(meanings), unclear=unclear)
        same_series = after.columns(Meaning.SERIES) == self.columns(Meaning.SERIES)
        return after if same_series else msgspec.structs.replace(after, series=None)

    def settled(self, table: Table) -> Mapping:
        """The same with the first series of the table, where one is to be chosen and none is."""
        by = self.column(Meaning.SERIES)
        if by is None or self.series is not None:
            return self
        return msgspec.structs.replace(self, series=next(iter(series_names(table, by)), None))

    def problem(self) -> str:
        """What is missing before anything can be imported, in words for the user; empty where nothing is."""
        for group, name in _ONCE:
            if len(self.columns(*group)) > 1:
                return f"More than one column is said to hold {name}; choose one."
        if not self.columns(*MEASURED, *TEMPERATURES):
            return "Choose which column holds the gravity or the sugar."
        if not self.columns(*TIMES):
            return "Choose which column holds the date, the day or the hours."
        if self.columns(Meaning.SERIES) and self.series is None:
            return "Choose one of the series."
        return ""


def series_names(table: Table, column: int) -> dict[str, int]:
    """The series that a column names, in the order of the file, and how many rows each has.

    Parameters
    ----------
    column : int
        Number of the column, from 0. [-]
    """
    names: dict[str, int] = {}
    for cell in table.column(column):
        name = cell.strip()
        if name:
            names[name] = names.get(name, 0) + 1
    return names
