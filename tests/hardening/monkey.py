"""A monkey at the real window: whatever it does, no exception, no warning of Qt, and one answer to one question.

`python -m tests.hardening.monkey --actions 50000 --seeds 10`
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import random
import shutil
import tempfile
import threading
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

from tests import screen

SETTLE_EVERY = 40
"""Actions between two looks at what the window tells, once it has an answer to all of them."""
LONGEST_ANSWER = 60.0
"""[s]"""
TEXTS = (
    "1.05", "12", "3,5 kg", "1 1/2 lb", "-4", "a lot", "", " ", "<b>x</b>", "20 °C", "68 °F", "day 12", "2026-05-01", "now",
    "9" * 40, "nan", "½", "1e9", "bottled 24 x 0.75 l", "fed 4 g", "racked", "\u202e", "12 %", "0",
)  # fmt: skip
TOLERATED = ("does not support", "propagateSizeHints")
"""Of the platform without a screen: it has no window manager."""
LEFT_OUT = {"close", "explain", "set_appearance/system", "show_papers"}
"""Acts that end the window, wait for a click, or ask the desktop; pages are set by a tool of their own."""


class AnyAnswer:
    """Answers each question by chance, with files of one folder."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self._folder, self._chance = folder, chance
        self.told: list[str] = []
        self.give_up: Any = None
        """The answer to whatever is asked when the window ends."""

    def choose_by(self, chance: random.Random) -> None:
        """Go on with other chances."""
        self._chance = chance

    def _answer(self, kind: Any) -> Any:
        return self.give_up or self._chance.choice(list(kind))

    def save_changes(self, _name: str) -> Any:
        from planner.ui.asking import Answer

        return self._answer(Answer)

    def add_typed(self, _text: str) -> Any:
        return self.save_changes("")

    def file_changed(self, _name: str) -> Any:
        from planner.ui.asking import Clash

        return self._answer(Clash)

    def open_path(self, _title: str, _folder: Path, _kinds: str) -> Path | None:
        there = [path for path in sorted(self._folder.iterdir()) if path.is_file()]
        return self._chance.choice([None, *there])

    def folder_path(self, _title: str, _folder: Path) -> Path | None:
        return self._chance.choice([None, self._folder])

    def save_path(self, _title: str, suggestion: Path, _kinds: str) -> Path | None:
        return self._chance.choice(
            [None, self._folder / f"{self._chance.randrange(6)}{suggestion.suffix or '.meadbatch'}"]
        )

    def paper(self, *_question: object) -> None:
        return None

    def confirm(self, _question: str, _details: str, _act: str) -> bool:
        return bool(self.give_up) or self._chance.random() < 0.5

    def tell(self, text: str, details: str = "") -> None:
        self.told.append(f"{text} {details}"[:200])


