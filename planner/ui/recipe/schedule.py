"""The window that shows what is done when, and writes it into a calendar file."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QEvent, QLocale, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QFont, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.document import edits
from planner.document.batch import Batch
from planner.document.timestamps import SECONDS_PER_DAY
from planner.evaluation.outcome import Outcome
from planner.planning.log_step import entry_of, hindrance
from planner.planning.schedule import earliest_pitching, schedule
from planner.planning.task import Schedule, Task
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log.when import date_text, moment_for_editing, now, read_when
from planner.ui.parts_made import is_made
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.section import small_text
from planner.ui.recipe.ticks import TickDelegate
from planner.ui.store import BatchStore
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.copying import let_copy
from planner.ui.widgets.fields import CommitLine
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.remarks import in_words

_CHECK = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable
_HEADINGS = ("Done", "Day", "Date", "May fall between", "What", "How")
_BETWEEN = _HEADINGS.index("May fall between")


class MomentField(CommitLine):
    """A date and time: "5 Sep 18:00", "2026-09-05"; empty for not yet. Speaks ISO 8601 with an offset, or None."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display

    @property
    def at(self) -> str | None:
        """The moment in it; None while it is empty."""
        return self._value if isinstance(self._value, str) else None

    def set_display(self, display: Display) -> None:
        """Show the same moment with other habits."""
        self._display = display
        self.restore()

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, self._shown, self.placeholderText())

    def _read(self, text: str) -> str | None:
        if not text.strip():
            return None
        planned = datetime.fromisoformat(self._value) if isinstance(self._value, str) else now()
        when = read_when(_ahead(text), self._display.locale, now(), planned=planned)
        if when.at is None:
            raise EntryError("Enter a date, such as 2026-09-05 18:00.")
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
    """What is done when, what of it is past, and ticks that log it. Signal: `export_wanted` with the schedule, once it has a date."""

    export_wanted = Signal(object)

    def __init__(
        self, store: BatchStore, catalogue: Catalogue, display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Schedule")
        fit(self, figures=134, lines=43)
        self._catalogue, self._display = catalogue, display
        self._acts = Acts(store, self)
        self._outcome: Outcome | None = None
        self.plan = Schedule((), None, True)
        self.rows: tuple[Task | None, ...] = ()
        self.planned = MomentField(display)
        self.planned.setAccessibleName("Pitching planned for")
        self.planned.setPlaceholderText("such as 2026-09-05 18:00")
        self.planned.set_hint("When you mean to pitch; the other dates follow from it.")
        self.done_at = MomentField(display)
        self.done_at.setAccessibleName("Ticked as done at")
        self.done_at.setPlaceholderText("now")
        self.done_at.set_hint("When what you tick was done; leave it empty for now.")
        self.export = Button("Export for a calendar…")
        self.export.setToolTip(
            "Write the tasks as an iCalendar file; exporting again brings the same entries up to date."
        )
        self.table = theme.dress(QTableWidget(0, len(_HEADINGS)))
        self.table.setHorizontalHeaderLabels(_HEADINGS)
        let_copy(self.table)
        self.table.verticalHeader().hide()
        # Rows follow the width of the columns whenever that becomes known, and none is cut at the top.
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setVerticalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setItemDelegateForColumn(0, TickDelegate(self.table))
        self.table.setShowGrid(False)
        self.table.setWordWrap(True)
        self.table.setAccessibleName("Tasks")
        self.table.setFont(theme.tabular(self.table.font()))
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(len(_HEADINGS) - 1, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.text, self.logged = small_text(), small_text()
        self._arrange()
        self._acts.watch(self.planned)
        self._acts.refused.connect(self._tell_refusal)
        self.planned.committed.connect(self._change_planned)
        self.table.itemChanged.connect(self._tick)
        self.export.clicked.connect(self._export)
        self.show_batch(store.batch)

    def _arrange(self) -> None:
        label = Label("Pitching planned for")
        label.setBuddy(self.planned)
        top = QHBoxLayout()
        top.addWidget(label)
        top.addWidget(self.planned)
        top.addStretch(1)
        top.addWidget(self.export)
        ticked = Label("Ticked as done at")
        ticked.setBuddy(self.done_at)
        self.logging = QWidget()
        below = QHBoxLayout(self.logging)
        below.setContentsMargins(0, 0, 0, 0)
        below.addWidget(ticked)
        below.addWidget(self.done_at)
        below.addWidget(self.logged, 1)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.text)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.logging)

    def show_batch(self, batch: Batch) -> None:
        """Show when a batch is to be pitched."""
        self.planned.show_value(batch.recipe.pitch_planned)
        self.planned.setEnabled(batch.log.pitched_at is None)
        self.logging.setVisible(batch.log.pitched_at is not None)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show the tasks that follow from a batch."""
        self._outcome = outcome
        self.plan = schedule(outcome, self._catalogue, now())
        self.rows = self._with_today()
        with QSignalBlocker(self.table):
            self.table.clearSpans()
            self.table.setRowCount(len(self.rows))
            for row, task in enumerate(self.rows):
                if task is None:
                    self._show_today(row)
                else:
                    self._show_task(row, task, outcome.batch)
        self.export.setEnabled(bool(self.plan.tasks) and self.plan.pitched is not None)
        self._tell()

    def _with_today(self) -> tuple[Task | None, ...]:
        """The tasks, and nothing in the place of today, where that is known."""
        today, tasks = self.plan.today, self.plan.tasks
        if today is None or self.plan.pitched is None or not tasks:
            return tasks
        days = [self.plan.moment(task.day) for task in tasks]
        coming = next((n for n, day in enumerate(days) if day is not None and day > today), len(tasks))
        return (*tasks[:coming], None, *tasks[coming:])

    def _show_today(self, row: int) -> None:
        today = self.plan.today
        assert today is not None
        assert self.plan.pitched is not None
        day = (today - self.plan.pitched).total_seconds() / SECONDS_PER_DAY
        item = QTableWidgetItem()
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        item.setBackground(self.palette().alternateBase())
        item.setText(f"Today, {self._date(day)}, day {self._display.number(day, 0)}")
        font = QFont(self.table.font())
        font.setBold(True)
        item.setFont(font)
        self.table.setItem(row, 0, item)
        for column in range(1, len(_HEADINGS)):  # what stood there before
            self.table.takeItem(row, column)
        self.table.setSpan(row, 0, 1, len(_HEADINGS))

    def _show_task(self, row: int, task: Task, batch: Batch) -> None:
        missed = self.plan.is_past(task)
        why = hindrance(self.plan, task, batch)
        for column, text in enumerate(("", *self._cells(task))):
            item = QTableWidgetItem(text)
            item.setTextAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
            item.setToolTip(as_it_is(text))
            if task.done:
                item.setForeground(self.palette().placeholderText())
            if missed and column == _BETWEEN:
                item.setForeground(QColor(theme.colours_on(self.palette()).warning))
            if column == 0 and (task.done or task.records is not None):
                item.setCheckState(Qt.CheckState.Checked if task.done else Qt.CheckState.Unchecked)
                item.setFlags(_CHECK if why is None else Qt.ItemFlag.ItemIsSelectable)
                item.setToolTip("Tick it to log that it was done." if why is None else in_words(why, self._display))
                item.setData(Qt.ItemDataRole.AccessibleTextRole, f"Done: {in_words(task.title, self._display)}")
            self.table.setItem(row, column, item)

    def _tick(self, item: QTableWidgetItem) -> None:
        """Log that the task of a row was done."""
        task = self.rows[item.row()] if item.row() < len(self.rows) else None
        if (
            task is None
            or self._outcome is None
            or item.checkState() != Qt.CheckState.Checked
            or not self.done_at.accept()
        ):
            self._restore_ticks()
            return
        at = self.done_at.at or now().isoformat(timespec="minutes")
        entry = entry_of(task, self._acts.batch, at)
        if entry is None:
            return
        title = in_words(task.title, self._display)
        self._acts.begin()
        self._acts.do(f"log: {title}", edits.add_readings, entry)
        if not self.logged.text().startswith("Not"):
            self.logged.setText(
                f"Logged: {title}, {moment_for_editing(datetime.fromisoformat(at))}. Undo takes it back."
            )

    def _tell_refusal(self, why: str) -> None:
        self.logged.setText(f"Not logged. {why}" if why else "")
        if why:
            self._restore_ticks()

    def _restore_ticks(self) -> None:
        if self._outcome is not None:
            self.show_outcome(self._outcome)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.planned.set_display(display)
        self.done_at.set_display(display)
        if self._outcome is not None:
            self.show_outcome(self._outcome)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if None in self.rows:
            today = self.table.model().index(self.rows.index(None), 0)
            self.table.scrollTo(today, QTableWidget.ScrollHint.PositionAtCenter)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and is_made(self, "rows") and self.rows:
            self._restore_ticks()

    def _tell(self) -> None:
        if not self.plan.tasks:
            text = "There is nothing to ferment yet. Enter fruit and honey in the recipe."
        elif self.plan.pitched is None:
            text = "Enter when you mean to pitch, and every task gets its date."
        elif self.plan.is_planned:
            text = "Dates count from the planned pitching. They move along once it is logged, and as the log grows."
        else:
            text = "Dates count from the pitching in the log. Tasks done are dimmed, and later ones move along. A tick logs a task as done."
        earliest = earliest_pitching(self.plan, now())
        if earliest is not None:
            day = date_text(earliest.date(), self._display.locale, now().year)
            text = f"The preparation would begin in the past. Pitch on {day} at the earliest."
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
        if self.plan.is_past(task):
            between = "past, not recorded"
        return (
            day,
            self._date(task.day),
            between,
            in_words(task.title, self._display),
            in_words(task.text, self._display),
        )

    def _date(self, day: float) -> str:
        moment = self.plan.moment(day)
        if moment is None:
            return ""
        locale = self._display.locale
        named = locale.dayName(moment.isoweekday(), QLocale.FormatType.ShortFormat)
        return f"{named} {date_text(moment.date(), locale, now().year)}"

    def _change_planned(self, at: str | None) -> None:
        told = "not yet" if at is None else at[:16].replace("T", " ")
        self._acts.do(f"pitching planned: {told}", edits.change_recipe, pitch_planned=at)

    def _export(self) -> None:
        self.export_wanted.emit(self.plan)
