"""The fields of a reading that is being typed: they hold a draft until the whole line is entered."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from planner.document.batch import Entry
from planner.document.timestamps import parsed
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log.entry import read_temperature, read_value
from planner.ui.log.text import value_text
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.ui.log.when import When as Moment
from planner.ui.log.when import date_text, moment_text, now, read_when
from planner.ui.widgets.fields import CommitLine
from planner.units import Kind

_LONG_MOMENT = "2000-11-30T20:00+00:00"
"""For which a moment has room. ISO 8601"""

_HOT = 361.95
"""A temperature for which there is room. [K]"""


class Draft(CommitLine):
    """A field of a line that is entered as a whole: Enter in any of them enters the line.

    Signal: `entered` when Enter was pressed and the field's own text can be read.
    """

    entered = Signal()

    def __init__(self, name: str, hint: str, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self.setAccessibleName(name)
        self.setPlaceholderText(hint)
        self.setFont(theme.tabular(self.font()))

    @property
    def draft(self) -> object:
        """What was accepted; None for nothing."""
        return self._value

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.restore()

    def give_up(self) -> None:
        """Forget what was typed and what was accepted of it."""
        self._value = None
        self.restore()

    def refuse(self, problem: str) -> None:
        """Say why the line cannot be entered with what the field holds."""
        self.setFocus()
        self._set_problem(problem)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.accept():
                self.entered.emit()
            event.accept()
        else:
            super().keyPressEvent(event)


class WhenDraft(Draft):
    """A moment or a day since pitching."""

    logged: datetime | None = None
    planned: datetime | None = None
    """When the yeast was pitched by the log, or is to be by the recipe: it decides the year of a date without one."""

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, self._written(Moment(at=_LONG_MOMENT)), self._shown)

    def _read(self, text: str) -> Moment | None:
        return read_when(text, self._display.locale, now(), self.logged or self.planned) if text.strip() else None

    def _written(self, value: object) -> str:
        if not isinstance(value, Moment):
            return ""
        moment = parsed(value.at) if value.at else None
        if moment is not None:
            return moment_text(moment, self._display.locale, now().year)
        return "" if value.day is None else f"day {self._display.number(value.day, 2, trim=True)}"


class ValueDraft(Draft):
    """What was read or done: a figure with its unit, or a word."""

    def __init__(self, name: str, hint: str, display: Display, names: Names = NO_NAMES) -> None:
        super().__init__(name, hint, display)
        self._names = names
        self._kind = ""

    def set_kind(self, kind: str) -> None:
        """What a bare figure is meant as from now on; one of `log_entry.KIND_WORDS`."""
        self._kind = kind

    @property
    def may_be_empty(self) -> bool:
        """Whether the kind alone says it all."""
        return self._kind in _WITHOUT_FIGURE

    def holds(self) -> tuple[str, ...]:
        """A figure with its doubt; what was done is told in words, which may be cut."""
        gravity = self._display.gravity
        return (*self.also_holds, f"{gravity(1.0888, 3)} ± {self._display.number(0.002, 3)}", self.placeholderText())

    def _read(self, text: str) -> Entry | None:
        return read_value(text, self._display, self._kind, self._names) if text.strip() else None

    def take_kind(self) -> Entry | None:
        """The entry that the kind alone makes; None if it needs a figure."""
        return read_value("", self._display, self._kind, self._names) if self.may_be_empty else None

    def _written(self, value: object) -> str:
        return "" if value is None else value_text(cast(Entry, value), self._display, self._names)


_WITHOUT_FIGURE = ("racking", "stirring", "stabilised", "pitch", "taste", "note", "feed", "added", "dose", "bottled")


class TemperatureDraft(Draft):
    """The temperature of a sample."""

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, self._written(_HOT), self._shown)

    def _read(self, text: str) -> float | None:
        return read_temperature(text, self._display)

    def _written(self, value: object) -> str:
        return self._display.text_for_editing(value, Kind.TEMPERATURE) if isinstance(value, float) else ""


class NoteDraft(Draft):
    """Words to keep with a reading."""

    def _read(self, text: str) -> str | None:
        return text.strip() or None

    def _written(self, value: object) -> str:
        return value if isinstance(value, str) else ""


class PitchedField(CommitLine):
    """The moment of pitching; speaks ISO 8601 with an offset, or None while it is not known."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._planned: datetime | None = None
        self.setAccessibleName("Moment of pitching")
        self.setPlaceholderText("not dated")
        self.setFont(theme.tabular(self.font()))

    def holds(self) -> tuple[str, ...]:
        return (*self.also_holds, self._written(_LONG_MOMENT), self._shown, self.placeholderText())

    def set_display(self, display: Display) -> None:
        """Other habits of writing dates."""
        self._display = display
        self.restore()

    def show_planned(self, planned: datetime | None) -> None:
        """Say when pitching is planned for, as long as it is not dated."""
        self._planned = planned
        locale = self._display.locale
        told = "not dated" if planned is None else f"planned {date_text(planned.date(), locale, now().year)}"
        self.setPlaceholderText(told)

    def _read(self, text: str) -> str | None:
        if not text.strip():
            return None
        moment = read_when(text, self._display.locale, now(), planned=self._planned)
        if moment.at is None:
            raise EntryError("Pitching is day 0; write its date and time, such as 2026-10-17 11:00, or now.")
        return moment.at

    def _written(self, value: object) -> str:
        if not isinstance(value, str):
            return ""
        moment: datetime | None = parsed(value)
        return value if moment is None else moment_text(moment, self._display.locale)
