"""The window that compares routes: one column for each way to the glass, worked out on a worker, taken by one press."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QDialog, QFrame, QGridLayout, QScrollArea, QVBoxLayout, QWidget

from planner.adjusting.refermentation_risk import Risk
from planner.document.batch import Batch
from planner.model.span import Span
from planner.planning.rounding import weighable
from planner.planning.route import Route, planned
from planner.planning.routes import routes
from planner.planning.routes_in_progress import is_made
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.recalculator import Recalculator
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words, small
from planner.units import Kind

_COLUMN, _CAPTIONS = 24, 14
"""Widths of a column of words, and of the captions before them. [figures]"""

RISKS = {
    Risk.NONE: "None: nothing is left to ferment.",
    Risk.HELD: "Stable only while the treatment holds.",
    Risk.UNSURE: "A sugar test decides.",
    Risk.REAL: "Real: it would prickle or push out corks.",
    Risk.GRAVE: "Severe: bottles burst if they get warm.",
}
"""A second fermentation, in words."""


def _decides(batch: Batch) -> tuple[object, ...]:
    """What of a batch that is made decides its routes: not what was planned to be stirred in, which a route replaces."""
    mead = msgspec.structs.replace(batch.adjustment, additions=(), trials=(), stabilising="")
    return batch.recipe, batch.log, mead


def is_taken(route: Route, batch: Batch) -> bool:
    """Whether a batch follows a route: its recipe, what is stirred in, and what keeps yeast from working."""
    if route.batch is None:
        return False
    there, here = route.batch.adjustment, batch.adjustment
    if is_made(batch) and not (here.additions or here.stabilising):
        return False  # nothing was chosen yet
    same = there.additions == here.additions and there.stabilising == here.stabilising
    return same and route.batch.recipe == batch.recipe


def _shown(display: Display, kind: Kind, value: Span | None, unit: str | None = None) -> str:
    """The typical value with its unit, and its bounds where it has some."""
    return "–" if value is None else display.format_span(value, kind, unit)


class RoutesDialog(QDialog):
    """Ways to the wished sweetness and strength side by side, of the recipe as it was before one of them was taken.

    Signal: `taken` with the batch of a route and its name.
    """

    taken = Signal(object, str)

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Compare ways to finish")
        fit(self, figures=176, lines=50)
        self._catalogue, self._display = catalogue, display
        self._found: tuple[Route, ...] = ()
        self._batch: Batch | None = None
        self.recalculator = Recalculator((self._work,), parent=self)
        self.recalculator.finished.connect(self._show_routes)
        self.recalculator.failed.connect(self._tell_failure)
        self.intro = Label()
        self.intro.setWordWrap(True)
        self.columns = QWidget()
        self._grid = QGridLayout(self.columns)
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(7)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(self.columns)
        scroll.viewport().setAutoFillBackground(False)
        self.columns.setAutoFillBackground(False)
        self.buttons: dict[str, Button] = {}
        self._names: dict[str, Label] = {}
        self._now: Batch | None = None
        layout = QVBoxLayout(self)
        layout.addWidget(self.intro)
        layout.addWidget(scroll, 1)

    def _work(self, batch: Batch) -> tuple[Route, ...]:
        found = routes(batch, self._catalogue)
        return tuple(
            route if route.batch is None else msgspec.structs.replace(route, batch=weighable(route.batch, batch))
            for route in found
        )

    def _tell_failure(self, failure: object) -> None:
        raise RuntimeError("The ways to finish could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )

    def show_batch(self, batch: object) -> None:
        """Compare the routes of a batch; until they are worked out the old ones stay.

        A route that was taken, or a step back, changes nothing: all of them stay as they were compared, one is marked.
        """
        if not isinstance(batch, Batch):
            return
        self._now = batch
        if self._is_compared(batch):
            self._mark_taken()
            return
        self._batch = batch
        self.intro.setText(self._introduced(batch))
        self.columns.setEnabled(False)
        self.recalculator.request(batch)

    def _is_compared(self, batch: Batch) -> bool:
        """Whether what is shown holds for a batch."""
        if is_made(batch):
            return self._batch is not None and _decides(batch) == _decides(self._batch)
        compared = (self._batch, *(route.batch for route in self._found))
        return any(one is not None and not is_made(one) and one.recipe == batch.recipe for one in compared)

    def _introduced(self, batch: Batch) -> str:
        """What all routes are to reach, and what of that is only assumed."""
        if is_made(batch):
            return self._from_here(batch)
        plan, display = planned(batch), self._display
        strength = f"about {display.percent_vol(plan.alcohol)}"
        if plan.gravity is not None:
            strength = f"a starting gravity of {display.gravity(plan.gravity)}"
        sweet = f"as sweet as {display.grams_per_litre(plan.sweetness)} of sugar"
        body = f", body of {plan.body * 1e3:.1f}{SPACE}mPa·s" if plan.body is not None else ""
        named = " and ".join(plan.unknown)
        silent = {
            "strength": "alcohol" in plan.usual,
            "sweetness": "sweetness" in plan.usual,
        }
        open_ones = [name for name, is_silent in silent.items() if is_silent]
        said = f"You set no {' and no '.join(open_ones)}: compared here for " if open_ones else ""
        wanted = f"{strength} and {sweet}"
        return f"{said}{wanted if said else wanted[0].upper() + wanted[1:]}{body}, each with the {named} it needs. Change it in the recipe under Targets and House rules."

    def _from_here(self, batch: Batch) -> str:
        """The same for one that is made: its strength is what it is."""
        plan, display = planned(batch), self._display
        sweet = f"as sweet as {display.grams_per_litre(plan.sweetness)} of sugar"
        wished = [] if "sweetness" in plan.usual else [sweet]
        wished += [] if plan.body is None else [f"a body of {plan.body * 1e3:.1f}{SPACE}mPa·s"]
        wished += [] if plan.acid is None else [f"{display.grams_per_litre(plan.acid)} of acid"]
        told = [f"Targets: {', '.join(wished)}."] if wished else []
        if "sweetness" in plan.usual:
            told.append(f"You set no sweetness: compared here for {sweet}.")
        told.append("The mead is made, so recipe and log stay. What you can do from here on is compared.")
        return " ".join((*told, "Change it in the recipe under Targets and House rules."))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if self._batch is not None:
            self.intro.setText(self._introduced(self._batch))
        self._show_routes(self._found)

    def _show_routes(self, found: object) -> None:
        if not isinstance(found, tuple):
            return
        self._found = found
        self.columns.setEnabled(True)
        empty(self._grid)
        self.buttons, self._names = {}, {}
        rows = self._rows()
        for line, (caption, _) in enumerate(rows, start=1):
            self._grid.addWidget(self._label(caption, "dim"), line, 0, Qt.AlignmentFlag.AlignTop)
        for column, route in enumerate(found, start=1):
            self._add(route, column, rows)
        self._grid.setRowStretch(len(rows) + 3, 1)
        self._grid.setColumnStretch(len(found) + 1, 1)
        self._mark_taken()

    def _mark_taken(self) -> None:
        """Show which of the routes the batch follows now."""
        for route in self._found:
            taken = self._now is not None and is_taken(route, self._now)
            button, name = self.buttons[route.key], self._names[route.key]
            button.setText("✓ Taken" if taken else "Take this way")
            button.setEnabled(route.batch is not None and not taken)
            button.setAccessibleName(f"Taken: {route.name}" if taken else f"Take this way: {route.name}")
            name.setText(f"✓ {route.name}" if taken else route.name)

    def _add(self, route: Route, column: int, rows: list[tuple[str, Callable[[Route], str]]]) -> None:
        name = self._label(route.name)
        font = QFont(name.font())
        font.setBold(True)
        name.setFont(font)
        self._names[route.key] = name
        self._grid.addWidget(name, 0, column, Qt.AlignmentFlag.AlignTop)
        for line, (caption, show) in enumerate(rows, start=1):
            text = show(route)
            tone = "warning" if caption == "House rules" and route.against else ""
            if caption == "Second fermentation" and route.still is not None and route.still.risk >= Risk.REAL:
                tone = "warning"
            self._grid.addWidget(self._label(text, tone), line, column, Qt.AlignmentFlag.AlignTop)
        button = Button()
        button.setProperty("route", route.key)
        made = route.batch is not None and is_made(route.batch)
        what = "The additions become" if made else "Recipe and additions become"
        button.setToolTip(f"{what} those of this way. One undo takes them back.")
        button.clicked.connect(self._take)
        self.buttons[route.key] = button
        self._grid.addWidget(button, len(rows) + 1, column, Qt.AlignmentFlag.AlignTop)

    def _label(self, text: str, tone: str = "") -> Label:
        label = Label(text)
        label.setWordWrap(True)
        label.setFont(theme.tabular(small(label.font())))
        figures = _CAPTIONS if tone == "dim" else _COLUMN
        label.setFixedWidth(figures * self.fontMetrics().horizontalAdvance("0"))
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if tone:
            set_tone(label, tone)
        return label

    def _rows(self) -> list[tuple[str, Callable[[Route], str]]]:
        display = self._display

        def rules(route: Route) -> str:
            against = [in_words(why, display).removeprefix("House rule: ") for why in route.against]
            out = [row.name for row in route.left_out]
            left = f"Left out: {', '.join(out)}." if out else ""
            return "\n".join((*(f"Against it: {why}" for why in against), left)).strip() or "Nothing against it."

        def cost(route: Route) -> str:
            if route.cost is None or route.cost.per_bottle is None:
                return "–"
            currency = route.batch.recipe.prices.currency if route.batch is not None else ""
            more = " and more" if route.cost.unpriced else ""
            return f"{display.number(route.cost.per_bottle, 2)}{SPACE}{currency} a bottle{more}"

        def body(route: Route) -> str:
            if route.viscosity is None:
                return "–"
            return f"{display.format_span(route.viscosity.scaled(1e3), Kind.NUMBER)}{SPACE}mPa·s"

        def days(route: Route) -> str:
            if route.days is None:
                return "–"
            low, typical, high = (display.number(day, 0) for day in route.days)
            return f"{typical}{SPACE}days" + (f" ({low} to {high})" if low != high else "")

        def how(route: Route) -> str:
            if route.cannot is not None:
                return in_words(route.cannot, display)
            steps = [f"{number}. {in_words(words, display)}" for number, words in enumerate(route.steps, start=1)]
            return "\n".join((*steps, *(in_words(words, display) for words in route.notes)))

        recipe: list[tuple[str, Callable[[Route], str]]] = [
            ("Honey in all", lambda r: display.mass(r.honey) if r.batch is not None else "–"),
            ("Starting gravity", lambda r: _shown(display, Kind.GRAVITY, r.starting_gravity)),
            ("Yeast", lambda r: r.yeast or "–"),
        ]
        made = self._batch is not None and is_made(self._batch)
        return [
            *(() if made else recipe),
            ("Alcohol", lambda r: _shown(display, Kind.STRENGTH, r.alcohol)),
            ("Gravity in the glass", lambda r: _shown(display, Kind.GRAVITY, r.finish)),
            ("Sweet as sugar", lambda r: _shown(display, Kind.CONCENTRATION, r.sweetness, "g/L")),
            ("Body", body),
            ("Acid", lambda r: _shown(display, Kind.CONCENTRATION, r.acid, "g/L")),
            ("Time to bottle", days),
            ("Cost", cost),
            ("Second fermentation", lambda r: RISKS[r.still.risk] if r.still is not None else "–"),
            ("House rules", rules),
            ("How", how),
        ]

    def _take(self) -> None:
        button = self.sender()
        key = str(button.property("route")) if button is not None else ""
        route = next((route for route in self._found if route.key == key), None)
        if route is not None and route.batch is not None:
            self.taken.emit(route.batch, route.name)

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.recalculator.shut_down()
