"""What the foldable tools of the adjustment pane share: a fold that fills its content only while it is open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.model.liquid import Liquid
from planner.reference.catalogue import Catalogue
from planner.reference.catalogue import catalogue as shipped
from planner.ui.display import Display
from planner.ui.parts_made import is_made
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.fields import QuantityField
from planner.ui.widgets.label import Label, Markup
from planner.ui.widgets.remarks import small

WIDELY = Qt.TextInteractionFlag.TextSelectableByMouse


class Tool(QWidget):
    """One tool: shows what follows for it, and asks for edits.

    Signal: `edited` with a function from batch to batch, the text for the undo menu and a merge key.
    """

    edited = Signal(object, str, str)
    follows_batch = False
    """Whether it shows fields of the batch itself, which must not wait for what follows from it."""

    def __init__(self, display: Display, parent: QWidget | None = None, catalogue: Catalogue | None = None) -> None:
        super().__init__(parent)
        self.display = display
        self._basis = catalogue if catalogue is not None else shipped()
        self._catalogue = self._basis
        """The shelf, with the person's own ingredients."""
        self.batch: Batch | None = None
        self.outcome: Outcome | None = None
        self._adopted: dict[QuantityField, Display] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 8)
        self.column.setSpacing(4)

    def show_state(self, batch: Batch, outcome: Outcome | None) -> None:
        """Show what the batch holds and what follows from it."""
        self.batch, self.outcome = batch, outcome
        self._catalogue = shelf_of(batch, self._basis)
        self.refresh()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self.display = display
        self.refresh()

    def adopt(self, *fields: QuantityField) -> None:
        """Show fields in the reader's units, if they are not yet."""
        for field in fields:
            if self._adopted.get(field) is not self.display:
                self._adopted[field] = self.display
                field.set_display(self.display)

    def refresh(self) -> None:
        """Show everything anew."""
        raise NotImplementedError

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return []


class Fold(QWidget):
    """A heading that opens a tool beneath it. A closed tool costs nothing: it is made when it is first wanted.

    Signals: `toggled` with whether it is open now; `edited` as that of its tool; `made` when its tool was made.
    """

    toggled = Signal(bool)
    edited = Signal(object, str, str)
    made = Signal()

    def __init__(
        self,
        title: str,
        make: Callable[[Display], Tool],
        display: Display,
        hint: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._make, self._display = make, display
        self._latest: tuple[Batch, Outcome | None] | None = None
        self.heading = Disclosure(title)
        font = small(self.heading.font())
        font.setBold(True)
        self.heading.setFont(font)
        self.heading.setAccessibleName(title)
        if hint:
            self.heading.setToolTip(hint)
        self.heading.toggled.connect(self._open)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.heading)

    @cached_property
    def tool(self) -> Tool:
        """The tool; whoever asks for it has it made."""
        tool = self._make(self._display)
        tool.edited.connect(self.edited)
        column = self.layout()
        assert column is not None, "it was given one when it was made"
        tool.hide()
        column.addWidget(tool)
        self.made.emit()
        return tool

    @property
    def is_made(self) -> bool:
        """Whether the tool was wanted yet."""
        return is_made(self, "tool")

    @property
    def is_open(self) -> bool:
        """Whether the tool is shown."""
        return self.heading.isChecked()

    def show_state(self, batch: Batch, outcome: Outcome | None) -> None:
        """Keep the latest, and show it while open. What rests on the outcome alone waits for one of this very batch."""
        former, self._latest = self._latest, (batch, outcome)
        if not self.is_open:
            return
        waits = not self.tool.follows_batch and former is not None and former[1] is outcome
        if not (waits and outcome is not None):
            self.tool.show_state(batch, outcome)

    def set_display(self, display: Display) -> None:
        """Other units; a closed tool shows them when it opens."""
        self._display = display
        if self.is_open:
            self.tool.set_display(display)
        elif self.is_made:
            self.tool.display = display

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [self.heading, *(self.tool.focus_chain() if self.is_made else ())]

    def _open(self, shown: bool) -> None:
        if shown and self._latest is not None:
            self.tool.show_state(*self._latest)
        self.tool.setVisible(shown)
        self.toggled.emit(shown)


def write(label: Label | Markup, text: str) -> None:
    """Set a text, unless it is the same: each new text lays out the pane again."""
    if label.text() != text:
        label.setText(text)


def same_mead(one: Liquid | None, other: Liquid | None) -> bool:
    """Whether two meads are typically the same, so that what was found for one holds for the other."""
    if one is None or other is None:
        return one is other
    return one is other or bool(np.allclose(one.member(0).masses, other.member(0).masses, rtol=1e-6, atol=1e-9))


def told(name: str, parent: QWidget | None = None) -> Markup:
    """A text that wraps, can be selected and copied, and has a name for those who hear it."""
    label = Markup(parent=parent)
    label.setWordWrap(True)
    label.setTextInteractionFlags(WIDELY)
    label.setAccessibleName(name)
    return label


def dim(text: str) -> Label:
    """A small text that comes second."""
    label = Label(text)
    stand_back(label)
    return label


def stand_back(label: Label | Markup) -> None:
    """Let a text come second: small, dimmed, and over several lines."""
    label.setWordWrap(True)
    label.setFont(small(label.font()))
    set_tone(label, "dim")


def act(text: str, hint: str = "") -> Button:
    """A button no wider than its words."""
    button = Button(text)
    button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
    button.setAutoDefault(False)
    if hint:
        button.setToolTip(hint)
    return button


def quiet(text: str, hint: str) -> QToolButton:
    """A small button that stands back beside a heading."""
    button = QToolButton()
    button.setText(text)
    button.setFont(small(button.font()))
    button.setAutoRaise(True)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    button.setToolTip(hint)
    return button


def listed(names: Iterable[str], last: str = "and") -> str:
    """Names as a sentence lists them."""
    known = list(dict.fromkeys(names))
    return f" {last} ".join(filter(None, (", ".join(known[:-1]), known[-1]))) if known else ""
