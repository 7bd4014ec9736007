"""The middle pane: how the batch stands in a sentence, the curve, and the log with the line to enter a reading."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QByteArray, QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.document.timestamps import day_of
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.curve.headline_label import HeadlineLabel
from planner.ui.curve.plot_data import Scene, scene_of, until_whole
from planner.ui.curve.reference_batch import PINNED, Earlier, earlier_of, pinned_course
from planner.ui.display import Display
from planner.ui.import_block import without
from planner.ui.log.names import names_on
from planner.ui.log.when import now
from planner.ui.store import BatchStore
from planner.ui.theme import Colours
from planner.ui.widgets.button import Button
from planner.ui.widgets.splitter import PlainSplitter

if TYPE_CHECKING:
    from planner.ui.curve.canvas import CurveCanvas
    from planner.ui.curve.log_part import LogPart
    from planner.ui.log.alcohol_button import SoFarButton
    from planner.ui.log.reading_form import ReadingForm
    from planner.ui.log.table import LogTable
    from planner.ui.log.verdict import VerdictReasons
    from planner.ui.widgets.remarks import Remarks

_CURVE_LOWEST, _STILL_A_CURVE = 23, 10
"""Height of the curve at least: where there is room, and in a low window. [lines]"""
_MARGIN = 10


class CurvePane(QWidget):
    """Shows a batch's course, and takes its readings.

    The canvas is built after the pane was first painted, so that the window is there before the drawing library is,
    and the log after the curve was; or either when it is first asked for.

    Signals: `import_requested` when the person wants to read a log from a file; `curve_painted` when the curve stands
    on the screen for the first time; `typed_changed` when something else is typed in the line of a reading.
    """

    import_requested = Signal()
    typed_changed = Signal()
    curve_painted = Signal()

    def __init__(
        self,
        store: BatchStore,
        catalogue: Catalogue,
        display: Display,
        colours: Colours,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._store = store
        self._display, self._colours = display, colours
        self._scene: Scene | None = None
        self._drawn: Outcome | None = None
        self._earlier: Earlier | None = None
        self._is_stale = False
        self._is_at_work = False
        self._by_date = self._shows_difference = False
        self._after_paint = QTimer(self)
        self._after_paint.setSingleShot(True)
        self._after_paint.timeout.connect(self._open)
        self.canvas: CurveCanvas | None = None
        """The curve, once it is built."""
        self.headline = HeadlineLabel(display)
        self.headline.why.clicked.connect(self.show_reasons)
        self._names = names_on(catalogue, lambda: self._batch)
        self._log: LogPart | None = None
        self._batch: Batch | None = None
        self._reasons: VerdictReasons | None = None
        self._outcome: Outcome | None = None
        self._lay_out()

    # --- what every pane can do

    def show_batch(self, batch: Batch) -> None:
        """Show the log at once; what it means follows with the outcome."""
        self._batch = batch
        if self._log is not None:
            self._log.show_batch(batch)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows from the batch."""
        self._outcome = outcome
        self.set_stale(False)
        self.headline.show_headline(outcome.headline)
        self.headline.offer_reasons(outcome.verdict is not None)
        if self._reasons is not None:
            if outcome.verdict is None:
                self._reasons.hide()
            self._reasons.show_outcome(outcome)
        if self._log is not None:
            self._log.show_outcome(outcome)
        self.show_curve(outcome)

    def show_curve(self, outcome: Outcome) -> None:
        """Show the curve alone, at once: what the eye follows while a number is turned up and down."""
        if outcome.is_pending:
            self._scene = self._drawn = None  # the next curve borrows nothing of another batch
            return
        if outcome is self._drawn:
            return
        self._drawn = outcome
        scene = msgspec.structs.replace(
            scene_of(outcome, self._names.of, self._scene), earlier=self._earlier, today=_today(outcome.batch)
        )
        self._scene = scene if self._scene is None else until_whole(scene, self._scene)
        if self.canvas is not None:
            self.canvas.set_stale(False)
            self.canvas.show_scene(self._scene)
            self.canvas.repaint()

    def lay_beside(self, earlier: Outcome | None) -> bool:
        """Lay another batch beside this one, or none. False if there is nothing of it to draw."""
        laid = None if earlier is None else earlier_of(earlier)
        self._earlier = laid
        outcome, self._drawn = self._drawn, None
        if outcome is not None:
            self.show_curve(outcome)
            self.reset_zoom()
        return laid is not None

    def pin(self, outcome: Outcome | None) -> None:
        """Lay the expected course of a pinned design beside this one, or no longer."""
        curve = None if outcome is None else outcome.curve
        self._earlier = None if curve is None else pinned_course(curve.days, curve.gravity)
        drawn, self._drawn = self._drawn, None
        if drawn is not None:
            self.show_curve(drawn)

    @property
    def is_pinned(self) -> bool:
        """Whether the course of a pinned design lies beside this one."""
        return self._earlier is not None and self._earlier.name == PINNED

    @property
    def is_beside(self) -> bool:
        """Whether another batch lies beside this one."""
        return self._earlier is not None

    def show_shelf(self) -> None:
        """Call ingredients what the shelf calls them now: the person's own come, go and change their names."""
        if self._log is not None:
            self._log.table.log_model.set_display(self._display)

    def set_stale(self, stale: bool) -> None:
        """Dim what is being worked out anew."""
        self._is_stale = stale
        self.headline.set_stale(stale)
        if self._log is not None:
            self._log.table.log_model.set_stale(stale)
        if self.canvas is not None:
            self.canvas.set_stale(stale)

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        for part in (self.headline, self._reasons, self._log, self.canvas):
            if part is not None:
                part.set_display(display)

    def set_colours(self, colours: Colours) -> None:
        """Another theme."""
        self._colours = colours
        if self._log is not None:
            self._log.table.show_looks()
        if self.canvas is not None:
            self.canvas.set_colours(colours)

    def set_at_work(self, at_work: bool) -> None:
        """Whether a reading is what the batch waits for."""
        self._is_at_work = at_work
        if self._log is not None:
            self._log.form.add_button.set_due(at_work)

    # --- what the window asks of this one

    @property
    def split(self) -> bytes:
        """How the height is shared between curve and log, to be remembered."""
        return bytes(self._splitter.saveState().data())

    @split.setter
    def split(self, state: bytes) -> None:
        self._splitter.restoreState(QByteArray(state))

    def enter_reading(self) -> None:
        """Go to the line where a reading is typed."""
        self.form.begin()

    def show_reasons(self) -> None:
        """Show why the batch is judged as it is, and all the next steps."""
        self.reasons.show()
        self.reasons.activateWindow()

    def go_to(self, place: str) -> None:
        """Go to what a finding about the log speaks of: a reading, or the moment of pitching."""
        self.log.go_to(place)

    def reset_zoom(self) -> None:
        """Show the whole curve."""
        if self.canvas is not None:
            self.canvas.reset_zoom()

    def set_axis(self, axis: str) -> None:
        """Count "days" since pitching on the lower axis, or "dates" of the calendar."""
        self._by_date = axis == "dates"
        if self.canvas is not None:
            self.canvas.show_dates(self._by_date)

    def set_level(self, level: str) -> None:
        """Show the "gravity" of readings, or their "difference" from what was expected."""
        self._shows_difference = level == "difference"
        if self.canvas is not None:
            self.canvas.show_difference(self._shows_difference)

    def save_picture(self, path: Path) -> None:
        """Write the curve as a picture. Raises OSError, or ValueError for a suffix that is neither .png nor .svg."""
        self.build_canvas().save_picture(path)

    def build_canvas(self) -> CurveCanvas:
        """The curve; built now if it was not yet."""
        if self.canvas is None:
            with without("mpl_toolkits.mplot3d"):  # nothing is drawn in three dimensions
                from planner.ui.curve.canvas import CurveCanvas

            canvas = CurveCanvas(self._display, self._colours)
            self._curve_column.replaceWidget(self._waiting, canvas)
            self._waiting.deleteLater()
            canvas.picked.connect(self._select)
            canvas.set_stale(self._is_stale)
            self.canvas = canvas
            canvas.show_dates(self._by_date)
            canvas.show_difference(self._shows_difference)
            if self._scene is not None:
                canvas.show_scene(self._scene)
        return self.canvas

    @property
    def log(self) -> LogPart:
        """What stands below the curve; built now if it was not yet."""
        if self._log is None:
            from planner.ui.curve.log_part import LogPart

            log = LogPart(self._store, self._display, self._names)
            log.import_requested.connect(self.import_requested)
            log.form.typed_changed.connect(self.typed_changed)
            log.table.selected.connect(self._ring)
            log.so_far.clicked.connect(self.show_reasons)
            self._log = log
            if self._batch is not None:
                log.show_batch(self._batch)
            if self._outcome is not None:
                log.show_outcome(self._outcome)
            log.table.log_model.set_stale(self._is_stale)
            log.form.add_button.set_due(self._is_at_work)
            heights = self._splitter.sizes()
            self._log_column.addWidget(log)
            if any(heights):
                self._splitter.setSizes(heights)
        return self._log

    def made_log(self) -> LogPart | None:
        """What stands below the curve, if it is built."""
        return self._log

    @property
    def table(self) -> LogTable:
        """The log."""
        return self.log.table

    @property
    def form(self) -> ReadingForm:
        """The line to enter a reading."""
        return self.log.form

    @property
    def remarks(self) -> Remarks:
        """What is doubtful in the log."""
        return self.log.remarks

    @property
    def so_far(self) -> SoFarButton:
        """The alcohol so far."""
        return self.log.so_far

    @property
    def import_button(self) -> Button:
        """The way to read a log from a file."""
        return self.log.import_button

    @property
    def reasons(self) -> VerdictReasons:
        """Why the batch is judged as it is; built now if it was not yet."""
        if self._reasons is None:
            from planner.ui.log.verdict import VerdictReasons

            self._reasons = VerdictReasons(self._display, self)
            self._reasons.reading_wanted.connect(self._select)
            if self._outcome is not None:
                self._reasons.show_outcome(self._outcome)
        return self._reasons

    # --- making

    def _lay_out(self) -> None:
        self._place = QWidget()
        self._place.setMinimumHeight(self._lines(_STILL_A_CURVE))
        self._waiting = QWidget()
        self._curve_column = QVBoxLayout(self._place)
        self._curve_column.setContentsMargins(0, 0, 0, 0)
        self._curve_column.addWidget(self._waiting)
        self._splitter = PlainSplitter(Qt.Orientation.Vertical)
        self._splitter.setChildrenCollapsible(False)
        self._splitter.addWidget(self._place)
        log_place = QWidget()
        self._log_column = QVBoxLayout(log_place)
        self._log_column.setContentsMargins(0, 0, 0, 0)
        self._splitter.addWidget(log_place)
        self._splitter.setStretchFactor(0, 3)
        self._splitter.setStretchFactor(1, 1)
        self._splitter.setSizes([400, 260])
        column = QVBoxLayout(self)
        column.setContentsMargins(_MARGIN, 6, _MARGIN, 6)
        column.setSpacing(4)
        column.addWidget(self.headline)
        column.addWidget(self._splitter, 1)

    def _ring(self, place: object) -> None:
        if self.canvas is not None:
            self.canvas.select(place if isinstance(place, int) else None)

    def _select(self, place: object) -> None:
        self.table.select(place if isinstance(place, int) else None)

    def _open(self) -> None:
        """The window is on the screen: the curve now, then those who wait for it, and the log if it is not there yet."""
        canvas = self.build_canvas()
        canvas.show()
        self._curve_column.activate()
        canvas.repaint()
        self.curve_painted.emit()
        if self.isVisible():
            _ = self.log

    # --- Qt

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._give_way()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self._give_way()
        return super().event(event)

    def _give_way(self) -> None:
        """In a low window the curve gives way to the log, as long as it is still a curve."""
        room = self.height() - self._beside_curve()
        height = min(max(room, self._lines(_STILL_A_CURVE)), self._lines(_CURVE_LOWEST))
        if height != self._place.minimumHeight():
            self._place.setMinimumHeight(height)

    def _beside_curve(self) -> int:
        """Height of all but the curve, at least. [px]"""
        return super().minimumSizeHint().height() - self._place.minimumHeight()

    def _lines(self, lines: int) -> int:
        return lines * self.fontMetrics().lineSpacing()

    def minimumSizeHint(self) -> QSize:
        width = super().minimumSizeHint().width()
        return QSize(width, self._beside_curve() + self._lines(_STILL_A_CURVE))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.canvas is None:
            self._after_paint.start()


def _today(batch: Batch) -> float | None:
    """The present in days since pitching, where that is dated. [d]"""
    pitched = batch.log.pitched_at
    return day_of(now().isoformat(), None, pitched) if pitched else None
