"""Where there is no room for all panes, those that are not at work fold by themselves, and come back when there is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QScrollArea, QSplitter, QWidget

from planner.ui.shell.folding import FoldingPane

_AT_WORK = {
    "plan": ("recipe", "curve", "adjustment"),
    "ferment": ("curve", "recipe", "adjustment"),
    "rest": ("curve", "adjustment", "recipe"),
    "adjust": ("adjustment", "curve", "recipe"),
    "bottled": ("adjustment", "curve", "recipe"),
}
"""The pane at work in each stage of a batch, and after it the others: the last folds first."""


class MakingRoom(QObject):
    """Folds panes by the width of the window. What the person folds or opens by hand stays so for as long as it fits.

    The pane at work is the one that was used last: opened by hand, or given the focus; at first that of the batch's stage.
    The sheet is the first open pane in the order of the stage, whatever was used; it takes the width that is left.

    Signal: `sheet_changed` with the name of the pane that is the sheet now.
    """

    sheet_changed = Signal(str)

    def __init__(self, room: QScrollArea, splitter: QSplitter, panes: Mapping[str, FoldingPane]) -> None:
        super().__init__(room)
        self._room, self._splitter, self._panes = room, splitter, dict(panes)
        self._order = [*_AT_WORK["ferment"]]
        self._of_stage = _AT_WORK["ferment"]
        self._sheet = ""
        self._by_hand: set[str] = set()
        self._is_whole = False
        self._knows_stage = self._keeps_widths = False
        self._settling = False
        self._viewport = room.viewport()
        self._viewport.installEventFilter(self)
        splitter.installEventFilter(self)
        for pane in self._panes.values():
            pane.folded_changed.connect(self._take_by_hand)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._follow_focus)

    @property
    def by_hand(self) -> frozenset[str]:
        """The panes that the person folded."""
        return frozenset(self._by_hand)

    def fold_by_hand(self, names: Iterable[str]) -> None:
        """Fold what the person had folded when the program was left."""
        self._by_hand = set(names) & set(self._panes)
        self._show({name for name in self._panes if name not in self._by_hand})

    def begin(self) -> None:
        """The window is whole: from now on the curve may fold, too, which before has to be painted first."""
        self._is_whole = True
        self.settle()
        if self._sheet:
            self._give_width()

    def keep_widths(self) -> None:
        """The widths are those with which the program was left."""
        self._keeps_widths = True

    def expect_stage(self) -> None:
        """Another batch is shown: what is at work follows from its stage, once that is known."""
        self._knows_stage = False

    @property
    def knows_stage(self) -> bool:
        """Whether the stage of the batch that is shown is known."""
        return self._knows_stage

    def end(self) -> None:
        """The window goes."""
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.disconnect(self._follow_focus)
        for watched in (self._viewport, self._splitter):
            watched.removeEventFilter(self)

    def show_stage(self, stage: str) -> None:
        """Say in which stage the batch is."""
        self._of_stage = _AT_WORK[stage]
        if not self._knows_stage:
            self._knows_stage = True
            self._order = [*_AT_WORK[stage]]
            self.settle()
        self._choose_sheet()

    @property
    def sheet(self) -> str:
        """The name of the pane that is the sheet; none before a stage is known."""
        return self._sheet

    def _choose_sheet(self) -> None:
        """Make the first open pane of the stage the sheet, and give it the width that the others do not want."""
        if not self._knows_stage:
            return
        sheet = next((name for name in self._of_stage if not self._panes[name].is_folded), self._of_stage[0])
        if sheet == self._sheet:
            return
        self._sheet = sheet
        for name, pane in self._panes.items():
            pane.set_sheet(name == sheet)
            self._splitter.setStretchFactor(self._splitter.indexOf(pane), int(name == sheet))
        self._give_width()
        self.sheet_changed.emit(sheet)

    def _give_width(self, width: int = 0) -> None:
        """What the person gave the sheet stays, as long as it is the widest of all."""
        sizes = self._splitter.sizes()
        place = self._splitter.indexOf(self._panes[self._sheet])
        if self._keeps_widths if not self._is_whole else sizes[place] >= max(sizes):  # before, they are nobody's choice
            return
        room = max(sum(sizes), width - self._splitter.handleWidth() * (len(sizes) - 1))
        for pane in self._panes.values():
            sizes[self._splitter.indexOf(pane)] = pane.strip_width() if pane.is_folded else pane.wanted_width()
        sizes[place] = max(sizes[place], room - sum(sizes) + sizes[place])
        self._splitter.setSizes(sizes)

    def settle(self, width: int | None = None, may_unfold: bool = True) -> None:
        """Fold and unfold so that what is open has room."""
        if self._settling or (width is None and not self._room.isVisible()):
            return
        wanted = [name for name in self._order if name not in self._by_hand]
        if not may_unfold:
            wanted = [name for name in wanted if not self._panes[name].is_folded]
        if not wanted:
            self._by_hand.discard(self._order[0])
            wanted = self._order[:1]
        room = self._viewport.width() if width is None else width
        shown = wanted[:1] if self._is_whole or "curve" not in wanted else ["curve"]
        for name in wanted:
            if name in shown:
                continue
            if not self._has_room([*shown, name], room):
                break  # what is farther from the work does not open before it
            shown.append(name)
        self._show(set(shown))

    def _has_room(self, shown: list[str], room: int) -> bool:
        """Whether these panes have room; beside a second one the sheet may be as narrow as a quiet pane."""
        return self._width_of(shown) <= room or (len(shown) == 2 and self._width_of(shown, sheet_is_wide=False) <= room)

    def _show(self, shown: set[str]) -> None:
        self._settling = True
        for name, pane in self._panes.items():
            pane.set_folded(name not in shown)
        self._settling = False
        self._choose_sheet()

    def _width_of(self, shown: list[str], sheet_is_wide: bool = True) -> int:
        """Width of the window's room with these panes open, and the others as strips. [px]"""
        gaps = self._splitter.handleWidth() * (len(self._panes) - 1)
        sheet = next(name for name in self._of_stage if name in shown)
        return gaps + sum(
            pane.wanted_width(as_sheet=sheet_is_wide and name == sheet) if name in shown else pane.strip_width()
            for name, pane in self._panes.items()
        )

    def _take_by_hand(self, folded: bool) -> None:
        if self._settling:
            return
        name = next(name for name, pane in self._panes.items() if pane is self.sender())
        if folded:
            self._by_hand.add(name)
            self._order = [*(other for other in self._order if other != name), name]
        else:
            self._by_hand.discard(name)
            self._put_first(name)
        self.settle()

    def _put_first(self, name: str) -> None:
        self._order = [name, *(other for other in self._order if other != name)]

    def _follow_focus(self, _old: QWidget | None, new: QWidget | None) -> None:
        name = next(
            (name for name, pane in self._panes.items() if new is not None and pane.holds(new) and not pane.is_folded),
            None,
        )
        if name is not None and self._is_whole and not self._settling:  # where a pane folds, its focus goes elsewhere
            self._put_first(name)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._viewport and isinstance(event, QResizeEvent):
            self.settle(event.size().width())
        elif watched is self._splitter and isinstance(event, QResizeEvent) and not self._is_whole and self._sheet:
            self._give_width(event.size().width())  # before anything is painted: later nothing moves by itself
        elif watched is self._splitter and event.type() == QEvent.Type.LayoutRequest:
            self.settle(may_unfold=False)  # a longer number makes room for itself; a shorter one moves nothing
        return super().eventFilter(watched, event)
