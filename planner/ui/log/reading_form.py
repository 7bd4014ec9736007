"""The line in which a reading is typed, and what all readings share: the moment of pitching and the hydrometer."""

from __future__ import annotations

from typing import cast

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch, Entry, Event, Hydrometer, Log, Refractometer, TasteReading
from planner.document.timestamps import parsed
from planner.ui.display import Display
from planner.ui.log import entry as log_entry
from planner.ui.log.entry import KIND_WORDS
from planner.ui.log.reading_fields import Draft, NoteDraft, PitchedField, TemperatureDraft, ValueDraft, WhenDraft
from planner.ui.log.text import hint
from planner.ui.log.typed_addition import NO_NAMES, Names
from planner.ui.log.when import When, now
from planner.ui.store import BatchStore
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.one_stop import Ring
from planner.ui.widgets.remarks import in_words
from planner.units import System
from planner.wording.phrases import tabled

CALIBRATIONS = ((293.15, "20 °C"), (288.15, "15 °C"), (288.70555555555556, "60 °F"))
"""Temperatures for which hydrometers are made, as their stems say. [K] Common practice, no source."""

COMPENSATED = ((True, "corrects itself"), (False, "no correction"))
"""What a refractometer does about the temperature of the drop."""

_SAME = 0.02
"""Kelvin within which two calibrations are one: files write 60 °F with more digits or fewer."""


