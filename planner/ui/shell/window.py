"""The window: three panes on one batch, the menus, and a status line."""

from __future__ import annotations

from pathlib import Path

import msgspec
from PySide6.QtCore import QByteArray, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import QLabel, QMainWindow, QMenu, QSplitter, QToolButton

from planner.batch.batch import Batch
from planner.batch.outcome import Outcome
from planner.reference.own import Own
from planner.reference.shipped import samples
from planner.ui.adjust.pane import AdjustPane
from planner.ui.asking import Ask
from planner.ui.curve.pane import CurvePane
from planner.ui.ingredients.editor import IngredientEditor
from planner.ui.ingredients.own_shelf import OwnShelf
from planner.ui.recalculator import Recalculator
from planner.ui.recipe.pane import RecipePane
from planner.ui.recipe.windows import RecipeWindows
from planner.ui.settings import Appearance, Settings
from planner.ui.shell import help as helping
from planner.ui.shell.actions import Menus
from planner.ui.shell.documents import Documents
from planner.ui.shell.exchange import Exchange
from planner.ui.shell.explaining import Explaining, page
from planner.ui.shell.findings_list import FindingsList, counted
from planner.ui.shell.folding import FoldingPane
from planner.ui.shell.recovery import Recovery
from planner.ui.store import BatchStore
from planner.ui.theme import Colours
from planner.ui.widgets.fields import accept_pending
from planner.units import GravityScale, System

TITLE = "Fruit Mead Planner"
SIDE_WIDTHS = (300, 480)
"""Narrowest and widest side pane. [px]"""
CURVE_NARROWEST = 520
LATE = 200
"""After how long without an answer results are dimmed; sooner would flicker at each key. [ms]"""


