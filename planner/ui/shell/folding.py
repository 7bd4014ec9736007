"""A pane that folds to a strip with its name on it, by one click or key."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QSplitter, QToolButton, QVBoxLayout, QWidget

from planner.ui.tab_order import follow, stops
from planner.ui.theme import TITLE, colours_on, set_ground, set_tone, sized
from planner.ui.widgets.label import Label
from planner.ui.widgets.picture import Picture

_LINE, _FRAME = 3, 1
"""The line above the sheet and the frame at its sides. [px]"""
_MARGIN = 10
"""Between the content and the edges of the pane. [px]"""
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

    One of the panes is the sheet: lighter, framed, with a line of the accent above and the sentence on the batch. The
    others lie quietly on the ground. `quiet` and `as_sheet` are the widths that it wants to be read with ease. [figures]

    Signal: `folded_changed` with whether it is folded now.
    """

    folded_changed = Signal(bool)

    def __init__(
        self, title: str, quiet: int = 0, as_sheet: int = 0, picture: str = "fruit", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._figures = (quiet, as_sheet)
        self._is_folded = False
        self._is_sheet = False
        self._was_wide = 0
        self._name = Label(title)
        self._name.setFont(sized(self._name.font(), TITLE, bold=True))
        self.picture = Picture(picture)
        fold = QToolButton()
        fold.setText("◂")
        fold.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # F7 to F9
        fold.setAutoRaise(True)
        fold.setToolTip(f"Fold {title.lower()} away")
        fold.setAccessibleName(f"Fold {title.lower()} away")
        fold.clicked.connect(self.fold)
        self._fold = fold
        self._head = QWidget()
        row = QHBoxLayout(self._head)
        row.setContentsMargins(_MARGIN, 2, 4, 0)
        row.addWidget(self.picture)
        row.addWidget(self._name, 1)
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
        inner.setSpacing(0)
        self._sentence_room = QVBoxLayout()
        self._sentence_room.setContentsMargins(_MARGIN, 0, _MARGIN, 0)
        inner.addLayout(self._sentence_room)
        inner.setAlignment(self._sentence_room, Qt.AlignmentFlag.AlignTop)  # also while nothing is below
        self._place = QVBoxLayout()
        inner.addLayout(self._place, 1)
        layout = QVBoxLayout(self)
        # The frame and the line have their room also where they are not drawn, so that nothing moves.
        layout.setContentsMargins(_FRAME, _LINE, _FRAME, 0)
        layout.setSpacing(2)
        layout.addWidget(self._head)
        layout.addWidget(self._room, 1)
        layout.addWidget(self._strip, 1)
        self._arrange()

    def take_sentence(self, sentence: QWidget) -> None:
        """Show the sentence on the batch at the head, where the eye goes first."""
        self._sentence_room.addWidget(sentence)
        sentence.show()

    @property
    def is_sheet(self) -> bool:
        """Whether it is the one pane that is at work."""
        return self._is_sheet

    def set_sheet(self, is_sheet: bool) -> None:
        """Be the sheet, or lie on the ground."""
        if is_sheet != self._is_sheet:
            self._is_sheet = is_sheet
            set_ground(self, is_sheet)
            set_tone(self._name, "accent" if is_sheet else "")
            self.picture.set_tone("accent" if is_sheet else "dim")
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if not self._is_sheet or self._is_folded:
            return
        tones, painter = colours_on(self.palette()), QPainter(self)
        painter.fillRect(self.rect(), QColor(tones.window))
        for side in (0, self.width() - _FRAME):
            painter.fillRect(side, 0, _FRAME, self.height(), QColor(tones.edge))
        painter.fillRect(0, 0, self.width(), _LINE, QColor(tones.accent))
        painter.end()

    def put_in(self, content: QWidget) -> None:
        """Put the content into its room."""
        self._place.addWidget(content)
        self.put_in_order()

    def put_in_order(self) -> None:
        """Let Tab go through the content where it stands, also through what came into it later."""
        follow(self._fold, self._room)

    def minimumSizeHint(self) -> QSize:
        least = super().minimumSizeHint()
        is_empty = self._place.isEmpty()
        return least.expandedTo(QSize(self.wanted_width(), 0)) if is_empty and not self._is_folded else least

    def wanted_width(self, as_sheet: bool | None = None) -> int:
        """Width that it wants while it is open: that of what it holds, and enough to be read with ease. [px]"""
        least = max(self._room.minimumSizeHint().width(), self._head.minimumSizeHint().width()) + 2 * _FRAME
        figures = self._figures[self._is_sheet if as_sheet is None else as_sheet]
        return max(least, figures * self.fontMetrics().horizontalAdvance("0"))

    def strip_width(self) -> int:
        """Width while it is folded. [px]"""
        return self._strip.sizeHint().width()

    def holds(self, widget: QWidget) -> bool:
        """Whether a widget is a part of the content."""
        return self._room.isAncestorOf(widget)

    def enter(self) -> None:
        """Give it the focus: where it had it last, else its first field; of a folded one the strip."""
        last = self._room.focusWidget()
        first = (stop for stop in stops(self._room) if stop.isVisible() and stop.isEnabled())
        entered = (
            self._strip if self._is_folded else last if last is not None and last.isVisible() else next(first, None)
        )
        if entered is not None:
            entered.setFocus(Qt.FocusReason.ShortcutFocusReason)

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
        self._fold.setFocus(Qt.FocusReason.OtherFocusReason)  # the strip that had it is gone

    def _arrange(self) -> None:
        splitter = self.parentWidget()
        before = splitter.sizes() if isinstance(splitter, QSplitter) else []
        if self._is_folded and before and self.isVisible():
            self._was_wide = self.width()
        self._head.setVisible(not self._is_folded)
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
