"""Windows are sized by their letters, and never beyond the screen on which they open."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget


def fit(window: QWidget, figures: int, lines: int = 0) -> None:
    """Size a window so many figures wide and lines high, or as high as its content, as far as its screen reaches."""
    metrics, layout = window.fontMetrics(), window.layout()
    room = window.screen().availableGeometry().size()
    # What the desktop puts around it is not known before it is shown.
    title, sides = 2 * metrics.height(), metrics.height()
    wanted = max(figures * metrics.horizontalAdvance("0"), window.minimumSizeHint().width())
    width = min(wanted, room.width() - sides)
    height = lines * metrics.lineSpacing()
    if layout is not None:
        layout.activate()
        least = layout.totalHeightForWidth(width) if layout.hasHeightForWidth() else layout.totalSizeHint().height()
        height = max(height, least) if lines == 0 else max(height, layout.totalMinimumSize().height())
    window.resize(width, min(height, room.height() - title))


_LOW = 38
"""Height of a window below which everything gives way to what is worked with. [lines]"""


def is_low(window: QWidget) -> bool:
    """Whether a window is so low, in its letters, that only what is worked with has room."""
    return window.height() < _LOW * window.fontMetrics().lineSpacing()
