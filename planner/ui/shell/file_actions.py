"""The part of the window that does what its menu of files offers, and takes what is pasted."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from planner.evaluation.outcome import Outcome
    from planner.ui.asking import Ask
    from planner.ui.cellar.dialog import CellarDialog
    from planner.ui.comparing.windows import ComparingWindows
    from planner.ui.curve.pane import CurvePane
    from planner.ui.ingredients.own_shelf import OwnShelf
    from planner.ui.recipe.windows import RecipeWindows
    from planner.ui.settings import Settings
    from planner.ui.shell.actions import Menus
    from planner.ui.shell.documents import Documents
    from planner.ui.shell.exchange import Exchange
    from planner.ui.shell.first_minute import FirstMinute
    from planner.ui.shell.status_line import StatusLine
    from planner.ui.store import BatchStore
    from planner.ui.tasting.windows import TastingWindows
    from planner.ui.theme import Colours


class Filing:
    """What the menu of files does; the window itself says to what."""

    ask: Ask
    colours: Colours
    curve: CurvePane
    documents: Documents
    first: FirstMinute
    menus: Menus
    outcome: Outcome | None
    own: OwnShelf
    settings: Settings
    status: StatusLine
    store: BatchStore

    @cached_property
    def cellar(self) -> CellarDialog:
        """A folder of batches at a glance."""
        from planner.ui.cellar.dialog import CellarDialog

        assert isinstance(self, QWidget)
        return CellarDialog(
            self.own.base, self.settings, self.ask, self.documents.open, self.documents.follow, self.compare_files, self
        )

    @cached_property
    def comparing(self) -> ComparingWindows:
        """What was expected and what came, and batches side by side."""
        from planner.ui.comparing.windows import ComparingWindows

        assert isinstance(self, QWidget)
        return ComparingWindows(self.own.base, self.settings, self.ask, self.documents.take_next, self)

    @cached_property
    def tasting(self) -> TastingWindows:
        """Tasting sheets and blind tests."""
        from planner.ui.tasting.windows import TastingWindows

        assert isinstance(self, QWidget)
        return TastingWindows(self.store, self.settings, self.ask, lambda: self.documents.path, self)

    @property
    def recipe_windows(self) -> RecipeWindows:
        """The recipe's windows of their own."""
        raise NotImplementedError

    @property
    def exchange(self) -> Exchange:
        """The way of readings, reports and pictures in and out."""
        raise NotImplementedError

    def new_batch(self) -> None:
        self.documents.new()

    def show_first_steps(self) -> None:
        self.first.show_page()

    def next_batch(self) -> None:
        if is_accepted():
            self.documents.follow()

    def open_batch(self) -> None:
        self.documents.ask_and_open()

    def show_cellar(self) -> None:
        """Open the cellar, in a window that blocks nothing."""
        if is_accepted():
            self.cellar.show_open(self.documents.path)
            self.cellar.show()
            self.cellar.activateWindow()

    def show_lessons(self) -> None:
        """Open what was expected and what came, in a window that blocks nothing."""
        self.comparing.show_lessons(self.outcome)

    def show_learning(self) -> None:
        """Open what earlier batches teach, in a window that blocks nothing."""
        if is_accepted():
            self.recipe_windows.show_learning()

    def show_sheets(self) -> None:
        """Open the tasting sheets, in a window that blocks nothing."""
        if is_accepted():
            self.tasting.sheets.show()
            self.tasting.sheets.activateWindow()

    def show_tests(self) -> None:
        """Open the blind tests, in a window that blocks nothing."""
        if is_accepted():
            self.tasting.tests.show()
            self.tasting.tests.activateWindow()

    def compare_batches(self) -> None:
        """Set this batch beside others, in a window that blocks nothing."""
        if is_accepted():
            self.comparing.compare(self.store.batch)

    def compare_files(self, paths: Sequence[Path]) -> None:
        """Set the batches of some files side by side."""
        self.comparing.compare_files(paths)

    def save(self) -> None:
        if is_accepted():
            self.documents.save()

    def save_as(self) -> None:
        if is_accepted():
            self.documents.save_as()

    def import_readings(self) -> None:
        self.exchange.ask_and_import(self.colours)

    def watch_file(self) -> None:
        self.exchange.ask_and_watch(self.colours)

    def watch_folder(self) -> None:
        self.exchange.ask_and_watch(self.colours, folder=True)

    def stop_watching(self) -> None:
        self.exchange.watching.stop()

    def tell_watch(self) -> None:
        text = self.exchange.watching.text
        self.status.tell_watch(text)
        self.menus.actions["stop_watching"].setEnabled(bool(text))

    def paste_readings(self) -> None:
        self.exchange.paste(self.colours)

    def export_readings(self) -> None:
        self.exchange.export_readings(self.outcome)

    def export_report(self) -> None:
        self.exchange.export_report(self.outcome)

    def show_papers(self) -> None:
        self.exchange.show_papers(self.outcome)

    def save_picture(self) -> None:
        self.exchange.save_picture(self.curve.save_picture)

    def lay_beside(self) -> None:
        """Ask for an earlier batch, and lay its curve beside this one."""
        earlier = self.exchange.ask_for_earlier()
        if earlier is None:
            return
        name = earlier.batch.name
        if self.curve.lay_beside(earlier):
            self.status.showMessage(f"{name} lies beside, counted from its own pitching")
        else:
            self.status.showMessage(f"{name} has neither a recipe nor readings to draw")
        self.menus.actions["take_away"].setEnabled(self.curve.is_beside)

    def take_away(self) -> None:
        """Take the earlier batch off the curve."""
        if self.curve.is_beside:
            self.curve.lay_beside(None)
            self.menus.actions["take_away"].setEnabled(False)


def is_accepted() -> bool:
    """Accept what is being typed, if anything is; False if it was refused."""
    from planner.ui.widgets.fields import accept_pending

    return accept_pending()
