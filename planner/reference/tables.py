"""Reads tables whose headings carry their units, and says exactly where one is wrong.

Values stay in the files as their sources print them; here they become SI floats. Each cell that cannot be
used raises `TableError` naming the file, the row and the column, and what would be accepted.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path

import msgspec

from planner.model.span import Span


class Unit(msgspec.Struct, frozen=True):
    """A heading's unit: SI value = printed value / divisor + offset."""

    # Decimal, so that a printed 38.19 % is 0.3819 to the last bit.
    divisor: Decimal
    offset: Decimal = Decimal(0)


UNITS: Mapping[str, Unit] = {
    "-": Unit(Decimal(1)),
    "parts": Unit(Decimal(1)),
    "%": Unit(Decimal(100)),
    "g/100g": Unit(Decimal(100)),
    "mg/g": Unit(Decimal(1000)),
    "mg/kg": Unit(Decimal(1_000_000)),
    "g": Unit(Decimal(1000)),
    "g/L": Unit(Decimal(1)),
    "mg/L": Unit(Decimal(1000)),
    "kg/m3": Unit(Decimal(1)),
    "meq/L": Unit(Decimal(1)),
    "degC": Unit(Decimal(1), Decimal("273.15")),
}
"""Units that a heading may carry, as [kg], [kg/kg], [kg/m^3], [mol/m^3], [K] or [-]."""

_HEADING = re.compile(r"^(?P<name>[a-z][a-z0-9_]*)(?:\[(?P<unit>[^\]]+)\])?$")


class TableError(ValueError):
    """A table that comes with the program cannot be used as it stands."""


class Row(msgspec.Struct, frozen=True):
    """One row of a table. Its readers raise `TableError` naming file, row and column."""

    table: str
    line: int
    cells: Mapping[str, str]
    headings: Mapping[str, str]

    def refuse(self, column: str, problem: str) -> TableError:
        """The error that says what is wrong with a column of this row."""
        name = next(iter(self.cells.values()), "")
        heading = self.headings.get(column, column)
        return TableError(f"{self.table}, row {self.line} ({name}), column {heading}: {problem}")

    def text(self, column: str) -> str:
        """A cell that must not be empty."""
        value = self.cell(column)
        if not value:
            raise self.refuse(column, "is empty; expected some text.")
        return value

    def cell(self, column: str) -> str:
        """A cell as it stands, without outer blanks."""
        if column not in self.cells:
            raise self.refuse(column, f"is not in the table; its columns are {', '.join(self.headings.values())}.")
        return self.cells[column]

    def optional(self, column: str) -> float | None:
        """A number in SI, or None for an empty cell. [SI of the heading's unit]"""
        value = self.cell(column)
        if not value:
            return None
        unit = self._unit(column)
        try:
            printed = Decimal(value)
        except InvalidOperation:
            printed = Decimal("nan")
        if not printed.is_finite():
            raise self.refuse(column, f"'{value}' is not a number; expected digits such as 81.5, or nothing.")
        return float(printed / unit.divisor + unit.offset)

    def number(self, column: str) -> float:
        """A number in SI; the cell must not be empty. [SI of the heading's unit]"""
        value = self.optional(column)
        if value is None:
            raise self.refuse(column, "is empty; expected a number such as 81.5.")
        return value

    def amount(self, column: str) -> float:
        """A number in SI, zero for an empty cell. [SI of the heading's unit]"""
        return self.optional(column) or 0.0

    def span(self, name: str) -> Span:
        """The span of columns `name_low`, `name_typical`, `name_high`; an empty typical is their middle."""
        low, high = self.number(f"{name}_low"), self.number(f"{name}_high")
        typical = self.optional(f"{name}_typical")
        return self.ordered(name, Span(low, (low + high) / 2.0 if typical is None else typical, high))

    def ordered(self, name: str, span: Span) -> Span:
        """The span itself, if it is one."""
        if not span.low <= span.typical <= span.high:
            raise self.refuse(
                f"{name}_typical", f"{span.low:.6g}, {span.typical:.6g}, {span.high:.6g} (SI) do not rise."
            )
        return span

    def one_of(self, column: str, allowed: Iterable[str]) -> str:
        """A cell that must hold one of the allowed words."""
        value, words = self.cell(column), tuple(allowed)
        if value not in words:
            raise self.refuse(column, f"'{value}' is not known; expected one of {', '.join(words)}.")
        return value

    def yes(self, column: str) -> bool:
        """A cell that holds yes or no."""
        return self.one_of(column, ("yes", "no")) == "yes"

    def keys(self, column: str, known: Collection[str]) -> tuple[str, ...]:
        """The keys in a cell, parted by blanks, each of which must be known."""
        found = tuple(self.cell(column).split())
        for key in found:
            if key not in known:
                raise self.refuse(column, f"'{key}' is not the key of anything known.")
        return found

    def sources(self, known: Collection[str]) -> tuple[str, ...]:
        """The keys of the row's sources: at least one."""
        self.text("source")
        return self.keys("source", known)

    def _unit(self, column: str) -> Unit:
        unit = _unit_in(self.headings[column])
        if unit is None:
            raise self.refuse(column, "holds numbers, but its heading carries no unit such as [g/100g].")
        return unit


@cache
def _unit_in(heading: str) -> Unit | None:
    return UNITS[heading[heading.index("[") + 1 : -1]] if "[" in heading else None


def read(path: Path) -> tuple[Row, ...]:
    """The rows of a table.

    Parameters
    ----------
    path : pathlib.Path
        A CSV file in UTF-8. Headings are words, with the unit in brackets where the column holds numbers.

    Returns
    -------
    tuple of Row
        In the order of the file.

    Raises
    ------
    TableError
        The file cannot be read, has no heading, a heading that is not understood, an unknown unit, or a row
        with more or fewer cells than headings.
    """
    try:
        with path.open(encoding="utf-8", newline="") as file:
            lines = list(csv.reader(file, strict=True))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise TableError(f"{path.name}: cannot be read as a table: {error}") from error
    if not lines:
        raise TableError(f"{path.name}: is empty; expected a line of headings.")
    headings = _headings(path.name, lines[0])
    return tuple(_rows(path.name, headings, lines[1:]))


def by_key(rows: Iterable[Row]) -> dict[str, Row]:
    """The rows by their column `key`, which may not repeat."""
    found: dict[str, Row] = {}
    for row in rows:
        key = row.text("key")
        if key in found:
            raise row.refuse("key", f"'{key}' stands in row {found[key].line} already.")
        found[key] = row
    return found


def _headings(table: str, cells: list[str]) -> dict[str, str]:
    headings: dict[str, str] = {}
    for heading in cells:
        match = _HEADING.match(heading)
        if match is None:
            raise TableError(f"{table}: heading '{heading}' is not understood; expected such as water[g/100g].")
        name, unit = match["name"], match["unit"]
        if unit is not None and unit not in UNITS:
            raise TableError(f"{table}: unit '{unit}' of heading '{heading}' is not one of {', '.join(UNITS)}.")
        if name in headings:
            raise TableError(f"{table}: heading '{name}' stands there twice.")
        headings[name] = heading
    return headings


def _rows(table: str, headings: dict[str, str], lines: list[list[str]]) -> Iterator[Row]:
    for number, line in enumerate(lines, start=2):
        if len(line) != len(headings):
            raise TableError(
                f"{table}, row {number} ({line[0] if line else 'empty'}): has {len(line)} cells, "
                f"but there are {len(headings)} headings."
            )
        cells = {name: cell.strip() for name, cell in zip(headings, line, strict=True)}
        yield Row(table, number, cells, headings)
