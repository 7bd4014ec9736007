"""The sections of the recipe pane that hold single fields: preparation, water, yeast, vessel, notes."""

from __future__ import annotations

import math

from PySide6.QtWidgets import QHBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch, Preparation, Yeast
from planner.document.learnt import Learning
from planner.document.shelf import shelf_of
from planner.document.values import limits
from planner.evaluation.outcome import Outcome
from planner.model.kinetics import NORMAL_PITCH
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.ingredients.sheet import sheet
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.fields import SECONDS_PER_DAY, WATER_VOLUME, NotesEdit, WaterField
from planner.ui.recipe.section import IN_GRAMS, Section, extra_cautions, labelled, small_text
from planner.ui.recipe.texts import name_of, yeast_text
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.one_stop import Ring
from planner.units import Kind
from planner.wording.finding import Finding

_LEAST_VESSEL = 1e-6
"""A millilitre: the type of a batch asks for more than nothing. [m^3]"""


class PreparationSection(Section):
    """What is done to the fruit before it is pressed."""

    def __init__(self, acts: Acts, display: Display) -> None:
        super().__init__("Preparation", acts, display, "recipe.preparation")
        self.frozen = CheckBox("Frozen and thawed")
        self.enzyme = CheckBox("Pectic enzyme")
        self.frozen.setToolTip("Ice crystals open the cells: more juice from the press.")
        self.enzyme.setToolTip("It cuts pectin: more juice, and the mead clears better.")
        low, high = (None if bound is None else bound * SECONDS_PER_DAY for bound in limits(Preparation, "soak"))
        self.soak = QuantityField(Kind.TIME, low=low, high=high, step=SECONDS_PER_DAY, display=display)
        self.soak.set_hint("Days on the fruit in the cold before pressing; after seven no more juice comes.")
        self.whole = CheckBox("Ferment on the fruit")
        self.whole.setToolTip("The fruit goes into the fermenter and is pressed later. Take the stones out first.")
        low, high = (None if bound is None else bound * SECONDS_PER_DAY for bound in limits(Preparation, "on_fruit"))
        self.on_fruit = QuantityField(Kind.TIME, low=low, high=high, step=SECONDS_PER_DAY, display=display)
        self.on_fruit.set_hint("Days after pitching on which it is taken off the fruit and pressed.")
        checks = QHBoxLayout()
        checks.setSpacing(14)
        checks.addWidget(self.frozen)
        checks.addWidget(self.enzyme)
        checks.addStretch(1)
        self.body.addLayout(checks)
        self.body.addWidget(self.whole)
        self._soaking, self._fruiting = QWidget(), QWidget()
        for holder, caption, field in (
            (self._soaking, "Cold soak", self.soak),
            (self._fruiting, "On the fruit", self.on_fruit),
        ):
            row = labelled(caption, field)
            row.setContentsMargins(0, 0, 0, 0)
            holder.setLayout(row)
            self.body.addWidget(holder)
        self.whole.clicked.connect(self._change_whole)
        acts.watch(self.on_fruit)
        self.on_fruit.committed.connect(self._change_on_fruit)
        self.frozen.clicked.connect(self._change_frozen)
        self.enzyme.clicked.connect(self._change_enzyme)
        acts.watch(self.soak)
        self.soak.committed.connect(self._change_soak)

    def show_batch(self, batch: Batch) -> None:
        preparation = batch.recipe.preparation
        self.frozen.setChecked(preparation.frozen)
        self.enzyme.setChecked(preparation.enzyme)
        self.soak.show_si(preparation.soak * SECONDS_PER_DAY)
        self.whole.setChecked(preparation.whole)
        self.on_fruit.show_si(preparation.on_fruit * SECONDS_PER_DAY)
        self._soaking.setVisible(not preparation.whole)
        self._fruiting.setVisible(preparation.whole)

    def _change_whole(self, checked: bool) -> None:
        text = "ferment on the fruit" if checked else "press before the ferment"
        self._acts.do(text, edits.change_preparation, whole=checked)

    def _change_on_fruit(self, seconds: float) -> None:
        text = f"on the fruit: {self._display.days(seconds)}"
        self._acts.do(text, edits.change_preparation, merge="recipe/on_fruit", on_fruit=seconds / SECONDS_PER_DAY)

    def _change_frozen(self, checked: bool) -> None:
        self._acts.do(
            "freeze the fruit" if checked else "do not freeze the fruit", edits.change_preparation, frozen=checked
        )

    def _change_enzyme(self, checked: bool) -> None:
        self._acts.do("pectic enzyme" if checked else "no pectic enzyme", edits.change_preparation, enzyme=checked)

    def _change_soak(self, seconds: float) -> None:
        text = f"cold soak: {self._display.days(seconds)}"
        self._acts.do(text, edits.change_preparation, merge="recipe/soak", soak=seconds / SECONDS_PER_DAY)


