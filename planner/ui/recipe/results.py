"""The foot of the recipe pane: the must, the expected finish, and why it finishes where it does."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.timeline.results import FinishOutcome
from planner.ui import theme
from planner.ui.changes import change_text
from planner.ui.display import SPACE, Display, between
from planner.ui.recipe.fields import SECONDS_PER_DAY
from planner.ui.recipe.section import heading, small_text
from planner.ui.recipe.texts import points
from planner.ui.theme import set_tone
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.label import Label
from planner.ui.widgets.one_stop import OneStop
from planner.ui.widgets.remarks import Remarks, in_words, of_place, small
from planner.ui.widgets.spanbar import SpanRow
from planner.units import Kind
from planner.wording.phrases import tabled

_UNSEEN = 5e-5
"""A part of the gravity that is not even a tenth of a point is not listed. [-]"""

_SHOWN_PARTS = 8

_NOTHING = "–"
"""Stands for a number that there is not, or not yet."""

_NONE_LEFT = 0.05
"""Sugar too little to be told. [kg/m^3]"""


class _Row(NamedTuple):
    """A row of results: its caption, how its number is shown, and what it means."""

    caption: str
    shown: Callable[[Display, Span], str]
    hover: str


def _sugar_left(display: Display, span: Span) -> str:
    """Less than a tenth of a gram is none; its first figure would pretend to a precision that nobody has."""
    if span.typical < _NONE_LEFT:
        return display.text(0.0, Kind.CONCENTRATION, "g/L", decimals=0)
    return display.grams_per_litre(span)


def _days(display: Display, span: Span) -> str:
    return display.days(span.scaled(SECONDS_PER_DAY))


def _ph(display: Display, span: Span) -> str:
    return display.number(span.typical, 1)


MUST = {
    "volume": _Row("Volume", Display.volume, "Room that juice, honey and water take together at {20 °C}."),
    "gravity": _Row(
        "Gravity", Display.gravity, "Gravity at pitching, at {20 °C}. The tick is what the log says was measured."
    ),
    "first": _Row(
        "Gravity at first",
        Display.gravity,
        "What a hydrometer finds at pitching, while whole fruit holds most of its juice. The tick is what the log says was measured. The line above is the gravity with all of the juice.",
    ),
    "sugar": _Row("Fermentable sugar", Display.grams_per_litre, "Sugar that yeast can ferment, counted as glucose."),
    "acid": _Row(
        "Acid, as tartaric", Display.grams_per_litre, "Acid that a titration finds, counted as tartaric acid."
    ),
    "ph": _Row(
        "pH, estimated",
        _ph,
        "Estimated from the pH of fruit and honey, which vary: a measured pH is always better. The pH falls while the must ferments.",
    ),
    "nitrogen": _Row(
        "Nitrogen",
        Display.milligrams_per_litre,
        "Nitrogen that yeast can use, from fruit, honey and planned feeds; the bar shows the must alone. The tick is what this "
        "yeast wants for so much sugar.",
    ),
}
FINISH = {
    "alcohol": _Row("Alcohol", Display.percent_vol, "Ethanol by volume when the yeast stops."),
    "gravity": _Row("Gravity", Display.gravity, "Gravity at {20 °C} when the yeast stops. The line below says why."),
    "day": _Row("Finishes after", _days, "When gravity comes within 0.002 of its end, counted from pitching."),
    "sugar": _Row("Sugar left", _sugar_left, "Fermentable sugar that the yeast leaves."),
}


class Budget(QWidget):
    """What makes the finishing gravity, part by part, behind a line that asks why."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.disclosure = Disclosure("Why this gravity")
        self.disclosure.setFont(small(self.font()))
        self.table = QWidget()
        self._grid = QGridLayout(self.table)
        self._grid.setContentsMargins(18, 0, 0, 2)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(1)
        self._grid.setColumnStretch(0, 1)
        self._intro = Label()
        self._intro.setWordWrap(True)
        self._intro.setFont(small(self.font()))
        set_tone(self._intro, "dim")
        self._grid.addWidget(self._intro, 0, 0, 1, 3)
        self._cells = [self._make_line(row) for row in range(1, _SHOWN_PARTS + 1)]
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.disclosure, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.table)
        self.table.hide()
        self.disclosure.toggled.connect(self.table.setVisible)

    def _make_line(self, row: int) -> tuple[Label, Label, Label]:
        cells = (Label(), Label(), Label())
        for column, cell in enumerate(cells):
            cell.setFont(theme.tabular(small(self.font())))
            cell.setWordWrap(column == 0)
            if column:
                cell.setAlignment(Qt.AlignmentFlag.AlignRight)
            self._grid.addWidget(cell, row, column)
        set_tone(cells[2], "dim")
        return cells

    @property
    def cells(self) -> list[tuple[Label, Label, Label]]:
        """The widgets of the lines, shown or not."""
        return self._cells

    def lines(self) -> list[tuple[str, str, str]]:
        """The lines that are shown: what, how much, and between which bounds."""
        return [(a.text(), b.text(), c.text()) for a, b, c in self._cells if not a.isHidden()]

    def show_finish(self, finish: FinishOutcome | None, display: Display) -> None:
        """Show another finish; without one the question is not asked."""
        self.setVisible(finish is not None)
        if finish is None:
            return
        end, water = display.gravity(finish.gravity.typical), display.gravity(1.0)
        self.disclosure.setText(f"Why {end} and not {water}")
        self._intro.setText(f"Water alone stands at {water}. In points of 0.001 of specific gravity:")
        lifts = {part.name: part.lifts for part in finish.parts}
        lifts["together"] = Span(*(bound - 1.0 for bound in finish.gravity))
        seen = {name: lift for name, lift in lifts.items() if max(map(abs, lift)) >= _UNSEEN or name == "together"}
        told = [(f"{name[0].upper()}{name[1:]}", *points(lift, display)) for name, lift in seen.items()]
        for index, cells in enumerate(self._cells):
            for column, cell in enumerate(cells):
                cell.setVisible(index < len(told))
                cell.setText(told[index][column] if index < len(told) else "")
                font = QFont(cell.font())
                font.setBold(index == len(told) - 1 and column < 2)
                cell.setFont(font)


