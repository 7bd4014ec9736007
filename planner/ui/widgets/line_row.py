"""One line of an editor of lines: its columns, its fields, and what stands beneath them."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence

import msgspec
from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QToolButton, QWidget

from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.fields import ChoiceField, CommitLine, QuantityField
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.one_stop import Ring, go_to
from planner.ui.widgets.remarks import Remarks, small
from planner.ui.widgets.search_field import SearchField
from planner.units import Kind, System

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_WIDE, _FIXED = QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed


def button_width(widget: QWidget) -> int:
    """Width of the buttons at the ends of a line. [px]"""
    return widget.fontMetrics().height() + 5


class Column(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that can be edited in every line.

    Attributes
    ----------
    field : str
        The line's field it shows.
    label : str
        What it is, for those who do not see the row.
    below : bool
        Whether it stands in a second row of fields under the first.
    """

    field: str
    label: str
    below: bool = False

    def make(self, display: Display) -> CommitLine | ChoiceField:
        """A widget for one line."""
        raise NotImplementedError

    def show(self, cell: QWidget, line: object) -> None:
        """Show the line's value without announcing it."""
        raise NotImplementedError

    def changes(self, value: object) -> dict[str, object]:
        """The fields of the line that a value entered in the widget gives."""
        return {self.field: value}


class ChoiceColumn(Column, frozen=True, kw_only=True):
    """A choice of what the line is of, by key; `search` for long lists.

    `elsewhere` says of words that are no such thing where they belong.
    """

    choices: Iterable[tuple[object, str]]
    search: bool = True
    elsewhere: tuple[tuple[str, str], ...] = ()

    def make(self, display: Display) -> ChoiceField:  # noqa: ARG002  a choice has no units
        return SearchField(self.choices, elsewhere=self.elsewhere) if self.search else ChoiceField(self.choices)

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, ChoiceField)
        cell.show_key(getattr(line, self.field))


class QuantityColumn(Column, frozen=True, kw_only=True):
    """A number with its unit; `low`, `high` and `step` in SI."""

    kind: Kind
    low: float | None = None
    high: float | None = None
    step: float | None = None
    units: Mapping[System, str] = msgspec.field(default_factory=dict)

    def make(self, display: Display) -> QuantityField:
        return QuantityField(self.kind, low=self.low, high=self.high, step=self.step, units=self.units, display=display)

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, QuantityField)
        cell.show_si(getattr(line, self.field))


class LineDetails(QWidget):
    """What a line shows when it is opened. Signal: `changed` with the fields of the line that were edited."""

    changed = Signal(object)

    def show_line(self, line: object, context: object) -> None:
        """Show a line; `context` is what else of the batch it depends on."""
        raise NotImplementedError

    def set_display(self, display: Display) -> None:
        """Other units."""


