"""Where does this come from? Every result in the window tells its method, sources, footing and range on F1."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QAction, QTextDocumentFragment
from PySide6.QtWidgets import QApplication, QLabel, QWhatsThis, QWidget

from planner.evaluation.outcome import Outcome
from planner.evaluation.provenance import Provenance, every_provenance, provenance, source_of
from planner.model.span import Span
from planner.reference.catalogue import Catalogue
from planner.timeline.readings import columns_of
from planner.ui.display import SPACE, Display
from planner.ui.recipe.fields import SECONDS_PER_DAY
from planner.ui.widgets.label import as_markup
from planner.ui.widgets.reading_out import describe_plainly
from planner.units import Kind
from planner.wording.phrases import tabled

if TYPE_CHECKING:
    from planner.ui.adjust.pane import AdjustPane
    from planner.ui.curve.pane import CurvePane
    from planner.ui.recipe.pane import RecipePane

HINT = "Where does this come from? Press F1."
QUESTION = "Where does this come from?"
_REST = 150
"""For which no newer outcome must have come before the texts are written. [ms]"""

_MOST_TITLES = 3
"""Sources of one row that are named; the page under Help names all."""


class _Shown(NamedTuple):
    """How a result is called, and in what its span is told."""

    title: str
    kind: Kind
    unit: str | None = None
    factor: float = 1.0
    after: str = ""


SHOWN = {
    "must.volume": _Shown("Volume of the must", Kind.VOLUME),
    "must.mass": _Shown("Mass of the must", Kind.MASS),
    "must.gravity": _Shown("Gravity of the must", Kind.GRAVITY),
    "must.first": _Shown("Gravity read at first", Kind.GRAVITY),
    "must.brix": _Shown("Strength of the must", Kind.NUMBER, after=" °Bx"),
    "must.sugar": _Shown("Fermentable sugar", Kind.CONCENTRATION, "g/L"),
    "must.sugar_in_all": _Shown("Fermentable sugar in all", Kind.CONCENTRATION, "g/L"),
    "must.acid": _Shown("Acid of the must", Kind.CONCENTRATION, "g/L"),
    "must.nitrogen": _Shown("Nitrogen for yeast", Kind.CONCENTRATION, "mg/L"),
    "must.ph": _Shown("Acidity of the must: pH", Kind.NUMBER),
    "must.juice": _Shown("Juice of each fruit", Kind.VOLUME),
    "finish.gravity": _Shown("Gravity at the finish", Kind.GRAVITY),
    "finish.dry_gravity": _Shown("Gravity if dry", Kind.GRAVITY),
    "finish.alcohol": _Shown("Alcohol at the finish", Kind.STRENGTH),
    "finish.sugar": _Shown("Sugar left", Kind.CONCENTRATION, "g/L"),
    "finish.acid": _Shown("Acid at the finish", Kind.CONCENTRATION, "g/L"),
    "finish.volume": _Shown("Volume at the finish", Kind.VOLUME),
    "finish.day": _Shown("Finishes after", Kind.TIME, "d", SECONDS_PER_DAY),
    "stand.volume": _Shown("Volume of the mead", Kind.VOLUME),
    "stand.gravity": _Shown("Gravity of the mead", Kind.GRAVITY),
    "stand.alcohol": _Shown("Alcohol of the mead", Kind.STRENGTH),
    "stand.sweetness": _Shown("Sweetness, as sucrose", Kind.CONCENTRATION, "g/L"),
    "stand.viscosity": _Shown("Body: viscosity", Kind.NUMBER, None, 1e3, f"{SPACE}mPa·s"),
    "stand.acid": _Shown("Acid of the mead", Kind.CONCENTRATION, "g/L"),
    "stand.fermentable": _Shown("Sugar left", Kind.CONCENTRATION, "g/L"),
    "stand.extract": _Shown("Extract", Kind.CONCENTRATION, "g/L"),
    "stand.ph": _Shown("Acidity of the mead: pH", Kind.NUMBER),
    "mead.volume": _Shown("After additions: volume", Kind.VOLUME),
    "mead.gravity": _Shown("After additions: gravity", Kind.GRAVITY),
    "mead.alcohol": _Shown("After additions: alcohol", Kind.STRENGTH),
    "mead.sweetness": _Shown("After additions: sweetness, as sucrose", Kind.CONCENTRATION, "g/L"),
    "mead.viscosity": _Shown("After additions: body, as viscosity", Kind.NUMBER, None, 1e3, f"{SPACE}mPa·s"),
    "mead.acid": _Shown("After additions: acid", Kind.CONCENTRATION, "g/L"),
    "mead.fermentable": _Shown("After additions: fermentable sugar", Kind.CONCENTRATION, "g/L"),
    "mead.extract": _Shown("After additions: extract", Kind.CONCENTRATION, "g/L"),
    "mead.ph": _Shown("After additions: pH", Kind.NUMBER),
    "addition.sweetness": _Shown("What an addition does to the sweetness", Kind.CONCENTRATION, "g/L"),
    "addition.viscosity": _Shown("What an addition does to the body", Kind.NUMBER, None, 1e3, f"{SPACE}mPa·s"),
    "curve.gravity": _Shown("The expected curve", Kind.GRAVITY),
    "curve.forecast": _Shown("Forecast: stops near", Kind.GRAVITY),
    "read.alcohol": _Shown("Alcohol so far", Kind.STRENGTH),
    "read.pair": _Shown("Alcohol by hydrometer with refractometer", Kind.STRENGTH),
    "read.plan": _Shown("Difference from expected", Kind.GRAVITY),
    "still.risk": _Shown("Stability in the bottle", Kind.NUMBER),
    "still.ways": _Shown("Ways to stability", Kind.NUMBER),
    "still.pressure": _Shown("Pressure in the bottle", Kind.NUMBER),
    "verdict.kind": _Shown("How the ferment stands", Kind.NUMBER),
    "worth.measuring": _Shown("Worth measuring", Kind.NUMBER),
    "plan.feeding": _Shown("Nitrogen from the feeds", Kind.CONCENTRATION, "mg/L"),
    "plan.proposal": _Shown("Feeds proposed", Kind.MASS),
    "plan.warmth": _Shown("How warm it gets", Kind.TEMPERATURE),
    "plan.pitch": _Shown("The yeast and its dose", Kind.MASS),
    "plan.bottles": _Shown("Yield and losses", Kind.VOLUME),
    "plan.cost": _Shown("Cost", Kind.NUMBER),
    "plan.wish": _Shown("The recipe that reaches the targets", Kind.NUMBER),
    "plan.routes": _Shown("Compare ways to finish", Kind.NUMBER),
    "plan.schedule": _Shown("Schedule", Kind.TIME),
    "dose.found": _Shown("Find the dose", Kind.MASS),
    "dose.trial": _Shown("Trial glasses", Kind.NUMBER),
    "dose.steps": _Shown("Dose in steps", Kind.MASS),
    "dose.earlier": _Shown("From an earlier batch", Kind.MASS),
    "dose.map": _Shown("Map of sweet and sharp", Kind.NUMBER),
}


def title_of(key: str) -> str:
    """What a result is called."""
    block, _, name = key.partition(".")
    if _without_place(key) in SHOWN:
        return SHOWN[_without_place(key)].title
    if block == "budget":
        return f"{name[0].upper()}{name[1:]}, in the gravity at the finish"
    if block == "log":
        return {"hydrometer": "Readings of a hydrometer", "sensor": "Readings of a floating sensor",
                "refractometer": "Readings of a refractometer", "weight": "Weight lost", "sugar": "Sugar tests"}[name]  # fmt: skip
    return f"What an addition does to the {name.partition('.')[0]}".replace("viscosity", "body")


def span_of(key: str, outcome: Outcome) -> Span | None:
    """The result itself; None for what is no single number."""
    block, _, name = key.partition(".")
    if block == "budget" and outcome.finish is not None:
        return next((part.lifts for part in outcome.finish.parts if part.name == name), None)
    mead = outcome.mead
    if key in ("stand.ph", "mead.ph"):
        return None if mead is None else mead.ph_before if block == "stand" else mead.ph
    holders: dict[str, object] = {"must": outcome.must, "finish": outcome.finish}
    if mead is not None:
        holders |= {"stand": mead.before, "mead": mead.after}
    if block == "addition" and mead is not None:
        what, _, place = name.partition(".")
        effects = mead.effects[int(place) : int(place) + 1] if place else ()
        return next((getattr(effect, f"{what}_range", None) for effect in effects), None)
    if key == "read.alcohol":
        return outcome.so_far.alcohol if outcome.so_far else None
    if key == "read.pair":
        return outcome.so_far.pairs[-1].alcohol if outcome.so_far and outcome.so_far.pairs else None
    if key == "curve.forecast":
        return outcome.posterior.finish_gravity if outcome.posterior else None
    found = getattr(holders.get(block), name, None)
    return found if isinstance(found, Span) else None


def range_text(key: str, span: Span | None, display: Display) -> str:
    """The number with its range in the reader's units."""
    if span is None:
        return ""
    if key.startswith("budget."):
        low, typical, high = (display.number(1e3 * bound, 1) for bound in span)
        return f"{typical} points of 0.001; nine in ten lie between {low} and {high}"
    shown = SHOWN[_without_place(key)]
    number, _, inside = display.format_span(span.scaled(shown.factor), shown.kind, shown.unit).partition(" (")
    low, _, high = inside.removesuffix(")").partition(" to ")
    text = number + shown.after
    return f"{text}; nine in ten lie between {low} and {high}" if inside else text


