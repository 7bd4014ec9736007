"""The wish: what is wanted of must and mead, which amounts may be worked out for it, and what comes of that."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout

from planner.document import edits
from planner.document.batch import Batch, Wish
from planner.document.values import limits
from planner.model import taste
from planner.planning.rounding import weighable
from planner.planning.solve import Answer, solve_wish
from planner.planning.unmet_targets import unmet
from planner.reference.catalogue import Catalogue
from planner.ui.display import SPACE, Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.folded import FoldedSection
from planner.ui.recipe.section import labelled, small_text
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.remarks import Remarks
from planner.units import Kind, System
from planner.wording.finding import Finding, Level
from planner.wording.phrases import say

SWEETNESS = ((None, "not set"), *((value, name) for name, value in taste.SWEETNESSES.items()))
BODIES = ((None, "not set"), *((value, name) for name, value in taste.BODIES.items()))
"""Sweetnesses and bodies to choose from, by name."""

_GRAMS = {System.METRIC: "g/L", System.US: "g/L"}

_TARGETS = (
    ("volume", "Must", Kind.VOLUME, "How much must you want."),
    ("gravity", "Starting gravity", Kind.GRAVITY, "Gravity of the must at pitching."),
    (
        "alcohol",
        "Alcohol",
        Kind.STRENGTH,
        "How strong the finished mead should be: a figure, or light, moderate, strong.",
    ),
    (
        "finish",
        "Finishing gravity",
        Kind.GRAVITY,
        "Gravity of the mead. With a strength beside it, the ferment is to be stopped there.",
    ),
    (
        "acid",
        "Acid, as tartaric",
        Kind.CONCENTRATION,
        "How sharp the finished mead should be: its titratable acid, or soft, fresh, crisp, sharp.",
    ),
)

_OPEN = {"fruit": "Fruit", "juice": "Juice", "honey": "Honey", "water": "Water"}

_ANY = "any"


class WishSection(FoldedSection):
    """Targets and open amounts; one press of a button works the recipe out, or says what is at odds.

    Signal: `routes_wanted` when the ways to the glass are to be compared.
    """

    routes_wanted = Signal()

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        super().__init__("Targets", acts, display, "recipe.wish")
        self._catalogue = catalogue
        self._answer: Answer | None = None
        self._worked_on: Batch | None = None
        self.targets: dict[str, QuantityField] = {}
        for name, caption, kind, hint in _TARGETS:
            self._add_target(name, caption, kind, hint)
        self.sweetness = ChoiceField(SWEETNESS)
        self.inside.addLayout(labelled("In the glass", self.sweetness))
        self.sweetness.setToolTip("How sweet it should taste. The ways to finish get there differently.")
        self.thickness = ChoiceField(BODIES)
        self.inside.addLayout(labelled("Body", self.thickness))
        self.thickness.setToolTip(
            "The least body you want. The ways to finish stir in what gives body where sugar does not."
        )
        self.open: dict[str, QCheckBox] = {}
        self._add_open()
        self._add_buttons()
        self.answer_remarks = Remarks(display)
        self.inside.addWidget(self.answer_remarks)
        self.nearest = Button("Use the nearest that works")
        self.nearest.hide()
        self.nearest.clicked.connect(self._take_nearest)
        self.inside.addWidget(self.nearest)
        self.sweetness.chosen.connect(self._change_sweetness)
        self.thickness.chosen.connect(self._change_body)

    def _add_target(self, name: str, caption: str, kind: Kind, hint: str) -> None:
        low, high = limits(Wish, name)
        low = 1e-6 if name == "volume" else low
        field = QuantityField(
            kind, low=low, high=high, optional=True, placeholder=_ANY, display=self._display,
            units=_GRAMS if kind == Kind.CONCENTRATION else None, words=partial(self._meant, name),
        )  # fmt: skip
        field.set_hint(hint)
        field.setProperty("target", name)
        field.committed.connect(self._change_target)
        self._acts.watch(field)
        self.targets[name] = field
        self.inside.addLayout(labelled(caption, field))

    def _meant(self, name: str, words: str) -> float | None:
        """What a word of a taster stands for."""
        what = {"alcohol": "strength", "acid": "sharpness"}.get(name)
        sweet = self._acts.batch.recipe.wish.sweetness or 0.0
        return None if what is None else taste.meant(what, words, sweetness=sweet)

    def _add_open(self) -> None:
        text = small_text()
        text.setText("Tick what may change; the recipe gives the rest:")
        self.inside.addWidget(text)
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        for index, (name, caption) in enumerate(_OPEN.items()):
            box = CheckBox(caption)
            box.setProperty("amount", name)
            box.setToolTip(f"Whether the {caption.casefold()} may be changed to reach your targets.")
            box.clicked.connect(self._change_open)
            self.open[name] = box
            grid.addWidget(box, 0, index)
        grid.setColumnStretch(len(_OPEN), 1)
        self.inside.addLayout(grid)

    def _add_buttons(self) -> None:
        self.work = Button("Work it out")
        self.work.setToolTip("Find the amounts that reach your targets. One undo takes them back.")
        self.routes = Button("Compare ways to finish…")
        self.routes.setToolTip("Compare ways to this sweetness and strength side by side.")
        self.work.clicked.connect(self._work_out)
        self.routes.clicked.connect(self.routes_wanted)
        row = QHBoxLayout()
        row.addWidget(self.work)
        row.addWidget(self.routes)
        row.addStretch(1)
        self.inside.addLayout(row)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        wish = batch.recipe.wish
        for name, field in self.targets.items():
            field.show_si(getattr(wish, name))
        named = {value for value, _ in SWEETNESS}
        if wish.sweetness not in named:
            told = f"{self._display.grams_per_litre(wish.sweetness or 0.0)} as sugar"
            self.sweetness.set_choices((*SWEETNESS, (wish.sweetness, told)))
        self.sweetness.show_key(wish.sweetness)
        if wish.body not in {value for value, _ in BODIES}:
            self.thickness.set_choices((*BODIES, (wish.body, self._body_text(wish.body or 0.0))))
        self.thickness.show_key(wish.body)
        for name, box in self.open.items():
            box.setChecked(name in wish.left_open)
        self.summary.show_text(self._told(wish))
        if self._worked_on is not None and batch is not self._worked_on:
            self._show_answer(None)

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self.answer_remarks.set_display(display)
        self.show_batch(self._acts.batch)

    def _told(self, wish: Wish) -> str:
        shown: dict[str, Callable[[float], str]] = {
            "volume": self._display.volume, "gravity": self._display.gravity, "alcohol": self._display.percent_vol,
            "finish": self._display.gravity, "acid": self._display.grams_per_litre,
        }  # fmt: skip
        parts = [shown[name](value) for name, _, _, _ in _TARGETS if (value := getattr(wish, name)) is not None]
        sweet = dict(SWEETNESS).get(wish.sweetness)
        if wish.sweetness is not None:
            parts.append(sweet or self._display.grams_per_litre(wish.sweetness))
        if wish.body is not None:
            parts.append(dict(BODIES).get(wish.body) or self._body_text(wish.body))
        return ", ".join(parts) or "none set"

    def _body_text(self, body: float) -> str:
        return f"{self._display.number(1e3 * body, 2)}{SPACE}mPa·s"

    # --- editing

    def _change_target(self, value: float | None) -> None:
        field = self.sender()
        assert isinstance(field, QuantityField)
        name = str(field.property("target"))
        caption = next(c for n, c, _, _ in _TARGETS if n == name)
        told = _ANY if value is None else field.text()
        self._acts.do(
            f"target, {caption.casefold()}: {told}", edits.change_wish, merge=f"recipe/wish/{name}", **{name: value}
        )

    def _change_sweetness(self, value: object) -> None:
        told = dict(SWEETNESS).get(value if isinstance(value, float) else None, "as before")
        self._acts.do(f"target, in the glass: {told}", edits.change_wish, sweetness=value)

    def _change_body(self, value: object) -> None:
        told = dict(BODIES).get(value if isinstance(value, float) else None, "as before")
        self._acts.do(f"target, body: {told}", edits.change_wish, body=value)

    def _change_open(self, _checked: bool) -> None:
        chosen = tuple(name for name, box in self.open.items() if box.isChecked())
        self._acts.do("what may change", edits.change_wish, left_open=chosen)

    # --- working out

    def _work_out(self) -> None:
        batch = self._acts.batch
        answer = solve_wish(batch, self._catalogue)
        if answer.kind == "solved" and answer.batch is not None:
            # The menu of undo names the act; what it takes stands in the remark.
            self._acts.do("work out the targets", _taken, answer.batch)
        self._worked_on = self._acts.batch
        self._show_answer(answer)

    def _take_nearest(self) -> None:
        answer = self._answer
        if answer is not None and answer.batch is not None:
            self._acts.do("use the nearest that works", _taken, answer.batch)

    def _show_answer(self, answer: Answer | None) -> None:
        self._answer = answer
        found: tuple[Finding, ...] = ()
        if answer is not None:
            level = Level.WARNING if answer.kind == "conflict" else Level.NOTE
            found = (Finding(level, "recipe.wish", answer.sentence),)
            if answer.kind == "solved" and answer.batch is not None:
                lacking = unmet(answer.batch, self._catalogue)
                found += tuple(Finding(Level.NOTE, "recipe.wish", told) for told in lacking)
            if answer.nearest is not None:
                found = (*found, Finding(Level.NOTE, "recipe.wish", answer.nearest))
            elif answer.kind == "range" and answer.batch is not None:
                found = (*found, Finding(Level.NOTE, "recipe.wish", say("You can take one in the middle of it below.")))
        self.answer_remarks.show_findings(found)
        can_take = answer is not None and answer.kind != "solved" and answer.batch is not None
        self.nearest.setText("Take one in the middle" if answer is not None and answer.kind == "range" else
                             "Use the nearest that works")  # fmt: skip
        self.nearest.setVisible(can_take)


def _taken(before: Batch, after: Batch) -> Batch:
    """An edit that takes a batch as worked out, in amounts that can be weighed."""
    return weighable(after, before)
