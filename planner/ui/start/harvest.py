"""What the tree gave, as it is typed: "9.5 kg blackcurrants", or several fruits with "and" between them."""

from __future__ import annotations

import re
from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from planner.document.batch import FruitLine
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError, read_quantity
from planner.ui.log.typed_addition import key_of, named_amount
from planner.ui.widgets.fields import TextField
from planner.units import Kind, System

EXAMPLE = {System.METRIC: "9.5 kg blackcurrants", System.US: "20 lb blackcurrants"}

_BETWEEN = re.compile(r"\s*(?:[;+&]|,\s|\band\b)\s*")
"""Between two fruits; a comma within a number is none."""

_PLURALS = (("ies", "y"), ("es", "e"), ("es", ""), ("s", ""))
"""Endings of more than one, with that of one."""


def read_harvest(text: str, display: Display, shelf: Mapping[str, str]) -> tuple[FruitLine, ...]:
    """Fruit by weight. Raises EntryError with what is accepted."""
    wanted = f"Enter fruit and its weight, such as {EXAMPLE[display.system]}."
    lines = []
    for part in filter(None, _BETWEEN.split(text.strip())):
        found = named_amount(part, display, shelf)
        if found is None or not found[2]:
            raise EntryError(f"“{part}” needs a weight, a unit and a fruit. {wanted}")
        amount, unit, name = found
        if unit.kind != Kind.MASS:
            raise EntryError(f"“{part}”: fruit is weighed. {wanted}")
        mass = read_quantity(amount, Kind.MASS, unit.key, display.locale)
        if mass <= 0.0:
            raise EntryError(f"“{part}” weighs nothing. {wanted}")
        lines.append(FruitLine(key=_fruit(name, shelf), mass=mass))
    if not lines:
        raise EntryError(wanted)
    return tuple(lines)


def _fruit(name: str, shelf: Mapping[str, str]) -> str:
    """The key of a fruit, whether one or many of it are named."""
    ones = [name[: -len(many)] + one for many, one in _PLURALS if name.casefold().endswith(many)]
    refusals = []
    for called in (*ones, name):
        try:
            return key_of(called, shelf)
        except EntryError as refusal:
            refusals.append(refusal)
    raise min(refusals, key=lambda refusal: len(str(refusal)))  # that which names the fewest


class HarvestField(TextField):
    """The first field that anybody sees. Signal: `entered` when Enter took what is typed."""

    entered = Signal()

    def __init__(self, display: Display, shelf: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display, self._shelf = display, shelf
        self.fruits: tuple[FruitLine, ...] = ()
        """What was understood last."""
        self.setFont(theme.sized(self.font(), theme.FIRST))
        self.setPlaceholderText(EXAMPLE[display.system])
        self.setAccessibleName("What the tree gave")

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.setPlaceholderText(EXAMPLE[display.system])

    def take(self) -> bool:
        """Understand what is typed; False if it was refused, and then the field says why."""
        try:
            self._take(self._read(self.text()))
        except EntryError as refusal:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
            self._set_problem(str(refusal))
            return False
        return True

    def _read(self, text: str) -> str:
        self.fruits = read_harvest(text, self._display, self._shelf)
        return text.strip()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.take():
                self.entered.emit()
            event.accept()
        else:
            super().keyPressEvent(event)
