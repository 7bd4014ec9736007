"""What the recipe pane says in small text: what a fruit gives, what a yeast can, what feeds add."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from planner.document.batch import Batch, FruitLine, Preparation
from planner.feeding.limits import nitrogen_of
from planner.model.liquid import gravity
from planner.model.span import Span
from planner.recipe.must import juice, press_yield
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Fruit, Yeast
from planner.timeline.results import MustOutcome
from planner.timeline.self_warming import Warmth
from planner.ui.display import MINUS, Display
from planner.ui.widgets.remarks import in_words
from planner.units import Kind
from planner.wording.phrases import say, temperature


def name_of(rows: Mapping[Any, Any], key: str) -> str:
    """The name of an ingredient; its key where the shelf does not hold it."""
    row = rows.get(key)
    return str(row.name) if row is not None else key


def juice_text(line: FruitLine, given: Span, display: Display, whole: bool = False) -> str:
    """What a line of fruit gives, or holds where it ferments whole."""
    shown = display.format_span(given, Kind.VOLUME)
    return f"{'is' if line.as_juice else 'holds' if whole else 'gives'} {shown} of juice"


def yield_placeholder(fruit: Fruit, preparation: Preparation, display: Display) -> str:
    """The press yield that is reckoned with while none was measured."""
    return f"{display.percent(press_yield(fruit, preparation))} expected"


def gravity_placeholder(line: FruitLine, fruit: Fruit, preparation: Preparation, display: Display) -> str:
    """The gravity of the juice that is reckoned with while none was measured."""
    of_table = FruitLine(key=line.key, mass=1.0, stoned=line.stoned, as_juice=line.as_juice)
    liquid, _ = juice(of_table, fruit, preparation, 0)
    return f"{display.gravity(float(gravity(liquid)[0]))} expected"


def fruit_text(fruit: Fruit) -> str:
    """The note on a fruit, and how far its figures can be trusted."""
    trust = {"sugar": fruit.status, "acid": fruit.acid_status, "yield": fruit.yield_status}
    by_label: dict[str, list[str]] = {}
    for what, status in trust.items():
        by_label.setdefault(status.label, []).append(what)
    told = "; ".join(f"{' and '.join(parts)}: {label}" for label, parts in by_label.items())
    return f"{fruit.note} {told[0].upper()}{told[1:]}.".strip()


def yeast_text(yeast: Yeast, display: Display) -> str:
    """What a yeast can."""
    stops = display.format_span(yeast.tolerance, Kind.STRENGTH)
    warmth = say("Works from {} to {}, best at {}.", *map(temperature, (yeast.t_low, yeast.t_high, yeast.t_best)))
    return f"Stops near {stops}. {in_words(warmth, display)} {yeast.note}"


NO_WARMER = 0.5
"""Warmth over the room that nobody would notice. [K]"""


def warmth_text(warm: Warmth, yeast: Yeast, display: Display) -> str:
    """How warm the must gets by its own heat, beside what the yeast likes."""
    low, best, high = (display.temperature(t, decimals=0) for t in (yeast.t_low, yeast.t_best, yeast.t_high))
    room, most, day = (
        display.temperature(warm.room, 0),
        display.temperature(warm.warmest, 0),
        display.number(warm.day, 0),
    )
    likes = f"This yeast works from {low} to {high}, best at {best}."
    if warm.excess < NO_WARMER:
        return f"This must hardly warms itself. {likes}" if warm.in_room else ""
    if warm.in_room:
        return f"It is warmest on day {day}, about {most}, in a room of {room}. {likes}"
    return f"Uncooled, in a room of {room}, it would warm itself to about {most} by day {day}."


def nitrogen_need(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> float | None:
    """Assimilable nitrogen that the yeast wants for the sugar of the must; None for a yeast that is not known.

    Returns
    -------
    float or None
        [kg/m^3]
    """
    yeast = catalogue.yeasts.get(batch.recipe.yeast.key)
    return None if yeast is None else yeast.nitrogen_for(must.sugar_in_all.typical)


def nitrogen_fed(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> float:
    """Nitrogen that the planned feeds bring, as far as they are known. [kg/m^3]"""
    rows = catalogue.nutrients
    return nitrogen_of((feed, rows[feed.key]) for feed in batch.recipe.feeds if feed.key in rows) / must.volume.typical


def feeding_text(batch: Batch, catalogue: Catalogue, must: MustOutcome, display: Display, doubted: bool) -> str:
    """What the feeds add to the nitrogen of the must, and what the yeast wants; empty without a must.

    Where the feeding is `doubted`, the finding tells the sum and the want, which need not be said twice.
    """
    need = nitrogen_need(batch, catalogue, must)
    given = nitrogen_fed(batch, catalogue, must)
    if need is None or not must.sugar.typical > 0.0:
        return ""
    has, wants = display.milligrams_per_litre(must.nitrogen.typical), display.milligrams_per_litre(need)
    if not batch.recipe.feeds:
        return "" if doubted else f"The must brings about {has} of nitrogen; this yeast needs about {wants}."
    both = display.milligrams_per_litre(must.nitrogen.typical + given)
    adds = display.milligrams_per_litre(given)
    summed = "" if doubted else f": {both} of the {wants} this yeast needs"
    return f"Adds {adds} of nitrogen to the must's {has}{summed}."


def points(lift: Span, display: Display) -> tuple[str, str]:
    """A part of the finishing gravity in points of gravity: the typical one, and the range or nothing."""

    low, typical, high = (display.number(1000.0 * bound, 1) for bound in lift)
    sign = "" if typical.startswith(MINUS) else "+"
    return f"{sign}{typical}", "" if lift.is_exact else f"{low} to {high}"


def told(changes: dict[str, object], display: Display, rows: Mapping[Any, Any]) -> str:
    """Edited fields of a line in words, for the menu: "22 kg", "weighed without stones", "day 2"."""
    words = (_TOLD[name](value, display, rows) for name, value in changes.items())
    return ", ".join(word for word in words if word)


def _measured(what: str, kind: Kind) -> Callable[[object, Display, Mapping[Any, Any]], str]:
    def words(value: object, display: Display, _rows: Mapping[Any, Any]) -> str:
        if not isinstance(value, float):
            return f"{what} as expected"
        return f"{what} {display.text_for_editing(value, kind)}".strip()

    return words


def _due(word: str, kind: Kind | None) -> Callable[[object, Display, Mapping[Any, Any]], str]:
    def words(value: object, display: Display, _rows: Mapping[Any, Any]) -> str:
        if not isinstance(value, float):
            return ""  # the other of the two ways to say when
        return word.format(display.number(value, 2, trim=True) if kind is None else display.text(value, kind))

    return words


_TOLD: dict[str, Callable[[object, Display, Mapping[Any, Any]], str]] = {
    "key": lambda value, _display, rows: name_of(rows, str(value)),
    "mass": _measured("", Kind.MASS),
    "stoned": lambda value, *_: "weighed without stones" if value else "weighed whole",
    "as_juice": lambda value, *_: "is juice" if value else "is fruit",
    "press_yield": _measured("press yield", Kind.FRACTION),
    "juice_gravity": _measured("juice gravity", Kind.GRAVITY),
    "moisture": _measured("water in it", Kind.FRACTION),
    "temperature": _measured("", Kind.TEMPERATURE),
    "day": _due("day {}", None),
    "gravity": _due("at {}", Kind.GRAVITY),
    "sugar_used": _due("at {} of the sugar", Kind.FRACTION),
}
