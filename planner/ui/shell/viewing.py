"""The part of the window that does what its menu of views offers: which parts are shown, and in which habits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, SignalInstance
from PySide6.QtGui import QAction

from planner.ui.settings import Appearance
from planner.ui.shell.self_explaining import SelfExplaining
from planner.units import GravityScale, System

if TYPE_CHECKING:
    from planner.ui.asking import Ask
    from planner.ui.curve.pane import CurvePane
    from planner.ui.shell.first_minute import FirstMinute
    from planner.ui.shell.folding import FoldingPane
    from planner.ui.shell.head import Head


class Viewing(SelfExplaining):
    """What the menu of views does; the window itself says to what."""

    appearance_changed: SignalInstance
    curve: CurvePane
    recipe_fold: FoldingPane
    curve_fold: FoldingPane
    adjustment_fold: FoldingPane
    head: Head
    ask: Ask
    first: FirstMinute

    def show_habits(self) -> None:
        """Show everything in the units and on the scale that are chosen."""
        raise NotImplementedError

    def enter_reading(self) -> None:
        self.curve_fold.unfold()
        self.curve.enter_reading()

    def reset_zoom(self) -> None:
        self.curve_fold.unfold()
        self.curve.reset_zoom()

    def show_reasons(self) -> None:
        self.curve.show_reasons()

    def fold_recipe(self) -> None:
        self.recipe_fold.toggle()

    def fold_curve(self) -> None:
        self.curve_fold.toggle()

    def fold_adjustment(self) -> None:
        self.adjustment_fold.toggle()

    def next_pane(self) -> None:
        self._go_round(1)

    def previous_pane(self) -> None:
        self._go_round(-1)

    def _go_round(self, step: int) -> None:
        """From pane to pane, and to the doubts; each where it had the focus last."""
        folds = (self.recipe_fold, self.curve_fold, self.adjustment_fold)
        focused = self.focusWidget()
        place = next((n for n, fold in enumerate(folds) if focused is not None and fold.isAncestorOf(focused)), 3)
        following = (place + step) % 4
        if following < len(folds):
            folds[following].enter()
        else:
            self.head.badge.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def choose(self) -> None:
        """A choice of a group in the menus: the action carries the method's name and the choice."""
        action = self.sender()
        if isinstance(action, QAction):
            method, choice = action.data()
            getattr(self, method)(choice)

    def set_system(self, choice: str) -> None:
        self.settings.system = System(choice)
        self.menus.actions[f"set_system/{choice}"].setChecked(True)
        self.show_habits()

    def set_gravity_scale(self, choice: str) -> None:
        self.settings.gravity_scale = GravityScale(choice)
        self.menus.actions[f"set_gravity_scale/{choice}"].setChecked(True)
        self.show_habits()

    def show_preferences(self) -> None:
        """All habits in one window, which blocks nothing."""
        from planner.ui.shell.preferences import Preferences

        window = Preferences(self.settings, self.ask, self)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        window.system_chosen.connect(self.set_system)
        window.scale_chosen.connect(self.set_gravity_scale)
        window.appearance_chosen.connect(self.set_appearance)
        window.hints_chosen.connect(self.first.show_hints_again)
        window.show()

    def set_axis(self, choice: str) -> None:
        self.settings.axis = choice
        self.curve.set_axis(choice)

    def set_level(self, choice: str) -> None:
        self.curve.set_level(choice)

    def set_appearance(self, choice: str) -> None:
        self.settings.appearance = Appearance(choice)
        self.menus.actions[f"set_appearance/{choice}"].setChecked(True)
        self.appearance_changed.emit()
