"""Where the words of the picture stand: on their curves, and never over one another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from matplotlib.text import Text

from planner.ui.curve.annotations import rest_words_at
from planner.ui.curve.artists import LOUD, SMALL, Artists
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.plot_data import Scene
from planner.ui.curve.room import LINE, Box, Room, width
from planner.ui.curve.view import View
from planner.ui.display import Display
from planner.wording import phrases

Array = npt.NDArray[np.float64]
Height = TypeVar("Height", float, Array)

_BANDS_NAMED = 17.0
"""Room right of the band from which its two parts are named. [em]"""

_APART, _WORDS = 2.6, 14.0
"""Way between a feed and the third of the sugar from which each has its own word; how long the latter is. [em]"""

_PH_WORD = 5.0
"""Width of a pH in words. [em]"""

_LINE = 1.3
"""How much room a line takes. [em]"""

_STEP = 0.5
"""How far a word moves to find room. [em]"""

_CLEAR = 0.1
"""Between words and the lower edge of the picture. [em]"""

_LOW = 9.0
"""Height of a picture in which the word for a rest is written in the letters of the others. [em]"""

_LEAST_FOR_MARKS = 9.0
"""Height of a picture in which words of marks would hide its curve. [em]"""

_PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1)
"""How far down its fall the curve may have its word, the best first. [-]"""

_OUTSIDE = (0.6, 0.5, 0.7, 0.4, 0.8, 0.3, 0.9, 0.2)
"""How high the word for what lies beyond the view may stand. [heights of the picture]"""

_HINTED = 1.05
"""How much wider letters become, at most, where they are set on whole pixels. [-]"""

_FROM_EDGE = 0.4
"""Between words and the right end of the picture. [em]"""


class CurveLabels:
    """Puts the words on one view of a scene. `edges` are the ends of the axis of gravities, `ems` the width of the picture, and
    the heights of its upper and lower part, in sizes of the text."""

    def __init__(
        self,
        artists: Artists,
        scene: Scene,
        view: View,
        level: Level,
        edges: tuple[float, float],
        ems: tuple[float, float, float],
    ) -> None:
        self._artists, self._scene, self._view, self._level, self._edges = artists, scene, view, level, edges
        self._ems_across, self._ems_up, self._ems_below = ems
        self._em = view.days / self._ems_across
        """Size of the text. [d]"""
        self._right = view.right - _FROM_EDGE * self._em

    def place(self, display: Display, warmth: Array, points: Array, key: tuple[float, float]) -> None:
        """Put all of them. `warmth` are the temperatures to be kept, on their axis, `points` the readings, on theirs; `key` is the
        size of what stands in the upper right corner. [em]
        """
        self._room = Room(self._ems_across, self._ems_up)
        self._room.take(Box(self._ems_across - key[0], self._ems_across, self._ems_up - key[1], self._ems_up))
        self._name_marks(1.0 / self._ems_up)
        if self._artists.finish_label.get_visible():
            self._name_finish(self._view.gravities / self._ems_up)
        self._name_rest(points)
        self._name_outside()
        if self._scene.curve is not None:
            self._name_expected()
            self._name_warmth(display, float(warmth[-1]))
        self._name_acidity()

    def _wide(self, words: Text, size: float = SMALL) -> float:
        """How wide words are, with their ground. [em]"""
        return size * _HINTED * width(words.get_text(), self._artists.font.families, size > 1.0) + 0.3

    def _up(self, level: Height) -> Height:
        """How high a level of the axis is. [em]"""
        return (level - self._edges[0]) / (self._edges[1] - self._edges[0]) * self._ems_up

    def _level_at(self, high: float) -> float:
        """The level of the axis at a height. [em]"""
        return self._edges[0] + high / self._ems_up * (self._edges[1] - self._edges[0])

    def _name_expected(self) -> None:
        """Right of the band, where it is half way down, or where there is room; nowhere without."""
        a, view, curve = self._artists, self._view, self._scene.curve
        assert curve is not None, "without one there is nothing to name"
        upper, label = curve.band[3], a.expected_label
        spots = []
        for share in _PLACES:
            level = float(curve.gravity[0] + share * (curve.gravity[-1] - curve.gravity[0]))
            place = int(np.argmax(upper <= level)) if np.any(upper <= level) else upper.size - 1
            spots.append(
                (float(curve.days[place]) + 0.8 * self._em, float(self._level.of(upper[place], curve.days[place])))
            )
        if self._level.is_difference:
            spots = [(view.right - 6.0 * self._em, 0.0)]
        names_bands = a.inner.get_visible() and self._scene.stopped is None
        wide = names_bands and view.right - spots[0][0] >= _BANDS_NAMED * self._em
        for words in ("expected, with 50 % and 90 % bands", "expected")[not wide :]:
            label.set_text(words)
            boxes = [self._box(label, (at - view.left) / self._em, self._up(level)) for at, level in spots]
            found = self._room.find(boxes)
            if found is not None:
                break
        label.set_visible(found is not None)
        if found is not None:
            label.set_position(spots[boxes.index(found)])

    def _box(self, words: Text, left: float, low: float) -> Box:
        """Where words reach that begin and stand here. [em]"""
        return Box(left, left + self._wide(words), low, low + SMALL * LINE * (1 + words.get_text().count("\n")))

    def _name_warmth(self, display: Display, warm: float) -> None:
        """Over the line of the temperature at its end, or under it where the present day has its word."""
        label, today, curve = self._artists.warmth_label, self._artists.today_label, self._scene.curve
        assert curve is not None, "without one there is nothing to name"
        word = "expected" if self._scene.in_room else "planned"
        warmth = phrases.say("{}", phrases.temperature(float(curve.temperature[-1])))
        label.set_text(f"{word} {warmth.shown(display)}")
        low, high = self._artists.warmth.get_ylim()
        clear = 0.25 * (high - low) / self._ems_below  # of its line
        under = today.get_visible() and _meet(
            self._across(today, today.get_position()[0]), self._across(label, self._right)
        )
        under = under or warm + clear + SMALL * LINE * (high - low) / self._ems_below > high
        label.set_position((self._right, warm - clear if under else warm + clear))
        label.set_verticalalignment("top" if under else "bottom")

    def _name_finish(self, up: float) -> None:
        """Below its zone, above which the curve comes in; above it where something stands there, as near as there is room.

        `up` is the size of the text in gravities.
        """
        a, scene = self._artists, self._scene
        assert scene.finish is not None, "without one there is nothing to name"
        rests = scene.finish.gravity if scene.forecast is None else scene.forecast.finish_gravity
        label = a.finish_label
        foot = min(rests.low - 0.2 * up, rests.typical - 0.7 * up)  # clear of readings that lie on its line
        over = 0.3 * up + max(rests.high, *self._drawn_at(self._across(label, self._right)))
        under, above = (self._up(float(self._level.scale(level))) for level in (foot, over))
        left = self._ems_across - _FROM_EDGE - self._wide(label)
        high = SMALL * LINE
        lows = [
            max(under - high, _CLEAR),
            above,
            *np.arange(above, self._ems_up - high, _STEP),
            *np.arange(under - high, 0.0, -_STEP),
        ]
        boxes = [self._box(label, left, float(low)) for low in lows]
        found = self._room.find(boxes)
        if found is None:  # in a low picture its word is worth more than that of the third
            a.third_label.set_visible(False)
            found = self._room.least_hidden(boxes, lambda box: abs(box.low - under))
        label.set_position((self._right, self._level_at(found.low)))
        label.set_verticalalignment("bottom")

    def _drawn_at(self, days: tuple[float, float]) -> Iterator[float]:
        """Gravities that are drawn over some days. [-]"""
        points, curve, forecast = self._scene.points, self._scene.curve, self._scene.forecast
        yield -np.inf
        yield from points.high[(points.day >= days[0]) & (points.day <= days[1])].tolist()
        for drawn in (curve, forecast):
            if drawn is not None:
                yield from drawn.band[-1][(drawn.days >= days[0]) & (drawn.days <= days[1])].tolist()

    def _name_marks(self, up: float) -> None:
        """Words at the first feed that falls due and at the third of the sugar; as one where they are close.

        `up` is the size of the text in heights of the picture.
        """
        a, events, em = self._artists, self._scene.events, self._em
        feed, third = (next((e.day for e in events if e.kind == kind), None) for kind in ("feed", "third"))
        after = np.inf if feed is None or third is None else (feed - third) / em
        close = abs(after) < _APART
        has_room = self._ems_up >= _LEAST_FOR_MARKS
        a.feed_label.set_visible(has_room and feed is not None and not close)
        a.third_label.set_visible(has_room and third is not None)
        if feed is not None:
            a.feed_label.set_text("feed")
            self._put_mark(a.feed_label, feed - 1.1 * em, 0.6 * up)
        if third is not None:
            a.third_label.set_text(f"{'feed, ' if close else ''}a third of the sugar used")
            above = 1.8 if not close and 0.0 < after < _WORDS else 0.6  # the word of a feed that comes soon
            self._put_mark(a.third_label, third + (max(after, 0.0) if close else 0.0) * em + 0.5 * em, above * up)

    def _put_mark(self, label: Text, day: float, high: float) -> None:
        """Put the word of a mark where it is not cut by an end of the picture; out of sight where its mark is."""
        view, wide = self._view, self._wide(label) * self._em
        if view.left - wide < day < view.right:
            day = min(max(day, view.left + 0.2 * self._em), view.right - wide)
        label.set_position((day, high))
        if label.get_visible():
            self._room.take(self._box(label, (day - view.left) / self._em, high * self._ems_up))

    def _name_acidity(self) -> None:
        room = _PH_WORD * self._em
        for label, day in zip(self._artists.acidity_labels, self._scene.ph.day, strict=False):
            from_left, from_right = float(day) - self._view.left, self._view.right - float(day)
            label.set_horizontalalignment(
                "left" if from_left < room / 2.0 else "right" if from_right < room / 2.0 else "center"
            )

    def _name_rest(self, points: Array) -> None:
        """In what is seen of the rest: clear of other words, and there where it hides the fewest readings."""
        if self._scene.stopped is None:
            return
        label, size = self._artists.rest_label, LOUD if self._ems_up >= _LOW else 1.0
        label.set_fontsize(size * self._artists.font.points)
        label.set_text(self._scene.stopped_word)
        half_wide, half_high = self._wide(label, size) / 2.0 + 0.4 * size, size * (LINE + 0.5) / 2.0
        last = float(np.interp(self._scene.stopped[1], self._scene.points.day, points))
        spots = rest_words_at(self._scene, self._view, self._up(last) / self._ems_up, half_wide * self._em)
        across, up = (self._scene.points.day - self._view.left) / self._em, self._up(points)

        def around(spot: tuple[float, float]) -> Box:
            middle, height = (spot[0] - self._view.left) / self._em, spot[1] * self._ems_up
            return Box(middle - half_wide, middle + half_wide, height - half_high, height + half_high)

        def hides(box: Box) -> float:
            inside = (across > box.left) & (across < box.right) & (up > box.low) & (up < box.high)
            return float(np.count_nonzero(inside))

        boxes = {around(spot): spot for spot in reversed(spots)}
        at, height = boxes[self._room.least_hidden(reversed(boxes), hides)]
        label.set_position((at, self._level_at(height * self._ems_up)))

    def _name_outside(self) -> None:
        label = self._artists.outside_label
        if label.get_visible():
            right, wide, high = self._ems_across * 0.985, self._wide(label), self._box(label, 0.0, 0.0).high
            lefts = (right - wide, (right - wide) / 2.0, 0.0)  # at the end where it leads, if there is room
            boxes = [self._box(label, left, place * self._ems_up - high / 2.0) for left in lefts for place in _OUTSIDE]
            found = self._room.least_hidden(boxes, boxes.index)
            label.set_position((found.right / self._ems_across, (found.low + found.high) / 2.0 / self._ems_up))

    def _across(self, words: Text, at: float) -> tuple[float, float]:
        """The days over which words that stand at a day reach."""
        wide = self._wide(words) * self._em
        return (at, at + wide) if words.get_horizontalalignment() == "left" else (at - wide, at)


def _meet(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two stretches have something in common."""
    return one[0] < other[1] and other[0] < one[1]
