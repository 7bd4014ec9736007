"""The line at the foot of the window: the last change, what is watched, and units in use."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import QStatusBar, QToolButton

from planner.ui.display import Display
from planner.ui.settings import Settings
from planner.ui.theme import set_tone
from planner.ui.widgets.label import Label
from planner.units import GravityScale, System

_REFERENCE = 293.15
"""Temperature to which gravities are corrected. [K]"""


class StatusLine(QStatusBar):
    """Signals: `end_of_watch_wanted` and `file_wanted` when the button of each is pressed."""

    file_wanted = Signal()
    end_of_watch_wanted = Signal()
    unpin_wanted = Signal()

    def __init__(self, undo_stack: QUndoStack, settings: Settings) -> None:
        super().__init__()
        self._undo_stack, self._settings = undo_stack, settings
        self._last_change = Label()
        self._last_change.setContentsMargins(4, 0, 0, 0)  # where the bar itself writes what is said
        self.file = _button("Saving asks before it replaces what something else wrote")
        set_tone(self.file, "warning")
        self.watched = _button("Stop watching")
        self.pinned = _button("Unpin the design (Ctrl+T)")
        self.pinned.setText("pinned design  ✕")
        self.pinned.clicked.connect(self.unpin_wanted)
        self.pinned.hide()
        self.habits = Label()
        self.addWidget(self._last_change, 1)
        for part in (self.file, self.watched, self.pinned, self.habits):
            self.addPermanentWidget(part)
        self.file.clicked.connect(self.file_wanted)
        self.watched.clicked.connect(self.end_of_watch_wanted)
        undo_stack.indexChanged.connect(self._show_last_change)
        self.tell_habits()
        self.tell_watch("")
        self.tell_file("")

    def tell_last_change(self) -> None:
        """Name the change that undo would take back; what was said of the one before is over."""
        self.clearMessage()
        text = self._undo_stack.undoText()
        self._last_change.setText(f"Last change: {text}" if text else "")

    def _show_last_change(self) -> None:
        """An edit, an undo or another batch: what was said before is no longer the news."""
        self.clearMessage()
        self.tell_last_change()

    def tell_file(self, text: str) -> None:
        """Say what happened to the batch's file behind the program's back; nothing where nothing did."""
        self.file.setText(text)
        self.file.setVisible(bool(text))

    def tell_pinned(self, pinned: bool) -> None:
        """Say that figures tell what changed since a design was pinned."""
        self.pinned.setVisible(pinned)

    def tell_watch(self, text: str) -> None:
        """Say which file is watched; nothing where none is."""
        self.watched.setText(f"{text}  ✕")
        self.watched.setVisible(bool(text))

    def tell_habits(self) -> None:
        """Say in which units and scale numbers are."""
        units = "metric" if self._settings.system == System.METRIC else "US units"
        scale = "specific gravity" if self._settings.gravity_scale == GravityScale.SG else "°Brix"
        reference = Display(system=self._settings.system).temperature(_REFERENCE)
        self.habits.setText(f"{units} · {scale} at {reference}  ")


def _button(hint: str) -> QToolButton:
    button = QToolButton()
    button.setAutoRaise(True)
    button.setToolTip(hint)
    return button
