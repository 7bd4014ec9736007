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
from planner.ui.widgets.fitting import is_low
from planner.ui.widgets.label import Label
from planner.ui.widgets.reading_out import announce
from planner.ui.widgets.remarks import in_words

_NARROW = 80
"""Width below which what comes next may need a second line. [figures]"""

_USUAL, _LEAST = 62, 24
"""Width that is asked for, and the least. [figures]"""

_GAP = 2


class HeadlineLabel(QWidget):
    """A sentence and what comes next, in a room of fixed height, so that a longer sentence moves nothing below; in a low
    window it takes what it needs."""

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
        self.why.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # F3
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
        first = self._fit_sentence(width)
        self.sentence.setGeometry(0, 0, width, first)
        size, gap = self.why.sizeHint(), self._gap()
        beside = size.width() + 4 if not self.why.isHidden() else 0
        self.next.setGeometry(0, first + gap, width - beside, self._room() - first - gap)
        line = _lines(self.next.font(), 1)
        self.why.setGeometry(width - size.width(), first + gap + (line - size.height()) // 2, *size.toTuple())
        for label in (self.sentence, self.next):
            is_cut = label.heightForWidth(label.width()) > label.height()
            label.setToolTip(f"<p>{escape(label.text())}</p>" if is_cut else "")
        if self._room() != self._asked:  # the layout asked of another width, or another sentence
            self.updateGeometry()

    def _fit_sentence(self, width: int) -> int:
        """Write the sentence in the letters that fit; the height that it takes. [px]"""
        for font in self._fonts:
            self.sentence.setFont(font)
            if self.sentence.heightForWidth(width) <= _lines(font, 2):
                break
        return min(self.sentence.heightForWidth(width), self._most())

    def _gap(self) -> int:
        """Between the sentence and what comes next, which stands at the middle of a button. [px]"""
        return max(_GAP, (self.why.sizeHint().height() - _lines(self.next.font(), 1) + 1) // 2)

    def _most(self) -> int:
        """Height of the longest sentence."""
        large, small = self._fonts
        return max(_lines(large, 2), _lines(small, 3))

    def _room(self) -> int:
        line, width = _lines(self.next.font(), 1), self.width()
        is_narrow = width < _NARROW * self.fontMetrics().horizontalAdvance("0")
        if is_low(self.window()):  # there the curve takes what the sentences leave
            beside = 0 if self.why.isHidden() else self.why.sizeHint().width() + 4
            after = max(line, self.next.heightForWidth(width - beside)) if is_narrow else line
            return self._fit_sentence(width) + self._gap() + after
        return self._most() + self._gap() + (_lines(self.next.font(), 2) if is_narrow else line)

    def sizeHint(self) -> QSize:
        self._asked = self._room()
        return QSize(_USUAL * self.fontMetrics().horizontalAdvance("0"), self._asked)

    def minimumSizeHint(self) -> QSize:
        return QSize(_LEAST * self.fontMetrics().horizontalAdvance("0"), self._room())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()


def _lines(font: QFont, lines: int) -> int:
    return ceil(lines * QFontMetricsF(font).lineSpacing()) + 1
