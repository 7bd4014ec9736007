"""Somebody who types into the real window, and writes down beside it what the batch was at each moment."""

from __future__ import annotations

import hashlib
import json
import os
import random
import time
from pathlib import Path
from typing import Any

from planner.app import build
from planner.document import edits
from planner.document.batch import Batch, HydrometerReading
from planner.document.codec import encode
from planner.ui.asking import Answer, Clash
from planner.ui.settings import Settings
from planner.ui.shell.window import Window

FILE, COPIES, JOURNAL = "batch.meadbatch", "copies", "journal.jsonl"
STEP = (20, 120)
"""Between two edits. [ms]"""


class Yes:
    """Answers every question so that the work goes on and nothing is given up; keeps what it was told."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self.told: list[str] = []

    def save_changes(self, _name: str) -> Answer:
        return Answer.SAVE

    def add_typed(self, _text: str) -> Answer:
        return Answer.SAVE

    def file_changed(self, _name: str) -> Clash:
        return Clash.KEEP_BOTH

    def save_path(self, _title: str, suggestion: Path, _kinds: str) -> Path | None:
        return self._file if not self._file.exists() else suggestion

    def open_path(self, *_question: object) -> Path | None:
        return None

    folder_path = paper = open_path

    def confirm(self, question: str, _details: str, _act: str) -> bool:
        return question.startswith("Restore")

    def tell(self, text: str, details: str = "") -> None:
        self.told.append(f"{text} {details}")


def fingerprint(batch: Batch) -> str:
    """What tells one batch from another."""
    return hashlib.sha256(encode(batch)).hexdigest()[:20]


class Typist:
    """Types into a window until it is killed."""

    def __init__(self, folder: Path, seed: str) -> None:
        from PySide6.QtCore import QLocale, QSettings, QTimer

        self._chance = random.Random(seed)
        self._parent = os.getppid()
        self._journal = os.open(folder / JOURNAL, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        self.file = folder / FILE
        self.ask = Yes(self.file)
        store = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
        self.window: Window = build(Settings(store, QLocale("en_GB")), folder / COPIES, self.ask)
        if self.file.exists():
            self.window.documents.load(self.file)
        self.window.opening.finished.connect(self._begin)
        self._timer = QTimer()
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._type)
        self.window.show()

    def note(self, kind: str, **more: Any) -> None:
        """A line of the journal, on the disk before anything else happens."""
        line = {"kind": kind, "t": time.time(), "pid": os.getpid(), **more}
        os.write(self._journal, json.dumps(line).encode() + b"\n")

    def _begin(self) -> None:
        self.window.documents.offer_unsaved()
        self.note("ready", state=fingerprint(self.window.store.batch), told=self.ask.told)
        self._type()

    def _type(self) -> None:
        if os.getppid() != self._parent:  # whoever was to kill it is gone
            os._exit(0)
        chance, store = self._chance, self.window.store
        batch = store.batch
        way = chance.randrange(40)
        if way < 16:
            after = edits.describe(batch, notes=batch.notes[-4000:] + chance.choice("abc def ½°\n"))
            store.edit(after, "notes", "notes")
        elif way < 26:
            reading = HydrometerReading(
                day=round(chance.uniform(0, 60), 2), gravity=round(chance.uniform(0.99, 1.1), 4)
            )
            store.edit(edits.add_readings(batch, reading), "add a reading")
        elif way < 34:
            store.edit(edits.change_recipe(batch, water=round(chance.uniform(0, 20), 3)), "water", "water")
        elif way < 39 and store.undo_stack.canUndo():
            store.undo_stack.undo()
        else:
            self.note("saving", state=fingerprint(store.batch))
            self.window.documents.save()
            self.note("saved", state=fingerprint(store.batch))
        self.note("state", state=fingerprint(store.batch))
        self._timer.start(chance.randint(*STEP))


def type_for_ever(folder: Path, seed: str) -> None:
    """Run a window in this process until it ends."""
    from planner.ui.shell.screen import begin

    application = begin()
    typist = Typist(folder, seed)
    application.exec()
    del typist
