"""The colours can be read, and mean the same in both themes."""

from __future__ import annotations

import colorsys
import itertools

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QTableView,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from planner.ui import theme
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import ChoiceField

THEMES = pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])

# M. Okabe, K. Ito, "Color Universal Design (CUD)", 2008; printed as RGB 0-255 in B. Wong, "Points of view: Color
# blindness", Nature Methods 8, 441 (2011).
OKABE_ITO = {
    "expected": (0, 114, 178),
    "logged": (213, 94, 0),
    "excluded": (204, 121, 167),
    "finish": (0, 158, 115),
    "stall": (230, 159, 0),
    "event": (86, 180, 233),
}


def test_that_contrast_is_that_of_wcag():
    # WCAG 2.1: the ratio runs from 1 to 21. W3C, Understanding 1.4.3: #767676 on white is 4.54 (from memory).
    assert theme.contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert theme.contrast("#ffffff", "#ffffff") == 1.0
    assert theme.contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@THEMES
@pytest.mark.parametrize("ink", ["text", "dim", "problem", "warning", "accent"])
@pytest.mark.parametrize("ground", ["window", "sheet", "base", "alternate", "raised", "selected", "warned"])
def test_that_text_stands_out_from_its_ground(dark, ink, ground):
    tones = msgspec.structs.asdict(theme.colours(dark))
    assert theme.contrast(tones[ink], tones[ground]) >= 4.5  # WCAG 2.1, 1.4.3


@THEMES
def test_that_selected_text_can_be_read(dark):
    tones = theme.colours(dark)
    assert theme.contrast(tones.on_fill, tones.fill) >= 4.5  # WCAG 2.1, 1.4.3
    assert theme.contrast(tones.on_selected, tones.selected) >= 4.5


@THEMES
@pytest.mark.parametrize("role", [*OKABE_ITO, "edge"])
@pytest.mark.parametrize("ground", ["window", "sheet"])
def test_that_curves_and_borders_stand_out_from_the_plot(dark, role, ground):
    tones = msgspec.structs.asdict(theme.colours(dark))
    assert theme.contrast(tones[role], tones[ground]) >= 3.0  # WCAG 2.1, 1.4.11


# G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of color vision
# deficiency", IEEE Trans. Vis. Comput. Graph. 15, 1291 (2009), the matrices of severity 1.0, on linear RGB.
REDUCED_SIGHT = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
}
# The primaries of sRGB in XYZ, and its white: IEC 61966-2-1.
TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))


def as_seen(colour, sight):
    """CIE L*a*b* (1976) of a colour for eyes of reduced colour sight."""
    channels = np.array([int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)])
    linear = np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)
    seen = np.clip(np.array(REDUCED_SIGHT[sight]) @ linear, 0.0, 1.0)
    ratio = np.array(TO_XYZ) @ seen / np.array(TO_XYZ).sum(axis=1)
    x, y, z = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


@THEMES
@pytest.mark.parametrize("sight", REDUCED_SIGHT)
def test_that_the_three_lines_differ_for_eyes_of_reduced_colour_sight(dark, sight):
    tones = msgspec.structs.asdict(theme.colours(dark))
    lines = [as_seen(tones[role], sight) for role in ("expected", "logged", "finish")]
    # M. Mahy and others, "Evaluation of uniform color spaces", Color Res. Appl. 19, 105 (1994): a difference of 2.3 is
    # just noticed where two patches touch. Thin lines that do not touch get ten times that (common practice, no source).
    for one, other in itertools.combinations(lines, 2):
        assert np.linalg.norm(one - other) >= 23.0


@THEMES
@pytest.mark.parametrize("role", OKABE_ITO)
def test_that_a_curve_has_its_published_hue_in_both_themes(dark, role):
    drawn = QColor(msgspec.structs.asdict(theme.colours(dark))[role]).getRgb()[:3]
    hue, _, _ = colorsys.rgb_to_hls(*(c / 255 for c in drawn))
    published, _, _ = colorsys.rgb_to_hls(*(c / 255 for c in OKABE_ITO[role]))
    assert 360 * abs(hue - published) < 1.0  # one step of an 8-bit channel


