"""Colours, palettes and figures: one named set for light and one for dark, for widgets and curves alike."""

from __future__ import annotations

from typing import TypeVar

import msgspec
from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QToolTip, QWidget

Dressed = TypeVar("Dressed", bound=QWidget)


class Colours(msgspec.Struct, frozen=True):
    """Every colour the program draws with, as "#rrggbb". No colour carries a meaning that a shape or word does not."""

    window: str
    """Ground of panes."""
    base: str
    """Ground of fields, tables and plots."""
    alternate: str
    """Ground of every other row."""
    raised: str
    """Ground of buttons, notes and tool tips."""
    text: str
    dim: str
    """Text that comes second: captions, units of axes, and what is out of date."""
    line: str
    """Hairlines and grids; never the only carrier of a meaning."""
    edge: str
    """Borders of what can be used."""
    accent: str
    """The one accent: focus, selected text, links, the dot of an uncertain number."""
    on_accent: str
    """Text on the accent."""
    selected: str
    """Ground of selected rows: the accent's hue, quiet enough for a whole line of a table."""
    on_selected: str
    """Text on selected rows."""
    problem: str
    """What was refused, or must not be done."""
    warning: str
    """What deserves a thought."""
    expected: str
    logged: str
    excluded: str
    finish: str
    stall: str
    event: str


# The curve roles have the hues of the set by M. Okabe and K. Ito, "Color Universal Design", 2008, made lighter or
# darker only as far as three to one against the ground of the plot asks (WCAG 2.1, criterion 1.4.11).
LIGHT = Colours(
    window="#f3f3f1",
    base="#ffffff",
    alternate="#f8f8f6",
    raised="#fafaf9",
    text="#1d1f21",
    dim="#5c6166",
    line="#dcdcd8",
    edge="#8b8f94",
    accent="#7a2e5d",
    on_accent="#ffffff",
    selected="#ecd6e3",
    on_selected="#1d1f21",
    problem="#b3261e",
    warning="#8a5300",
    expected="#0072b2",
    logged="#d55e00",
    excluded="#cb77a6",
    finish="#009e73",
    stall="#c28600",
    event="#1d99e0",
)
DARK = Colours(
    window="#2a2b2f",
    base="#1e1f22",
    alternate="#232428",
    raised="#35373c",
    text="#e6e6e3",
    dim="#a9adb2",
    line="#3d3f45",
    edge="#777b82",
    accent="#e09cc4",
    on_accent="#1d1f21",
    selected="#6b3d5a",
    on_selected="#ffffff",
    problem="#ff8a80",
    warning="#f2b84b",
    expected="#0084ce",
    logged="#d55e00",
    excluded="#cc79a7",
    finish="#009e73",
    stall="#e69f00",
    event="#56b4e9",
)


def colours(dark: bool) -> Colours:
    """The set for a dark or a light screen."""
    return DARK if dark else LIGHT


def colours_on(palette: QPalette) -> Colours:
    """The set that fits a widget's palette; for widgets that draw themselves, asked at each painting."""
    return colours(palette.color(QPalette.ColorRole.Window).lightness() < 128)


def palette(dark: bool) -> QPalette:
    """The palette of the program."""
    tones, role, group = colours(dark), QPalette.ColorRole, QPalette.ColorGroup
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
        role.Highlight: tones.accent,
        role.HighlightedText: tones.on_accent,
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


# The style shows no focus on what it draws flat, nor on tables; no size changes with it.
def _flat_sheet(tones: Colours) -> str:
    return (
        f"QPushButton {{ border: 1px solid transparent; border-radius: 2px; padding: 3px 7px; }}\n"
        f"QPushButton:hover {{ background: {tones.raised}; }}\n"
        f"QPushButton:focus {{ border-color: {tones.accent}; }}\n"
        f"QPushButton:disabled {{ color: {tones.dim}; }}\n"
    )


def _framed_sheet(tones: Colours) -> str:
    return "".join(
        f"{kind} {{ border: 1px solid {tones.edge}; border-radius: 2px; }}\n"
        f"{kind}:focus {{ border-color: {tones.accent}; }}\n"
        for kind in ("QTableView", "QPlainTextEdit")
    )


def dress(widget: Dressed) -> Dressed:
    """Give a flat button, a table or notes the little that a palette cannot say; returns the widget.

    A style sheet of the whole program would cost memory and time for each widget of the window, so that only these few
    have one. It follows a change of theme (`apply`).
    """
    widget.setProperty("dressed", True)
    _dress(widget, colours_on(QApplication.palette()))
    return widget


def _dress(widget: QWidget, tones: Colours) -> None:
    widget.setStyleSheet(_flat_sheet(tones) if isinstance(widget, QPushButton) else _framed_sheet(tones))


def set_tone(widget: QWidget, tone: str) -> None:
    """Give a text or rule one of the tones "dim", "warning", "problem" or "line", or none. It follows a change of theme."""
    if (widget.property("tone") or "") != tone:
        widget.setProperty("tone", tone)
        _colour(widget, tone, colours_on(widget.palette()))


def _colour(widget: QWidget, tone: str, tones: Colours) -> None:
    own = QPalette()
    if tone:
        for role in {widget.foregroundRole(), QPalette.ColorRole.WindowText, QPalette.ColorRole.Text}:
            own.setColor(role, QColor(getattr(tones, tone)))
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
