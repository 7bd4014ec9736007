"""The recipe pane: what goes into the fermenter, what is done to it, and at its foot what should come of it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.display import Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.bottling import BottlingSection, PricesSection
from planner.ui.recipe.feeding import FeedingSection
from planner.ui.recipe.fields import NameField
from planner.ui.recipe.learning import LearningSection
from planner.ui.recipe.lines import FruitSection, HoneySection
from planner.ui.recipe.results import Results
from planner.ui.recipe.rules import RulesSection
from planner.ui.recipe.section import Section
from planner.ui.recipe.single_row import (
    NotesSection,
    PreparationSection,
    VesselSection,
    WaterSection,
    YeastSection,
)
from planner.ui.recipe.step_feeding import StepFeedingSection
from planner.ui.recipe.targets import WishSection
from planner.ui.recipe.temperature import TemperatureSection
from planner.ui.recipe.texts import nitrogen_fed, nitrogen_need
from planner.ui.store import BatchStore
from planner.ui.theme import Colours
from planner.ui.widgets.button import Button
from planner.ui.widgets.one_stop import OneStop
from planner.ui.widgets.remarks import Remarks
from planner.ui.widgets.side_by_side import Beside
from planner.ui.widgets.upright import Upright
from planner.wording.finding import error
from planner.wording.phrases import literal

MARGIN = 10
"""Between the content and the edges of the pane. [px]"""

_TWO_COLUMNS = 74
"""Width from which results stand beside what is entered. [figures]"""

_UNBOUNDED = (1 << 24) - 1
"""Qt's own bound of sizes. [px]"""

FOOT_SHARE = 0.6
"""The most of the pane's height that the results may take; beyond it they scroll. [-]"""

_LINES_ABOVE, _LINES_BELOW = 12, 5
"""Height that is left for what is entered in a low pane, and for the results in any. [lines]"""