class Monkey:
    """Does things to one window, and looks whether it still tells one story."""

    def __init__(self, folder: Path, seed: str, faults: list[str], place: Any = None) -> None:
        from PySide6.QtCore import QLocale, QSettings

        from planner.app import build
        from planner.ui.settings import Settings

        self.chance, self.faults, self.folder = random.Random(seed), faults, folder
        store = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
        locale = place or QLocale(self.chance.choice(["en_GB", "en_US", "de_DE", "fr_FR"]))
        self.ask = AnyAnswer(folder, self.chance)
        self.window = build(Settings(store, locale), folder / "copies", self.ask, delay_ms=0)
        self.window.show()
        self.done: Counter[str] = Counter()
        self.history: list[str] = []
        self.settle()

    def settle(self) -> None:
        """Let the window answer everything it was asked."""
        from PySide6.QtWidgets import QApplication

        end = time.monotonic() + LONGEST_ANSWER
        while time.monotonic() < end:
            QApplication.processEvents()
            window = self.window
            if window.opening.is_finished and not window.recalculator.is_busy and window.outcome is not None:
                QApplication.processEvents()
                if not window.recalculator.is_busy and window.outcome.batch == window.store.batch:
                    return
            time.sleep(0.001)
        self.faults.append(f"no answer within {LONGEST_ANSWER:g} s after {self.history[-5:]}")

    def act(self) -> None:
        """One thing, by chance."""
        from PySide6.QtWidgets import QApplication

        ways = (
            self._type,
            self._type,
            self._press,
            self._menu,
            self._choose,
            self._step,
            self._undo,
            self.add_a_reading,
            self._row,
        )
        way = self.chance.choice(ways)
        self.done[way.__name__.lstrip("_")] += 1
        try:
            way()
            QApplication.processEvents()
            drop_what_is_done_with()
        except Exception:  # noqa: BLE001  every one is what is sought
            self.faults.append(f"{self.history[-3:]}: {traceback.format_exc()[-1500:]}")

    def _seen(self, kind: type) -> Any:
        from PySide6.QtWidgets import QApplication

        found = [
            widget for top in QApplication.topLevelWidgets() if top.isVisible()
            for widget in top.findChildren(kind) if widget.isVisible() and widget.isEnabled()
        ]  # fmt: skip
        widget = self.chance.choice(found) if found else None
        if widget is not None:
            self.history.append(
                f"{type(widget).__name__} {widget.accessibleName() or getattr(widget, 'text', str)()!r}"[:80]
            )
        return widget

    def _type(self) -> None:
        from PySide6.QtWidgets import QLineEdit, QPlainTextEdit

        field = self._seen(self.chance.choice([QLineEdit, QLineEdit, QLineEdit, QPlainTextEdit]))
        if field is None or field.isReadOnly():
            return
        field.setFocus()
        text = self.chance.choice(TEXTS)
        self.history[-1] += f" ← {text[:20]!r}"
        if isinstance(field, QPlainTextEdit):
            field.setPlainText(text)
            return
        field.setText(text)
        field.textEdited.emit(text)
        if self.chance.random() < 0.7:
            self._key("Key_Return", field)

    def _key(self, name: str, widget: Any, shift: bool = False) -> None:
        from PySide6.QtCore import QEvent, Qt
        from PySide6.QtGui import QKeyEvent
        from PySide6.QtWidgets import QApplication
        from shiboken6 import isValid

        modifiers = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            if not isValid(widget):
                return  # the press took its form away
            QApplication.sendEvent(widget, QKeyEvent(kind, getattr(Qt.Key, name), modifiers))

    def _press(self) -> None:
        from PySide6.QtWidgets import QAbstractButton

        button = self._seen(QAbstractButton)
        if button is not None and button.menu() is None if hasattr(button, "menu") else button is not None:
            button.click()

    def _menu(self) -> None:
        actions = self.window.menus.actions
        name = self.chance.choice(sorted(set(actions) - LEFT_OUT))
        self.history.append(f"menu {name}")
        actions[name].trigger()

    def _choose(self) -> None:
        from PySide6.QtCore import Qt
        from PySide6.QtWidgets import QComboBox

        field = self._seen(QComboBox)
        if field is None or not field.count():
            return
        index = self.chance.randrange(field.count())
        if field.model().flags(field.model().index(index, 0)) & Qt.ItemFlag.ItemIsEnabled:  # not a heading among them
            field.setCurrentIndex(index)
            field.activated.emit(index)

    def _step(self) -> None:
        from planner.ui.widgets.fields import QuantityField

        field = self._seen(QuantityField)
        if field is not None:
            field.setFocus()
            self._key(
                self.chance.choice(["Key_Up", "Key_Down", "Key_Escape", "Key_Tab"]), field, self.chance.random() < 0.3
            )

    def _undo(self) -> None:
        stack = self.window.store.undo_stack
        self.history.append("undo or redo")
        for _ in range(self.chance.choice((1, 1, 5))):
            stack.undo() if self.chance.random() < 0.6 else stack.redo()

    def add_a_reading(self) -> None:
        """One more reading of the hydrometer."""
        from planner.document import edits
        from planner.document.batch import HydrometerReading

        self.history.append("a reading")
        reading = HydrometerReading(
            day=round(self.chance.uniform(0, 40), 1), gravity=round(self.chance.uniform(0.99, 1.1), 3)
        )
        self.window.store.edit(edits.add_readings(self.window.store.batch, reading), "add a reading")

    def _row(self) -> None:
        from planner.reference.shipped import samples

        self.history.append("a sample")
        if self.chance.random() < 0.25:
            self.window.documents.open_sample(self.chance.choice(sorted(samples().glob("*.meadbatch"))))

    def contradictions(self) -> list[str]:
        """Where the window tells two things of one batch."""
        from planner.document.codec import decode, encode
        from planner.ui.widgets.remarks import counted, in_words

        window, outcome = self.window, self.window.outcome
        if outcome is None:
            return ["no answer"]
        found = []
        display = window.settings.display
        said = window.curve.headline.sentence.text()
        if said != in_words(outcome.headline.sentence, display):
            found.append(f"headline {said!r} and {in_words(outcome.headline.sentence, display)!r}")
        doubts = window.head.badge.accessibleName().rpartition(": ")[2]
        if doubts != counted(outcome.findings):
            found.append(f"doubts {doubts!r} and {counted(outcome.findings)!r}")
        if window.store.batch != outcome.batch:
            found.append("an answer to another batch")
        if decode(encode(window.store.batch)) != window.store.batch:
            found.append("a batch that is saved as another")
        if window.isWindowModified() != window.store.is_modified:
            found.append("a title that says otherwise whether it is saved")
        return found

    def close(self) -> None:
        """End the window; nothing is asked."""
        from PySide6.QtWidgets import QApplication

        from planner.ui.asking import Answer

        self.ask.give_up = Answer.DISCARD
        self.window.unentered.forget()
        for top in QApplication.topLevelWidgets():
            top.close()
        self.window.deleteLater()
        drop_what_is_done_with()


