"""The window of tasting sheets: one for each tasting, its marks over time, and its photograph."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QFont, QImage, QPixmap
from PySide6.QtWidgets import QDialog, QFrame, QGridLayout, QListWidget, QScrollArea, QVBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.document.bottled import bottled
from planner.document.tasting import Tasting
from planner.document.timestamps import parsed
from planner.tasting.sheet import DEGREES, FAULTS, FITS, SHEET, Line
from planner.ui import theme
from planner.ui.adjust.tastings import DayField, NoteEdit
from planner.ui.asking import Ask
from planner.ui.display import Display
from planner.ui.files import FileError, read_whole
from planner.ui.log.when import date_text, now
from planner.ui.recalculator import Recalculator
from planner.ui.store import BatchStore
from planner.ui.tasting.ageing import AgeingPicture
from planner.ui.tasting.line import UnbrokenLine
from planner.ui.tasting.photograph import KINDS, beside, decoded, keep
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField, TextField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small
from planner.ui.widgets.splitter import TurningSplitter

_FITS = ((None, "–"), *FITS.items())
_DEGREES = ((None, "–"), *DEGREES.items())

_LIST = 24
"""Width of the list of tastings at least. [figures]"""


class SheetsDialog(QDialog):
    """Sheets of the open batch; each mark is an edit that can be undone. `place` tells the file of the batch."""

    def __init__(
        self,
        store: BatchStore,
        display: Display,
        ask: Ask,
        place: Callable[[], Path | None],
        clock: Callable[[], datetime] = now,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Tasting sheets")
        self._store, self._display, self._ask, self._place, self._clock = store, display, ask, place, clock
        self.lines: dict[str, UnbrokenLine] = {}
        self.fits: dict[str, ChoiceField] = {}
        self.faults: dict[str, ChoiceField] = {}
        self._photograph: str | None = None
        self.pictures = Recalculator((self._load,), parent=self)
        self.pictures.finished.connect(self._show_picture)
        self.pictures.failed.connect(self._tell_no_picture)
        self._make()
        self._arrange()
        fit(self, figures=172, lines=50)
        store.changed.connect(self.show_batch)
        self.show_batch(store.batch)

    # --- making

    def _make(self) -> None:
        self.list = theme.dress(QListWidget())
        self.list.setAccessibleName("Tastings")
        self.list.currentRowChanged.connect(self._show_chosen)
        self.new, self.remove = Button("&New sheet"), Button("&Remove")
        self.new.clicked.connect(self._begin)
        self.remove.clicked.connect(self._remove)
        self.day = DayField(self._display, self._clock)
        self.day.setAccessibleName("Day of the tasting")
        self.day.committed.connect(partial(self._change, "day of a tasting", "at"))
        self.taster = TextField()
        self.taster.setAccessibleName("Taster")
        self.taster.setPlaceholderText("who tastes")
        self.taster.setMaxLength(80)
        self.taster.committed.connect(partial(self._change, "taster", "taster"))
        self.note = NoteEdit()
        self.note.setAccessibleName("In your own words")
        self.note.setPlaceholderText("In your own words …")
        self.note.edited.connect(self._note)
        self.ageing = AgeingPicture()
        self.picture = Label()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setMinimumHeight(4 * self.fontMetrics().lineSpacing())
        self.add_picture, self.drop_picture = Button("Add a &photograph…"), Button("&Take it off")
        self.add_picture.clicked.connect(self._add_picture)
        self.drop_picture.clicked.connect(self._drop_picture)

    def _arrange(self) -> None:
        left, right = QWidget(), QWidget()
        _stack(left, self.list, _row(self.new, self.remove))
        _stack(right, self.ageing, self.picture, _row(self.add_picture, self.drop_picture))
        self.sheet = QWidget()
        self._grid = QGridLayout(self.sheet)
        self._grid.setColumnStretch(2, 1)
        self._fill_sheet()
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(self.sheet)
        scroll.setMinimumWidth(self.sheet.minimumSizeHint().width() + scroll.verticalScrollBar().sizeHint().width())
        whole = TurningSplitter()
        figure = self.fontMetrics().horizontalAdvance("0")
        self.list.setMinimumWidth(_LIST * figure)
        self.list.setWordWrap(True)
        for part in (left, scroll, right):
            whole.addWidget(part)
        whole.setSizes([34 * figure, 84 * figure, 54 * figure])
        layout = QVBoxLayout(self)
        layout.addWidget(whole, 1)

    def _fill_sheet(self) -> None:
        grid = self._grid
        who = Flow()
        who.add(Label("Day"), self.day)
        who.add(Label("Taster"), self.taster, growing=self.taster)
        grid.addWidget(who, 0, 0, 1, 5)
        row = 1
        for block, lines in SHEET:
            grid.addWidget(_heading(block), row, 0, 1, 5)
            for number, line in enumerate(lines, start=row + 1):
                self._add_line(line, number)
            row += len(lines) + 1
        grid.addWidget(_heading("Smells that a good mead does not have"), row, 0, 1, 5)
        for number, line in enumerate(FAULTS, start=row + 1):
            field = ChoiceField(_DEGREES)
            field.setAccessibleName(line.name)
            field.chosen.connect(partial(self._mark, line, "value"))
            self.faults[line.key] = field
            grid.addWidget(Label(line.name), number, 0)
            grid.addWidget(field, number, 1, 1, 2, Qt.AlignmentFlag.AlignLeft)
        row += len(FAULTS) + 1
        grid.addWidget(_heading("In your own words"), row, 0, 1, 5)
        grid.addWidget(self.note, row + 1, 0, 1, 5)
        grid.setRowStretch(row + 2, 1)

    def _add_line(self, line: Line, row: int) -> None:
        mark = UnbrokenLine()
        mark.setAccessibleName(f"{line.name}, from {line.low} to {line.high}")
        mark.marked.connect(partial(self._mark, line, "value"))
        self.lines[line.key] = mark
        for column, part in enumerate((Label(line.name), _end(line.low, True), mark, _end(line.high))):
            self._grid.addWidget(part, row, column)
        if line.is_fitted:
            field = ChoiceField(_FITS)
            field.setAccessibleName(f"{line.name}, how right it is")
            field.setToolTip("How right this is for this mead")
            field.chosen.connect(partial(self._mark, line, "fit"))
            self.fits[line.key] = field
            self._grid.addWidget(field, row, 4)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show the sheets of a batch; the one that is chosen stays so."""
        names = [self._name(batch, tasting) for tasting in batch.tastings]
        if names != [self.list.item(n).text() for n in range(self.list.count())]:
            row = min(max(self.list.currentRow(), 0), len(names) - 1)
            with QSignalBlocker(self.list):
                self.list.clear()
                self.list.addItems(names)
                self.list.setCurrentRow(row)
        self.ageing.show_batch(batch)
        self._show_chosen()

    def set_display(self, display: Display) -> None:
        """Other habits of writing dates."""
        self._display = display
        self.day.set_display(display)
        self.show_batch(self._store.batch)

    def _name(self, batch: Batch, tasting: Tasting) -> str:
        moment = parsed(tasting.at) if tasting.at else None
        day = "undated" if moment is None else date_text(moment.date(), self._display.locale)
        age = None if tasting.at is None or (end := bottled(batch)) is None else end.age(tasting.at)
        parts = [day, tasting.taster, "" if age is None or age < 0.0 else f"{age:.0f} days in the bottle"]
        return ", ".join(part for part in parts if part)

    def _show_chosen(self, _row: int = 0) -> None:
        tasting = self._tasting
        self.sheet.setEnabled(tasting is not None)
        self.remove.setEnabled(tasting is not None)
        shown = tasting or Tasting(note="")
        self.day.show_value(shown.at)
        self.taster.show_text(shown.taster)
        self.note.show_text(shown.note)
        marks = {mark.line: mark for mark in shown.marks}
        for key, line in self.lines.items():
            line.show_value(marks[key].value if key in marks else None)
        for key, field in self.fits.items():
            field.show_key(marks[key].fit if key in marks else None)
        for key, field in self.faults.items():
            field.show_key(marks[key].value if key in marks else None)
        self.add_picture.setEnabled(tasting is not None)
        self.drop_picture.setEnabled(shown.photograph is not None)
        if shown.photograph != self._photograph:
            self._photograph = shown.photograph
            self._show_photograph()

    def _show_photograph(self) -> None:
        self.picture.setPixmap(QPixmap())
        if self._photograph is None:
            self.picture.setText("")
            return
        path = beside(self._place(), self._photograph)
        if path is None:
            self.picture.setText(f"{self._photograph} does not lie beside the file of this batch.")
            return
        ratio = self.devicePixelRatioF()
        figure = self.fontMetrics().horizontalAdvance("0")
        self.pictures.request((path, QSize(round(50 * figure * ratio), round(30 * figure * ratio)), ratio))

    def _load(self, asked: tuple[Path, QSize, float]) -> tuple[str, QImage]:
        """On the worker."""
        path, room, ratio = asked
        image = decoded(read_whole(path), room)
        image.setDevicePixelRatio(ratio)
        return path.name, image

    def _show_picture(self, answer: object) -> None:
        assert isinstance(answer, tuple)
        name, image = answer
        if name != self._photograph:
            return
        if image.isNull():
            self.picture.setText(f"{name} is not a picture that can be shown.")
        else:
            self.picture.setPixmap(QPixmap.fromImage(image))

    def _tell_no_picture(self, failure: object) -> None:
        self.picture.setText(str(failure))

    # --- edits

    @property
    def _index(self) -> int:
        return self.list.currentRow()

    @property
    def _tasting(self) -> Tasting | None:
        tastings = self._store.batch.tastings
        return tastings[self._index] if 0 <= self._index < len(tastings) else None

    def _begin(self) -> None:
        at = self._clock().isoformat(timespec="minutes")
        batch = self._store.batch
        self._store.edit(edits.add_tasting(batch, Tasting(note="", at=at)), "new tasting sheet")
        self.list.setCurrentRow(len(batch.tastings))
        next(iter(self.lines.values())).setFocus()

    def _remove(self) -> None:
        if self._tasting is not None:
            self._store.edit(edits.remove_tasting(self._store.batch, self._index), "remove a tasting")

    def _change(self, text: str, field: str, value: object) -> None:
        if self._tasting is not None:
            self._store.edit(edits.change_tasting(self._store.batch, self._index, **{field: value}), text)

    def _note(self, text: str) -> None:
        if self._tasting is not None:
            after = edits.change_tasting(self._store.batch, self._index, note=text)
            self._store.edit(after, "tasting note", f"tastings/{self._index}/note")

    def _mark(self, line: Line, field: str, value: object) -> None:
        if self._tasting is not None:
            after = edits.mark_tasting(self._store.batch, self._index, line.key, **{field: value})
            self._store.edit(after, f"{line.name.lower()} of a tasting", f"tastings/{self._index}/{line.key}/{field}")

    def _add_picture(self) -> None:
        place, tasting = self._place(), self._tasting
        if tasting is None:
            return
        if place is None:
            self._ask.tell("Save the batch first.", "A photograph is kept beside the file of its batch.")
            return
        source = self._ask.open_path("Add a photograph", place.parent, KINDS)
        if source is None:
            return
        try:
            name = keep(source, place, f"{place.stem} {(tasting.at or 'tasting')[:10]}")
        except FileError as failure:
            self._ask.tell("The photograph was not added.", str(failure))
        else:
            self._change("photograph of a tasting", "photograph", name)

    def _drop_picture(self) -> None:
        """The file stays: an undo brings the photograph back."""
        self._change("take a photograph off", "photograph", None)

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.pictures.shut_down()


def _stack(column: QWidget, growing: QWidget, *others: QWidget) -> None:
    layout = QVBoxLayout(column)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.addWidget(growing, 1)
    for part in others:
        layout.addWidget(part)


def _row(*buttons: QWidget) -> Flow:
    flow = Flow()
    for button in buttons:
        flow.add(button)
    return flow


def _heading(text: str) -> Label:
    label = Label(text)
    font = QFont(label.font())
    font.setBold(True)
    label.setFont(font)
    return label


def _end(text: str, right: bool = False) -> Label:
    label = Label(text)
    label.setFont(small(label.font()))
    set_tone(label, "dim")
    if right:
        label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return label
