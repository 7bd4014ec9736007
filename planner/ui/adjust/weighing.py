"""What an addition does, and what to put on the scales: words and measures of what is stirred in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum, auto

from planner.adjusting.additions import density_of
from planner.adjusting.mead import TASTED, AdditionEffect, Properties, noticed
from planner.document.batch import Addition
from planner.model.span import Span
from planner.reference.rows import Additive
from planner.ui.adjust.text import (
    BODY_UNIT,
    grams,
    gravity_change,
    signed,
    steps_text,
    unbroken,
)
from planner.ui.display import MINUS, SPACE, Display
from planner.units import Kind, System
from planner.wording.figures import joined, told
from planner.wording.phrases import in_a_sentence

TEASPOONS_PER_CUP = 48
"""Level US teaspoons in a US cup. [-] NIST Handbook 44, appendix C: 3 to a tablespoon, 16 of which make a cup."""

TEASPOON = 4.92892159375e-6
"""A US teaspoon; those of elsewhere hold 5 mL. [m^3] NIST Handbook 44, appendix C."""

LEAST_LEFT = 1e-6
"""What is left of a dose below which all of it is in. [kg]"""

_MEASURES = (
    (float(TEASPOONS_PER_CUP), TEASPOONS_PER_CUP, f"US{SPACE}cup"),
    (12.0, 3, "tbsp"),
    (0.0, 1, "tsp"),
)
"""From so many teaspoons another measure is taken, of so many teaspoons. [-] The last is the least."""

FERMENTS_FROM, FERMENTS_WHOLLY_FROM = 0.002, 0.5
"""Part of an ingredient that yeast can take, from which it ferments in part, and from which it is a sugar. [kg/kg]"""


class Fermenting(Enum):
    """What living yeast does with an ingredient."""

    LEFT = auto()
    IN_PART = auto()
    TAKEN = auto()


def fermenting(effect: AdditionEffect) -> Fermenting:
    """What living yeast does with an addition."""
    part = effect.fermentable / effect.mass if effect.mass > 0.0 else 0.0
    if part < FERMENTS_FROM:
        return Fermenting.LEFT
    return Fermenting.TAKEN if part >= FERMENTS_WHOLLY_FROM else Fermenting.IN_PART


def fermenting_text(kind: Fermenting, stabilised: bool) -> str:
    """The word beside a line: what yeast does with it, or would do."""
    if kind == Fermenting.LEFT:
        return "yeast will not ferment it"
    word = "yeast will ferment it" if stabilised else "ferments"
    return word if kind == Fermenting.TAKEN else f"{word} in part"


def effect_text(effect: AdditionEffect, row: Additive, before: Properties, display: Display) -> str:
    """What an addition does: "+18 g/L sweetness (15 to 21; 4.0 steps), +0.009 gravity, +427 mL; about 3 US cups".

    Its own purpose comes first; other properties are told where half a step of them or more is changed.
    """
    steps = {what: _noticed(what, before, getattr(effect, what)) for what in TASTED}
    properties = (
        ("sweetener", steps["sweetness"], _sweetness(effect.sweetness_range, steps["sweetness"], display)),
        ("body", steps["viscosity"], _body(effect.viscosity_range, steps["viscosity"], display)),
        ("acid", steps["acid"], f"{grams(effect.acid, display)} acid"),
        ("", steps["alcohol"], f"{signed(display.number(100.0 * effect.alcohol, 1))}{SPACE}% vol"),
    )
    shown = [text for group, size, text in properties if group == row.group or abs(size) >= 0.5]
    shown += [gravity_change(effect.gravity, before.gravity.typical, display)]
    shown += [] if _by_volume(row) else [signed(display.volume(effect.volume))]  # else its own volume tells it
    shown = [unbroken(text).replace(f"{SPACE}(", " (") for text in shown if text.startswith(("+", MINUS))]
    if abs(steps["acid"]) >= 0.1 and row.group in ("acid", "deacidifier"):
        shown.insert(1, unbroken("pH falls" if effect.acid > 0.0 else "pH rises"))
    if effect.mass <= 0.0:
        return "nothing yet"
    measure = measure_text(effect.mass, row, display)
    return "; ".join(filter(None, (", ".join(shown), f"about {measure}" if measure else "")))


def _noticed(what: str, before: Properties, change: float) -> float:
    here = getattr(before, what).typical
    return noticed(what, here, max(here + change, 0.0))


def _sweetness(change: Span, steps: float, display: Display) -> str:
    text = display.grams_per_litre(change)
    return f"{signed(text)} sweetness{_beside(change, Kind.CONCENTRATION, 'g/L', steps, display)}"


def _body(change: Span, steps: float, display: Display) -> str:
    told = change.scaled(1e3)
    text = f"{signed(display.text(told, Kind.NUMBER))}{SPACE}{BODY_UNIT}"
    return f"{text} body{_beside(told, Kind.NUMBER, None, steps, display)}"


def _beside(change: Span, kind: Kind, unit: str | None, steps: float, display: Display) -> str:
    """How sure a change is, and how much of it tasters notice: " (15 to 21; 4.0 steps)"; empty for less than a step."""
    size = abs(steps)
    if size < 1.0:
        return ""
    shown = steps_text(size, display)
    told = [] if change.is_exact else [display.format_span(change, kind, unit).partition(" (")[2].removesuffix(")")]
    told += [f"{shown} {'step' if shown == display.number(1.0, 1) else 'steps'}"]
    return f" ({'; '.join(filter(None, told))})"


def measure_text(mass: float, row: Additive, display: Display, density: float | None = None) -> str:
    """How much a mass is in spoons, or of a liquid by volume; empty where that is not known or nothing is there."""
    if mass <= 0.0:
        return ""
    weighs = density or row.density
    if weighs and mass / weighs >= 20e-6:
        return f"{unbroken(display.volume(mass / weighs))} of it"
    return spoons(mass / row.teaspoon, display) if row.teaspoon else ""


def spoons(teaspoons: float, display: Display) -> str:
    """Level teaspoons in the measure that a kitchen takes for so many, no finer than it measures."""
    if teaspoons < 0.2:
        return f"less than ¼{SPACE}tsp"
    if teaspoons >= TEASPOONS_PER_CUP and display.system != System.US:
        return joined(told("rough_volume", teaspoons * TEASPOON, display), display)
    size, name = next((size, name) for fewest, size, name in _MEASURES if teaspoons >= fewest)
    count = teaspoons / size
    finest = 4.0 if size == TEASPOONS_PER_CUP or count < 3.0 else 2.0 if count < 10.0 else 1.0
    number = display.number(round(count * finest) / finest, 2, trim=True)
    plural = "s" if name.endswith("cup") and number != display.number(1.0, 0) else ""
    return f"{number}{SPACE}{name}{plural}"


def weighing(
    additions: Iterable[Addition],
    rows: Mapping[str, Additive],
    display: Display,
    given: Mapping[str, float] | None = None,
) -> tuple[str, ...]:
    """What to put on the scales, each ingredient once: "400 g erythritol (≈ 490 mL)"; extracts by volume.

    What was given by the log [kg] is not weighed again.
    """
    masses: dict[str, float] = {}
    volumes: dict[str, float] = {}
    for addition in additions:
        if addition.key in rows and addition.mass > 0.0:
            row = rows[addition.key]
            masses[row.key] = masses.get(row.key, 0.0) + addition.mass
            if row.liquid:
                volumes[row.key] = volumes.get(row.key, 0.0) + addition.mass / density_of(row, addition)
    lines = []
    for key, mass in masses.items():
        there = (given or {}).get(key, 0.0)
        left = max(mass - there, 0.0)
        if left <= LEAST_LEFT:
            continue
        room = volumes[key] * left / mass if key in volumes else None
        lines.append(_weighed(rows[key], left, room, display))
        if there > 0.0:
            lines[-1] += f"; {display.mass(there)} are in"
    return tuple(lines)


def _weighed(row: Additive, mass: float, volume: float | None, display: Display) -> str:
    shown = display.mass(mass)
    name = in_a_sentence(row.name)
    if volume is not None and _by_volume(row):
        return f"{display.volume(volume)} {name} ({shown})"
    density = mass / volume if volume else None
    measure = measure_text(mass, row, display, density).removesuffix(" of it")
    for spoon in ("tsp", "tbsp", "US cup"):
        measure = measure.replace(
            f"{SPACE}{spoon.replace(' ', SPACE)}", f"{SPACE}level{SPACE}{spoon.replace(' ', SPACE)}"
        )
    return f"{shown} {name}" + (f" (≈{SPACE}{measure})" if measure else "")


def _by_volume(row: Additive) -> bool:
    """Whether so much of it is measured, rather than weighed."""
    return row.liquid and row.group in ("flavour", "liquid")
