"""The first rows of a table to be imported, with a choice above each column of what it means."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Mapping as Dictionary
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QColor, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from planner.importing.reading import Mapping, Meaning, Table
from planner.ui import theme
from planner.ui.widgets.copying import let_copy
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.label import as_it_is

ROWS = 100
"""Rows shown; enough to see what a column holds."""

WORDS = {
    Meaning.IGNORED: "not used",
    Meaning.MOMENT: "date and time",
    Meaning.CLOCK: "time of day",
    Meaning.DAY: "day",
    Meaning.HOURS: "hours",
    Meaning.MINUTES: "minutes",
    Meaning.SECONDS: "seconds",
    Meaning.GRAVITY: "gravity, 1.060",
    Meaning.POINTS: "gravity, 1060",
    Meaning.BRIX: "gravity, °Brix",
    Meaning.DENSITY: "density, g/mL",
    Meaning.REFRACTOMETER: "refractometer, °Brix",
    Meaning.SUGAR: "sugar, g/L",
    Meaning.SUGAR_PERCENT: "sugar, g/100 mL",
    Meaning.SUGAR_MG: "sugar, mg/L",
    Meaning.SUGAR_MG_DL: "sugar, mg/dL",
    Meaning.SUGAR_MMOL: "sugar, mmol/L",
    Meaning.WEIGHT: "weight lost, kg",
    Meaning.WEIGHT_G: "weight lost, g",
    Meaning.WEIGHT_LB: "weight lost, lb",
    Meaning.WEIGHT_OZ: "weight lost, oz",
    Meaning.PH: "pH",
    Meaning.ACID: "titratable acid, g/L",
    Meaning.ACID_PERCENT: "titratable acid, g/100 mL",
    Meaning.CELSIUS: "temperature, °C",
    Meaning.FAHRENHEIT: "temperature, °F",
    Meaning.KELVIN: "temperature, K",
    Meaning.NOTE: "note",
    Meaning.SERIES: "series",
    Meaning.LEFT_OUT: "left out: yes or no",
    Meaning.KIND: "kind of entry",
    Meaning.INSTRUMENT: "instrument",
    Meaning.DOUBT: "doubt, ±",
    Meaning.AMOUNT: "amount given, kg",
    Meaning.INGREDIENT: "ingredient given",
    Meaning.BOTTLES: "number of bottles",
    Meaning.BOTTLE_SIZE: "bottle size, L",
}
"""What each meaning is called in the choices."""

_CHOICES_AT_ONCE = 40
"""Columns whose choices are made before they come into sight."""
_SHOWN = 200
"""Characters of a cell that are shown."""
_FITTING = 7
"""Columns that are seen without scrolling; in wider tables those in use come first."""
_NARROWEST, _WIDEST = 16, 36
"""Of a column, beside what its choice needs. [figures]"""
_GAP = 4
"""Around a choice. [px]"""

_Index = QModelIndex | QPersistentModelIndex


class PreviewModel(QAbstractTableModel):
    """Cells as they stand in the file; what is not used is dim, what cannot be read is marked and says why."""

    def __init__(self, colours: theme.Colours, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._colours = colours
        self._table: Table | None = None
        self._rows: tuple[int, ...] = ()
        self._used: tuple[bool, ...] = ()
        self._refused: Dictionary[int, str] = {}
        self._known: frozenset[int] = frozenset()

    def show_table(self, table: Table) -> None:
        """Show another table; nothing of it is used yet."""
        self.beginResetModel()
        self._table, self._rows, self._used = table, (), (False,) * table.width
        self.endResetModel()

    def show_reading(
        self, rows: Iterable[int], mapping: Mapping, refused: Dictionary[int, str], known: frozenset[int]
    ) -> None:
        """Show these rows of the table, and what became of them by line."""
        after = tuple(rows)
        self._used = tuple(meaning is not Meaning.IGNORED for meaning in mapping.meanings)
        self._refused, self._known = refused, known
        if after != self._rows:
            self.beginResetModel()
            self._rows = after
            self.endResetModel()
        elif after:
            self.dataChanged.emit(self.index(0, 0), self.index(len(after) - 1, self.columnCount() - 1))
            self.headerDataChanged.emit(Qt.Orientation.Vertical, 0, len(after) - 1)

    def set_colours(self, colours: theme.Colours) -> None:
        """Other colours."""
        self._colours = colours

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008  Qt's own signature
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() or self._table is None else self._table.width

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if self._table is None or not index.isValid():
            return None
        row, column = self._rows[index.row()], index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            cells = self._table.rows[row]
            return " ".join(cells[column][:_SHOWN].split()) if column < len(cells) else ""
        if role == Qt.ItemDataRole.ForegroundRole:
            return QColor(self._tone(row, column))
        if role == Qt.ItemDataRole.ToolTipRole:
            return as_it_is(self._fate(row))
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if self._table is None:
            return None
        if orientation == Qt.Orientation.Vertical:
            row = self._rows[section]
            if role == Qt.ItemDataRole.DisplayRole:
                return str(self._table.lines[row])
            if role == Qt.ItemDataRole.ForegroundRole and self._table.lines[row] in self._refused:
                return QColor(self._colours.problem)
            return as_it_is(self._fate(row)) if role == Qt.ItemDataRole.ToolTipRole else None
        if role == Qt.ItemDataRole.ToolTipRole:
            return as_it_is(self._table.headings[section])
        if role == Qt.ItemDataRole.DisplayRole:
            return self._table.headings[section]
        return None

    def _tone(self, row: int, column: int) -> str:
        line = self._table.lines[row] if self._table else 0
        if not self._used[column] or line in self._known:
            return self._colours.dim
        return self._colours.problem if line in self._refused else self._colours.text

    def _fate(self, row: int) -> str:
        line = self._table.lines[row] if self._table else 0
        return self._refused.get(line) or ("This reading is in the log already." if line in self._known else "")


class ChoiceHeader(QHeaderView):
    """The names of the columns, and under each name what the column means.

    Signals: `meaning_chosen` with the column and its new meaning; `column_entered` with the column whose choice has
    the focus.
    """

    meaning_chosen = Signal(int, object)
    column_entered = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._choices: dict[int, ChoiceField] = {}
        self._meanings: tuple[Meaning, ...] = ()
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self.setHighlightSections(False)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.sectionResized.connect(self.place)
        self.sectionMoved.connect(self.place)

    def show_meanings(self, meanings: tuple[Meaning, ...]) -> None:
        """Show what each column means; another number of columns is another table."""
        if len(meanings) != len(self._meanings):
            for choice in self._choices.values():
                choice.deleteLater()
            self._choices = {}
        self._meanings = meanings
        for column, choice in self._choices.items():
            choice.show_key(meanings[column])
        self.place()

    def choice(self, column: int) -> ChoiceField:
        """The choice above a column."""
        if column not in self._choices:
            self._choices[column] = self._made(column)
        return self._choices[column]

    def needed(self, column: int) -> int:
        """Width of a column in which its choice shows all its words. [px]"""
        choice = self.choice(column)
        choice.also_holds = (choice.currentText(),)
        return choice.sizeHint().width() + 2 * _GAP

    def place(self, *_: object) -> None:
        """Put the choices above their columns."""
        width = self.viewport().width()
        for visual in range(min(self.count(), len(self._meanings))):
            column = self.logicalIndex(visual)
            left = self.sectionViewportPosition(column)
            in_sight = left < width and left + self.sectionSize(column) > 0
            if in_sight or visual < _CHOICES_AT_ONCE or column in self._choices:
                choice = self.choice(column)
                height = choice.sizeHint().height()
                across = self.sectionSize(column) - 2 * _GAP
                choice.setGeometry(left + _GAP, self.height() - height - _GAP, across, height)
                choice.show()

    def sizeHint(self) -> QSize:
        size = super().sizeHint()
        margins = 2 * self.style().pixelMetric(self.style().PixelMetric.PM_HeaderMargin)
        size.setHeight(self.fontMetrics().height() + margins + self._choice_height() + _GAP + 2)
        return size

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusIn and isinstance(watched, ChoiceField):
            self.column_entered.emit(self._column_of(watched))
        return super().eventFilter(watched, event)

    def _made(self, column: int) -> ChoiceField:
        choice = ChoiceField(WORDS.items(), self.viewport())
        choice.setAccessibleName(f"What column {column + 1}, {self._heading(column)}, means")
        choice.show_key(self._meanings[column])
        choice.chosen.connect(self._tell)
        choice.installEventFilter(self)
        return choice

    def _heading(self, column: int) -> str:
        model = self.model()
        return str(model.headerData(column, Qt.Orientation.Horizontal)) if model is not None else ""

    def _tell(self, meaning: object) -> None:
        sender = self.sender()
        if isinstance(sender, ChoiceField):
            # Qt hands back the text of an enumeration, not the member.
            self.meaning_chosen.emit(self._column_of(sender), Meaning(str(meaning)))

    def _column_of(self, choice: ChoiceField) -> int:
        return next(column for column, known in self._choices.items() if known is choice)

    def _choice_height(self) -> int:
        known = next(iter(self._choices.values()), None)
        return known.sizeHint().height() if known is not None else self.fontMetrics().height() + 10


class Preview(QTableView):
    """The table as it stands, and its meaning. Signal: `meaning_chosen` with a column and what it is to mean."""

    meaning_chosen = Signal(int, object)

    def __init__(self, colours: theme.Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._contents = PreviewModel(colours, self)
        self._header = ChoiceHeader(self)
        self.setHorizontalHeader(self._header)
        self.setModel(self._contents)
        self.setFont(theme.tabular(self.font()))
        theme.dress(self)
        self.setAccessibleName("First rows of the table")
        let_copy(self)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self._header.setSectionsClickable(False)
        lines = self.verticalHeader()
        lines.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        lines.setDefaultSectionSize(self.fontMetrics().height() + 6)
        lines.setSectionsClickable(False)
        self._header.meaning_chosen.connect(self.meaning_chosen)
        self._header.column_entered.connect(self._bring_into_sight)
        self.horizontalScrollBar().valueChanged.connect(self._header.place)

    @property
    def choices(self) -> ChoiceHeader:
        """The choices above the columns."""
        return self._header

    def show_table(self, table: Table, mapping: Mapping) -> None:
        """Show another table. Of a wide one, the columns in use come first."""
        self._contents.show_table(table)
        self._header.show_meanings(mapping.meanings)
        if table.width > _FITTING:
            used = [i for i, meaning in enumerate(mapping.meanings) if meaning is not Meaning.IGNORED]
            for place, column in enumerate(used):
                self._header.moveSection(self._header.visualIndex(column), place)

    def show_reading(
        self, rows: Iterable[int], mapping: Mapping, refused: Dictionary[int, str], known: frozenset[int]
    ) -> None:
        """Show what becomes of the first of these rows."""
        first_time = self._contents.rowCount() == 0
        self._contents.show_reading(rows, mapping, refused, known)
        self._header.show_meanings(mapping.meanings)
        if first_time:
            self._fit_columns()
        for column in range(min(self._contents.columnCount(), _CHOICES_AT_ONCE)):
            self.setColumnWidth(column, max(self.columnWidth(column), self._header.needed(column)))

    def set_colours(self, colours: theme.Colours) -> None:
        """Other colours."""
        self._contents.set_colours(colours)
        self.viewport().update()

    def _fit_columns(self) -> None:
        """Room for choices and cells; a last column that is seen whole takes what is left."""
        figure = self.fontMetrics().horizontalAdvance("0")
        self._header.setStretchLastSection(self._contents.columnCount() <= _FITTING)
        if self._contents.columnCount() > _CHOICES_AT_ONCE:
            self._header.setDefaultSectionSize(_NARROWEST * figure)
            return
        self.resizeColumnsToContents()
        for column in range(self._contents.columnCount()):
            width = min(_WIDEST * figure, max(_NARROWEST * figure, self.columnWidth(column) + 2 * _GAP))
            self.setColumnWidth(column, width)

    def _bring_into_sight(self, column: int) -> None:
        if self._contents.rowCount():
            self.scrollTo(self._contents.index(0, column), QAbstractItemView.ScrollHint.EnsureVisible)
