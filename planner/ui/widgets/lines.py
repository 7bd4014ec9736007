"""An editor of lines: one row for each line of a list, and an empty last row that adds one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.widgets.fields import ChoiceField, CommitLine
from planner.ui.widgets.line_row import (
    ENTER,
    ChoiceColumn,
    Column,
    LineDetails,
    LineRow,
    QuantityColumn,
    button_width,
    link,
)
from planner.ui.widgets.one_stop import go_to
from planner.ui.widgets.remarks import of_place
from planner.wording.finding import Finding

__all__ = ["ChoiceColumn", "Column", "LineDetails", "LineEditor", "LineRow", "QuantityColumn"]


class LineEditor(QWidget):
    """A list of lines. It changes nothing itself: it tells what was entered, and shows the lines it is given.

    `name` says what a line is of, for those who do not see the row; `prompt` what the empty last row is for; `details`
    makes what a line shows when it is opened.

    Signals: `entered` when a field of a line got the focus; `added` with what was entered in the empty last row;
    `changed` with the index of a line and the fields edited; `removed` with the index of a line.
    """

    entered = Signal()
    added = Signal(object)
    changed = Signal(int, object)
    removed = Signal(int)

    def __init__(
        self,
        columns: Iterable[Column],
        *,
        prompt: str,
        display: Display,
        name: Callable[[Any], str],
        details: Callable[[], LineDetails] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._columns, self._display = tuple(columns), display
        self._details, self._name_of = details, name
        self._lines: tuple[object, ...] = ()
        self._context: object = None
        self.rows: list[LineRow] = []
        self.empty = self._columns[0].make(display)
        self.empty.setAccessibleName(prompt)
        edit = self.empty.lineEdit() if isinstance(self.empty, ChoiceField) else self.empty
        if edit is not None:
            edit.setPlaceholderText(prompt)
            edit.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.empty.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        (self.empty.chosen if isinstance(self.empty, ChoiceField) else self.empty.committed).connect(self._add)
        self.empty.installEventFilter(self)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        last = QHBoxLayout()
        button = button_width(self)
        last.setContentsMargins(button + 2 if details is not None else 0, 0, button + 4, 0)
        last.addWidget(self.empty, 1)
        self._column.addLayout(last)

    @property
    def lines(self) -> tuple[object, ...]:
        """What is shown."""
        return self._lines

    def show_lines(self, lines: Sequence[object], context: object = None) -> None:
        """Show these lines. Rows of lines that are the same objects as before stay as they are, open or not."""
        new = tuple(lines)
        head = _common(self._lines, new)
        tail = _common(self._lines[head:][::-1], new[head:][::-1])
        for _ in range(len(self._lines) - len(new)):
            self._drop_row(len(self.rows) - tail - 1)
        while len(self.rows) < len(new):
            self._insert_row(len(self.rows) - tail)
        self._lines, self._context = new, context
        for row, line in zip(self.rows, new, strict=True):
            row.show_line(line, context, self._name_of(line))

    def show_beneath(self, texts: Iterable[str]) -> None:
        """What each line gives, in small text; lines beyond the texts stay as they are."""
        for row, text in zip(self.rows, texts, strict=False):
            row.show_beneath(text)

    def show_findings(self, findings: Iterable[Finding], place: str) -> None:
        """Show each line what is said of it: of "recipe.fruits.0" the first, where `place` is "recipe.fruits"."""
        known = tuple(findings)
        for index, row in enumerate(self.rows):
            row.remarks.show_findings(of_place(known, f"{place}.{index}"))

    def show_choices(self) -> None:
        """Offer what the columns offer now; what is chosen stays."""
        for cells in (*(row.cells for row in self.rows), [self.empty]):
            for column, cell in zip(self._columns, cells, strict=False):
                if isinstance(column, ChoiceColumn) and isinstance(cell, ChoiceField):
                    cell.set_choices(column.choices)

    def restore(self) -> None:
        """Show the lines as they are where an entry was refused by whoever was told of it."""
        for row in self.rows:
            row.restore()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if not isinstance(self.empty, ChoiceField):
            self.empty.set_display(display)  # type: ignore[attr-defined]
        for row in self.rows:
            row.set_display(display)

    def _insert_row(self, index: int) -> None:
        row = LineRow(self._columns, self._details, self._display)
        row.entered.connect(self.entered)
        row.changed.connect(self._tell_change)
        row.removed.connect(self._tell_removal)
        row.finished.connect(self._go_on)
        self.rows.insert(index, row)
        self._column.insertWidget(index, row)
        row.show()  # at once, so that it can take the focus before the layout gets to it
        after = self.rows[index + 1].cells[0] if index + 1 < len(self.rows) else self.empty
        link([after, *row.chain(), after])  # the row behind what follows it, and then that behind the row

    def _drop_row(self, index: int) -> None:
        row = self.rows.pop(index)
        focused = QApplication.focusWidget()
        had_focus = focused is not None and row.isAncestorOf(focused)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        if had_focus:
            go_to(self.rows[index].cells[0] if index < len(self.rows) else self.empty)

    def _add(self, value: object) -> None:
        before = list(self.rows)
        if isinstance(self.empty, ChoiceField):
            self.empty.show_key(None)
        else:
            self.empty.show_value(None)
        self.added.emit(value)
        for row in self.rows:
            if row not in before:
                go_to(row.cells[min(1, len(row.cells) - 1)])

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # Enter in the last row goes to the new line, not from there to the next field.
        is_enter = event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in ENTER
        if watched is self.empty and is_enter and isinstance(self.empty, CommitLine):
            if self.empty.accept() and self.empty.hasFocus():
                self.empty.focusNextChild()
            return True
        return super().eventFilter(watched, event)

    def _tell_change(self, changes: object) -> None:
        self.changed.emit(self._index_of_sender(), changes)

    def _tell_removal(self) -> None:
        self.removed.emit(self._index_of_sender())

    def _go_on(self) -> None:
        index = self._index_of_sender() + 1
        go_to(self.rows[index].cells[0] if index < len(self.rows) else self.empty)

    def _index_of_sender(self) -> int:
        sender = self.sender()
        return next(index for index, row in enumerate(self.rows) if row is sender)


def _common(one: Sequence[object], other: Sequence[object]) -> int:
    """How many objects at the beginning are the same."""
    count = 0
    for a, b in zip(one, other, strict=False):
        if a is not b:
            break
        count += 1
    return count
