"""All doubts about a batch in one list, the gravest first; a window of its own that never blocks."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtWidgets import QDialog, QListView, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import LEVELS, icon, in_words
from planner.wording.finding import Finding


class FindingsList(QDialog):
    """The list. Signal: `chosen` with the place of the finding that was clicked."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Doubts")
        fit(self, figures=80, lines=27)
        self._list = QListWidget()
        self._list.setWordWrap(True)
        self._list.setSpacing(3)
        self._list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self._list.setResizeMode(QListView.ResizeMode.Adjust)
        self._list.setAccessibleName("Doubts")
        self._list.itemActivated.connect(self._choose)
        self._list.itemClicked.connect(self._choose)
        self._empty = Label("There are no doubts about this batch.")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        layout = QVBoxLayout(self)
        layout.addWidget(self._list)
        layout.addWidget(self._empty)

    def show_findings(self, findings: tuple[Finding, ...], display: Display) -> None:
        """Show these doubts; what is said of many readings alike once, with the first of them."""
        self._list.clear()
        told: dict[str, list[Finding]] = {}
        for finding in findings:
            told.setdefault(f"{LEVELS[finding.level]}: {in_words(finding.text, display)}", []).append(finding)
        for text, (finding, *others) in told.items():
            item = QListWidgetItem(text + (f" And {len(others)} more like it." if others else ""))
            item.setIcon(icon(finding.level, self._list))
            item.setData(Qt.ItemDataRole.UserRole, finding.place)
            self._list.addItem(item)
        self._list.setVisible(bool(findings))
        self._empty.setVisible(not findings)

    def stand_under(self, badge: QWidget) -> None:
        """Where the badge that opened it is."""
        corner = badge.mapToGlobal(QPoint(badge.width() - self.frameGeometry().width(), badge.height()))
        self.move(max(corner.x(), 0), corner.y())
        self._list.setFocus()

    def _choose(self, item: QListWidgetItem) -> None:
        self.chosen.emit(str(item.data(Qt.ItemDataRole.UserRole)))