class Window(QMainWindow):
    """Holds the parts together; each of them knows the store, and none of them another.

    Signal: `appearance_changed` when the person chose light, dark or the desktop's way.
    """

    appearance_changed = Signal()

    def __init__(
        self,
        store: BatchStore,
        own: OwnShelf,
        settings: Settings,
        ask: Ask,
        recovery: Recovery,
        recalculator: Recalculator,
        colours: Colours,
    ) -> None:
        super().__init__()
        self.store, self.own, self.settings, self.ask = store, own, settings, ask
        self.catalogue = own.catalogue
        self.recalculator = recalculator
        self.outcome: Outcome | None = None
        self.colours = colours
        self.documents = Documents(store, settings, ask, recovery, self)
        self.exchange = Exchange(store, self.catalogue, settings, ask, self)
        self.recipe_windows = RecipeWindows(store, self.catalogue, settings, ask, self)
        self.findings = FindingsList(self)
        self._recovery = recovery
        self._dimming = QTimer(self)
        self._dimming.setSingleShot(True)
        self._dimming.setInterval(LATE)
        self._dimming.timeout.connect(self._dim)
        self._make_panes()
        self._make_menus()
        self._make_status_line()
        self._connect()
        self._restore_layout()
        self.show_batch(store.batch)
        if own.problem:
            self.statusBar().showMessage(own.problem)

    # --- making

    def _make_panes(self) -> None:
        shared = (self.store, self.catalogue, self.settings.display, self.colours)
        self.recipe, self.curve = RecipePane(*shared), CurvePane(*shared)
        self.adjustment = AdjustPane(*shared, ask=self.ask)
        self.panes = (self.recipe, self.curve, self.adjustment)
        self.recipe_fold = FoldingPane("Recipe", self.recipe, *SIDE_WIDTHS)
        self.adjustment_fold = FoldingPane("Adjustment", self.adjustment, *SIDE_WIDTHS)
        self.curve.setMinimumWidth(CURVE_NARROWEST)
        self.explaining = Explaining(self.recipe, self.curve, self.adjustment, self.catalogue, self)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        for part in (self.recipe_fold, self.curve, self.adjustment_fold):
            self.splitter.addWidget(part)
        self.splitter.setStretchFactor(1, 1)
        self.splitter.setSizes([350, 600, 330])
        self.setCentralWidget(self.splitter)

    def _make_menus(self) -> None:
        stack = self.store.undo_stack
        undo, redo = stack.createUndoAction(self, "&Undo"), stack.createRedoAction(self, "&Redo")
        undo.setShortcut("Ctrl+Z")
        redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
        self.menus = Menus(self.menuBar(), self, undo, redo)
        self.menus.submenus["Open recent"].aboutToShow.connect(self._fill_recent)
        self._fill(self.menus.submenus["Samples"], sorted(samples().glob("*.meadbatch")))
        for name in (f"set_system/{self.settings.system}", f"set_gravity_scale/{self.settings.gravity_scale}",
                     f"set_appearance/{self.settings.appearance}", f"set_axis/{self.settings.axis}",
                     "set_level/gravity"):  # fmt: skip
            self.menus.actions[name].setChecked(True)

    def _make_status_line(self) -> None:
        self._last_change = QLabel()
        self._last_change.setContentsMargins(8, 0, 0, 0)
        self._counted = QToolButton()
        self._counted.setAutoRaise(True)
        self._counted.setToolTip("All doubts about this batch (F4)")
        self._counted.clicked.connect(self.show_findings)
        self._habits = QLabel()
        bar = self.statusBar()
        bar.addWidget(self._last_change, 1)
        self._watched = QToolButton()
        self._watched.setAutoRaise(True)
        self._watched.setToolTip("Stop watching")
        self._watched.clicked.connect(self.stop_watching)
        bar.addPermanentWidget(self._watched)
        bar.addPermanentWidget(self._counted)
        bar.addPermanentWidget(self._habits)
        self._tell_habits()
        self._tell_watch()

    def _connect(self) -> None:
        self.store.changed.connect(self.show_batch)
        self.store.modified_changed.connect(self.setWindowModified)
        self.store.undo_stack.indexChanged.connect(self._tell_last_change)
        self.own.changed.connect(self._show_shelf)
        self.recalculator.finished.connect(self.show_outcome)
        self.recalculator.failed.connect(self._tell_failure)
        self.documents.place_changed.connect(self._retitle)
        self.documents.said.connect(self.statusBar().showMessage)
        self.exchange.said.connect(self.statusBar().showMessage)
        self.recipe_windows.said.connect(self.statusBar().showMessage)
        self.recipe.routes_wanted.connect(self.show_routes)
        self.recipe.schedule_wanted.connect(self.show_schedule)
        self.exchange.watching.said.connect(self.statusBar().showMessage)
        self.exchange.watching.changed.connect(self._tell_watch)
        self.curve.set_axis(self.settings.axis)
        self.curve.import_requested.connect(self.import_readings)
        self.findings.chosen.connect(self._go_to)
        self.adjustment.recipe_wanted.connect(self._go_to_recipe)

    def _restore_layout(self) -> None:
        self.resize(1280, 800)
        if self.settings.window_geometry:
            self.restoreGeometry(QByteArray(self.settings.window_geometry))
        if self.settings.window_state:
            self.splitter.restoreState(QByteArray(self.settings.window_state))
        if self.settings.curve_split:
            self.curve.split = self.settings.curve_split
        folded = self.settings.folded_panes
        self.recipe_fold.set_folded("recipe" in folded)
        self.adjustment_fold.set_folded("adjustment" in folded)

    # --- showing

    def show_batch(self, batch: object) -> None:
        """Show a batch at once, and what follows from it as soon as it is worked out."""
        self.own.show_batch(batch)
        self._dimming.start()
        # Where the first answer comes at once, the curve is on the screen before anything else is done.
        self.recalculator.request(batch)
        for pane in self.panes:
            pane.show_batch(batch)
        self.recipe_windows.show_batch(batch)
        self._retitle()

    def show_outcome(self, outcome: object) -> None:
        """Show what follows from the batch."""
        if not isinstance(outcome, Outcome):
            return
        self.outcome = outcome
        self._dimming.stop()
        self.curve.show_curve(outcome)
        self.recalculator.spread(self._show_curve, self._show_recipe, self._show_adjustment, self._show_the_rest)

    # Each in a turn of the event loop of its own, so that what is typed meanwhile never waits for all of them.

    def _show_curve(self) -> None:
        self._show_in(self.curve)

    def _show_recipe(self) -> None:
        self._show_in(self.recipe)

    def _show_adjustment(self) -> None:
        self._show_in(self.adjustment)

    def _show_in(self, pane: RecipePane | CurvePane | AdjustPane) -> None:
        if self.outcome is not None:
            pane.show_outcome(self.outcome)
            pane.set_stale(False)

    def _show_the_rest(self) -> None:
        outcome = self.outcome
        if outcome is None:
            return
        self.recipe_windows.show_outcome(outcome)
        self.explaining.show_outcome(outcome, self.settings.display)
        self._counted.setText(counted(outcome.findings))
        if self.findings.isVisible():
            self.findings.show_findings(outcome.findings, self.settings.display)

    def _show_shelf(self) -> None:
        """Offer other ingredients: the person's own changed, or the batch brought some along."""
        self.recipe.show_shelf()
        self.curve.show_shelf()
        self.adjustment.additions.set_catalogue(self.catalogue)

    def set_colours(self, colours: Colours) -> None:
        """Dress the panes for a light or dark screen."""
        self.colours = colours
        for pane in self.panes:
            pane.set_colours(colours)

    def _dim(self) -> None:
        """Results are late: show that they are of the batch before."""
        for pane in self.panes:
            pane.set_stale(True)

    def _retitle(self) -> None:
        batch = self.store.batch
        name = batch.name if isinstance(batch, Batch) else ""
        self.setWindowTitle(f"{name}[*] – {TITLE}")
        self.setWindowModified(self.store.is_modified)
        self.setWindowFilePath(str(self.documents.path) if self.documents.path else "")

    def _tell_last_change(self, _index: int = 0) -> None:
        text = self.store.undo_stack.undoText()
        self._last_change.setText(f"Last change: {text}" if text else "")

    def _tell_failure(self, failure: object) -> None:
        """A fault in the science is a bug: say so once, keep the last results, and keep the window alive."""
        raise RuntimeError("The batch could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )

    def _tell_habits(self) -> None:
        units = "metric" if self.settings.system == System.METRIC else "US units"
        scale = "specific gravity" if self.settings.gravity_scale == GravityScale.SG else "°Brix"
        self._habits.setText(f"{units} · {scale} at 20 °C  ")

    # --- what the menus do

    def new_batch(self) -> None:
        self.documents.new()

    def open_batch(self) -> None:
        self.documents.ask_and_open()

    def save(self) -> None:
        if accept_pending():
            self.documents.save()

    def save_as(self) -> None:
        if accept_pending():
            self.documents.save_as()

    def import_readings(self) -> None:
        self.exchange.ask_and_import(self.colours)

    def watch_file(self) -> None:
        self.exchange.ask_and_watch(self.colours)

    def watch_folder(self) -> None:
        self.exchange.ask_and_watch(self.colours, folder=True)

    def stop_watching(self) -> None:
        self.exchange.watching.stop()

    def _tell_watch(self) -> None:
        text = self.exchange.watching.text
        self._watched.setText(f"{text}  ✕")
        self._watched.setVisible(bool(text))
        self.menus.actions["stop_watching"].setEnabled(bool(text))

    def paste_readings(self) -> None:
        self.exchange.paste(self.colours)

    def export_readings(self) -> None:
        self.exchange.export_readings(self.outcome)

    def export_report(self) -> None:
        self.exchange.export_report(self.outcome)

    def save_picture(self) -> None:
        self.exchange.save_picture(self.curve.save_picture)

    def enter_reading(self) -> None:
        self.curve.enter_reading()

    def reset_zoom(self) -> None:
        self.curve.reset_zoom()

    def show_reasons(self) -> None:
        self.curve.show_reasons()

    def fold_recipe(self) -> None:
        self.recipe_fold.toggle()

    def fold_adjustment(self) -> None:
        self.adjustment_fold.toggle()

    def scale_batch(self) -> None:
        self.recipe_windows.scale()

    def show_routes(self) -> None:
        if accept_pending():
            self.recipe_windows.show_routes()

    def show_schedule(self) -> None:
        if accept_pending():
            self.recipe_windows.show_schedule()

    def choose(self) -> None:
        """A choice of a group in the menus: the action carries the method's name and the choice."""
        action = self.sender()
        if isinstance(action, QAction):
            method, choice = action.data()
            getattr(self, method)(choice)

    def set_system(self, choice: str) -> None:
        self.settings.system = System(choice)
        self._show_habits()

    def set_gravity_scale(self, choice: str) -> None:
        self.settings.gravity_scale = GravityScale(choice)
        self._show_habits()

    def set_axis(self, choice: str) -> None:
        self.settings.axis = choice
        self.curve.set_axis(choice)

    def set_level(self, choice: str) -> None:
        self.curve.set_level(choice)

    def set_appearance(self, choice: str) -> None:
        self.settings.appearance = Appearance(choice)
        self.appearance_changed.emit()

    def _show_habits(self) -> None:
        self._tell_habits()
        for pane in self.panes:
            pane.set_display(self.settings.display)
        self.recipe_windows.show_habits()
        for show in (self._show_curve, self._show_recipe, self._show_adjustment, self._show_the_rest):
            show()

    def show_findings(self) -> None:
        self.findings.show_findings(self.outcome.findings if self.outcome else (), self.settings.display)
        self.findings.show()
        self.findings.raise_()

    def _go_to(self, place: str) -> None:
        if place.startswith("recipe"):
            self.recipe_fold.unfold()
        elif place.startswith("adjustment"):
            self.adjustment_fold.unfold()
        elif place.startswith("log"):
            self.curve.go_to(place)

    def _go_to_recipe(self) -> None:
        self.recipe_fold.unfold()
        self.recipe.fruit.editor.empty.setFocus()

    def explain(self) -> None:
        self.explaining.tell()
        helping.explain(self)

    def show_sources(self) -> None:
        self._read("Sources", helping.sources_page(self.catalogue))

    def edit_ingredients(self) -> None:
        """Open the person's own ingredients, in a window that blocks nothing."""
        editor = IngredientEditor(self.own, self.settings.display, self)
        editor.kept.connect(self._take_ingredient)
        editor.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        editor.show()

    def _take_ingredient(self, row: object) -> None:
        """Let the open batch use the new values where it carries the ingredient."""
        batch = self.store.batch
        if isinstance(batch, Batch) and isinstance(row, Own) and batch.own.find(row.KIND, row.key) is not None:
            own = batch.own.having(row)
            self.store.edit(msgspec.structs.replace(batch, own=own), f"values of {row.name}")

    def show_provenance(self) -> None:
        self._read("Where the figures come from", page(self.outcome, self.catalogue, self.settings.display))

    def about(self) -> None:
        self._read("About", helping.about_page())

    def _read(self, title: str, html: str) -> None:
        reader = helping.Reader(title, html, self)
        reader.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        reader.show()

    # --- files in menus

    def _fill_recent(self) -> None:
        self._fill(self.menus.submenus["Open recent"], self.settings.recent_files)

    def _fill(self, menu: QMenu, paths: tuple[Path, ...] | list[Path]) -> None:
        menu.clear()
        for path in paths:
            action = menu.addAction(
                path.stem.replace("-", " ").capitalize() if menu.title() == "S&amples" else path.name
            )
            action.setData(str(path))
            action.setStatusTip(str(path))
            action.triggered.connect(self._open_chosen)
        menu.setEnabled(True)
        if not paths:
            menu.addAction("None yet").setEnabled(False)

    def _open_chosen(self) -> None:
        action = self.sender()
        if not isinstance(action, QAction):
            return
        path = Path(str(action.data()))
        if path.parent == samples():
            self.documents.open_sample(path)
        else:
            self.documents.open(path)

    # --- Qt

    def closeEvent(self, event: QCloseEvent) -> None:
        if not accept_pending() or not self.documents.may_leave():
            event.ignore()
            return
        self.settings.window_geometry = bytes(self.saveGeometry().data())
        self.settings.window_state = bytes(self.splitter.saveState().data())
        self.settings.curve_split = self.curve.split
        names = (("recipe", self.recipe_fold), ("adjustment", self.adjustment_fold))
        self.settings.folded_panes = (name for name, pane in names if pane.is_folded)
        self.settings.write()
        self.exchange.watching.shut_down()
        self.recalculator.shut_down()
        self.recipe_windows.shut_down()
        self._recovery.close()
        event.accept()
