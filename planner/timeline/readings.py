"""The log as the batch understands it: each reading dated, corrected for temperature, and set beside what was expected."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import repeat
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document import pitch_date
from planner.document.batch import (
    Entry,
    HydrometerReading,
    Log,
    RefractometerReading,
    SugarReading,
    WeightReading,
)
from planner.document.columnar_log import Entries, Places
from planner.document.reading_kinds import GRAVITIES, KINDS, OF_CLASS
from planner.model import guards
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.fermentation import TYPICAL_YIELDS, Yields, partly_fermented
from planner.model.hydrometer import HOT, corrected, corrected_hot, hot_doubt
from planner.model.inference import HYDROMETER_DOUBT, REFRACTOMETER_DOUBT, infer
from planner.model.inference import Reading as Brix
from planner.model.liquid import Liquid, alcohol, fermentable, gravity, volume
from planner.model.refraction import apparent_brix
from planner.model.refractometer import brix_at_twenty, must_gravity
from planner.model.weight_loss import by_weight, gas_yield
from planner.timeline.instrument_checks import Error, checked, instrument_of
from planner.timeline.results import State

Array = npt.NDArray[np.float64]
Labels = npt.NDArray[np.object_]

PATH_POINTS = 41
"""Points on the way from must to dry mead between which gravity, alcohol and sugar are read off. [-]"""

AT_PITCHING = (-1.0, 0.5)
"""Days around pitching within which a reading tells the starting gravity. [d]"""


class Path(msgspec.Struct, frozen=True, eq=False):
    """The liquids one must passes through while it ferments: alcohol by mass balance at every gravity.

    Attributes
    ----------
    liquids : Liquid
        From dry to must, shape (components, points). [kg]
    gravity, alcohol, sugar : numpy.ndarray, shape (points,)
        Rising gravity [-], alcohol by volume [m^3/m^3], fermentable sugar per volume [kg/m^3].
    later : tuple of (float, Path)
        Days since pitching [d], rising, from each of which on the must goes another way, because more was added to it.
    """

    liquids: Liquid
    gravity: Array
    alcohol: Array
    sugar: Array
    later: tuple[tuple[float, Path], ...] = ()

    def at(self, day: float) -> Path:
        """The way that holds on a day [d]."""
        return next((way for since, way in reversed(self.later) if since <= day), self)

    def _held(self, days: Array) -> Iterator[tuple[Path, npt.NDArray[np.bool_]]]:
        """Each way that holds on any of some days [d], and on which of them it does, shape of the days."""
        which = np.searchsorted([since for since, _ in self.later], days, side="right")
        which = np.where(np.isnan(days), 0, which)
        for place, way in enumerate((self, *(way for _, way in self.later))):
            chosen = which == place
            if chosen.any():
                yield way, chosen

    @property
    def must(self) -> Liquid:
        """The whole must at the start, shape (components,). [kg]"""
        return Liquid(self.liquids.masses[:, -1])

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


def path(must: Liquid, yields: Yields = TYPICAL_YIELDS, grown: Sequence[tuple[float, Liquid]] = ()) -> Path:
    """The way of one must from start to dry.

    Parameters
    ----------
    must : Liquid
        One must, shape (components,). [kg]
    yields : Yields
        Products per hexose; floats. [kg/kg]
    grown : sequence of (float, Liquid)
        Days since pitching, rising [d], from each of which on this is all that the must was given [kg].
    """
    if grown:
        later = tuple((day, path(more, yields)) for day, more in grown)
        return msgspec.structs.replace(path(must, yields), later=later)
    left = np.linspace(0.0, 1.0, PATH_POINTS) * fermentable(must)
    # What feeds do to the acid is told of the whole ferment; at each stage of it gravity would count it anew.
    liquids = partly_fermented(Liquid(must.masses[:, None]), left, yields._replace(freed=0.0))
    return Path(liquids, gravity(liquids), alcohol(liquids), np.asarray(fermentable(liquids) / volume(liquids)))


class Logged(msgspec.Struct, frozen=True):
    """One entry of the log as understood.

    Attributes
    ----------
    index : int
        Its place in the log.
    kind : str
        One of the values of `reading_kinds.KINDS`.
    tells : str
        What it says: of the ferment "gravity" or "sugar"; `DOSED` of what came of it; or nothing.
    day : float or None
        Days since pitching; None where that cannot be told. [d]
    moment : datetime or None
        When, where that is known.
    temperature : float or None
        Of the sample, or of the must. [K]
    indicated : float or None
        Gravity as read off a stem or told by a sensor. [-]
    gravity, low, high : float
        Corrected to 20 °C, or the gravity that goes with what was measured, and its 90 % interval; not a number where the
        entry tells none. [-]
    sugar : float
        Fermentable sugar by this entry alone: measured, or by mass balance; not a number likewise. [kg/m^3]
    alcohol : float
        Alcohol by this entry alone, by mass balance; not a number likewise, and of a sugar test, which tells what is left and
        not what there was. [m^3/m^3]
    note : str
        The user's words.
    excluded : bool
        Left out by the user.
    ph : float or None
        Where that was measured. [-]
    below : bool
        Of a sugar test that shows no more than its lowest mark; `sugar` is then half of that.
    fits : bool
        Whether what was read can be of this must at all; the nearest that can is stated otherwise.
    expected : float or None
        Gravity of the mead with what was stirred in before the reading. [-]
    acid : float or None
        Titratable acid, where that was measured. [kg/m^3, as tartaric]
    dosed : State or None
        What that mead holds.
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
    tells: str = "gravity"
    low: float = math.nan
    high: float = math.nan
    ph: float | None = None
    below: bool = False
    fits: bool = True
    expected: float | None = None
    acid: float | None = None
    dosed: State | None = None

    @property
    def counts(self) -> bool:
        """Whether it takes part in what is worked out of the ferment."""
        return self.tells in OF_FERMENT and not self.excluded and self.day is not None


