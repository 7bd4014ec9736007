"""A pane that folds to a strip with its name on it, by one click or key."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QSplitter, QToolButton, QVBoxLayout, QWidget

from planner.ui.tab_order import follow

_UNBOUNDED = (1 << 24) - 1
"""Qt's own bound of sizes. [px]"""


class Strip(QToolButton):
    """What is left of a folded pane: its name, written upwards."""

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.height() + 10, metrics.horizontalAdvance(self.text()) + 24)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        if self.underMouse() or self.hasFocus():
            painter.fillRect(self.rect(), self.palette().midlight())
        painter.setPen(self.palette().windowText().color())
        painter.translate(0, self.height())
        painter.rotate(-90.0)
        flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(0, 0, self.height() - 12, self.width(), flags, f"{self.text()}  ▸")
        painter.end()


class FoldingPane(QWidget):
    """A pane whose content can be folded away; until it is put in, the room for it is empty.

    `figures` is the width that it wants to be read with ease; without a head it is folded by key alone.

    Signal: `folded_changed` with whether it is folded now.
    """

    folded_changed = Signal(bool)

    def __init__(self, title: str, figures: int = 0, headed: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._figures, self._headed = figures, headed
        self._is_folded = False
        self._was_wide = 0
        name = QLabel(title)
        font = name.font()
        font.setBold(True)
        name.setFont(font)
        fold = QToolButton()
        fold.setText("◂")
        fold.setAutoRaise(True)
        fold.setToolTip(f"Fold {title.lower()} away")
        fold.setAccessibleName(f"Fold {title.lower()} away")
        fold.clicked.connect(self.fold)
        self._fold = fold
        self._head = QWidget()
        row = QHBoxLayout(self._head)
        row.setContentsMargins(10, 4, 4, 0)
        row.addWidget(name, 1)
        row.addWidget(fold)
        self._strip = Strip()
        self._strip.setText(title)
        self._strip.setToolTip(f"Unfold {title.lower()}")
        self._strip.setAccessibleName(f"Unfold {title.lower()}")
        self._strip.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self._strip.clicked.connect(self._open_strip)
        self._room = QWidget()
        inner = QVBoxLayout(self._room)
        inner.setContentsMargins(0, 0, 0, 0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self._head)
        layout.addWidget(self._room, 1)
        layout.addWidget(self._strip, 1)
        self._arrange()

    def put_in(self, content: QWidget) -> None:
        """Put the content into its room."""
        room = self._room.layout()
        assert room is not None
        room.addWidget(content)
        follow(self._fold, content)

    def minimumSizeHint(self) -> QSize:
        least = super().minimumSizeHint()
        inner = self._room.layout()
        is_empty = inner is None or inner.isEmpty()
        return least.expandedTo(QSize(self.wanted_width(), 0)) if is_empty and not self._is_folded else least

    def wanted_width(self) -> int:
        """Width that it wants while it is open: that of what it holds, and enough to be read with ease. [px]"""
        least = max(self._room.minimumSizeHint().width(), self._head.minimumSizeHint().width() if self._headed else 0)
        return max(least, self._figures * self.fontMetrics().horizontalAdvance("0"))

    def strip_width(self) -> int:
        """Width while it is folded. [px]"""
        return self._strip.sizeHint().width()

    def holds(self, widget: QWidget) -> bool:
        """Whether a widget is a part of the content."""
        return self._room.isAncestorOf(widget)

    @property
    def is_folded(self) -> bool:
        """Whether only the strip is shown."""
        return self._is_folded

    def set_folded(self, folded: bool) -> None:
        """Fold or unfold."""
        if folded != self._is_folded:
            self._is_folded = folded
            self._arrange()
            self.folded_changed.emit(folded)

    def fold(self) -> None:
        """Show only the strip."""
        self.set_folded(True)

    def unfold(self) -> None:
        """Show the content."""
        self.set_folded(False)

    def toggle(self) -> None:
        """Fold if it is unfolded, unfold if it is folded."""
        self.set_folded(not self._is_folded)

    def _open_strip(self) -> None:
        self.unfold()
        if self._headed:
            self._fold.setFocus(Qt.FocusReason.OtherFocusReason)  # the strip that had it is gone

    def _arrange(self) -> None:
        splitter = self.parentWidget()
        before = splitter.sizes() if isinstance(splitter, QSplitter) else []
        if self._is_folded and before and self.isVisible():
            self._was_wide = self.width()
        self._head.setVisible(self._headed and not self._is_folded)
        self._room.setVisible(not self._is_folded)
        self._strip.setVisible(self._is_folded)
        if self._is_folded:
            self.setFixedWidth(self.strip_width())
        else:
            self.setMinimumWidth(0)  # as wide as what it holds, at least
            self.setMaximumWidth(_UNBOUNDED)
        if isinstance(splitter, QSplitter):
            self._give_room(splitter, before)

    def _give_room(self, splitter: QSplitter, sizes: list[int]) -> None:
        """Let the widest neighbour take what is no longer needed, or give it back; a splitter would leave it empty."""
        place = splitter.indexOf(self)
        width = self.strip_width() if self._is_folded else max(self.wanted_width(), self._was_wide)
        others = (splitter.widget(n) for n in range(len(sizes)) if n != place)
        open_ones = (splitter.indexOf(other) for other in others if other and other.maximumWidth() == _UNBOUNDED)
        neighbour = max(open_ones, key=sizes.__getitem__, default=place)
        sizes[neighbour] += sizes[place] - width
        sizes[place] = width
        splitter.setSizes(sizes)
