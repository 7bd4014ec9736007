"""All habits in one window: units, scale, theme, letters, the folder of batches, hints and prices. Each counts at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QDialog, QFormLayout, QHBoxLayout, QVBoxLayout, QWidget

from planner.document.batch import Prices
from planner.ui.asking import Ask
from planner.ui.settings import LETTERS, Appearance, Settings
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button, closing
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.fields import ChoiceField, QuantityField, TextField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import small
from planner.units import GravityScale, Kind, System

SYSTEMS = ((System.METRIC, "Metric"), (System.US, "US"))
SCALES = ((GravityScale.SG, "Specific gravity"), (GravityScale.BRIX, "°Brix"))
THEMES = ((Appearance.SYSTEM, "As the desktop"), (Appearance.LIGHT, "Light"), (Appearance.DARK, "Dark"))


class Preferences(QDialog):
    """Signals: `system_chosen`, `scale_chosen`, `appearance_chosen` and `hints_chosen` when one of them was changed."""

    system_chosen = Signal(str)
    scale_chosen = Signal(str)
    appearance_chosen = Signal(str)
    hints_chosen = Signal(bool)

    def __init__(self, settings: Settings, ask: Ask, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Preferences")
        self._settings, self._ask = settings, ask
        self._form = QFormLayout()
        self.system = self._choice("&Units", SYSTEMS, settings.system, self.system_chosen.emit)
        self.scale = self._choice("&Gravity", SCALES, settings.gravity_scale, self.scale_chosen.emit)
        self.appearance = self._choice("&Theme", THEMES, settings.appearance, self.appearance_chosen.emit)
        sizes = ((0, "As the desktop"), *((size, f"{size} pt") for size in LETTERS))
        self.letters = self._choice("&Letters", sizes, settings.letters, self._set_letters)
        self.told = Label("Other letters come with the next start.")
        self.told.setFont(small(self.told.font()))
        set_tone(self.told, "dim")
        self._form.addRow("", self.told)
        self._add_folder()
        self.hints = CheckBox("Show &hints")
        self.hints.setChecked(bool(settings.hints))
        self.hints.clicked.connect(self.hints_chosen)
        self._form.addRow("", self.hints)
        self._add_prices()
        column = QVBoxLayout(self)
        column.addLayout(self._form)
        column.addStretch(1)
        column.addWidget(closing(self))
        fit(self, figures=60)

    def _choice(
        self, caption: str, choices: tuple[tuple[object, str], ...], key: object, chosen: Callable[[str], object]
    ) -> ChoiceField:
        field = ChoiceField(choices)
        field.show_key(key)
        field.setAccessibleName(caption.replace("&", ""))
        field.chosen.connect(lambda key: chosen(str(key)))
        self._form.addRow(caption, field)
        return field

    def _add_folder(self) -> None:
        self.folder = Elided()
        self.folder.show_text(str(self._settings.cellar))
        self.choose_folder = Button("&Choose…")
        self.choose_folder.setAccessibleName("Choose the folder of batches")
        self.choose_folder.clicked.connect(self._choose_folder)
        row = QHBoxLayout()
        row.addWidget(self.folder, 1)
        row.addWidget(self.choose_folder)
        self._form.addRow("Folder of batches", row)

    def _add_prices(self) -> None:
        self.currency = TextField()
        self.currency.setMaxLength(8)
        self.currency.setAccessibleName("Currency")
        self.bottle = QuantityField(
            Kind.NUMBER, low=0.0, high=1e6, optional=True, placeholder="none", display=self._settings.display
        )
        self.bottle.setAccessibleName("Bottle and closure")
        self.forget = Button("&Forget")
        self.forget.setAccessibleName("Forget all prices")
        self.priced = Label()
        self._show_prices()
        self.currency.committed.connect(lambda currency: self._set_prices(currency=currency))
        self.bottle.committed.connect(lambda price: self._set_prices(bottle=price or 0.0))
        self.forget.clicked.connect(self._forget)
        self._form.addRow("Cu&rrency", self.currency)
        self._form.addRow("&Bottle and closure", self.bottle)
        row = QHBoxLayout()
        row.addWidget(self.priced, 1)
        row.addWidget(self.forget)
        self._form.addRow("Prices of ingredients", row)

    def _show_prices(self) -> None:
        prices = self._settings.prices
        self.currency.show_text(prices.currency)
        self.bottle.show_si(prices.bottle or None)
        count = len(prices.lines)
        self.priced.setText(
            f"{count} kept for new batches" if count else "none yet; enter them in a recipe, under Cost"
        )
        self.forget.setEnabled(prices != Prices())

    def _set_prices(self, **changes: object) -> None:
        self._settings.prices = msgspec.structs.replace(self._settings.prices, **changes)
        self._show_prices()

    def _forget(self) -> None:
        self._settings.prices = Prices()
        self._show_prices()

    def _set_letters(self, size: str) -> None:
        self._settings.letters = int(size)

    def _choose_folder(self) -> None:
        folder = self._ask.folder_path("Choose the folder of batches", self._settings.cellar)
        if folder is not None:
            self._settings.cellar = Path(folder)
            self.folder.show_text(str(self._settings.cellar))
