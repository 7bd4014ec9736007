"""The log as a table in the order of time: each reading as entered, and what it means once the batch is worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QIcon, QPalette

from planner.document import edits, pitch_date
from planner.document.batch import Batch, Log, WarmthReading
from planner.document.columnar_log import Entries, Flags, Places
from planner.evaluation.outcome import Outcome
from planner.timeline import alcohol_text
from planner.timeline.readings import Logged
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log import cells
from planner.ui.log import entry as log_entry
from planner.ui.log.cells import EDITABLE, EXPLAINED, NAMES, WORKED_OUT, Column, alignment
from planner.ui.log.entry import Reading, kind_of
from planner.ui.log.round_trip import kept
from planner.ui.log.text import described
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.ui.log.when import now, read_when
from planner.ui.store import BatchStore
from planner.ui.widgets.label import as_it_is
from planner.ui.widgets.remarks import in_words
from planner.wording.finding import Finding, Level
from planner.wording.phrases import tabled

_Index = QModelIndex | QPersistentModelIndex
_Role = Qt.ItemDataRole
_PLACE = "log.readings."

_MOST_GAPS = 200
"""Rows that are taken out at more places than this are shown anew with all others, which is quicker."""

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
        self._order: Places = np.empty(0, np.int64)
        self._known: tuple[Logged, ...] = ()
        self._findings: dict[int, list[Finding]] = {}
        self._source: Entries[Reading] = Entries()
        self._in_source: Places = np.empty(0, np.int64)  # where each reading of the log is among those
        self._outcome: Outcome | None = None
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
        self._has_instruments = log.entries.tells("instrument")
        self._has_moments = log.pitched_at is not None or log.entries.tells("at")
        if told != (self._has_instruments, self._has_moments):
            self.columns_changed.emit()

    def _show_rows(self, log: Log) -> None:
        pairing = _pairing(self._log.entries, log.entries)
        gone = self._rows_in_a_row(pairing.gone)
        if not np.any(pairing.came_from >= 0) or len(gone) > _MOST_GAPS:
            self.beginResetModel()
            self._log, self._order = log, _by_time(log)
            self._find_source()
            self.endResetModel()
            return
        for first, last in reversed(gone):
            self.beginRemoveRows(QModelIndex(), first, last)
            self._order = np.delete(self._order, slice(first, last + 1))
            self.endRemoveRows()
        was_pitched, self._log = self._log.pitched_at, log
        self._find_source()
        self._order = pairing.became[self._order]
        self._append(np.flatnonzero(pairing.came_from < 0))
        self._sort()
        is_other = was_pitched != log.pitched_at
        self._tell_changed(
            range(len(self._order)) if is_other else np.flatnonzero(pairing.changed[self._order]).tolist()
        )

    def _rows_in_a_row(self, places: Flags) -> list[tuple[int, int]]:
        """First and last of the rows that stand for some places, wherever they follow each other."""
        rows = np.flatnonzero(places[self._order])
        breaks = np.flatnonzero(np.diff(rows) > 1)
        return (
            list(zip(rows[[0, *(breaks + 1)]].tolist(), rows[[*breaks, -1]].tolist(), strict=True)) if len(rows) else []
        )

    def _find_source(self) -> None:
        pairing = _pairing(self._source, self._log.entries)
        self._in_source = np.where(pairing.changed, -1, pairing.came_from)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what the readings mean."""
        self._source, self._known = outcome.batch.log.entries, outcome.log
        self._find_source()
        self._findings = {}
        for finding in outcome.findings:
            place = finding.place.removeprefix(_PLACE)
            if place != finding.place and place.isdecimal():
                self._findings.setdefault(int(place), []).append(finding)
        self._outcome = outcome
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
        return int(self._order[row])

    def row_of(self, place: int) -> int | None:
        """The row of a place in the log."""
        rows = np.flatnonzero(self._order == place)
        return int(rows[0]) if len(rows) else None

    def logged(self, row: int) -> Logged | None:
        """What is known of a row's reading."""
        place = self._known_place(row)
        return self._known[place] if place is not None and place < len(self._known) else None

    # --- rows that come, go and move

    def _append(self, places: Places) -> None:
        if len(places):
            first = len(self._order)
            self.beginInsertRows(QModelIndex(), first, first + len(places) - 1)
            self._order = np.concatenate((self._order, places))
            self.endInsertRows()

    def _sort(self) -> None:
        wanted = _by_time(self._log)
        if np.array_equal(wanted, self._order):
            return
        self.layoutAboutToBeChanged.emit()
        before = self.persistentIndexList()
        rows = np.argsort(wanted)
        after = [self.index(int(rows[self._order[index.row()]]), index.column()) for index in before]
        self._order = wanted
        self.changePersistentIndexList(before, after)
        self.layoutChanged.emit()

    def _tell_changed(self, rows: Iterable[int]) -> None:
        changed = list(rows)
        if changed:
            self.dataChanged.emit(self.index(min(changed), 0), self.index(max(changed), len(Column) - 1))

    # --- cells

    def _reading(self, row: int) -> Reading:
        return self._log.entries[self.place_of(row)]

    def _shown(self, row: int, column: Column) -> str:
        if column not in WORKED_OUT:
            return cells.shown(self._reading(row), column, self._log, self._display, self._names)
        known = self.logged(row)
        if known is None or self._outcome is None:
            return ""
        return cells.worked_out(known, column, self._outcome, self._display)

    def _for_editing(self, row: int, column: Column) -> str:
        return cells.for_editing(self._reading(row), column, self._log, self._display, self._names)

    def _remarks(self, row: int) -> list[Finding]:
        place = self._known_place(row)
        return [] if place is None else self._findings.get(place, [])

    def _known_place(self, row: int) -> int | None:
        """Where the row's reading was in the log that the last outcome belongs to; None if it was not in it."""
        place = int(self._in_source[self._order[row]])
        return place if place >= 0 else None

    # --- edits

    def edited(self, index: _Index, text: str) -> Batch:
        """The store's batch with a cell's text taken in.

        Raises
        ------
        EntryError, planner.document.edits.EditRefused
            The text cannot be read, or what it says cannot be.
        """
        batch = self._store.batch
        place, column = self.place_of(index.row()), Column(index.column())
        shown = self._for_editing(index.row(), column)
        if column in (Column.DAY, Column.WHEN):
            if not text.strip():
                raise EntryError("A reading needs its day or its moment, such as 12 or 2026-12-03 14:05.")
            pitched, days = pitch_date.pitching(batch), column is Column.DAY
            when = read_when(text, self._display.locale, now(), pitched, days=days)
            if shown and when == read_when(shown, self._display.locale, now(), pitched, days=days):
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
        places = [self.place_of(row) for row in rows]
        batch = edits.leave_out(batch, places, excluded=not counts)
        what = "a reading" if len(places) == 1 else f"{len(places)} readings"
        self._store.edit(batch, f"count {what}" if counts else f"leave out {what}")

    def remove(self, rows: Iterable[int]) -> None:
        """Take readings out of the log, as one step."""
        batch = self._store.batch
        places = [self.place_of(row) for row in rows]
        if places:
            what = "a reading" if len(places) == 1 else f"{len(places)} readings"
            self._store.edit(edits.remove_readings(batch, places), f"remove {what}")

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
        if orientation == Qt.Orientation.Vertical:  # not seen, but read out as the name of the row
            is_row = role == _Role.DisplayRole and 0 <= section < self.rowCount()
            return f"Day {self.index(section, Column.DAY).data()}" if is_row else None
        if not 0 <= section < len(Column):
            return None
        column = Column(section)
        if role == _Role.DisplayRole:
            return cells.heading(column, self._display)
        if role == _Role.ToolTipRole:
            return in_words(tabled(EXPLAINED[column]), self._display)
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
        if role == _Role.AccessibleDescriptionRole:
            return self._explained(row, column)
        if role == _Role.ToolTipRole:
            return as_it_is(self._explained(row, column))
        return None

    def _explained(self, row: int, column: Column) -> str:
        told = [in_words(finding.text, self._display) for finding in self._remarks(row)]
        if column is Column.READING:
            told.insert(0, f"{self._for_editing(row, column)} ({described(self._reading(row), self._display)})")
        place = self._known_place(row)
        so_far = None if self._outcome is None else self._outcome.so_far
        if column in (Column.READING, Column.ALCOHOL) and so_far is not None and place is not None:
            told += [in_words(text, self._display) for text in alcohol_text.of_reading(so_far, place)]
        if column is Column.NOTE and self._reading(row).note:
            told.append(self._reading(row).note)
        return "\n".join(told)

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