OF_FERMENT, DOSED = ("gravity", "sugar"), "dosed"
"""What readings tell of the ferment; and what one tells that was taken after something was stirred in."""


SUGAR_DOUBT = (1.5, 0.15)
"""Half width of the 90 % interval of a sugar test: at least so much [kg/m^3], and a share of what it says [-]. Estimate for strips."""


def sugar_doubt(found: float, stated: float | None = None) -> float:
    """Half width of the 90 % interval of a sugar test. [kg/m^3]

    Parameters
    ----------
    found : float
        What it shows. [kg/m^3]
    stated : float or None
        As entered with it. [kg/m^3]
    """
    return max(SUGAR_DOUBT[0], SUGAR_DOUBT[1] * found) if stated is None else stated


SCALE_DOUBT = 0.02
"""The same of the difference of two weighings. [kg] Common practice, no source: ten grams each."""

_WEIGHED_TO = (1e-4, 0.1)  # kg and K: what two weighings must differ by to be worked out apart


class Columns(NamedTuple):
    """The rows of a log field by field, shape (n,): see `Logged`. Not a number, or an empty text, where a row has none."""

    place: Places
    kind: Labels
    tells: Labels
    day: Array
    temperature: Array
    gravity: Array
    low: Array
    high: Array
    ph: Array
    excluded: npt.NDArray[np.bool_]

    @property
    def counts(self) -> npt.NDArray[np.bool_]:
        """Which take part in what is worked out of the ferment: see `Logged`."""
        return np.isin(self.tells, OF_FERMENT) & ~self.excluded & ~np.isnan(self.day)


class Rows(tuple[Logged, ...]):
    """The rows of a log, which are also known as columns: for whoever looks at all of very many."""

    columns: Columns


def columns_of(rows: Sequence[Logged]) -> Columns:
    """The rows of a log field by field.

    Returns
    -------
    Columns
        Shape (n,) each. [as the fields]
    """
    if isinstance(rows, Rows):
        return rows.columns

    def floats(name: str) -> Array:
        return np.array([getattr(row, name) for row in rows], dtype=float)

    return Columns(
        place=np.array([row.index for row in rows], dtype=np.int64),
        kind=np.array([row.kind for row in rows], dtype=object),
        **{name: floats(name) for name in ("day", "temperature", "gravity", "low", "high", "ph")},
        excluded=np.array([row.excluded for row in rows], dtype=bool),
        tells=np.array([row.tells for row in rows], dtype=object),
    )


def logged(log: Log, way: Path) -> Rows:
    """Every entry of a log, corrected and told as gravity, sugar and alcohol where it says anything of them.

    Returns
    -------
    Rows
        A tuple of Logged, in the order of the log. A reading without temperature counts as taken at 20 °C. [as their
        fields]
    """
    entries = log.entries
    days = pitch_date.days(log)
    told = _told(log, way, days)
    columns = Columns(np.arange(len(entries)), *_labels(entries, told), days, entries.floats("temperature"),
                      told.gravity, told.low, told.high, entries.floats("ph"), entries.flags("excluded"))  # fmt: skip
    gravities, low, high, sugar, strong = (_numbers(column, math.nan) for column in told[:-1])
    # Column by column: of a hundred thousand rows each look at a field of an entry would be felt.
    rows = Rows(
        map(Logged, range(len(entries)), columns.kind.tolist(), _numbers(days, None), pitch_date.moments(log, days),
            entries.values("temperature"), entries.values("gravity"), gravities, sugar, strong, entries.values("note"),
            columns.excluded.tolist(), columns.tells.tolist(), low, high, entries.values("ph"),
            entries.flags("below").tolist(), told.fits.tolist(), repeat(None), entries.values("acid"))
    )  # fmt: skip
    rows.columns = columns
    return rows


