"""The line at the foot of the window: the last change, what is watched, the number of doubts, and units in use."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIcon, QUndoStack
from PySide6.QtWidgets import QStatusBar, QToolButton

from planner.ui.display import Display
from planner.ui.settings import Settings
from planner.ui.theme import set_tone
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import counted, icon
from planner.units import GravityScale, System
from planner.wording.finding import Finding, Level

_REFERENCE = 293.15
"""Temperature to which gravities are corrected. [K]"""


class StatusLine(QStatusBar):
    """Signals: `findings_wanted`, `end_of_watch_wanted` and `file_wanted` when the button of each is pressed."""

    findings_wanted = Signal()
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
        self.counted = _button("All doubts about this batch (F4)")
        self.counted.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.habits = Label()
        self.addWidget(self._last_change, 1)
        for part in (self.file, self.watched, self.pinned, self.counted, self.habits):
            self.addPermanentWidget(part)
        self.file.clicked.connect(self.file_wanted)
        self.watched.clicked.connect(self.end_of_watch_wanted)
        self.counted.clicked.connect(self.findings_wanted)
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

    def tell_findings(self, findings: tuple[Finding, ...] | None) -> None:
        """Say how many doubts there are, with the sign of the gravest; None while that is not known yet."""
        self.counted.setText("…" if findings is None else counted(findings))
        gravest = max((finding.level for finding in findings or ()), default=Level.NOTE)
        set_tone(self.counted, {Level.ERROR: "problem", Level.WARNING: "warning"}.get(gravest, ""))
        self.counted.setIcon(icon(gravest, self.counted) if findings else QIcon())

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
