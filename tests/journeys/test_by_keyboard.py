"""From the first start to a saved and printed batch, by the keyboard alone."""

from __future__ import annotations

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QApplication

from planner.document.codec import decode
from planner.ui.papers.dialog import PapersDialog
from planner.ui.shell.finder import Finder

CTRL, NONE = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.NoModifier


class Keyboard:
    """Presses keys where the focus is; nothing else is touched."""

    def __init__(self, made):
        self.made, self.qtbot = made, made.qtbot

    @property
    def focused(self):
        window = QApplication.activeWindow() or self.made.window
        return QApplication.focusWidget() or window.focusWidget() or window

    def type(self, text):
        self.qtbot.keyClicks(self.focused, text)

    def press(self, key, modifiers=NONE):
        if QApplication.activeWindow() is None:
            self.made.window.activateWindow()  # no window manager does it here when a window closes
        QCoreApplication.processEvents()
        self.qtbot.keyClick(self.focused, key, modifiers)
        QCoreApplication.processEvents()

    def command(self, words):
        """Find a command by its words, and do it."""
        self.press(Qt.Key.Key_K, CTRL)
        finder = self.made.window.findChild(Finder)
        self.qtbot.keyClicks(finder.line, words)
        self.qtbot.keyClick(finder.line, Qt.Key.Key_Return)
        QCoreApplication.processEvents()


# A note that pops up is a window of its own, which the offscreen platform cannot raise.
@pytest.mark.qt_log_ignore("does not support raise")
def test_that_a_batch_is_made_logged_saved_reported_and_printed_by_the_keyboard_alone(visit, tmp_path):
    file, report, printed = (tmp_path / name for name in ("quince.meadbatch", "report.txt", "quince.pdf"))
    made = visit(file, report, printed)
    made.window.first.show_page()
    made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
    made.window.activateWindow()
    keys = Keyboard(made)
    keys.type("9 kg quinces")
    keys.press(Qt.Key.Key_Return)
    made.qtbot.waitUntil(lambda: made.window.focusWidget() is made.window.recipe.fruit.editor.rows[0].cells[1])
    keys.type("8 kg")
    keys.press(Qt.Key.Key_Return)
    assert [(line.key, line.mass) for line in made.batch.recipe.fruits] == [("quince", 8.0)]
    keys.command("enter a reading")
    assert made.window.focusWidget() is made.window.curve.form.value
    keys.type("1.090")
    keys.press(Qt.Key.Key_Return)
    assert len(made.batch.log.readings) == 1
    assert made.outcome.must is not None
    keys.press(Qt.Key.Key_S, CTRL)
    assert decode(file.read_bytes()) == made.batch
    keys.command("export report")
    assert "Quince" in report.read_text(encoding="utf-8")
    keys.press(Qt.Key.Key_P, CTRL)
    made.qtbot.waitUntil(lambda: isinstance(QApplication.activeWindow(), PapersDialog))
    papers = QApplication.activeWindow()
    made.qtbot.waitUntil(lambda: papers.print.isEnabled() and not papers.drawing.is_busy, timeout=30_000)
    keys.press(Qt.Key.Key_Return)  # printing is what the window is for
    made.qtbot.waitUntil(lambda: papers.state.text() == "Sent to the printer", timeout=30_000)
    assert len(PdfReader(printed).pages) == len(papers.pages)
    keys.press(Qt.Key.Key_Escape)
    assert QApplication.activeWindow() is not papers