class _Told(NamedTuple):
    """Columns for all entries of a log, shape (n,): see `Logged`."""

    gravity: Array
    low: Array
    high: Array
    sugar: Array
    alcohol: Array
    fits: npt.NDArray[np.bool_]


def _told(log: Log, way: Path, days: Array) -> _Told:
    """What each entry says, kind by kind."""
    entries = log.entries
    empty, errors = np.full((5, len(entries)), np.nan), checked(log)
    names = entries.values("instrument") if errors else []
    told = _Told(empty[0], empty[1], empty[2], empty[3], empty[4], np.ones(len(entries), dtype=bool))
    each = ((kind, way_then, places[held]) for kind, places in entries.places().items()
            for way_then, held in way._held(days[places]))  # fmt: skip
    for kind, way_then, mine in each:
        if KINDS[kind] in GRAVITIES:
            usual = OF_CLASS[kind].doubt
            made_for = log.hydrometer.calibration if kind is HydrometerReading else REFERENCE_TEMPERATURE
            warmth = _within_formulas(entries.floats("temperature")[mine])
            read, raw = entries.floats("gravity")[mine], entries.floats("temperature")[mine]
            value = corrected(read, warmth, way_then.like, made_for)
            stated = entries.floats("doubt")[mine]
            doubt = np.where(np.isnan(stated), usual, stated)
            hot = (raw > HOT) & (days[mine] <= AT_PITCHING[1])  # a must that works is never so hot: see its finding
            if hot.any():
                value[hot] = corrected_hot(read[hot], raw[hot], made_for)
                doubt[hot] = np.maximum(doubt[hot], hot_doubt(raw[hot]))
            value = value - _known_errors(errors, KINDS[kind], names, mine)
            is_check = ~np.isnan(entries.floats("known")[mine])
            of_batch, value, doubt = mine[~is_check], value[~is_check], doubt[~is_check]
            _put(told, way_then, of_batch, value, value - doubt, value + doubt)
            continue
        chosen: list[Any] = [entries[place] for place in mine.tolist()]
        if kind is SugarReading:
            _tested(told, way_then, mine, chosen)
        try:
            if kind is RefractometerReading:
                _refracted(told, way_then, mine, chosen, days[mine], log.refractometer.compensated)
            elif kind is WeightReading:
                _weighed(told, way_then, mine, chosen)
        except guards.BadInput:
            continue  # a must without sugar, or one beyond what the formulas cover: nothing can be told
    return told


def _known_errors(errors: dict[str, Error], kind: str, names: list[Any], places: Places) -> Array:
    """By how much the instrument of each of some readings is known to read too high. [-]"""
    if not errors:
        return np.zeros(places.size)
    each = (errors.get(instrument_of(kind, names[place])) for place in places.tolist())
    return np.array([0.0 if error is None else error.mean for error in each])


def _numbers(column: Array, missing: float | None) -> list[Any]:
    """Plain numbers; always the same value where there is none, so that equal rows compare as equal."""
    if not np.isnan(column).any():
        return list(column.tolist())
    return [missing if math.isnan(value) else value for value in column.tolist()]


def _labels(entries: Entries[Entry], told: _Told) -> tuple[Labels, Labels]:
    """What each entry is called, and what it tells of: one text each, however many have it."""
    kinds, tells = np.empty(len(entries), object), np.full(len(entries), "gravity", object)
    for kind, places in entries.places().items():
        kinds[places] = KINDS[kind]
        if kind is SugarReading:
            tells[places] = "sugar"
    tells[np.isnan(told.gravity)] = ""
    return kinds, tells


def _warmth(chosen: Sequence[Any]) -> Array:
    """Temperatures of samples, within the range of the formulas. [K]"""
    return _within_formulas(np.array([r.temperature for r in chosen], dtype=float))


def _within_formulas(kelvin: Array) -> Array:
    """Temperatures within the range of the formulas, beyond which a finding speaks; where none is known, 20 °C. [K]"""
    return np.asarray(np.clip(np.where(np.isnan(kelvin), REFERENCE_TEMPERATURE, kelvin), 273.15, 313.15))


