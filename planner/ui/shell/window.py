"""The window: three panes on one batch, the menus, and a status line."""

from __future__ import annotations

from functools import cached_property
from importlib import import_module
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QByteArray, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QKeySequence, QShowEvent

from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome, carried_over, pending
from planner.reference.own import Own
from planner.ui.asking import Ask
from planner.ui.curve.pane import CurvePane
from planner.ui.ingredients.own_shelf import OwnShelf
from planner.ui.log.when import now
from planner.ui.parts_made import is_made, made
from planner.ui.recalculator import Recalculator
from planner.ui.settings import Settings
from planner.ui.shell.actions import ON_CURVE, Menus, offer
from planner.ui.shell.documents import Documents
from planner.ui.shell.dropping import Dropping
from planner.ui.shell.editing import Editing
from planner.ui.shell.file_actions import Filing, is_accepted
from planner.ui.shell.file_menus import FileMenus
from planner.ui.shell.findings_list import FindingsList
from planner.ui.shell.first_minute import FirstMinute
from planner.ui.shell.head import Head
from planner.ui.shell.opening import Opening
from planner.ui.shell.recovery import Recovery
from planner.ui.shell.status_line import StatusLine
from planner.ui.shell.three_panes import ThreePanes
from planner.ui.shell.unentered import Unentered
from planner.ui.store import BatchStore
from planner.ui.theme import Colours
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.remarks import reveal

if TYPE_CHECKING:
    from planner.ui.adjust.pane import AdjustPane
    from planner.ui.ingredients.editor import IngredientEditor
    from planner.ui.recipe.pane import RecipePane
    from planner.ui.recipe.windows import RecipeWindows
    from planner.ui.shell.exchange import Exchange
    from planner.ui.shell.explaining import Explaining
    from planner.ui.shell.folding import FoldingPane
    from planner.ui.shell.pinning import Pin
    from planner.ui.shell.search_index import Place

TITLE = "Fruit Mead Planner"
SMALLEST, USUAL_SIZE = (60, 18), (183, 57)
"""Of the window, as far as the screen reaches. [figures by lines]"""
LATE = 200
"""After how long without an answer results are dimmed; sooner would flicker at each key. [ms]"""