class RecipePane(QWidget):
    """Shows the recipe of the store's batch and edits it.

    Signals: `routes_wanted`, `learning_wanted` and `schedule_wanted` when the window of one of them is asked for.
    """

    routes_wanted = Signal()
    learning_wanted = Signal()
    schedule_wanted = Signal()

    def __init__(
        self, store: BatchStore, catalogue: Catalogue, display: Display, colours: Colours, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._catalogue, self._display, self._colours = catalogue, display, colours
        self._batch: Batch | None = None
        self._outcome: Outcome | None = None
        self._acts = Acts(store, self)
        self._acts.refused.connect(self._tell_refusal)
        self.name = NameField()
        self.name.setAccessibleName("Name of the batch")
        self.name.set_hint("Name of the batch")
        self.name.committed.connect(self._rename)
        self.refusal = Remarks(display)
        self.fruit = FruitSection(self._acts, catalogue, display)
        self.preparation = PreparationSection(self._acts, display)
        self.honey = HoneySection(self._acts, catalogue, display)
        self.water = WaterSection(self._acts, display)
        self.yeast = YeastSection(self._acts, catalogue, display)
        self.temperature = TemperatureSection(self._acts, catalogue, display)
        self.feeding = FeedingSection(self._acts, catalogue, display)
        self.step_feeding = StepFeedingSection(self._acts, catalogue, display)
        self.vessel = VesselSection(self._acts, display)
        self.notes = NotesSection(self._acts, display)
        self.wish = WishSection(self._acts, catalogue, display)
        self.rules = RulesSection(self._acts, display)
        self.learning = LearningSection(self._acts, catalogue, display)
        self.bottling = BottlingSection(self._acts, catalogue, display)
        self.prices = PricesSection(self._acts, catalogue, display, self.bottling)
        self.sections: tuple[Section, ...] = (
            self.wish, self.rules, self.learning, self.fruit, self.preparation, self.honey, self.water, self.yeast, self.temperature,
            self.feeding, self.step_feeding, self.vessel, self.bottling, self.prices, self.notes,
        )  # fmt: skip
        self.schedule = Button("Schedule…")
        self.schedule.setToolTip("What is done when, from thawing to the first open bottle; for a calendar, too.")
        self.schedule.clicked.connect(self.schedule_wanted)
        self.wish.routes_wanted.connect(self.routes_wanted)
        self.learning.wanted.connect(self.learning_wanted)
        self.feeding.opened.connect(self._bring_into_sight)
        self.results = Results(display)
        self._arrange()
        self.schedule.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # Ctrl+D
        OneStop([part.disclosure for part in (self.wish, self.rules, self.learning, self.bottling, self.prices)], self)
        OneStop([self.preparation.frozen, self.preparation.enzyme, self.preparation.whole], self)
        store.loaded.connect(self._to_the_top)
        self.show_batch(store.batch)

    def _arrange(self) -> None:
        inside = QWidget()
        lines = QVBoxLayout(inside)
        lines.setContentsMargins(MARGIN, 6, MARGIN, MARGIN)
        lines.setSpacing(12)
        lines.addWidget(self.name)
        lines.addWidget(self.refusal)
        for section in self.sections:
            lines.addWidget(section)
            if section is self.prices:
                lines.addWidget(self.schedule, 0, Qt.AlignmentFlag.AlignLeft)
        lines.addStretch(1)
        self._lines = Upright(inside, self)
        self._foot_content = QWidget()
        below = QVBoxLayout(self._foot_content)
        below.setContentsMargins(MARGIN, 6, MARGIN, 6)
        below.addWidget(self.results)
        below.addStretch(1)
        self._foot = Upright(self._foot_content, self)
        self._foot_content.installEventFilter(self)
        self._halves = Beside(self._lines, self._foot, self, _TWO_COLUMNS)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show the recipe of a batch; what is the same object as before is left alone."""
        if batch is self._batch:
            return
        before, self._batch = self._batch, batch
        self.name.show_text(batch.name)
        if (before is None or batch.recipe is not before.recipe or batch.notes != before.notes
                or batch.learning is not before.learning
                or batch.adjustment.additions is not before.adjustment.additions):  # fmt: skip
            for section in self.sections:
                section.show_batch(batch)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows from the recipe."""
        self._outcome = outcome
        for section in self.sections:
            section.show_outcome(outcome, outcome.findings)
        batch, must = outcome.batch, outcome.must
        need = None if must is None else nitrogen_need(batch, self._catalogue, must)
        fed = 0.0 if must is None else nitrogen_fed(batch, self._catalogue, must)
        self.results.show_outcome(outcome, need, fed)

    def show_shelf(self) -> None:
        """Offer what the shelf holds now, such as more of the person's own ingredients."""
        for section in self.sections:
            section.show_shelf()

    def set_stale(self, stale: bool) -> None:
        """Dim the results while newer ones are being worked out."""
        self.results.set_stale(stale)

    def set_display(self, display: Display) -> None:
        """Show everything in other units."""
        self._display = display
        self.refusal.set_display(display)
        for section in self.sections:
            section.set_display(display)
        self.results.set_display(display)
        if self._outcome is not None:
            self.show_outcome(self._outcome)

    def set_colours(self, colours: Colours) -> None:
        """Another theme; all that is drawn here follows the palette."""
        self._colours = colours
        self.update()

    def _to_the_top(self) -> None:
        """Another batch is read from its beginning."""
        self._lines.verticalScrollBar().setValue(0)
        self._foot.verticalScrollBar().setValue(0)

    def _bring_into_sight(self, part: object) -> None:
        """Scroll to a part that was just opened: to its end, and no further than to its beginning."""
        if isinstance(part, QWidget):
            content = self._lines.widget()
            assert content is not None
            layout = content.layout()
            assert layout is not None
            layout.activate()
            content.adjustSize()
            below = part.mapTo(content, QPoint(0, part.height()))
            above = part.mapTo(content, QPoint(0, 0))
            self._lines.ensureVisible(0, below.y(), 0, MARGIN)
            self._lines.ensureVisible(0, above.y(), 0, MARGIN)

    # --- editing

    def _rename(self, name: str) -> None:
        self._acts.do(f"name: {name}", edits.describe, name=name)

    def _tell_refusal(self, reason: str) -> None:
        if reason:
            self.name.show_text(self._acts.batch.name)
            for section in self.sections:
                section.restore()
        self.refusal.show_findings((error("recipe", "Not changed. " + literal(reason)),) if reason else ())

    # --- Qt

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._halves.fit(event.size().width())
        self._fit_foot()

    def minimumSizeHint(self) -> QSize:
        return QSize(self._halves.narrowest(), super().minimumSizeHint().height())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._foot_content and event.type() == QEvent.Type.LayoutRequest:
            self._fit_foot()
        return super().eventFilter(watched, event)

    def _fit_foot(self) -> None:
        """Give the results the height they want, as long as enough is left for the lines; beside them, all of it."""
        if self._halves.is_beside:
            self._foot.setMinimumHeight(0)
            self._foot.setMaximumHeight(_UNBOUNDED)
            return
        layout = self._foot_content.layout()
        assert layout is not None
        wanted = layout.totalHeightForWidth(self.width()) if layout.hasHeightForWidth() else layout.sizeHint().height()
        line = self.fontMetrics().lineSpacing()
        most = min(int(FOOT_SHARE * self.height()), self.height() - _LINES_ABOVE * line)
        self._foot.setFixedHeight(min(wanted, max(most, _LINES_BELOW * line)))