@THEMES
@pytest.mark.parametrize("group", list(QPalette.ColorGroup)[:3])
def test_that_every_pair_of_the_palette_can_be_read(dark, group):
    made, role = theme.palette(dark), QPalette.ColorRole
    pairs = [
        (role.WindowText, role.Window),
        (role.Text, role.Base),
        (role.Text, role.AlternateBase),
        (role.ButtonText, role.Button),
        (role.ToolTipText, role.ToolTipBase),
        (role.HighlightedText, role.Highlight),
        (role.PlaceholderText, role.Base),
        (role.Link, role.Base),
    ]
    # What is disabled need not reach 4.5 (WCAG 2.1, 1.4.3, "incidental"), but it should be seen.
    needed = 3.0 if group == QPalette.ColorGroup.Disabled else 4.5
    for ink, ground in pairs:
        assert theme.contrast(made.color(group, ink).name(), made.color(group, ground).name()) >= needed


@THEMES
def test_that_a_widget_finds_its_colours_by_its_palette(dark):
    assert theme.colours_on(theme.palette(dark)) is theme.colours(dark)
    sheet = theme.palette(dark)
    sheet.setColor(QPalette.ColorRole.Window, QColor(theme.colours(dark).sheet))
    assert theme.colours_on(sheet) is theme.on_sheet(theme.colours(dark))


def test_that_tabular_figures_leave_the_font_as_it_was(qapp):
    font = QFont("Sans Serif", 11)
    made = theme.tabular(font)
    assert [tag.toString() for tag in made.featureTags()] == ["tnum"]
    assert font.featureTags() == []
    assert (made.family(), made.pointSizeF()) == (font.family(), font.pointSizeF())


@THEMES
def test_that_the_program_can_be_dressed(qapp, dark):
    before = qapp.style().objectName(), qapp.palette()
    theme.apply(qapp, dark)
    assert qapp.palette().color(QPalette.ColorRole.Base).name() == theme.colours(dark).base
    assert QToolTip.palette().color(QPalette.ColorRole.ToolTipBase).name() == theme.colours(dark).raised
    assert qapp.styleSheet() == ""  # it would cost each widget of the window its rules
    qapp.setStyle(before[0])
    qapp.setPalette(before[1])


@pytest.fixture
def dress(qapp):
    """Dresses the program, and undresses it at the end."""
    was = qapp.palette(), qapp.style().name()
    yield lambda dark: theme.apply(qapp, dark)
    qapp.setStyle(was[1])
    qapp.setPalette(was[0])


def shades(widget):
    image = widget.grab().toImage()
    return {image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height())}


def test_that_links_take_the_colours_of_another_theme(qtbot, dress):
    label = QLabel('<a href="#">HHHHH</a>')
    label.setFont(QFont(label.font().family(), 40))
    qtbot.addWidget(label)
    for dark in (True, False, True):
        dress(dark)
        assert theme.colours(dark).accent in shades(label)


def large(text):
    label = QLabel(text)
    label.setFont(QFont(label.font().family(), 40))  # so that some of it is of the plain colour
    return label


@pytest.mark.parametrize("tone", ["dim", "warning", "problem"])
def test_that_a_text_takes_its_tone_from_the_new_theme(qtbot, dress, tone):
    label = large("HHHHH")
    qtbot.addWidget(label)
    theme.set_tone(label, tone)
    for dark in (True, False, True):
        dress(dark)
        assert msgspec.structs.asdict(theme.colours(dark))[tone] in shades(label)
        assert msgspec.structs.asdict(theme.colours(not dark))[tone] not in shades(label)


@THEMES
def test_that_a_text_without_its_tone_looks_like_all_others(qtbot, dress, dark):
    dress(dark)
    label, tones = large("HHHHH"), theme.colours(dark)
    qtbot.addWidget(label)
    theme.set_tone(label, "problem")
    theme.set_tone(label, "")
    assert tones.text in shades(label)
    assert tones.problem not in shades(label)
    dress(not dark)
    assert theme.colours(not dark).text in shades(label)