class _Pairing(NamedTuple):
    """Which reading of a log is which of another: what both begin or end with, and what was changed.

    `came_from` has for each place now its place before, `became` the other way round, both -1 where there is none;
    `gone` flags places before that are no more, `changed` places now that hold another reading in the place of one.
    """

    came_from: Places
    became: Places
    gone: Flags
    changed: Flags


def _pairing(before: Entries[Reading], after: Entries[Reading]) -> _Pairing:
    old, new = len(before), len(after)
    same = before.same(after)
    head = _leading(same)
    rest = min(old, new) - head
    tail = _leading(before[old - rest :].same(after[new - rest :])[::-1])
    came_from = np.full(new, -1)
    came_from[:head] = np.arange(head)
    came_from[new - tail :] = np.arange(old - tail, old)
    changed = np.zeros(new, bool)
    if old == new:
        came_from[head : new - tail] = np.arange(head, new - tail)
        changed = ~same
    elif head + tail < min(old, new):
        places = {id(reading): place for place, reading in enumerate(before[head : old - tail], start=head)}
        came_from[head : new - tail] = [places.get(id(reading), -1) for reading in after[head : new - tail]]
    became = np.full(old, -1)
    became[came_from[came_from >= 0]] = np.flatnonzero(came_from >= 0)
    return _Pairing(came_from, became, became < 0, changed)


def _leading(flags: Flags) -> int:
    """How many are set before the first that is not."""
    return len(flags) if flags.all() else int(np.argmin(flags))


def _by_time(log: Log) -> Places:
    """The places of a log by day; what cannot be placed on the curve comes last, by its moment."""
    day = pitch_date.days(log)
    undated = np.isnan(day)
    if not undated.any() and np.all(day[1:] >= day[:-1]):
        return np.arange(len(day))
    return np.lexsort((np.where(undated, np.nan_to_num(pitch_date.ticks(log.entries)), day), undated))