def _without_place(key: str) -> str:
    """The key of an addition's result without the place of that addition."""
    return key.rpartition(".")[0] if key.startswith("addition.") and key[-1].isdecimal() else key


def html(found: Provenance, outcome: Outcome, catalogue: Catalogue, display: Display) -> str:
    """A result's provenance for reading."""
    shown = range_text(found.key, span_of(found.key, outcome), display)
    lines = [
        f"<p><b>{escape(title_of(found.key))}</b>{': ' if shown else ''}{escape(shown)}</p>",
        f"<p>{escape(tabled(found.method).shown(display))}</p>",
    ]
    if found.assumptions:
        lines.append(
            "<p><i>Assumed</i></p><ul>"
            + "".join(f"<li>{escape(tabled(text).shown(display))}</li>" for text in found.assumptions)
            + "</ul>"
        )
    if found.weakest is not None:
        lines.append(f"<p><i>The least certain of what goes in</i>: {escape(found.weakest.label)}.</p>")
    if found.entering:
        rows = "".join(
            f"<li>{escape(row.name)}: {escape(row.status.label)} ({escape(_titles(row.sources, catalogue))})</li>"
            for row in found.entering
        )
        lines.append(f"<p><i>Rests on</i></p><ul>{rows}</ul>")
    cited = "".join(f"<li>{escape(source_of(key, catalogue).citation)}</li>" for key in found.sources)
    lines.append(f"<p><i>Formulas and constants</i></p><ul>{cited}</ul>")
    return "".join(lines)