class WaterSection(Section):
    """Water in the must."""

    def __init__(self, acts: Acts, display: Display) -> None:
        super().__init__("", acts, display, "recipe.water")
        self.water = WaterField(display)
        self.water.set_hint("Water added to juice and honey; 0 for none. You can type a weight too.")
        self.body.addLayout(labelled("Water", self.water))
        acts.watch(self.water)
        self.water.committed.connect(self._change)

    def show_batch(self, batch: Batch) -> None:
        self.water.show_si(batch.recipe.water * WATER_VOLUME)

    def _change(self, room: float) -> None:
        text = f"water: {self._display.text_for_editing(room, Kind.VOLUME)}"
        self._acts.do(text, edits.change_recipe, merge="recipe/water", water=room / WATER_VOLUME)


class YeastSection(Section):
    """The yeast, by what it can, and how much of it."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        super().__init__("Yeast", acts, display, "recipe.yeast")
        self._catalogue = catalogue
        self._key, self._learning = "", Learning()
        self.choice = ChoiceField(tuple((key, row.name) for key, row in catalogue.yeasts.items()))
        self.choice.setAccessibleName("Yeast")
        self.text, self.usual = small_text(), small_text()
        self.usual.setWordWrap(False)
        low, high = limits(Yeast, "pitch")
        self.pitch = QuantityField(Kind.MASS, low=low, high=high, units=IN_GRAMS, display=display)
        self.pitch.set_hint("Weight of the dry yeast that you pitch.")
        Ring([self.choice, self.pitch], self.pitch, self)  # a line as those of fruit: a name and how much
        self.body.addWidget(self.choice)
        self.body.addWidget(self.text)
        self.body.addLayout(labelled("Dry yeast", self.pitch, self.usual))
        self.choice.chosen.connect(self._change_key)
        acts.watch(self.pitch)
        self.pitch.committed.connect(self._change_pitch)

    def show_shelf(self) -> None:
        self.choice.set_choices((key, row.name) for key, row in self._catalogue.yeasts.items())
        self._key = ""  # what is told of it may be another by now
        self.show_batch(self._acts.batch)

    def show_batch(self, batch: Batch) -> None:
        yeast = batch.recipe.yeast
        self.choice.show_key(yeast.key)
        self.pitch.show_si(yeast.pitch)
        if yeast.key != self._key or batch.learning is not self._learning:
            self._key, self._learning = yeast.key, batch.learning
            row = self._catalogue.yeasts.get(yeast.key)
            self.choice.setToolTip(sheet(row, self._catalogue, self._display) if row is not None else "")
            self._tell()

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        row = self._catalogue.yeasts.get(outcome.batch.recipe.yeast.key)
        super().show_outcome(outcome, (*findings, *extra_cautions(self._catalogue, row, "recipe.yeast", findings)))
        usual = None if outcome.must is None else NORMAL_PITCH * outcome.must.volume.typical
        self.usual.setText("" if usual is None else f"usual {self._small_mass(_two_figures(usual))}")

    def _small_mass(self, mass: float) -> str:
        return self._display.text_for_editing(mass, Kind.MASS, IN_GRAMS.get(self._display.system))

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self._tell()

    def _tell(self) -> None:
        row = shelf_of(self._acts.batch, self._catalogue).yeasts.get(self._key)
        self.text.setText(yeast_text(row, self._display) if row is not None else "")
        self.text.setVisible(row is not None)

    def _change_key(self, key: str) -> None:
        self._acts.do(f"yeast: {name_of(self._catalogue.yeasts, key)}", edits.change_yeast, key=key)

    def _change_pitch(self, mass: float) -> None:
        text = f"pitch: {self._small_mass(mass)}"
        self._acts.do(text, edits.change_yeast, merge="recipe/pitch", pitch=mass)


class VesselSection(Section):
    """The vessel that must and foam have to fit in."""

    def __init__(self, acts: Acts, display: Display) -> None:
        super().__init__("", acts, display, "recipe.vessel")
        _, high = limits(type(acts.batch.recipe), "vessel")
        self.vessel = QuantityField(
            Kind.VOLUME, low=_LEAST_VESSEL, high=high, optional=True, placeholder="not given", display=display
        )
        self.vessel.set_hint("Room of the fermenter, to see whether must and foam fit. You can leave it empty.")
        self.body.addLayout(labelled("Vessel", self.vessel))
        acts.watch(self.vessel)
        self.vessel.committed.connect(self._change)

    def show_batch(self, batch: Batch) -> None:
        self.vessel.show_si(batch.recipe.vessel)

    def _change(self, room: float | None) -> None:
        told = "not given" if room is None else self._display.text_for_editing(room, Kind.VOLUME)
        self._acts.do(f"vessel: {told}", edits.change_recipe, merge="recipe/vessel", vessel=room)


class NotesSection(Section):
    """Whatever else is worth remembering."""

    def __init__(self, acts: Acts, display: Display) -> None:
        super().__init__("Notes", acts, display)
        self.notes = NotesEdit()
        self.notes.setAccessibleName("Notes")
        self.body.addWidget(self.notes)
        acts.watch(self.notes)
        self.notes.edited.connect(self._change)

    def show_batch(self, batch: Batch) -> None:
        self.notes.show_text(batch.notes)

    def _change(self, text: str) -> None:
        self._acts.do("notes", edits.describe, merge="notes", notes=text)


def _two_figures(number: float) -> float:
    """A number as roughly as a rule of thumb is meant."""
    return round(number, 1 - math.floor(math.log10(number))) if number > 0.0 else 0.0
