"""Whatever a name, a note or an instrument holds is shown as it stands there, in every label and tool tip of the window."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as Gui
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import QAbstractItemView, QApplication, QHeaderView, QLabel, QTableView

from planner.document.batch import Addition, OtherMead, Price, Prices, Share, Tasting
from planner.document.codec import decode, encode
from planner.reference.own import OwnAdditive, OwnFruit, OwnHoney
from planner.reference.shipped import samples
from planner.ui.widgets.disclosure import Disclosure
from planner.ui.widgets.label import Label, Markup

HOSTILE = '<img src="file:///evil.png"><b>evil</b> $\\frac{1$ {} [*]'
"""Eighty characters at most, as many names may have."""
UI = Path(__file__).resolve().parents[2] / "planner" / "ui"


def hostile():
    """A batch that holds the text wherever one from elsewhere may stand."""
    batch = decode((samples() / "raspberry-finished.meadbatch").read_bytes())
    change = msgspec.structs.replace
    fruit, honey = batch.recipe.fruits[0], batch.recipe.honeys[0]
    own = change(
        batch.own,
        fruits=(OwnFruit(key="own-f", name=HOSTILE, based_on=fruit.key, note=HOSTILE, sugar=(0.08, 0.09, 0.1)),),
        honeys=(OwnHoney(key="own-h", name=HOSTILE, based_on=honey.key, note=HOSTILE),),
        additives=(OwnAdditive(key="own-a", name=HOSTILE, based_on="sugar", note=HOSTILE),),
    )
    recipe = change(
        batch.recipe, fruits=(change(fruit, key="own-f"),), honeys=(change(honey, key="own-h"),),
        prices=Prices(currency="<b>evil", lines=(Price(key="own-f", per_kg=3.0),)),
    )  # fmt: skip
    log = change(
        batch.log, readings=tuple(change(entry, note=HOSTILE, instrument=HOSTILE) for entry in batch.log.entries)
    )
    blend = OtherMead(
        name=HOSTILE, composition=(Share(component="water", share=0.9), Share(component="ethanol", share=0.1))
    )
    additions = (Addition(key="own-a", mass=0.05), Addition(key="another-mead", mass=0.2, blend=blend))
    return change(
        batch, name=HOSTILE, notes=HOSTILE, recipe=recipe, log=log, own=own,
        tastings=(Tasting(note=HOSTILE, at="2026-03-01"),),
        adjustment=change(batch.adjustment, additions=additions),
    )  # fmt: skip


def shown(text, is_markup):
    """What stands on the screen."""
    if not is_markup:
        return text
    document = QTextDocument()
    document.setHtml(text)
    return document.toPlainText()


def tips_of(view):
    model, role = view.model(), Qt.ItemDataRole.ToolTipRole
    if model is None:
        return
    places = [(row, column) for row in range(40) for column in range(16) if model.hasIndex(row, column)]
    for row, column in places:
        yield model.data(model.index(row, column), role)
        yield model.headerData(column, Qt.Orientation.Horizontal, role)


def texts():
    """Every text of a label, and every one that hovers: the place, the text, and whether Qt takes it for markup."""
    for widget in QApplication.allWidgets():
        place = type(widget).__name__
        if isinstance(widget, QLabel):
            auto = widget.textFormat() == Qt.TextFormat.AutoText and Gui.mightBeRichText(widget.text())
            yield place, widget.text(), auto or widget.textFormat() == Qt.TextFormat.RichText
        hovering = [widget.toolTip(), widget.whatsThis(), *(action.toolTip() for action in widget.actions())]
        if isinstance(widget, QAbstractItemView) and not isinstance(widget, QHeaderView):
            hovering += filter(None, tips_of(widget))
        yield from ((place, text, Gui.mightBeRichText(text)) for text in hovering if text)


def told_wrongly():
    """Where the text does not stand as it is; and how often it was met."""
    met, wrong = 0, []
    for place, text, is_markup in texts():
        if "evil" in text:
            met += 1
            on_screen = shown(text, is_markup).replace("\u2060", "")
            # Qt shows "&" of an action's name as a line below a letter, and a picture as a sign of its own.
            if "\ufffc" in on_screen or ("<b>evil" not in on_screen and "<img" not in on_screen):
                wrong.append((place, text))
    return met, wrong


def test_that_no_name_or_note_of_a_file_is_taken_for_markup_anywhere(visit, tmp_path):
    file = tmp_path / "<b>evil<br>.meadbatch"
    file.write_bytes(encode(hostile()))
    at = visit(file=file)
    assert at.outcome.mead is not None
    window = at.window
    for pane in (window.recipe, window.curve, window.adjustment):
        for field in pane.findChildren(QTableView):
            field.scrollToBottom()
    for fold in window.findChildren(Disclosure):
        fold.setChecked(True)
    for act in ("show_findings", "show_schedule", "show_routes", "edit_ingredients", "show_provenance", "show_reasons"):
        at.act(act)
        at.qtbot.wait(1)
    at.qtbot.waitUntil(lambda: not window.recalculator.is_busy)
    at.qtbot.wait(50)
    met, wrong = told_wrongly()
    assert not wrong, wrong[:5]
    assert met > 30, "the text is hardly shown"
    window._editor.close()


def test_that_a_refused_text_is_no_markup_either(visit):
    at = visit(sample="raspberry-finished")
    assert at.outcome is not None
    field = at.window.recipe.water.water
    field.setFocus()
    field.setText("<b>evil</b>")
    assert not field.accept()
    assert "evil" in field.toolTip()
    met, wrong = told_wrongly()
    assert met >= 2  # the note below the field, and the tool tip
    assert not wrong


def test_that_the_detector_sees_what_it_is_to_see(qapp):
    label = QLabel(HOSTILE)
    label.setToolTip(HOSTILE)
    assert len(told_wrongly()[1]) == 2
    plain, markup = Label(HOSTILE), Markup("evil &lt;b&gt;evil")
    label.deleteLater()
    label.setText("")
    label.setToolTip("")
    assert plain.text() == HOSTILE
    assert markup.text()
    assert told_wrongly() == (2, [])


def test_that_labels_are_made_in_one_way():
    direct = [path.name for path in UI.rglob("*.py") if re.search(r"\bQLabel\(", path.read_text(encoding="utf-8"))]
    assert direct == []


def test_that_a_name_with_the_mark_of_unsaved_work_stands_whole_in_the_title(visit):
    at = visit(sample="raspberry-finished")
    at.window.store.edit(msgspec.structs.replace(at.batch, name="Plum [*] of 26"), "name")
    assert at.window.windowTitle().startswith(
        "Plum [*][*] of 26[*] – "
    )  # Qt shows two marks as one, and none as unsaved
