"""The window that shows what is done when, and writes it into a calendar file."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QLocale, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.batch import edits
from planner.batch.batch import Batch
from planner.batch.outcome import Outcome
from planner.batch.planning.schedule import Schedule, Task, earliest_pitching, schedule
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log.when import date_text, moment_for_editing, now, read_when
from planner.ui.recipe.acts import Acts
from planner.ui.recipe.section import small_text
from planner.ui.store import BatchStore
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import CommitLine
from planner.ui.widgets.remarks import in_words

_HEADINGS = ("Day", "Date", "May fall between", "What", "How")


class MomentField(CommitLine):
    """A date and time: "5 Sep 18:00", "2026-09-05"; empty for not yet. Speaks ISO 8601 with an offset, or None."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display

    def set_display(self, display: Display) -> None:
        """Show the same moment with other habits."""
        self._display = display
        self.restore()

    def _read(self, text: str) -> str | None:
        if not text.strip():
            return None
        when = read_when(_ahead(text), self._display.locale, now())
        if when.at is None:
            raise EntryError("A date is wanted, such as 2026-09-05 18:00.")
        return when.at

    def _written(self, value: object) -> str:
        if not isinstance(value, str):
            return ""
        return moment_for_editing(datetime.fromisoformat(value))


def _ahead(text: str) -> str:
    """Plans lie ahead: tomorrow is understood here, too."""
    from datetime import timedelta

    if text.strip().casefold() == "tomorrow":
        return (now() + timedelta(days=1)).strftime("%Y-%m-%d 18:00")
    return text


class ScheduleDialog(QDialog):
    """What is done when. Signal: `export_wanted` with the schedule, once it has a date."""

    export_wanted = Signal(object)

    def __init__(
        self, store: BatchStore, catalogue: Catalogue, display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Schedule")
        self.resize(940, 600)
        self._catalogue, self._display = catalogue, display
        self._acts = Acts(store, self)
        self._outcome: Outcome | None = None
        self.plan = Schedule((), None, True)
        self.planned = MomentField(display)
        self.planned.setAccessibleName("Pitching planned for")
        self.planned.setPlaceholderText("such as 2026-09-05 18:00")
        self.planned.setFixedWidth(190)
        self.planned.set_hint("When you mean to pitch; the other dates follow from it.")
        self.export = QPushButton("Export for a calendar…")
        self.export.setToolTip(
            "Write the tasks as an iCalendar file; exporting again brings the same entries up to date."
        )
        self.table = theme.dress(QTableWidget(0, len(_HEADINGS)))
        self.table.setHorizontalHeaderLabels(_HEADINGS)
        self.table.verticalHeader().hide()
        # Rows follow the width of the columns whenever that becomes known, and none is cut at the top.
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setVerticalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setShowGrid(False)
        self.table.setWordWrap(True)
        self.table.setAccessibleName("Tasks")
        self.table.setFont(theme.tabular(self.table.font()))
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(4, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.text = small_text()
        self._arrange()
        self._acts.watch(self.planned)
        self.planned.committed.connect(self._change_planned)
        self.export.clicked.connect(self._export)
        self.show_batch(store.batch)

    def _arrange(self) -> None:
        label = QLabel("Pitching planned for")
        label.setBuddy(self.planned)
        top = QHBoxLayout()
        top.addWidget(label)
        top.addWidget(self.planned)
        top.addStretch(1)
        top.addWidget(self.export)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.text)
        layout.addWidget(self.table, 1)

    def show_batch(self, batch: object) -> None:
        """Show when a batch is to be pitched."""
        if isinstance(batch, Batch):
            self.planned.show_value(batch.recipe.pitch_planned)
            self.planned.setEnabled(batch.log.pitched_at is None)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show the tasks that follow from a batch."""
        self._outcome = outcome
        self.plan = schedule(outcome, self._catalogue)
        self.table.setRowCount(len(self.plan.tasks))
        for row, task in enumerate(self.plan.tasks):
            for column, text in enumerate(self._cells(task)):
                item = QTableWidgetItem(text)
                item.setTextAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
                item.setToolTip(text)
                if task.done:
                    item.setForeground(self.palette().placeholderText())
                self.table.setItem(row, column, item)
        self.export.setEnabled(bool(self.plan.tasks) and self.plan.pitched is not None)
        self._tell()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.planned.set_display(display)
        if self._outcome is not None:
            self.show_outcome(self._outcome)

    def _tell(self) -> None:
        if not self.plan.tasks:
            text = "Nothing to ferment yet: enter fruit and honey in the recipe."
        elif self.plan.pitched is None:
            text = "Enter when you mean to pitch, and every task gets its date."
        elif self.plan.is_planned:
            text = "Counted from the planned pitching. Once it is logged, and as the log grows, the dates move along."
        else:
            text = "Counted from the pitching in the log; what was done is dimmed, what follows moves along with it."
        earliest = earliest_pitching(self.plan, now())
        if earliest is not None:
            day = date_text(earliest.date(), self._display.locale)
            text = f"What goes before would begin in the past: with this preparation, pitch on {day} at the earliest."
        self.text.setText(text)
        set_tone(self.text, "dim" if earliest is None else "warning")

    def _cells(self, task: Task) -> tuple[str, str, str, str, str]:
        day = self._display.number(task.day, 0)
        if task.until is not None:
            day = f"{day} to {self._display.number(task.until, 0)}"
        wide = task.late - task.early >= 2.0 and not task.done
        between = f"{self._date(task.early)} to {self._date(task.late)}" if wide else ""
        if wide and self.plan.pitched is None:
            between = f"day {self._display.number(task.early, 0)} to {self._display.number(task.late, 0)}"
        title = in_words(task.title, self._display)
        return (
            day,
            self._date(task.day),
            between,
            f"✓ {title}" if task.done else title,
            in_words(task.text, self._display),
        )

    def _date(self, day: float) -> str:
        moment = self.plan.moment(day)
        if moment is None:
            return ""
        locale = self._display.locale
        return (
            f"{locale.dayName(moment.isoweekday(), QLocale.FormatType.ShortFormat)} {date_text(moment.date(), locale)}"
        )

    def _change_planned(self, at: str | None) -> None:
        told = "not yet" if at is None else at[:16].replace("T", " ")
        self._acts.do(f"pitching planned: {told}", edits.change_recipe, pitch_planned=at)

    def _export(self) -> None:
        self.export_wanted.emit(self.plan)
