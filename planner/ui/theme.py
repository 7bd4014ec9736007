"""Colours, palettes and figures: one named set for light and one for dark, for widgets and curves alike."""

from __future__ import annotations

from typing import TypeVar

import msgspec
from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPalette
from PySide6.QtWidgets import QApplication, QLabel, QToolTip, QWidget

Dressed = TypeVar("Dressed", bound=QWidget)


class Colours(msgspec.Struct, frozen=True):
    """Every colour the program draws with, as "#rrggbb". No colour carries a meaning that a shape or word does not."""

    window: str
    """Ground of what is drawn on: that of the window, or of the one sheet (`on_sheet`)."""
    sheet: str
    """Ground of the one pane that is at work."""
    base: str
    """Ground of fields and tables."""
    alternate: str
    """Ground of every other row."""
    raised: str
    """Ground of buttons, notes and tool tips."""
    text: str
    dim: str
    """Text that comes second: units, captions, notes, and what is out of date."""
    line: str
    """Hairlines and grids between groups and rows; never the only carrier of a meaning."""
    edge: str
    """Frames of what can be used, and axes."""
    accent: str
    """The one accent: focus, links, the dot of an uncertain number."""
    fill: str
    """Ground of the one act that is due, and of selected text."""
    on_fill: str
    """Text on it."""
    selected: str
    """Ground of selected rows: the accent's hue, quiet enough for a whole line of a table."""
    on_selected: str
    """Text on selected rows."""
    problem: str
    """What was refused, or must not be done."""
    warning: str
    """What deserves a thought."""
    warned: str
    """Ground of a box that warns."""
    expected: str
    logged: str
    excluded: str
    finish: str
    stall: str
    event: str


# The curve roles have the hues of the set by M. Okabe and K. Ito, "Color Universal Design", 2008, made lighter or
# darker until they can be read as words (4.5 to one), the hatch of a stall seen (3 to one), on ground and sheet alike
# (WCAG 2.1, criteria 1.4.3 and 1.4.11).
LIGHT = Colours(
    window="#ecede8",
    sheet="#ffffff",
    base="#ffffff",
    alternate="#f8f8f6",
    raised="#ffffff",
    text="#1d1f1c",
    dim="#5a5e57",
    line="#d3d5ce",
    edge="#787c75",
    accent="#75295f",
    fill="#75295f",
    on_fill="#ffffff",
    selected="#f3e7ef",
    on_selected="#1d1f1c",
    problem="#a3211b",
    warning="#7f5200",
    warned="#fff3d6",
    expected="#0068a3",
    logged="#ae4d00",
    excluded="#a8437b",
    finish="#007052",
    stall="#a87400",
    event="#0068a3",
)
DARK = Colours(
    window="#1b1c1f",
    sheet="#26282c",
    base="#1b1c1f",
    alternate="#202124",
    raised="#2c2e32",
    text="#e9eae5",
    dim="#aaaea6",
    line="#3b3e42",
    edge="#868b84",
    accent="#d9a0c6",
    fill="#7e3a6b",
    on_fill="#ffffff",
    selected="#3d2b38",
    on_selected="#e9eae5",
    problem="#ff938b",
    warning="#f2be54",
    warned="#3a3019",
    expected="#62b9ea",
    logged="#f29d5a",
    excluded="#d58fb6",
    finish="#4ccba8",
    stall="#d9a83a",
    event="#62b9ea",
)
_ON_SHEET = {tones: msgspec.structs.replace(tones, window=tones.sheet) for tones in (LIGHT, DARK)}
_BY_GROUND = {tones.window: tones for tones in (*_ON_SHEET, *_ON_SHEET.values())}

# The scale of letters, as shares of the system's letters. There are two weights: usual and bold.
NOTE = 0.9
"""Notes, heads of columns, dates, and the words of the plot."""
TITLE = 1.1
"""The names of the panes."""
STATE = 1.25
"""The name of the batch, and the sentence of a pane that is not at work."""
VERDICT = 1.6
"""The sentence of the pane at work: once in the window."""

FIRST = 2.0
"""The field of a first start, which alone is on its page."""


def unit(metrics: QFontMetrics) -> int:
    """The step of the grid on which everything stands: a quarter of a line of letters. [px]"""
    return max(3, round(metrics.height() / 4))


def sized(font: QFont, share: float, bold: bool = False) -> QFont:
    """The same font in a size of the scale."""
    made = QFont(font)
    made.setPointSizeF(font.pointSizeF() * share)
    made.setBold(bold)
    return made


def set_letters(application: QApplication, size: int) -> None:
    """Write everything in letters of a size [pt]; in the desktop's where that is 0."""
    if size:
        font = application.font()
        font.setPointSize(size)
        application.setFont(font)


def colours(dark: bool) -> Colours:
    """The set for a dark or a light screen."""
    return DARK if dark else LIGHT


def colours_on(palette: QPalette) -> Colours:
    """The set that fits a widget's palette; for widgets that draw themselves, asked at each painting."""
    ground = palette.color(QPalette.ColorRole.Window)
    return _BY_GROUND.get(ground.name()) or colours(ground.lightness() < 128)


def on_sheet(tones: Colours) -> Colours:
    """The same set for what stands on the sheet."""
    return _ON_SHEET.get(tones, tones)


def palette(dark: bool) -> QPalette:
    """The palette of the program."""
    return _palette_of(colours(dark))


