"""What is to be said about an import: remarks, some with a button that mends it, and the rows that cannot be read."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from planner.importing.reading import Mapping, Notice, Refusal
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import Mark
from planner.wording.finding import Level

LISTED = 50
"""Rows that are listed one by one."""

_LINES_IN_SIGHT = 7.5
"""The half line tells that there is more."""


class ImportRemark(QWidget):
    """One remark, with a button where something else may be tried. Signal: `taken` with the mapping to try."""

    taken = Signal(object)

    def __init__(self, notice: Notice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mapping: Mapping | None = notice.mapping
        mark = Mark(notice.level, self)
        label = Label(notice.text)
        label.setWordWrap(True)
        set_tone(label, "dim" if notice.level == Level.NOTE else "")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(label, 1, Qt.AlignmentFlag.AlignTop)
        self.button: Button | None = None
        if notice.mapping is not None:
            self.button = Button(notice.offer)
            self.button.setAutoDefault(False)
            self.button.setAccessibleDescription(notice.text)
            self.button.clicked.connect(self._offer)
            row.addWidget(self.button, 0, Qt.AlignmentFlag.AlignTop)

    def _offer(self) -> None:
        self.taken.emit(self._mapping)


class ImportRemarks(QScrollArea):
    """All remarks; of a fixed height, so that nothing moves when they change. Signal: `taken` with a mapping to try."""

    taken = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[Notice, ...] = ()
        self._remarks: list[ImportRemark] = []
        self._inside = QWidget()
        self._column = QVBoxLayout(self._inside)
        self._column.setContentsMargins(0, 0, 4, 0)
        self._column.setSpacing(4)
        self._column.addStretch(1)
        self.setWidget(self._inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFixedHeight(round(_LINES_IN_SIGHT * (self.fontMetrics().height() + 4)))
        self.setAccessibleName("Remarks on the import")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setAutoFillBackground(False)
        self._inside.setAutoFillBackground(False)

    @property
    def remarks(self) -> Sequence[ImportRemark]:
        """What is shown."""
        return self._remarks

    def texts(self) -> list[str]:
        """The sentences shown."""
        return [notice.text for notice in self._shown]

    def show_notices(self, notices: Sequence[Notice], refused: Sequence[Refusal]) -> None:
        """Show these remarks, and which rows cannot be read."""
        offers = [notice for notice in notices if notice.mapping is not None]
        others = [notice for notice in notices if notice.mapping is None]
        wanted = (*offers, *_of_rows(refused), *others)
        if wanted == self._shown:
            return
        self._shown = wanted
        for remark in self._remarks:
            self._column.removeWidget(remark)
            remark.hide()
            remark.deleteLater()
        self._remarks = [ImportRemark(notice, self._inside) for notice in wanted]
        for place, remark in enumerate(self._remarks):
            remark.taken.connect(self.taken)
            self._column.insertWidget(place, remark)
        self.verticalScrollBar().setValue(0)


def _of_rows(refused: Sequence[Refusal]) -> tuple[Notice, ...]:
    """The rows that cannot be read as one remark, a line for each."""
    if not refused:
        return ()
    lines = [f"Line {refusal.line}. {refusal.text}" for refusal in refused[:LISTED]]
    if len(refused) > LISTED:
        lines.append(f"And {len(refused) - LISTED} more rows.")
    heading = "This row cannot be read:" if len(refused) == 1 else "These rows cannot be read:"
    return (Notice("\n".join((heading, *lines)), level=Level.WARNING),)
