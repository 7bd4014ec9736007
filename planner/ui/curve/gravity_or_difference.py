"""The vertical axis of the curve: gravity on the reader's scale, or how far it is from what was expected."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planner.model.scales import brix_from_gravity
from planner.timeline.results import Curve
from planner.ui.curve.plot_data import Scene
from planner.ui.curve.view import View, home, near
from planner.ui.display import Display
from planner.units import GravityScale

Array = npt.NDArray[np.float64]

_PER_UNIT = {GravityScale.SG: 1000.0, GravityScale.BRIX: 250.0}
"""Numbers on the axis of differences per unit of a view: points, or °Brix, of which some 250 make one of gravity. A view keeps
the size of gravities in either case, so that zooming and panning know of neither."""

_LEAST_REACH = 0.004
"""Half the height of differences that is shown at least. [-] So that noise does not look like news."""


class Level:
    """From gravities to numbers on the vertical axis, and from the edges of a view."""

    def __init__(self, display: Display, curve: Curve | None, difference: bool) -> None:
        self._brix = display.gravity_scale == GravityScale.BRIX
        self._per_unit = _PER_UNIT[display.gravity_scale]
        self._curve = curve
        self.is_difference = difference and curve is not None
        """Whether differences are shown; without an expected curve there are none."""

    def scale(self, gravity: npt.ArrayLike) -> Array:
        """Gravities as numbers on the scale shown."""
        given = np.asarray(gravity, dtype=float)
        return brix_from_gravity(given) if self._brix else given

    def of(self, gravity: npt.ArrayLike, day: npt.ArrayLike) -> Array:
        """Where gravities of certain days stand on the axis."""
        level = self.scale(gravity)
        if not self.is_difference or self._curve is None:
            return level
        expected = self.scale(np.interp(np.asarray(day, dtype=float), self._curve.days, self._curve.gravity))
        return np.asarray((level - expected) * (1.0 if self._brix else 1000.0))

    def of_view(self, edge: npt.ArrayLike) -> Array:
        """Where the edges of a view stand on the axis."""
        return np.asarray(edge, dtype=float) * self._per_unit if self.is_difference else self.scale(edge)

    def home(self, scene: Scene, everything: bool = False) -> View:
        """The view of the course, or of its differences, with the readings that lie with it or with `everything`."""
        whole = home(scene, everything)
        if not self.is_difference or scene.curve is None:
            return whole
        seen = (scene.points.day >= whole.left) & (scene.points.day <= whole.right) & ~scene.points.excluded
        seen &= np.ones_like(seen) if everything else near(scene)
        levels = [
            self.of(scene.points.gravity[seen], scene.points.day[seen]),
            *(self.of(edge, scene.curve.days) for edge in scene.curve.band[[0, 3]]),
        ]
        off = np.concatenate(levels) / self._per_unit
        off = off[np.isfinite(off)]
        reach = max(_LEAST_REACH, 1.1 * float(np.max(np.abs(off), initial=0.0)))
        return View(whole.left, whole.right, -reach, reach)
