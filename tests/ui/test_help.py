"""F1 explains: shortly beside the figure, or on a page of its own where the text is long."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLineEdit, QTextBrowser, QVBoxLayout, QWhatsThis, QWidget

from planner.ui.shell import help as helping
from planner.ui.shell.help import Reader


@pytest.fixture
def window(qtbot, monkeypatch):
    made = QWidget()
    made.notes = []
    monkeypatch.setattr(QWhatsThis, "showText", lambda _place, text, _widget: made.notes.append(text))
    made.field = QLineEdit()
    QVBoxLayout(made).addWidget(made.field)
    qtbot.addWidget(made)
    with qtbot.waitActive(made):
        made.show()
    made.field.setFocus()
    qtbot.waitUntil(made.field.hasFocus)
    return made


def test_that_a_short_explanation_stands_beside_what_it_explains(window):
    window.field.setWhatsThis("Weight of the fruit.")
    helping.explain(window)
    assert window.notes == ["Weight of the fruit."]
    assert not window.findChildren(Reader)


def test_that_a_long_explanation_is_a_page_that_can_be_scrolled(window):
    window.field.setWhatsThis("<p>" + "One source after another. " * 400 + "</p><p>The last one.</p>")
    helping.explain(window)
    assert not window.notes
    (page,) = window.findChildren(Reader)
    assert page.isVisible()
    assert "The last one." in page.findChild(QTextBrowser).toPlainText()
    page.close()
