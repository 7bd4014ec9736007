"""The list of a cellar as a table: what stands in each cell, in words for those who look and those who listen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QFont, QIcon
from PySide6.QtWidgets import QWidget

from planner.cellar.arranging import STAGE_NAMES, Heading, due_at, stage
from planner.cellar.row import Row, Sketch
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.log.when import date_text, now
from planner.ui.widgets.label import as_it_is
from planner.ui.widgets.remarks import counted, icon, in_words
from planner.units import Kind
from planner.wording.finding import Level

Index = QModelIndex | QPersistentModelIndex

SKETCH = Qt.ItemDataRole.UserRole
"""The small curve of a cell."""

LATER = "…"
"""Stands where something is still being worked out."""

_TOLD = 6
"""Doubts of a batch that are told in full at most. [-]"""


class Column(NamedTuple):
    """A column: its heading, what sorting by it means, how wide it is, and what it says of a batch."""

    heading: str
    order: str
    figures: int
    text: Callable[[CellarModel, Row], str]


class CellarModel(QAbstractTableModel):
    """Batches and the headings of groups, in the order they are given."""

    def __init__(self, display: Display, view: QWidget) -> None:
        super().__init__(view)
        self.lines: tuple[Row | Heading, ...] = ()
        self.opened: Path | None = None
        """The file of the batch that is open in the window."""
        self._display, self._view = display, view
        self._icons: dict[Level, QIcon] = {}

    def show_lines(self, lines: tuple[Row | Heading, ...]) -> None:
        """Show another list."""
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def show_row(self, row: Row) -> None:
        """Show more of a batch that is in the list."""
        place = self.place_of(row.path)
        if place is not None:
            self.lines = (*self.lines[:place], row, *self.lines[place + 1 :])
            self.dataChanged.emit(self.index(place, 0), self.index(place, len(COLUMNS) - 1))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._icons = {}
        if self.lines:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self.lines) - 1, len(COLUMNS) - 1))

    def row_at(self, place: int) -> Row | None:
        """The batch in a line; None for a heading, and where there is no such line."""
        line = self.lines[place] if 0 <= place < len(self.lines) else None
        return line if isinstance(line, Row) else None

    def place_of(self, path: Path | None) -> int | None:
        """The line of a file; None where it is not in the list."""
        return next((n for n, line in enumerate(self.lines) if isinstance(line, Row) and line.path == path), None)

    def told(self, row: Row) -> str:
        """All that is known of a batch, in sentences."""
        status = row.status
        if row.trouble:
            return f"{row.path.name}: {row.trouble}"
        if status is None:
            return f"{row.path.name}: still being worked out."
        said = [in_words(status.sentence, self._display), in_words(status.next, self._display)]
        said += list(dict.fromkeys(in_words(doubt.text, self._display) for doubt in status.doubts))[:_TOLD]
        return "\n".join(said)

    # --- Qt

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  Qt's own default
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return COLUMNS[section].heading
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid() or self.row_at(index.row()) is None:
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        line = self.lines[index.row()] if index.isValid() and index.row() < len(self.lines) else None
        if isinstance(line, Row):
            return self._of_row(line, index.column(), role)
        if isinstance(line, Heading) and index.column() == 0:
            return self._of_heading(line, role)
        return None

    def _of_heading(self, heading: Heading, role: int) -> Any:
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{heading.text} ({heading.number})"
        if role == Qt.ItemDataRole.FontRole:
            font = QFont(self._view.font())
            font.setBold(True)
            return font
        return self._view.palette().alternateBase() if role == Qt.ItemDataRole.BackgroundRole else None

    def _of_row(self, row: Row, column: int, role: int) -> Any:
        heading, text = COLUMNS[column].heading, COLUMNS[column].text
        if role == Qt.ItemDataRole.DisplayRole:
            return "" if heading == "Curve" else text(self, row)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            told = text(self, row)
            return f"{heading}: {'still being worked out' if told == LATER else told or 'none'}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return as_it_is(self.told(row))
        if role == SKETCH and heading == "Curve":
            return None if row.status is None else row.status.sketch
        if role == Qt.ItemDataRole.FontRole and row.path == self.opened and heading == "Name":
            font = QFont(self._view.font())
            font.setBold(True)
            return font
        if role == Qt.ItemDataRole.DecorationRole and heading == "Doubts":
            return self._sign(row)
        if role == Qt.ItemDataRole.ForegroundRole:
            return self._ink(row, heading)
        return None

    def _sign(self, row: Row) -> QIcon | None:
        doubts = () if row.status is None else row.status.doubts
        level = Level.ERROR if row.trouble else max((doubt.level for doubt in doubts), default=None)
        if level is None:
            return None
        if level not in self._icons:
            self._icons[level] = icon(level, self._view)
        return self._icons[level]

    def _ink(self, row: Row, heading: str) -> QColor | None:
        tones = theme.colours_on(self._view.palette())
        if row.trouble and heading in ("Stage", "What is due next"):
            return QColor(tones.problem)
        return QColor(tones.warning) if heading == "When" and _is_late(row) else None

    # --- what the cells say

    def _name(self, row: Row) -> str:
        return f"{row.name} (open)" if row.path == self.opened else row.name

    def _fruit(self, row: Row) -> str:
        return ", ".join(row.fruits)

    def _year(self, row: Row) -> str:
        return "" if row.year is None else str(row.year)

    def _stage(self, row: Row) -> str:
        return STAGE_NAMES[stage(row)]

    def _curve(self, row: Row) -> str:
        sketch = None if row.status is None else row.status.sketch
        if row.status is None:
            return "" if row.trouble else LATER
        return "" if sketch is None else _drawn(sketch, self._display)

    def _strength(self, row: Row) -> str:
        return self._span(row, Kind.STRENGTH)

    def _sweetness(self, row: Row) -> str:
        return self._span(row, Kind.CONCENTRATION)

    def _span(self, row: Row, kind: Kind) -> str:
        if row.status is None:
            return "" if row.trouble else LATER
        span = row.status.strength if kind == Kind.STRENGTH else row.status.sweetness
        return "" if span is None else self._display.text(span, kind, "g/L" if kind == Kind.CONCENTRATION else None)

    def _next(self, row: Row) -> str:
        if row.trouble:
            return row.trouble
        if row.status is None:
            return LATER
        if row.status.due is None:
            return in_words(row.status.next, self._display) if row.status.sketch is None else "Nothing"
        return in_words(row.status.due.title, self._display)

    def _when(self, row: Row) -> str:
        if row.status is None:
            return "" if row.trouble else LATER
        due, at = row.status.due, due_at(row)
        if due is None:
            return ""
        ahead = -round(due.day)
        if at is None and ahead > 0:
            return f"{ahead}{SPACE}{'day' if ahead == 1 else 'days'} before pitching"
        if at is None:
            return f"day{SPACE}{self._display.number(due.day, 0)}"
        return _date(at, _is_late(row), self._display)

    def _doubts(self, row: Row) -> str:
        if row.is_damaged:
            return "damaged"
        if row.status is None:
            return "" if row.trouble else LATER
        return counted(row.status.doubts) if row.status.doubts else "none"


COLUMNS: Sequence[Column] = (
    Column("Name", "name", 24, CellarModel._name),
    Column("Stage", "stage", 16, CellarModel._stage),
    Column("When", "due", 16, CellarModel._when),
    Column("What is due next", "due", 30, CellarModel._next),
    Column("Curve", "stage", 14, CellarModel._curve),
    Column("Strength", "strength", 11, CellarModel._strength),
    Column("Sweetness", "sweetness", 11, CellarModel._sweetness),
    Column("Doubts", "doubts", 19, CellarModel._doubts),
    Column("Fruit", "fruit", 15, CellarModel._fruit),
    Column("Year", "year", 6, CellarModel._year),
)
"""The columns in order."""

GIVING_WAY = ("Year", "Fruit", "Curve", "Sweetness", "Doubts", "Strength", "Stage")
"""Headings of the columns that give way where there is no room, in this order; the text below the list tells the rest."""


def _is_late(row: Row) -> bool:
    """Whether what is due should have been done before today."""
    status, present = row.status, now()
    if status is None or status.due is None or status.plan.pitched is None:
        return False
    due = status.due
    last = status.plan.moment(max(due.day, due.late, due.until or due.day))
    return last is not None and last.date() < present.astimezone(last.tzinfo).date()


def _date(at: datetime, late: bool, display: Display) -> str:
    today = now().astimezone(at.tzinfo).date()
    days = (at.date() - today).days
    if days in (0, 1):
        return ("today", "tomorrow")[days]
    return f"{'since ' if late else ''}{date_text(at.date(), display.locale, today.year)}".replace(" ", SPACE)


def _drawn(sketch: Sketch, display: Display) -> str:
    """A small curve in words."""
    first, last = (display.gravity(sketch.expected[1][place]) for place in (0, -1))
    told = f"expected to fall from {first} to {last}"
    return f"{told}, read last {display.gravity(sketch.read[1][-1])}" if sketch.read[1] else told