@THEMES
def test_that_a_text_keeps_its_tone_where_it_is_disabled(qtbot, dress, dark):
    dress(dark)
    label = large("HHHHH")
    qtbot.addWidget(label)
    theme.set_tone(label, "warning")
    label.setEnabled(False)
    assert theme.colours(dark).warning in shades(label)


def test_that_a_rule_is_a_hairline_in_either_theme(qtbot, dress):
    rule = QFrame()
    rule.setFrameShape(QFrame.Shape.HLine)
    rule.setFrameShadow(QFrame.Shadow.Plain)
    qtbot.addWidget(rule)
    theme.set_tone(rule, "line")
    for dark in (False, True):
        dress(dark)
        tones = theme.colours(dark)
        assert shades(rule) == {tones.line, tones.window}


@THEMES
def test_that_rows_are_marked_more_quietly_than_text(qtbot, dress, dark):
    dress(dark)
    rows, field, tones = QListWidget(), QLineEdit("HHHHH"), theme.colours(dark)
    rows.addItem("HHHHH")
    rows.setCurrentRow(0)
    field.selectAll()
    for widget in (rows, field):
        qtbot.addWidget(widget)
    with qtbot.waitActive(field):
        field.show()
    qtbot.waitUntil(field.hasFocus)
    assert tones.selected in shades(rows)
    assert tones.fill in shades(field)
    assert tones.selected not in shades(field)


@pytest.mark.qt_log_ignore("does not support raise", "does not support grabbing the keyboard")
@THEMES
def test_that_a_choice_marks_its_rows_as_other_lists_do(qtbot, dress, dark):
    dress(dark)
    choice, tones = ChoiceField([("rasp", "Raspberry"), ("plum", "Plum")]), theme.colours(dark)
    choice.show_key("plum")
    qtbot.addWidget(choice)
    with qtbot.waitActive(choice):
        choice.show()
    choice.showPopup()
    qtbot.waitUntil(choice.view().isVisible)
    assert tones.selected in shades(choice.view())
    assert tones.fill not in shades(choice.view())
    choice.hidePopup()


def test_that_what_is_edged_takes_the_new_theme(qtbot, dress):
    widgets = [theme.dress(made) for made in (QTableView(), QPlainTextEdit())]
    for widget in widgets:
        qtbot.addWidget(widget)
        for dark in (True, False, True):
            dress(dark)
            assert theme.colours(dark).edge in shades(widget)
            assert theme.colours(not dark).edge not in shades(widget)


def test_that_a_style_sheet_of_others_is_left_alone(qtbot, dress):
    label = QLabel("plain")
    label.setStyleSheet("QLabel { margin: 3px }")
    qtbot.addWidget(label)
    dress(True)
    assert label.styleSheet() == "QLabel { margin: 3px }"


@THEMES
@pytest.mark.parametrize(
    "made",
    [lambda: flat("Why?"), lambda: theme.dress(QTableView()), lambda: CheckBox("Yes")],
    ids=["flat", "table", "box"],
)
def test_that_what_has_the_focus_is_edged_and_as_large_as_before(qtbot, dress, dark, made):
    dress(dark)
    window, other, widget = QWidget(), QLineEdit(), made()
    layout = QVBoxLayout(window)
    layout.addWidget(other)
    layout.addWidget(widget)
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
    other.setFocus()
    qtbot.waitUntil(other.hasFocus)
    before, hint = shades(widget), widget.sizeHint()
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(widget.hasFocus)
    after, tones = shades(widget), theme.colours(dark)
    assert widget.sizeHint() == hint
    # WCAG 2.1, criteria 2.4.7 and 1.4.11: three to one against what is around it.
    new = after - before
    assert any(theme.contrast(shade, tones.window) >= 3.0 for shade in new)


def flat(text):
    button = Button(text)
    button.setFlat(True)
    return button
