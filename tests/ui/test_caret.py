"""The bar that blinks where letters go."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from planner.ui.shell.caret import Caret


def test_that_it_rests_after_a_while_and_blinks_again_in_another_field(qtbot, monkeypatch):
    application = QApplication.instance()
    usual = application.styleHints().cursorFlashTime()
    caret = Caret(application)
    try:
        pane = QWidget()
        qtbot.addWidget(pane)
        one, other = QLineEdit(pane), QLineEdit(pane)
        pane.show()
        qtbot.waitExposed(pane)
        one.setFocus()
        assert application.styleHints().cursorFlashTime() == usual > 0
        caret._timer.timeout.emit()
        assert application.styleHints().cursorFlashTime() == 0
        pane.activateWindow()
        other.setFocus()
        application.focusChanged.emit(one, other)
        assert application.styleHints().cursorFlashTime() == usual
    finally:
        application.focusChanged.disconnect(caret._blink)
        caret.deleteLater()
        application.styleHints().setCursorFlashTime(usual)
