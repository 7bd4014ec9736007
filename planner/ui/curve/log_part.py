"""What stands below the curve: the log as a table, what is doubtful in it, and the line to enter a reading."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from planner.document.batch import Batch, Event, TasteReading
from planner.evaluation.outcome import Outcome
from planner.ui.display import Display
from planner.ui.log.alcohol_button import SoFarButton
from planner.ui.log.reading_form import ReadingForm
from planner.ui.log.table import LogTable
from planner.ui.log.typed_addition import Names
from planner.ui.store import BatchStore
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import Remarks, small, under
from planner.wording.finding import Finding, error
from planner.wording.phrases import Words, literal

_FEWEST_ROWS = 2
"""Rows of the log that are in sight in the lowest window."""

_MOST_REMARKS = 2
"""Findings told in words under the table; the rest stand at their rows and in the list of all."""


_HIDDEN = "· % vol hidden"
_WHY_HIDDEN = "The column of the alcohol so far gave way to the notes. Widen the window, or fold a pane beside it."
_NOT_READ = (Event, TasteReading)
"""What stands in the log besides readings of an instrument."""


class LogPart(QWidget):
    """Shows the readings and takes new ones. Signal: `import_requested` when they are wanted from a file."""

    import_requested = Signal()

    def __init__(self, store: BatchStore, display: Display, names: Names, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._counted = ""
        self.table = LogTable(store, display, names=names)
        self.form = ReadingForm(store, display, names=names)
        self.remarks = Remarks(display)
        self.so_far = SoFarButton(display)
        self.import_button = Button("&Import readings…")
        self.count = Elided()
        self._lay_out()
        for part in (self.import_button, self.so_far):
            part.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # Ctrl+I and F3
        self.import_button.clicked.connect(self._ask_for_import)
        self.table.refused.connect(self._tell_refusal)
        self.form.added.connect(self.table.select)
        self.table.alcohol_hidden.connect(self._tell_hidden)
        self.table.show_looks()

    def show_batch(self, batch: Batch) -> None:
        """Show the log at once; what it means follows with the outcome."""
        self.table.log_model.show_log(batch.log)
        self.form.show_log(batch.log)
        self.form.show_planned(batch.recipe.pitch_planned)
        self._tell_count(batch)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows from the batch."""
        self.table.log_model.show_outcome(outcome)
        self.so_far.show_so_far(outcome.so_far)
        self._show_findings(under(outcome.findings, "log"))

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        for part in (self.so_far, self.table, self.form, self.remarks):
            part.set_display(display)

    def go_to(self, place: str) -> None:
        """Go to what a finding about the log speaks of: a reading, or the moment of pitching."""
        number = place.removeprefix("log.readings.")
        if number.isdecimal():
            self.table.select(int(number))
            self.table.setFocus()
        elif place == "log.pitched_at":
            self.form.pitched.setFocus()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        title = Label("Log")
        font = title.font()
        font.setBold(True)
        title.setFont(font)
        self.count.setFont(small(self.font()))
        set_tone(self.count, "dim")
        self.import_button.setFlat(True)
        self.import_button.setToolTip("Read a log from a text or spreadsheet file")
        head.addWidget(title)
        head.addSpacing(6)
        head.addWidget(self.count, 1)
        head.addWidget(self.so_far)
        head.addWidget(self.import_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.table, 1)
        column.addWidget(self.remarks)
        column.addWidget(self.form)
        self.table.setMinimumHeight(self.table.height_of(_FEWEST_ROWS))

    def minimumSizeHint(self) -> QSize:
        """As high as its texts are at its width, of which layouts ask nothing."""
        layout, least = self.layout(), super().minimumSizeHint()
        return least if layout is None else QSize(least.width(), layout.minimumHeightForWidth(self.width()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def _ask_for_import(self) -> None:
        self.import_requested.emit()

    def _tell_refusal(self, reason: str) -> None:
        """Say why a text that was left in the table did not go in; the next outcome takes it away."""
        text = literal(reason)
        self._show_findings((error("log", text), *under(self.remarks.findings, "log.readings")))

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        different: dict[Words, Finding] = {}
        for finding in sorted(findings, key=_gravity_of):
            different.setdefault(finding.text, finding)  # of many readings the same is told once
        self.remarks.show_findings(tuple(different.values())[:_MOST_REMARKS])

    def _tell_count(self, batch: Batch) -> None:
        readings = batch.log.readings
        out = int(batch.log.entries.flags("excluded").sum())
        number = self._display.locale.toString
        done = sum(len(places) for kind, places in batch.log.entries.places().items() if issubclass(kind, _NOT_READ))
        read = len(readings) - done
        words = [f"{number(read)} reading{'s' if read != 1 else ''}"] if read else []
        words += [f"{number(done)} other"] if done else []
        self._counted = ", ".join(words + ([f"{number(out)} left out"] if out else []))
        self._tell_hidden(self.table.hides_alcohol)

    def _tell_hidden(self, hidden: bool) -> None:
        """How many entries there are, and that a column is missing where it has no room."""
        told = hidden and bool(self._counted)
        self.count.show_text(self._counted + (f" {_HIDDEN}" if told else ""), _WHY_HIDDEN if told else "")


def _gravity_of(finding: Finding) -> int:
    """The gravest first."""
    return -finding.level