class Results(QWidget):
    """The must and the expected finish as numbers with their spans. What is out of date is dimmed, never blanked."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._outcome: Outcome | None = None
        self._pinned: Outcome | None = None
        self._need: float | None = None
        self._fed = 0.0
        self.must = {name: SpanRow(row.caption, str(tabled(row.hover))) for name, row in MUST.items()}
        self.finish = {name: SpanRow(row.caption, str(tabled(row.hover))) for name, row in FINISH.items()}
        self.remarks = Remarks(display)
        self.budget = Budget()
        self.worth = small_text()
        self.worth.setAccessibleName("Worth measuring")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(heading("Must"))
        for row in self.must.values():
            column.addWidget(row)
        column.addWidget(self.remarks)
        column.addSpacing(6)
        column.addWidget(heading("Expected finish"))
        for row in self.finish.values():
            column.addWidget(row)
        column.addWidget(self.budget)
        column.addSpacing(6)
        column.addWidget(self.worth)
        self.budget.hide()
        self.worth.hide()
        for row in (*self.must.values(), *self.finish.values()):
            row.show_span(None, _NOTHING)
        self.must["first"].hide()
        OneStop([*self.must.values()], self)
        OneStop([*self.finish.values(), self.budget.disclosure], self)

    def show_outcome(self, outcome: Outcome, need: float | None, fed: float = 0.0) -> None:
        """Show what follows from the recipe; nitrogen that the yeast wants, and that planned feeds bring. [kg/m^3]"""
        self._outcome, self._need, self._fed = outcome, need, fed
        self._fill()

    def show_pinned(self, pinned: Outcome | None) -> None:
        """Tell of every figure what has changed since a design was pinned, or no longer."""
        self._pinned = pinned
        self._show_changes()

    def _show_changes(self) -> None:
        pinned, now, display = self._pinned, self._outcome, self._display
        for block, rows, told in (("must", self.must, MUST), ("finish", self.finish, FINISH)):
            for name, row in rows.items():
                old, new = (getattr(getattr(outcome, block, None), name, None) for outcome in (pinned, now))
                texts = [told[name].shown(display, Span.exactly(span.typical)) for span in (old, new) if span]
                text = change_text(texts[0], texts[1], display) if len(texts) == 2 else ""
                row.show_change(None if pinned is None else text)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self.remarks.set_display(display)
        if self._outcome is not None:
            self._fill()

    def set_stale(self, stale: bool) -> None:
        """Dim the numbers while newer ones are being worked out."""
        for row in (*self.must.values(), *self.finish.values()):
            row.set_stale(stale)

    def _fill(self) -> None:
        outcome, display = self._outcome, self._display
        assert outcome is not None
        whole = outcome.must is not None and outcome.must.first != outcome.must.gravity
        read_of = "first" if whole else "gravity"
        targets = {read_of: outcome.starting_gravity, "nitrogen": self._need if outcome.must is not None else None}
        self.must["first"].setVisible(whole)
        for name, row in self.must.items():
            self._show(row, MUST[name], getattr(outcome.must, name, None), targets.get(name))
        for name, row in self.finish.items():
            self._show(row, FINISH[name], getattr(outcome.finish, name, None))
        measured = outcome.starting_gravity
        for name in ("gravity", "first"):
            read = "" if measured is None or name != read_of else f", read {display.gravity(measured)}"
            self.must[name].caption.setText(f"{MUST[name].caption}{read}")
        known = () if outcome.must is None else outcome.must.measured
        self.must["ph"].caption.setText("pH, measured" if "ph" in known else MUST["ph"].caption)
        self.must["acid"].caption.setText("Acid, measured" if "acid" in known else MUST["acid"].caption)
        self.remarks.show_findings(of_place(outcome.findings, "recipe"))
        self.budget.show_finish(outcome.finish, display)
        worth = outcome.worth
        self.worth.setVisible(worth is not None)
        self.worth.setText("" if worth is None else in_words(worth.words, display))
        if self._pinned is not None:
            self._show_changes()

    def _show(self, row: SpanRow, of: _Row, span: Span | None, target: float | None = None) -> None:
        if span is None:
            row.show_span(None, _NOTHING)
            return
        text = of.shown(self._display, span)
        hover = in_words(tabled(of.hover), self._display)
        if row is self.must["nitrogen"] and target is not None:
            text, more = self._nitrogen(text, target)
            hover += more
        row.show_span(span, text, target)
        row.set_hover(hover + self._range(of, span))

    def _range(self, of: _Row, span: Span) -> str:
        """What the ends of the bar are, in figures."""
        if span.is_exact:
            return ""
        low, high = (of.shown(self._display, Span.exactly(value)) for value in (span.low, span.high))
        return f" Nine in ten: {between(low, high)}."

    def _nitrogen(self, has: str, wants: float) -> tuple[str, str]:
        """What must and feeds bring together, of what is wanted as long as that is more; and the parts, for the hover."""
        assert self._outcome is not None
        must, display = self._outcome.must, self._display
        together = self._fed + (must.nitrogen.typical if must is not None else 0.0)
        fed, wanted, both = (
            display.text(value, Kind.CONCENTRATION, "mg/L", decimals=0) for value in (self._fed, wants, together)
        )
        told = f"{both.split(SPACE)[0]} of {wanted}" if together < wants else f"{both}, enough"
        return told, f" Here: {has} from the must, {fed} from planned feeds, {wanted} needed."
