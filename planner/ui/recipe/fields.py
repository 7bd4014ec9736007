"""Fields that only the recipe needs: days, moments of a feed, water, the batch's name and its notes."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QFont, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from planner.document.batch import Feed, Recipe, StepFeed, TemperatureStep
from planner.document.values import limits
from planner.model.liquid import Liquid, volume
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.entry import EntryError, read_fraction, read_gravity, read_quantity
from planner.ui.widgets.fields import CommitLine, QuantityField, TextField
from planner.ui.widgets.line_row import Column
from planner.units import Kind

SECONDS_PER_DAY = 86400.0
"""[s/d]"""

WATER_VOLUME = float(volume(Liquid.of(water=1.0)))
"""Room that a kilogram of water takes at 20 °C. [m^3/kg]"""


class NameField(TextField):
    """The name of the batch, large; an empty one is refused."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.35)
        font.setWeight(QFont.Weight.DemiBold)
        self.setFont(font)
        self.setMaxLength(200)

    def restore(self) -> None:
        super().restore()
        self._show_beginning()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._show_beginning()

    def _show_beginning(self) -> None:
        """A name too long for the pane is cut at its end, not at its beginning."""
        if not self.hasFocus() and not self.is_pending:
            self.setCursorPosition(0)

    def _read(self, text: str) -> str:
        name = super()._read(text)
        if not name:
            raise EntryError("A batch needs a name.")
        return name


class NotesEdit(QPlainTextEdit):
    """The notes on a batch; grows with its text. Signal: `edited` with the text whenever a person changed it."""

    edited = Signal(str)

    _LEAST, _MOST = 3, 14
    """Lines shown at least and at most."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTabChangesFocus(True)
        self.setAcceptDrops(False)
        self.setUndoRedoEnabled(False)  # the batch remembers the steps
        self.setPlaceholderText("Where the fruit came from, what you want from it …")
        self._shows = False
        theme.dress(self)
        self.textChanged.connect(self._tell)
        self._fit()

    def show_text(self, text: str) -> None:
        """Show a text without announcing it; the cursor stays where it was."""
        if text == self.toPlainText():
            return
        place = self.textCursor().position()
        self._shows = True
        self.setPlainText(text)
        self._shows = False
        cursor = self.textCursor()
        cursor.setPosition(min(place, len(text)))
        self.setTextCursor(cursor)

    def _tell(self) -> None:
        self._fit()
        if not self._shows:
            self.edited.emit(self.toPlainText())

    def _fit(self) -> None:
        lines = min(max(int(self.document().size().height()), self._LEAST), self._MOST)
        around = 2 * self.document().documentMargin() + 2 * self.frameWidth() + 2
        self.setFixedHeight(int(lines * self.fontMetrics().lineSpacing() + around))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()  # another width breaks the lines elsewhere

    def event(self, event: QEvent) -> bool:
        # A text editor claims undo and redo even when it keeps no steps; the batch's undo shall work here too.
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if event.matches(undo) or event.matches(redo):
                event.ignore()
                return False
        return super().event(event)


class WaterField(QuantityField):
    """Water by volume at 20 °C [m^3], or by weight; shown the way that takes fewer digits, which is how it was entered."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        _, most = limits(Recipe, "water")
        self._most = math.inf if most is None else most
        super().__init__(Kind.VOLUME, low=0.0, high=self._most * WATER_VOLUME, display=display, parent=parent)

    def _read(self, text: str) -> float | None:
        has_unit = any(sign.isalpha() for sign in text)
        room = self._room_of_weight(text) if has_unit or self._is_by_weight(self._value) else None
        return super()._read(text) if room is None else room

    def _written(self, value: object) -> str:
        if isinstance(value, float) and self._is_by_weight(value):
            return self._display.text_for_editing(value / WATER_VOLUME, Kind.MASS)
        return super()._written(value)

    def _is_by_weight(self, value: object) -> bool:
        if not isinstance(value, float):
            return False
        weight = self._display.text_for_editing(value / WATER_VOLUME, Kind.MASS)
        return _digits(weight) < _digits(super()._written(value))

    def _room_of_weight(self, text: str) -> float | None:
        """The room of a typed weight; None for what is no weight, or none that a batch can hold."""
        unit = self._display.unit_for((self.si or 0.0) / WATER_VOLUME, Kind.MASS)
        try:
            mass = read_quantity(text, Kind.MASS, unit.key if unit else "kg", self._display.locale)
        except EntryError:
            return None
        return mass * WATER_VOLUME if mass <= self._most else None


def _digits(text: str) -> int:
    return sum(sign.isdigit() for sign in text)


