"""Findings in words beside what causes them: small text with a mark whose shape tells how serious it is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QIcon, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from planner.ui.display import Display
from planner.ui.theme import NOTE, Colours, colours_on, set_tone, sized
from planner.ui.widgets.label import Markup
from planner.wording.finding import Finding, Level
from planner.wording.phrases import Words

LEVELS = {Level.CAUTION: "Caution", Level.NOTE: "Note", Level.WARNING: "Warning", Level.ERROR: "Error"}
"""How serious a finding is, in a word."""
_FOLDED_FROM = 110
"""Notes of more characters than this, about three lines of a pane, show their first sentence until asked for more."""


def in_words(words: Words, display: Display) -> str:
    """A sentence with its figures in the reader's units."""
    return words.shown(display)


def of_place(findings: Iterable[Finding], *places: str) -> tuple[Finding, ...]:
    """The findings that speak of exactly one of the places."""
    return tuple(finding for finding in findings if finding.place in places)


def under(findings: Iterable[Finding], place: str) -> tuple[Finding, ...]:
    """The findings that speak of a place or of something in it."""
    return tuple(f for f in findings if f.place == place or f.place.startswith(f"{place}."))


def counted(findings: tuple[Finding, ...]) -> str:
    """How many doubts there are, in words; one had of many readings counts once, as in the list. Cautions are none."""
    parts = []
    for level in (Level.ERROR, Level.WARNING, Level.NOTE):
        number = len({(f.place.partition(".")[0], f.text) for f in findings if f.level == level})
        if number:
            parts.append(f"{number} {LEVELS[level].lower()}{'s' if number > 1 else ''}")
    return ", ".join(parts) or "no doubts"


def small(font: QFont) -> QFont:
    """The same font for text that comes second."""
    return sized(font, NOTE, font.bold())


