"""A real window, put together by the program's own composition root, on settings and files of the test."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, QSettings, Qt
from PySide6.QtWidgets import QWidget

from planner.app import build
from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.reference.shipped import samples
from planner.ui.settings import Settings
from planner.ui.shell.window import Window
from tests.helpers import ScriptedAsk


@dataclass
class Visit:
    """A window and a person before it."""

    qtbot: object
    window: Window
    ask: ScriptedAsk

    @property
    def batch(self) -> Batch:
        return self.window.store.batch

    @property
    def outcome(self) -> Outcome:
        """What follows from the present batch, once it is worked out in full."""
        self.qtbot.waitUntil(self._is_ready, timeout=20_000)
        return self.window.outcome

    def _is_ready(self) -> bool:
        outcome = self.window.outcome
        return not self.window.recalculator.is_busy and outcome is not None and outcome.batch == self.batch

    def type(self, field: QWidget, text: str) -> None:
        """Put the cursor into a field, replace what is there, and press Enter."""
        field.setFocus()
        field.selectAll()
        self.qtbot.keyClicks(field, text)
        self.qtbot.keyClick(field, Qt.Key.Key_Return)

    def choose(self, field: QWidget, key: str) -> None:
        """Choose an entry of a list by its key."""
        index = field.findData(key)
        assert index >= 0, f"{key} is not offered"
        field.setCurrentIndex(index)
        field.activated.emit(index)

    def act(self, name: str) -> None:
        """Trigger an entry of the menus."""
        self.window.menus.actions[name].trigger()

    def open_sample(self, name: str) -> None:
        self.window.documents.open_sample(samples() / f"{name}.meadbatch")


@pytest.fixture
def visit(qtbot, tmp_path):
    """Opens windows; each is closed at the end, whatever happened."""
    opened: list[Visit] = []

    def open_window(*answers: object, sample: str | None = None, file: Path | None = None) -> Visit:
        store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
        ask = ScriptedAsk(*answers)
        window = build(Settings(store, QLocale("en_GB")), tmp_path / "copies", ask, delay_ms=0)
        made = Visit(qtbot, window, ask)
        opened.append(made)
        if sample is not None:
            made.open_sample(sample)
        if file is not None:
            window.documents.load(file)
        with qtbot.waitExposed(window):
            window.show()
        return made

    open_window.forget = opened.remove
    yield open_window
    for made in opened:
        made.window.unentered.forget()
        made.window.store.mark_saved()
        made.window.close()
        made.window.deleteLater()
