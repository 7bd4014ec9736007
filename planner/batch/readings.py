"""The log as the batch understands it: each reading dated, corrected for temperature, and set beside what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.batch.batch import HydrometerReading, Log, SugarReading
from planner.batch.moments import day_of, moment_of, parsed
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.fermentation import TYPICAL_YIELDS, Yields, partly_fermented
from planner.model.hydrometer import corrected
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume

Array = npt.NDArray[np.float64]

PATH_POINTS = 41
"""Points on the way from must to dry mead between which gravity, alcohol and sugar are read off. [-]"""

AT_PITCHING = (-1.0, 0.5)
"""Days around pitching within which a reading tells the starting gravity. [d]"""


@dataclass(frozen=True, eq=False, slots=True)
class Path:
    """The liquids one must passes through while it ferments: alcohol by mass balance at every gravity.

    Attributes
    ----------
    liquids : Liquid
        From dry to must, shape (components, points). [kg]
    gravity, alcohol, sugar : numpy.ndarray, shape (points,)
        Rising gravity [-], alcohol by volume [m^3/m^3], fermentable sugar per volume [kg/m^3].
    """

    liquids: Liquid
    gravity: Array
    alcohol: Array
    sugar: Array

    def like(self, gravities: Array) -> Liquid:
        """Liquids of these gravities, or the nearest end of the path. [kg]"""
        masses = [np.interp(gravities, self.gravity, row) for row in self.liquids.masses]
        return Liquid(np.stack(masses))

    def alcohol_at(self, gravities: Any) -> Array:
        """Alcohol by volume at these gravities. [m^3/m^3]"""
        return np.asarray(np.interp(gravities, self.gravity, self.alcohol))

    def sugar_at(self, gravities: Any) -> Array:
        """Fermentable sugar at these gravities. [kg/m^3]"""
        return np.asarray(np.interp(gravities, self.gravity, self.sugar))

    def gravity_at_sugar(self, sugars: Any) -> Array:
        """Gravity with so much fermentable sugar left. [-]"""
        return np.asarray(np.interp(sugars, self.sugar, self.gravity))


def path(must: Liquid, yields: Yields = TYPICAL_YIELDS) -> Path:
    """The way of one must from start to dry.

    Parameters
    ----------
    must : Liquid
        One must, shape (components,). [kg]
    yields : Yields
        Products per hexose; floats. [kg/kg]
    """
    left = np.linspace(0.0, 1.0, PATH_POINTS) * fermentable(must)
    liquids = partly_fermented(Liquid(must.masses[:, None]), left, yields)
    return Path(liquids, gravity(liquids), alcohol(liquids), np.asarray(fermentable(liquids) / volume(liquids)))


@dataclass(frozen=True, slots=True)
class Logged:
    """One reading as understood.

    Attributes
    ----------
    index : int
        Its place in the log.
    kind : str
        "hydrometer" or "sugar".
    day : float or None
        Days since pitching; None where that cannot be told. [d]
    moment : datetime or None
        When, where that is known.
    temperature : float or None
        Of the sample. [K]
    indicated : float or None
        Gravity as read. [-]
    gravity : float
        Corrected to 20 °C; of a sugar reading, the gravity that goes with it. [-]
    sugar : float
        Fermentable sugar: measured, or by mass balance. [kg/m^3]
    alcohol : float
        Alcohol by mass balance with the batch's own composition. [m^3/m^3]
    note : str
        The user's words.
    excluded : bool
        Left out by the user.
    """

    index: int
    kind: str
    day: float | None
    moment: datetime | None
    temperature: float | None
    indicated: float | None
    gravity: float
    sugar: float
    alcohol: float
    note: str
    excluded: bool

    @property
    def counts(self) -> bool:
        """Whether it takes part in what is worked out."""
        return not self.excluded and self.day is not None


def logged(log: Log, way: Path) -> tuple[Logged, ...]:
    """Every reading of a log, corrected.

    Parameters
    ----------
    log : Log
        As entered. [as its fields]
    way : Path
        The must's path, for thermal expansion, alcohol and sugar. [as its fields]

    Returns
    -------
    tuple of Logged
        In the order of the log. A reading without temperature counts as taken at 20 °C.
    """
    shown = [r for r in log.readings if isinstance(r, HydrometerReading)]
    seen = np.array([r.gravity for r in shown])
    warmth = np.array([REFERENCE_TEMPERATURE if r.temperature is None else r.temperature for r in shown])
    warmth = np.clip(warmth, 273.15, 313.15)  # the formulas' range; beyond it a finding speaks
    true = iter(corrected(seen, warmth, way.like, log.hydrometer.calibration) if shown else ())
    rows = []
    for index, reading in enumerate(log.readings):
        moment = parsed(reading.at) if reading.at else None
        day = day_of(reading.at, reading.day, log.pitched_at)
        if isinstance(reading, SugarReading):
            sugar = reading.sugar
            value = float(way.gravity_at_sugar(sugar))
        else:
            value = float(next(true))
            sugar = float(way.sugar_at(value))
        rows.append(
            Logged(
                index=index,
                kind="sugar" if isinstance(reading, SugarReading) else "hydrometer",
                day=day,
                moment=moment or (moment_of(day, log.pitched_at) if day is not None else None),
                temperature=reading.temperature,
                indicated=reading.gravity if isinstance(reading, HydrometerReading) else None,
                gravity=value,
                sugar=sugar,
                alcohol=float(way.alcohol_at(value)),
                note=reading.note,
                excluded=reading.excluded,
            )
        )
    return tuple(rows)


def starting_gravity(rows: tuple[Logged, ...]) -> float | None:
    """Measured gravity at pitching: the reading nearest to it, within a day before and half a day after. [-]"""
    near = [
        r for r in rows if r.counts and r.kind == "hydrometer" and AT_PITCHING[0] <= (r.day or 0.0) <= AT_PITCHING[1]
    ]
    return min(near, key=lambda r: abs(r.day or 0.0)).gravity if near else None


SAME_MEAD = 0.002
"""How far gravity may have moved since a sugar test for it still to hold. [-] Two lines of a hydrometer."""


def tested_sugar(rows: tuple[Logged, ...], present: float) -> float | None:
    """Fermentable sugar by the last test, if the mead has not moved since.

    Parameters
    ----------
    rows : tuple of Logged
        The log. [as its fields]
    present : float
        Present gravity. [-]

    Returns
    -------
    float or None
        Sugar; None without a test, or if gravity has moved since it by more than `SAME_MEAD`. [kg/m^3]
    """
    counted = sorted((r for r in rows if r.counts), key=lambda r: r.day or 0.0)
    tests = [r for r in counted if r.kind == "sugar"]
    if not tests:
        return None
    test = tests[-1]
    before = [r.gravity for r in counted if r.kind == "hydrometer" and (r.day or 0.0) <= (test.day or 0.0)]
    moved = bool(before) and abs(before[-1] - present) > SAME_MEAD
    return None if moved else test.sugar