class ReadingForm(QWidget):
    """Enter adds the reading and leads back to where the next one is typed: to its day, if that was typed for this one.

    Signals: `added` with the place in the log of a new reading; `typed_changed` when the texts in the line are others.
    """

    added = Signal(object)
    typed_changed = Signal()

    def __init__(
        self, store: BatchStore, display: Display, parent: QWidget | None = None, names: Names = NO_NAMES
    ) -> None:
        super().__init__(parent)
        self._store, self._display = store, display
        self._log: Log | None = None
        self.kind = ChoiceField(KIND_WORDS.items())
        self.kind.setAccessibleName("What is entered")
        self.kind.show_key("")
        self.when = WhenDraft("When the reading was taken", "", display)
        self.value = ValueDraft("Reading, or what was done", "", display, names)
        self.temperature = TemperatureDraft("Temperature of the sample", "", display)
        self.note = NoteDraft("Note on the reading", "note", display)
        self.note.setMaxLength(log_entry.LONGEST_NOTE)
        self.instrument = NoteDraft("Instrument", "instrument", display)
        self.instrument.setMaxLength(80)
        self.add_button = Button("Add")
        self.add_button.setToolTip("Put the reading into the log (Enter)")
        self.pitched = PitchedField(display)
        self.pitched_now = Button("now")
        self.pitched_now.setToolTip("The yeast is pitched at this moment")
        self.pitched_now.setAccessibleName("Pitched now")
        self.hydrometer = ChoiceField(CALIBRATIONS)
        self.hydrometer.setAccessibleName("Temperature the hydrometer is calibrated at")
        self.refractometer = ChoiceField(COMPENSATED)
        self.refractometer.setAccessibleName("Whether the refractometer corrects for temperature")
        self._explain()
        self._lay_out()
        self._connect()
        self._show_instruments()
        self._show_hints()

    def show_log(self, log: Log) -> None:
        """Show what the readings share."""
        if log is self._log:
            return
        self._log = log
        self.pitched.show_value(log.pitched_at)
        self.when.logged = parsed(log.pitched_at) if log.pitched_at else None
        self.pitched_now.setVisible(log.pitched_at is None)
        calibration = log.hydrometer.calibration
        known = [kelvin for kelvin, _ in CALIBRATIONS if abs(kelvin - calibration) < _SAME]
        other = [] if known else [(calibration, self._display.temperature(calibration))]
        self.hydrometer.set_choices([*CALIBRATIONS, *other])
        self.hydrometer.show_key(known[0] if known else calibration)
        self.refractometer.show_key(log.refractometer.compensated)
        self._show_hints()

    def show_planned(self, planned: str | None) -> None:
        """Show when the yeast is to be pitched."""
        self.when.planned = parsed(planned) if planned else None
        self.pitched.show_planned(self.when.planned)

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        for field in (*self._drafts(), self.instrument):
            field.set_display(display)
        self.pitched.set_display(display)
        self._show_hints()
        self._explain()

    @property
    def typed(self) -> dict[str, str]:
        """What stands in the line, by field; nothing where no figure, moment, temperature or note is typed."""
        texts = {name: field.text() for name, field in self.drafts.items() if field.text().strip()}
        return {**texts, "kind": str(self.kind.currentData() or "")} if texts else {}

    def bring_back(self, typed: dict[str, str]) -> None:
        """Put texts back into the line, as they were typed."""
        if typed.get("kind") in KIND_WORDS:
            self._show_kind(typed["kind"])
        for name, field in self.drafts.items():
            field.setText(typed.get(name, ""))

    def clear(self) -> None:
        """Give up what stands in the line, and the name of the instrument."""
        for field in (*self._drafts(), self.instrument):
            field.give_up()
        self._show_kind("")

    def begin(self) -> None:
        """Go to where a reading is typed."""
        self.value.setFocus()
        self.value.selectAll()

    def add(self) -> bool:
        """Put what was typed into the log; False if something is missing or refused, and then the field says what."""
        refused = next((field for field in (*self._drafts(), self.instrument) if not field.accept()), None)
        if refused is not None:
            refused.setFocus()
            return False
        value = self.value.take_kind() if self.value.draft is None else cast(Entry, self.value.draft)
        if value is None:
            example = self._display.gravity(1.050)
            self.value.refuse(f"Enter a gravity such as {example}, a test such as 12 g/L, or what was done: racked.")
            return False
        note = self.note.draft if isinstance(self.note.draft, str) else ""
        if isinstance(value, TasteReading) and not (value.note or note):
            self.value.refuse("Enter in words what it tastes like.")
            return False
        when = self._moment()
        return when is not None and self._put(when, value, note)

    def _put(self, when: When, value: Entry, note: str) -> bool:
        batch = self._batch()
        temperature = self.temperature.draft if isinstance(self.temperature.draft, float) else None
        instrument = self.instrument.draft if isinstance(self.instrument.draft, str) else ""
        if isinstance(value, Event | TasteReading):
            instrument = ""
        try:
            after = edits.add_readings(batch, log_entry.reading_of(value, when, temperature, note, instrument))
        except edits.EditRefused as refusal:
            self.value.refuse(str(refusal))
            return False
        first = self.value if self.when.draft is None else self.when  # of a log that is copied, each has its day
        for field in self._drafts():
            field.show_value(None)
        self._show_kind("")  # the next figure is what it looks like: a gravity is never taken for a sugar test
        self._store.edit(after, "log what was done" if isinstance(value, Event) else "add a reading")
        self.added.emit(len(after.log.readings) - 1)
        first.setFocus()
        first.selectAll()
        return True

    def _moment(self) -> When | None:
        """When it was read; now, if nothing was typed, unless this log counts in days alone."""
        if isinstance(self.when.draft, When):
            return self.when.draft
        if self._counts_days():
            self.when.refuse("This log counts in days, and pitching is not dated: type the day, such as 12.")
            return None
        return When(at=now().isoformat(timespec="minutes"))

    def _counts_days(self) -> bool:
        log = self._batch().log
        return log.pitched_at is None and bool(log.readings) and log.readings[-1].at is None

    # --- making

    def _drafts(self) -> tuple[Draft, ...]:
        return self.when, self.value, self.temperature, self.note

    @property
    def drafts(self) -> dict[str, Draft]:
        """The fields of a reading by their names."""
        return {"when": self.when, "value": self.value, "temperature": self.temperature, "note": self.note}

    def _told(self, text: str) -> str:
        return in_words(tabled(text), self._display)

    def _explain(self) -> None:
        self.when.setWhatsThis("When the reading was taken: a date and time, a day since pitching such as 12, or now.")
        self.kind.setWhatsThis(
            self._told(
                "What a bare figure means. As typed, 1.050 is a hydrometer and 20.5 °Bx a refractometer (with gravity in °Brix, a hydrometer). 12 g/L or < 2 g/L is a sugar test, −{1.2 kg} a loss of weight, {18 °C} the must. The choice returns to “as typed” after each reading. A sugar test may also be in mg/dL, mmol/L (of glucose) or %. A test for glucose alone misses fructose, of which most is left."
            )
        )
        self.value.setWhatsThis(
            self._told(
                "What was read, not corrected: 1.050, 20.5 °Bx, 12 g/L, < 2 g/L, pH 3.4 or {18 °C}. Volume without fruit: volume {10.8 L}. Weight lost since "
                "pitching: −{1.2 kg}. With its range, where you know it: 1.050 ± 0.002. Or what was done: fed {5 g} yeast autolysate, "
                "added {500 g} honey, racked, stirred. Or set to {16 °C}, stabilised, bottled 24 × {750 mL}."
            )
        )
        self.instrument.setWhatsThis("Which of several instruments; kept for the next reading.")
        self.refractometer.setWhatsThis("Most refractometers correct for the temperature of the drop by themselves.")
        self.temperature.setWhatsThis(
            self._told("Temperature of the sample. The gravity is corrected from it to {20 °C}.")
        )
        self.pitched.setWhatsThis(
            "When the yeast was added: day 0 of the curve. Later readings find their day from it."
        )
        self.hydrometer.setWhatsThis("The temperature printed on the stem. There the hydrometer needs no correction.")

    def _lay_out(self) -> None:
        line, shared = Flow(), Flow()
        line.add(self.when)
        line.add(self.kind, self.value)
        line.add(self.temperature)
        line.add(self.note, self.add_button, growing=self.note)
        self._with = self._label("I&nstrument", self.instrument)
        self._made_for = self._label("c&alibrated at", self.hydrometer)
        self._which = self._label("which", self.refractometer)
        shared.add(self._label("&Pitched", self.pitched), self.pitched, self.pitched_now)
        shared.add(self._with, self.instrument, growing=self.instrument)
        shared.add(self._made_for, self.hydrometer)
        shared.add(self._which, self.refractometer)
        self.kind.setMinimumContentsLength(8)
        self.refractometer.setMinimumContentsLength(12)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(line)
        column.addWidget(shared)

    def _label(self, text: str, buddy: QWidget) -> Label:
        label = Label(text)
        label.setBuddy(buddy)
        return label

    def _connect(self) -> None:
        for field in (*self._drafts(), self.instrument):
            field.entered.connect(self.add)
            field.textChanged.connect(self._tell_typed)
        # F2 goes round what is rarely entered; Tab goes past it, and Enter adds.
        self.add_button.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        Ring([self.value, self.kind, self.instrument, self.hydrometer, self.refractometer], self.value, self)
        Ring([self.pitched, self.pitched_now], self.pitched, self)
        self.add_button.clicked.connect(self._add_clicked)
        self.pitched.committed.connect(self._set_pitched)
        self.pitched_now.clicked.connect(self._pitch_now)
        self.hydrometer.chosen.connect(self._set_hydrometer)
        self.refractometer.chosen.connect(self._set_refractometer)
        self.kind.chosen.connect(self._set_kind)

    def _show_hints(self) -> None:
        """Examples in the reader's own habits, where a field is empty."""
        self.when.setPlaceholderText("day, such as 12" if self._counts_days() else "now, or a day")
        self.value.setPlaceholderText(hint(str(self.kind.currentData() or ""), self._display))
        self.temperature.setPlaceholderText("°F" if self._display.system == System.US else "°C")

    # --- edits

    def _tell_typed(self, _text: str) -> None:
        self.typed_changed.emit()

    def _add_clicked(self) -> None:
        self.add()

    def _pitch_now(self) -> None:
        self._set_pitched(now().isoformat(timespec="minutes"))

    def _set_pitched(self, at: object) -> None:
        self._edit({"pitched_at": at}, "date the pitching" if at else "forget when it was pitched")

    def _set_hydrometer(self, calibration: object) -> None:
        assert isinstance(calibration, float)
        self._edit({"hydrometer": Hydrometer(calibration=calibration)}, "choose the hydrometer")

    def _set_refractometer(self, compensated: object) -> None:
        self._edit({"refractometer": Refractometer(compensated=bool(compensated))}, "choose the refractometer")

    def _set_kind(self, kind: object) -> None:
        self._show_kind(str(kind))
        self.value.setFocus()

    def _show_kind(self, kind: str) -> None:
        self.kind.show_key(kind)
        self.value.set_kind(kind)
        self._show_instruments()
        self._show_hints()

    def _show_instruments(self) -> None:
        """What is to be known of the instrument at hand: of the hydrometer, unless a refractometer is chosen."""
        kind = str(self.kind.currentData() or "")
        for part in (self._which, self.refractometer):
            part.setVisible(kind == "refractometer")
        for part in (self._made_for, self.hydrometer):
            part.setVisible(kind in ("", "hydrometer"))

    def _edit(self, changes: dict[str, object], text: str) -> None:
        batch = self._batch()
        try:
            after = edits.change_log(batch, **changes)
        except edits.EditRefused as refusal:
            self.pitched.setToolTip(as_it_is(str(refusal)))
            return
        self._store.edit(after, text)

    def _batch(self) -> Batch:
        return self._store.batch
