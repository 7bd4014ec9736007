"""A first guess at what the columns of a table mean, from headings and values; the user confirms or mends it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable
from itertools import pairwise

import msgspec

from planner.importing.cells import UNDATED, clock, day_number, day_order, decimal_evidence, moment, number
from planner.importing.columns import TEMPERATURE
from planner.importing.detect_sensor import floats
from planner.importing.heading_units import UNKNOWN, unit_meaning
from planner.importing.mapping import (
    GRAVITIES,
    OWN_HEADINGS,
    PLAIN_COLUMNS,
    RARE_COLUMNS,
    SUGARS,
    TIMES,
    Mapping,
    Meaning,
    series_names,
)
from planner.importing.rows import is_kind, is_stem
from planner.importing.table import Table

_SAMPLE = 300
"""Cells of a column that are looked at."""
_PLAIN_SAMPLE = 60
"""As many where the whole column is known to be plain numbers, or moments of one form."""
_MOSTLY = 0.6
"""Share of cells that must be of a kind, so that a column counts as of that kind."""
_MOST_SERIES = 200

# Words of headings, in the languages of tables met most often.
_MOMENT = frozenset(
    [
        "date",
        "datetime",
        "timestamp",
        "time",
        "when",
        "moment",
        "datum",
        "zeit",
        "zeitpunkt",
        "fecha",
        "data",
        "horodatage",
    ]
)
_SINCE = frozenset(["elapsed", "since"])
_DAY = frozenset(["day", "days", "d", "tag", "tage", "jour", "jours", "dia"])
_HOURS = frozenset(["h", "hr", "hrs", "hour", "hours", "stunde", "stunden", "heure", "heures"])
_GRAVITY = frozenset(
    ["sg", "gravity", "gravities", "density", "hydrometer", "spindle", "dichte", "densité", "densite", "densidad"]
)
_BRIX = frozenset(["brix", "bx", "plato"])
_REFRACTED = frozenset(["refractometer", "refr", "refrac", "refraktometer", "réfractomètre"])
_WEIGHT = frozenset(["weight", "mass", "gewicht", "poids"])
_LOST = frozenset(["lost", "loss", "verlust", "perte"])
_TITRATED = frozenset(["acidity", "ta", "titratable", "säure", "saeure", "acidité", "acidez"])
_ONE_ACID = frozenset(["tartaric", "malic", "citric", "lactic", "gluconic", "succinic", "ascorbic", "sorbic"])
_NO_TITRATION = frozenset(["volatile", "va", "acetic", "added", "sulphuric", "sulfuric", "h2so4", "temp"])
_OF_UNITS = {Meaning.WEIGHT: "weight", Meaning.ACID: "acid"}
_INSTRUMENT = frozenset(["instrument", "device", "gerät"])
_KIND = frozenset(["kind"])
_POINTS = frozenset(["points", "point", "pts", "oechsle", "oe"])
_SUGAR = frozenset(["sugar", "sugars", "zucker", "restzucker", "sucre", "sucres", "azucar", "rs"])
_SUGAR_PARTS = frozenset(["glucose", "fructose", "sucrose", "maltose", "dextrose", "saccharose", "glukose", "fruktose"])
_LARGER_SUGARS = frozenset(["sucrose", "maltose", "saccharose"])
_WHOLE = frozenset(["total", "residual", "rest", "sum"])
_NO_SUGAR = frozenset(
    ["added", "ratio", "ethanol", "alcohol", "tank", "used", "consumed", "utilised", "converted", "drop"]
)
_TEMPERATURE = frozenset(
    ["temp", "temps", "temperature", "temperatures", "temperatur", "température", "celsius", "fahrenheit"]
)
_LIQUID = frozenset(["must", "sample", "liquid", "mead", "juice", "read"])
_NOTE = frozenset(
    [
        "note",
        "notes",
        "comment",
        "comments",
        "remark",
        "remarks",
        "bemerkung",
        "notiz",
        "kommentar",
        "remarque",
        "commentaire",
    ]
)
_LEFT_OUT = frozenset(["excluded", "omitted"])
_SECOND_HAND = frozenset(
    [
        "corrected",
        "expected",
        "planned",
        "predicted",
        "target",
        "set",
        "original",
        "start",
        "final",
        "og",
        "fg",
        "ambient",
        "room",
        "air",
        "skins",
        "cap",
        "outside",
        "chamber",
        "fridge",
        "calibration",
        "end",
    ]
)
"""Words of columns that hold something else than what was read in the liquid itself."""
_WORKED_OUT = frozenset(["worked", "computed", "calculated", "berechnet", "calculé"])
"""Words of columns that hold no readings at all."""


class _Column(msgspec.Struct, frozen=True):
    """What can be told of one column."""

    index: int
    heading: str
    words: tuple[str, ...]
    cells: tuple[str, ...]
    values: tuple[float, ...]
    named: bool

    @property
    def is_numeric(self) -> bool:
        return bool(self.cells) and len(self.values) >= _MOSTLY * len(self.cells)

    def mostly(self, test: Callable[[str], object]) -> bool:
        return bool(self.cells) and sum(bool(test(c)) for c in self.cells) >= _MOSTLY * len(self.cells)

    def within(self, low: float, high: float) -> bool:
        inside = sum(low <= value <= high for value in self.values)
        return self.is_numeric and inside >= _MOSTLY * len(self.values)

    def says(self, words: Iterable[str]) -> bool:
        return not frozenset(words).isdisjoint(self.words)

    @property
    def distance(self) -> int:
        """How far it is from what was read in the liquid itself; the least is taken."""
        return 2 * self.says(_SECOND_HAND) - self.says(_LIQUID)


def guess(table: Table, day_first: bool = True) -> Mapping:
    """What the columns of a table probably mean.

    Parameters
    ----------
    day_first : bool
        Whether 3/4/2026 is in April, if the table itself does not tell. [-]
    """
    if set(tuple(OWN_HEADINGS)[:-RARE_COLUMNS]) <= set(table.headings):
        own = tuple(OWN_HEADINGS.get(heading, Meaning.IGNORED) for heading in table.headings)
        return Mapping(own, ".", True, repeats=True)  # what was two readings in a log is two again
    samples = _samples(table)
    decimal = _decimal(table, samples)
    columns = [_column(table, index, samples[index], decimal) for index in range(table.width)]
    meanings = [Meaning.IGNORED] * table.width
    columns = [column for column in columns if not column.says(_WORKED_OUT)]
    unclear = tuple(column.index for column in columns if _is_unclear(column))
    columns = [column for column in columns if column.index not in unclear]
    for find in (_find_time, _find_others, _find_gravity, _find_sugar, _find_temperature, _find_texts):
        free = [column for column in columns if meanings[column.index] is Meaning.IGNORED]
        for index, meaning in find(free).items():
            meanings[index] = meaning
    dates = [c for c in columns if meanings[c.index] is Meaning.MOMENT]
    mapping = Mapping(tuple(meanings), decimal, _day_first(dates, day_first), unclear=unclear)
    exported = set(tuple(OWN_HEADINGS)[:PLAIN_COLUMNS]) <= set(
        table.headings
    )  # an exported log of hydrometer readings alone
    mapping = msgspec.structs.replace(mapping, floats=not exported and floats(table, mapping), repeats=exported)
    by = _series(table, mapping)
    return mapping if by is None else mapping.with_meaning(by, Meaning.SERIES).settled(table)


def _samples(table: Table) -> list[tuple[str, ...]]:
    """Some cells of each column that are not empty, from all over it."""
    if table.figures is not None:
        rows = table.rows[:: max(1, len(table.rows) // _PLAIN_SAMPLE)]
        return [tuple(column) for column in zip(*rows, strict=True)]
    return [_sampled(table.column(index)) for index in range(table.width)]


def _sampled(cells: list[str]) -> tuple[str, ...]:
    step = max(1, len(cells) // _SAMPLE)
    sample = tuple(cell for cell in cells[::step] if cell.strip())
    return sample or tuple(cell for cell in cells if cell.strip())[:_SAMPLE]


def _column(table: Table, index: int, cells: tuple[str, ...], decimal: str) -> _Column:
    numbers = (day_number(cell.lstrip("<≤ "), decimal) for cell in cells)
    values = tuple(found.value for found in numbers if found is not None and len(found.unit) <= 4)
    heading = table.headings[index]
    spaced = re.sub(r"([a-zà-ÿ])([A-Z])", r"\1 \2", heading.replace("pH", "ph")).casefold()
    words = tuple(re.findall(r"[^\W_]+", spaced)) if table.named else ()
    return _Column(index, heading, words, cells, values, bool(words))


def _is_titrated(column: _Column) -> bool:
    """Whether a heading speaks of titratable acid, and not of one acid among others."""
    named = column.says(_TITRATED) or (column.says(frozenset(["acid"])) and not column.says(_ONE_ACID))
    return named and not column.says(_NO_TITRATION)


def _quantities(column: _Column) -> list[str]:
    """What the words of a heading say that a column may hold, as `heading_units.KNOWN` names it."""
    given = column.words[:2]
    named = {
        "refractometer": column.says(_REFRACTED),
        "weight": column.says(_WEIGHT) and column.says(_LOST),
        "acid": _is_titrated(column),
        "temperature": column.says(_TEMPERATURE),
        "gravity": column.says(_GRAVITY | _BRIX | _POINTS | UNKNOWN["gravity"]),
        "sugar": column.says(_SUGAR | _SUGAR_PARTS) and not column.says(_NO_SUGAR),
        "time": column.says(_MOMENT | _SINCE | UNKNOWN["time"]),
        "amount": given == ("amount", "given"),
        "volume": given in (("bottle", "size"), ("volume", "left")),
    }
    return [quantity for quantity, is_named in named.items() if is_named]


def _unit(column: _Column, quantity: str) -> Meaning | None:
    """What the unit in a heading makes of a column; None without one."""
    return unit_meaning(quantity, column.heading)[0]


def _is_unclear(column: _Column) -> bool:
    """Whether a heading names a unit that is not known, so that the numbers below it must not be taken for another."""
    quantities = _quantities(column) if column.is_numeric and not column.says(_SECOND_HAND) else []
    if quantities == ["sugar"] and column.says(_LARGER_SUGARS) and _unit(column, "sugar") is Meaning.SUGAR_MMOL:
        return True  # of which a mole weighs more
    return bool(quantities) and all(unit_meaning(quantity, column.heading)[1] for quantity in quantities)


def _decimal(table: Table, samples: list[tuple[str, ...]]) -> str:
    """The decimal sign for which most cells speak."""
    if table.figures is not None:
        return "."
    sure: Counter[str] = Counter()
    perhaps: Counter[str] = Counter()
    for index, cells in enumerate(samples):
        column = _column(table, index, cells, ".")
        for cell in column.cells if column.is_numeric and not column.says(_NOTE) else ():
            sign, ambiguous = decimal_evidence(cell)
            (perhaps if ambiguous else sure)[sign] += 1
    if sure[","] != sure["."]:
        return "," if sure[","] > sure["."] else "."
    return "," if perhaps[","] and not perhaps["."] else "."


def _nearest(columns: Iterable[_Column]) -> _Column | None:
    """Of several columns the one that holds what was read in the liquid; of equals the first."""
    return min(columns, key=lambda column: column.distance, default=None)


def _find_time(columns: list[_Column]) -> dict[int, Meaning]:
    found: dict[int, Meaning] = {}
    moments = [c for c in columns if not c.says(_GRAVITY | _SUGAR | _TEMPERATURE | _NOTE) and c.mostly(_is_moment)]
    when = next((c for c in moments if c.says(_MOMENT)), next(iter(moments), None))
    if when is not None:
        found[when.index] = Meaning.MOMENT
        clocks = (c for c in columns if c.mostly(clock))
        hands = next(clocks, None)
        if hands is not None and not any(
            m.has_time for cell in when.cells if (m := moment(cell, True) or moment(cell, False))
        ):
            found[hands.index] = Meaning.CLOCK
    free = [c for c in columns if c.is_numeric and c.index not in found]
    numeric = [c for c in free if c.within(-365.0, 3660.0 * 24.0)]
    for column in sorted(numeric, key=lambda c: c.words == ("d",)):
        if column.says(_DAY) and not column.says(_NO_DAY):
            return {**found, column.index: Meaning.DAY}
        if column.says(_HOURS) and not column.says(_SUGAR_PARTS | _SUGAR | _NO_DAY):
            return {**found, column.index: Meaning.HOURS}
    if found:
        return found
    for column in free:
        meaning = _unit(column, "time") if column.says(_MOMENT | _SINCE) else None
        if meaning in (Meaning.MINUTES, Meaning.SECONDS) and _rises(column):
            return {column.index: meaning}
    first = next((c for c in numeric if c.says(_MOMENT) or not c.named), None)
    if first is not None and _rises(first) and first.values[0] < 2.0:
        return {first.index: Meaning.DAY}
    return {}


def _rises(column: _Column) -> bool:
    return all(a <= b for a, b in pairwise(column.values))


def _is_moment(cell: str) -> bool:
    either = moment(cell, day_first=True) or moment(cell, day_first=False)
    return either is not None or cell.strip().casefold() == UNDATED


_NO_DAY = frozenset(["per", "rate", "drop", "mg", "kg", "brix", "sg", "gravity", "temp", "temperature"])
"""Words of columns that hold something per day or of a day."""


def _find_gravity(columns: list[_Column]) -> dict[int, Meaning]:
    named = [c for c in columns if c.says(_GRAVITY | _BRIX | _POINTS) and c.is_numeric]
    column = _nearest(c for c in named if _scale(c) is not None)
    if column is None:
        others = [c for c in columns if not c.says(_SUGAR | _SUGAR_PARTS | _TEMPERATURE | _NOTE)]
        column = next((c for c in others if c.within(0.97, 1.25) and _looks_like_gravity(c)), None)
    if column is None:
        column = next((c for c in columns if not c.named and c.within(970.0, 1250.0)), None)
    meaning = _scale(column) if column is not None else None
    return {column.index: meaning} if column is not None and meaning is not None else {}


def _find_others(columns: list[_Column]) -> dict[int, Meaning]:
    """Columns that only their headings tell, so that none is taken for a gravity."""
    found: dict[int, Meaning] = {}
    tests: tuple[tuple[Meaning, Callable[[_Column], bool]], ...] = (
        (Meaning.REFRACTOMETER, lambda c: c.says(_REFRACTED) and c.within(-2.0, 80.0) and not c.within(0.97, 1.25)),
        (Meaning.PH, lambda c: c.says({"ph"}) and c.within(0.0, 14.0)),
        (Meaning.ACID, lambda c: _is_titrated(c) and c.within(0.0, 50.0)),
        (Meaning.WEIGHT, lambda c: c.says(_WEIGHT) and c.says(_LOST) and c.is_numeric),
        (Meaning.KIND, lambda c: c.says(_KIND) and c.mostly(is_kind)),
        (Meaning.KIND, lambda c: c.says(_INSTRUMENT) and bool(c.cells) and all(map(is_stem, c.cells))),
        (Meaning.INSTRUMENT, lambda c: c.says(_INSTRUMENT) and not c.is_numeric),
        (Meaning.DOUBT, lambda c: c.words == ("doubt",) and c.is_numeric),
        (Meaning.AMOUNT, lambda c: c.words[:2] == ("amount", "given") and c.is_numeric),
        (Meaning.INGREDIENT, lambda c: c.words == ("ingredient", "given")),
        (Meaning.BOTTLES, lambda c: c.words == ("bottles",) and c.is_numeric),
        (Meaning.BOTTLE_SIZE, lambda c: c.words[:2] == ("bottle", "size") and c.is_numeric),
        (Meaning.VOLUME_LEFT, lambda c: c.words[:2] == ("volume", "left") and c.is_numeric),
        (Meaning.KNOWN, lambda c: c.words == ("checked", "in", "a", "gravity", "of") and c.is_numeric),
    )
    for meaning, test in tests:
        if meaning in found.values():
            continue
        column = next((c for c in columns if c.index not in found and not c.says(_SECOND_HAND) and test(c)), None)
        if column is not None:
            found[column.index] = (_unit(column, _OF_UNITS[meaning]) if meaning in _OF_UNITS else None) or meaning
    return found


def _looks_like_gravity(column: _Column) -> bool:
    """Whether numbers near one differ and are written with three decimals, as gravities are."""
    fine = sum(bool(re.search(r"[.,]\d{3,}", cell)) for cell in column.cells)
    return len(set(column.values)) > 1 and fine >= 0.5 * len(column.cells)


def _scale(column: _Column) -> Meaning | None:
    """The scale of a column of gravities."""
    if column.says(_REFRACTED) and not column.within(0.97, 1.25):
        return None
    if column.says(_BRIX) and not column.within(0.97, 1.25):
        return Meaning.BRIX
    if _unit(column, "gravity") is Meaning.DENSITY and (column.within(0.9, 1.3) or column.within(900.0, 1300.0)):
        return Meaning.DENSITY
    if column.within(0.85, 1.6):
        return Meaning.GRAVITY
    if column.within(850.0, 1600.0) or (column.says(_POINTS) and column.within(-20.0, 200.0)):
        return Meaning.POINTS
    # A few slips among gravities do not make another scale; what is neither is shown to the user row by row.
    return Meaning.BRIX if column.within(1.6, 60.0) and max(column.values) < 60.0 else Meaning.GRAVITY


def _find_sugar(columns: list[_Column]) -> dict[int, Meaning]:
    numeric = [c for c in columns if c.is_numeric and not c.says(_NO_SUGAR)]
    whole = [c for c in numeric if c.says(_SUGAR)]
    if whole:
        best = min(whole, key=lambda c: (not c.says(_WHOLE), "%" in c.heading))
        return {best.index: _unit(best, "sugar") or Meaning.SUGAR}
    parts = [c for c in numeric if c.says(_SUGAR_PARTS)]
    kinds = [next(word for word in c.words if word in _SUGAR_PARTS) for c in parts]
    if len(set(kinds)) < len(kinds):
        # Several replicates side by side: the parts of the first belong together.
        parts = [c for c in parts if c.words[-1] == parts[0].words[-1]]
    return {c.index: _unit(c, "sugar") or Meaning.SUGAR for c in parts}


def _find_temperature(columns: list[_Column]) -> dict[int, Meaning]:
    named = [c for c in columns if c.is_numeric and (c.says(_TEMPERATURE) or c.words in (("c",), ("f",), ("t",)))]
    column = _nearest(named)
    if column is None:
        column = next((c for c in columns if not c.named and (c.within(1.5, 45.0) or c.within(45.0, 110.0))), None)
        if column is None or len(columns) > 4:
            return {}
    if _unit(column, "temperature") is Meaning.KELVIN and column.within(*TEMPERATURE):
        return {column.index: Meaning.KELVIN}
    if column.says({"f", "fahrenheit"}) or column.mostly(_ends_in_f):
        return {column.index: Meaning.FAHRENHEIT}
    if column.says({"c", "celsius"}) or not column.within(45.0, 110.0):
        return {column.index: Meaning.CELSIUS}
    return {column.index: Meaning.FAHRENHEIT}


def _ends_in_f(cell: str) -> bool:
    found = number(cell, ".")
    return found is not None and found.unit.casefold().endswith("f")


def _find_texts(columns: list[_Column]) -> dict[int, Meaning]:
    found = {c.index: Meaning.NOTE for c in columns if c.says(_NOTE)}
    for column in columns:
        if column.says(_LEFT_OUT) or column.words == ("left", "out"):
            found[column.index] = Meaning.LEFT_OUT
    last = columns[-1] if columns else None
    if not found and last is not None and not last.named and last.cells and not last.is_numeric:
        found[last.index] = Meaning.NOTE
    return found


def _day_first(dates: list[_Column], usual: bool) -> bool:
    """Whether the day comes before the month: as some date can only be read, else so that the dates lie closer."""
    cells = [cell for column in dates for cell in column.cells]
    orders = Counter(map(day_order, cells))
    if orders["day"] != orders["month"]:
        return orders["day"] > orders["month"]
    if not orders["either"]:
        return usual
    spans = {}
    for day_first in (True, False):
        days = [found.when.toordinal() for cell in cells if (found := moment(cell, day_first))]
        spans[day_first] = max(days) - min(days)
    return usual if spans[True] == spans[False] else spans[True] < spans[False]


def _series(table: Table, mapping: Mapping) -> int | None:
    """The column that tells series apart: within each of its values, times no longer repeat."""
    times = mapping.columns(*TIMES, Meaning.CLOCK)
    if not times or not mapping.columns(*GRAVITIES, *SUGARS):
        return None
    if table.figures is not None and any(table.figures.rises(index) for index in times):
        return None
    moments = list(zip(*(table.column(index) for index in times), strict=True))
    repeated = len(moments) - len(set(moments))
    if repeated < max(2, 0.2 * len(moments)):
        return None
    best: tuple[int, int, int] | None = None
    for index in mapping.columns(Meaning.IGNORED):
        names = series_names(table, index)
        if 2 <= len(names) <= min(_MOST_SERIES, len(moments) // 2):
            left = len(moments) - len(set(zip(moments, table.column(index), strict=True)))
            best = min(best or (left, len(names), index), (left, len(names), index))
    return best[2] if best is not None and best[0] <= 0.25 * repeated else None
