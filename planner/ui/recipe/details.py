"""What lines of fruit and honey show when they are opened: what was measured instead of taken from the tables."""

from __future__ import annotations

from PySide6.QtWidgets import QFormLayout, QWidget

from planner.document.batch import FruitLine, HoneyLine, Preparation
from planner.document.values import limits
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.texts import fruit_text, gravity_placeholder, yield_placeholder
from planner.ui.theme import set_tone
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import QuantityField
from planner.ui.widgets.label import Label
from planner.ui.widgets.line_row import LineDetails
from planner.ui.widgets.remarks import small
from planner.units import Kind

HONEY_GOES_BY_WEIGHT = "Honey goes by weight: crystallised honey holds air, so a full jar may hold less than it seems."


class _Details(LineDetails):
    """A form and small text under it."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._line: object = None
        self._context: object = None
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 2, 0, 4)
        self._form.setVerticalSpacing(4)
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.text = Label()
        self.text.setWordWrap(True)
        self.text.setFont(small(self.font()))
        set_tone(self.text, "dim")

    def show_line(self, line: object, context: object) -> None:
        self._line, self._context = line, context
        self._fill()

    def set_display(self, display: Display) -> None:
        self._display = display
        for field in self.findChildren(QuantityField):
            field.set_display(display)
        self._fill()

    def _fill(self) -> None:
        raise NotImplementedError

    def _measured(self, owner: type, name: str, kind: Kind, caption: str, hint: str) -> QuantityField:
        low, high = limits(owner, name)
        field = QuantityField(kind, low=low, high=high, optional=True, display=self._display)
        field.setAccessibleName(f"{caption}, measured")
        field.set_hint(hint)
        self._form.addRow(caption, field)
        return field


class FruitDetails(_Details):
    """How a fruit was weighed, and what was measured of its juice."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent)
        self._catalogue = catalogue
        self.stoned = CheckBox()
        self.as_juice = CheckBox("It is juice already")
        self._form.addRow(self.stoned)
        self._form.addRow(self.as_juice)
        self.press_yield = self._measured(
            FruitLine, "press_yield", Kind.FRACTION, "Press yield",
            "Weight of juice per weight of fruit without stones, if you measured it. Empty: as expected.",
        )  # fmt: skip
        self.juice_gravity = self._measured(
            FruitLine, "juice_gravity", Kind.GRAVITY, "Juice gravity",
            "Gravity of the juice, if you measured it. Empty: as the tables let expect.",
        )  # fmt: skip
        self._form.addRow(self.text)
        self.stoned.clicked.connect(self._tell_stoned)
        self.as_juice.clicked.connect(self._tell_as_juice)
        self.press_yield.committed.connect(self._tell_yield)
        self.juice_gravity.committed.connect(self._tell_gravity)

    def _fill(self) -> None:
        line, preparation = self._line, self._context
        if not isinstance(line, FruitLine) or not isinstance(preparation, Preparation):
            return
        fruit = self._catalogue.fruits.get(line.key)
        self.stoned.setText(f"Weighed without {fruit.stone_what if fruit and fruit.stone_what else 'stones'}")
        self.stoned.setVisible(fruit is None or fruit.stone > 0.0)
        self.stoned.setChecked(line.stoned)
        self.as_juice.setChecked(line.as_juice)
        self.stoned.setEnabled(not line.as_juice)
        self.press_yield.setEnabled(not line.as_juice)
        self.press_yield.show_si(line.press_yield)
        self.juice_gravity.show_si(line.juice_gravity)
        if fruit is not None:
            self.press_yield.setPlaceholderText(yield_placeholder(fruit, preparation, self._display))
            self.juice_gravity.setPlaceholderText(gravity_placeholder(line, fruit, preparation, self._display))
        self.text.setText(fruit_text(fruit) if fruit is not None else "")

    def _tell_stoned(self, checked: bool) -> None:
        self.changed.emit({"stoned": checked})

    def _tell_as_juice(self, checked: bool) -> None:
        self.changed.emit({"as_juice": checked})

    def _tell_yield(self, value: object) -> None:
        self.changed.emit({"press_yield": value})

    def _tell_gravity(self, value: object) -> None:
        self.changed.emit({"juice_gravity": value})


class HoneyDetails(_Details):
    """How much water a honey holds."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent)
        self._catalogue = catalogue
        self.moisture = self._measured(
            HoneyLine, "moisture", Kind.FRACTION, "Water in it",
            "Water content, if a refractometer for honey or a label tells it. Empty: as expected.",
        )  # fmt: skip
        self._form.addRow(self.text)
        self.moisture.committed.connect(self._tell_moisture)

    def _fill(self) -> None:
        if not isinstance(self._line, HoneyLine):
            return
        honey = self._catalogue.honeys.get(self._line.key)
        self.moisture.show_si(self._line.moisture)
        if honey is not None:
            self.moisture.setPlaceholderText(f"{self._display.percent(honey.moisture)} expected")
        self.text.setText(f"{honey.note} {HONEY_GOES_BY_WEIGHT}".strip() if honey is not None else HONEY_GOES_BY_WEIGHT)

    def _tell_moisture(self, value: object) -> None:
        self.changed.emit({"moisture": value})
