"""The picture in two layers: a ground that rarely changes and is kept, and what is drawn over it at each change."""

from __future__ import annotations

import math
from collections.abc import Iterable
from operator import attrgetter
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.text import Text

_MOST_WORDS = 400
"""Shapes of words that are kept; labels of one view are some thirty."""

_ROOM = 4
"""Pixels around a word for what reaches beyond its measure."""


class KeepingRenderer(RendererAgg):
    """Draws words from their kept shapes: setting them anew is most of the time that a picture takes.

    Words stand on whole pixels, so that the shape of a word is the same wherever it stands, and crisp.
    """

    def __init__(self, width: float, height: float, dpi: float) -> None:
        super().__init__(width, height, dpi)  # type: ignore[no-untyped-call]
        self._shapes: dict[object, tuple[npt.NDArray[np.uint8], int, int]] = {}
        self._measures: dict[object, tuple[float, float, float]] = {}

    def draw_text(
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,
        mtext: Text | None = None,
    ) -> None:
        """As the renderer of the library does, save for the whole pixels."""
        x, y = round(x), round(y)
        if ismath:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)  # type: ignore[no-untyped-call]
            return
        key = s, *_look(prop), angle
        shape = self._shapes.get(key)
        if shape is None:
            if len(self._shapes) >= _MOST_WORDS:
                self._shapes.clear()
            shape = self._shapes[key] = self._shape(s, prop, angle, mtext)
        ink, across, down = shape
        if ink.size:
            self._renderer.draw_text_image(ink, x + across, y + down, 0.0, gc)

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> tuple[float, float, float]:
        """As the renderer of the library says, kept."""
        if ismath:
            return super().get_text_width_height_descent(s, prop, ismath)  # type: ignore[no-untyped-call, no-any-return]
        key = s, *_look(prop)
        measure = self._measures.get(key)
        if measure is None:
            if len(self._measures) >= _MOST_WORDS:
                self._measures.clear()
            measure = super().get_text_width_height_descent(s, prop, ismath)  # type: ignore[no-untyped-call]
            self._measures[key] = measure
        return measure

    def _shape(
        self, s: str, prop: FontProperties, angle: float, mtext: Text | None
    ) -> tuple[npt.NDArray[np.uint8], int, int]:
        """How much ink each pixel takes, and where the lower left of it is from the foot of the word, y downwards."""
        width, height, _ = self.get_text_width_height_descent(s, prop, False)
        reach = math.ceil(width + 2.0 * height) + _ROOM
        sheet = RendererAgg(2 * reach, 2 * reach, self.dpi)  # type: ignore[no-untyped-call]
        sheet.draw_text(sheet.new_gc(), reach, reach, s, prop, angle, False, mtext)  # type: ignore[no-untyped-call]
        ink = np.asarray(sheet.buffer_rgba())[:, :, 3]  # type: ignore[no-untyped-call]
        rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
        if not rows.size:
            return np.empty((0, 0), dtype=np.uint8), 0, 0
        cut = np.ascontiguousarray(ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1])
        return cut, int(columns[0]) - reach, int(rows[-1]) + 1 - reach


def _look(prop: FontProperties) -> tuple[object, ...]:
    return prop.get_size_in_points(), prop.get_weight(), tuple(prop.get_family())


def draw_ground(figure: Figure, renderer: RendererBase) -> None:
    """Draw the sheet, the grounds of the axes, their grids, ticks and labels."""
    figure.patch.draw(renderer)
    for axes in _in_order(figure):
        axes.apply_aspect()
        axes.patch.draw(renderer)
        for axis in sorted((axes.xaxis, axes.yaxis), key=attrgetter("zorder")):
            axis.draw(renderer)


def draw_rest(figure: Figure, renderer: RendererBase) -> None:
    """Draw what stands on the ground, in the order in which the whole figure would."""
    for axes in _in_order(figure):
        under = {axes.patch, axes.xaxis, axes.yaxis, axes.title}
        rest = [a for a in axes.get_children() if a not in under and a.get_visible() and not a.get_animated()]
        for artist in sorted(rest, key=attrgetter("zorder")):
            if not _is_bare(artist):
                artist.draw(renderer)
    for text in figure.texts:
        text.draw(renderer)


def _is_bare(artist: Artist) -> bool:
    """Whether there is nothing to draw of a visible artist: most kinds of mark are on few curves."""
    return isinstance(artist, Line2D) and not len(np.atleast_1d(artist.get_xdata(orig=True)))


def _in_order(figure: Figure) -> Iterable[Axes]:
    return sorted((axes for axes in figure.axes if axes.get_visible()), key=attrgetter("zorder"))
