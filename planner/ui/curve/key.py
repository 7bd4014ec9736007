"""The key to the kinds of point and line, in the upper right corner of the curve."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from planner.ui.curve.artists import SMALL, Artists, PlotFont
from planner.ui.curve.marks import SIZES, Key
from planner.ui.theme import Colours

_COLUMN = 13.0
"""Width of the picture from which the key has another column. [em]"""
_GROUND = 0.8
"""Opacity of its ground."""


def columns_for(names: int, figure: Figure, font: PlotFont) -> int:
    """As many columns as there is room for, so that the key hides no label of the axis."""
    room = int(figure.get_size_inches()[0] * 72.0 / font.points / _COLUMN)
    return max(1, min(room, names if names <= 3 else 2 if names == 4 else 3))


def show_key(artists: Artists, shown: Sequence[Key], colours: Colours, columns: int) -> None:
    """Show another key; none where nothing is to be told."""
    old = artists.gravity.get_legend()
    if old is not None:
        old.remove()
    if shown:
        legend = artists.gravity.legend(
            [line for line, _ in shown], [name for _, name in shown], loc="upper right", frameon=True, ncols=columns,
            facecolor=colours.window, edgecolor="none", framealpha=_GROUND, labelcolor=colours.text,
            prop={"family": artists.font.families, "size": SMALL * artists.font.points},
            handlelength=1.4, handletextpad=0.4, columnspacing=1.2, borderaxespad=0.2,
        )  # fmt: skip
        for handle in legend.legend_handles:
            if isinstance(handle, Line2D):  # of many readings in sight the marks are small, but not their key
                handle.set_markersize(max(handle.get_markersize(), SIZES[0]))
