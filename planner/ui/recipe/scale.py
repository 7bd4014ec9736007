"""The question to what a batch shall be scaled: another harvest, another fermenter, or a multiple; and what stays."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.document.edits import EditRefused
from planner.evaluation.outcome import Outcome
from planner.planning.scaling import factor_for_fruit, factor_for_vessel, what_does_not_scale
from planner.reference.catalogue import Catalogue, UnknownIngredient
from planner.ui.display import Display
from planner.ui.recipe.section import small_text
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.remarks import in_words
from planner.units import Kind

_FIGURES = 52
"""Width of the window. [figures]"""

_WAYS = (("fruit", "To another harvest"), ("vessel", "To another fermenter"), ("factor", "By a factor"))


class ScaleDialog(QDialog):
    """Asks to what a batch shall be scaled. Signal: `chosen` with new amount over old. [-]"""

    chosen = Signal(float)

    def __init__(
        self,
        batch: Batch,
        outcome: Outcome | None,
        catalogue: Catalogue,
        display: Display,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Scale the batch")
        self._batch, self._catalogue, self._display = batch, catalogue, display
        self._must = outcome.must.volume.typical if outcome is not None and outcome.must is not None else 0.0
        self.way = ChoiceField(_WAYS)
        self.fruit = QuantityField(Kind.MASS, low=1e-3, high=1e5, display=display)
        self.vessel = QuantityField(Kind.VOLUME, low=1e-4, high=1e3, display=display)
        self.factor = QuantityField(Kind.NUMBER, low=1e-3, high=1e3, display=display)
        self.text = small_text()
        self.buttons = QDialogButtonBox()
        self.agree = Button("&Scale")
        self.agree.set_due(True)
        self.buttons.addButton(self.agree, QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.addButton(Button("&Cancel"), QDialogButtonBox.ButtonRole.RejectRole)
        self._form = QFormLayout()
        for caption, field in (("Scale", self.way), ("Fruit there is", self.fruit), ("Fermenter", self.vessel),
                               ("New amount over old", self.factor)):  # fmt: skip
            field.setAccessibleName(caption)
            self._form.addRow(caption, field)
        layout = QVBoxLayout(self)
        layout.addLayout(self._form)
        layout.addWidget(self.text)
        layout.addWidget(self.buttons)
        self.fruit.show_si(sum(line.mass for line in batch.recipe.fruits))
        self.vessel.show_si(batch.recipe.vessel or 0.03)
        self.factor.show_si(1.0)
        self.way.show_key("fruit" if batch.recipe.fruits else "factor")
        self.way.chosen.connect(self._tell)
        for quantity in (self.fruit, self.vessel, self.factor):
            quantity.committed.connect(self._tell)
        self.buttons.accepted.connect(self._accept)
        self.buttons.rejected.connect(self.reject)
        self._tell()

    def new_over_old(self) -> float | None:
        """The factor that is meant now; None where it cannot be told. [-]"""
        if self.way.key == "fruit":
            return factor_for_fruit(self._batch, self.fruit.si or 0.0)
        if self.way.key == "vessel":
            return factor_for_vessel(self._batch, self._catalogue, self._must, self.vessel.si or 0.0)
        return self.factor.si

    def _tell(self, _value: object = None) -> None:
        for key, field in (("fruit", self.fruit), ("vessel", self.vessel), ("factor", self.factor)):
            self._form.setRowVisible(field, self.way.key == key)
        factor = self.new_over_old()
        ready = self.agree
        if factor is None:
            told = ["The recipe has no amounts of this. Choose another way to scale."]
        else:
            try:
                stays = what_does_not_scale(self._batch, self._catalogue, factor)
            except (EditRefused, UnknownIngredient) as refusal:
                factor, told = None, [str(refusal)]
            else:
                told = [f"All weights times {self._display.number(factor, 3, trim=True)}."]
                told += [in_words(words, self._display) for words in stays]
        self.text.setText("\n".join(told))
        ready.setEnabled(factor is not None)
        fit(self, _FIGURES)

    def _accept(self) -> None:
        for field in (self.fruit, self.vessel, self.factor):
            if field.isVisible() and not field.accept():
                return
        factor = self.new_over_old()
        if factor is not None:
            self.chosen.emit(factor)
            self.accept()
