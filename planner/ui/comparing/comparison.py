"""The window of batches side by side: curves over one another, in what they differ, and what could have made it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHeaderView,
    QSplitter,
    QTableWidget,
    QTableWidgetItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from planner.comparing.comparison import FEWEST, MOST, Comparison, Difference, Fact, compared
from planner.document.batch import Batch
from planner.document.codec import SUFFIX, BatchFileError, decode
from planner.evaluation.outcome import Outcome, evaluate
from planner.reference.catalogue import Catalogue
from planner.reporting.comparison import PARTS, as_csv
from planner.ui import theme
from planner.ui.asking import Ask
from planner.ui.comparing.curves import VIEWS, ComparedCurves
from planner.ui.comparing.figures import shown
from planner.ui.display import Display
from planner.ui.files import FileError, read_whole, write_whole
from planner.ui.parts_made import is_made
from planner.ui.pictures import PICTURES
from planner.ui.recalculator import Recalculator
from planner.ui.recipe.section import small_text
from planner.ui.settings import Settings
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.remarks import in_words
from planner.ui.widgets.splitter import PlainSplitter, TurningSplitter

_TOP_LEFT = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
_DIFFERING = ("Batch", "Beside the first", "What could have caused it")
MOST_CAUSES = 3
"""Of a difference that are shown. [-] All of them are in the table that is exported."""

_BATCHES = f"Batches (*{SUFFIX})"


class ComparisonDialog(QDialog):
    """Two to six batches; the first is the one that the others are told by. Worked out on a worker."""

    def __init__(self, catalogue: Catalogue, settings: Settings, ask: Ask, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Compare batches")
        self._catalogue, self._settings, self._ask = catalogue, settings, ask
        self._display: Display = settings.display
        self.batches: tuple[Batch, ...] = ()
        self._known: dict[Batch, Outcome] = {}
        """What follows from the batches of the last request, so that another beside them does not work them out anew."""
        self.found: Comparison | None = None
        self.recalculator = Recalculator((self._work,), parent=self)
        self.recalculator.finished.connect(self._show)
        self.recalculator.failed.connect(self._tell_failure)
        self._make()
        self._arrange()
        fit(self, figures=176, lines=52)
        self.show_batches(())

    # --- making

    def _make(self) -> None:
        self.add = Button("&Add a batch…")
        self.add.clicked.connect(self._add)
        self.names = [(Label(), QToolButton()) for _ in range(MOST)]
        for place, (name, remove) in enumerate(self.names):
            name.setFont(theme.sized(name.font(), 1.0, bold=place == 0))  # the one that the others are told by
            remove.setText("×")
            remove.setAutoRaise(True)
            remove.setToolTip("Take it out of the comparison")
            remove.clicked.connect(partial(self._remove, place))
        self.view = ChoiceField(VIEWS)
        self.view.setAccessibleName("What is drawn")
        self.view.show_key(VIEWS[0][0])
        self.view.chosen.connect(self._change_view)
        self.status = small_text()
        self.curves = ComparedCurves(self._display)
        self.differences = _table("How they differ", _DIFFERING)
        self.facts = _table("Side by side", ("",))
        self.picture, self.table, self.paper = (
            Button("Save &picture…"),
            Button("Export &table…"),
            Button("P&rint…"),
        )
        for button, act in (
            (self.picture, self._save_picture),
            (self.table, self._export),
            (self.paper, self._print),
        ):
            button.clicked.connect(act)

    def _arrange(self) -> None:
        names, acts = Flow(), Flow()
        for name, remove in self.names:
            names.add(name, remove)
        names.add(self.add)
        label = Label("&Draw")
        label.setBuddy(self.view)
        acts.add(label, self.view)
        for button in (self.picture, self.table, self.paper):
            acts.add(button)
        above, whole = TurningSplitter(), PlainSplitter(Qt.Orientation.Vertical)
        _put(above, self.curves, self.differences)
        _put(whole, above, self.facts)
        figure = self.fontMetrics().horizontalAdvance("0")
        above.setSizes([86 * figure, 86 * figure])
        self.differences.setMinimumWidth(_LEAST * figure)
        self.curves.setMinimumSize(_CURVES[0] * figure, _CURVES[1] * self.fontMetrics().lineSpacing())
        layout = QVBoxLayout(self)
        layout.addWidget(names)
        layout.addWidget(self.status)
        layout.addWidget(whole, 1)
        layout.addWidget(acts)

    # --- what is compared

    def show_batches(self, batches: Sequence[Batch]) -> None:
        """Compare these; with fewer than two there is only what is asked for."""
        self.batches = tuple(batches)[:MOST]
        self._show_names()
        self._say("Being worked out …" if self.batches else "Add two to six batches to compare.")
        self._let(False)
        self.recalculator.request(self.batches)

    def show_files(self, paths: Sequence[Path]) -> None:
        """Compare the batches of these files; says which of them cannot be read."""
        self.show_batches([batch for path in paths[:MOST] if (batch := self._read(path)) is not None])

    def _read(self, path: Path) -> Batch | None:
        try:
            return decode(read_whole(path))
        except (FileError, BatchFileError) as failure:
            self._ask.tell(f"“{path.name}” could not be opened.", str(failure))
            return None

    def _add(self) -> None:
        path = self._ask.open_path("Add a batch to compare", self._settings.last_folder, _BATCHES)
        batch = None if path is None else self._read(path)
        if batch is not None:
            self.show_batches((*self.batches, batch))

    def _remove(self, place: int) -> None:
        self.show_batches((*self.batches[:place], *self.batches[place + 1 :]))

    def _show_names(self) -> None:
        for place, (name, remove) in enumerate(self.names):
            batch = self.batches[place] if place < len(self.batches) else None
            name.setText("" if batch is None else batch.name)
            remove.setAccessibleName("" if batch is None else f"Take {batch.name} out of the comparison")
            for widget in (name, remove):
                widget.setVisible(batch is not None)
        self.add.setEnabled(len(self.batches) < MOST)

    # --- working it out

    def _work(self, batches: tuple[Batch, ...]) -> tuple[tuple[Outcome, ...], Comparison | None]:
        self._known = {batch: self._known.get(batch) or evaluate(batch, self._catalogue) for batch in batches}
        outcomes = tuple(self._known[batch] for batch in batches)
        return outcomes, compared(outcomes, self._catalogue) if len(outcomes) >= FEWEST else None

    def _tell_failure(self, failure: object) -> None:
        raise RuntimeError("The batches could not be compared.") from (
            failure if isinstance(failure, Exception) else None
        )

    def _show(self, answer: object) -> None:
        assert isinstance(answer, tuple)
        outcomes, self.found = answer
        self.curves.show_outcomes(outcomes)
        self._fill()
        self._let(self.found is not None)

    def _let(self, ready: bool) -> None:
        for part in (self.differences, self.facts, self.table, self.paper, self.picture):
            part.setEnabled(ready)

    # --- showing it

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.curves.set_display(display)
        self._fill()

    def _fill(self) -> None:
        found = self.found
        differences = () if found is None else found.differences
        self.differences.setRowCount(len(differences))
        for row, one in enumerate(differences):
            self._show_difference(row, one)
        self._show_facts(() if found is None else found.facts)
        if found is None:
            self._say("Add another batch to compare." if self.batches else "Add two to six batches to compare.")
            return
        certain = sum(not one.doubtful for one in differences)
        more = "Amounts are for a batch of the size of the first."
        self._say(f"{certain} differences would be noticed. {more}" if certain else "No difference would be noticed.")

    def _say(self, text: str) -> None:
        self.status.setText(text)

    def _show_difference(self, row: int, one: Difference) -> None:
        causes = "\n".join(_sentence(in_words(share.told, self._display)) for share in one.causes[:MOST_CAUSES])
        head = in_words(one.head, self._display)
        if one.doubtful:
            head += "\n(within both ranges)"
        cells = (self.batches[one.place].name, head, causes or "Neither recipe nor log tells why.")
        for column, text in enumerate(cells):
            item = QTableWidgetItem(text)
            item.setTextAlignment(_TOP_LEFT)
            if one.doubtful:
                item.setForeground(self.palette().placeholderText())
            self.differences.setItem(row, column, item)

    def _show_facts(self, facts: Sequence[Fact]) -> None:
        table = self.facts
        table.clearSpans()
        table.setColumnCount(1 + len(self.batches))
        for column in range(1, table.columnCount()):
            table.horizontalHeader().setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
        table.setHorizontalHeaderLabels(["", *(batch.name for batch in self.batches)])
        lines: list[Fact | str] = []
        for fact in facts:
            if not any(isinstance(line, Fact) and line.part == fact.part for line in lines):
                lines.append(PARTS[fact.part])
            lines.append(fact)
        table.setRowCount(len(lines))
        for row, line in enumerate(lines):
            if isinstance(line, str):
                item = QTableWidgetItem(line)
                font = QFont(table.font())
                font.setBold(True)
                item.setFont(font)
                table.setItem(row, 0, item)
                for column in range(1, table.columnCount()):
                    table.takeItem(row, column)
                continue
            for column, text in enumerate((line.name, *(self._cell(line, value) for value in line.values))):
                item = QTableWidgetItem(text)
                item.setTextAlignment(_TOP_LEFT)
                item.setToolTip(as_it_is(text))
                table.setItem(row, column, item)

    def _cell(self, fact: Fact, value: object) -> str:
        if isinstance(value, str):
            return " ".join(value.split())
        return shown(value, fact.kind, self._display)  # type: ignore[arg-type]  # a span or nothing

    def _change_view(self, *_: object) -> None:
        self.curves.set_view(str(self.view.key))

    # --- out of it

    def _save_picture(self) -> None:
        path = self._ask.save_path("Save the curves", self._suggested(".png"), PICTURES)
        if path is not None:
            self._write(path, self.curves.save_picture)

    def _export(self) -> None:
        path = self._ask.save_path("Export the table", self._suggested(".csv"), "Tables (*.csv)")
        if path is not None and self.found is not None:
            data = as_csv(self.found).encode("utf-8-sig")
            self._write(path, lambda there: write_whole(there, data))

    def _write(self, path: Path, write: object) -> None:
        assert callable(write)
        try:
            write(path)
        except FileError as failure:
            self._ask.tell(f"“{path.name}” was not written.", str(failure))
        else:
            self._say(f"Wrote {path.name}")

    def _print(self) -> None:
        if self.found is None:
            return
        from planner.ui.comparing.paper import paper_for
        from planner.ui.papers.dialog import PapersDialog  # not needed before somebody asks for it

        make = partial(paper_for, self.found, self._display)
        self.papers = PapersDialog("batches side by side", make, self._settings, self._ask, self._suggested, self)
        self.papers.said.connect(self._say)
        self.papers.finished.connect(self.papers.deleteLater)
        self.papers.open()

    def _suggested(self, ending: str) -> Path:
        return self._settings.last_folder / f"Batches compared{ending}"

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.recalculator.shut_down()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and is_made(self, "facts"):
            self._fill()


_CURVES = (58, 12)
"""Width [figures] and height [lines] of the curves at least: their names hide none of their axis."""
_LEAST = 58
"""Width of the table of differences at least: two such columns and the last. [figures]"""
_WIDEST = 15
"""Width of a column that is not the last, at most; the last holds the sentences. [figures]"""


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _put(splitter: QSplitter, *parts: QWidget) -> None:
    for part in parts:
        splitter.addWidget(part)
        splitter.setStretchFactor(splitter.count() - 1, 1)
    splitter.setChildrenCollapsible(False)


def _table(name: str, headings: Sequence[str]) -> QTableWidget:
    table = theme.dress(QTableWidget(0, len(headings)))
    table.setHorizontalHeaderLabels(list(headings))
    table.setAccessibleName(name)
    table.verticalHeader().hide()
    table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    table.setVerticalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
    table.setHorizontalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.setWordWrap(True)
    table.setFont(theme.tabular(table.font()))
    header = table.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setStretchLastSection(True)
    header.setMaximumSectionSize(_WIDEST * table.fontMetrics().horizontalAdvance("0"))
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
    return table
