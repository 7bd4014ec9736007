"""Tasting notes: what it tasted like on a day. Typing into the empty last line adds one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from math import ceil

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QFontMetricsF,
    QKeyEvent,
    QKeySequence,
    QPalette,
    QResizeEvent,
    QTextCursor,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPlainTextEdit,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from planner.document import edits
from planner.document.batch import Batch
from planner.document.bottled import Bottled
from planner.document.pitch_date import pitching
from planner.document.tasting import Tasting
from planner.document.timestamps import parsed
from planner.ui.amounts import EntryError
from planner.ui.display import Display
from planner.ui.log.when import date_text, now, read_when
from planner.ui.store import BatchStore
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import CommitLine
from planner.ui.widgets.label import Label
from planner.ui.widgets.line_row import link
from planner.ui.widgets.one_stop import OneStop, Ring, go_to
from planner.ui.widgets.remarks import small

LONGEST_NOTE = 20_000
"""Characters that a batch file holds for one note."""

_MOST_LINES = 12
"""A note taller than this scrolls inside itself."""

_LONG_DATE = "2026-09-30T12:00+00:00"
"""For which the field of a day has room. ISO 8601"""

_SPARE = 2
"""Height beyond the lines and margins from which a text of whole lines counts as wholly in sight. [px]"""


class DayField(CommitLine):
    """The day of a tasting, as a person writes it: "3 Dec", "yesterday", "2026-12-03". Speaks ISO 8601 with offset."""

    def __init__(self, display: Display, clock: Callable[[], datetime] = now, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display, self._clock = display, clock
        self.setFont(small(self.font()))
        self.setPlaceholderText("undated")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    pitched: datetime | None = None
    """Of the batch that is tasted: it decides the year of a date without one."""

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, self._written(_LONG_DATE), self._shown)

    def set_display(self, display: Display) -> None:
        """Other habits."""
        self._display = display
        self.restore()

    def _read(self, text: str) -> object:
        when = read_when(text, self._display.locale, self._clock(), self.pitched)
        if when.at is None:
            example = date_text(self._clock().date(), self._display.locale, self._clock().year)
            raise EntryError(f"“{text.strip()}” is not a date. Enter one such as {example}, yesterday or today.")
        return when.at

    def _written(self, value: object) -> str:
        moment = parsed(value) if isinstance(value, str) else None
        if moment is None:
            return str(value or "")
        return date_text(moment.date(), self._display.locale)


class NoteEdit(QPlainTextEdit):
    """A text that grows with its lines. Enter goes on, Shift+Enter begins a new line; it counts as it is typed.

    Signals: `edited` with the text at each change by the person; `left` when the focus goes; `finished` at Enter.
    """

    edited = Signal(str)
    left = Signal()
    finished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kept = ""
        self._scrolls = False
        self.setTabChangesFocus(True)
        self.setAcceptDrops(False)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.Box)
        self.setFrameShadow(QFrame.Shadow.Plain)
        self._colour_edge(False)
        self.document().setDocumentMargin(3)
        self.document().documentLayout().documentSizeChanged.connect(self._fit)
        self.textChanged.connect(self._announce)
        self._fit()

    def show_text(self, text: str) -> None:
        """Show a text without announcing it; the one that is being typed stays as it is."""
        if text != self.toPlainText():
            with QSignalBlocker(self):
                self.setPlainText(text)
            self._fit()
        self._kept = text

    def _colour_edge(self, focused: bool) -> None:
        """The edge that other fields have, which the style leaves out on dark grounds."""
        self.setForegroundRole(QPalette.ColorRole.Accent if focused else QPalette.ColorRole.Dark)

    def _announce(self) -> None:
        text = self.toPlainText()
        if len(text) > LONGEST_NOTE:
            self.show_text(self._kept)
            self.moveCursor(QTextCursor.MoveOperation.End)
            return
        self._kept = text
        self.edited.emit(text)

    def _fit(self, _size: object = None) -> None:
        """Be as high as the text, and no higher than some lines."""
        lines = max(1, round(self.document().size().height()))  # a plain document counts its height in lines
        self._scrolls = lines > _MOST_LINES
        height = ceil(min(lines, _MOST_LINES) * QFontMetricsF(self.font()).lineSpacing())
        around = 2 * round(self.document().documentMargin()) + 2 * self.frameWidth()
        policy = Qt.ScrollBarPolicy.ScrollBarAsNeeded if self._scrolls else Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        self.setVerticalScrollBarPolicy(policy)
        self.setFixedHeight(height + around + _SPARE)

    def event(self, event: QEvent) -> bool:
        # With nothing of its own to undo, the batch's undo shall work here too.
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            own = self.document()
            if (event.matches(undo) and not own.isUndoAvailable()) or (
                event.matches(redo) and not own.isRedoAvailable()
            ):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and not event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.finished.emit()
            event.accept()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._colour_edge(True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._colour_edge(False)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.left.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        # The wheel is the pane's, but for a note that is longer than its room and is being written.
        if self._scrolls and self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()


class TastingLine(QWidget):
    """One note with its day. Without a tasting it is the empty line that adds one.

    Signals: `noted`, `dated`, `removed`, `left` and `finished`, each with the line's number first.
    """

    noted = Signal(int, str)
    dated = Signal(int, object)
    removed = Signal(int)
    left = Signal(int)
    finished = Signal(int)

    def __init__(
        self, index: int, display: Display, clock: Callable[[], datetime], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.index = index
        self.is_filled = False
        self.day = DayField(display, clock)
        self.note = NoteEdit()
        self.remove = QToolButton()
        self.remove.setText("×")
        self.remove.setAutoRaise(True)
        self.day.committed.connect(self._date)
        self.note.edited.connect(self._note)
        self.note.left.connect(self._leave)
        self.note.finished.connect(self._finish)
        self.remove.clicked.connect(self._remove)
        self._head = QWidget()
        row = QHBoxLayout(self._head)
        row.setContentsMargins(0, 0, 0, 0)
        self.age = Label()
        self.age.setFont(small(self.age.font()))
        set_tone(self.age, "dim")
        row.addWidget(self.day)
        row.addWidget(self.age)
        row.addStretch(1)
        row.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(1)
        column.addWidget(self._head)
        column.addWidget(self.note)
        link([self.day, self.note, self.remove])
        Ring([self.note, self.day, self.remove], self.note, self)
        self.show_tasting(None)

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, in order."""
        return [self.day, self.note, self.remove] if self.is_filled else [self.note]

    def show_tasting(self, tasting: Tasting | None) -> None:
        """Show a note; None for the empty last line."""
        self.is_filled = tasting is not None
        self._head.setVisible(self.is_filled)
        self.note.show_text(tasting.note if tasting else "")
        self.day.show_value(tasting.at if tasting else None)
        number = self.index + 1
        self.note.setPlaceholderText("" if tasting else "Note how it tastes …")
        self.note.setAccessibleName(f"Tasting note {number}" if tasting else "Add a tasting note")
        self.day.setAccessibleName(f"Day of tasting {number}")
        self.remove.setAccessibleName(f"Remove tasting note {number}")
        self.remove.setToolTip("Remove this note")

    def show_age(self, days: float | None) -> None:
        """Show how long it has been in the bottle; nothing before that, or where it is not known."""
        text = ""
        if days is not None and days >= 0.0:
            number = round(days)
            text = (
                "on the day of bottling" if number == 0 else f"{number} day{'' if number == 1 else 's'} in the bottle"
            )
        self.age.setText(text)

    def _note(self, text: str) -> None:
        self.noted.emit(self.index, text)

    def _date(self, at: object) -> None:
        self.dated.emit(self.index, at)

    def _remove(self) -> None:
        self.removed.emit(self.index)

    def _leave(self) -> None:
        self.left.emit(self.index)

    def _finish(self) -> None:
        self.finished.emit(self.index)


