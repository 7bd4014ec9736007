"""What is typed in the window but not entered: a reading in its line, a cell being edited, a text that was refused."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget

from planner.ui.asking import Answer, Ask
from planner.ui.curve.pane import CurvePane
from planner.ui.widgets.fields import CommitLine

if TYPE_CHECKING:
    from planner.ui.widgets.search_field import SearchField

_FIELD, _CELL, _FOLLOWED = "field ", "cell ", "followed"
"""What the names of texts begin with in a copy, and the mark of a line that is listened to."""


class Unentered(QObject):
    """Asks about what would be lost when the batch is left, and hands out what a crash shall not take.

    Signal: `changed` when something else is typed anywhere in the window.
    """

    changed = Signal()

    def __init__(self, window: QWidget, curve: CurvePane, ask: Ask) -> None:
        super().__init__(window)
        self._window, self._curve, self._ask = window, curve, ask
        self._told: dict[str, str] = {}
        curve.typed_changed.connect(self._tell)
        self._soon = QTimer(self)  # `singleShot` with its context would keep the window for ever
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._tell)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._listen)

    def texts(self) -> dict[str, str]:
        """What is typed and not entered, by field; nothing where all is entered."""
        log = self._curve.made_log()
        typed = {} if log is None else log.form.typed
        if log is not None and (cell := log.table.typed):
            row, column, text = cell
            typed[f"{_CELL}{row} {column}"] = text
        return typed | {name: _text(field) for name, field in self._fields() if field.is_pending}

    def bring_back(self, texts: dict[str, str]) -> None:
        """Put texts back where they were typed; what has no place any more is told."""
        if not texts:
            return
        fields, lost = dict(self._fields()), []
        self._curve.form.bring_back(texts)
        for name, text in texts.items():
            if name.startswith(_CELL):
                row, _, column = name.removeprefix(_CELL).partition(" ")
                is_back = self._curve.table.bring_back(int(row), int(column), text)
            elif name.startswith(_FIELD):
                is_back = name in fields
                if is_back:
                    _write(fields[name], text)
            else:
                is_back = True
            if not is_back:
                lost.append(f"“{text}”")
        if lost:
            self._ask.tell("Some of what you typed and did not enter has no field now.", f"It was {', '.join(lost)}.")
        self._tell()

    def may_leave(self) -> bool:
        """Whether all that was typed is entered, or given up by the person."""
        return self._is_line_left() and self._are_refusals_left()

    def forget(self) -> None:
        """Another batch is about to be shown: nothing that was typed for this one wanders into it."""
        log = self._curve.made_log()
        if log is not None:
            log.table.give_up_editing()
            log.form.clear()
        for _, field in self._fields():
            if field.is_pending:
                field.restore()

    def _fields(self) -> Iterator[tuple[str, CommitLine | SearchField]]:
        """The fields of the window outside the line of a reading, each with a name of its own."""
        from planner.ui.widgets.search_field import SearchField  # the frame is shown without it

        log = self._curve.made_log()
        drafts = () if log is None else log.form.drafts.values()
        met: dict[str, count[int]] = {}
        every: list[CommitLine | SearchField] = [*self._window.findChildren(CommitLine)]
        every += self._window.findChildren(SearchField)
        for field in every:
            if field.window() is self._window and field not in drafts:
                name = field.accessibleName()
                yield f"{_FIELD}{name} {next(met.setdefault(name, count(1)))}", field

    def _listen(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Hear of each change in a line of the window, from when somebody first goes into it."""
        line = now.lineEdit() if isinstance(now, QComboBox) else now
        if isinstance(line, QLineEdit) and line.window() is self._window and not line.property(_FOLLOWED):
            line.setProperty(_FOLLOWED, True)
            line.textChanged.connect(self._tell)
        # What was left is entered by now, or refused; a cell that was left is still open in this turn.
        self._soon.start()

    def _tell(self) -> None:
        texts = self.texts()
        if texts != self._told:
            self._told = texts
            self.changed.emit()

    def _is_line_left(self) -> bool:
        log = self._curve.made_log()
        typed = {} if log is None else log.form.typed
        if log is None or not typed:
            return True
        answer = self._ask.add_typed(" · ".join(text for name, text in typed.items() if name != "kind"))
        if answer is Answer.SAVE:
            return log.form.add()
        if answer is Answer.DISCARD:
            log.form.clear()
        return answer is Answer.DISCARD

    def _are_refusals_left(self) -> bool:
        log = self._curve.made_log()
        focused = QApplication.focusWidget()
        if isinstance(focused, CommitLine) and focused.window() is self._window:
            focused.accept()
        refused = [field for _, field in self._fields() if field.is_pending]
        told = [f"“{_text(field)}” ({field.accessibleName() or 'a field'})" for field in refused]
        if log is not None and (cell := log.table.finish_editing()):
            told.append(f"“{cell}” (the log)")
        if not told:
            return True
        agreed = self._ask.confirm("Discard what you typed and did not enter?", f"{', '.join(told)}.", "Discard")
        if agreed:
            for line in refused:
                line.restore()
            if log is not None:
                log.table.give_up_editing()
        elif refused:
            refused[0].setFocus()
        return agreed


def _text(field: CommitLine | SearchField) -> str:
    return field.text() if isinstance(field, CommitLine) else field.currentText()


def _write(field: CommitLine | SearchField, text: str) -> None:
    if isinstance(field, CommitLine):
        field.setText(text)
    else:
        field.setEditText(text)
