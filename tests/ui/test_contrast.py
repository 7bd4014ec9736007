"""What is on the screen can be read and found: contrasts counted from pixels, on ground and sheet of both themes.

WCAG 2.1, criteria 1.4.3 (text, 4.5 to one) and 1.4.11 (what tells that something can be used, 3 to one).
"""

from __future__ import annotations

from collections import Counter

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QFont, QPalette, QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QLabel, QListWidget, QPlainTextEdit, QTableView, QVBoxLayout, QWidget

from planner.ui import theme
from planner.ui.recipe.fields import NotesEdit
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import ChoiceField, QuantityField, TextField
from planner.ui.widgets.figure import Figure
from planner.ui.widgets.search_field import SearchField
from planner.units import Kind

TEXT, FRAME = 4.5, 3.0
FLAVOURS = [("rasp", "Raspberry"), ("plum", "Plum")]
GROUNDS = pytest.mark.parametrize("ground", ["window", "sheet"])
THEMES = pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
FRAMED = {
    "text": TextField,
    "amount": lambda: QuantityField(Kind.MASS),
    "choice": lambda: ChoiceField(FLAVOURS),
    "search": lambda: SearchField(FLAVOURS),
    "notes": NotesEdit,
    "table": lambda: theme.dress(QTableView()),
    "box": CheckBox,
    "button": lambda: Button("Propose"),
}


@pytest.fixture
def stand(qapp, qtbot):
    """Stands a widget in a window on a ground of a theme, with room around it."""
    was = qapp.palette(), qapp.style().name()
    kept = []

    def standing(widget, dark, ground):
        theme.apply(qapp, dark)
        window = QWidget()
        kept.append(window)
        if ground == "sheet":
            own = QPalette()
            own.setColor(QPalette.ColorRole.Window, QColor(theme.colours(dark).sheet))
            window.setPalette(own)
        layout = QVBoxLayout(window)
        layout.setContentsMargins(9, 9, 9, 9)
        layout.addWidget(widget)
        qtbot.addWidget(window)
        with qtbot.waitExposed(window):
            window.show()
        window.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        window.setFocus()
        return window

    yield standing
    qapp.setStyle(was[1])
    qapp.setPalette(was[0])