class Window(Filing, Dropping, Editing):
    """Holds the parts together; each of them knows the store, and none of them another.

    The frame and the curve are made first; each other part when it is first asked for, and those that can be seen
    one by one as soon as the curve is on the screen.

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
        self.curve = CurvePane(self.store, self.catalogue, self.settings.display, self.colours)
        self.unentered = Unentered(self, self.curve, ask)
        self.documents = Documents(store, settings, ask, recovery, self.unentered, self)
        self._editor: IngredientEditor | None = None
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
        self._forget()
        self.show_batch(store.batch)
        if own.problem:
            self.status.showMessage(own.problem)

    # --- making

    def _make_panes(self) -> None:
        self.room = ThreePanes(self.curve.headline)
        self.recipe_fold, self.curve_fold, self.adjustment_fold = self.room.folds.values()
        self.splitter, self.making_room = self.room.splitter, self.room.making_room
        self.curve_fold.put_in(self.curve)
        self.head = Head(self.catalogue)
        self.head.badge.clicked.connect(self.show_findings)
        self.making_room.sheet_changed.connect(self._move_sheet)
        self.opening = Opening((
            lambda: self.curve.log, lambda: import_module("planner.ui.recipe.pane"), lambda: self._new_recipe,
            lambda: self.recipe, lambda: import_module("planner.ui.adjust.pane"), lambda: self._new_adjustment,
            lambda: self.adjustment, lambda: self.explaining,
        ), self)  # fmt: skip
        self.curve.curve_painted.connect(self.opening.go)
        self.curve.curve_painted.connect(self._offer_on_curve)
        self.opening.finished.connect(self.making_room.begin)
        self.opening.finished.connect(self.curve_fold.put_in_order)  # curve and log came after it was put in
        self.opening.finished.connect(self.recalculator.release)
        self.opening.finished.connect(self.room.draw_pictures)
        self.first = FirstMinute(self, self.head, self.room, self)
        self.setCentralWidget(self.first.middle)
        self.setAcceptDrops(True)

    @cached_property
    def _new_recipe(self) -> RecipePane:
        from planner.ui.recipe.pane import RecipePane

        return RecipePane(self.store, self.catalogue, self.settings.display, self.colours)

    @cached_property
    def recipe(self) -> RecipePane:
        """The left pane."""
        pane = self._new_recipe
        pane.routes_wanted.connect(self.show_routes)
        pane.learning_wanted.connect(self.show_learning)
        pane.schedule_wanted.connect(self.show_schedule)
        self._take_in(pane, self.recipe_fold)
        return pane

    @cached_property
    def _new_adjustment(self) -> AdjustPane:
        from planner.ui.adjust.pane import AdjustPane

        return AdjustPane(self.store, self.catalogue, self.settings.display, self.colours, ask=self.ask)

    @cached_property
    def adjustment(self) -> AdjustPane:
        """The right pane."""
        pane = self._new_adjustment
        pane.recipe_wanted.connect(self._go_to_recipe)
        self._take_in(pane, self.adjustment_fold)
        return pane

    def _offer_on_curve(self) -> None:
        """The menu of the curve: entries of the menus, which tell their keys."""
        canvas = self.curve.build_canvas()
        if not canvas.actions():
            offer(canvas, self.menus, ON_CURVE)

    def _move_sheet(self, name: str) -> None:
        """The one act that is due goes with the sheet."""
        self.curve.set_at_work(name == "curve")
        self._colour_panes()

    def _colour_panes(self) -> None:
        for name in self.room.folds:
            for pane in made(self, name):
                pane.set_colours(self.room.colours_of(name, self.colours))

    def _take_in(self, pane: RecipePane | AdjustPane, fold: FoldingPane) -> None:
        """Show in a pane that was made now what was to be shown up to now."""
        pane.show_batch(self.store.batch)
        self._show_in(pane)
        fold.put_in(pane)

    @cached_property
    def explaining(self) -> Explaining:
        """Where the results come from."""
        from planner.ui.shell.explaining import Explaining

        explaining = Explaining(self.recipe, self.curve, self.adjustment, self.catalogue, self)
        if self.outcome is not None:
            explaining.show_outcome(self.outcome, self.settings.display)
        return explaining

    @cached_property
    def exchange(self) -> Exchange:
        """The way of readings, reports and pictures in and out."""
        from planner.ui.shell.exchange import Exchange

        exchange = Exchange(self.store, self.catalogue, self.settings, self.ask, self)
        exchange.said.connect(self.status.showMessage)
        exchange.watching.said.connect(self.status.showMessage)
        exchange.watching.changed.connect(self.tell_watch)
        return exchange

    @cached_property
    def recipe_windows(self) -> RecipeWindows:
        """Routes, schedule and scaling."""
        from planner.ui.recipe.windows import RecipeWindows

        windows = RecipeWindows(self.store, self.catalogue, self.settings, self.ask, self, lambda: self.documents.path)
        windows.said.connect(self.status.showMessage)
        if self.outcome is not None:
            windows.show_outcome(self.outcome)
        return windows

    @cached_property
    def findings(self) -> FindingsList:
        """All doubts in a list."""
        findings = FindingsList(self)
        findings.chosen.connect(self._go_to)
        return findings

    @property
    def panes(self) -> tuple[RecipePane | CurvePane | AdjustPane, ...]:
        """The panes that are made."""
        return (self.curve, *made(self, "recipe", "adjustment"))

    def _make_menus(self) -> None:
        stack = self.store.undo_stack
        undo, redo = stack.createUndoAction(self, "&Undo"), stack.createRedoAction(self, "&Redo")
        undo.setShortcut("Ctrl+Z")
        redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
        self.menus = Menus(self.menuBar(), self, undo, redo)
        places = self.menus.submenus
        FileMenus(places["Open recent"], places["Samples"], self.documents, self.settings, self)
        for name in (f"set_system/{self.settings.system}", f"set_gravity_scale/{self.settings.gravity_scale}",
                     f"set_appearance/{self.settings.appearance}", f"set_axis/{self.settings.axis}",
                     "set_level/gravity"):  # fmt: skip
            self.menus.actions[name].setChecked(True)

    def _make_status_line(self) -> None:
        self.status = StatusLine(self.store.undo_stack, self.settings)
        self.status.end_of_watch_wanted.connect(self.stop_watching)
        self.setStatusBar(self.status)
        self.menus.actions["stop_watching"].setEnabled(False)
        for name in ("take_away", "swap_pinned", "keep_pinned"):
            self.menus.actions[name].setEnabled(False)

    def _connect(self) -> None:
        self.store.changed.connect(self.show_batch)
        self.store.loaded.connect(self.take_away)
        self.store.loaded.connect(self.making_room.expect_stage)
        self.store.loaded.connect(self._forget)
        self.store.modified_changed.connect(self.setWindowModified)
        self.own.changed.connect(self._show_shelf)
        self.recalculator.finished.connect(self.show_outcome)
        self.recalculator.failed.connect(self._tell_failure)
        self.documents.place_changed.connect(self._retitle)
        self.documents.place_changed.connect(self._tell_file)
        self.status.file_wanted.connect(self.documents.settle)
        self.documents.said.connect(self.status.showMessage)
        self.curve.set_axis(self.settings.axis)
        self.curve.import_requested.connect(self.import_readings)

    def _restore_layout(self) -> None:
        fit(self, *SMALLEST)
        self.setMinimumSize(self.size())
        fit(self, *USUAL_SIZE)
        if self.settings.window_geometry:
            self.restoreGeometry(QByteArray(self.settings.window_geometry))
        if self.settings.window_state:
            self.splitter.restoreState(QByteArray(self.settings.window_state))
            self.making_room.keep_widths()
        if self.settings.curve_split:
            self.curve.split = self.settings.curve_split
        self.making_room.fold_by_hand(self.settings.folded_panes)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show a batch at once, and what follows from it as soon as it is worked out."""
        self.own.show_batch(batch)
        answer = carried_over(self.outcome, batch, self.catalogue, now()) if self.outcome else None
        if answer is None:
            self._dimming.start()
            self.recalculator.request(batch)  # the curve is on the screen before anything else, where it comes at once
        self.head.show_batch(batch)
        for pane in self.panes:
            pane.show_batch(batch)
        if is_made(self, "recipe_windows"):
            self.recipe_windows.show_batch(batch)
        self._retitle()
        if answer is not None:
            self.recalculator.drop()
            self.show_outcome(answer)

    def _forget(self) -> None:
        """Another batch comes: nothing of this one is said of it."""
        self.outcome = None
        for pane in self.panes:
            self._show_in(pane)
        self.head.forget()

    def show_outcome(self, outcome: object) -> None:
        """Show what follows from the batch: the typical course alone moves the curve; all that is told waits for the whole."""
        if not isinstance(outcome, Outcome):
            return
        if (
            outcome.with_band or not self.making_room.knows_stage
        ):  # known before anything is painted: nothing moves later
            self.making_room.show_stage(outcome.headline.stage)
            self.head.stem.show_outcome(outcome)
            self.first.show_stage(outcome.headline.stage)
        self.curve.show_curve(outcome)
        if outcome.with_band:
            self.outcome = outcome
            self._dimming.stop()
            self.recalculator.spread(self._show_curve, self._show_recipe, self._show_adjustment, self._show_the_rest)

    # Each in a turn of the event loop of its own, so that what is typed meanwhile never waits for all of them.

    def _show_curve(self) -> None:
        self._show_in(self.curve)

    def _show_recipe(self) -> None:
        if is_made(self, "recipe"):
            self._show_in(self.recipe)

    def _show_adjustment(self) -> None:
        if is_made(self, "adjustment"):
            self._show_in(self.adjustment)

    def _show_in(self, pane: RecipePane | CurvePane | AdjustPane) -> None:
        pane.show_outcome(self.outcome or pending(self.store.batch))
        pane.set_stale(False)

    def _show_the_rest(self) -> None:
        outcome = self.outcome
        if outcome is None:
            return
        for part in made(self, "recipe_windows", "comparing"):
            part.show_outcome(outcome)
        if is_made(self, "explaining"):
            self.explaining.show_outcome(outcome, self.settings.display)
        self.head.show_outcome(outcome, self.settings.display)
        if is_made(self, "findings") and self.findings.isVisible():
            self.findings.show_findings(outcome.findings, self.settings.display)

    def _show_shelf(self) -> None:
        """Offer other ingredients: the person's own changed, or the batch brought some along."""
        self.curve.show_shelf()
        if is_made(self, "recipe"):
            self.recipe.show_shelf()
        if is_made(self, "adjustment"):
            self.adjustment.additions.set_catalogue(self.catalogue)

    def set_colours(self, colours: Colours) -> None:
        """Dress the panes for a light or dark screen."""
        self.colours = colours
        self._colour_panes()

    def _dim(self) -> None:
        """Results are late: show that they are of the batch before."""
        for pane in self.panes:
            pane.set_stale(True)

    def _retitle(self) -> None:
        batch = self.store.batch
        name = batch.name
        self.setWindowTitle(f"{name.replace('[*]', '[*][*]')}[*] – {TITLE}")
        self.setWindowModified(self.store.is_modified)
        self.setWindowFilePath(str(self.documents.path) if self.documents.path else "")

    def _tell_file(self) -> None:
        self.status.tell_file(self.documents.trouble)

    def _tell_failure(self, failure: object) -> None:
        """A fault in the science is a bug: say so once, keep the last results, and keep the window alive."""
        raise RuntimeError("The batch could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )

    # --- what the menus do

    @property
    def place(self) -> Place:
        """Where is searched for what can be found."""
        from planner.ui.shell.search_index import Place

        return Place(self.menus.by_menu, self.room.folds, self.recipe, self.curve, self.adjustment, self.catalogue,
                     self.outcome, self.settings.display, self._go_to)  # fmt: skip

    @cached_property
    def pin(self) -> Pin:
        """The design that is pinned, if one is."""
        from planner.ui.shell.pinning import Pin

        return Pin(self, self)

    def pin_design(self) -> None:
        self.pin.toggle()

    def swap_pinned(self) -> None:
        self.pin.swap()

    def keep_pinned(self) -> None:
        self.pin.keep()

    def propose_feeds(self) -> None:
        self.recipe_fold.unfold()
        self.recipe.feeding.propose()

    def scale_batch(self) -> None:
        self.recipe_windows.scale()

    def show_routes(self) -> None:
        if is_accepted():
            self.recipe_windows.show_routes()

    def show_schedule(self) -> None:
        if is_accepted():
            self.recipe_windows.show_schedule()

    def show_habits(self) -> None:
        self.status.tell_habits()
        for pane in self.panes:
            pane.set_display(self.settings.display)
        self.first.set_display(self.settings.display)
        for part in made(self, "recipe_windows", "cellar", "comparing", "tasting"):
            part.show_habits()
        for show in (self._show_curve, self._show_recipe, self._show_adjustment, self._show_the_rest):
            show()

    def show_findings(self) -> None:
        self.findings.show_findings(self.outcome.findings if self.outcome else (), self.settings.display)
        self.findings.show()
        self.findings.stand_under(self.head.badge)
        self.findings.raise_()

    def _go_to(self, place: str) -> None:
        if place.startswith("log"):
            self.curve_fold.unfold()
            self.curve.go_to(place)
            return
        is_recipe = place.startswith("recipe")
        (self.recipe_fold if is_recipe else self.adjustment_fold).unfold()
        reveal(self.recipe if is_recipe else self.adjustment, place)

    def _go_to_recipe(self) -> None:
        self.recipe_fold.unfold()
        self.recipe.fruit.editor.empty.setFocus()

    def edit_ingredients(self) -> None:
        """Open the person's own ingredients, in a window that blocks nothing."""
        from planner.ui.ingredients.editor import IngredientEditor

        if self._editor is None:
            self._editor = IngredientEditor(self.own, self.settings.display, self, ask=self.ask)
            self._editor.kept.connect(self._take_ingredient)
            self._editor.finished.connect(self._forget_editor)
            self._editor.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._editor.show()
        self._editor.activateWindow()

    def _forget_editor(self) -> None:
        self._editor = None

    def _take_ingredient(self, row: object) -> None:
        """Let the open batch use the new values where it carries the ingredient."""
        batch = self.store.batch
        if isinstance(row, Own) and batch.own.find(row.KIND, row.key) is not None:
            own = batch.own.having(row)
            self.store.edit(msgspec.structs.replace(batch, own=own), f"values of {row.name}")

    # --- Qt

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self.opening.is_finished:
            self.recalculator.hold()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not (self._editor is None or self._editor.close()) or not self.documents.may_leave():
            event.ignore()
            return
        self.settings.window_geometry = bytes(self.saveGeometry().data())
        self.settings.window_state = bytes(self.splitter.saveState().data())
        self.settings.curve_split = self.curve.split
        self.settings.folded_panes = self.making_room.by_hand
        self.settings.write()
        self.opening.stop()
        self.making_room.end()
        self.recalculator.shut_down()
        if is_made(self, "exchange"):
            self.exchange.watching.shut_down()
        for part in made(self, "recipe_windows", "cellar", "comparing", "tasting"):
            part.shut_down()
        self._recovery.close()
        event.accept()
