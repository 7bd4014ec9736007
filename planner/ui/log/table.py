"""The log on the screen: a table that is edited in place, and whose rows can be left out or removed."""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QItemSelection,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSize,
    Qt,
    Signal,
    Slot,
)
from PySide6.QtGui import (
    QAction,
    QColor,
    QGuiApplication,
    QIcon,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QApplication,
    QHeaderView,
    QLineEdit,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from planner.ui import theme
from planner.ui.display import Display
from planner.ui.log.cells import Column, heading
from planner.ui.log.entry import LONGEST_NOTE
from planner.ui.log.model import LogModel
from planner.ui.log.signs import sign
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.ui.store import BatchStore
from planner.ui.widgets.note import Note
from planner.ui.widgets.remarks import icon
from planner.units import GravityScale, System
from planner.wording.finding import Level

EMPTY = "No readings yet. Type one below, or import a file."

_SAMPLES = {
    Column.DAY: "365.0",
    Column.WHEN: "30 Nov 14:05",
    Column.READING: "1.0855",
    Column.TEMPERATURE: "38.5",
    Column.CORRECTED: "≈ 1.085",
    Column.DIFFERENCE: "vs exp.",
    Column.ALCOHOL: "% vol",
    Column.INSTRUMENT: "sensor 12",
    Column.COUNTS: "Counts",
}
"""The widest that usually stands in a column; widths come from it, so that no digit moves them."""

_LEAST_NOTE = 12
"""Letters of a note that must be seen; where they do not fit, the alcohol so far gives way."""

_GIVE_WAY = (Column.DIFFERENCE, Column.WHEN, Column.INSTRUMENT, Column.ALCOHOL)
"""Columns that give way where there is no room, the last first: the day tells what the moment does, the curve the rest."""

_PAD = 12
"""Room about the text of a cell. [px]"""

_LOOKED_AT = 200
_LONGEST_READING = "fed 4.5 g Yea…"
"""What was done is shown in so much room; all of it when pointed at."""

_ENDS_EDIT = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab, Qt.Key.Key_Backtab)


