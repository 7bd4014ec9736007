"""Liquids by volume and by their label: so many millilitres of an extract, with its alcohol and its sugar."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QGridLayout, QWidget

from planner.adjusting.additions import density_of
from planner.document import edits
from planner.document.batch import Addition, Batch
from planner.model.constants import ETHANOL_DENSITY
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive
from planner.ui.adjust.tool import Tool
from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import QuantityField
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small
from planner.units import Kind, System

_GROUPS = ("flavour", "liquid")
_WITHOUT_LABEL = ("water", "another-mead")
_GRAMS = {System.METRIC: "g/L", System.US: "g/L"}
_HEADINGS = ("by volume", "alcohol", "sugar")


class VolumeField(QuantityField):
    """A volume no finer than it is measured; the mass behind it is kept as it was."""

    def _written(self, value: object) -> str:
        return self._display.volume(value) if isinstance(value, float) else ""


class Labels(Tool):
    """A row for each liquid among the additions; nothing is shown while there is none."""

    follows_batch = True

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(6)
        self._grid.setVerticalSpacing(2)
        for column, text in enumerate(_HEADINGS):
            label = Label(text)
            label.setFont(small(label.font()))
            set_tone(label, "dim")
            self._grid.addWidget(label, 0, column)
            self._grid.setColumnStretch(column, 1)
        self.column.addLayout(self._grid)
        self.rows: list[tuple[Label, QuantityField, QuantityField, QuantityField]] = []
        self._indices: list[int] = []
        self.hide()

    def focus_chain(self) -> list[QWidget]:
        return [field for row in self.rows for field in row[1:]]

    def refresh(self) -> None:
        lines = [] if self.batch is None else [
            (index, line, self._catalogue.additives[line.key])
            for index, line in enumerate(self.batch.adjustment.additions)
            if line.key in self._catalogue.additives and self._catalogue.additives[line.key].group in _GROUPS
        ]  # fmt: skip
        self._indices = [index for index, _, _ in lines]
        while len(self.rows) < len(lines):
            self._add_row()
        for place, row in enumerate(self.rows):
            for cell in row:
                cell.setVisible(place < len(lines))
        for (_, line, additive), row in zip(lines, self.rows, strict=False):
            self._show(line, additive, row)
        self.setVisible(bool(lines))

    def _show(
        self, line: Addition, additive: Additive, row: tuple[Label, QuantityField, QuantityField, QuantityField]
    ) -> None:
        name, volume, alcohol, sugar = row
        name.setText(line.blend.name if line.blend is not None else additive.name)
        for field in row[1:]:
            self.adopt(field)
        volume.show_si(line.mass / density_of(additive, line))
        by_label = additive.key not in _WITHOUT_LABEL
        alcohol.setEnabled(by_label)
        sugar.setEnabled(by_label)
        alcohol.show_si(line.alcohol)
        sugar.show_si(line.sugar)
        own = dict(additive.composition).get("ethanol", 0.0) * (additive.density or 0.0) / ETHANOL_DENSITY
        alcohol.setPlaceholderText(self.display.percent_vol(own) if by_label else "–")
        sugar.setPlaceholderText("none" if by_label else "–")
        for field, what in zip(row[1:], ("volume", "alcohol on the label", "sugar on the label"), strict=True):
            field.setAccessibleName(f"{name.text()}, {what}")

    def _add_row(self) -> None:
        place = len(self.rows)
        name = Label()
        name.setFont(small(name.font()))
        name.setWordWrap(True)
        volume = VolumeField(Kind.VOLUME, display=self.display)
        alcohol = QuantityField(Kind.STRENGTH, low=0.0, high=0.97, optional=True, display=self.display)
        sugar = QuantityField(
            Kind.CONCENTRATION, low=0.0, high=900.0, units=_GRAMS, optional=True, display=self.display
        )
        alcohol.set_hint("Alcohol by volume on its label; empty for the usual.")
        sugar.set_hint("Sugar on its label. It counts as fermentable sugar.")
        volume.set_hint("How much of it, by volume.")
        self._grid.addWidget(name, 2 * place + 1, 0, 1, 3)
        for column, (field, what) in enumerate(((volume, "volume"), (alcohol, "alcohol"), (sugar, "sugar"))):
            field.setProperty("place", place)
            field.setProperty("what", what)
            field.committed.connect(self._enter)
            self._grid.addWidget(field, 2 * place + 2, column)
        self.rows.append((name, volume, alcohol, sugar))

    def _enter(self, value: object) -> None:
        sender, batch = self.sender(), self.batch
        if batch is None or not isinstance(sender, QuantityField):
            return
        index, what = self._indices[int(sender.property("place"))], str(sender.property("what"))
        line = batch.adjustment.additions[index]
        if what == "volume":
            additive = self._catalogue.additives[line.key]
            mass = value * density_of(additive, line) if isinstance(value, float) else 0.0
            changes: dict[str, object] = {"mass": mass}
        else:
            changes = {what: value}
        self.edited.emit(
            partial(_labelled, index=index, changes=changes), "label of a liquid", f"additions/{index}/{what}"
        )


def _labelled(batch: Batch, index: int, changes: dict[str, object]) -> Batch:
    return edits.change_addition(batch, index, **changes)
