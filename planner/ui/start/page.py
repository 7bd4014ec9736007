"""The page of a first start: what did the tree give? Beside it the ways to a sample and to a file."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPalette, QShowEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from planner.cellar.status import batch_status
from planner.document.batch import Batch
from planner.document.codec import decode
from planner.planning.first_recipe import first_recipe
from planner.reference.catalogue import DEFAULT_HONEY, Catalogue
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.start.harvest import HarvestField
from planner.ui.start.sample_card import SampleCard
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label
from planner.ui.widgets.upright import Upright
from planner.units import Kind

STRENGTHS = (0.06, 0.08, 0.10, 0.12, 0.14)
"""Strengths to begin with; any other can be entered among the targets. [m^3/m^3]"""
USUAL = 0.12
_LINE = 3
"""The line above the sheet. [px]"""
_WIDE = 78
"""Width of the column. [figures]"""


class StartPage(QWidget):
    """Signals: `recipe_made` with a batch and what was typed; `sample_wanted` with its file; `file_wanted`,
    `import_wanted` and `empty_wanted` when one of those ways is chosen; `left` with Esc.
    """

    recipe_made = Signal(object, str)
    sample_wanted = Signal(object)
    file_wanted = Signal()
    import_wanted = Signal()
    empty_wanted = Signal()
    left = Signal()

    def __init__(self, begun: Batch, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._begun, self._catalogue = begun, catalogue
        fruits = {key: row.name for key, row in catalogue.fruits.items()}
        self.harvest = HarvestField(display, fruits)
        self.honey = ChoiceField(sorted(((key, row.name) for key, row in catalogue.honeys.items()), key=lambda x: x[1]))
        self.honey.show_key(DEFAULT_HONEY)
        self.honey.chosen.connect(self.honey.show_key)
        self.honey.setAccessibleName("Honey")
        self.strength = ChoiceField((share, display.text(share, Kind.STRENGTH, decimals=0)) for share in STRENGTHS)
        self.strength.show_key(USUAL)
        self.strength.chosen.connect(self.strength.show_key)
        self.strength.setAccessibleName("Strength")
        self.make = Button("&Make a recipe")
        self.make.set_due(True)
        self.empty = Button("&Start with an empty recipe")
        self.empty.setFlat(True)
        self.open, self.import_ = Button("O&pen a batch…"), Button("&Import readings…")
        self.cards = [SampleCard(path) for path in sorted(samples().glob("*.meadbatch"), key=_by_stage)]
        self._unsketched = list(self.cards)
        self.setBackgroundRole(QPalette.ColorRole.Window)
        self.setAutoFillBackground(True)
        theme.set_ground(self, is_sheet=True)
        self._lay_out()
        self.harvest.entered.connect(self._make)
        self.make.clicked.connect(self._make)
        self.empty.clicked.connect(self.empty_wanted)
        self.open.clicked.connect(self.file_wanted)
        self.import_.clicked.connect(self.import_wanted)
        for card in self.cards:
            card.clicked.connect(self._open_sample)

    def set_display(self, display: Display) -> None:
        """Other units."""
        self.harvest.set_display(display)

    def _lay_out(self) -> None:
        step = theme.unit(self.fontMetrics())
        title = Label("What did the tree give?")
        title.setFont(theme.sized(title.font(), theme.VERDICT, bold=True))
        told = _quiet("Enter fruit and weight in your own words. Honey and water are proposed from it.")
        honey = Label("Hone&y")
        honey.setBuddy(self.honey)
        strength = Label("fo&r")
        strength.setBuddy(self.strength)
        honey_row = QHBoxLayout()
        for part, stretch in ((honey, 0), (self.honey, 3), (strength, 0), (self.strength, 1)):
            honey_row.addWidget(part, stretch)
        acts = Flow(2 * step)
        acts.add(self.make)
        acts.add(_quiet("Enter"))
        acts.add(self.empty)
        rule = QFrame()
        rule.setFrameShape(QFrame.Shape.HLine)
        rule.setFrameShadow(QFrame.Shadow.Plain)
        set_tone(rule, "line")
        sample = Label("Or look at a sample")
        sample.setFont(theme.sized(sample.font(), 1.0, bold=True))
        cards = QGridLayout()
        cards.setSpacing(3 * step)
        for place, card in enumerate(self.cards):
            cards.addWidget(card, 0, place)
        ways = Flow(2 * step)
        for way in (self.open, self.import_, _quiet("or drop a batch or a table anywhere in this window")):
            ways.add(way)
        inside, column = QWidget(), QVBoxLayout()
        column.addWidget(title)
        column.addWidget(told)
        column.addWidget(self.harvest)
        column.addLayout(honey_row)
        column.addWidget(acts)
        column.addWidget(rule)
        column.addWidget(sample)
        column.addLayout(cards)
        column.addWidget(ways)
        column.setSpacing(3 * step)
        around = QHBoxLayout(inside)
        around.setContentsMargins(4 * step, 4 * step, 4 * step, 4 * step)
        around.addStretch(1)
        middle = QWidget()
        middle.setLayout(column)
        column.setContentsMargins(0, 0, 0, 0)
        middle.setMaximumWidth(_WIDE * self.fontMetrics().horizontalAdvance("0"))
        around.addWidget(middle, 100, Qt.AlignmentFlag.AlignVCenter)
        around.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(Upright(inside, self))

    def _make(self) -> None:
        if not self.harvest.take():
            return
        alcohol = self.strength.key
        assert isinstance(alcohol, float)
        made = first_recipe(self._begun, self._catalogue, self.harvest.fruits, str(self.honey.key), alcohol)
        self.recipe_made.emit(made, self.harvest.text().strip())

    def _open_sample(self) -> None:
        card = self.sender()
        if isinstance(card, SampleCard):
            self.sample_wanted.emit(card.path)

    def _sketch_one(self) -> None:
        """One curve in each turn of the event loop: what is typed never waits for all of them."""
        if self._unsketched and self.isVisible():
            card = self._unsketched.pop(0)
            batch = decode(card.path.read_bytes())
            card.show_sketch(batch_status(batch, self._catalogue, 0, datetime.now().astimezone()).sketch)
            QTimer.singleShot(0, self._sketch_one)

    # --- Qt

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(0, 0, self.width(), _LINE, self.palette().accent())
        painter.end()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.harvest.setFocus(Qt.FocusReason.OtherFocusReason)
        QTimer.singleShot(0, self._sketch_one)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def _quiet(text: str) -> Label:
    label = Label(text)
    label.setFont(theme.sized(label.font(), theme.NOTE))
    set_tone(label, "dim")
    return label


def _by_stage(path: object) -> int:
    """In the order of a year: planned, at work, stopped, finished."""
    order = ("planned", "half-way", "stopped", "finished")
    return next((place for place, word in enumerate(order) if word in str(path)), len(order))