def _doubts(chosen: list[Any], usual: float) -> Array:
    return np.array([usual if r.doubt is None else r.doubt for r in chosen])


def _put(told: _Told, way: Path, places: Places, value: Array, low: Array, high: Array) -> None:
    """Gravities with their intervals, and the sugar and alcohol that go with them."""
    columns = (value, low, high, way.sugar_at(value), way.alcohol_at(value))
    for column, values in zip(told, columns, strict=False):
        column[places] = values


def _refracted(told: _Told, way: Path, places: Places, chosen: list[Any], days: Array, compensated: bool) -> None:
    """A refractometer on the batch's own way: what it would show at each point of it, read backwards."""
    shown = apparent_brix(way.liquids)
    read = brix_along(way, chosen, compensated)
    doubt = _doubts(chosen, REFRACTOMETER_DOUBT)
    value = np.interp(read, shown, way.gravity)
    # What is not known of start, yields and refraction, worked out along the way once and read off for each.
    known = infer(
        way.must, Brix("gravity", way.gravity[-1], True, HYDROMETER_DOUBT), Brix("brix", shown, False, 0.0)
    ).gravity
    steep = np.gradient(way.gravity, shown)
    below, above = (np.interp(read, shown, np.abs(known[side] - known[1])) for side in (0, 2))
    slope = np.interp(read, shown, steep)
    own = slope * doubt
    # What is not known of the must moves the ends of its way, too.
    low, high = (2.0 * np.hypot(doubt, wide / slope) for wide in (below, above))
    told.fits[places] = (read >= shown[0] - low) & (read <= shown[-1] + high)
    _put(told, way, places, value, value - np.hypot(below, own), value + np.hypot(above, own))
    # Before it ferments, a stronger or weaker must than planned shows more or less.
    for n in np.flatnonzero(days <= AT_PITCHING[1]).tolist():
        low, typical, high = must_gravity(np.clip(read[[n]], 0.0, 60.0), way.must, float(doubt[n]))[:, 0]
        here = places[[n]]
        told.fits[here] = True
        _put(told, way, here, np.array([typical]), np.array([low]), np.array([high]))


def brix_along(way: Path, chosen: Sequence[RefractometerReading], compensated: bool) -> Array:
    """°Brix that a refractometer would have shown at 20 °C of the liquids of a path. [g/(100 g)]

    Raises
    ------
    guards.BadInput
        The way is no way: nothing ferments along it.
    """
    shown = apparent_brix(way.liquids)
    guards.within("°Brix along the way", shown[-1] - shown[0], 0.01, 75.0)
    read = np.array([r.brix for r in chosen])
    if compensated:
        return read
    return brix_at_twenty(read, _warmth(chosen), lambda brix: way.like(np.interp(brix, shown, way.gravity)))


def _weighed(told: _Told, way: Path, places: Places, chosen: list[Any]) -> None:
    """Losses of weight, equal ones worked out once."""
    pairs = np.column_stack(([r.lost for r in chosen], _warmth(chosen)))
    different, back = np.unique(np.round(pairs / _WEIGHED_TO) * _WEIGHED_TO, axis=0, return_inverse=True)
    found = by_weight(different[:, 0], way.must, np.clip(different[:, 1], 273.15, 313.15))
    low, value, high = (row[back.ravel()] for row in found.gravity)
    doubt = _doubts(chosen, SCALE_DOUBT)
    whole = max(way.gravity[-1] - way.gravity[0], 1e-9)
    # A kilogram of gas is so much gravity, about alike along the way.
    own = doubt * whole / max(float(gas_yield().typical * fermentable(way.must)), 1e-9)
    _put(told, way, places, value, value - np.hypot(value - low, own), value + np.hypot(high - value, own))
    told.fits[places] = found.fits[back.ravel()]


def _tested(told: _Told, way: Path, places: Places, chosen: list[Any]) -> None:
    """Sugar tests; "below" a value is taken as half of it, give or take half."""
    mark = np.array([r.sugar for r in chosen])
    below = np.array([r.below for r in chosen])
    doubt = np.array([sugar_doubt(r.sugar, r.doubt) for r in chosen])
    sugar = np.where(below, mark / 2.0, mark)
    doubt = np.where(below, mark / 2.0, doubt)
    value, low, high = (way.gravity_at_sugar(s) for s in (sugar, np.maximum(sugar - doubt, 0.0), sugar + doubt))
    _put(told, way, places, value, low, high)
    told.sugar[places] = sugar
    told.alcohol[places] = np.nan  # what is left tells nothing of what was there; gravities do