class TastingList(QWidget):
    """All tasting notes of the batch, in the order in which they were written.

    Signal: `count_changed` when lines came or went.
    """

    count_changed = Signal()

    def __init__(
        self,
        store: BatchStore,
        display: Display,
        clock: Callable[[], datetime] = now,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._store, self._display, self._clock = store, display, clock
        self.lines: list[TastingLine] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(3)
        self._add_line()
        self._stop = OneStop([self.lines[0].note], self)
        self.show_tastings(())

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [part for line in self.lines for part in line.focus_chain()]

    def show_tastings(self, tastings: tuple[Tasting, ...], end: Bottled | None = None) -> None:
        """Show these notes, each with its time in the bottle where the log says when it was bottled."""
        before = len(self.lines)
        while len(self.lines) <= len(tastings):
            self._add_line()
        while len(self.lines) > len(tastings) + 1:
            self._drop_line()
        batch = self._store.batch
        pitched = pitching(batch)
        for line, tasting in zip(self.lines, (*tastings, None), strict=True):
            line.day.pitched = pitched
            line.show_tasting(tasting)
            line.show_age(end.age(tasting.at) if end is not None and tasting is not None else None)
        if len(self.lines) != before:
            self._stop.take([line.note for line in self.lines])
            self.count_changed.emit()

    def set_display(self, display: Display) -> None:
        """Other habits of writing dates."""
        self._display = display
        for line in self.lines:
            line.day.set_display(display)

    def _add_line(self) -> None:
        line = TastingLine(len(self.lines), self._display, self._clock)
        line.noted.connect(self._note)
        line.dated.connect(self._date)
        line.removed.connect(self._remove)
        line.left.connect(self._leave)
        line.finished.connect(self._go_on)
        self.lines.append(line)
        self._column.addWidget(line)

    def _drop_line(self) -> None:
        line = self.lines.pop()
        self._column.removeWidget(line)
        line.hide()
        line.deleteLater()

    # --- edits

    @property
    def _batch(self) -> Batch:
        return self._store.batch

    def _note(self, index: int, text: str) -> None:
        batch = self._batch
        if index < len(batch.tastings):
            after = edits.change_tasting(batch, index, note=text)
        elif text.strip():
            at = self._clock().isoformat(timespec="minutes")
            after = edits.add_tasting(batch, Tasting(note=text, at=at))
        else:
            return
        self._store.edit(after, "tasting note", f"tastings/{index}/note")

    def _leave(self, index: int) -> None:
        """A note that was emptied is no note."""
        if index < len(self._batch.tastings) and self._batch.tastings[index].is_empty:
            after = edits.remove_tasting(self._batch, index)
            self._store.edit(after, "remove a tasting note", f"tastings/{index}/note")

    def _go_on(self, index: int) -> None:
        """Enter goes from line to line, past the buttons; where an emptied note is gone, the next has its place."""
        before = len(self.lines)
        self._leave(index)
        index += 1 - before + len(self.lines)
        if index < len(self.lines):
            go_to(self.lines[index].note)
        else:
            self.focusNextChild()

    def _date(self, index: int, at: object) -> None:
        after = edits.change_tasting(self._batch, index, at=at)
        self._store.edit(after, "day of a tasting", f"tastings/{index}/at")

    def _remove(self, index: int) -> None:
        self._store.edit(edits.remove_tasting(self._batch, index), "remove a tasting note")
        self.lines[min(index, len(self.lines) - 1)].note.setFocus(Qt.FocusReason.OtherFocusReason)
