"""What a window begins with: the page of a first start, hints until they are known, and the focus where the work is."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtWidgets import QFrame, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from planner.ui import theme
from planner.ui.shell.documents import begun
from planner.ui.widgets.button import Button
from planner.ui.widgets.fitting import is_low
from planner.ui.widgets.label import Label
from planner.ui.widgets.one_stop import go_to

if TYPE_CHECKING:
    from planner.document.batch import Batch
    from planner.reference.catalogue import Catalogue
    from planner.ui.adjust.pane import AdjustPane
    from planner.ui.curve.pane import CurvePane
    from planner.ui.display import Display
    from planner.ui.recipe.pane import RecipePane
    from planner.ui.settings import Settings
    from planner.ui.shell.documents import Documents
    from planner.ui.shell.opening import Opening
    from planner.ui.start.page import StartPage
    from planner.ui.store import BatchStore


class Host(Protocol):
    """What is asked of the window."""

    catalogue: Catalogue
    curve: CurvePane
    documents: Documents
    opening: Opening
    settings: Settings
    store: BatchStore

    @property
    def recipe(self) -> RecipePane: ...
    @property
    def adjustment(self) -> AdjustPane: ...
    def open_batch(self) -> None: ...
    def import_readings(self) -> None: ...


HINTS: Mapping[str, str] = MappingProxyType(
    {
        "change": "Change any amount: the curve and all figures follow at once. Ctrl+Z undoes it.",
        "explain": "Press F1 on any figure to learn what it means and where it comes from.",
        "log": "When the yeast is in, type a reading such as 1.050 below the curve and press Enter.",
    }
)
"""What a newcomer is told, one at a time; three at most."""


class HintBar(QFrame):
    """One hint, until it is dismissed."""

    def __init__(self) -> None:
        super().__init__()
        self.text = Label()
        self.text.setWordWrap(True)
        self.known = Button("&Got it")
        self.none = Button("N&o more hints")
        self.none.setFlat(True)
        row = QHBoxLayout(self)
        step = theme.unit(self.fontMetrics())
        row.setContentsMargins(4 * step, step, 2 * step, step)
        row.addWidget(self.text, 1)
        row.addWidget(self.known)
        row.addWidget(self.none)
        self.hide()


class FirstMinute(QObject):
    """Holds the middle of the window: the three panes, or the page of a first start before them."""

    def __init__(self, window: Host, head: QWidget, panes: QWidget, parent: QObject) -> None:
        super().__init__(parent)
        self._window, self._settings = window, window.settings
        self.page: StartPage | None = None
        """The page, while it is shown."""
        self.bar = HintBar()
        self.bar.known.clicked.connect(self._next_hint)
        self.bar.none.clicked.connect(self._no_more)
        self._stack = QStackedWidget()
        self._stack.addWidget(panes)
        self.middle = QWidget()
        self.middle.installEventFilter(self)
        column = QVBoxLayout(self.middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(head)
        column.addWidget(self.bar)
        column.addWidget(self._stack, 1)
        self._stage = ""
        self._has_focus = False
        window.store.loaded.connect(self._begin_anew)
        window.store.changed.connect(self.leave_page)  # readings came in from the page
        window.opening.finished.connect(self._give_focus)
        self._tell_hint()

    # --- the page

    def show_page(self) -> None:
        """Ask what the tree gave."""
        from planner.ui.start.page import StartPage

        if self.page is not None:
            self.page.harvest.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        window = self._window
        page = StartPage(begun(self._settings), window.catalogue, self._settings.display)
        page.recipe_made.connect(self._take_recipe)
        page.sample_wanted.connect(window.documents.open_sample)
        page.file_wanted.connect(window.open_batch)
        page.import_wanted.connect(window.import_readings)
        page.empty_wanted.connect(self._begin_empty)
        page.left.connect(self.leave_page)
        self.page = page
        self._stack.addWidget(page)
        self._stack.setCurrentWidget(page)
        self.bar.hide()
        QTimer.singleShot(0, window.opening.go)  # the curve, which begins it otherwise, is not in sight

    def leave_page(self) -> None:
        """Show the panes."""
        if self.page is None:
            return
        page, self.page = self.page, None
        self._stack.setCurrentIndex(0)
        self._stack.removeWidget(page)
        page.deleteLater()
        if self._settings.is_first and not self._settings.hints:
            self._settings.hints = HINTS
        self._tell_hint()
        self._has_focus = False
        QTimer.singleShot(0, self._give_focus)  # when the panes show the batch

    def set_display(self, display: Display) -> None:
        """Other units."""
        if self.page is not None:
            self.page.set_display(display)

    def _begin_empty(self) -> bool:
        """Show the panes with an empty batch; False if the present one was not given up."""
        if not self._is_empty() and not self._window.documents.new():
            return False
        self.leave_page()
        return True

    def _take_recipe(self, batch: Batch, typed: str) -> None:
        if self._begin_empty():
            self._window.store.edit(batch, f"recipe from {typed}")

    def _is_empty(self) -> bool:
        return not self._window.store.is_modified and self._window.store.batch == begun(self._settings)

    def _begin_anew(self) -> None:
        """Another batch: its focus is where its work is."""
        self._has_focus, self._stage = False, ""
        self.leave_page()

    # --- hints

    def _tell_hint(self) -> None:
        left = [name for name in self._settings.hints if name in HINTS]
        self.bar.text.setText(HINTS[left[0]] if left else "")
        self.bar.setVisible(bool(left) and self.page is None and not is_low(self.middle.window()))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.middle and event.type() == QEvent.Type.Resize:
            self._tell_hint()  # a low window has no room for hints
        return super().eventFilter(watched, event)

    def _next_hint(self) -> None:
        self._settings.hints = self._settings.hints[1:]
        self._tell_hint()

    def _no_more(self) -> None:
        self._settings.hints = ()
        self._tell_hint()

    def show_hints_again(self, shown: bool) -> None:
        """Give all hints once more, or none."""
        self._settings.hints = HINTS if shown else ()
        self._tell_hint()

    # --- the focus

    def show_stage(self, stage: str) -> None:
        """The stage of the batch is known."""
        self._stage = stage
        self._give_focus()

    def _give_focus(self) -> None:
        """Once for each batch, when all of the window is there: to where the work of its stage is."""
        window = self._window
        if self._has_focus or self.page is not None or not (window.opening.is_finished and self._stage):
            return
        self._has_focus = True
        field = first_field(window, self._stage)
        if field.isVisible():
            go_to(field)


def first_field(window: Host, stage: str) -> QWidget:
    """Where the work of a stage begins."""
    if stage == "plan":
        editor = window.recipe.fruit.editor
        return editor.rows[0].cells[1] if editor.rows else editor.empty
    if stage in ("ferment", "rest"):
        return window.curve.form.value
    if stage == "bottled":
        return window.adjustment.tastings.lines[-1].note
    editor = window.adjustment.additions.editor
    return editor.rows[-1].cells[1] if editor.rows else editor.empty