def _palette_of(tones: Colours) -> QPalette:
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    made = QPalette()
    by_role = {
        role.Window: tones.window,
        role.WindowText: tones.text,
        role.Base: tones.base,
        role.AlternateBase: tones.alternate,
        role.Text: tones.text,
        role.PlaceholderText: tones.dim,
        role.Button: tones.raised,
        role.ButtonText: tones.text,
        role.BrightText: tones.problem,
        role.ToolTipBase: tones.raised,
        role.ToolTipText: tones.text,
        role.Highlight: tones.fill,
        role.HighlightedText: tones.on_fill,
        role.Accent: tones.accent,
        role.Link: tones.accent,
        role.LinkVisited: tones.accent,
        # Fusion draws bevels and frames with these.
        role.Light: tones.raised,
        role.Midlight: tones.alternate,
        role.Mid: tones.line,
        role.Dark: tones.edge,
        role.Shadow: tones.edge,
    }
    for which, colour in by_role.items():
        made.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText, role.HighlightedText):
        made.setColor(group.Disabled, which, QColor(tones.dim))
    made.setColor(group.Disabled, role.Highlight, QColor(tones.line))
    return made


def _item_palette(dark: bool) -> QPalette:
    """The palette of lists and tables: selected rows are quieter than selected text.

    The style takes the outline of what has the focus from the palette's highlight, so that only they get another one.
    """
    tones, role, made = colours(dark), QPalette.ColorRole, palette(dark)
    made.setColor(role.Highlight, QColor(tones.selected))
    made.setColor(role.HighlightedText, QColor(tones.on_selected))
    return made


def select_quietly(view: QWidget) -> None:
    """Let the list of a choice mark its rows as other lists do: it takes after a menu in all that is not its own."""
    tones, role, own = colours_on(view.palette()), QPalette.ColorRole, QPalette()
    own.setColor(role.Highlight, QColor(tones.selected))
    own.setColor(role.HighlightedText, QColor(tones.on_selected))
    view.setPalette(own)


# The style shows no focus on tables; no size changes with it.
def _framed_sheet(tones: Colours) -> str:
    return "".join(
        f"{kind} {{ border: 1px solid {tones.edge}; border-radius: 3px; }}\n"
        f"{kind}:focus {{ border-color: {tones.accent}; }}\n"
        for kind in ("QTableView", "QListView", "QPlainTextEdit")
    )


def dress(widget: Dressed) -> Dressed:
    """Give a table or notes the little that a palette cannot say; returns the widget.

    A style sheet of the whole program would cost memory and time for each widget of the window, so that only these few
    have one. It follows a change of theme (`apply`).
    """
    widget.setProperty("dressed", True)
    _dress(widget, colours_on(QApplication.palette()))
    return widget


def _dress(widget: QWidget, tones: Colours) -> None:
    widget.setStyleSheet(_framed_sheet(tones))


def set_tone(widget: QWidget, tone: str) -> None:
    """Give a text or rule one of the tones "dim", "accent", "warning", "problem" or "line", or none. It follows a change of theme."""
    if (widget.property("tone") or "") != tone:
        widget.setProperty("tone", tone)
        _colour(widget, tone, colours_on(widget.palette()))


def _colour(widget: QWidget, tone: str, tones: Colours) -> None:
    own = QPalette()
    if tone:
        for role in {widget.foregroundRole(), QPalette.ColorRole.WindowText, QPalette.ColorRole.Text}:
            own.setColor(role, QColor(getattr(tones, tone)))
    widget.setPalette(own)


def set_ground(widget: QWidget, is_sheet: bool) -> None:
    """Lay a pane and all in it on the sheet, or on the ground of the window. It follows a change of theme."""
    widget.setProperty("sheet", is_sheet)
    _lay(widget, colours_on(QApplication.palette()))


def _lay(widget: QWidget, tones: Colours) -> None:
    own = QPalette()
    if widget.property("sheet"):
        own.setColor(QPalette.ColorRole.Window, QColor(tones.sheet))
    widget.setPalette(own)


def apply(application: QApplication, dark: bool) -> None:
    """Dress the whole program, and all that is there already."""
    colour_of_links = application.palette().link().color()
    if application.style().name() != "fusion":
        application.setStyle("Fusion")
    application.setPalette(palette(dark))
    QApplication.setPalette(_item_palette(dark), "QAbstractItemView")  # type: ignore[arg-type]  # the stub asks bytes, Qt a str
    QToolTip.setPalette(palette(dark))
    # Widgets hear of it now: who asks one of them for its palette below, or next, is to find the new one.
    application.sendPostedEvents(None, QEvent.Type.ApplicationPaletteChange.value)
    tones = colours(dark)
    for widget in application.allWidgets():
        if widget.property("sheet"):
            _lay(widget, tones)
        if tone := widget.property("tone"):
            _colour(widget, tone, tones)
        if widget.property("dressed"):
            _dress(widget, tones)
    if application.palette().link().color() != colour_of_links:
        _read_links_anew(application)


def _read_links_anew(application: QApplication) -> None:
    """A label takes the colour of its links from the palette once, when it is given its text."""
    for label in application.allWidgets():
        if isinstance(label, QLabel) and "<a " in label.text():
            text = label.text()
            label.clear()
            label.setText(text)


def tabular(font: QFont) -> QFont:
    """The same font with figures of one width, so that nothing moves when a number changes."""
    with_figures = QFont(font)
    with_figures.setFeature(QFont.Tag("tnum"), 1)
    return with_figures


def luminance(colour: str) -> float:
    """Relative luminance of "#rrggbb".

    References
    ----------
    .. [1] W3C, Web Content Accessibility Guidelines 2.1, 2018, definition of "relative luminance".
    """
    channels = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, from 1 to 21; text wants 4.5 and a curve 3.

    References
    ----------
    .. [1] W3C, Web Content Accessibility Guidelines 2.1, 2018, definition of "contrast ratio" and criteria 1.4.3
       and 1.4.11.
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)
