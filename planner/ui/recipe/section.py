"""What the sections of the recipe pane are made of: heading, small text, a caption with its field, cautions."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import ChoiceField, CommitLine, QuantityField
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import Remarks, of_place, small
from planner.units import System
from planner.wording.finding import Finding, caution

_ROOMY = "88 lb 15.9 oz"
"""As wide as this is every field that stands alone in its row, or wider where it must be."""

IN_GRAMS = {System.US: "g"}
"""Yeast and nutrients are weighed in grams everywhere (common practice, no source); metric sizes go on to kg."""


def heading(text: str) -> Label:
    """A bold small heading of a section."""
    label = Label(text)
    font = small(label.font())
    font.setBold(True)
    label.setFont(font)
    return label


def small_text() -> Label:
    """Text that comes second, over several lines."""
    label = Label()
    label.setWordWrap(True)
    label.setFont(small(label.font()))
    set_tone(label, "dim")
    return label


def labelled(caption: str, field: CommitLine | ChoiceField, after: QWidget | None = None) -> QHBoxLayout:
    """A field with its caption before it."""
    label = Label(caption)
    label.setBuddy(field)
    field.setAccessibleName(caption)
    if isinstance(field, ChoiceField):
        field.setMinimumContentsLength(0)  # its arrow takes the room of two figures
        field.also_holds = (_ROOMY[:-2],)
    else:
        field.also_holds = (_ROOMY,)
    field.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
    row = QHBoxLayout()
    row.setSpacing(8)
    row.addWidget(label)
    row.addStretch(1)
    if after is not None:
        row.addWidget(after)
    row.addWidget(field)
    return row


class Section(QWidget):
    """A part of the recipe: a heading, its controls in `body`, and what is doubtful about it."""

    def __init__(self, title: str, acts: Acts, display: Display, *places: str) -> None:
        super().__init__()
        self._acts, self._display, self._places = acts, display, places
        self.remarks = Remarks(display)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        if title:
            column.addWidget(heading(title))
        self.body = QVBoxLayout()
        self.body.setSpacing(4)
        column.addLayout(self.body)
        column.addWidget(self.remarks)

    def show_batch(self, batch: Batch) -> None:
        """Show what was decided."""
        raise NotImplementedError

    def restore(self) -> None:
        """Show what was decided where an entry was refused."""
        self.show_batch(self._acts.batch)

    def show_shelf(self) -> None:
        """Offer what the shelf holds now."""

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:  # noqa: ARG002  for subclasses
        """Show what follows from it."""
        self.remarks.show_findings(of_place(findings, *self._places))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.remarks.set_display(display)
        for field in self.findChildren(QuantityField):
            field.set_display(display)


def extra_cautions(catalogue: Catalogue, row: object, place: str, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The cautions of an ingredient that no finding speaks of yet."""
    said = {finding.text.template for finding in findings}
    every = (caution(place, key, catalogue) for key in getattr(row, "cautions", ()))
    return tuple(one for one in every if one.text.template not in said)
