"""Before and after the additions, as a small table whose columns stay where they are while its numbers change."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from planner.adjusting.mead import Mead
from planner.ui import theme
from planner.ui.adjust.base_text import SEEMING_HOVER, seeming_text
from planner.ui.adjust.before_after import Change, changes, ranges_text
from planner.ui.adjust.tool import dim, write
from planner.ui.display import MINUS, Display
from planner.ui.theme import set_tone
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small

_HEADINGS = ("", "", "before", "after", "change", "steps")
_WIDEST = ("", "", "0.000", "0.000", f"{MINUS}0.000", "00.0")
"""Numbers for which each column keeps room."""
_VALUES = 2
"""The first column that holds numbers."""
_STEPS_HOVER = "The change in steps that tasters can just notice; “<1” is a change that few would."


class ChangeTable(QWidget):
    """Volume, gravity, alcohol, sweetness, body, acid and sugar: before, after, change, and steps a taster notices."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._mead: Mead | None = None
        self._serving = 0.0
        self._vessel: float | None = None
        self._rows: list[tuple[Label, ...]] = []
        self._shown: tuple[Change, ...] = ()
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        for column, text in enumerate(_HEADINGS):
            self._grid.addWidget(self._heading(text), 0, column)
            self._grid.setColumnMinimumWidth(column, self._room(_WIDEST[column]))
        self.ranges = dim("")
        """How far the figures after may lie from what is told."""
        self.ranges.setAccessibleName("Ranges after the additions")
        self.seems = dim("")
        """How the mead after will seem."""
        self.seems.setAccessibleName("How it will seem after the additions")
        self.seems.setToolTip(SEEMING_HOVER)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(3)
        box.addLayout(self._grid)
        box.addWidget(self.seems)
        box.addWidget(self.ranges)

    @property
    def shown(self) -> tuple[Change, ...]:
        """The rows as they stand."""
        return self._shown

    @property
    def rows(self) -> list[tuple[Label, ...]]:
        """The widgets of each row: its caption, unit, before, after, change and steps."""
        return self._rows

    def show_mead(self, mead: Mead, serving_temperature: float, vessel: float | None = None) -> None:
        """Show a mead before and after."""
        self._mead, self._serving, self._vessel = mead, serving_temperature, vessel
        self._show_rows(changes(mead, serving_temperature, self._display, vessel))
        write(self.seems, f"After: {seeming_text(mead.after, mead.ph)}")
        write(self.ranges, ranges_text(mead, self._display))
        self.ranges.setVisible(bool(self.ranges.text()))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if self._mead is not None:
            self.show_mead(self._mead, self._serving, self._vessel)

    def set_stale(self, stale: bool) -> None:
        """Dim the numbers while newer ones are being worked out."""
        for row in self._rows:
            for label in row[_VALUES:]:
                set_tone(label, "dim" if stale else "")

    def _show_rows(self, rows: tuple[Change, ...]) -> None:
        while len(self._rows) < len(rows):
            self._add_row()
        self._shown = rows
        for place, labels in enumerate(self._rows):
            if labels[0].isHidden() != (place >= len(rows)):
                for label in labels:
                    label.setVisible(place < len(rows))
        for labels, row in zip(self._rows, rows, strict=False):
            for label, text in zip(labels, row, strict=False):
                if label.text() != text:
                    label.setText(text)
                label.setToolTip(row.hover)
            for label, what in zip(labels[_VALUES:], _HEADINGS[_VALUES:], strict=True):
                label.setAccessibleName(f"{row.caption}, {what}: {label.text()} {row.unit}".strip())
            if row.steps:
                labels[-1].setToolTip(f"{_STEPS_HOVER} {row.hover}")

    def _add_row(self) -> None:
        labels = tuple(self._cell(column) for column in range(len(_HEADINGS)))
        for column, label in enumerate(labels):
            self._grid.addWidget(label, len(self._rows) + 1, column)
        self._rows.append(labels)

    def _cell(self, column: int) -> Label:
        label = Label()
        if column == 1:
            label.setFont(small(label.font()))
            set_tone(label, "dim")
        if column >= _VALUES:
            label.setFont(self._figures(bold=_HEADINGS[column] == "after"))
            label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return label

    def _heading(self, text: str) -> Label:
        label = Label(text)
        label.setFont(small(label.font()))
        label.setAlignment(Qt.AlignmentFlag.AlignRight)
        set_tone(label, "dim")
        if text == "steps":
            label.setToolTip(_STEPS_HOVER)
        return label

    def _figures(self, bold: bool = False) -> QFont:
        font = theme.tabular(self.font())
        font.setBold(bold)
        return font

    def _room(self, text: str) -> int:
        return Label(text).fontMetrics().horizontalAdvance(text)