def drop_what_is_done_with() -> None:
    """Let go what is to be deleted later, as the event loop does that the program runs in."""
    from PySide6.QtCore import QCoreApplication, QEvent

    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def held() -> dict[str, float]:
    """What the process holds now."""
    with open("/proc/self/status", encoding="ascii") as status:
        memory = next(int(line.split()[1]) / 1024 for line in status if line.startswith("VmRSS"))
    return {"mb": round(memory), "files": len(os.listdir("/proc/self/fd")), "threads": threading.active_count()}


def main() -> None:
    """Let as many monkeys loose as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--actions", type=int, default=300)
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    screen.choose()
    from PySide6.QtCore import qInstallMessageHandler
    from PySide6.QtWidgets import QDialog

    from planner.ui.shell.errors import ErrorReporter
    from planner.ui.shell.screen import begin

    faults: list[str] = []
    warnings: list[str] = []
    qInstallMessageHandler(
        lambda _kind, _context, text: None if any(known in text for known in TOLERATED) else warnings.append(text)
    )
    QDialog.exec = lambda dialog: faults.append(f"a modal dialog: {dialog.windowTitle()}") or 0  # type: ignore[method-assign]
    application = begin()
    reporter = ErrorReporter(lambda what, details: faults.append(f"{what} {details[-1500:]}"))
    reporter.install()
    contradictions: list[str] = []
    done: Counter[str] = Counter()
    early: dict[str, float] = {}
    per_seed = chosen.actions // chosen.seeds
    for seed in range(chosen.seeds):
        folder = Path(tempfile.mkdtemp(prefix="monkey-"))
        (folder / "table.csv").write_text("day,gravity\n1,1.09\n2,1.08\n3,1.06\n")
        (folder / "odd.meadbatch").write_bytes(b"{}")
        monkey = Monkey(folder, f"{chosen.seed}/{seed}", faults)
        for number in range(per_seed):
            monkey.act()
            if number % SETTLE_EVERY == SETTLE_EVERY - 1:
                monkey.settle()
                contradictions += [
                    f"seed {seed}, {number}: {told} after {monkey.history[-4:]}" for told in monkey.contradictions()
                ]
            if len(faults) > 20:
                break
        done += monkey.done
        monkey.close()
        del monkey
        gc.collect()
        application.processEvents()
        early = early or held()
        shutil.rmtree(folder, ignore_errors=True)
    late = held()
    reporter.uninstall()
    print(json.dumps({
        "actions": sum(done.values()), "exceptions": len(faults), "qt_warnings": len(warnings),
        "contradictions": len(contradictions), **{f"{key}_first": value for key, value in early.items()},
        **{f"{key}_last": value for key, value in late.items()},
        "first": [*faults[:3], *warnings[:5], *contradictions[:5]],
    }), flush=True)  # fmt: skip
    os._exit(0)  # workers that still count would only delay the end


if __name__ == "__main__":
    main()
