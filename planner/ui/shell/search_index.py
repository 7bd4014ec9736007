"""What the line that finds everything can find in a window."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QScrollArea, QWidget

from planner.ui.log.cells import Column
from planner.ui.shell.finder import Found
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.remarks import LEVELS, LinkLabel, Remark, in_words

if TYPE_CHECKING:
    from planner.evaluation.outcome import Outcome
    from planner.reference.catalogue import Catalogue
    from planner.ui.adjust.pane import AdjustPane
    from planner.ui.curve.pane import CurvePane
    from planner.ui.display import Display
    from planner.ui.recipe.pane import RecipePane
    from planner.ui.shell.folding import FoldingPane


class Place(NamedTuple):
    """The parts of a window that are searched, and how a finding is gone to."""

    commands: Mapping[str, list[QAction]]
    folds: Mapping[str, FoldingPane]
    recipe: RecipePane
    curve: CurvePane
    adjustment: AdjustPane
    catalogue: Catalogue
    outcome: Outcome | None
    display: Display
    go_to: Callable[[str], None]


def found_in(place: Place) -> Iterator[Found]:
    """Everything, in the order in which it is listed where it fits equally well."""
    yield from _commands(place)
    yield from _doubts(place)
    yield from _fields(place)
    yield from _ingredients(place)
    yield from _notes(place)


def _commands(place: Place) -> Iterator[Found]:
    for menu, actions in place.commands.items():
        for action in actions:
            if action.isEnabled() and action.text():
                words = action.text().replace("&", "").removesuffix("…")
                yield Found(words, menu, action.trigger, action.shortcut().toString(), action.statusTip())


def _doubts(place: Place) -> Iterator[Found]:
    if place.outcome is not None:
        for finding in dict.fromkeys(place.outcome.findings):
            text = in_words(finding.text, place.display)
            yield Found(text, LEVELS[finding.level], partial(place.go_to, finding.place), more="doubt")


def _fields(place: Place) -> Iterator[Found]:
    for name, pane in (("recipe", place.recipe), ("curve", place.curve), ("adjustment", place.adjustment)):
        fold = place.folds[name]
        for widget in pane.findChildren(QWidget):
            if widget.focusPolicy() == Qt.FocusPolicy.NoFocus or not widget.isVisibleTo(pane):
                continue
            text = getattr(widget, "text", None)
            words = widget.accessibleName() or (str(text()).replace("&", "") if callable(text) else "")
            if words and not isinstance(widget.parentWidget(), QComboBox) and not isinstance(widget, LinkLabel):
                yield Found(words, name.capitalize(), partial(_go, fold, widget), more="field")
        for remark in pane.findChildren(Remark):  # cautions, too, are read whole from here
            if remark.isVisibleTo(pane) and remark.is_folded:
                yield Found(remark.accessibleName(), name.capitalize(), partial(_read, fold, remark), more="field")


def _ingredients(place: Place) -> Iterator[Found]:
    shelf = place.catalogue
    for kind, rows, field in (
        ("fruit", shelf.fruits, place.recipe.fruit.editor.empty),
        ("honey", shelf.honeys, place.recipe.honey.editor.empty),
        ("feed", shelf.nutrients, place.recipe.feeding.editor.empty),
        ("addition", shelf.additives, place.adjustment.additions.editor.empty),
    ):
        fold = place.folds["adjustment" if kind == "addition" else "recipe"]
        assert isinstance(field, ChoiceField)
        for key, row in rows.items():
            yield Found(f"Add {row.name}", kind.capitalize(), partial(_add, fold, field, key), more="ingredient")
    for key, yeast in shelf.yeasts.items():
        choose = partial(_add, place.folds["recipe"], place.recipe.yeast.choice, key)
        yield Found(f"Use yeast {yeast.name}", "Yeast", choose, more="ingredient")


def _notes(place: Place) -> Iterator[Found]:
    model = place.curve.table.log_model
    for row in range(model.rowCount()):
        note = str(model.index(row, Column.NOTE).data() or "")
        if note:
            day = model.index(row, Column.DAY).data()
            go = partial(_select, place.folds["curve"], place.curve, model.place_of(row))
            yield Found(f"{note}, day {day}", "Log", go, more="note reading")


def _go(fold: FoldingPane, widget: QWidget) -> None:
    fold.unfold()
    widget.setFocus(Qt.FocusReason.ShortcutFocusReason)
    if isinstance(widget, Disclosure):
        widget.setChecked(True)
    _bring_into_sight(widget)


def _read(fold: FoldingPane, remark: Remark) -> None:
    fold.unfold()
    remark.unfold()
    _bring_into_sight(remark)


def _bring_into_sight(widget: QWidget) -> None:
    area = widget.parentWidget()
    while area is not None and not isinstance(area, QScrollArea):
        area = area.parentWidget()
    if area is not None:
        area.ensureWidgetVisible(widget)


def _add(fold: FoldingPane, field: ChoiceField, key: str) -> None:
    fold.unfold()
    field.setFocus(Qt.FocusReason.ShortcutFocusReason)
    field.choose(key)
    _bring_into_sight(field)


def _select(fold: FoldingPane, pane: CurvePane, row: int | None) -> None:
    fold.unfold()
    pane.table.select(row)
    pane.table.setFocus(Qt.FocusReason.ShortcutFocusReason)
