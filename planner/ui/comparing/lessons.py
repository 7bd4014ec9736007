"""The window of what was expected of a batch and what came, and of what the next batch takes over."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFont
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

from planner.comparing.lessons import Lesson, lessons, taken_over
from planner.comparing.pace import has_stopped
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.asking import Ask
from planner.ui.comparing.figures import shown
from planner.ui.display import Display
from planner.ui.files import file_name
from planner.ui.parts_made import is_made
from planner.ui.recalculator import Recalculator
from planner.ui.recipe.section import small_text
from planner.ui.settings import Settings
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words

_HEADINGS = ("", "Expected", "What came", "What it means")
_CAME = _HEADINGS.index("What came")
_TOP_LEFT = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft


class LessonsDialog(QDialog):
    """Worked out on a worker whenever it is seen. Signal: `next_wanted` with the next batch, which takes over what is ticked."""

    next_wanted = Signal(object)

    def __init__(self, catalogue: Catalogue, settings: Settings, ask: Ask, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("What was expected and what came")
        self._catalogue, self._settings, self._ask = catalogue, settings, ask
        self._display: Display = settings.display
        self._outcome: Outcome | None = None
        self.lessons: tuple[Lesson, ...] = ()
        self.recalculator = Recalculator((self._work,), parent=self)
        self.recalculator.finished.connect(self._show_lessons)
        self.recalculator.failed.connect(self._tell_failure)
        self.intro = small_text()
        self.table = theme.dress(QTableWidget(0, len(_HEADINGS)))
        self.table.setHorizontalHeaderLabels(_HEADINGS)
        self.table.setAccessibleName("Expected and measured")
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.setVerticalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setShowGrid(False)
        self.table.setWordWrap(True)
        self.table.setFont(theme.tabular(self.table.font()))
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(len(_HEADINGS) - 1, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.over = Label()
        self.over.setWordWrap(True)
        self.boxes: list[CheckBox] = []
        self._offers = QVBoxLayout()
        self.next = Button("Begin &next batch")
        self.next.setToolTip("The same recipe again, with what is ticked; without log, adjustment and tastings")
        self.next.clicked.connect(self._begin)
        self.paper = Button("&Print…")
        self.paper.clicked.connect(self._print)
        acts = QHBoxLayout()
        acts.addWidget(self.paper)
        acts.addStretch(1)
        acts.addWidget(self.next)
        layout = QVBoxLayout(self)
        layout.addWidget(self.intro)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.over)
        layout.addLayout(self._offers)
        layout.addLayout(acts)
        fit(self, figures=136, lines=42)

    def show_outcome(self, outcome: Outcome) -> None:
        """Another answer to the batch; worked out once the window is seen."""
        if outcome is self._outcome:
            return
        if self._outcome is None or outcome.batch.name != self._outcome.batch.name:
            self._show_lessons(())
            self.intro.setText("Being worked out …")
        self._outcome = outcome
        self.table.setEnabled(False)
        self.next.setEnabled(False)
        self.recalculator.request(outcome)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._show_lessons(self.lessons)

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.recalculator.shut_down()

    def _work(self, outcome: Outcome) -> tuple[Lesson, ...]:
        return lessons(outcome, self._catalogue)

    def _tell_failure(self, failure: object) -> None:
        raise RuntimeError("What came of the batch could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )

    def _show_lessons(self, found: object) -> None:
        if not isinstance(found, tuple):
            return
        self.lessons = found
        self.table.setEnabled(True)
        self.table.setRowCount(len(found))
        for row, lesson in enumerate(found):
            cells = (lesson.name, shown(lesson.expected, lesson.kind, self._display),
                     shown(lesson.came, lesson.kind, self._display), in_words(lesson.told, self._display))  # fmt: skip
            for column, text in enumerate(cells):
                item = QTableWidgetItem(text)
                item.setTextAlignment(_TOP_LEFT)
                if lesson.came is None:
                    item.setForeground(self.palette().placeholderText())
                if column == _CAME and lesson.off:
                    font = QFont(self.table.font())
                    font.setBold(True)
                    item.setFont(font)
                self.table.setItem(row, column, item)
        self._tell()
        self._offer()

    def _tell(self) -> None:
        outcome = self._outcome
        if outcome is None:
            return
        off = sum(bool(lesson.off) for lesson in self.lessons)
        known = sum(lesson.came is not None for lesson in self.lessons)
        if not self.lessons:
            text = "Nothing ferments in this batch yet. Enter fruit and honey in the recipe."
        elif not known:
            text = "Nothing was measured yet. What is expected stands here, and the log fills the rest."
        else:
            text = f"{off} of {known} figures differ from what was expected by more than their ranges leave open." if off else (
                f"All {known} figures agree with what was expected, within their ranges."
            )  # fmt: skip
            if not has_stopped(outcome):
                text += " The ferment has not stopped yet, and the rest is still to come."
        self.intro.setText(text)

    def _offer(self) -> None:
        empty(self._offers)
        self.boxes = []
        for lesson in self.lessons:
            if lesson.carry is not None:
                box = CheckBox(in_words(lesson.carry.told, self._display))
                box.setChecked(True)
                self.boxes.append(box)
                self._offers.addWidget(box)
        offered = "The next batch takes over:" if self.boxes else "The next batch takes the recipe over as it is."
        self.over.setText(offered)
        for button in (self.next, self.paper):
            button.setEnabled(bool(self.lessons))

    def _begin(self) -> None:
        if self._outcome is not None:
            offers = [lesson.carry for lesson in self.lessons if lesson.carry is not None]
            chosen = [carry for carry, box in zip(offers, self.boxes, strict=True) if box.isChecked()]
            self.next_wanted.emit(taken_over(self._outcome.batch, chosen))

    def _print(self) -> None:
        if self._outcome is None:
            return
        from planner.ui.comparing.paper import lessons_for
        from planner.ui.papers.dialog import PapersDialog  # not needed before somebody asks for it

        name = self._outcome.batch.name
        make = partial(lessons_for, name, self.lessons, self._display)
        self.papers = PapersDialog(f"what came of {name}", make, self._settings, self._ask, self._suggested, self)
        self.papers.finished.connect(self.papers.deleteLater)
        self.papers.open()

    def _suggested(self, ending: str) -> Path:
        name = "" if self._outcome is None else self._outcome.batch.name
        return self._settings.last_folder / f"{file_name(name)} lessons{ending}"

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and is_made(self, "boxes"):
            self._show_lessons(self.lessons)