class _Stepped(CommitLine):
    """A line whose value the arrow keys move, ten times as far with Shift."""

    _WIDE: tuple[object, ...] = ()
    """Values for which there is always room."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFont(theme.tabular(self.font()))

    def set_display(self, display: Display) -> None:
        """Show the same value with other habits."""
        self._display = display
        self.restore()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in (Qt.Key.Key_Up, Qt.Key.Key_Down) or self.isReadOnly():
            super().keyPressEvent(event)
            return
        times = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        if self.accept():
            self._take(self._moved(times if event.key() == Qt.Key.Key_Up else -times))
        event.accept()

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, *map(self._written, self._WIDE), self._shown)

    def _moved(self, steps: int) -> object:
        """The value some steps further, within its range."""
        raise NotImplementedError


class DayField(_Stepped):
    """A day since pitching: "day 3", "3", "36 h". [d]"""

    _, LAST = limits(TemperatureStep, "day")
    _WIDE = (188.8,)

    def _read(self, text: str) -> float:
        return _day(text, self._display, self.LAST)

    def _written(self, value: object) -> str:
        return f"day{SPACE}{_number(value, self._display)}" if isinstance(value, float) else ""

    def _moved(self, steps: int) -> float:
        return _next_day(self._value if isinstance(self._value, float) else 0.0, steps, self.LAST)


class Due(NamedTuple):
    """When something is given: on a day [d], when a share of the sugar is used [-], or at a gravity [-]."""

    day: float | None = None
    sugar_used: float | None = None
    gravity: float | None = None


_LIKE_GRAVITY = re.compile(
    r"\s*(?:at\s+|below\s+)?(1[.,]\d{2,4}|0[.,]9\d{1,3}|1\d{3}|[\d.,]+\s*°?\s*(?:bx|brix)\.?)\s*", re.IGNORECASE
)


class DueField(_Stepped):
    """When something is given: "day 2", "30 %" of the sugar used, or, where that is asked for, at "1.020"."""

    LAST = limits(Feed, "day")[1]
    _WIDE: tuple[object, ...] = (Due(day=88.8), Due(sugar_used=0.888))
    _SHARE_STEP, _GRAVITY_STEP = 0.05, 0.001

    def __init__(self, display: Display, by_gravity: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(display, parent)
        self._by_gravity = by_gravity
        if by_gravity:
            self._WIDE = (*self._WIDE, Due(gravity=1.088))

    def _read(self, text: str) -> Due:
        match = _LIKE_GRAVITY.fullmatch(text) if self._by_gravity else None
        if match is not None:
            return Due(gravity=read_gravity(match[1], self._display.locale, self._display.gravity_scale))
        if "%" not in text:
            also = f", a gravity such as {self._display.gravity(1.020)}" if self._by_gravity else ""
            return Due(day=_day(text, self._display, self.LAST, also + ", or a share of the sugar used such as 30 %"))
        share = re.sub(r"\b(?:at|when|of|the|sugar|is|used|up)\b", " ", text, flags=re.IGNORECASE)
        return Due(sugar_used=read_fraction(share, self._display.locale))

    def _written(self, value: object) -> str:
        if not isinstance(value, Due):
            return ""
        if value.sugar_used is not None and value.day is None:
            return f"{self._display.text_for_editing(value.sugar_used, Kind.FRACTION)}{SPACE}used"
        if value.gravity is not None and value.day is None:
            return f"at{SPACE}{self._display.text_for_editing(value.gravity, Kind.GRAVITY)}"
        return f"day{SPACE}{_number(value.day or 0.0, self._display)}"

    def _moved(self, steps: int) -> Due:
        value = self._value if isinstance(self._value, Due) else Due(day=0.0)
        if value.sugar_used is not None and value.day is None:
            share = round(value.sugar_used + steps * self._SHARE_STEP, 6)
            return Due(sugar_used=min(max(share, 0.0), 1.0))
        if value.gravity is not None and value.day is None:
            return Due(gravity=round(value.gravity + steps * self._GRAVITY_STEP, 6))
        return Due(day=_next_day(value.day or 0.0, steps, self.LAST))


def _day(text: str, display: Display, last: float | None, also: str = "") -> float:
    """A typed day, with or without the word before it; `also` is what else would be accepted."""
    bare = re.sub(r"^\s*(?:on\s+)?(?:days?|d)\b\s*", "", text, flags=re.IGNORECASE)
    wanted = f"Enter a day since pitching, such as day 3{also}."
    try:
        day = read_quantity(bare, Kind.TIME, "d", display.locale) / SECONDS_PER_DAY
    except EntryError as refusal:
        raise EntryError(f"“{text.strip()}” is not a day. {wanted}") from refusal
    if last is not None and day > last:
        raise EntryError(f"“{text.strip()}” is too late. Days from 0 to {last:.0f} are accepted.")
    return day


def _next_day(day: float, steps: int, last: float | None) -> float:
    moved = float(math.floor(day) + steps) if steps > 0 else float(math.ceil(day) + steps)
    return min(max(moved, 0.0), math.inf if last is None else last)


def _number(value: float, display: Display) -> str:
    return display.number(value, 2, trim=True)


class DayColumn(Column, frozen=True, kw_only=True):
    """The day of a line, counted from pitching."""

    def make(self, display: Display) -> DayField:
        return DayField(display)

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, DayField)
        cell.show_value(float(getattr(line, self.field)))


class DueColumn(Column, frozen=True, kw_only=True):
    """When a feed is given; of what is added with its sugar also at a gravity."""

    by_gravity: bool = False

    def make(self, display: Display) -> DueField:
        made = DueField(display, self.by_gravity)
        also = f"when it has fallen to a gravity, such as {display.gravity(1.020)}, " if self.by_gravity else ""
        had = " it had by then" if self.by_gravity else ""
        made.set_hint(
            f"When: a day since pitching, such as day 3, {also}or a share of the sugar{had} used, such as 30 %."
        )
        return made

    def show(self, cell: QWidget, line: object) -> None:
        assert isinstance(cell, DueField)
        assert isinstance(line, Feed | StepFeed)
        cell.show_value(Due(line.day, line.sugar_used, line.gravity if isinstance(line, StepFeed) else None))

    def changes(self, value: object) -> dict[str, object]:
        assert isinstance(value, Due)
        told = value._asdict()
        return told if self.by_gravity else {name: told[name] for name in ("day", "sugar_used")}
