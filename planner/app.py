"""The composition root: makes the parts, puts them together, and starts the program."""

from __future__ import annotations

import argparse
import gc
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QStandardPaths, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QIcon
from PySide6.QtWidgets import QApplication

from planner.desktop import ID
from planner.document.batch import Batch
from planner.document.codec import decode, encode_quickly, refuse_impossible
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.random_scores import MEMBERS
from planner.reference.catalogue import Catalogue, catalogue
from planner.reference.shipped import resources
from planner.ui import theme
from planner.ui.asking import Ask, AskWithDialogs
from planner.ui.ingredients.own_shelf import FILE, OwnShelf
from planner.ui.recalculator import Recalculator
from planner.ui.settings import FOLDER, Appearance, Settings, open_store
from planner.ui.shell.caret import Caret
from planner.ui.shell.documents import begun
from planner.ui.shell.errors import ErrorReporter, start_log
from planner.ui.shell.recovery import Recovery
from planner.ui.shell.screen import begin
from planner.ui.shell.window import TITLE, Window
from planner.ui.store import BatchStore

QUICK = 30.0
"""The typical course is worked out at once, before the next event, where it takes no longer. [ms]"""


def work_out(batch: Batch, shelf: Catalogue, members: int) -> Outcome:
    """What follows from a batch now; without members its course alone."""
    return evaluate(batch, shelf, members, datetime.now().astimezone(), to_tell=members > 0)


def is_dark(appearance: Appearance) -> bool:
    """Whether the window is to be dark, by the person's choice or the desktop's."""
    if appearance is Appearance.SYSTEM:
        return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
    return appearance is Appearance.DARK


def build(settings: Settings, copies: Path, ask: Ask | None = None, delay_ms: int = 40) -> Window:
    """A window with everything it needs, not yet shown.

    `copies` is the folder for safety copies; `ask` answers the program's questions where no person does.
    """
    shelf = catalogue()
    own = OwnShelf(shelf, settings.folder / FILE)
    store = BatchStore(begun(settings), complete=own.carried, refuse=refuse_impossible)
    stages = (partial(work_out, shelf=shelf, members=0), partial(work_out, shelf=shelf, members=MEMBERS))
    asking = AskWithDialogs() if ask is None else ask
    recovery = Recovery(copies, encode_quickly, decode)
    recalculator = Recalculator(stages, delay_ms, QUICK, is_eager=True)
    window = Window(store, own, settings, asking, recovery, recalculator, theme.colours(is_dark(settings.appearance)))
    for part in (store, own, recovery, recalculator):
        part.setParent(window)
    if isinstance(asking, AskWithDialogs):
        asking.speak_over(window)
    return window


class Dresser:
    """Keeps the program in the colours that the person or the desktop asks for."""

    def __init__(self, application: QApplication, window: Window) -> None:
        self._application, self._window = application, window
        self._is_dark: bool | None = None
        window.appearance_changed.connect(self.dress)
        application.styleHints().colorSchemeChanged.connect(self.dress)
        self.dress()

    def dress(self) -> None:
        """Apply the present choice, where it is another one: to dress every widget again takes a while."""
        dark = is_dark(self._window.settings.appearance)
        if dark == self._is_dark:
            return
        self._is_dark = dark
        theme.apply(self._application, dark)
        self._window.set_colours(theme.colours(dark))


def collect_again() -> None:
    """Let garbage be collected from now on, and never search what the start made: modules and widgets stay."""
    gc.freeze()
    gc.enable()


def _open_at_start(window: Window, chosen: argparse.Namespace) -> None:
    """Open what the command line names."""
    if chosen.sample is not None:
        window.documents.open_sample(chosen.sample)
    elif chosen.batch is not None:
        window.documents.load(chosen.batch)
    elif window.settings.is_first:
        window.first.show_page()


def main(chosen: argparse.Namespace) -> int:
    """Run the program as `starting.parse` understood the command line; returns its exit code."""
    QCoreApplication.setApplicationName(FOLDER)
    QGuiApplication.setDesktopFileName(ID)
    application = begin()
    application.setWindowIcon(QIcon(str(resources() / "icons" / "program-256.png")))
    application.setApplicationDisplayName(TITLE)
    settings = Settings(open_store())
    theme.set_letters(application, settings.letters)
    Caret(application)
    folder = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation))
    handler = start_log(folder / "log.txt")
    window = build(settings, folder / "unsaved")
    reporter = ErrorReporter(window.ask.tell, window)
    reporter.install()
    dresser = Dresser(application, window)
    _open_at_start(window, chosen)
    window.show()
    dresser.dress()
    window.opening.finished.connect(collect_again)
    window.opening.finished.connect(window.documents.tell_what_is_not_kept)
    window.opening.finished.connect(window.documents.offer_unsaved)
    if chosen.seconds is not None:
        QTimer.singleShot(int(chosen.seconds * 1000), window.close)
    code = application.exec()
    reporter.uninstall()
    handler.close()
    return code