def across_left_edge(window, widget):
    """The colours that a pointer crosses from the ground over the left edge of a widget into it, at half its height."""
    image = window.grab().toImage()
    ratio = image.devicePixelRatio()
    place = widget.mapTo(window, QPoint(0, widget.height() // 2))
    y = round(place.y() * ratio)
    return [
        image.pixelColor(x, y).name() for x in range(round((place.x() - 4) * ratio), round((place.x() + 5) * ratio))
    ]


def strongest(picture, ground):
    """The greatest contrast of any pixel with the ground."""
    image = picture.toImage()
    shades = {image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height())}
    return max(theme.contrast(shade, ground) for shade in shades)


@GROUNDS
@THEMES
@pytest.mark.parametrize("kind", FRAMED)
def test_that_the_frame_of_what_can_be_used_is_seen(stand, kind, dark, ground):
    widget = FRAMED[kind]()
    window = stand(widget, dark, ground)
    crossed = across_left_edge(window, widget)
    around, within = crossed[0], crossed[-1]
    assert around == getattr(theme.colours(dark), ground)
    assert any(theme.contrast(c, around) >= FRAME and theme.contrast(c, within) >= FRAME for c in crossed)


def large(widget):
    """So large that some of its strokes are of the plain colour."""
    font = QFont(widget.font())
    font.setPointSizeF(4 * font.pointSizeF())
    widget.setFont(font)
    return widget


@GROUNDS
@THEMES
@pytest.mark.parametrize("tone", ["", "dim", "warning", "problem"])
def test_that_words_are_read_on_their_ground(stand, tone, dark, ground):
    label = large(QLabel("HHH"))
    theme.set_tone(label, tone)
    stand(label, dark, ground)
    assert strongest(label.grab(), getattr(theme.colours(dark), ground)) >= TEXT


@GROUNDS
@THEMES
def test_that_a_unit_is_read_on_its_ground(stand, dark, ground):
    figure = large(Figure())
    figure.setText("9.5 kg")
    stand(figure, dark, ground)
    image = figure.grab().toImage()
    right_half = figure.grab().copy(image.width() // 2, 0, image.width() // 2, image.height())
    assert strongest(right_half, getattr(theme.colours(dark), ground)) >= TEXT


@THEMES
@pytest.mark.parametrize("made", [TextField, QPlainTextEdit], ids=["line", "notes"])
def test_that_a_hint_in_an_empty_field_is_read(stand, made, dark):
    field = large(made())
    field.setPlaceholderText("HHH")
    stand(field, dark, "window")
    inside = field.grab().copy(9, 9, field.width() - 18, field.height() - 18)
    assert strongest(inside, theme.colours(dark).base) >= TEXT


@THEMES
def test_that_a_selected_row_is_read(stand, dark):
    rows = large(QListWidget())
    rows.addItem("HHH")
    rows.setCurrentRow(0)
    stand(rows, dark, "window")
    row = rows.visualItemRect(rows.item(0)).adjusted(3, 3, -3, -3)
    assert strongest(rows.viewport().grab(row), theme.colours(dark).selected) >= TEXT


@THEMES
def test_that_a_selected_cell_is_read_whether_the_table_has_the_focus_or_not(stand, dark):
    table = large(theme.dress(QTableView()))
    model = QStandardItemModel(1, 1)
    model.setItem(0, 0, QStandardItem("HHH"))
    table.setModel(model)
    table.horizontalHeader().setStretchLastSection(True)
    table.verticalHeader().setDefaultSectionSize(2 * table.fontMetrics().height())
    table.selectRow(0)
    window = stand(table, dark, "window")
    for holder in (window, table):
        holder.setFocus()
        row = table.visualRect(model.index(0, 0)).adjusted(3, 3, -3, -3)
        assert strongest(table.viewport().grab(row), theme.colours(dark).selected) >= TEXT


@THEMES
@pytest.mark.parametrize("made", [TextField, QPlainTextEdit], ids=["line", "notes"])
def test_that_selected_text_is_read(stand, made, dark):
    field = large(made())
    (field.setText if isinstance(field, TextField) else field.setPlainText)("HHH")
    stand(field, dark, "window")
    field.setFocus()
    field.selectAll()
    fill = theme.colours(dark).fill
    metrics = field.fontMetrics()
    inside = field.grab().copy(9, 12, metrics.horizontalAdvance("HHH") - 9, metrics.height() - 18)
    assert fill in {inside.toImage().pixelColor(x, inside.height() // 2).name() for x in range(inside.width())}
    assert strongest(inside, fill) >= TEXT


@GROUNDS
@THEMES
@pytest.mark.parametrize("kind", ["label", "box", "text", "choice"])
def test_that_what_cannot_be_used_now_is_read(stand, kind, dark, ground):
    made = {"label": lambda: QLabel("HHH"), "box": lambda: CheckBox("HHH"), "text": TextField,
            "choice": lambda: ChoiceField([("h", "HHH")])}  # fmt: skip
    widget = large(made[kind]())
    if kind == "text":
        widget.setText("HHH")
    if kind == "choice":
        widget.show_key("h")
    widget.setEnabled(False)
    stand(widget, dark, ground)
    inside = widget.grab().copy(9, 9, widget.width() - 18, widget.height() - 18)
    image = inside.toImage()
    shades = Counter(
        image.pixelColor(x, y).name() for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)
    )
    assert strongest(inside, shades.most_common(1)[0][0]) >= TEXT


@GROUNDS
@THEMES
@pytest.mark.parametrize("enabled", [True, False])
def test_that_the_act_that_is_due_is_read_and_found(stand, enabled, dark, ground):
    button = large(Button("HHH"))
    button.set_due(True)
    button.setEnabled(enabled)
    window = stand(button, dark, ground)
    crossed = across_left_edge(window, button)
    inside = button.grab().copy(9, 9, button.width() - 18, button.height() - 18)
    assert strongest(inside, crossed[-1]) >= TEXT
    if enabled:
        assert max(theme.contrast(c, crossed[0]) for c in crossed) >= FRAME


@THEMES
def test_that_only_the_act_that_is_due_is_filled(stand, dark):
    button = Button("Log")
    stand(button, dark, "window")
    image = button.grab().toImage()
    plain = image.pixelColor(4, image.height() // 2).name()
    button.set_due(True)
    image = button.grab().toImage()
    assert plain == theme.colours(dark).raised
    assert image.pixelColor(4, image.height() // 2).name() == theme.colours(dark).fill
