"""The key to the kinds of point and line, in the upper right corner of the curve."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from planner.ui.curve.artists import SMALL, Artists, PlotFont
from planner.ui.curve.marks import SIZES, Key
from planner.ui.curve.room import LINE, width
from planner.ui.theme import Colours

_COLUMN = 13.0
"""Width of the picture from which the key has another column. [em]"""
_LOW, _BESIDE = 18.0, 11.0
"""Height of a low picture, in which the key is one line if it can; width of what stands beside the axes. [em]"""
_GROUND = 0.8
"""Opacity of its ground."""
_HANDLE, _PAD, _SPACE, _BORDER, _AWAY, _BETWEEN = 1.4, 0.4, 1.2, 0.4, 0.2, 0.5
"""Width of a mark, gap after it, gap between columns, room inside the edge, outside it, and between lines. [letters]"""


def columns_for(shown: Sequence[Key], figure: Figure, font: PlotFont) -> int:
    """As many columns as there is room for, so that the key hides no label of the axis."""
    wide, high = (float(side) * 72.0 / font.points for side in figure.get_size_inches())
    names = len(shown)
    if names and high < _LOW and size_of(shown, names, font)[0] < wide - _BESIDE:
        return names
    return max(1, min(int(wide / _COLUMN), names if names <= 3 else 2 if names == 4 else 3))


def size_of(shown: Sequence[Key], columns: int, font: PlotFont) -> tuple[float, float]:
    """How wide and high the key is, with its gap from the corner. [em]"""
    if not shown:
        return 0.0, 0.0
    parts = [part for part in np.array_split([width(name, font.families) for _, name in shown], columns) if part.size]
    wide = sum(float(part.max()) + _HANDLE + _PAD for part in parts) + _SPACE * (len(parts) - 1)
    high = parts[0].size * (LINE + _BETWEEN) - _BETWEEN
    return SMALL * (wide + 2.0 * _BORDER + _AWAY), SMALL * (high + 2.0 * _BORDER + _AWAY)


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
            handlelength=_HANDLE, handletextpad=_PAD, columnspacing=_SPACE, borderpad=_BORDER, borderaxespad=_AWAY,
            labelspacing=_BETWEEN,
        )  # fmt: skip
        for handle in legend.legend_handles:
            if isinstance(handle, Line2D):  # of many readings in sight the marks are small, but not their key
                handle.set_markersize(max(handle.get_markersize(), SIZES[0]))
