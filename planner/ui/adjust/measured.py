"""What else was measured of the finished mead: alcohol, acid and pH, what was taken out, and what it stands in."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtWidgets import QGridLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.model.ph import ph_words
from planner.ui.adjust.mead_now import PredictedField
from planner.ui.adjust.text import ends, ph_text
from planner.ui.adjust.tool import Tool, dim, write
from planner.ui.display import Display
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import Remarks, of_place
from planner.units import Kind, System

_GRAMS = {System.METRIC: "g/L", System.US: "g/L"}
_FIELDS = (
    ("alcohol", "Alcohol", Kind.STRENGTH, 0.0, 0.25, "Measured alcohol by volume."),
    ("acid", "Acid", Kind.CONCENTRATION, 0.0, 50.0, "Titrated acid, as tartaric, g/L."),
    ("ph", "pH", Kind.NUMBER, 2.0, 7.0, "Measured pH. It decides the dose of sulphite, and acid changes it from there."),
    ("drunk", "Taken out", Kind.VOLUME, 0.0, 1e3, "What you drank or tried since you measured the volume. Doses are for what is left."),
    ("vessel", "Vessel", Kind.VOLUME, 1e-4, 1e3, "Room of the vessel it stands in. What you add has to fit."),
)  # fmt: skip
_WHAT = {
    "alcohol": "measured alcohol", "acid": "measured acid", "ph": "measured pH", "drunk": "what was taken out",
    "vessel": "vessel of the mead",
}  # fmt: skip


class Measured(Tool):
    """Fields that stay empty until something was measured; the prediction stands in its place."""

    follows_batch = True

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent)
        self.fields: dict[str, PredictedField] = {}
        self.remarks: dict[str, Remarks] = {}
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)
        for row, (name, caption, kind, low, high, hint) in enumerate(_FIELDS):
            units = _GRAMS if kind == Kind.CONCENTRATION else None
            field = PredictedField(kind, low=low, high=high, units=units, display=display)
            field.set_hint(f"{hint} Empty it to go on without.")
            field.setAccessibleName(f"{caption} of the finished mead")
            field.setProperty("what", name)
            field.committed.connect(self._enter)
            label = Label(caption)
            label.setBuddy(field)
            grid.addWidget(label, 2 * row, 0)
            grid.addWidget(field, 2 * row, 1)
            self.fields[name], self.remarks[name] = field, Remarks(display)
            grid.addWidget(self.remarks[name], 2 * row + 1, 0, 1, 3)
        self.column.addLayout(grid)
        self.ph = dim("")
        self.column.addWidget(self.ph)

    def focus_chain(self) -> list[QWidget]:
        return list(self.fields.values())

    def refresh(self) -> None:
        if self.batch is None:
            return
        adjustment, mead = self.batch.adjustment, self.outcome.mead if self.outcome else None
        for name, field in self.fields.items():
            self.adopt(field)
            value = getattr(adjustment, name)
            field.show_si(None if name == "drunk" and not value else value)
            findings = of_place(self.outcome.findings, f"adjustment.{name}") if self.outcome else ()
            self.remarks[name].set_display(self.display)
            self.remarks[name].show_findings(findings)
        before = mead.before if mead else None
        alcohol, acid = (before.alcohol, before.acid) if before else (None, None)
        acidity = mead.ph_before if mead else None
        for name, span, written in (
            ("alcohol", alcohol, ends(alcohol, Kind.STRENGTH, self.display) if alcohol else ""),
            ("acid", acid, ends(acid, Kind.CONCENTRATION, self.display, "g/L") if acid else ""),
            ("ph", acidity, ph_text(acidity, self.display) if acidity else ""),
        ):
            known = mead.known if mead is not None else None
            by_log = known is not None and {
                "ph": known.ph_from_log, "acid": known.acid_from_log, "alcohol": known.by_log
            }.get(name, False)  # fmt: skip
            self.fields[name].show_prediction(
                span.typical if span else None, written, "by the log" if by_log else "predicted"
            )
        self.fields["drunk"].setPlaceholderText("nothing")
        self.fields["vessel"].setPlaceholderText("any")
        told = mead is not None and acidity is not None and mead.ph is not None and bool(mead.effects)
        self.ph.setVisible(told)
        if told and mead is not None and acidity is not None and mead.ph is not None:
            write(self.ph, ph_words(acidity.typical, mead.ph))

    def _enter(self, value: object) -> None:
        sender = self.sender()
        name = str(sender.property("what")) if sender is not None else ""
        if name in self.fields:
            change: dict[str, Any] = {name: 0.0 if name == "drunk" and value is None else value}
            self.edited.emit(partial(_changed, change=change), _WHAT[name], f"adjustment/{name}")


def _changed(batch: Batch, change: dict[str, Any]) -> Batch:
    return edits.change_adjustment(batch, **change)
