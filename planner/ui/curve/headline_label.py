"""How the batch stands and what comes next, large enough to be read first."""

from __future__ import annotations

from html import escape
from math import ceil

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.evaluation.headline import Headline
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.label import Label
from planner.ui.widgets.reading_out import announce
from planner.ui.widgets.remarks import in_words

_NARROW = 80
"""Width below which what comes next may need a second line. [figures]"""

_USUAL, _LEAST = 62, 24
"""Width that is asked for, and the least. [figures]"""

_GAP = 2


class HeadlineLabel(QWidget):
    """A sentence and what comes next, in a room of fixed height, so that a longer sentence moves nothing below."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._headline: Headline | None = None
        self._asked = 0
        self.sentence, self.next = Label(parent=self), Label(parent=self)
        for label, name in ((self.sentence, "How the batch stands"), (self.next, "What comes next")):
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            label.setAccessibleName(name)
        self.why = Button("Wh&y?", self)
        self.why.setFlat(True)
        self.why.setToolTip("What speaks for it, what would change it, and all the next steps (F3)")
        self.why.setAccessibleName("Why the batch stands so")
        self.why.hide()
        self.setWhatsThis("How the batch stands, from its recipe and its log, and what to do next and when.")
        # One that is too long for two lines in the large letters stands in the smaller ones, in three at most.
        self._fonts = tuple(theme.sized(self.font(), share, bold=True) for share in (theme.VERDICT, theme.STATE))
        self.sentence.setFont(self._fonts[0])
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_headline(self, headline: Headline) -> None:
        """Show another sentence, and have it read out."""
        before, self._headline = self._headline, headline
        self._fill()
        if before is not None and before.sentence != headline.sentence:
            announce(self, self.sentence.text())

    def offer_reasons(self, offered: bool) -> None:
        """Whether there are reasons to be asked for."""
        self.why.setVisible(offered)
        self._arrange()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._fill()

    def set_stale(self, stale: bool) -> None:
        """Dim what is being worked out anew."""
        for label in (self.sentence, self.next):
            set_tone(label, "dim" if stale else "")

    def _fill(self) -> None:
        if self._headline is None:
            return
        for label, words in ((self.sentence, self._headline.sentence), (self.next, self._headline.next)):
            text = in_words(words, self._display)
            label.setText(text)
            label.setAccessibleDescription(text)
        self._arrange()

    def _arrange(self) -> None:
        """The sentence takes the lines it needs; what comes next stands right under it."""
        width = self.width()
        room = self._room()
        for font in self._fonts:
            self.sentence.setFont(font)
            if self.sentence.heightForWidth(width) <= _lines(font, 2):
                break
        first = min(self.sentence.heightForWidth(width), self._most())
        self.sentence.setGeometry(0, 0, width, first)
        size = self.why.sizeHint()
        beside = size.width() + 4 if not self.why.isHidden() else 0
        self.next.setGeometry(0, first + _GAP, width - beside, room - first - _GAP)
        line = _lines(self.next.font(), 1)
        self.why.setGeometry(width - size.width(), first + _GAP + (line - size.height()) // 2, *size.toTuple())
        for label in (self.sentence, self.next):
            is_cut = label.heightForWidth(label.width()) > label.height()
            label.setToolTip(f"<p>{escape(label.text())}</p>" if is_cut else "")

    def _most(self) -> int:
        """Height of the longest sentence."""
        large, small = self._fonts
        return max(_lines(large, 2), _lines(small, 3))

    def _room(self) -> int:
        figure = self.fontMetrics().horizontalAdvance("0")
        return self._most() + _GAP + _lines(self.next.font(), 2 if self.width() < _NARROW * figure else 1)

    def sizeHint(self) -> QSize:
        self._asked = self._room()
        return QSize(_USUAL * self.fontMetrics().horizontalAdvance("0"), self._asked)

    def minimumSizeHint(self) -> QSize:
        return QSize(_LEAST * self.fontMetrics().horizontalAdvance("0"), self._room())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()
        if self._room() != self._asked:  # the layout asked when it was wider, or not as wide
            self.updateGeometry()


def _lines(font: QFont, lines: int) -> int:
    return ceil(lines * QFontMetricsF(font).lineSpacing()) + 1