class LogDelegate(QStyledItemDelegate):
    """Edits a cell as text; a text that is refused stays open, with the reason under it."""

    def __init__(self, model: LogModel, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.cell = QPersistentModelIndex()
        """Which cell is being edited."""
        self._note: Note | None = None
        self.editor: QLineEdit | None = None
        """Where a cell is being edited."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        super().paint(painter, option, index)
        if index.column() == Column.COUNTS:
            # The style's own outline of an empty box cannot be seen on a dark ground.
            full = QStyleOptionViewItem(option)
            self.initStyleOption(full, index)
            style = full.widget.style() if full.widget else QApplication.style()
            box = style.subElementRect(QStyle.SubElement.SE_ItemViewItemCheckIndicator, full, full.widget)
            painter.save()
            painter.setPen(QColor(theme.colours_on(full.palette).edge))
            painter.drawRect(box.adjusted(0, 0, -1, -1))
            painter.restore()

    def createEditor(
        self, parent: QWidget, _option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QWidget:
        editor = QLineEdit(parent)
        editor.setAccessibleName(str(self._model.headerData(index.column(), Qt.Orientation.Horizontal)))
        editor.setMaxLength(LONGEST_NOTE)
        editor.textEdited.connect(self._withdraw)
        self.cell = QPersistentModelIndex(index)
        self.editor = editor
        return editor

    def setEditorData(self, editor: QWidget, index: QModelIndex | QPersistentModelIndex) -> None:
        assert isinstance(editor, QLineEdit)
        if not editor.isModified():  # results that come in meanwhile shall not overwrite what is being typed
            editor.setText(str(index.data(Qt.ItemDataRole.EditRole)))

    def setModelData(
        self, editor: QWidget, model: QAbstractItemModel, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        assert isinstance(editor, QLineEdit)
        if editor.isModified():  # what was only looked at stays, also a note of several lines that a line cannot hold
            super().setModelData(editor, model, index)

    def destroyEditor(self, editor: QWidget, index: QModelIndex | QPersistentModelIndex) -> None:
        self._withdraw()
        self._note = None  # it lies over the window, but speaks of this editor
        self.editor = None
        super().destroyEditor(editor, index)

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() in _ENDS_EDIT:
            assert isinstance(editor, QLineEdit)
            if self.refuses(editor):
                return True
        return super().eventFilter(editor, event)

    def refuses(self, editor: QLineEdit) -> bool:
        """Whether the text of a cell cannot be taken; then the reason stands under it."""
        problem = self._model.why_not(self.cell, editor.text()) if editor.isModified() else ""
        if problem:
            self._note = self._note or Note(editor)
            self._note.say(problem)
            editor.setAccessibleDescription(problem)
        return bool(problem)

    def _withdraw(self, _text: str = "") -> None:
        if self._note is not None:
            self._note.hide()


class LogTable(QTableView):
    """The table. Signals: `selected` with the place in the log of the current reading, or None; `refused` with why a
    text was not accepted; `alcohol_hidden` with whether its column had to give way."""

    selected = Signal(object)
    refused = Signal(str)
    alcohol_hidden = Signal(bool)

    def __init__(
        self, store: BatchStore, display: Display, parent: QWidget | None = None, names: Names = NO_NAMES
    ) -> None:
        super().__init__(parent)
        self._model = LogModel(store, display, self, names)
        self._display = display
        self._least_reading = self._wanted_reading = self._reading_needs = self._note_needs = self._least = 0
        self.hides_alcohol = False
        """Whether the alcohol so far has no room beside the notes."""
        self._widths: dict[Column, int] = {}
        """Of the columns while they are seen. [px]"""
        self._kind_signs: dict[tuple[str, bool], QIcon] = {}
        self.setModel(self._model)
        self._delegate = LogDelegate(self._model, self)
        self.setItemDelegate(self._delegate)
        self._model.refused.connect(self.refused)
        self._model.modelReset.connect(self.scrollToBottom)
        model = self._model
        for signal in (model.modelReset, model.rowsInserted, model.layoutChanged, model.columns_changed):
            signal.connect(self._set_widths)
        self.setAccessibleName("Log of readings")
        self.setWhatsThis(
            "Every reading by time. Enter or a double click edits a cell, Delete takes rows out, Ctrl+E leaves them out or "
            "counts them again. What the readings mean follows from what this must is made of."
        )
        self.setFont(theme.tabular(self.font()))
        theme.dress(self)
        self._set_habits()
        self._make_actions()
        self._set_widths()

    @property
    def log_model(self) -> LogModel:
        """The rows."""
        return self._model

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        self._model.set_display(display)
        self._set_widths()

    def show_looks(self) -> None:
        """Take the colours of the theme anew."""
        self._kind_signs.clear()
        self._model.set_looks(self.palette(), {level: icon(level, self) for level in Level}, self._kind_sign)

    def select(self, place: int | None) -> None:
        """Go to the reading of a place in the log."""
        row = None if place is None else self._model.row_of(place)
        if row is None:
            self.clearSelection()
            return
        column = self.currentIndex().column() if self.currentIndex().isValid() else Column.READING
        self.setCurrentIndex(self._model.index(row, column))
        self.selectRow(row)
        self.scrollTo(self._model.index(row, column))

    def height_of(self, rows: int) -> int:
        """How high the table is that shows so many rows, and their headings. [px]"""
        frame = 2 * max(self.frameWidth(), 1)
        return self.horizontalHeader().sizeHint().height() + rows * self.verticalHeader().defaultSectionSize() + frame

    def chosen_rows(self) -> list[int]:
        """The rows that are selected, from the top."""
        return sorted(index.row() for index in self.selectionModel().selectedRows())

    def remove_chosen(self) -> None:
        """Take the selected readings out of the log."""
        self._model.remove(self.chosen_rows())

    def toggle_chosen(self) -> None:
        """Leave the selected readings out, or let them count again."""
        rows = self.chosen_rows()
        if rows:
            off = self._model.index(rows[0], Column.COUNTS).data(Qt.ItemDataRole.CheckStateRole)
            self._model.set_counts(rows, Qt.CheckState(off) == Qt.CheckState.Unchecked)

    def copy(self) -> None:
        """Put the selected rows on the clipboard, with their headings, as a spreadsheet takes them."""
        columns = [column for column in Column if column is not Column.COUNTS]
        lines = ["\t".join(heading(column, self._display) for column in columns)]
        for row in self.chosen_rows():
            lines.append("\t".join(str(self._model.index(row, column).data() or "") for column in columns))
        QGuiApplication.clipboard().setText("\n".join(lines))

    def edit_current(self) -> None:
        """Open the current cell for typing."""
        if self.currentIndex().isValid() and self.currentIndex().flags() & Qt.ItemFlag.ItemIsEditable:
            self.edit(self.currentIndex())

    # --- making

    def _set_habits(self) -> None:
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        trigger = QAbstractItemView.EditTrigger
        self.setEditTriggers(trigger.DoubleClicked | trigger.EditKeyPressed | trigger.AnyKeyPressed)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setIconSize(QSize(13, 13))
        self.setTabKeyNavigation(False)  # Tab goes on to the form
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 7)
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.horizontalHeader().setSectionResizeMode(Column.NOTE, QHeaderView.ResizeMode.Stretch)
        self.horizontalHeader().setMinimumSectionSize(20)

    def _make_actions(self) -> None:
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        for text, key, slot in (
            ("&Edit", "", self.edit_current),
            ("&Leave out or count again", "Ctrl+E", self.toggle_chosen),
            ("&Copy rows", "", self.copy),  # by the key of the window's own entry
            ("&Remove", QKeySequence.StandardKey.Delete, self.remove_chosen),
        ):
            action = QAction(text, self)
            action.setShortcut(QKeySequence(key))
            action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
            action.triggered.connect(slot)
            self.addAction(action)

    @Slot()
    def _set_widths(self) -> None:
        wide = self.fontMetrics().horizontalAdvance
        self._note_needs = max(self._widest(Column.NOTE), wide(heading(Column.NOTE, self._display))) + _PAD
        for column, sample in _SAMPLES.items():
            widest = max(wide(sample), wide(heading(column, self._display)))
            if column is Column.READING:
                brix = self._display.gravity_scale == GravityScale.BRIX
                sample = "-12.75 °Bx" if brix else _SAMPLES[column]
                figures = (text for text in self._last_texts(Column.READING) if not text[:1].isalpha())
                self._least_reading = self.iconSize().width() + 4 + max(map(wide, (sample, *figures)))
                self._reading_needs = self.iconSize().width() + 4 + self._widest(Column.READING)
                usual = self.iconSize().width() + 4 + wide(_LONGEST_READING)
                widest = self._wanted_reading = max(self._least_reading, min(self._reading_needs, usual))
            empty = (column is Column.INSTRUMENT and not self._model.has_instruments) or (
                column is Column.WHEN and not self._model.has_moments
            )
            if empty:
                self.setColumnHidden(column, True)
                continue
            self.setColumnHidden(column, False)
            if column is Column.CORRECTED and self._display.gravity_scale == GravityScale.BRIX:
                widest = wide("≈ -12.7 °Bx")
            if column is Column.TEMPERATURE and self._display.system == System.US:
                widest = wide("100.5")
            if column in (Column.DAY, Column.WHEN) and self._model.rowCount():
                # The year is told where it is not this one, and before the day stands the sign of a finding.
                ends = (self._model.index(row, column) for row in (0, self._model.rowCount() - 1))
                sign = self.iconSize().width() + 4 if column is Column.DAY else 0
                widest = max(widest, *(sign + wide(str(end.data())) for end in ends))
            self._widths[column] = widest + _PAD
            self.setColumnWidth(column, widest + _PAD)
        self._give_way()

    def _give_way(self) -> None:
        """Where a note would not be seen, the alcohol gives it its room; it is read off the curve as well."""
        head = self.fontMetrics().horizontalAdvance("Note") + _PAD
        least = max(min(_LEAST_NOTE * self.fontMetrics().averageCharWidth(), self._note_needs), head)
        told = {Column.WHEN: self._model.has_moments, Column.INSTRUMENT: self._model.has_instruments}
        optional = [column for column in _GIVE_WAY if told.get(column, True)]
        # Of one that is hidden the width is nought.
        fixed = sum(self.columnWidth(column) for column in _SAMPLES if column not in _GIVE_WAY)
        room = self.viewport().width() - fixed - least
        now = self.columnWidth(Column.READING)
        narrowest = fixed - now + self._least_reading + _PAD + head
        if narrowest != self._least:
            self._least = narrowest
            self.updateGeometry()
        width = min(self._wanted_reading + _PAD, max(self._least_reading + _PAD, now + room))
        self.setColumnWidth(Column.READING, width)
        room += now - width
        for column in optional:
            width = self._widths[column]
            self.setColumnHidden(column, room < width)
            self.setColumnWidth(column, width)
            room -= width if room >= width else 0
        self._fill_with_readings(room + least)
        hidden = self.isColumnHidden(Column.ALCOHOL)
        if hidden != self.hides_alcohol:
            self.hides_alcohol = hidden
            self.alcohol_hidden.emit(hidden)

    def _fill_with_readings(self, room: int) -> None:
        """What no note of the last entries needs goes to those that are longer than their column."""
        full = self._reading_needs + _PAD
        spare = room - self._note_needs
        now = self.columnWidth(Column.READING)
        if spare > 0 and full > now:
            self.setColumnWidth(Column.READING, min(full, now + spare))

    def _widest(self, column: Column) -> int:
        """Width of the longest text of the last entries in a column. [px]"""
        return max(map(self.fontMetrics().horizontalAdvance, self._last_texts(column)), default=0)

    def _last_texts(self, column: Column) -> list[str]:
        """What stands in a column of the last entries."""
        rows = range(max(0, self._model.rowCount() - _LOOKED_AT), self._model.rowCount())
        return [str(self._model.index(row, column).data() or "") for row in rows]

    def _kind_sign(self, kind: str, hollow: bool) -> QIcon:
        if (kind, hollow) not in self._kind_signs:
            colours = theme.colours_on(self.palette())
            colour = colours.excluded if hollow else colours.logged
            self._kind_signs[kind, hollow] = sign(kind, colour, hollow, self.devicePixelRatioF())
        return self._kind_signs[kind, hollow]

    # --- Qt

    def minimumSizeHint(self) -> QSize:
        around = 2 * self.frameWidth() + self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent, None, self)
        return super().minimumSizeHint().expandedTo(QSize(self._least + around, 0))

    def selectionChanged(self, selected: QItemSelection, deselected: QItemSelection) -> None:
        super().selectionChanged(selected, deselected)
        self._announce()

    def currentChanged(
        self, current: QModelIndex | QPersistentModelIndex, previous: QModelIndex | QPersistentModelIndex
    ) -> None:
        super().currentChanged(current, previous)
        self._announce()

    def _announce(self) -> None:
        rows = self.chosen_rows()
        current = self.currentIndex().row()
        row = current if current in rows else rows[0] if rows else None
        self.selected.emit(None if row is None else self._model.place_of(row))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        editing = self.state() == QAbstractItemView.State.EditingState
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not editing:
            self.edit_current()
            event.accept()
        else:
            super().keyPressEvent(event)

    @property
    def typed(self) -> tuple[int, int, str] | None:
        """The cell into which something else is being typed, by row and column, and the text; None where none is."""
        editor, cell = self._delegate.editor, self._delegate.cell
        return (cell.row(), cell.column(), editor.text()) if editor is not None and editor.isModified() else None

    def bring_back(self, row: int, column: int, text: str) -> bool:
        """Open a cell with a text that was being typed into it; False where there is none."""
        self.setCurrentIndex(self._model.index(row, column))
        self.edit_current()
        editor = self._delegate.editor
        if editor is not None:
            editor.setText(text)
            editor.setModified(True)
        return editor is not None

    def finish_editing(self) -> str:
        """Take what is being typed into a cell; a text that is refused stays open, and is returned."""
        editor = self._delegate.editor
        if editor is None:
            return ""
        if self._delegate.refuses(editor):
            return editor.text()
        self.commitData(editor)
        self.closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        return ""

    def give_up_editing(self) -> None:
        """Leave a cell as it was."""
        if self._delegate.editor is not None:
            self.closeEditor(self._delegate.editor, QAbstractItemDelegate.EndEditHint.NoHint)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        # Qt would open the next cell after Tab; here Tab and Enter both end the edit.
        super().closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        if hint != QAbstractItemDelegate.EndEditHint.NoHint:
            self.setFocus()

    def updateGeometries(self) -> None:
        # At its end the table stands on whole rows: half a one under the heading looks like a fault.
        bar, row = self.verticalScrollBar(), self.verticalHeader().defaultSectionSize()
        at_the_end = bar.value() == bar.maximum()
        super().updateGeometries()
        bar.setMaximum(-(-bar.maximum() // row) * row)
        if at_the_end:
            bar.setValue(bar.maximum())

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self.chosen_rows():
            self.scrollToBottom()  # the newest readings are what one comes to see

    def resizeEvent(self, event: QResizeEvent) -> None:
        bar = self.verticalScrollBar()
        at_the_end = bar.value() == bar.maximum()
        super().resizeEvent(event)
        self._give_way()
        if at_the_end:
            self.scrollToBottom()  # a window that opens takes its size in steps

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self._model.rowCount() == 0:
            painter = QPainter(self.viewport())
            painter.setPen(self.palette().placeholderText().color())
            painter.drawText(self.viewport().rect(), Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, EMPTY)
            painter.end()
