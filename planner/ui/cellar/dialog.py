"""The window of the cellar: every batch of a folder with what is due next, and what can be done with one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from pathlib import Path

import msgspec
from PySide6.QtCore import QItemSelectionModel, QModelIndex, QSignalBlocker, Qt, QTimer
from PySide6.QtGui import QAction, QHideEvent, QKeySequence, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from planner.cellar.arranging import Arrangement, Heading, arranged
from planner.cellar.folder import read
from planner.cellar.row import Row
from planner.comparing.comparison import FEWEST, MOST
from planner.document import edits
from planner.document.codec import BatchFileError, encode
from planner.planning.calendar_file import NoDate
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.asking import Ask
from planner.ui.cellar.bin import Bin
from planner.ui.cellar.model import COLUMNS, GIVING_WAY, CellarModel
from planner.ui.cellar.sketch import SketchDelegate
from planner.ui.cellar.work import Cellar
from planner.ui.files import FileError, free_name, write_whole
from planner.ui.settings import Settings
from planner.ui.theme import set_tone
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.copying import let_copy
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label

REARRANGE = 400
"""How long what was worked out may wait until the list is sorted by it. [ms] Rows that move all the time cannot be read."""

_ORDERS = (
    ("due", "What is due next"), ("name", "Name"), ("fruit", "Fruit"), ("year", "Year, newest first"), ("stage", "Stage"),
    ("strength", "Strongest first"), ("sweetness", "Sweetest first"), ("doubts", "Most doubts first"),
)  # fmt: skip
_GROUPS = (("", "None"), ("fruit", "Fruit"), ("year", "Year"))
_DETAIL_LINES = 6
"""Height of what is told of the chosen batch. [lines]"""


class _Batches(QTableView):
    """A table that leaves out columns where it has no room for them, rather than to scroll sideways."""

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        figure = self.fontMetrics().horizontalAdvance("0")
        widths = {column.heading: column.figures * figure for column in COLUMNS}
        for heading in GIVING_WAY:
            hidden = sum(widths.values()) > self.viewport().width()
            self.setColumnHidden([column.heading for column in COLUMNS].index(heading), hidden)
            if hidden:
                del widths[heading]


class CellarDialog(QDialog):
    """The list. `open_file` and `begin_next` take a file into the window, and tell whether they did; the list then goes. `compare`
    sets the batches of some files side by side."""

    def __init__(
        self,
        catalogue: Catalogue,
        settings: Settings,
        ask: Ask,
        open_file: Callable[[Path], bool],
        begin_next: Callable[[Path], bool],
        compare: Callable[[Sequence[Path]], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Cellar")
        self._settings, self._ask = settings, ask
        self._open_file, self._begin_next, self._compare_files = open_file, begin_next, compare
        self._bin = Bin()
        self._how = Arrangement()
        self._said = ""
        """What was done last."""
        self._told = ""
        """What is told of the chosen batch."""
        self._awaited: Path | None = None
        """The file that is chosen as soon as it is in the list."""
        self.table = theme.dress(_Batches())
        self.model = CellarModel(settings.display, self.table)
        self.cellar = Cellar(catalogue, self._seen, self)
        self._rearranging = QTimer(self)
        self._rearranging.setSingleShot(True)
        self._rearranging.setInterval(REARRANGE)
        self._rearranging.timeout.connect(self.arrange)
        self._make_controls()
        self._make_table()
        let_copy(self.table)
        self._arrange_widgets()
        self._connect()
        fit(self, figures=172, lines=44)
        self.cellar.show_folder(settings.cellar)

    # --- making

    def _make_controls(self) -> None:
        self.search = QLineEdit()
        self.search.setClearButtonEnabled(True)
        self.search.setPlaceholderText("name, fruit, honey, year, words of your notes")
        self.search.setAccessibleName("Search")
        self.order, self.group = ChoiceField(_ORDERS), ChoiceField(_GROUPS)
        self.order.setAccessibleName("Sort by")
        self.group.setAccessibleName("Group by")
        self.order.also_holds = tuple(name for _, name in _ORDERS)
        self.order.show_key(self._how.order)
        self.group.show_key(self._how.group)
        self.backwards = CheckBox("Backwa&rds")
        self.place = Elided()
        self.choose = _button("Choose &folder…", "Show the batches of another folder")
        self.take = _button("&Open", "Open the batch in the window (Enter)")
        self.next = _button("Be&gin next batch", "The same recipe again, without log, adjustment and tastings")
        self.compare = _button("Co&mpare", "Choose two to six batches with Ctrl and Shift, to set them side by side")
        self.duplicate = _button("&Duplicate", "A copy with all that is in it, in a file of its own")
        self.remove = _button("Move to the &bin", "Move the file to the bin of your desktop (Delete)")
        self.undo = _button("&Undo", "Take the file back that was moved to the bin last (Ctrl+Z)")
        self.calendar = _button(
            "Export for a &calendar…", "One iCalendar file of all that is due; exporting again updates it"
        )
        self.status = Label()
        self.detail = theme.dress(QPlainTextEdit())
        self.detail.setReadOnly(True)
        self.detail.setTabChangesFocus(True)
        self.detail.setAccessibleName("About the chosen batch")
        self.detail.setFixedHeight(_DETAIL_LINES * self.fontMetrics().lineSpacing())

    def _make_table(self) -> None:
        table, figure = self.table, self.fontMetrics().horizontalAdvance("0")
        table.setModel(self.model)
        table.setAccessibleName("Batches")
        table.setFont(theme.tabular(table.font()))
        table.setShowGrid(False)
        table.setWordWrap(True)
        table.setTabKeyNavigation(False)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        table.verticalHeader().hide()
        # Of one height: to ask a thousand rows for theirs takes long.
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        table.verticalHeader().setDefaultSectionSize(2 * self.fontMetrics().lineSpacing() + 6)
        header = table.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        for place, column in enumerate(COLUMNS):
            header.resizeSection(place, column.figures * figure)
            if column.heading == "What is due next":
                header.setSectionResizeMode(place, QHeaderView.ResizeMode.Stretch)
            if column.heading == "Curve":
                table.setItemDelegateForColumn(place, SketchDelegate(table))

    def _arrange_widgets(self) -> None:
        places = QHBoxLayout()
        places.addWidget(Label("Folder"))
        places.addWidget(self.place, 1)
        places.addWidget(self.choose)
        ways, acts = Flow(), Flow()
        ways.add(_caption("&Search", self.search), self.search, growing=self.search)
        ways.add(_caption("Sor&t by", self.order), self.order, self.backwards)
        ways.add(_caption("Grou&p by", self.group), self.group)
        for button in (self.take, self.next, self.compare, self.duplicate, self.remove, self.undo, self.calendar):
            acts.add(button)
        layout = QVBoxLayout(self)
        layout.addLayout(places)
        layout.addWidget(ways)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.detail)
        layout.addWidget(self.status)
        layout.addWidget(acts)

    def _connect(self) -> None:
        self.search.textChanged.connect(self._change)
        self.order.chosen.connect(self._change)
        self.group.chosen.connect(self._change)
        self.backwards.toggled.connect(self._change)
        self.table.horizontalHeader().sectionClicked.connect(self._sort_by)
        self.table.activated.connect(self._open)
        self.table.selectionModel().currentChanged.connect(self._tell_current)
        self.table.selectionModel().selectionChanged.connect(self._let_act)
        for button, act in (
            (self.choose, self._choose_folder), (self.take, self._open), (self.next, self._next),
            (self.compare, self._compare),
            (self.duplicate, self._duplicate), (self.remove, self._remove), (self.undo, self._take_back),
            (self.calendar, self._export),
        ):  # fmt: skip
            button.clicked.connect(act)
        self._shortcut("Delete", self._remove, self.table)
        self._shortcut("Ctrl+Z", self._take_back, self.table)
        self._shortcut("Ctrl+F", self.search.setFocus, self)
        self.cellar.listed.connect(self.arrange)
        self.cellar.worked_out.connect(self._show_row)
        self.cellar.calendar_made.connect(self._write_calendar)

    def _shortcut(self, key: str, act: Callable[[], None], where: QWidget) -> None:
        action = QAction(self)
        action.setShortcut(QKeySequence(key))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(act)
        where.addAction(action)

    # --- showing

    def show_open(self, path: Path | None) -> None:
        """Mark the file of the batch that is open in the window."""
        self.model.opened = path
        self.table.viewport().update()

    def show_habits(self) -> None:
        """Other units."""
        self.model.set_display(self._settings.display)
        self._tell_current()

    def arrange(self) -> None:
        """Show the batches as they are wanted; what is chosen stays chosen, and the list where it was scrolled to."""
        self._rearranging.stop()
        lines = arranged(self.cellar.rows.values(), self._how)
        if lines != self.model.lines:
            self._put(lines)
        self._tell()

    def _put(self, lines: tuple[Row | Heading, ...]) -> None:
        chosen, several, place, scrolled = (
            self._chosen(),
            self.selected,
            self.table.currentIndex().row(),
            self.table.verticalScrollBar().value(),
        )
        has_spans = any(isinstance(line, Heading) for line in self.model.lines)
        with QSignalBlocker(self.table.selectionModel()):
            self.model.show_lines(lines)
        if has_spans:
            self.table.clearSpans()
        for number, line in enumerate(lines):
            if isinstance(line, Heading):
                self.table.setSpan(number, 0, 1, len(COLUMNS))
        awaited = self.model.place_of(self._awaited)
        kept = awaited if awaited is not None else self.model.place_of(None if chosen is None else chosen.path)
        self._go_to(self._nearest(place) if kept is None else kept)
        if awaited is None and len(several) > 1:
            self._select(several)
        if awaited is None:
            self.table.verticalScrollBar().setValue(scrolled)
        else:
            self._awaited = None

    def _nearest(self, place: int) -> int | None:
        """The batch that now stands where another one stood, or the last before it."""
        places = [number for number, line in enumerate(self.model.lines) if isinstance(line, Row)]
        return next((number for number in places if number >= place), places[-1] if places else None)

    def _go_to(self, place: int | None) -> None:
        if place is not None:
            index = self.model.index(place, 0)
            flags = QItemSelectionModel.SelectionFlag
            self.table.selectionModel().setCurrentIndex(index, flags.ClearAndSelect | flags.Rows)
        self._tell_current()

    @property
    def selected(self) -> tuple[Path, ...]:
        """The files of the batches that are chosen, from top to bottom; damaged ones are none."""
        places = sorted(index.row() for index in self.table.selectionModel().selectedRows())
        rows = [self.model.row_at(place) for place in places]
        return tuple(row.path for row in rows if row is not None and not row.is_damaged)

    def _select(self, paths: Sequence[Path]) -> None:
        flags = QItemSelectionModel.SelectionFlag
        for path in paths:
            place = self.model.place_of(path)
            if place is not None:
                self.table.selectionModel().select(self.model.index(place, 0), flags.Select | flags.Rows)

    def _let_act(self, *_: object) -> None:
        """What can be done with the chosen batch, or with the chosen ones together."""
        row = self._alone()
        for button in (self.take, self.remove):
            button.setEnabled(row is not None)
        for button in (self.next, self.duplicate):
            button.setEnabled(row is not None and not row.is_damaged)
        self.compare.setEnabled(FEWEST <= len(self.selected) <= MOST)

    def _show_row(self, row: Row) -> None:
        self.model.show_row(row)
        if not self._rearranging.isActive():
            self._rearranging.start()
        chosen = self._chosen()
        if chosen is not None and chosen.path == row.path:
            self._tell_current()

    def _seen(self) -> Iterator[Path]:
        """The files of the rows that can be seen."""
        first, last = self.table.rowAt(0), self.table.rowAt(self.table.viewport().height() - 1)
        for place in range(max(first, 0), (last if last >= 0 else len(self.model.lines) - 1) + 1):
            row = self.model.row_at(place)
            if row is not None:
                yield row.path

    def _tell_current(self, *_: QModelIndex) -> None:
        """Tell of the chosen batch, and what can be done with it."""
        row = self._chosen()
        told = "" if row is None else self.model.told(row)
        if told != self._told:  # who reads on in it is not thrown back
            self._told = told
            self.detail.setPlainText(told)
        set_tone(self.detail, "problem" if row is not None and row.trouble else "")
        self._let_act()

    def _tell(self) -> None:
        """Tell how much there is, and what is still to come."""
        cellar = self.cellar
        number, damaged = len(cellar.rows), sum(row.is_damaged for row in cellar.rows.values())
        shown = sum(isinstance(line, Row) for line in self.model.lines)
        self.place.show_text(str(cellar.folder), str(cellar.folder))
        if cellar.trouble or not cellar.is_read:
            told = cellar.trouble or "Reading the folder…"
        elif not number:
            told = "This folder holds no batches. Save one here, or choose another folder."
        else:
            told = f"{number} {'batch' if number == 1 else 'batches'}"
            told += f", {shown} shown" if shown != number else ""
            told += f", {damaged} damaged" if damaged else ""
            told += f". {cellar.to_do} still being worked out" if cellar.to_do else ""
            told += f". {self._said}" if self._said else ""
        self.status.setText(told)
        set_tone(self.status, "problem" if cellar.trouble else "dim")
        self.undo.setEnabled(self._bin.last is not None)
        self.calendar.setEnabled(cellar.is_known and number > damaged)

    def _say(self, what: str) -> None:
        self._said = what
        self._tell()

    # --- what a person does

    def _change(self, *_: object) -> None:
        self._how = Arrangement(
            self.search.text(), str(self.order.key), self.backwards.isChecked(), str(self.group.key)
        )  # fmt: skip
        self.arrange()

    def _sort_by(self, column: int) -> None:
        """By a column; pressed again, backwards."""
        order = COLUMNS[column].order
        turned = order == self._how.order and not self._how.backwards
        self.order.show_key(order)
        with QSignalBlocker(self.backwards):
            self.backwards.setChecked(turned)
        self._change()

    def _choose_folder(self) -> None:
        folder = self._ask.folder_path("Choose the folder of your batches", self.cellar.folder or self._settings.cellar)
        if folder is not None:
            self._settings.cellar = folder
            self._say("")
            self.cellar.show_folder(folder)

    def _chosen(self) -> Row | None:
        return self.model.row_at(self.table.currentIndex().row())

    def _alone(self) -> Row | None:
        """The chosen batch, where it is the only one: what is done with several is to compare them."""
        return self._chosen() if len(self.table.selectionModel().selectedRows()) <= 1 else None

    def _open(self, *_: object) -> None:
        row = self._alone()
        if row is not None and self._open_file(row.path):
            self.hide()

    def _next(self) -> None:
        row = self._alone()
        if row is not None and self._begin_next(row.path):
            self.hide()

    def _compare(self) -> None:
        if self.compare.isEnabled():
            self._compare_files(self.selected)

    def _duplicate(self) -> None:
        row = self._alone()
        if row is None or row.is_damaged:
            return
        path = free_name(row.path.with_stem(f"{row.path.stem} copy"))
        try:
            batch = read(row.path)
            copied = msgspec.structs.replace(batch, name=f"{batch.name[:190]} (copy)")
            write_whole(path, encode(edits.change_recipe(copied, calendar="")))  # in calendars it is another batch
        except (BatchFileError, FileError) as failure:
            self._ask.tell(f"“{row.name}” was not duplicated.", str(failure))
            return
        self._say(f"Duplicated as {path.name}")
        self._look_for(path)

    def _remove(self) -> None:
        row = self._alone()
        if row is None:
            return
        try:
            self._bin.move(row.path)
        except FileError as failure:
            self._ask.tell(f"“{row.name}” was not moved to the bin.", str(failure))
        else:
            self._after_the_bin(f"Moved {row.path.name} to the bin")

    def _take_back(self) -> None:
        if self._bin.last is None:
            return
        try:
            path = self._bin.take_back()
        except FileError as failure:
            self._ask.tell("The file was not taken back.", str(failure))
        else:
            self._look_for(path)
            self._after_the_bin(f"{path.name} is back")

    def _after_the_bin(self, said: str) -> None:
        self._say(said)
        last = self._bin.last
        self.undo.setText("&Undo" if last is None else f"&Undo: {last.stem.replace('&', '&&')}")
        self.cellar.look()

    def _look_for(self, path: Path) -> None:
        """Choose a file as soon as it is in the list."""
        self._awaited = path
        self.cellar.look()

    def _export(self) -> None:
        self.calendar.setEnabled(False)
        self.cellar.make_calendar(datetime.now().astimezone())

    def _write_calendar(self, made: object) -> None:
        self.calendar.setEnabled(True)
        if isinstance(made, NoDate):
            self._ask.tell(
                "There is no calendar to write.", "No batch here has both a date of pitching and something due."
            )
        if not isinstance(made, bytes):
            return
        folder = self.cellar.folder or self._settings.cellar
        path = self._ask.save_path("Export all that is due", folder / "Mead that is due.ics", "Calendars (*.ics)")
        if path is None:
            return
        try:
            write_whole(path, made)
        except FileError as failure:
            self._ask.tell(f"“{path.name}” was not written.", str(failure))
        else:
            self._say(f"Wrote {path.name}")

    # --- Qt

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.cellar.open()
        self._tell()
        self.table.setFocus()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.cellar.close()

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.cellar.shut_down()


def _caption(text: str, field: QWidget) -> Label:
    label = Label(text)
    label.setBuddy(field)
    return label


def _button(text: str, hint: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(hint)
    button.setAutoDefault(False)  # Enter in the search, or in the list, presses none of them
    return button
