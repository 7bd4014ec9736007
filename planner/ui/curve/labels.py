"""Where the words of the picture stand: on their curves, and never over one another."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
from matplotlib.text import Text

from planner.ui.curve.annotations import rest_word_at
from planner.ui.curve.artists import Artists
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.plot_data import Scene
from planner.ui.curve.view import View
from planner.ui.display import Display
from planner.wording import phrases

Array = npt.NDArray[np.float64]

_BANDS_NAMED = 17.0
"""Room right of the band from which its two parts are named. [em]"""

_APART, _WORDS = 2.6, 14.0
"""Way between a feed and the third of the sugar from which each has its own word; how long the latter is. [em]"""

_PH_WORD = 5.0
"""Width of a pH in words. [em]"""

_LETTER, _LINE = 0.62, 1.3
"""Width of a letter, and how much room a line takes. [em]"""

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

    def place(self, display: Display, warmth: Array, points: Array) -> None:
        """Put all of them. `warmth` are the temperatures to be kept, on their axis, `points` the readings, on theirs."""
        self._name_marks(1.0 / self._ems_up)
        if self._scene.finish is not None:
            self._name_finish(self._view.gravities / self._ems_up)
        if self._scene.curve is not None:
            self._name_expected()
            self._name_warmth(display, float(warmth[-1]))
        self._name_acidity()
        self._name_rest(points)

    def _name_expected(self) -> None:
        """Right of the band, where it is half way down."""
        a, view, curve = self._artists, self._view, self._scene.curve
        assert curve is not None, "without one there is nothing to name"
        upper = curve.band[3]
        middle = float(curve.gravity[0] + curve.gravity[-1]) / 2.0
        place = int(np.argmax(upper <= middle)) if np.any(upper <= middle) else upper.size - 1
        level = float(self._level.of(upper[place], curve.days[place]))
        at = float(curve.days[place]) + 0.8 * self._em
        if self._level.is_difference:
            at, level = view.right - 6.0 * self._em, 0.0
        finish, up = a.finish_label.get_position()[1], (self._edges[1] - self._edges[0]) / self._ems_up
        named = self._scene.finish is not None and a.finish_label.get_verticalalignment() == "bottom"
        if (
            named
            and finish - _LINE * up < level < finish + 2.0 * up
            and at + 6.0 * self._em > self._across(a.finish_label, self._right)[0]
        ):
            level = finish + 2.0 * up  # over the word of the finish; the band has gone by further to the left there
        a.expected_label.set_position((at, level))
        wide = a.inner.get_visible() and self._scene.stopped is None and view.right - at >= _BANDS_NAMED * self._em
        a.expected_label.set_text("expected, with 50 % and 90 % bands" if wide else "expected")

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
        label.set_position((self._right, warm - clear if under else warm + clear))
        label.set_verticalalignment("top" if under else "bottom")

    def _name_finish(self, up: float) -> None:
        """Below its zone, above which the curve comes in; above it where names of marks stand there.

        `up` is the size of the text in gravities.
        """
        a, view, scene = self._artists, self._view, self._scene
        assert scene.finish is not None, "without one there is nothing to name"
        rests = scene.finish.gravity if scene.forecast is None else scene.forecast.finish_gravity
        foot = min(rests.low - 0.2 * up, rests.typical - 0.7 * up)  # clear of readings that lie on its line
        taken = self._across(a.finish_label, self._right)
        names = (
            label.get_position()[1] * self._ems_up + _LINE
            for label in (a.feed_label, a.third_label)
            if label.get_visible() and _meet(self._across(label, label.get_position()[0]), taken)
        )
        over = (foot - view.low) / up - _LINE < max(names, default=0.0)
        if over:
            foot = 0.3 * up + max(rests.high, *self._drawn_at(taken))
        a.finish_label.set_position((self._right, float(self._level.scale(foot))))
        a.finish_label.set_verticalalignment("bottom" if over else "top")

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
        a.feed_label.set_visible(feed is not None and not close)
        a.third_label.set_visible(third is not None)
        if feed is not None:
            a.feed_label.set_text("feed")
            a.feed_label.set_position((max(feed - 1.1 * em, self._view.left + 0.2 * em), 0.6 * up))
        if third is not None:
            a.third_label.set_text(f"{'feed, ' if close else ''}a third of the sugar used")
            above = 1.8 if not close and 0.0 < after < _WORDS else 0.6  # the word of a feed that comes soon
            a.third_label.set_position((third + (max(after, 0.0) if close else 0.0) * em + 0.5 * em, above * up))

    def _name_acidity(self) -> None:
        room = _PH_WORD * self._em
        for label, day in zip(self._artists.acidity_labels, self._scene.ph.day, strict=False):
            from_left, from_right = float(day) - self._view.left, self._view.right - float(day)
            label.set_horizontalalignment(
                "left" if from_left < room / 2.0 else "right" if from_right < room / 2.0 else "center"
            )

    def _name_rest(self, points: Array) -> None:
        if self._scene.stopped is not None:
            label, (bottom, top) = self._artists.rest_label, self._edges
            label.set_text(self._scene.stopped_word)
            heights = (points - bottom) / (top - bottom)
            across, up = rest_word_at(self._scene, self._view, heights, self._em, 1.0 / self._ems_up)
            label.set_position((across, bottom + up * (top - bottom)))

    def _across(self, words: Text, at: float) -> tuple[float, float]:
        """The days over which words that stand at a day reach, about."""
        wide = _LETTER * len(words.get_text()) * self._em
        return (at, at + wide) if words.get_horizontalalignment() == "left" else (at - wide, at)


def _meet(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two stretches have something in common."""
    return one[0] < other[1] and other[0] < one[1]
