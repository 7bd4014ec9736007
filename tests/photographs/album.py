"""What is photographed at one corner of the matrix: the window in all stages, its folds, menus, windows and questions."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QLocale, QSettings, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QMenu, QScrollArea, QWidget

from planner.app import Dresser, build
from planner.document.batch import Batch
from planner.document.codec import decode, encode
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.asking import AskWithDialogs
from planner.ui.recalculator import Recalculator
from planner.ui.settings import Appearance, Settings
from planner.ui.shell.screen import begin
from planner.ui.widgets.disclosure import Disclosure
from tests.cut_figures import cut_figures, cut_words
from tests.example_batches import with_sheets
from tests.flaws import beyond_the_screen, cut_cells, laid_over, scrolls_sideways, words_over_words
from tests.helpers import ScriptedAsk

if TYPE_CHECKING:
    from planner.ui.shell.window import Window
    from tests.photographs.__main__ import Corner

SAMPLES = ("quince-planned", "blackcurrant-half-way", "damson-stopped", "raspberry-finished")
TABLE = Path(__file__).parents[1] / "data" / "import" / "plum-month-first.txt"
STEPS = 4
"""Turns of the event loop after which what was asked for is drawn."""
WAITS, SOON = 60.0, 0.01
"""How long something may take, and how often it is looked at. [s]"""
ASKED = 700
"""After which a question of the desktop is photographed and left. [ms]"""


def photograph(place: Path, corner: Corner) -> int:
    """Photograph one corner; returns 1 where something is wrong, which is printed."""
    application = begin()
    theme.set_letters(application, corner.letters)
    place.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        album = Album(application, place, Path(home), corner)
        found = 0
        for line in album.all_of_it():
            print(f"{place.name}/{line}", flush=True)
            found = 1
        album.close()
    return found


class Album:
    """A window and its pictures."""

    def __init__(self, application: QApplication, place: Path, home: Path, corner: Corner) -> None:
        self._application, self._place, self._home = application, place, home
        self._cellar = home / "cellar"
        self._cellar.mkdir()
        for sample in SAMPLES:
            (self._cellar / f"{sample}.meadbatch").write_bytes((samples() / f"{sample}.meadbatch").read_bytes())
        settings = Settings(QSettings(f"{home}/s.ini", QSettings.Format.IniFormat), QLocale("en_GB"))
        settings.appearance, settings.cellar = Appearance(corner.theme), self._cellar
        self._settings = settings
        self._window: Window = build(settings, home / "copies", ScriptedAsk(), delay_ms=0)
        self._dresser = Dresser(application, self._window)

    def close(self) -> None:
        """Leave without a question."""
        self._window.unentered.forget()
        self._window.store.mark_saved()
        self._window.close()

    def all_of_it(self) -> Iterator[str]:
        """Photograph everything; what is wrong."""
        window = self._window
        window.first.show_page()
        window.showMaximized()
        self._dresser.dress()
        self._wait(lambda: window.opening.is_finished)
        yield from self._taken(window, "start")
        for sample in SAMPLES:
            self._open(sample)
            yield from self._taken(window, f"window-{sample}")
        yield from self._in_other_units()
        for sample, acts in DIALOGS.items():
            self._open(sample)
            for act in acts:
                yield from self._dialog(act)
        self._open("blackcurrant-half-way")
        yield from self._with_data()
        yield from self._questions()
        for sample in ("quince-planned", "blackcurrant-half-way", "raspberry-finished"):
            self._open(sample)
            yield from self._folds(sample)
        self._menus()

    def _open(self, sample: str) -> None:
        self._window.unentered.forget()
        self._window.store.mark_saved()
        self._window.documents.open_sample(samples() / f"{sample}.meadbatch")
        self._settle(self._window)

    def _in_other_units(self) -> Iterator[str]:
        self._window.menus.actions["set_system/us"].trigger()
        yield from self._taken(self._window, "window-us")
        self._window.menus.actions["set_system/metric"].trigger()

    def _dialog(self, act: str) -> Iterator[str]:
        """What a command opens."""
        self._window.menus.actions[act].trigger()
        yield from self._opened(act)

    def _opened(self, name: str) -> Iterator[str]:
        self._settle(self._window)
        opened = [w for w in QApplication.topLevelWidgets() if w.isVisible() and w is not self._window]
        for dialog in opened:
            self._settle(dialog)
            yield from self._taken(dialog, name)
            for button in dialog.findChildren(QWidget):
                if isinstance(button, Disclosure) and not button.isChecked() and button.isVisible():
                    button.setChecked(True)
            self._scrolled(dialog, name)
            dialog.close()
        if not opened:
            yield from self._taken(self._window, name)

    def _with_data(self) -> Iterator[str]:
        """Windows that show nothing without something to show."""
        window = self._window
        window.exchange.import_text(TABLE.read_text(encoding="utf-8"), window.colours)
        yield from self._opened("import")
        window.compare_files([self._cellar / f"{sample}.meadbatch" for sample in SAMPLES])
        self._wait(lambda: not self._is_busy(window.comparing.comparison))
        yield from self._opened("compare")
        window.edit_ingredients()
        for kind in ("fruits/quince", "yeasts/all-rounder", "additives/oak"):
            editor = window._editor
            if editor is not None and kind in [key for key, _ in editor._offered()]:
                editor._begin(kind)
                yield from self._taken(editor, f"ingredient-{kind.partition('/')[0]}")
        if window._editor is not None:
            window._editor.form = None
            window._editor.done(0)
        window.find_anything()
        for finder in [w for w in QApplication.topLevelWidgets() if isinstance(w, QDialog) and w.isVisible()]:
            finder.line.setText("hon")
            yield from self._taken(finder, "found")
            finder.close()
        self._show_batch(with_sheets())
        for act in ("show_sheets", "show_tests", "show_papers"):
            yield from self._dialog(act)
        window.curve.form.value.setFocus()
        window.explain()
        yield from self._taken(window, "explained")

    def _show_batch(self, batch: Batch) -> None:
        path = self._home / "sheets.meadbatch"
        path.write_bytes(encode(msgspec.structs.replace(batch, name="Winter sheets")))
        assert decode(path.read_bytes()).tests
        self._window.store.mark_saved()
        self._window.documents.load(path)
        self._settle(self._window)

    def _questions(self) -> Iterator[str]:
        """What the program asks, also through windows of Qt and the desktop."""
        ask = AskWithDialogs(self._window)
        long = "A rather long name of a batch of mead"
        boxes = {
            "save": ask.save_box(long), "add": ask.add_box("day 12 1.034"), "clash": ask.clash_box(f"{long}.meadbatch")[0],
            "confirm": ask.confirm_box("Move “Hedge” to the bin?", "It can be taken back.", "Move"),
            "tell": ask.tell_box("The readings were not imported.", "Line 3 holds no gravity.\nLine 4 neither."),
        }  # fmt: skip
        for name, box in boxes.items():
            box.show()
            yield from self._taken(box, f"question-{name}")
            box.close()
            box.deleteLater()
        from PySide6.QtGui import QPageSize

        for name, act in {
            "open": lambda: ask.open_path("Open", self._cellar, "Batches (*.meadbatch)"),
            "save-as": lambda: ask.save_path("Save", self._cellar / "x.meadbatch", "Batches (*.meadbatch)"),
            "folder": lambda: ask.folder_path("Choose a folder", self._cellar),
            "print": lambda: ask.paper("Print", "Batch", QPageSize(QPageSize.PageSizeId.A4), 3),
        }.items():
            self._modal(f"question-{name}", act)

    def _modal(self, name: str, act: Callable[[], object]) -> None:
        """A window of Qt that waits for an answer: it is photographed while it does."""

        def leave() -> None:
            for dialog in [w for w in QApplication.topLevelWidgets() if isinstance(w, QDialog) and w.isVisible()]:
                dialog.grab().save(str(self._place / f"{name}.png"))
                dialog.reject()

        QTimer.singleShot(ASKED, leave)
        act()

    def _folds(self, sample: str) -> Iterator[str]:
        """Every fold, opened; all of a pane that scrolls."""
        window = self._window
        while closed := [
            fold for fold in window.findChildren(Disclosure)
            if not fold.isChecked() and fold.isVisible() and fold.isEnabled() and fold.window() is window
        ]:  # fmt: skip
            for fold in closed:
                fold.setChecked(True)
            self._settle(window)
        yield from self._taken(window, f"folds-{sample}")
        self._scrolled(window, f"folds-{sample}")
        for fold in window.findChildren(Disclosure):
            fold.setChecked(False)

    def _scrolled(self, window: QWidget, name: str) -> None:
        """All of what scrolls in a window."""
        self._settle(window)
        for number, area in enumerate(window.findChildren(QScrollArea)):
            content = area.widget()
            if content is not None and area.isVisible() and content.height() > area.viewport().height():
                content.grab().save(str(self._place / f"{name}-all-{number}.png"))

    def _menus(self) -> None:
        for title, menu in self._window.menus.menus.items():
            self._grab_menu(menu, f"menu-{title.replace('&', '')}")
        canvas = self._window.curve.build_canvas()
        own = QMenu(self._window)
        own.addActions(canvas.actions())
        self._grab_menu(own, "menu-of-the-curve")

    def _grab_menu(self, menu: QMenu, name: str) -> None:
        menu.ensurePolished()
        menu.adjustSize()
        menu.grab().save(str(self._place / f"{name}.png"))

    # --- one picture

    def _taken(self, window: QWidget, name: str) -> Iterator[str]:
        """Photograph a window, and find what is wrong with it."""
        self._settle(window)
        window.grab().save(str(self._place / f"{name}.png"))
        flaws = (cut_figures, cut_words, cut_cells, laid_over, scrolls_sideways, words_over_words, beyond_the_screen)
        for flaw in flaws:
            yield from (f"{name}: {line}" for line in dict.fromkeys(flaw(window)))

    def _settle(self, window: QWidget) -> None:
        """Until everything is worked out and drawn."""
        self._wait(lambda: not self._is_busy(window) and _is_placed(window))
        for _ in range(STEPS):
            _turn()

    @staticmethod
    def _is_busy(window: QWidget) -> bool:
        cellar = getattr(window, "cellar", None) if "cellar" in vars(window) else None
        if cellar is not None and window.windowTitle() == "Cellar" and (not cellar.is_read or cellar.to_do):
            return True
        return any(worker.is_busy for worker in window.findChildren(Recalculator))

    @staticmethod
    def _wait(ready: Callable[[], bool]) -> None:
        end = time.monotonic() + WAITS
        while not ready():
            if time.monotonic() > end:
                raise TimeoutError("what was to be photographed did not come")
            _turn()
            time.sleep(SOON)


DIALOGS = {
    "quince-planned": ("show_schedule", "show_routes", "scale_batch", "propose_feeds", "pin_design", "show_sources"),
    "damson-stopped": ("show_findings", "show_reasons", "show_preferences", "show_keys", "about", "show_provenance"),
    "raspberry-finished": ("show_cellar", "show_lessons", "show_routes", "show_schedule", "show_sheets", "show_tests", "edit_ingredients"),
}  # fmt: skip
"""Commands that open something, with the sample that shows most of it."""


def _is_placed(window: QWidget) -> bool:
    """Whether the window manager has put a window where it stands."""
    return not window.isVisible() or not window.frameGeometry().isEmpty()


def _turn() -> None:
    QApplication.processEvents()
    QApplication.sendPostedEvents(None, 0)
