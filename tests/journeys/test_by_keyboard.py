"""From the first start to a saved batch and its report, by the keyboard alone."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QApplication

from planner.document.codec import decode
from planner.ui.shell.finder import Finder

CTRL, NONE = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.NoModifier


class Keyboard:
    """Presses keys where the focus is; nothing else is touched."""

    def __init__(self, made):
        self.made, self.qtbot = made, made.qtbot

    @property
    def focused(self):
        return QApplication.focusWidget() or self.made.window.focusWidget()

    def type(self, text):
        self.qtbot.keyClicks(self.focused, text)

    def press(self, key, modifiers=NONE):
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


def test_that_a_batch_is_made_logged_saved_and_reported_by_the_keyboard_alone(visit, tmp_path):
    file, report = tmp_path / "quince.meadbatch", tmp_path / "report.txt"
    made = visit(file, report)
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
