"""The adjustment pane: where the finished mead stands, what is stirred in, what that changes, and whether it stays still."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from html import escape
from itertools import pairwise
from typing import Any

from PySide6.QtCore import QPoint, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from planner.adjusting.additions import given_doses
from planner.adjusting.mead import left_of
from planner.adjusting.stabilisation import logged_as_stabilised
from planner.document import edits
from planner.document.batch import Addition, Batch
from planner.document.bottled import bottled
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.additions import Additions, first_mass
from planner.ui.adjust.base_text import stillness
from planner.ui.adjust.bench import weighing_sheet
from planner.ui.adjust.change import ChangeTable
from planner.ui.adjust.labels import Labels
from planner.ui.adjust.mead_now import MeadNow
from planner.ui.adjust.tastings import TastingList
from planner.ui.adjust.tool import Fold, Tool, quiet
from planner.ui.adjust.tools import Tools
from planner.ui.adjust.weighing import weighing
from planner.ui.asking import Ask, AskWithDialogs
from planner.ui.display import Display
from planner.ui.log.when import now
from planner.ui.store import BatchStore
from planner.ui.theme import Colours, set_tone
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.label import Label, Markup
from planner.ui.widgets.one_stop import OneStop
from planner.ui.widgets.remarks import Remark, Remarks, of_place, small
from planner.ui.widgets.side_by_side import Beside
from planner.ui.widgets.upright import Upright
from planner.units import Kind
from planner.wording.finding import Level
from planner.wording.phrases import in_a_sentence

_TWO_COLUMNS = 84
"""Width from which before and after stand beside what is entered. [figures]"""
_WIDEST = 66
"""Width beyond which fields and lines of text are no easier to read. [figures]"""
_MARGIN = 10
_HANGING = "margin: 0px 0px 1px 12px; text-indent: -12px"
_ALL_IN = "Nothing more: the log says that all of it is stirred in."
_WHAT = {
    "volume": "volume of the mead",
    "gravity": "gravity of the mead",
    "serving_temperature": "serving temperature",
    "stabilised": "stabilising",
    "stabilising": "no stabilising planned",
}


class _Scroll(Upright):
    """Brings what gets the focus into sight, and keeps it there when the room shrinks below it."""

    def __init__(self, content: QWidget) -> None:
        super().__init__(content)
        self._opened: QWidget | None = None
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.setInterval(0)
        self._settled.timeout.connect(self._bring)

    def follow(self) -> None:
        """Bring what has the focus into sight as soon as the layout has settled."""
        self._settled.start()

    def show_whole(self, part: QWidget) -> None:
        """Bring as much of a part into sight as there is room for, its upper end in any case, once it is laid out."""
        self._opened = part
        self._settled.start()

    def _bring_opened(self) -> None:
        part, content = self._opened, self.widget()
        self._opened = None
        if part is None or content is None or not content.isAncestorOf(part):
            return
        top = part.mapTo(content, QPoint()).y()
        bar, room = self.verticalScrollBar(), self.viewport().height()
        below = top + part.height() + _MARGIN - room
        bar.setValue(min(max(bar.value(), below), max(top - _MARGIN, 0)))

    def _focused(self) -> QWidget | None:
        focused, content = QApplication.focusWidget(), self.widget()
        return focused if focused is not None and content is not None and content.isAncestorOf(focused) else None

    def _bring(self) -> None:
        if self._opened is not None:
            self._bring_opened()
            return
        focused = self._focused()
        if focused is not None:
            self.ensureWidgetVisible(focused, 0, 8)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        focused = self._focused()
        if focused is not None and 0 <= focused.mapTo(self.viewport(), QPoint()).y() < event.oldSize().height():
            self.follow()


class AdjustPane(QWidget):
    """The finished mead, its additions and its notes. Before and after stay in sight below while the rest scrolls.

    Signals: `recipe_wanted` when there is nothing to adjust and the person follows the way to the recipe; `tool_made` when
    a tool was opened for the first time.
    """

    recipe_wanted = Signal()
    tool_made = Signal()

    def __init__(
        self,
        store: BatchStore,
        catalogue: Catalogue,
        display: Display,
        colours: Colours,
        parent: QWidget | None = None,
        clock: Callable[[], datetime] = now,
        ask: Ask | None = None,
    ) -> None:
        super().__init__(parent)
        self._store, self._basis, self._display, self._colours = store, catalogue, display, colours
        self._catalogue = catalogue
        """The shelf, with the person's own ingredients."""
        self._batch: Batch | None = None
        self._outcome: Outcome | None = None
        self.mead_now = MeadNow(display)
        self.measured = Fold(
            "Other measurements", _measured, display, "Alcohol, acid, pH, what was taken out, and the vessel."
        )
        self.additions = Additions(catalogue, display)
        self.labels = Labels(catalogue, display)
        self.refused = Remark()
        self.weighed = Markup()
        self.rough = Label("Spoons and cups are approximate; the weight counts.")
        self.copy = quiet("Copy", "Copies what to weigh, to take it to the bench.")
        self.copy.setAccessibleName("Copy what to weigh")
        self.verdict = Remark()
        self.doubts = Remarks(display)
        self.tastings = TastingList(store, display, clock)
        self.table = ChangeTable(display)
        self.tools = Tools(catalogue, display, ask or AskWithDialogs(self), clock)
        self.still = Fold(
            "Pressure and ways to stability", partial(_still, catalogue), display, "And the closure for it."
        )
        self._arrange()
        self._connect()
        self._chain_focus()

    def _arrange(self) -> None:
        self.weighed.setWordWrap(True)
        self.weighed.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.weighed.setAccessibleName("What to weigh")
        self.rough.setWordWrap(True)
        self.rough.setFont(small(self.rough.font()))
        set_tone(self.rough, "dim")
        self.refused.hide()
        OneStop([fold.heading for fold in (self.measured, *self.tools.folds, self.still)], self)
        self._weighing = QWidget()
        scales = QVBoxLayout(self._weighing)
        scales.setContentsMargins(0, 0, 0, 0)
        scales.setSpacing(4)
        scales.addSpacing(10)
        row = QHBoxLayout()
        row.addWidget(_heading("What to weigh"), 1)
        row.addWidget(self.copy)
        scales.addLayout(row)
        scales.addWidget(self.weighed)
        scales.addWidget(self.rough)
        self._weighing.hide()
        content = QWidget()
        content.setMaximumWidth(_WIDEST * self.fontMetrics().horizontalAdvance("0"))
        column = QVBoxLayout(content)
        column.setContentsMargins(_MARGIN, 4, _MARGIN, _MARGIN)
        column.setSpacing(4)
        sections: tuple[tuple[str, tuple[QWidget, ...]], ...] = (
            ("Mead now", (self.mead_now, self.measured)),
            ("Additions", (self.additions, self.labels, self.refused, self._weighing)),
            ("Find and try", (self.tools,)),
            ("Stability in the bottle", (self.verdict, self.doubts, self.still)),
            ("Tasting notes", (self.tastings,)),
        )
        for heading, parts in sections:
            if column.count():
                column.addSpacing(10)
            column.addWidget(_heading(heading))
            for part in parts:
                column.addWidget(part)
        column.addStretch(1)
        self.area = _Scroll(content)
        self.foot = QWidget()
        below = QVBoxLayout(self.foot)
        below.setContentsMargins(_MARGIN, 4, _MARGIN, 8)
        below.setSpacing(2)
        self.foot_heading = Disclosure("Before → after")
        font = small(self.foot_heading.font())
        font.setBold(True)
        self.foot_heading.setFont(font)
        self.foot_heading.setChecked(True)
        self.foot_heading.setToolTip("Fold it away to see more of what stands above.")
        self.foot_heading.toggled.connect(self.table.setVisible)
        below.addWidget(self.foot_heading)
        below.addWidget(self.table)
        below.addStretch(1)
        self._halves = Beside(self.area, self.foot, self, _TWO_COLUMNS)
        self._show_foot(False)

    def _connect(self) -> None:
        self.mead_now.entered.connect(self._enter)
        self.mead_now.recipe_wanted.connect(self.recipe_wanted)
        lines = self.additions
        lines.added.connect(self._add)
        lines.changed.connect(self._change)
        lines.removed.connect(self._remove)
        self.copy.clicked.connect(self._copy)
        self.tastings.count_changed.connect(self._chain_focus)
        for fold in (self.measured, self.still):
            fold.edited.connect(self._edit_by)
            fold.made.connect(self.tool_made)
            fold.toggled.connect(self._fold)
        for part in (self.labels, self.tools):
            part.edited.connect(self._edit_by)
        self.tools.count_changed.connect(self._chain_focus)
        self.tools.made.connect(self.tool_made)
        self.tools.opened.connect(self._show_opened)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._end_step)

    # --- Qt

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._halves.fit(event.size().width())

    def minimumSizeHint(self) -> QSize:
        return QSize(self._halves.narrowest(), super().minimumSizeHint().height())

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show what was decided and measured."""
        former, self._batch = self._batch, batch
        shelf = shelf_of(batch, self._basis)
        if shelf is not self._catalogue:
            self._catalogue = shelf
            self.additions.set_catalogue(shelf)
        if (
            former is None
            or batch.recipe.rules != former.recipe.rules
            or batch.adjustment is not former.adjustment
            or batch.log is not former.log
        ):
            self._show_standing(batch)
        if former is None or batch.adjustment is not former.adjustment:
            self.additions.show_additions(batch.adjustment.additions, self._volume())
            if former is None or len(batch.adjustment.additions) != len(former.adjustment.additions):
                self._chain_focus()
        if former is None or batch.adjustment is not former.adjustment or batch.log is not former.log:
            self._show_weighing()
        if former is None or batch.tastings is not former.tastings or batch.log is not former.log:
            self.tastings.show_tastings(batch.tastings, bottled(batch))
        if batch is not former:
            self._show_folds()

    def show_outcome(self, outcome: Outcome) -> None:
        """Show what follows from it."""
        self._outcome = outcome
        self.mead_now.show_outcome(outcome)
        self.additions.show_outcome(outcome, self._volume())
        self.doubts.show_findings(of_place(outcome.findings, "adjustment", "adjustment.additions"))
        self._show_verdict()
        self._show_foot(outcome.mead is not None and bool(outcome.mead.effects))
        if outcome.mead is not None:
            adjustment = outcome.batch.adjustment
            self.table.show_mead(outcome.mead, adjustment.serving_temperature, adjustment.vessel)
        self._show_folds()
        self.set_stale(False)

    def _show_folds(self) -> None:
        """What lies in the folds follows once it is worked out for this very batch."""
        batch, outcome = self._batch, self._outcome
        if batch is not None:
            for part in (self.measured, self.still, self.labels, self.tools):
                part.show_state(batch, outcome)

    def set_display(self, display: Display) -> None:
        """Other units, or another scale of gravity."""
        self._display = display
        for part in (self.mead_now, self.measured, self.additions, self.labels, self.tools, self.doubts, self.still, self.tastings,
                     self.table):  # fmt: skip
            part.set_display(display)
        self._show_verdict()
        self._show_weighing()

    def set_colours(self, colours: Colours) -> None:
        """Another theme. All parts follow the palette of the program."""
        self._colours = colours

    def set_stale(self, stale: bool) -> None:
        """Dim what follows from the batch while it is being worked out anew."""
        self.mead_now.set_stale(stale)
        self.table.set_stale(stale)

    def _volume(self) -> float | None:
        """Volume of the mead before the additions, less what was taken out: measured, else predicted. [m^3]"""
        if self._batch is not None and self._batch.adjustment.volume is not None:
            return float(left_of(self._batch.adjustment.volume, self._batch.adjustment.drunk))
        mead = self._outcome.mead if self._outcome else None
        return mead.before.volume.typical if mead else None

    def _show_verdict(self) -> None:
        told = self._outcome is not None and not self._outcome.is_pending
        verdict = stillness(self._outcome, self._display) if told and self._outcome is not None else None
        self.verdict.setVisible(verdict is not None)
        if verdict is not None:
            self.verdict.show_finding(verdict.level, verdict.text)

    def _show_standing(self, batch: Batch) -> None:
        self.mead_now.show_adjustment(batch.adjustment, batch.recipe.rules, logged_as_stabilised(batch))

    def _show_weighing(self) -> None:
        lines = self._to_weigh()
        self.weighed.setText("".join(f'<p style="{_HANGING}">{escape(line)}</p>' for line in lines))
        self._weighing.setVisible(bool(lines))
        self.rough.setVisible(bool(lines) and lines != (_ALL_IN,))

    def _to_weigh(self) -> tuple[str, ...]:
        additions = self._batch.adjustment.additions if self._batch else ()
        given = given_doses(self._batch.log.readings) if self._batch else {}
        lines = weighing(additions, self._catalogue.additives, self._display, given)
        planned = any(line.mass > 0.0 for line in additions)
        return lines if lines or not planned or not given else (_ALL_IN,)

    def _copy(self) -> None:
        """Put what to weigh on the clipboard, with what it is for and whether it keeps still."""
        if self._batch is not None:
            doubts = of_place(self._outcome.findings, "adjustment", "adjustment.additions") if self._outcome else ()
            sheet = weighing_sheet(self._batch, self._volume(), self._to_weigh(), doubts, self._display)
            QApplication.clipboard().setText(sheet)

    def _show_foot(self, shown: bool) -> None:
        self._halves.rule.setVisible(shown)
        self.foot.setVisible(shown)

    def _chain_focus(self) -> None:
        """Tab goes from top to bottom, also through lines that came later."""
        above, below = (
            (self.mead_now, self.measured, self.additions, self.labels),
            (self.tools, self.still, self.tastings),
        )
        parts = [part for section in above for part in section.focus_chain()] + [self.copy]
        parts += [*(part for section in below for part in section.focus_chain()), self.foot_heading]
        for one, following in pairwise(parts):
            QWidget.setTabOrder(one, following)

    # --- entering

    def _edit(self, make: Callable[[Batch], Batch], text: str, merge_key: str = "") -> None:
        """Make an edit, or say below the additions why it is refused."""
        batch = self._store.batch
        try:
            after = make(batch)
        except edits.EditRefused as refusal:
            self.refused.show_finding(Level.ERROR, str(refusal))
            self.refused.show()
            self._show_standing(batch)
            self.additions.restore()
            return
        self.refused.hide()
        self._store.edit(after, text, merge_key)

    def _edit_by(self, make: object, text: str, merge_key: str) -> None:
        assert callable(make)
        self._edit(make, text, merge_key)

    def _fold(self, is_open: bool) -> None:
        self._chain_focus()
        fold = self.sender()
        if is_open and isinstance(fold, Fold):
            self.area.show_whole(fold)

    def _show_opened(self, fold: object) -> None:
        """Bring a tool into sight that was just opened."""
        assert isinstance(fold, Fold)
        self.area.show_whole(fold)

    def _enter(self, name: str, value: object) -> None:
        change: dict[str, Any] = {name: value}
        self._edit(partial(edits.change_adjustment, **change), _WHAT[name], f"adjustment/{name}")

    def _add(self, key: object) -> None:
        row = self._catalogue.additive(str(key))
        addition = Addition(key=row.key, mass=first_mass(row.group, self._volume(), self._display))
        self._edit(partial(edits.add_addition, addition=addition), f"add {in_a_sentence(row.name)}")

    def _change(self, index: int, changes: dict[str, Any]) -> None:
        if "key" in changes:
            row = self._catalogue.additive(str(changes["key"]))
            self._edit(partial(edits.change_addition, index=index, **changes), f"{in_a_sentence(row.name)} instead")
        elif changes:
            shown = self._display.text_for_editing(changes["mass"], Kind.MASS)
            text = f"{shown} of {self._name(index)}"
            self._edit(partial(edits.change_addition, index=index, **changes), text, f"additions/{index}/mass")

    def _remove(self, index: int) -> None:
        self._edit(partial(edits.remove_addition, index=index), f"remove {self._name(index)}")

    def _name(self, index: int) -> str:
        addition = self._batch.adjustment.additions[index] if self._batch else None
        row = self._catalogue.additives.get(addition.key) if addition else None
        return in_a_sentence(row.name) if row else "an addition"

    def _end_step(self, _old: object, _new: object) -> None:
        """Typing in one field is one step to undo; another visit to it is another."""
        self._store.end_merging()
        self.area.follow()


def _heading(text: str) -> Label:
    label = Label(text)
    font = small(label.font())
    font.setBold(True)
    label.setFont(font)
    return label


# Loaded when they are first wanted.


def _measured(display: Display) -> Tool:
    from planner.ui.adjust.measured import Measured

    return Measured(display)


def _still(catalogue: Catalogue, display: Display) -> Tool:
    from planner.ui.adjust.stability import KeepStill

    return KeepStill(catalogue, display)
