"""What earlier batches teach: read from a folder, told in words, and left out as a whole or batch by batch."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QProgressBar, QScrollArea, QStackedWidget, QVBoxLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch
from planner.learning.folder import Read
from planner.learning.learnt_text import told
from planner.learning.pool import leaving_out, of_recipe, things_of
from planner.reference.catalogue import Catalogue
from planner.ui.asking import Ask
from planner.ui.display import Display
from planner.ui.recipe.folder_reader import FolderReader
from planner.ui.recipe.section import heading, small_text
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words

_ABOUT = (
    "Your earlier batches tell how this yeast, fruit and press work in your hands. The tables of the shelf still count for a part, "
    "so that one batch is never simply copied. What is learnt stays in the file of this batch."
)


class LearningDialog(QDialog):
    """Reads earlier batches and shows what they teach the batch of the store. `place` tells the file of that batch."""

    def __init__(
        self,
        store: BatchStore,
        catalogue: Catalogue,
        settings: Settings,
        ask: Ask,
        place: Callable[[], Path | None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Learn from earlier batches")
        self._store, self._catalogue, self._settings, self._ask, self._place = store, catalogue, settings, ask, place
        self._display: Display = settings.display
        self._shown: Batch | None = None
        self.reader = FolderReader(catalogue, self)
        self.reader.went.connect(self._show_progress)
        self.reader.done.connect(self._take)
        about = small_text()
        about.setText(_ABOUT)
        self.folder = Elided()
        self.folder.setAccessibleName("Folder of earlier batches")
        self.choose = Button("Choose &folder…")
        self.choose.clicked.connect(self._choose)
        self.read = Button("&Read batches")
        self.read.set_due(True)
        self.read.clicked.connect(self._read)
        self.progress = QProgressBar()
        self.progress.setAccessibleName("Batches read")
        self.progress.setFormat("%v of %m batches")
        self.cancel = Button("&Cancel")
        self.cancel.clicked.connect(self.reader.cancel)
        self.used = CheckBox("&Go by what earlier batches taught")
        self.used.setToolTip("Without the tick, every figure goes by the shelf alone.")
        self.used.clicked.connect(self._switch)
        self.status = small_text()
        self.status.hide()
        self.words = QVBoxLayout()
        self.boxes: list[CheckBox] = []
        self._sources = QWidget()
        self._lines = QVBoxLayout(self._sources)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._from = heading("Learnt from")
        self._arrange(about)
        self._show_folder()
        fit(self, figures=84, lines=32)

    def _arrange(self, about: QWidget) -> None:
        resting, working = QWidget(), QWidget()
        for side, parts in ((resting, (self.folder, self.choose, self.read)), (working, (self.progress, self.cancel))):
            row = QHBoxLayout(side)
            row.setContentsMargins(0, 0, 0, 0)
            for part in parts:
                row.addWidget(part, 1 if part in (self.folder, self.progress) else 0)
        self._acts = QStackedWidget()
        self._acts.addWidget(resting)
        self._acts.addWidget(working)
        scroll = QScrollArea()
        scroll.setWidget(self._sources)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll = scroll
        column = QVBoxLayout(self)
        column.setSpacing(8)
        column.addWidget(about)
        column.addWidget(self._acts)
        column.addWidget(self.status)
        column.addLayout(self.words)
        column.addWidget(self.used)
        column.addWidget(self._from)
        column.addWidget(scroll, 1)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show what a batch has learnt."""
        if self._shown is not None and batch.learning is self._shown.learning and batch.recipe is self._shown.recipe:
            return
        self._shown = batch
        self._fill()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if self._shown is not None:
            self._fill()

    def texts(self) -> list[str]:
        """What is told, sentence by sentence."""
        items = (self.words.itemAt(place) for place in range(self.words.count()))
        return [label.text() for item in items if item is not None and isinstance(label := item.widget(), Label)]

    def _fill(self) -> None:
        batch = self._shown
        assert batch is not None
        learning = of_recipe(batch)
        empty(self.words)
        for words in told(batch, self._catalogue):
            label = Label(in_words(words, self._display))
            label.setWordWrap(True)
            self.words.addWidget(label)
        with QSignalBlocker(self.used):
            self.used.setChecked(learning.used)
        self.used.setEnabled(bool(learning.values or learning.sources))
        empty(self._lines)
        self.boxes = []
        for place, source in enumerate(batch.learning.sources):
            if source not in learning.sources:
                continue
            box = CheckBox(source.name.replace("&", "&&"))
            box.setToolTip(f"Without the tick, this batch teaches nothing. File: {source.file or 'unknown'}")
            box.setChecked(not source.left_out)
            box.setEnabled(learning.used)
            box.setProperty("place", place)
            box.clicked.connect(self._leave_out)
            self._lines.addWidget(box)
            self.boxes.append(box)
        self._lines.addStretch(1)
        self._from.setVisible(bool(learning.sources))
        self._scroll.setVisible(bool(learning.sources))

    def _say(self, text: str) -> None:
        self.status.setText(text)
        self.status.setVisible(bool(text))

    def _show_folder(self) -> None:
        self.folder.show_text(str(self._settings.learning))

    # --- acting

    def _choose(self) -> None:
        folder = self._ask.folder_path("Choose the folder of your earlier batches", self._settings.learning)
        if folder is not None:
            self._settings.learning = folder
            self._show_folder()

    def _read(self) -> None:
        self._say("")
        self.progress.setRange(0, 0)
        self._acts.setCurrentIndex(1)
        self.reader.read(self._settings.learning, self._store.batch, self._place())

    def _show_progress(self, number: int, of: int) -> None:
        self.progress.setRange(0, max(of, 1))
        self.progress.setValue(number)

    def _take(self, found: object) -> None:
        self._acts.setCurrentIndex(0)
        if not isinstance(found, Read):
            self._say(found if isinstance(found, str) else "You cancelled the reading. Nothing was changed.")
            return
        batch: Batch = self._store.batch
        learning = msgspec.structs.replace(found.learning, used=batch.learning.used)
        count = len(learning.concerning(things_of(batch)).sources)
        said = f"{count} of {len(found.sources)} batches tell something of this recipe’s yeast or fruit."
        if found.unreadable:
            said += f" These files could not be read: {', '.join(found.unreadable)}."
        self._say(said)
        if learning != batch.learning:
            self._store.edit(edits.learn(batch, learning), f"learn from {count} earlier batches")

    def _switch(self, used: bool) -> None:
        text = "go by earlier batches" if used else "leave out earlier batches"
        self._store.edit(edits.go_by_learning(self._store.batch, used), text)

    def _leave_out(self, counts: bool) -> None:
        batch: Batch = self._store.batch
        place = int(self.sender().property("place"))
        name = batch.learning.sources[place].name
        text = f"learn from {name} again" if counts else f"leave {name} out of what is learnt"
        self._store.edit(edits.learn(batch, leaving_out(batch, place, not counts)), text)

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.reader.shut_down()
