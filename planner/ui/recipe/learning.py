"""What earlier batches taught, behind a heading that says from how many, with the switch that leaves it out."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal

from planner.document import edits
from planner.document.batch import Batch
from planner.learning.learnt_text import told
from planner.learning.pool import of_recipe
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.folded import FoldedSection
from planner.ui.recipe.section import small_text
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.remarks import in_words


class LearningSection(FoldedSection):
    """What the batch goes by, of what earlier ones taught. Signal: `wanted` when their window is asked for."""

    wanted = Signal()

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        super().__init__("Earlier batches", acts, display)
        self._catalogue = catalogue
        self.text = small_text()
        self.used = CheckBox("Go by what earlier batches taught")
        self.used.setToolTip("Without the tick, every figure goes by the shelf alone.")
        self.used.clicked.connect(self._switch)
        self.open = Button("Learn from earlier batches…")
        self.open.setToolTip("Read your earlier batches, and see what each of them tells")
        self.open.clicked.connect(self.wanted)
        self.inside.addWidget(self.text)
        self.inside.addWidget(self.used)
        self.inside.addWidget(self.open, 0, Qt.AlignmentFlag.AlignLeft)

    def show_batch(self, batch: Batch) -> None:
        learning = of_recipe(batch)
        counted = sum(not source.left_out for source in learning.sources)
        learnt = f"learnt from {counted} batch{'' if counted == 1 else 'es'}" if learning.values else "nothing learnt"
        self.summary.show_text(learnt if learning.used or not learning.values else "left out")
        self.used.setChecked(learning.used)
        self.used.setVisible(bool(learning.values))
        self.text.setText("\n".join(in_words(words, self._display) for words in told(batch, self._catalogue)))

    def set_display(self, display: Display) -> None:
        super().set_display(display)
        self.show_batch(self._acts.batch)

    def _switch(self, used: bool) -> None:
        self._acts.do("go by earlier batches" if used else "leave out earlier batches", edits.go_by_learning, used)
