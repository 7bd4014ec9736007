"""Where the finished mead stands: what was measured of it, how it is kept, and what follows."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from planner.adjusting.base_mead import Basis
from planner.adjusting.mead import Mead, Properties
from planner.adjusting.stabilisation import keepers, planned_way
from planner.document.batch import Adjustment, Batch, HouseRules
from planner.evaluation.outcome import Outcome
from planner.model.liquid import volume
from planner.model.span import Span
from planner.timeline.results import FinishOutcome
from planner.ui.adjust.base_text import SEEMING_HOVER, basis_text, properties_text, seeming_text
from planner.ui.adjust.text import ph_text
from planner.ui.adjust.tool import dim, stand_back, write
from planner.ui.changes import change_text
from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import QuantityField
from planner.ui.widgets.label import Label, Markup
from planner.ui.widgets.one_stop import OneStop
from planner.ui.widgets.remarks import Remarks, of_place, small
from planner.ui.widgets.spanbar import SpanRow
from planner.ui.widgets.steps import stepped
from planner.units import Kind

LEAST_VOLUME = 1e-4
"""A tenth of a litre. [m^3] No batch is smaller, and a zero would divide."""

SERVING_RANGE = (273.15, 313.15)
"""Temperatures at which the viscosity of a mead is known. [K] As in `planner.model.viscosity`."""

_ROWS = (
    ("alcohol", "Alcohol", "By volume, from what the yeast made of the sugar."),
    ("fermentable", "Sugar left", "Fermentable sugar that is left: glucose, fructose and what yeast turns into them, as hexose. With a measured gravity it is what that leaves room for. A sugar test in the log settles it, unless the two disagree."),
    ("acid", "Acid", "Titratable, as tartaric acid: from the fruit, the honey and the yeast."),
    ("ph", "pH", "As measured, or by the log, or predicted from fruit, honey and yeast. It decides the dose of sulphite, so measure it."),
    ("sweetness", "Sweetness", "As the sucrose that would be as sweet in water. Acid and cold make it taste less sweet."),
    ("viscosity", "Body", "Viscosity at room temperature. Water has 1.00, a dry mead about 1.5 mPa·s."),
)  # fmt: skip
_WORDS = {
    Basis.MEASURED: "predicted",
    Basis.AT_REST: "by the log",
    Basis.FORECAST: "forecast",
    Basis.EXPECTED: "predicted",
}
_BY_LOG = "by the log, which says “stabilised”"
_EMPTY = 'Nothing to adjust yet. <a href="#">Enter fruit and honey</a> in the recipe.'
_PENDING = "Being worked out …"
_NOT_YET = "The recipe cannot be worked out yet; its remarks say why."


class PredictedField(QuantityField):
    """A measurement that may be missing: then the prediction is shown in its place, and arrows begin there."""

    def __init__(self, kind: Kind, **options: object) -> None:
        super().__init__(kind, optional=True, **options)  # type: ignore[arg-type]
        self._prediction: float | None = None

    def show_prediction(self, prediction: float | None, text: str, word: str = "predicted") -> None:
        """Show what is expected, and by what; None where nothing is."""
        self._prediction = prediction
        shown = "" if prediction is None else f"{word} {text}"
        if self.placeholderText() != shown:
            self.setPlaceholderText(shown)

    def step_by(self, steps: int) -> None:
        if self.si is not None or self._prediction is None or self.is_pending:
            super().step_by(steps)
            return
        unit = self._display.unit_for(self._prediction, self._kind)
        self._take(stepped(self._prediction, steps, self._kind, self._display, unit.key if unit else None, self._step))


class MeadNow(QWidget):
    """The fields of the finished mead and the rows of what can be said of it.

    Signals: `entered` with the name of a field of the adjustment and its new value; `recipe_wanted` when the person
    follows the way to the recipe.
    """

    entered = Signal(str, object)
    recipe_wanted = Signal()

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._finish: FinishOutcome | None = None
        self._pinned: Outcome | None = None
        self._properties: Properties | None = None
        self._mead: Mead | None = None
        self._drunk = 0.0
        self._make_fields()
        self.rows = {key: SpanRow(caption, f"<p>{hover}</p>") for key, caption, hover in _ROWS}
        self.basis = dim("")
        self.basis.setAccessibleName("How it is known")
        self.basis.hide()
        self.logged = Markup()
        stand_back(self.logged)
        self.logged.setAccessibleName("What the log says instead")
        self.logged.setIndent(16)
        self.logged.linkActivated.connect(self._take_logged)
        self.logged.hide()
        self.seems = dim("")
        self.seems.setAccessibleName("How it will seem")
        self.seems.setToolTip(SEEMING_HOVER)
        self.seems.hide()
        self.empty = Markup(_EMPTY)
        self.empty.setWordWrap(True)
        self.empty.linkActivated.connect(self._want_recipe)
        set_tone(self.empty, "dim")
        self._arrange()

    def _make_fields(self) -> None:
        display = self._display
        self.volume = PredictedField(Kind.VOLUME, low=LEAST_VOLUME, high=1e3, display=display)
        self.gravity = PredictedField(Kind.GRAVITY, display=display)
        self.serving = QuantityField(
            Kind.TEMPERATURE, low=SERVING_RANGE[0], high=SERVING_RANGE[1], display=display, placeholder="serving"
        )
        self.stabilised = CheckBox("Stabilised")
        self.stabilised.setToolTip(
            "<p>Tick it once that is done. Sulphite together with sorbate, or heat, stabilises a mead that has stopped. Sorbate alone does not stop a fermentation that is going on. Keep to the legal limits where you live."
        )
        self.how = Markup()
        self.how.setAccessibleName("How it is stabilised")
        self.how.linkActivated.connect(self._drop_plan)
        self.volume.set_hint("Measured volume of the finished mead. Empty it to go on with the prediction.")
        self.gravity.set_hint(
            "Measured gravity of the finished mead, free of gas and at the temperature that its hydrometer is calibrated at. Empty it to go on with the prediction."
        )
        self.serving.set_hint("Temperature at which you will drink it; a cold mead is thicker.")
        for field, name in ((self.volume, "Volume"), (self.gravity, "Gravity"), (self.serving, "Serving temperature")):
            field.setAccessibleName(f"{name} of the finished mead" if field is not self.serving else name)
        self.volume.committed.connect(self._enter_volume)
        self.gravity.committed.connect(self._enter_gravity)
        self.serving.committed.connect(self._enter_serving)
        self.stabilised.clicked.connect(self._enter_stabilised)

    def _arrange(self) -> None:
        self.remarks = {place: Remarks(self._display) for place in ("volume", "gravity", "serving_temperature")}
        how = self.how
        how.setFont(small(how.font()))
        how.setWordWrap(True)
        how.setIndent(self.stabilised.style().pixelMetric(self.stabilised.style().PixelMetric.PM_IndicatorWidth) + 6)
        set_tone(how, "dim")
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)  # fields are as wide as what they hold
        fields = (
            ("Volume", self.volume, "volume"),
            ("Gravity", self.gravity, "gravity"),
            ("Serving temperature", self.serving, "serving_temperature"),
        )
        for row, (caption, field, place) in enumerate(fields):
            label = Label(caption)
            label.setBuddy(field)
            grid.addWidget(label, 2 * row, 0)
            grid.addWidget(field, 2 * row, 1)
            below = QVBoxLayout()
            below.setSpacing(0)
            below.addWidget(self.remarks[place])
            if place == "gravity":
                below.addWidget(self.logged)
            grid.addLayout(below, 2 * row + 1, 0, 1, 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(grid)
        column.addWidget(self.basis)
        column.addSpacing(2)
        column.addWidget(self.stabilised)
        column.addWidget(how)
        column.addSpacing(4)
        column.addWidget(self.empty)
        for shown in self.rows.values():
            shown.hide()
            column.addWidget(shown)
        column.addWidget(self.seems)
        OneStop([*self.rows.values()], self)

    def focus_chain(self) -> list[QWidget]:
        """What takes the focus, from top to bottom."""
        return [self.volume, self.gravity, self.serving, self.stabilised, *self.rows.values()]

    # --- showing

    def show_adjustment(self, adjustment: Adjustment, rules: HouseRules, logged: bool = False) -> None:
        """Show what was measured and decided, and what the house rules leave to keep yeast from working. Where the log
        says that it was stabilised, the tick is the log's."""
        self.volume.show_si(adjustment.volume)
        self.gravity.show_si(adjustment.gravity)
        self.serving.show_si(adjustment.serving_temperature)
        self.stabilised.setChecked(adjustment.stabilised or logged)
        self.stabilised.setEnabled(not logged)
        write(self.how, _BY_LOG if logged else how_kept(adjustment, rules))

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows."""
        mead = outcome.mead
        for place, remarks in self.remarks.items():
            remarks.show_findings(of_place(outcome.findings, f"adjustment.{place}"))
        self.empty.setVisible(mead is None)
        self.empty.setText(_PENDING if outcome.is_pending else _NOT_YET if _has_recipe(outcome.batch) else _EMPTY)
        for row in self.rows.values():
            row.setVisible(mead is not None)
        self.seems.setVisible(mead is not None)
        self._finish, self._mead, self._drunk = outcome.finish, mead, outcome.batch.adjustment.drunk
        self._show_predictions()
        if mead is not None:
            self._properties = mead.before
            self._show_rows(self._properties)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        for field in (self.volume, self.gravity, self.serving):
            field.set_display(display)
        for remarks in self.remarks.values():
            remarks.set_display(display)
        self._show_predictions()
        if self._properties is not None:
            self._show_rows(self._properties)

    def set_stale(self, stale: bool) -> None:
        """Dim the numbers while newer ones are being worked out."""
        for row in self.rows.values():
            row.set_stale(stale)

    def _show_predictions(self) -> None:
        finish, display, mead = self._finish, self._display, self._mead
        known = mead.known if mead is not None else None
        heavy, room, word = finish.gravity if finish else None, finish.volume if finish else None, "predicted"
        if mead is not None and known is not None and not mead.measured:
            heavy, word = mead.before.gravity, _WORDS[mead.basis]
            room = Span.of(volume(known.liquid))
        self.volume.show_prediction(room.typical if room else None, display.volume(room) if room else "")
        self.gravity.show_prediction(heavy.typical if heavy else None, display.gravity(heavy) if heavy else "", word)
        text = basis_text(mead, display) if mead is not None else ""
        if mead is not None and self._drunk > 0.0:
            left = f"{display.volume(mead.before.volume.typical)} are left, after {display.volume(self._drunk)} were taken out."
            text = f"{left} {text}".strip()
        write(self.basis, text)
        self.basis.setVisible(bool(text))
        other = known.differs if known is not None else None
        if other is not None:
            write(self.logged, f'<a href="#">Take {display.gravity(other[0])} from the log</a>')
        self.logged.setVisible(other is not None)

    def _show_rows(self, properties: Properties) -> None:
        for key, text in properties_text(properties, self._display).items():
            self.rows[key].show_span(getattr(properties, key), text)
        acidity = self._mead.ph_before if self._mead is not None else None
        self.rows["ph"].show_span(acidity, "unknown" if acidity is None else ph_text(acidity, self._display))
        write(self.seems, seeming_text(properties, acidity))
        if self._pinned is not None:
            self.show_pinned(self._pinned)

    def show_pinned(self, pinned: Outcome | None) -> None:
        """Tell of every figure what has changed since a design was pinned, or no longer."""
        self._pinned = pinned
        old, new = (
            {} if mead is None else self._figures(mead)
            for mead in (None if pinned is None else pinned.mead, self._mead)
        )
        for key, row in self.rows.items():
            text = change_text(old[key], new[key], self._display) if key in old and key in new else ""
            row.show_change(None if pinned is None else text)

    def _figures(self, mead: Mead) -> dict[str, str]:
        """What is told of a mead in its likeliest case, so that changes are of single figures."""
        likeliest = {
            name: Span.exactly(span.typical)
            for name in mead.before.__struct_fields__
            if isinstance(span := getattr(mead.before, name), Span)
        }
        told = properties_text(msgspec.structs.replace(mead.before, **likeliest), self._display)
        if mead.ph_before is not None:
            told["ph"] = self._display.number(mead.ph_before.typical, 1)
        return told

    # --- entering

    def _enter_volume(self, value: object) -> None:
        self.entered.emit("volume", value)

    def _enter_gravity(self, value: object) -> None:
        self.entered.emit("gravity", value)

    def _take_logged(self, _link: str) -> None:
        known = self._mead.known if self._mead is not None else None
        if known is not None and known.differs is not None:
            self.entered.emit("gravity", known.differs[0])

    def _enter_serving(self, value: object) -> None:
        self.entered.emit("serving_temperature", value)

    def _enter_stabilised(self, checked: bool) -> None:
        self.entered.emit("stabilised", checked)

    def _drop_plan(self, _link: str) -> None:
        self.entered.emit("stabilising", "")

    def _want_recipe(self, _link: str) -> None:
        self.recipe_wanted.emit()


def how_kept(adjustment: Adjustment, rules: HouseRules) -> str:
    """How yeast may be kept from working, or how it is planned to be."""
    way = planned_way(adjustment)
    if way and not adjustment.stabilised:
        return f'planned by {way}, not done yet · <a href="plan">drop the plan</a>'
    allowed = keepers(rules)
    if not allowed:
        return "the house rules leave neither sulphite with sorbate nor heat"
    return ", or ".join(f"by {name}" for name in allowed)


def _has_recipe(batch: Batch) -> bool:
    recipe = batch.recipe
    return bool(recipe.fruits or recipe.honeys)
