"""What is to be read off the fermentation curve at a day, in words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

import numpy as np

from planner.model.span import Span
from planner.timeline.instruments import Pair
from planner.timeline.readings import Logged
from planner.timeline.results import Curve
from planner.ui.curve.plot_data import Event, Scene
from planner.ui.display import Display
from planner.ui.log.when import moment_text, now
from planner.ui.widgets.remarks import in_words
from planner.units import GravityScale, Kind
from planner.wording import phrases

_LONGEST_NOTE = 36
_BY = {"refractometer": " by refractometer", "weight": " by weight", "sensor": " by sensor"}


def readout(scene: Scene, day: float, display: Display, place: int | None, events: Iterable[Event]) -> str:
    """Lines of text: the day, what is expected then, the reading at a place among the points, and what falls due.

    Parameters
    ----------
    scene : Scene
        What is drawn.
    day : float
        Days since pitching. [d]
    display : Display
        The reader's units.
    place : int or None
        The reading near by, as a place among the scene's points.
    events : iterable of Event
        Those near by.
    """
    lines = [_when(scene, day, display)]
    curve = scene.curve
    if curve is not None and curve.days[0] <= day <= curve.days[-1]:
        low, gravity, high, sugar, alcohol = (
            float(np.interp(day, curve.days, values))
            for values in (curve.band[0], curve.gravity, curve.band[3], curve.sugar, curve.alcohol)
        )
        span = Span(low, gravity, high) if scene.with_band else Span.exactly(gravity)
        lines.append(f"expected {display.format_span(span, Kind.GRAVITY)}")
        lines.append(f"with {_grams(sugar, display)} of sugar, {display.percent_vol(alcohol)}")
        warmth = phrases.say("{}", phrases.temperature(_warmth(scene, curve, day)))
        lines.append(f"falling {_fall(curve, day, display)} a day at {warmth.shown(display)}")
    forecast = scene.forecast
    if forecast is not None and forecast.today <= day <= forecast.days[-1]:
        ahead = Span(*(float(np.interp(day, forecast.days, edge)) for edge in
                       (forecast.band[0], forecast.gravity, forecast.band[3])))  # fmt: skip
        lines.append(f"forecast {display.format_span(ahead, Kind.GRAVITY)}")
    if place is not None:
        index = int(scene.points.index[place])
        lines += _reading(scene.rows[index], display)
        lines += [_together(pair, display) for pair in scene.pairs if index in (pair.hydrometer, pair.refractometer)]
    lines += [f"{in_words(event.text, display)}, day {display.number(event.day, 1, trim=True)}" for event in events]
    return "\n".join(lines)


_HALF_A_DAY = 0.5


def _fall(curve: Curve, day: float, display: Display) -> str:
    """Expected fall of a day, in the words of the axis below."""
    around = np.clip((day - _HALF_A_DAY, day + _HALF_A_DAY), curve.days[0], curve.days[-1])
    gravities = np.interp(around, curve.days, curve.gravity)
    before, after = (display.to_scale(float(gravity), Kind.GRAVITY) for gravity in gravities)
    fall = max(before - after, 0.0) / float(around[1] - around[0])
    if display.gravity_scale == GravityScale.BRIX:
        return f"{display.number(fall, 1)}\u00a0°Bx"
    return f"{display.number(1000.0 * fall, 1)} points"


def _warmth(scene: Scene, curve: Curve, day: float) -> float:
    """Temperature by the plan: kept, it changes at once; in a room, the must's own changes by and by. [K]"""
    if scene.in_room:
        return float(np.interp(day, curve.days, curve.temperature))
    return float(curve.temperature[int(np.searchsorted(curve.days, day, side="right")) - 1])


def _when(scene: Scene, day: float, display: Display) -> str:
    text = f"day {display.number(day, 1)}"
    if scene.pitched_at is None:
        return text
    try:
        moment = scene.pitched_at + timedelta(days=day)
    except OverflowError:
        return text
    return f"{text}, {moment_text(moment, display.locale, now().year)}"


def _reading(row: Logged, display: Display) -> list[str]:
    day = display.number(row.day or 0.0, 1)
    found = display.gravity(row.gravity)
    if row.kind == "sugar":
        found = (
            "less than " + _grams(2.0 * row.sugar, display) if row.below else _grams(row.sugar, display)
        ) + " sugar"
    elif row.kind in _BY:
        found += _BY[row.kind]
    warmth = "" if row.temperature is None else f" at {display.temperature(row.temperature)}"
    note = " ".join(row.note.split())
    short = note if len(note) <= _LONGEST_NOTE else f"{note[: _LONGEST_NOTE - 1]}…"
    return [f"{'left out' if row.excluded else 'read'} {found}{warmth} on day {day}", *([short] if short else [])]


def _together(pair: Pair, display: Display) -> str:
    """What hydrometer and refractometer say together."""
    if not pair.fits:
        return "hydrometer and refractometer do not fit"
    found = display.format_span(pair.alcohol, Kind.STRENGTH)
    return f"with both instruments {found}{'' if pair.agrees else ', unlike the balance'}"


def _grams(sugar: float, display: Display) -> str:
    return display.text(sugar, Kind.CONCENTRATION, "g/L", decimals=0)