def _titles(keys: tuple[str, ...], catalogue: Catalogue) -> str:
    titles = [source_of(key, catalogue).title for key in keys]
    more = f" and {len(titles) - _MOST_TITLES} more" if len(titles) > _MOST_TITLES else ""
    return "; ".join(titles[:_MOST_TITLES]) + more


def page(outcome: Outcome | None, catalogue: Catalogue, display: Display) -> str:
    """Every result of the batch with its provenance, for those who go by the keyboard or want to read it all."""
    if outcome is None:
        return "<p>Nothing has been worked out yet.</p>"
    found = every_provenance(outcome, catalogue).values()
    return "<h3>Where the figures come from</h3>" + "<hr>".join(html(one, outcome, catalogue, display) for one in found)


class Explaining(QObject):
    """Gives the results of the three panes their What's-this texts, a hint in the hover, and a menu that asks.

    The texts follow an outcome when the window has a moment: an edit redraws first.
    """

    def __init__(
        self,
        recipe: RecipePane,
        curve: CurvePane,
        adjustment: AdjustPane,
        catalogue: Catalogue,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._recipe, self._curve, self._adjustment = recipe, curve, adjustment
        self._catalogue = catalogue
        self._latest: tuple[Outcome, Display] | None = None
        self._told: tuple[Outcome, Display] | None = None
        self._rested = QTimer(self)
        self._rested.setSingleShot(True)
        self._rested.setInterval(_REST)
        self._rested.timeout.connect(self.tell)
        adjustment.tool_made.connect(self._tell_anew)

    def show_outcome(self, outcome: Outcome, display: Display) -> None:
        """Tell, as soon as there is a moment, where the results come from that are shown now."""
        self._latest = (outcome, display)
        self._rested.start()

    def tell(self) -> None:
        """Tell it at once; nothing to do where it is told already."""
        self._rested.stop()
        if self._latest is None:
            return
        (outcome, display), self._told, self._latest = self._latest, self._latest, None
        told: dict[str, str] = {}
        for widget, keys in self._results(outcome):
            for key in keys:
                if key not in told:
                    told[key] = html(provenance(key, outcome, self._catalogue), outcome, self._catalogue, display)
            widget.setWhatsThis("<hr>".join(told[key] for key in keys))
            self._hint(widget)
        describe_plainly(self._recipe.window())

    def _tell_anew(self) -> None:
        """Tell it also where a result is shown for the first time."""
        if self._latest is None:
            self._latest = self._told
        self.tell()

    def _results(self, outcome: Outcome) -> Iterator[tuple[QWidget, tuple[str, ...]]]:
        """Every widget that shows a result, with the keys of what it shows."""
        yield from self._of_recipe(outcome)
        yield from self._of_curve(outcome)
        yield from self._of_adjustment(outcome)

    def _of_recipe(self, outcome: Outcome) -> Iterator[tuple[QWidget, tuple[str, ...]]]:
        pane, results = self._recipe, self._recipe.results
        for block, rows in (("must", results.must), ("finish", results.finish)):
            there = getattr(outcome, block)
            yield from (
                (row, (f"{block}.{name}",) if getattr(there, name, None) is not None else ())
                for name, row in rows.items()
            )
        if outcome.finish is not None:
            parts = {part.name.casefold(): f"budget.{part.name}" for part in outcome.finish.parts}
            for cells in results.budget.cells:
                key = parts.get(cells[0].text().casefold(), "finish.gravity")
                yield from ((cell, (key,)) for cell in cells)
        if outcome.worth is not None:
            yield results.worth, ("worth.measuring",)
        if outcome.must is not None:
            yield from ((row.beneath, ("must.juice",)) for row in pane.fruit.editor.rows)
            for widget, key in (
                (pane.feeding.text, "feeding"), (pane.yeast.text, "pitch"), (pane.yeast.usual, "pitch"),
                (pane.bottling.text, "bottles"), (pane.bottling.summary, "bottles"), (pane.prices.text, "cost"),
                (pane.wish.content, "wish"), (pane.schedule, "schedule"), (pane.wish.routes, "routes"),
            ):  # fmt: skip
                yield widget, (f"plan.{key}",)
            if outcome.curve is not None:
                yield pane.feeding.proposal, ("plan.proposal",)
                yield pane.temperature.text, ("plan.warmth",)

    def _of_curve(self, outcome: Outcome) -> Iterator[tuple[QWidget, tuple[str, ...]]]:
        pane = self._curve
        if pane.canvas is not None and outcome.curve is not None:
            yield pane.canvas, ("curve.gravity", *(("curve.forecast",) if outcome.posterior is not None else ()))
        if outcome.verdict is not None:
            yield from ((widget, ("verdict.kind",)) for widget in (pane.headline, pane.reasons))
        elif outcome.finish is not None:
            yield pane.headline, ("finish.alcohol", "finish.day", "finish.gravity")
        log = columns_of(outcome.log)
        kinds = tuple(f"log.{kind}" for kind in dict.fromkeys(log.kind[log.tells != ""].tolist()))
        if not kinds:
            return
        alcohol = ()
        if outcome.so_far is not None:
            alcohol = ("read.alcohol", *(("read.pair",) if outcome.so_far.pairs else ()))
            yield pane.so_far, alcohol
        yield pane.table, (*alcohol, *(("read.plan",) if outcome.curve is not None else ()), *kinds)

    def _of_adjustment(self, outcome: Outcome) -> Iterator[tuple[QWidget, tuple[str, ...]]]:
        pane = self._adjustment
        if outcome.mead is None:
            return
        yield from ((row, (f"stand.{name}",)) for name, row in pane.mead_now.rows.items())
        yield pane.mead_now.basis, ("stand.gravity",)
        yield pane.verdict, ("still.risk", "still.pressure")
        yield pane.still, ("still.risk", "still.pressure", "still.ways")
        acidity = () if outcome.mead.ph is None else ("stand.ph", "mead.ph") if outcome.mead.effects else ("stand.ph",)
        yield pane.measured, ("stand.alcohol", "stand.acid", *acidity)
        tools = pane.tools
        for fold, key in ((tools.finding, "found"), (tools.trial, "trial"), (tools.steps, "steps"),
                          (tools.earlier, "earlier"), (tools.picture, "map")):  # fmt: skip
            yield fold, (f"dose.{key}",)
            yield from ((label, (f"dose.{key}",)) for label in _selectable(fold))
        yield from ((label, ("still.risk", "still.pressure", "still.ways")) for label in _selectable(pane.still))
        after = tuple(f"mead.{change.what}" for change in pane.table.shown)
        for labels, key in zip(pane.table.rows, after, strict=False):
            yield from ((label, (key,)) for label in labels)
        yield pane.table.ranges, tuple(dict.fromkeys(after))
        there = len(outcome.batch.adjustment.additions)
        for index, row in enumerate(pane.additions.editor.rows[:there]):
            named = ("sweetness", "viscosity", "acid", "gravity", "volume", "alcohol", "fermentable", "teaspoons")
            yield row.beneath, tuple(f"addition.{name}.{index}" for name in named)
        if there:
            yield pane.weighed, tuple(f"addition.teaspoons.{index}" for index in range(there))

    def _hint(self, widget: QWidget) -> None:
        """Say in the hover that there is more, and let the right button ask for it."""
        hover = as_markup(widget.toolTip())
        if hover and HINT not in hover:
            widget.setToolTip(
                f"{hover.removesuffix('</p>')}<br><i>{HINT}</i>" + ("</p>" if hover.endswith("</p>") else "")
            )
        policy, menu = widget.contextMenuPolicy(), Qt.ContextMenuPolicy
        offers = policy == menu.ActionsContextMenu or (policy == menu.DefaultContextMenu and not widget.actions())
        if offers and all(action.text() != QUESTION for action in widget.actions()):
            asking = QAction(QUESTION, widget)
            asking.triggered.connect(self._tell)
            widget.addAction(asking)
            if isinstance(widget, QLabel) and _is_selectable(widget):  # whose own menu, with which to copy, gives way
                copying = QAction("Copy", widget)
                copying.triggered.connect(self._copy)
                widget.addAction(copying)
            widget.setContextMenuPolicy(menu.ActionsContextMenu)

    def _copy(self) -> None:
        """Copy what is selected of a text, or all of it."""
        copying = self.sender()
        label = copying.parent() if copying is not None else None
        if isinstance(label, QLabel):
            text = label.selectedText() or QTextDocumentFragment.fromHtml(label.text()).toPlainText()
            QApplication.clipboard().setText(text.replace(SPACE, " "))

    def _tell(self) -> None:
        self.tell()
        asking = self.sender()
        widget = asking.parent() if asking is not None else None
        if isinstance(widget, QWidget) and widget.whatsThis():
            QWhatsThis.showText(widget.mapToGlobal(QPoint(8, widget.height())), widget.whatsThis(), widget)


def _selectable(part: QWidget) -> list[QLabel]:
    """The texts in a part that can be selected: they have a menu of their own."""
    return [label for label in part.findChildren(QLabel) if _is_selectable(label)]


def _is_selectable(label: QLabel) -> bool:
    return bool(label.textInteractionFlags() & Qt.TextInteractionFlag.TextSelectableByMouse)
