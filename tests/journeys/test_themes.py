"""The whole window is dressed, and dressed anew when another theme is chosen while it is open."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QCheckBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QWidget,
)

from planner.app import Dresser
from planner.ui import theme
from planner.ui.log.cells import Column
from planner.ui.recipe.folded import FoldedSection
from planner.ui.settings import Appearance
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox


@pytest.fixture
def dressed(qapp, qtbot, visit):
    """A window with a sample, everything in it unfolded, and its dresser; undressed at the end."""
    was = qapp.palette(), qapp.style().name()
    window = visit(sample="raspberry-finished").window
    window.settings.appearance = Appearance.LIGHT
    dresser = Dresser(qapp, window)
    qtbot.waitUntil(lambda: window.opening.is_finished, timeout=20_000)
    qtbot.waitUntil(lambda: not window.recalculator.is_busy, timeout=20_000)
    pane = window.adjustment
    for fold in (pane.measured, pane.still, *pane.tools.folds):
        fold.heading.setChecked(True)
    for section in window.recipe.findChildren(FoldedSection):
        section.disclosure.setChecked(True)
    yield window, dresser
    qapp.setStyle(was[1])
    qapp.setPalette(was[0])


def parts(window):
    return [window, *window.findChildren(QWidget)]


def has_sheet(widget):
    return widget.style().metaObject().className() == "QStyleSheetStyle"


def test_that_no_widget_carries_an_inherited_sheet_but_what_lies_in_a_dressed_one(dressed):
    window, _ = dressed
    assert QApplication.instance().styleSheet() == ""
    for widget in filter(has_sheet, parts(window)):
        owner = widget
        while not owner.property("dressed"):
            owner = owner.parentWidget()
            assert owner is not None, widget
    assert sum(map(has_sheet, parts(window))) < 0.1 * len(parts(window))


def test_that_all_that_needs_a_sheet_has_one(dressed):
    window, _ = dressed
    for widget in parts(window):
        if isinstance(widget, QTableView):
            assert widget.property("dressed"), widget
        assert isinstance(widget, Button) or not isinstance(widget, QPushButton), widget
        assert isinstance(widget, CheckBox) or not isinstance(widget, QCheckBox), widget


def test_that_another_theme_dresses_the_whole_window_anew(dressed):
    window, dresser = dressed
    for appearance, tones in ((Appearance.DARK, theme.DARK), (Appearance.LIGHT, theme.LIGHT)):
        window.settings.appearance = appearance
        dresser.dress()
        toned = [widget for widget in parts(window) if widget.property("tone")]
        assert {widget.property("tone") for widget in toned} >= {"dim", "line"}
        for widget in toned:
            shown = widget.palette().color(widget.foregroundRole()).name()
            assert shown == getattr(tones, widget.property("tone")), widget
        for widget in parts(window):
            if widget.property("dressed"):
                assert tones.accent in widget.styleSheet()
            if isinstance(widget, QAbstractItemView):
                assert widget.palette().color(QPalette.ColorRole.Highlight).name() == tones.selected
        plain = window.recipe.palette()
        assert (plain.windowText().color().name(), plain.window().color().name()) == (tones.text, tones.window)


def test_that_the_log_takes_the_new_theme_at_once(dressed):
    window, dresser = dressed
    model = window.curve.table.log_model
    model.setData(model.index(1, Column.COUNTS), Qt.CheckState.Unchecked, Qt.ItemDataRole.CheckStateRole)
    for appearance, tones in ((Appearance.DARK, theme.DARK), (Appearance.LIGHT, theme.LIGHT)):
        window.settings.appearance = appearance
        dresser.dress()
        inks = {
            ink.color().name()
            for row in range(model.rowCount())
            for column in Column
            if (ink := model.data(model.index(row, column), Qt.ItemDataRole.ForegroundRole)) is not None
        }
        assert inks == {tones.dim}  # the reading that does not count


def framed(window):
    """All that can be used and is in sight, with the middle of its left edge in the window."""
    for field in window.findChildren(QWidget):
        is_field = isinstance(field, QLineEdit | QComboBox | QPlainTextEdit | QTableView | CheckBox)
        is_field |= isinstance(field, Button) and not field.isFlat()
        is_inside = isinstance(field.parentWidget(), QComboBox | QTableView)
        edge = QRect(0, field.height() // 2, 4, 1)
        if (
            is_field
            and not is_inside
            and field.isEnabled()
            and field.isVisible()
            and field.visibleRegion().contains(edge)
        ):
            yield field, field.mapTo(window, QPoint(0, field.height() // 2))


@pytest.mark.parametrize("chosen", [Appearance.LIGHT, Appearance.DARK], ids=["light", "dark"])
def test_that_the_frame_of_every_field_of_the_window_is_seen(dressed, chosen):
    """WCAG 2.1, criterion 1.4.11: three to one, on both sides of the frame or on the inner one alone."""
    window, dresser = dressed
    window.settings.appearance = chosen
    dresser.dress()
    QApplication.processEvents()
    image, pale, seen = window.grab().toImage(), [], 0
    for field, place in framed(window):
        crossed = [image.pixelColor(x, place.y()).name() for x in range(place.x() - 4, place.x() + 4)]
        best = max(min(theme.contrast(shade, crossed[0]), theme.contrast(shade, crossed[-1])) for shade in crossed)
        seen += 1
        if best < 3.0:
            pale.append((type(field).__name__, field.accessibleName(), round(best, 2), crossed))
    assert seen > 20
    assert not pale
