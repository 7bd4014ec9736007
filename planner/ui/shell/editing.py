"""The part of the window that does what its menu of edits does: cut, copy, paste and find, wherever the focus is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget

from planner.ui.shell.file_actions import is_accepted
from planner.ui.shell.viewing import Viewing

if TYPE_CHECKING:
    from planner.ui.shell.search_index import Place


class Editing(Viewing):
    """What the menu of edits does; the window itself says to what."""

    def cut(self) -> None:
        _tell(_focused(), "cut")

    def copy(self) -> None:
        """Copy what has the focus: text, rows of a table, a result, or the curve as a picture."""
        _tell(_focused(), "copy")

    def paste(self) -> None:
        """Paste into a field; readings, where the focus is in the log and several lines were copied."""
        log = self.curve.made_log()
        widget = _focused()
        in_log = log is not None and widget is not None and log.isAncestorOf(widget)
        if in_log and (not isinstance(widget, QLineEdit) or holds_table()):
            self.paste_readings()
        else:
            _tell(widget, "paste")

    def select_all(self) -> None:
        _tell(_focused(), "selectAll")

    def find_anything(self) -> None:
        """Search commands, fields, ingredients, doubts and notes of the log."""
        from planner.ui.shell.finder import Finder
        from planner.ui.shell.search_index import found_in

        if is_accepted():
            Finder(found_in(self.place), self).open_over(self)

    def paste_readings(self) -> None:
        """Take readings that were copied."""
        raise NotImplementedError

    @property
    def place(self) -> Place:
        """What can be found."""
        raise NotImplementedError


def holds_table() -> bool:
    """Whether several lines were copied, which no field takes."""
    return len(QGuiApplication.clipboard().text().strip().splitlines()) > 1


def _focused() -> QWidget | None:
    widget = QApplication.focusWidget()
    line = widget.lineEdit() if isinstance(widget, QComboBox) else None
    return widget if line is None else line


def _tell(widget: QWidget | None, act: str) -> None:
    """Let a widget do what it can."""
    done = getattr(widget, act, None)
    if callable(done):
        done()
