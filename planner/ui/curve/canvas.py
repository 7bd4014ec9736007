"""The fermentation curve as a widget: drawn rarely, followed by a cursor that is laid over, zoomed and panned."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from matplotlib import font_manager
from matplotlib.backends.backend_qtagg import FigureCanvasQTAgg
from matplotlib.figure import Figure
from PySide6.QtCore import QEvent, QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QFontInfo,
    QGuiApplication,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QWidget

from planner.ui import theme
from planner.ui.curve.artists import PlotFont
from planner.ui.curve.layers import KeepingRenderer, draw_ground, draw_rest
from planner.ui.curve.plot import CurvePlot
from planner.ui.curve.plot_data import Scene, summary
from planner.ui.curve.readout import readout
from planner.ui.curve.view import View
from planner.ui.display import Display
from planner.ui.pictures import INCHES, as_bytes, write_picture
from planner.ui.theme import Colours
from planner.ui.widgets.remarks import in_words

LOWEST, NARROWEST = 10, 39
"""Height and width below which the curve cannot be read. [lines], [figures]"""

_CLOSE, _BESIDE = 12.0, 14.0
"""How near to a point a click takes it, and how near to its day the cursor reads it. [px]"""

_ZOOM, _PAN = 1.25, 0.1
"""One notch of the wheel or press of a key: times closer, and share of the view."""

_DIMMED = 0.55

HANDLING = (
    "Turn the wheel to zoom about the pointer; over the labels of an axis it zooms that axis alone. Drag to move the view. "
    "Double-click, or press Home, to see the whole. The keys + and − zoom, and the arrows move. Ctrl with Left or Right moves the cursor; Esc takes "
    "it away."
)
"""How the picture is moved, for whoever asks what it is."""


class CurveCanvas(FigureCanvasQTAgg):
    """The curve on the screen.

    Signal: `picked` with the place in the log of a reading that was clicked.
    """

    picked = Signal(object)

    def __init__(self, display: Display, colours: Colours, parent: QWidget | None = None) -> None:
        screen = QGuiApplication.primaryScreen()
        # With the screen's own density a point of the figure is a point of the interface.
        self._sheet: KeepingRenderer | None = None
        super().__init__(Figure(dpi=screen.logicalDotsPerInch() if screen else 96.0))  # type: ignore[no-untyped-call]
        self.setParent(parent)
        self.draws = 0
        """How often the whole picture was drawn."""
        self._display, self._colours = display, colours
        self._still: Any = None
        self._is_bare = False
        """Whether the sheet holds the picture with nothing laid over."""
        self._ground: Any = None
        self._ground_of: tuple[object, ...] = ()
        self._zoomed = False
        self._is_stale = False
        self._dragged_from: QPointF | None = None
        self._dragging = False
        self._cursor_day: float | None = None
        self._plot = CurvePlot(self.figure, display, colours, plot_font(self.font()))
        self.setPalette(QPalette())
        self.setMinimumHeight(LOWEST * self.fontMetrics().lineSpacing())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Fermentation curve")
        self.setWhatsThis(HANDLING)

    @property
    def scene(self) -> Scene:
        """What is shown."""
        return self._plot.scene

    @property
    def view(self) -> View:
        """The days and gravities in sight."""
        return self._plot.view

    def show_scene(self, scene: Scene) -> None:
        """Show another scene, whole unless the person has zoomed."""
        self._plot.show(scene, whole=not self._zoomed)
        self._zoomed = self._zoomed and self.view != self._plot.home
        self.setAccessibleDescription(in_words(summary(scene), self._display))
        self._put_cursor(self._cursor_day)
        self._redraw()

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        self._plot.set_display(display)
        self.setAccessibleDescription(in_words(summary(self.scene), display))
        self._redraw()

    def set_colours(self, colours: Colours) -> None:
        """Another theme."""
        self._colours = colours
        self._plot.set_colours(colours)
        self._redraw()

    def set_stale(self, stale: bool) -> None:
        """Dim a picture that is being worked out anew."""
        if stale != self._is_stale:
            self._is_stale = stale
            self.update()

    def select(self, index: int | None) -> None:
        """Ring the reading of this place in the log."""
        self._plot.select(index)
        self._lay_over()

    def show_cursor(self, day: float | None) -> None:
        """Read off the curve at a day; None takes the cursor away."""
        self._put_cursor(day)
        self._lay_over()

    def zoom(self, times: float) -> None:
        """Come closer about the middle of the view."""
        view = self.view
        self._look(view.zoomed(times, (view.left + view.right) / 2.0, (view.low + view.high) / 2.0))

    def pan(self, days: float, gravities: float) -> None:
        """Move by shares of the view."""
        self._look(self.view.panned(days, gravities))

    def reset_zoom(self) -> None:
        """Show the whole course, and go on doing so when it changes; where that is shown already, all readings."""
        was_home = not self._zoomed and self.view == self._plot.home
        home, bounds = self._plot.find_home(), self._plot.bounds
        self._zoomed = was_home and bounds != home
        self._plot.look(bounds if self._zoomed else home)
        self._put_cursor(self._cursor_day)
        self._redraw()

    def show_dates(self, by_date: bool) -> None:
        """Count by the calendar on the lower axis, or by days since pitching."""
        if by_date != self._plot.by_date:
            self._plot.show_dates(by_date)
            self._redraw()

    def show_difference(self, difference: bool) -> None:
        """Show how far readings are from what was expected, or gravities again; the whole of either."""
        if difference != self._plot.shows_difference:
            self._zoomed = False
            self._plot.show_difference(difference)
            self._put_cursor(self._cursor_day)
            self._redraw()

    def save_picture(self, path: Path) -> None:
        """Write what is in sight as a PNG or SVG file, by the suffix of the name; always light.

        Raises
        ------
        ValueError
            Another suffix.
        OSError
            The file cannot be written.
        """
        write_picture(self._picture(), path)

    def copy(self) -> None:
        """Put what is in sight on the clipboard as a picture, as `save_picture` writes it."""
        QGuiApplication.clipboard().setImage(QImage.fromData(as_bytes(self._picture(), "png")))

    def _picture(self) -> Figure:
        figure = Figure(figsize=INCHES)
        plot = CurvePlot(figure, self._display, theme.on_sheet(theme.LIGHT), plot_font(self.font()))
        plot.by_date, plot.shows_difference = self._plot.by_date, self._plot.shows_difference
        plot.show(self.scene)
        plot.set_title(self.scene.name)
        plot.look(self.view)
        return figure

    # --- drawing

    def draw(self) -> None:
        """Draw the picture and keep it, so that a cursor can be laid over it; its ground is drawn where that changed."""
        if self._is_drawing:
            return
        self._is_drawing = True
        try:
            self._draw_layers()
        finally:
            self._is_drawing = False
        self.update()

    def _draw_layers(self) -> None:
        renderer = self.get_renderer()
        ground = self._plot.ground
        if self._ground is not None and ground == self._ground_of:
            self.restore_region(self._ground)  # type: ignore[no-untyped-call]
        else:
            renderer.clear()  # type: ignore[no-untyped-call]
            draw_ground(self.figure, renderer)
            self._ground, self._ground_of = self.copy_from_bbox(self.figure.bbox), ground  # type: ignore[no-untyped-call]
        draw_rest(self.figure, renderer)
        self.draws += 1
        self._still, self._is_bare = None, True
        self._draw_over()

    def get_renderer(self) -> KeepingRenderer:
        """The sheet to draw on, another one for each size."""
        key = (*self.get_width_height(physical=True), self.figure.dpi)
        if self._sheet is None or self._lastKey != key:
            self.renderer = self._sheet = KeepingRenderer(*key)
            self._lastKey = key
            self._ground = None
        return self._sheet

    def _redraw(self) -> None:
        self._still, self._is_bare = None, False
        self.draw_idle()  # type: ignore[no-untyped-call]

    def _lay_over(self) -> None:
        """Show what follows the pointer without drawing the picture again."""
        if self._still is not None:
            self.restore_region(self._still)  # type: ignore[no-untyped-call]
        if self._still is not None or self._is_bare:
            self._draw_over()
            self.update()

    def _draw_over(self) -> None:
        """Draw what lies over the picture; the first time the picture without it is kept."""
        if self._is_bare and any(artist.get_visible() for _, artist in self._plot.artists.overlay()):
            self._still, self._is_bare = self.copy_from_bbox(self.figure.bbox), False  # type: ignore[no-untyped-call]
        self._plot.draw_over()

    def _put_cursor(self, day: float | None, x: float | None = None, at_left: bool | None = None) -> None:
        """Set the cursor; the readings and events near it are those near in pixels."""
        self._cursor_day = day
        if day is None or self.scene.is_empty:
            self._plot.show_cursor(None)
            return
        middle = self._plot.pixel_of(day) if x is None else x
        ratio = self.device_pixel_ratio
        near = self._plot.nearest(middle, None)
        place = near.place if near is not None and near.pixels <= _BESIDE * ratio else None
        events = [e for e in self.scene.events if abs(self._plot.pixel_of(e.day) - middle) <= _BESIDE / 2.0 * ratio]
        if at_left is None:
            at_left = (day - self.view.left) / self.view.days > 0.55
        text = readout(self.scene, day, self._display, place, events)
        self._plot.show_cursor(day, text, at_left)

    def _look(self, view: View) -> None:
        self._zoomed = True
        self._plot.look(view.within(self._plot.bounds))
        self._put_cursor(self._cursor_day)
        self._redraw()

    def _pointed(self, position: QPointF) -> tuple[float, float]:
        """Pixels of the figure, counted from its lower left."""
        x, y = self.mouseEventCoords(position)  # type: ignore[no-untyped-call]
        return float(x), float(y)

    # --- Qt

    def sizeHint(self) -> QSize:
        return QSize(640, 400)

    def minimumSizeHint(self) -> QSize:
        return QSize(NARROWEST * self.fontMetrics().horizontalAdvance("0"), self.minimumHeight())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._still, self._is_bare = None, False
        super().resizeEvent(event)  # type: ignore[no-untyped-call]
        self._plot.fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)  # type: ignore[no-untyped-call]
        painter = QPainter(self)
        if self._is_stale:
            veil = QColor(self._colours.window)
            veil.setAlphaF(_DIMMED)
            painter.fillRect(event.rect(), veil)
        if self.hasFocus() and self._focus_by_key:
            painter.setPen(QPen(QColor(self._colours.accent), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    _focus_by_key = False

    def focusInEvent(self, event: QFocusEvent) -> None:
        self._focus_by_key = event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / 120.0
        if not notches or self.scene.is_empty:
            event.ignore()
            return
        x, y = self._pointed(event.position())
        across, up = self._plot.shares(x, y)
        view = self.view
        day, gravity = view.left + across * view.days, view.low + up * view.gravities
        self._look(view.zoomed(_ZOOM**notches, day, gravity, days=across > 0.0, gravities=0.0 < up < 1.0))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._dragged_from = event.position()
            self._dragging = False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragged_from is not None:
            self._drag(event.position())
            return
        x, y = self._pointed(event.position())
        across, up = self._plot.shares(x, y)
        if 0.0 <= across <= 1.0:
            day = self.view.left + across * self.view.days
            self._put_cursor(day, x, at_left=across > 0.5 and up > 0.45)
        else:
            self._put_cursor(None)
        self._lay_over()

    def _drag(self, position: QPointF) -> None:
        assert self._dragged_from is not None
        moved = position - self._dragged_from
        if not self._dragging and moved.manhattanLength() < QApplication.startDragDistance():
            return
        if not self._dragging:
            self._dragging = True
            self._put_cursor(None)
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        before, after = (self._plot.shares(*self._pointed(p)) for p in (self._dragged_from, position))
        self._dragged_from = position
        self.pan(before[0] - after[0], before[1] - after[1])

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or self._dragged_from is None:
            return
        self._dragged_from = None
        if self._dragging:
            self._dragging = False
            self.unsetCursor()
            return
        near = self._plot.nearest(*self._pointed(event.position()))
        if near is not None and near.pixels <= _CLOSE * self.device_pixel_ratio:
            self.picked.emit(int(self.scene.points.index[near.place]))

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:
        self.reset_zoom()

    def enterEvent(self, event: QEvent) -> None:
        """Nothing: the figure's own events are not used."""

    def leaveEvent(self, _event: QEvent) -> None:
        self.show_cursor(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        by_key = {
            Qt.Key.Key_Left: (-_PAN, 0.0),
            Qt.Key.Key_Right: (_PAN, 0.0),
            Qt.Key.Key_Up: (0.0, _PAN),
            Qt.Key.Key_Down: (0.0, -_PAN),
        }
        key = Qt.Key(event.key())
        sideways = key in (Qt.Key.Key_Left, Qt.Key.Key_Right)
        if sideways and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._step_cursor(1.0 if key == Qt.Key.Key_Right else -1.0)
        elif key in by_key:
            self.pan(*by_key[key])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            self.zoom(1.0 / _ZOOM if key == Qt.Key.Key_Minus else _ZOOM)
        elif key == Qt.Key.Key_Home:
            self.reset_zoom()
        elif key == Qt.Key.Key_Escape and self._cursor_day is not None:
            self.show_cursor(None)
        else:
            event.ignore()

    def _step_cursor(self, direction: float) -> None:
        view = self.view
        start = (view.left + view.right) / 2.0 if self._cursor_day is None else self._cursor_day
        self.show_cursor(min(max(start + direction * view.days / 100.0, view.left), view.right))


def plot_font(font: QFont) -> PlotFont:
    """The interface's font for the figure; where matplotlib does not know it, the one it brings along."""
    known = {entry.name for entry in font_manager.fontManager.ttflist}
    info = QFontInfo(font)
    families = tuple(name for name in (info.family(),) if name in known)
    # Each once: of a family named twice every word is looked for twice.
    return PlotFont(tuple(dict.fromkeys((*families, "DejaVu Sans"))), info.pointSizeF())
