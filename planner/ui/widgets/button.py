"""A button in the colours of the theme: framed, flat, or filled where it is the one act that is due."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPushButton, QStyle, QWidget

from planner.ui import theme
from planner.ui.widgets.edge import RADIUS

_PAD = 2
"""Between the words and the edge, as units of the grid."""


class Button(QPushButton):
    """The style's frame is too faint to be found, and it has no filled one; a style sheet costs each button its rules."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._is_due = False

    def set_due(self, due: bool) -> None:
        """Whether this is the act that the batch waits for; one button of a window, at most."""
        if due != self._is_due:
            self._is_due = due
            self.update()

    def sizeHint(self) -> QSize:
        metrics, step = self.fontMetrics(), theme.unit(self.fontMetrics())
        wide = metrics.size(Qt.TextFlag.TextShowMnemonic, self.text()).width() + 2 * _PAD * step
        return QSize(wide, metrics.height() + 2 * step)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_filled = self._is_due and self.isEnabled()
        self._paint_ground(painter, tones, is_filled)
        ink = tones.on_fill if is_filled else tones.text if self.isEnabled() else tones.dim
        painter.setPen(QColor(ink))
        shown = self.style().styleHint(QStyle.StyleHint.SH_UnderlineShortcut, None, self)
        mnemonic = Qt.TextFlag.TextShowMnemonic if shown else Qt.TextFlag.TextHideMnemonic
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter | mnemonic, self.text())
        painter.end()

    def _paint_ground(self, painter: QPainter, tones: theme.Colours, is_filled: bool) -> None:
        is_under = self.isEnabled() and (self.underMouse() or self.isDown())
        if is_filled:
            painter.setBrush(QColor(tones.fill))
        elif not self.isFlat() or is_under:
            painter.setBrush(QColor(tones.line if is_under else tones.raised))
        width = 2.0 if self.hasFocus() else 1.0
        if self.hasFocus() and not is_filled:
            painter.setPen(QPen(QColor(tones.accent), width))
        elif is_filled:  # its frame is seen beside its own ground, too
            painter.setPen(QPen(QColor(tones.text if self.hasFocus() else tones.accent), width))
        elif self.isFlat():
            painter.setPen(Qt.PenStyle.NoPen)
        else:
            painter.setPen(QPen(QColor(tones.edge if self.isEnabled() else tones.line), width))
        inset = width / 2.0
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(inset, inset, -inset, -inset), RADIUS, RADIUS)


def closing(dialog: QDialog) -> QDialogButtonBox:
    """A button that closes a dialog, at its foot."""
    box = QDialogButtonBox()
    box.addButton(Button("&Close"), QDialogButtonBox.ButtonRole.RejectRole)
    box.rejected.connect(dialog.close)
    return box