class Mark(QWidget):
    """The sign before a remark: a ring for a note, a triangle for a warning, a crossed disc for an error."""

    def __init__(self, level: Level, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._level = level
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_level(self, level: Level) -> None:
        """Draw another sign."""
        self._level = level
        self.update()

    def sizeHint(self) -> QSize:
        side = self.fontMetrics().ascent() + 1
        return QSize(side, side)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tones = QPainter(self), colours_on(self.palette())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = float(min(self.width(), self.height()))
        painter.scale(side / 12.0, side / 12.0)
        {Level.CAUTION: _ring, Level.NOTE: _ring, Level.WARNING: _triangle, Level.ERROR: _crossed_disc}[self._level](
            painter, tones
        )
        painter.end()


def icon(level: Level, on: QWidget) -> QIcon:
    """The sign of a level as an icon, in the colours and at the density of a widget."""
    mark = Mark(level)
    mark.setPalette(on.palette())
    side = mark.sizeHint()
    mark.resize(side)
    ratio = on.devicePixelRatioF()
    pixmap = QPixmap(QSize(round(side.width() * ratio), round(side.height() * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    mark.render(pixmap, renderFlags=QWidget.RenderFlag.DrawChildren)
    return QIcon(pixmap)


def _ring(painter: QPainter, tones: Colours) -> None:
    painter.setPen(_stroke(tones.dim, 1.1))
    painter.drawEllipse(QRectF(1.0, 1.0, 10.0, 10.0))
    painter.setPen(_stroke(tones.dim, 1.4))
    painter.drawLine(QPointF(6.0, 5.6), QPointF(6.0, 8.6))
    painter.drawPoint(QPointF(6.0, 3.5))


def _triangle(painter: QPainter, tones: Colours) -> None:
    painter.setPen(_stroke(tones.warning, 1.2))
    painter.drawPolygon(QPolygonF([QPointF(6.0, 1.2), QPointF(11.2, 10.8), QPointF(0.8, 10.8)]))
    painter.setPen(_stroke(tones.warning, 1.4))
    painter.drawLine(QPointF(6.0, 4.6), QPointF(6.0, 7.2))
    painter.drawPoint(QPointF(6.0, 9.1))


def _crossed_disc(painter: QPainter, tones: Colours) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(tones.problem))
    painter.drawEllipse(QRectF(0.6, 0.6, 10.8, 10.8))
    painter.setPen(_stroke(tones.window, 1.6))
    painter.drawLine(QPointF(4.0, 4.0), QPointF(8.0, 8.0))
    painter.drawLine(QPointF(4.0, 8.0), QPointF(8.0, 4.0))


def _stroke(colour: str, width: float) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    return pen


class LinkLabel(Markup):
    """Text with a link in it, which shows when it has the focus."""

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(_stroke(colours_on(self.palette()).accent, 1.0))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 2.0, 2.0)
            painter.end()


class Remark(QWidget):
    """One finding: its sign and its sentence. A long note shows its first sentence until more is asked for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._level, self._text, self._open = Level.NOTE, "", False
        self._mark = Mark(Level.NOTE, self)
        self._label = LinkLabel(parent=self)
        self._label.setWordWrap(True)
        self._label.linkActivated.connect(self._toggle)
        for part in (self._mark, self._label):
            part.setFont(small(self.font()))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(5)
        row.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._label, 1)

    @property
    def text(self) -> str:
        """The whole sentence."""
        return self._text

    def show_finding(self, level: Level, text: str) -> None:
        """Show another finding."""
        if text != self._text:
            self._text, self._open = text, False
        self._level = level
        self._mark.show_level(level)
        self.setAccessibleName(f"{LEVELS[level]}: {text}")
        self._label.setAccessibleName(f"{LEVELS[level]}: {text}")
        set_tone(self._label, "dim" if level <= Level.NOTE else "")
        self._show_text()

    @property
    def is_folded(self) -> bool:
        """Whether only the first sentence is shown."""
        return self._foldable and not self._open

    @property
    def _foldable(self) -> bool:
        return len(self._text) > _FOLDED_FROM and self._level <= Level.NOTE and bool(_first_sentence(self._text)[1])

    def unfold(self) -> None:
        """Show all of it."""
        self._open = True
        self._show_text()

    def _show_text(self) -> None:
        foldable = self._foldable
        shown, link = (_first_sentence(self._text)[0], "more") if self.is_folded else (self._text, "less")
        self._label.setText(escape(shown) + (f' <a href="#">{link}</a>' if foldable else ""))
        flags = Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        self._label.setTextInteractionFlags(flags if foldable else Qt.TextInteractionFlag.NoTextInteraction)
        # No stop of the Tab key: a dozen of them would lie between two fields. Ctrl+K finds and opens them.
        self._label.setFocusPolicy(Qt.FocusPolicy.ClickFocus if foldable else Qt.FocusPolicy.NoFocus)

    def _toggle(self, _link: str) -> None:
        self._open = not self._open
        self._show_text()


class Remarks(QWidget):
    """A list of findings, one under the other; without any it takes no room."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._findings: tuple[Finding, ...] = ()
        self._remarks: list[Remark] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(3)
        self.hide()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is shown."""
        return self._findings

    def texts(self) -> list[str]:
        """The sentences shown, whole."""
        return [remark.text for remark in self._remarks[: len(self._findings)]]

    def show_findings(self, findings: Iterable[Finding]) -> None:
        """Show these findings instead of the former ones; equal ones stay as they are, open or folded."""
        wanted = tuple(findings)
        if wanted != self._findings:
            self._findings = wanted
            self._fill()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._fill()

    def _fill(self) -> None:
        while len(self._remarks) < len(self._findings):
            remark = Remark(self)
            self._remarks.append(remark)
            self._column.addWidget(remark)
        for index, remark in enumerate(self._remarks):
            if index < len(self._findings):
                finding = self._findings[index]
                remark.show_finding(finding.level, in_words(finding.text, self._display))
            remark.setVisible(index < len(self._findings))
        self.setVisible(bool(self._findings))


def reveal(pane: QWidget, place: str) -> None:
    """Scroll a pane to what is said of a place in the batch; nothing to do where that is in sight or folded away."""
    for remarks in pane.findChildren(Remarks):
        if remarks.isVisibleTo(pane) and of_place(remarks.findings, place):
            area = remarks.parentWidget()
            while area is not None and not isinstance(area, QScrollArea):
                area = area.parentWidget()
            if area is not None:
                area.ensureWidgetVisible(remarks)
                return


def _first_sentence(text: str) -> tuple[str, str]:
    """The first sentence and what follows it."""
    parts = re.split(r"(?<=[.!?]) (?=[A-Z])", text, maxsplit=1)
    return parts[0], parts[1] if len(parts) > 1 else ""
