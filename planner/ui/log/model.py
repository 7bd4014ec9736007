"""The log as a table in the order of time: each reading as entered, and what it means once the batch is worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QIcon, QPalette

from planner.batch import edits
from planner.batch.batch import Batch, Log, WarmthReading
from planner.batch.ferment import alcohol_words
from planner.batch.ferment.instruments import AlcoholSoFar
from planner.batch.ferment.readings import Logged
from planner.batch.findings import Finding, Level
from planner.batch.moments import day_of, parsed
from planner.batch.outcome import Outcome
from planner.batch.results import Curve
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log import cells
from planner.ui.log import entry as log_entry
from planner.ui.log.cells import EDITABLE, EXPLAINED, NAMES, WORKED_OUT, Column, alignment
from planner.ui.log.entry import NO_NAMES, Names, Reading, kind_of
from planner.ui.log.exact import kept
from planner.ui.log.when import now, read_when
from planner.ui.log.words import described
from planner.ui.store import BatchStore
from planner.ui.widgets.remarks import in_words

_Index = QModelIndex | QPersistentModelIndex
_Role = Qt.ItemDataRole
_PLACE = "log.readings."

_KEPT = ("taste", "note")
"""Kinds whose text is free, so that no word in it may make another kind of it."""


class LogModel(QAbstractTableModel):
    """Rows are readings by time; each stands for a place in the log. Edits go through the store, never into the rows.

    Signals: `refused` with the reason why a typed text was not accepted; `columns_changed` when another set of columns
    has anything in it.
    """

    refused = Signal(str)
    columns_changed = Signal()

    def __init__(self, store: BatchStore, display: Display, parent: Any = None, names: Names = NO_NAMES) -> None:
        super().__init__(parent)
        self._store, self._display, self._names = store, display, names
        self._log = Log()
        self._order: list[int] = []
        self._known: dict[int, Logged] = {}
        self._findings: dict[int, list[Finding]] = {}
        self._source: tuple[Reading, ...] = ()
        self._places: dict[int, int] = {}  # of the readings above, by identity: an edit leaves the others the same
        self._curve: Curve | None = None
        self._so_far: AlcoholSoFar | None = None
        self._palette = QPalette()
        self._icons: dict[Level, QIcon] = {}
        self._signs: Callable[[str, bool], QIcon] | None = None
        self._is_stale = False
        self._has_instruments = False
        self._has_moments = False

    # --- what is shown

    def show_log(self, log: Log) -> None:
        """Show a log: rows come, go, move and change singly, so that what is selected stays selected."""
        if log is self._log:
            return
        self._show_rows(log)
        told = self._has_instruments, self._has_moments
        self._has_instruments = any(reading.instrument for reading in log.readings)
        self._has_moments = log.pitched_at is not None or any(reading.at for reading in log.readings)
        if told != (self._has_instruments, self._has_moments):
            self.columns_changed.emit()

    def _show_rows(self, log: Log) -> None:
        before, pairs = self._log, _pairing(self._log.readings, log.readings)
        if not pairs:
            self.beginResetModel()
            self._log, self._order = log, []
            self._order = sorted(range(len(log.readings)), key=self._moment_key)
            self.endResetModel()
            return
        self._remove(pairs)
        self._log = log
        self._order = [pairs[place] for place in self._order]
        self._append(sorted(set(range(len(log.readings))) - set(self._order)))
        self._sort()
        rows = {place: row for row, place in enumerate(self._order)}
        changed = [rows[new] for old, new in pairs.items() if before.readings[old] is not log.readings[new]]
        self._tell_changed(changed if before.pitched_at == log.pitched_at else rows.values())

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what the readings mean."""
        self._source = outcome.batch.log.readings
        self._places = {id(reading): place for place, reading in enumerate(self._source)}
        self._known = {row.index: row for row in outcome.log}
        self._findings = {}
        for finding in outcome.findings:
            place = finding.place.removeprefix(_PLACE)
            if place != finding.place and place.isdecimal():
                self._findings.setdefault(int(place), []).append(finding)
        self._curve = outcome.curve
        self._so_far = outcome.so_far
        self._tell_changed(range(len(self._order)))

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        self._tell_changed(range(len(self._order)))
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(Column) - 1)

    def set_looks(
        self, palette: QPalette, icons: dict[Level, QIcon], signs: Callable[[str, bool], QIcon] | None = None
    ) -> None:
        """The colours of second-rank text, the signs of findings, and those of kinds of entries, hollow or not."""
        self._palette, self._icons, self._signs = palette, icons, signs
        self._tell_changed(range(len(self._order)))

    def set_stale(self, stale: bool) -> None:
        """Dim what is worked out."""
        if stale != self._is_stale:
            self._is_stale = stale
            self._tell_changed(range(len(self._order)))

    @property
    def has_instruments(self) -> bool:
        """Whether any entry names its instrument."""
        return self._has_instruments

    @property
    def has_moments(self) -> bool:
        """Whether the clock time of any entry is known."""
        return self._has_moments

    def place_of(self, row: int) -> int:
        """The place in the log of a row."""
        return self._order[row]

    def row_of(self, place: int) -> int | None:
        """The row of a place in the log."""
        try:
            return self._order.index(place)
        except ValueError:
            return None

    def logged(self, row: int) -> Logged | None:
        """What is known of a row's reading."""
        place = self._known_place(row)
        return None if place is None else self._known.get(place)

    # --- rows that come, go and move

    def _remove(self, kept: dict[int, int]) -> None:
        last = len(self._order) - 1
        while last >= 0:
            first = last
            while first >= 0 and self._order[first] not in kept:
                first -= 1
            if first < last:
                self.beginRemoveRows(QModelIndex(), first + 1, last)
                del self._order[first + 1 : last + 1]
                self.endRemoveRows()
            last = first - 1

    def _append(self, places: list[int]) -> None:
        if places:
            first = len(self._order)
            self.beginInsertRows(QModelIndex(), first, first + len(places) - 1)
            self._order += places
            self.endInsertRows()

    def _sort(self) -> None:
        wanted = sorted(self._order, key=self._moment_key)
        if wanted == self._order:
            return
        self.layoutAboutToBeChanged.emit()
        before = self.persistentIndexList()
        rows = {place: row for row, place in enumerate(wanted)}
        after = [self.index(rows[self._order[index.row()]], index.column()) for index in before]
        self._order = wanted
        self.changePersistentIndexList(before, after)
        self.layoutChanged.emit()

    def _moment_key(self, place: int) -> tuple[int, float, int]:
        """By day; what cannot be placed on the curve comes last, by its moment."""
        reading = self._log.readings[place]
        day = day_of(reading.at, reading.day, self._log.pitched_at)
        if day is not None:
            return 0, day, place
        moment = parsed(reading.at) if reading.at else None
        return 1, moment.timestamp() if moment else 0.0, place

    def _tell_changed(self, rows: Iterable[int]) -> None:
        changed = list(rows)
        if changed:
            self.dataChanged.emit(self.index(min(changed), 0), self.index(max(changed), len(Column) - 1))

    # --- cells

    def _reading(self, row: int) -> Reading:
        return self._log.readings[self._order[row]]

    def _shown(self, row: int, column: Column) -> str:
        if column not in WORKED_OUT:
            return cells.shown(self._reading(row), column, self._log, self._display, self._names)
        known = self.logged(row)
        return "" if known is None else cells.worked_out(known, column, self._curve, self._display)

    def _for_editing(self, row: int, column: Column) -> str:
        return cells.for_editing(self._reading(row), column, self._log, self._display, self._names)

    def _remarks(self, row: int) -> list[Finding]:
        place = self._known_place(row)
        return [] if place is None else self._findings.get(place, [])

    def _known_place(self, row: int) -> int | None:
        """Where the row's reading was in the log that the last outcome belongs to; None if it was not in it."""
        place, reading = self._order[row], self._reading(row)
        if place < len(self._source) and self._source[place] == reading:
            return place
        return self._places.get(id(reading))

    # --- edits

    def edited(self, index: _Index, text: str) -> Batch:
        """The store's batch with a cell's text taken in.

        Raises
        ------
        EntryError, planner.batch.edits.EditRefused
            The text cannot be read, or what it says cannot be.
        """
        batch = self._store.batch
        assert isinstance(batch, Batch)
        place, column = self._order[index.row()], Column(index.column())
        shown = self._for_editing(index.row(), column)
        if column in (Column.DAY, Column.WHEN):
            if not text.strip():
                raise EntryError("A reading needs its day or its moment, such as 12 or 2026-12-03 14:05.")
            when = read_when(text, self._display.locale, now())
            if shown and when == read_when(shown, self._display.locale, now()):
                return batch
            return edits.change_reading(batch, place, at=when.at, day=when.day)
        if column is Column.READING:
            before = batch.log.readings[place]
            meant = kind_of(before) if kind_of(before) in _KEPT else ""
            value = log_entry.read_value(text, self._display, meant, self._names)
            return log_entry.with_value(batch, place, kept(before, self._as_read(shown, meant), value))
        if column is Column.TEMPERATURE:
            kelvin = log_entry.read_temperature(text, self._display)
            if kelvin is None and isinstance(batch.log.readings[place], WarmthReading):
                raise EntryError("A temperature is all that this entry holds; to take it out, remove the row.")
            if kelvin is not None and kelvin == log_entry.read_temperature(shown, self._display):
                return batch
            return edits.change_reading(batch, place, temperature=kelvin)
        if column is Column.INSTRUMENT:
            return edits.change_reading(batch, place, instrument=" ".join(text.split()))
        return edits.change_reading(batch, place, note=text.strip())

    def _as_read(self, text: str, meant: str) -> Reading | None:
        """What the text of a cell would be read as; None where it names something that is not on the shelf."""
        try:
            return log_entry.read_value(text, self._display, meant, self._names)
        except EntryError:
            return None

    def why_not(self, index: _Index, text: str) -> str:
        """Why a text cannot go into a cell; empty if it can."""
        try:
            self.edited(index, text)
        except (EntryError, edits.EditRefused) as refusal:
            return str(refusal)
        return ""

    def set_counts(self, rows: Iterable[int], counts: bool) -> None:
        """Let readings count, or leave them out, as one step."""
        batch = self._store.batch
        assert isinstance(batch, Batch)
        places = [self._order[row] for row in rows]
        batch = edits.leave_out(batch, places, excluded=not counts)
        what = "a reading" if len(places) == 1 else f"{len(places)} readings"
        self._store.edit(batch, f"count {what}" if counts else f"leave out {what}")

    def remove(self, rows: Iterable[int]) -> None:
        """Take readings out of the log, as one step."""
        batch = self._store.batch
        assert isinstance(batch, Batch)
        places = [self._order[row] for row in rows]
        if places:
            what = "a reading" if len(places) == 1 else f"{len(places)} readings"
            self._store.edit(log_entry.without(batch, places), f"remove {what}")

    # --- Qt

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008  as Qt declares it
        return 0 if parent.isValid() else len(self._order)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(Column)

    def flags(self, index: _Index) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.column() in EDITABLE:
            flags |= Qt.ItemFlag.ItemIsEditable
        if index.column() == Column.COUNTS:
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        return flags

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = _Role.DisplayRole) -> Any:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(Column):
            return None
        column = Column(section)
        if role == _Role.DisplayRole:
            return cells.heading(column, self._display)
        if role == _Role.ToolTipRole:
            return EXPLAINED[column]
        if role == _Role.TextAlignmentRole:
            return alignment(column)
        return None

    def data(self, index: _Index, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        row, column = index.row(), Column(index.column())
        if role == _Role.DisplayRole:
            return self._shown(row, column)
        if role == _Role.EditRole:
            return self._for_editing(row, column)
        if role == _Role.TextAlignmentRole:
            return alignment(column)
        if role == _Role.CheckStateRole and column is Column.COUNTS:
            return Qt.CheckState.Unchecked if self._reading(row).excluded else Qt.CheckState.Checked
        if role == _Role.ForegroundRole:
            dim = self._reading(row).excluded or (self._is_stale and column in WORKED_OUT)
            return self._palette.placeholderText() if dim else None
        if role == _Role.DecorationRole and column is Column.DAY and self._remarks(row):
            return self._icons.get(max(finding.level for finding in self._remarks(row)))
        if role == _Role.DecorationRole and column is Column.READING and self._signs is not None:
            return self._signs(kind_of(self._reading(row)), self._reading(row).excluded)
        if role in (_Role.ToolTipRole, _Role.AccessibleDescriptionRole):
            return self._explained(row, column)
        return None

    def _explained(self, row: int, column: Column) -> str | None:
        told = [in_words(finding.text, self._display) for finding in self._remarks(row)]
        if column is Column.READING:
            told.insert(0, f"{self._for_editing(row, column)} ({described(self._reading(row), self._display)})")
        place = self._known_place(row)
        if column in (Column.READING, Column.ALCOHOL) and self._so_far is not None and place is not None:
            told += [in_words(text, self._display) for text in alcohol_words.of_reading(self._so_far, place)]
        if column is Column.NOTE and self._reading(row).note:
            told.append(self._reading(row).note)
        return "\n".join(told) or None

    def setData(self, index: _Index, value: Any, role: int = _Role.EditRole) -> bool:
        if role == _Role.CheckStateRole and index.column() == Column.COUNTS:
            self.set_counts([index.row()], Qt.CheckState(value) == Qt.CheckState.Checked)
            return True
        if role != _Role.EditRole:
            return False
        text = str(value)
        if text == self._for_editing(index.row(), Column(index.column())):
            return True
        try:
            after = self.edited(index, text)
        except (EntryError, edits.EditRefused) as refusal:
            self.refused.emit(str(refusal))
            return False
        if after != self._store.batch:
            self._store.edit(after, f"change a reading's {NAMES[Column(index.column())]}")
        return True


def _pairing(before: tuple[Reading, ...], after: tuple[Reading, ...]) -> dict[int, int]:
    """Which place of the log before is which place of the log after: what both begin or end with, and what was changed."""
    shorter = min(len(before), len(after))
    head = 0
    while head < shorter and before[head] is after[head]:
        head += 1
    tail = 0
    while tail < shorter - head and before[-1 - tail] is after[-1 - tail]:
        tail += 1
    pairs = {place: place for place in range(head)}
    pairs |= {len(before) - 1 - n: len(after) - 1 - n for n in range(tail)}
    if len(before) == len(after):
        pairs |= {place: place for place in range(head, len(before) - tail)}
    return pairs
