"""Why the log is judged as it is: the evidence, what would change it, and the next steps, in a window beside."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QScrollArea, QVBoxLayout, QWidget

from planner.evaluation.outcome import Outcome
from planner.evaluation.worth_measuring import Worth
from planner.timeline import alcohol_text
from planner.timeline.instruments import AlcoholSoFar
from planner.timeline.verdict import Verdict
from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words
from planner.wording.phrases import Words

_FIGURES, _LINES = 66, 33


class VerdictReasons(QDialog):
    """The verdict with its reasons; stays open beside the window and follows the log, until the reading is asked for.

    Signal: `reading_wanted` with the place in the log of the reading that decided.
    """

    reading_wanted = Signal(object)

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._verdict: Verdict | None = None
        self._so_far: AlcoholSoFar | None = None
        self._worth: Worth | None = None
        self.setWindowTitle("How the ferment stands")
        self.decided = Button("&Show the reading that settled it")
        self.decided.clicked.connect(self._ask)
        self._inside = QWidget()
        self._column = QVBoxLayout(self._inside)
        self._column.setSpacing(6)
        scroll = QScrollArea()
        scroll.setWidget(self._inside)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        whole = QVBoxLayout(self)
        whole.addWidget(scroll, 1)
        whole.addWidget(self.decided, 0, Qt.AlignmentFlag.AlignLeft)
        fit(self, _FIGURES, _LINES)

    def show_outcome(self, outcome: Outcome) -> None:
        """Show the reasons of another outcome."""
        self._verdict, self._so_far, self._worth = outcome.verdict, outcome.so_far, outcome.worth
        self._fill()

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        self._fill()

    def texts(self) -> list[str]:
        """All that is said, line by line."""
        items = (self._column.itemAt(place) for place in range(self._column.count()))
        shown = (item.widget() for item in items if item is not None)
        return [label.text() for label in shown if isinstance(label, Label)]

    def _fill(self) -> None:
        empty(self._column)
        verdict = self._verdict
        self.decided.setVisible(verdict is not None and verdict.decided_by is not None)
        if verdict is None:
            self._say("There is no reading yet to judge by.")
        else:
            self._tell(verdict)
        self._column.addStretch(1)

    def _tell(self, verdict: Verdict) -> None:
        self._say(self._words(verdict.sentence), bold=True)
        self._list("What speaks for it", verdict.evidence, "•")
        self._list("What would change it", (verdict.would_change,), "•")
        self._list("What to do next, gentlest first", verdict.steps, "")
        if self._worth is not None:
            self._list("Worth measuring", (self._worth.words,), "•")
        self._list("Take care", verdict.cautions, "•")
        if self._so_far is not None:
            self._list("Alcohol so far, by several ways", alcohol_text.sentences(self._so_far), "•")
            self._say(self._words(alcohol_text.ABOUT_RULES))

    def _list(self, title: str, lines: tuple[Words, ...], mark: str) -> None:
        shown = [line for line in lines if line.template]
        if not shown:
            return
        self._say(title, dim=True)
        for number, line in enumerate(shown, start=1):
            self._say(f"{mark or f'{number}.'} {self._words(line)}")

    def _words(self, words: Words) -> str:
        return in_words(words, self._display)

    def _say(self, text: str, *, bold: bool = False, dim: bool = False) -> None:
        label = Label(text)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if bold or dim:
            font = label.font()
            font.setBold(bold)
            label.setFont(font)
        if dim:
            set_tone(label, "dim")
            label.setContentsMargins(0, 8, 0, 0)
        self._column.addWidget(label)

    def _ask(self) -> None:
        if self._verdict is not None:
            self.hide()  # it would lie over the curve, and perhaps over the reading
            self.reading_wanted.emit(self._verdict.decided_by)
