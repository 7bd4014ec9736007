"""House rules: what those who will drink it do not want, behind a heading that says which hold."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QCheckBox

from planner.document import edits
from planner.document.batch import Batch
from planner.recipe.house_rules import NAMES
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.folded import FoldedSection
from planner.ui.recipe.section import labelled, small_text
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import QuantityField
from planner.units import Kind

_HINTS = {
    "no_sulphite": "No metabisulphite, before or after the ferment. Yeast makes a little sulphite of its own.",
    "no_sorbate": "No potassium sorbate.",
    "natural_only": "Only what is found in nature and made without synthesis. No sugar alcohols made by hydrogenation, no "
    "synthetic malic acid, no ammonium salts.",
    "no_added_acid": "No acid stirred in; acid of the fruit stays.",
    "no_allergens": "No lactose, no sulphite, nothing that a label must warn of.",
    "no_heat": "Nothing is pasteurised.",
}


class RulesSection(FoldedSection):
    """What is refused. Everything in the program that offers something obeys."""

    def __init__(self, acts: Acts, display: Display) -> None:
        super().__init__("House rules", acts, display, "recipe.rules")
        self.checks: dict[str, QCheckBox] = {}
        for name, hint in _HINTS.items():
            box = CheckBox(NAMES[name][0].upper() + NAMES[name][1:])
            box.setToolTip(hint)
            box.setProperty("rule", name)
            box.clicked.connect(self._change)
            self.checks[name] = box
            self.inside.addWidget(box)
        self.ceiling = QuantityField(
            Kind.STRENGTH, low=0.0, high=0.25, optional=True, placeholder="any strength", display=display
        )
        self.ceiling.set_hint("The most alcohol you accept. A ceiling, not a target.")
        self.inside.addLayout(labelled("Not above", self.ceiling))
        text = small_text()
        text.setText("Ways to finish, doses and feeds keep these rules, and say what they left out and why.")
        self.inside.addWidget(text)
        acts.watch(self.ceiling)
        self.ceiling.committed.connect(self._change_ceiling)

    def show_batch(self, batch: Batch) -> None:
        rules = batch.recipe.rules
        for name, box in self.checks.items():
            box.setChecked(getattr(rules, name))
        self.ceiling.show_si(rules.alcohol_ceiling)
        held = [NAMES[name] for name in self.checks if getattr(rules, name)]
        if rules.alcohol_ceiling is not None:
            held.append(f"up to {self._display.percent_vol(rules.alcohol_ceiling)}")
        self.summary.show_text(", ".join(held) or "no restrictions")

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self.show_batch(self._acts.batch)

    def _change(self, checked: bool) -> None:
        name = str(self.sender().property("rule"))
        changes: dict[str, Any] = {name: checked}
        word = "house rule" if checked else "house rule lifted"
        self._acts.do(f"{word}: {NAMES[name]}", edits.change_rules, **changes)

    def _change_ceiling(self, ceiling: float | None) -> None:
        told = "any strength" if ceiling is None else f"not above {self._display.percent_vol(ceiling)}"
        self._acts.do(f"house rule: {told}", edits.change_rules, merge="recipe/ceiling", alcohol_ceiling=ceiling)
