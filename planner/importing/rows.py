"""From the columns of a table, row by row, to entries of the log."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NamedTuple

import msgspec

from planner.document.batch import (
    Entry,
    Event,
    HydrometerReading,
    SensorReading,
    SugarReading,
    WarmthReading,
    What,
)
from planner.document.reading_kinds import EVENTS, OF_CLASS, READINGS
from planner.document.spreadsheet import unguarded
from planner.document.values import limits
from planner.importing.columns import Below, Reader
from planner.importing.mapping import ACIDS, GRAVITIES, MEASURED, SINCE_PITCHING, SUGARS, WEIGHTS, Mapping, Meaning
from planner.importing.table import CONTROL, ImportStopped, Table, crooked_rows

MOST_SUGAR = 1000.0
"""More than a batch can hold. [kg/m^3]"""
LONGEST_NOTE, LONGEST_NAME = 20_000, 80
"""More than a batch can hold. [characters]"""

_STOP_EVERY = 2048
"""Rows between two questions whether to go on."""

WORDS: dict[type[Entry] | What, str] = {
    **{kind.made: kind.word for kind in READINGS}, **{what: event.word for what, event in EVENTS.items()},
}  # fmt: skip
"""Words by which a column says what kind of entry a row is; the export writes them."""
_MEANT = {word.casefold(): meant for meant, word in WORDS.items()}


class _Found(NamedTuple):
    """What was measured in a row; None where its cell is empty."""

    gravity: float | None
    brix: float | None
    sugar: float | None
    lost: float | None
    ph: float | None
    acid: float | None
    volume: float | None


class Rows:
    """Puts the columns of a table together, row by row; a column that is not there is empty."""

    def __init__(self, table: Table, mapping: Mapping, reader: Reader) -> None:
        self._table, self._mapping, self._reader = table, mapping, reader
        self._stem: type[HydrometerReading | SensorReading] = SensorReading if mapping.floats else HydrometerReading
        self._notes = self._joined_notes()
        self._sugars = [
            self._column(index, partial(reader.sugar, per_unit=SUGARS[mapping.meanings[index]]))
            for index in mapping.columns(*SUGARS)
        ]
        self._gravity = self._gravities()
        self._brix = self._only({Meaning.REFRACTOMETER: reader.refractometer})
        self._lost = self._only({meaning: partial(reader.mass, usual=unit) for meaning, unit in WEIGHTS.items()})
        self._ph = self._only({Meaning.PH: reader.ph})
        self._acid = self._only({meaning: partial(reader.acid, per_unit=unit) for meaning, unit in ACIDS.items()})
        self._at = self._moments()
        self._day = self._only({unit: partial(reader.days, unit=unit) for unit in SINCE_PITCHING})
        self._warmth = self._only({
            Meaning.CELSIUS: reader.celsius, Meaning.FAHRENHEIT: reader.fahrenheit, Meaning.KELVIN: reader.kelvin,
        })  # fmt: skip
        self._left_out = self._only({Meaning.LEFT_OUT: reader.left_out})
        self._kind = self._only({Meaning.KIND: _kind})
        self._instrument = self._only({Meaning.INSTRUMENT: _name})
        self._doubt = self._only({Meaning.DOUBT: reader.doubt})
        self._mass = self._only({Meaning.AMOUNT: reader.mass})
        self._key = self._only({Meaning.INGREDIENT: _name})
        self._bottles = self._only({Meaning.BOTTLES: reader.bottles})
        self._size = self._only({Meaning.BOTTLE_SIZE: partial(reader.volume, what="a size of a bottle")})
        self._volume = self._only({Meaning.VOLUME_LEFT: partial(reader.volume, what="a volume of a batch")})
        self._known = self._only({Meaning.KNOWN: reader.known})
        self._only_warmth = not mapping.columns(*MEASURED)

    def readings(self, stop: Callable[[], bool]) -> Iterator[tuple[Entry, int]]:
        """Each entry of the rows without trouble, and its line."""
        troubles = self._reader.troubles
        for place, row in enumerate(self._reader.chosen):
            if place % _STOP_EVERY == 0 and stop():
                raise ImportStopped
            if row in troubles:
                continue
            made = self._of_row(place, row)
            if row in troubles or not made:
                continue
            at, day = self._at[place], self._day[place]
            if at is None and day is None:
                troubles[row] = "The row has no date and no day."
                continue
            self._reader.seen["no time"] += not at and day is None
            line = self._table.lines[row]
            if self._doubt[place] and (trouble := _too_doubtful(made)):
                troubles[row] = trouble
                continue
            for entry in made:
                yield entry, line

    def _of_row(self, place: int, row: int) -> list[Entry]:
        """The entries of a row; none where it holds nothing, or what troubles it."""
        found = self._measured(place, row)
        if row in self._reader.troubles:
            return []
        common = {
            "at": self._at[place] or None, "day": self._day[place], "excluded": bool(self._left_out[place]),
            "instrument": self._instrument[place] or "",
        }  # fmt: skip
        note, kind = self._notes.get(row, ""), self._kind[place]
        if kind is not None:
            entry = self._checking(self._of_kind(kind, found, place, common | {"note": note}), place)
            if entry is None:
                self._reader.troubles[row] = "The row does not hold what its kind needs."
            return [entry] if entry is not None else []
        warm = common | {"temperature": self._warmth[place]}
        made = [self._checking(_made(self._stem if field == "gravity" else _HELD_BY[field], value, warm, self._doubt[place]), place)
                for field, value in found._asdict().items() if value is not None]  # fmt: skip
        if not made and self._only_warmth and self._warmth[place] is not None:
            made = [WarmthReading(**warm)]
        if not made:
            self._reader.seen["nothing"] += 1
            return []
        return [_with_note(made[0], note), *made[1:]]

    def _of_kind(self, kind: type[Entry] | What, found: _Found, place: int, common: dict[str, Any]) -> Entry | None:
        """The entry that a row says it is; None where its value is missing."""
        warm = common | {"temperature": self._warmth[place]}
        if isinstance(kind, What):
            return Event(what=kind, mass=self._mass[place], key=self._key[place] or None, bottles=self._bottles[place],
                         size=self._size[place], volume=self._volume[place], **warm)  # fmt: skip
        field = OF_CLASS[kind].field
        if not field:
            return kind(**warm)
        value = self._warmth[place] if kind is WarmthReading else getattr(found, field)
        return None if value is None else _made(kind, value, warm, self._doubt[place])

    def _checking(self, entry: Any, place: int) -> Any:
        """The entry, of a liquid that was known where the row says so."""
        known = self._known[place]
        is_stem = isinstance(entry, HydrometerReading | SensorReading)
        return msgspec.structs.replace(entry, known=known) if is_stem and known is not None else entry

    def _measured(self, place: int, row: int) -> _Found:
        """What was measured in a row."""
        sugar: float | None = None
        parts = [column[place] for column in self._sugars]
        known = [part for part in parts if part is not None]
        if known and len(known) < len(parts):
            self._reader.troubles[row] = "One of the sugars that are added up is missing."
        elif known:
            sugar = known[0] if len(known) == 1 else sum(known)
            if sugar is not None and sugar > MOST_SUGAR:
                self._reader.troubles[row] = f"The sugars add up to more than {MOST_SUGAR:g} g/L."
        return _Found(self._gravity[place], self._brix[place], sugar, self._lost[place], self._ph[place],
                      self._acid[place], self._volume[place])  # fmt: skip

    def _column(self, index: int, read: Callable[[str], Any]) -> list[Any]:
        return self._reader.each(self._table.headings[index], self._table.column(index), read)

    def _only(self, readers: dict[Meaning, Callable[[str], Any]]) -> list[Any]:
        """The one column with one of these meanings."""
        index = self._mapping.column(*readers)
        if index is None:
            return [None] * len(self._reader.chosen)
        return self._column(index, readers[self._mapping.meanings[index]])

    def _gravities(self) -> list[float | None]:
        index = self._mapping.column(*GRAVITIES)
        if index is None:
            return [None] * len(self._reader.chosen)
        name, cells = self._table.headings[index], self._table.column(index)
        return self._reader.gravities(name, cells, self._mapping.meanings[index])

    def _moments(self) -> list[str | None]:
        date, hand = self._mapping.column(Meaning.MOMENT), self._mapping.column(Meaning.CLOCK)
        if date is None:
            return [None] * len(self._reader.chosen)
        dates = self._table.column(date)
        hands = self._table.column(hand) if hand is not None else [""] * len(dates)
        return self._reader.each(self._table.headings[date], list(zip(dates, hands, strict=True)), self._reader.moment)

    def _joined_notes(self) -> dict[int, str]:
        """The notes by row. Commas in a note that stands last need no quotes; elsewhere they shift what follows."""
        columns = self._mapping.columns(Meaning.NOTE)
        texts: dict[int, list[str]] = {}
        tails = self._tails(columns[-1] if columns else None)
        for index in columns:
            for row, cell in enumerate(self._table.column(index)):
                if row % _STOP_EVERY == 0 and self._reader.stop():
                    raise ImportStopped
                text = tails.get(row, cell) if index == columns[-1] else cell
                if text:
                    texts.setdefault(row, []).append(unguarded(text))
                    self._reader.seen["control"] += CONTROL.search(text) is not None
        for row, parts in texts.items():
            if sum(map(len, parts)) > LONGEST_NOTE:
                self._reader.troubles.setdefault(row, f"The note is longer than {LONGEST_NOTE} characters.")
        return {row: "; ".join(parts) for row, parts in texts.items()}

    def _tails(self, note: int | None) -> dict[int, str]:
        """Rows with too many cells: their note, if it stands last; else they cannot be read."""
        texts = {}
        for row, filled in crooked_rows(self._table):
            if note == self._table.width - 1:
                texts[row] = f"{self._table.separator} ".join(self._table.rows[row][note:filled])
            else:
                self._reader.troubles[row] = f"The row has {filled} cells; the table has {self._table.width} columns."
        return texts


_HELD_BY = {kind.field: kind.made for kind in READINGS}


def _made(kind: type[Entry], value: float, common: dict[str, Any], doubt: float | None) -> Entry:
    """The entry of one value."""
    more: dict[str, Any] = {"doubt": doubt} if "doubt" in kind.__struct_fields__ else {}
    if kind is SugarReading:
        more["below"], value = isinstance(value, Below), float(value)
    return kind(**common | {OF_CLASS[kind].field: value}, **more)


def _too_doubtful(made: list[Entry]) -> str:
    """Why a range is none that a file could hold; empty if it is."""
    for entry in made:
        doubt = getattr(entry, "doubt", None)
        most = None if doubt is None else limits(type(entry), "doubt")[1]
        if doubt is not None and most is not None and doubt > most:
            return f"A range of ±{doubt:g} is too wide; up to ±{most:g} is accepted."
    return ""


def _with_note(entry: Entry, note: str) -> Entry:
    """The entry with a note; of several in a row the first has it."""
    if not note:
        return entry
    return msgspec.structs.replace(entry, note=note)


def _kind(cell: str) -> Any:
    """The kind that a cell names; one that is not known here is none, and the values decide."""
    return _MEANT.get(" ".join(cell.split()).casefold())


def _name(cell: str) -> str:
    """A short text, such as the name of an instrument."""
    return unguarded(cell)[:LONGEST_NAME]


def is_kind(cell: str) -> bool:
    """Whether a cell names a kind of entry."""
    return _kind(cell) is not None


def is_stem(cell: str) -> bool:
    """Whether a cell names a hydrometer or a floating sensor."""
    kind = OF_CLASS.get(_kind(cell))
    return kind is not None and kind.field == "gravity"
