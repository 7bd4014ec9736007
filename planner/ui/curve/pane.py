"""The middle pane: how the batch stands in a sentence, the curve, and the log with the line to enter a reading."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt, QTimer, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSplitter, QVBoxLayout, QWidget

from planner.batch.batch import Batch
from planner.batch.findings import Finding, error
from planner.batch.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.curve.headline_label import HeadlineLabel
from planner.ui.curve.scene import Scene, scene_of, with_former_band
from planner.ui.display import Display
from planner.ui.log.names import names_on
from planner.ui.log.reading_form import ReadingForm
from planner.ui.log.so_far import SoFarButton
from planner.ui.log.table import LogTable
from planner.ui.log.verdict import VerdictReasons
from planner.ui.store import BatchStore
from planner.ui.theme import Colours
from planner.ui.widgets.remarks import Remarks, set_tone, small, under

if TYPE_CHECKING:
    from planner.ui.curve.canvas import CurveCanvas

_MOST_REMARKS = 2
"""Findings told in words under the table; the rest stand at their rows and in the list of all."""

_CURVE_LOWEST = 320
_MARGIN = 10


class CurvePane(QWidget):
    """Shows a batch's course, and takes its readings.

    The canvas is built after the pane was first painted, so that the window is there before the drawing library is.

    Signal: `import_requested` when the person wants to read a log from a file.
    """

    import_requested = Signal()

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
        self._is_stale = False
        self._by_date = self._shows_difference = False
        self._after_paint = QTimer(self)
        self._after_paint.setSingleShot(True)
        self._after_paint.timeout.connect(self.build_canvas)
        self.canvas: CurveCanvas | None = None
        """The curve, once it is built."""
        self.headline = HeadlineLabel(display)
        self._names = names_on(catalogue)
        self.table = LogTable(store, display, names=self._names)
        self.form = ReadingForm(store, display, names=self._names)
        self.remarks = Remarks(display)
        self.reasons = VerdictReasons(display, self)
        self.so_far = SoFarButton(display)
        self.import_button = QPushButton("&Import readings…")
        self._count = QLabel()
        self._lay_out()
        self._connect()
        self.table.show_looks()

    # --- what every pane can do

    def show_batch(self, batch: object) -> None:
        """Show the log at once; what it means follows with the outcome."""
        if not isinstance(batch, Batch):
            return
        self.table.log_model.show_log(batch.log)
        self.form.show_log(batch.log)
        self._tell_count(batch)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows from the batch."""
        self.set_stale(False)
        self.headline.show_headline(outcome.headline)
        if (
            outcome.with_band or outcome.curve is None
        ):  # the first quick answer to an edit weighs no log: nothing blinks
            self.headline.offer_reasons(outcome.verdict is not None)
            if outcome.verdict is None:
                self.reasons.hide()
            self.reasons.show_outcome(outcome)
            self.so_far.show_so_far(outcome.so_far)
        self.table.log_model.show_outcome(outcome)
        self._show_findings(under(outcome.findings, "log"))
        self.show_curve(outcome)

    def show_curve(self, outcome: Outcome) -> None:
        """Show the curve alone, at once: what the eye follows while a number is turned up and down."""
        if outcome is self._drawn:
            return
        self._drawn = outcome
        scene = scene_of(outcome, self._names.of)
        self._scene = scene if self._scene is None else with_former_band(scene, self._scene)
        if self.canvas is not None:
            self.canvas.set_stale(False)
            self.canvas.show_scene(self._scene)
            self.canvas.repaint()

    def show_shelf(self) -> None:
        """Call ingredients what the shelf calls them now: the person's own come, go and change their names."""
        self.table.log_model.set_display(self._display)

    def set_stale(self, stale: bool) -> None:
        """Dim what is being worked out anew."""
        self._is_stale = stale
        self.headline.set_stale(stale)
        self.table.log_model.set_stale(stale)
        if self.canvas is not None:
            self.canvas.set_stale(stale)

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        for part in (self.headline, self.reasons, self.so_far, self.table, self.form, self.remarks):
            part.set_display(display)
        if self.canvas is not None:
            self.canvas.set_display(display)

    def set_colours(self, colours: Colours) -> None:
        """Another theme."""
        self._colours = colours
        self.table.show_looks()
        if self.canvas is not None:
            self.canvas.set_colours(colours)

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
        number = place.removeprefix("log.readings.")
        if number.isdecimal():
            self.table.select(int(number))
            self.table.setFocus()
        elif place == "log.pitched_at":
            self.form.pitched.setFocus()

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
            from planner.ui.curve.canvas import CurveCanvas

            canvas = CurveCanvas(self._display, self._colours)
            self._curve_column.replaceWidget(self._waiting, canvas)
            self._waiting.deleteLater()
            self.setTabOrder(self.headline.next, canvas)
            canvas.picked.connect(self.table.select)
            canvas.set_stale(self._is_stale)
            self.canvas = canvas
            canvas.show_dates(self._by_date)
            canvas.show_difference(self._shows_difference)
            if self._scene is not None:
                canvas.show_scene(self._scene)
        return self.canvas

    # --- making

    def _lay_out(self) -> None:
        self._place = QWidget()
        self._place.setMinimumHeight(_CURVE_LOWEST)
        self._waiting = QWidget()
        self._curve_column = QVBoxLayout(self._place)
        self._curve_column.setContentsMargins(0, 0, 0, 0)
        self._curve_column.addWidget(self._waiting)
        self._splitter = QSplitter(Qt.Orientation.Vertical)
        self._splitter.setChildrenCollapsible(False)
        self._splitter.addWidget(self._place)
        self._splitter.addWidget(self._log_part())
        self._splitter.setStretchFactor(0, 3)
        self._splitter.setStretchFactor(1, 1)
        self._splitter.setSizes([400, 260])
        column = QVBoxLayout(self)
        column.setContentsMargins(_MARGIN, 6, _MARGIN, 6)
        column.setSpacing(4)
        column.addWidget(self.headline)
        column.addWidget(self._splitter, 1)

    def _log_part(self) -> QWidget:
        part = QWidget()
        head = QHBoxLayout()
        title = QLabel("Log")
        font = title.font()
        font.setBold(True)
        title.setFont(font)
        self._count.setFont(small(self.font()))
        set_tone(self._count, "dim")
        self.import_button.setFlat(True)
        self.import_button.setToolTip("Read a log from a text or spreadsheet file")
        head.addWidget(title)
        head.addSpacing(6)
        head.addWidget(self._count)
        head.addStretch(1)
        head.addWidget(self.so_far)
        head.addWidget(self.import_button)
        column = QVBoxLayout(part)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.table, 1)
        column.addWidget(self.remarks)
        column.addWidget(self.form)
        self.table.setMinimumHeight(4 * self.fontMetrics().height())
        return part

    def _connect(self) -> None:
        self.import_button.clicked.connect(self._ask_for_import)
        self.table.selected.connect(self._ring)
        self.table.refused.connect(self._tell_refusal)
        self.form.added.connect(self.table.select)
        self.headline.why.clicked.connect(self.show_reasons)
        self.so_far.clicked.connect(self.show_reasons)
        self.reasons.reading_wanted.connect(self.table.select)

    def _ask_for_import(self) -> None:
        self.import_requested.emit()

    def _ring(self, place: object) -> None:
        if self.canvas is not None:
            self.canvas.select(place if isinstance(place, int) else None)

    def _tell_refusal(self, reason: str) -> None:
        """Say why a text that was left in the table did not go in; the next outcome takes it away."""
        text = reason.replace("{", "(").replace("}", ")")
        self._show_findings((error("log", text), *under(self.remarks.findings, "log.readings")))

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        gravest = sorted(findings, key=_gravity_of)
        self.remarks.show_findings(gravest[:_MOST_REMARKS])

    def _tell_count(self, batch: Batch) -> None:
        readings = batch.log.readings
        out = sum(reading.excluded for reading in readings)
        words = f"{len(readings)} reading{'s' if len(readings) != 1 else ''}"
        self._count.setText((words + (f", {out} left out" if out else "")) if readings else "")

    # --- Qt

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.canvas is None:
            self._after_paint.start()


def _gravity_of(finding: Finding) -> int:
    """The gravest first."""
    return -finding.level
