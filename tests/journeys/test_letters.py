"""Whatever the letters of the desktop, no figure is cut: fields and labels are as wide as what they hold."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QCheckBox, QLabel, QLineEdit, QVBoxLayout, QWidget

from planner.ui.widgets.disclosure import Disclosure
from tests.cut_figures import cut_figures, cut_words


@pytest.fixture
def letters(qapp):
    """Sets the size of the letters of the desktop. [pt]"""
    before = qapp.font()

    def set_size(points):
        font = qapp.font()
        font.setPointSizeF(points)
        qapp.setFont(font)

    yield set_size
    qapp.setFont(before)


def unfold_all(window):
    """Open every fold, and what was in them."""
    while closed := [d for d in window.findChildren(Disclosure) if not d.isChecked()]:
        for disclosure in closed:
            disclosure.setChecked(True)


def opened(visit, sample, system):
    """A window with everything in it opened, and a trial of glasses planned."""
    made = visit(sample=sample)
    made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
    made.window.set_system(system)
    made.window.resize(1280, 800)
    assert made.outcome.curve is not None
    unfold_all(made.window)
    trial = made.window.adjustment.tools.trial.tool
    if trial.make.isEnabled():
        trial.make.click()
    assert made.outcome is not None
    QApplication.processEvents()
    QApplication.processEvents()
    return made


@pytest.mark.parametrize("points", [9, 11, 13, 16, 20])
@pytest.mark.parametrize(
    ("sample", "system"),
    [("blackcurrant-half-way", "us"), ("raspberry-finished", "metric"), ("damson-stopped", "us")],
)
def test_that_no_figure_is_cut_in_any_letters(visit, letters, points, sample, system):
    letters(points)
    made = opened(visit, sample, system)
    assert cut_figures(made.window) == []


@pytest.mark.parametrize("points", [9, 13, 20])
def test_that_no_figure_is_cut_in_the_windows_beside(visit, letters, points):
    letters(points)
    made = visit(sample="quince-planned")
    assert made.outcome.curve is not None
    made.act("show_schedule")
    made.act("scale_batch")
    made.act("edit_ingredients")
    QApplication.processEvents()
    beside = [window for window in QApplication.topLevelWidgets() if window.isVisible() and window is not made.window]
    assert len(beside) >= 3
    for window in beside:
        assert cut_figures(window) == [], window.windowTitle()
        window.close()


def test_that_the_search_for_cut_figures_finds_them(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    whole, cut, words, box = QLabel("141 of 190"), QLabel("141 of 190"), QLabel("Nitrogen"), QCheckBox("5 of 6")
    for part in (whole, cut, words, box, QLineEdit("141")):
        column.addWidget(part)
    cut.setFixedWidth(20)
    words.setFixedWidth(20)
    window.show()
    (found,) = cut_figures(window)
    assert "141 of 190" in found
    box.setFixedWidth(20)
    assert len(cut_figures(window)) == 2


@pytest.mark.parametrize("points", [9, 14, 20])
def test_that_no_word_of_a_label_or_button_is_cut(visit, letters, points):
    letters(points)
    made = opened(visit, "raspberry-finished", "metric")
    assert cut_words(made.window) == []


def test_that_a_cut_word_is_found(qtbot):
    window, label = QWidget(), QLabel("blackcurrant")
    qtbot.addWidget(window)
    QVBoxLayout(window).addWidget(label)
    window.show()
    label.setFixedWidth(label.sizeHint().width() // 2)
    QApplication.processEvents()
    [told] = cut_words(window)
    assert "blackcurrant" in told