class LineRow(QWidget):
    """One line: its fields, a button to remove it, and beneath it what it gives, what is doubtful, and its details.

    Signals: `entered` when a field got the focus, `changed` with the fields that were edited, `removed`, and
    `finished` when Enter was pressed in the last field.
    """

    entered = Signal()
    changed = Signal(object)
    removed = Signal()
    finished = Signal()

    def __init__(
        self,
        columns: Sequence[Column],
        details: Callable[[], LineDetails] | None,
        display: Display,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._columns, self._display = columns, display
        self._make_details = details
        self._line: object = None
        self._context: object = None
        self.details: LineDetails | None = None
        self.cells = [column.make(display) for column in columns]
        self.disclosure = Disclosure() if details is not None else None
        self.remove = QToolButton()
        self.beneath = Label()
        self.remarks = Remarks(display)
        self._arrange()
        self._connect()

    def _arrange(self) -> None:
        self.remove.setText("×")
        self.remove.setAutoRaise(True)
        self.remove.setFixedWidth(button_width(self))
        policy = self.remove.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.remove.setSizePolicy(policy)
        self.beneath.setWordWrap(True)
        self.beneath.setFont(small(self.font()))
        set_tone(self.beneath, "dim")
        self.beneath.hide()
        rows = (QHBoxLayout(), QHBoxLayout())
        for column, cell in zip(self._columns, self.cells, strict=True):
            # What is chosen takes what is left by the figures.
            is_name = isinstance(cell, ChoiceField)
            cell.setSizePolicy(_WIDE if is_name else _FIXED, _FIXED)
            rows[column.below].addWidget(cell, int(is_name))
        if not any(isinstance(cell, ChoiceField) for cell in self.cells):
            rows[0].addStretch(1)
        rows[0].addWidget(self.remove)
        self._set_stops()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(2)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        if self.disclosure is not None:
            self.disclosure.setFixedWidth(button_width(self))
            self._grid.addWidget(self.disclosure, 0, 0)
        for place, row in enumerate(rows):
            row.setSpacing(4)
            if row.count():
                self._grid.addLayout(row, place, 1)
        if rows[1].count():
            rows[1].addStretch(1)
        self._grid.addWidget(self.beneath, 2, 1)
        self._grid.addWidget(self.remarks, 3, 1)

    def _set_stops(self) -> None:
        """A line is one stop of the Tab key: the first figure of one that has a name, the last of one without."""
        figures = [cell for cell in self.cells if isinstance(cell, CommitLine)]
        is_named = any(isinstance(cell, ChoiceField) for cell in self.cells)
        stop = self.cells[0] if not figures else figures[0] if is_named else figures[-1]
        buttons = [self.remove] if self.disclosure is None else [self.remove, self.disclosure]
        Ring([*self.cells, *buttons], stop, self)

    def _connect(self) -> None:
        for part in (self.remove, self.disclosure):
            if part is not None:
                part.installEventFilter(self)
        for cell in self.cells:
            (cell.chosen if isinstance(cell, ChoiceField) else cell.committed).connect(self._tell_change)
            cell.installEventFilter(self)
        self.remove.clicked.connect(self._tell_removal)
        if self.disclosure is not None:
            self.disclosure.toggled.connect(self._show_details)

    @property
    def line(self) -> object:
        """The line that is shown."""
        return self._line

    def show_line(self, line: object, context: object, name: str) -> None:
        """Show a line. `name` is what it is of, for those who do not see the row."""
        if line is self._line and context is self._context:
            return
        for column, cell in zip(self._columns, self.cells, strict=True):
            if line is not self._line:
                column.show(cell, line)
            if isinstance(cell, ChoiceField):
                cell.setAccessibleName(f"{column.label}: {name}")
                cell.setToolTip(as_it_is(name))
            else:
                cell.setAccessibleName(f"{column.label} of {name}")
        self._line, self._context = line, context
        self.remove.setToolTip(as_it_is(f"Remove {name}"))
        self.remove.setAccessibleName(f"Remove {name}")
        if self.disclosure is not None:
            self.disclosure.setToolTip(as_it_is(f"Details of {name}"))
            self.disclosure.setAccessibleName(f"Details of {name}")
        if self.details is not None:
            self.details.show_line(line, context)

    def restore(self) -> None:
        """Show the line as it is where an entry was refused."""
        for column, cell in zip(self._columns, self.cells, strict=True):
            column.show(cell, self._line)
        if self.details is not None:
            self.details.show_line(self._line, self._context)

    def show_beneath(self, text: str) -> None:
        """What the line gives, in small text; empty to take no room."""
        self.beneath.setText(text)
        self.beneath.setVisible(bool(text))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        for cell in self.cells:
            if not isinstance(cell, ChoiceField):
                cell.set_display(display)  # type: ignore[attr-defined]
        self.remarks.set_display(display)
        if self.details is not None:
            self.details.set_display(display)

    def chain(self) -> list[QWidget]:
        """What takes the focus, in order."""
        buttons = [self.disclosure] if self.disclosure is not None else []
        opened = self.details.findChildren(QWidget) if self.details is not None else []
        inside = [child for child in opened if child.focusPolicy() & Qt.FocusPolicy.TabFocus]
        return [*self.cells, self.remove, *buttons, *inside]

    def _show_details(self, is_open: bool) -> None:
        if is_open and self.details is None and self._make_details is not None:
            self.details = self._make_details()
            self.details.set_display(self._display)
            self.details.show_line(self._line, self._context)
            self.details.changed.connect(self.changed)
            self._grid.addWidget(self.details, 4, 1)
            link(self.chain())
            for inside in self.details.findChildren(QWidget):
                inside.installEventFilter(self)
        if self.details is not None:
            self.details.setVisible(is_open)

    def _tell_change(self, value: object) -> None:
        column = self._columns[self.cells.index(self.sender())]  # type: ignore[arg-type]
        self.changed.emit(column.changes(value))

    def _tell_removal(self) -> None:
        self.removed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusIn:
            self.entered.emit()
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        if event.key() == Qt.Key.Key_Delete and event.modifiers() == Qt.KeyboardModifier.ControlModifier:
            self.removed.emit()
            return True
        # Enter goes from field to field and from line to line, past the buttons.
        if event.key() in ENTER:
            cell = next((cell for cell in self.cells if cell is watched), None)
            if cell is not None:
                if not isinstance(cell, CommitLine | SearchField) or cell.accept():
                    self._go_on_from(cell)
                return True
        return super().eventFilter(watched, event)

    def _go_on_from(self, cell: QWidget) -> None:
        place = next(index for index, known in enumerate(self.cells) if known is cell)
        if place + 1 < len(self.cells):
            go_to(self.cells[place + 1])
        else:
            self.finished.emit()


def link(widgets: Sequence[QWidget]) -> None:
    """Make the Tab key go through the widgets in this order."""
    for one, other in itertools.pairwise(widgets):
        QWidget.setTabOrder(one, other)
