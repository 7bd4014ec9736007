"""What is typed in the window but not entered: a reading in its line, a cell being edited, a text that was refused."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QWidget

from planner.ui.asking import Answer, Ask
from planner.ui.curve.pane import CurvePane
from planner.ui.widgets.fields import CommitLine


class Unentered(QObject):
    """Asks about what would be lost when the batch is left, and hands out what a crash shall not take.

    Signal: `changed` when something else is typed in the line of a reading.
    """

    changed = Signal()

    def __init__(self, window: QWidget, curve: CurvePane, ask: Ask) -> None:
        super().__init__(window)
        self._window, self._curve, self._ask = window, curve, ask
        curve.typed_changed.connect(self.changed)

    def texts(self) -> dict[str, str]:
        """What stands in the line of a reading, by field; nothing where it is empty."""
        log = self._curve.made_log()
        return {} if log is None else log.form.typed

    def bring_back(self, texts: dict[str, str]) -> None:
        """Put the texts of a reading back into its line."""
        if texts:
            self._curve.form.bring_back(texts)

    def may_leave(self) -> bool:
        """Whether all that was typed is entered, or given up by the person."""
        return self._is_line_left() and self._are_refusals_left()

    def forget(self) -> None:
        """Another batch is about to be shown: nothing that was typed for this one wanders into it."""
        log = self._curve.made_log()
        if log is not None:
            log.table.give_up_editing()
            log.form.clear()
        for line in self._window.findChildren(CommitLine):
            if line.is_pending and line.window() is self._window:
                line.restore()

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
        refused = [line for line in self._window.findChildren(CommitLine)
                   if line.is_pending and line.window() is self._window]  # fmt: skip
        told = [f"“{line.text()}” ({line.accessibleName() or 'a field'})" for line in refused]
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
