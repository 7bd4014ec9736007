"""A line of text that is cut where there is no room for all of it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt

from planner.ui.widgets.label import Label, as_it_is


class Elided(Label):
    """One line of text that ends in an ellipsis where there is no room for all of it."""

    def __init__(self) -> None:
        super().__init__()
        self._text = ""
        self.setMinimumWidth(0)

    def show_text(self, text: str, more: str = "") -> None:
        """Show a text, cut to the room there is; the hover shows the whole, and what there is more to say of it."""
        self._text = text
        self.setToolTip(as_it_is("\n".join(part for part in (text, more) if part)))
        self._fit()
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """As wide as the whole text."""
        return QSize(self.fontMetrics().horizontalAdvance(self._text) + 4, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        """Of its width nothing is needed."""
        return QSize(0, super().minimumSizeHint().height())

    def text_shown(self) -> str:
        """The whole text, whatever of it fits."""
        return self._text

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._fit()
        return super().event(event)

    def _fit(self) -> None:
        self.setText(self.fontMetrics().elidedText(self._text, Qt.TextElideMode.ElideRight, max(self.width() - 2, 0)))
