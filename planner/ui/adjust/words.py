"""What the adjustment pane says: pure functions from the mead to words and rows in the reader's units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from enum import Enum, auto
from typing import NamedTuple

from planner.batch.adjusting.mead import AdditionEffect, Mead, Properties
from planner.batch.adjusting.standing import Basis, Standing
from planner.batch.adjusting.stillness import STILL_SUGAR
from planner.batch.batch import Addition
from planner.batch.ferment.verdict_kinds import FINISHED, STALLED, TEST
from planner.batch.findings import Level
from planner.batch.outcome import Outcome
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.span import Span
from planner.model.sweetness import ACID_STEP
from planner.model.sweetness import STEP as SWEETNESS_STEP
from planner.model.viscosity import STEP as BODY_STEP
from planner.model.viscosity import viscosity
from planner.reference.rows import Additive
from planner.ui.display import MINUS, SPACE, Display
from planner.ui.widgets.remarks import under
from planner.units import GravityScale, Kind, System

ALCOHOL_STEP = 0.01
"""Smallest difference of alcohol noticed in wine. [m^3/m^3] Yu and Pickering (authors from memory), four wines:
1.03 to 1.32 % vol in the mouth."""

TEASPOONS_PER_CUP = 48
"""Level US teaspoons in a US cup. [-] NIST Handbook 44, appendix C: 3 to a tablespoon, 16 of which make a cup."""

FERMENTS_FROM, FERMENTS_WHOLLY_FROM = 0.002, 0.5
"""Part of an ingredient that yeast can take, from which it ferments in part, and from which it is a sugar. [kg/kg]"""

BODY_UNIT = "mPa·s"
PER_LITRE = "g/\u2060L"
"""With a joiner, so that no line breaks after the stroke."""


class Fermenting(Enum):
    """What living yeast does with an ingredient."""

    LEFT = auto()
    IN_PART = auto()
    TAKEN = auto()


class Verdict(NamedTuple):
    """Whether the mead will stay still, where no finding says that it may not."""

    level: Level
    text: str


class Change(NamedTuple):
    """One row of the table of before and after, in words."""

    caption: str
    unit: str
    before: str
    after: str
    change: str
    steps: str
    hover: str


# --- what an addition does


def fermenting(effect: AdditionEffect) -> Fermenting:
    """What living yeast does with an addition."""
    part = effect.fermentable / effect.mass if effect.mass > 0.0 else 0.0
    if part < FERMENTS_FROM:
        return Fermenting.LEFT
    return Fermenting.TAKEN if part >= FERMENTS_WHOLLY_FROM else Fermenting.IN_PART


def fermenting_text(kind: Fermenting, stabilised: bool) -> str:
    """The word beside a line: what yeast does with it, or would do."""
    if kind == Fermenting.LEFT:
        return "yeast leaves it"
    word = "would ferment" if stabilised else "ferments"
    return word if kind == Fermenting.TAKEN else f"{word} in part"


def effect_text(effect: AdditionEffect, row: Additive, near: float, display: Display) -> str:
    """What an addition does: "+14.6 g/L sweetness, +0.007 gravity, +285 mL; about 100 tsp".

    Its own purpose comes first; other properties are told where half a step of them or more is changed.
    """
    told = (
        (
            "sweetener",
            effect.sweetness,
            SWEETNESS_STEP,
            f"{_grams(effect.sweetness, display)} sweetness{_in_steps(effect.sweetness, SWEETNESS_STEP, display)}",
        ),
        (
            "body",
            effect.viscosity,
            BODY_STEP,
            f"{_body(effect.viscosity, display)} body{_in_steps(effect.viscosity, BODY_STEP, display)}",
        ),
        ("acid", effect.acid, ACID_STEP, f"{_grams(effect.acid, display)} acid"),
        ("", effect.alcohol, ALCOHOL_STEP, f"{_signed(display.number(100.0 * effect.alcohol, 1))}{SPACE}% vol"),
    )
    shown = [text for group, change, step, text in told if group == row.group or abs(change) >= step / 2.0]
    shown += [_gravity_change(effect.gravity, near, display), _signed(display.volume(effect.volume))]
    shown = [_unbroken(text) for text in shown if text.startswith(("+", MINUS))]
    if abs(effect.acid) >= ACID_STEP / 10.0 and row.group in ("acid", "deacidifier"):
        shown.insert(1, _unbroken("pH falls" if effect.acid > 0.0 else "pH rises"))
    measure = measure_text(effect.mass, row, display)
    return ", ".join(shown) + (f"; about {measure}" if measure else "") if shown else "nothing yet"


def _in_steps(change: float, step: float, display: Display) -> str:
    """How much of it tasters notice: " (6.2 steps)"; empty where that is less than one."""
    size = abs(change) / step
    if size < 1.0:
        return ""
    text = steps_text(size, display)
    return f" ({text} {'step' if text == display.number(1.0, 1) else 'steps'})"


def measure_text(mass: float, row: Additive, display: Display) -> str:
    """How much a mass is in spoons, or of a liquid by volume; empty where that is not known or nothing is there."""
    if mass <= 0.0:
        return ""
    if row.density and mass / row.density >= 20e-6:
        return f"{_unbroken(display.volume(mass / row.density))} of it"
    return spoons(mass / row.teaspoon, display) if row.teaspoon else ""


def spoons(teaspoons: float, display: Display) -> str:
    """A number of level US teaspoons, no finer than a spoon measures."""
    if teaspoons < 0.2:
        return f"less than ¼{SPACE}tsp"
    finest = 4.0 if teaspoons < 3.0 else 2.0 if teaspoons < 10.0 else 1.0
    text = f"{display.number(round(teaspoons * finest) / finest, 2, trim=True)}{SPACE}tsp"
    if teaspoons < TEASPOONS_PER_CUP:
        return text
    return f"{text} or {display.number(teaspoons / TEASPOONS_PER_CUP, 1)}{SPACE}US{SPACE}cups"


def weighing(additions: Iterable[Addition], rows: Mapping[str, Additive], display: Display) -> tuple[str, ...]:
    """What to put on the scales, each ingredient once: "400 g erythritol (≈ 100 level tsp)"."""
    masses: dict[str, float] = {}
    for addition in additions:
        if addition.key in rows and addition.mass > 0.0:
            masses[addition.key] = masses.get(addition.key, 0.0) + addition.mass
    return tuple(_weighed(rows[key], mass, display) for key, mass in masses.items())


def _weighed(row: Additive, mass: float, display: Display) -> str:
    shown, metric = display.mass(mass), display.with_system(System.METRIC).mass(mass)
    measure = measure_text(mass, row, display).removesuffix(" of it").replace(f"{SPACE}tsp", f"{SPACE}level{SPACE}tsp")
    also = [metric] if metric != shown else []
    also += [f"≈{SPACE}{measure}"] if measure else []
    return f"{shown} {in_sentence(row.name)}" + (f" ({', '.join(also)})" if also else "")


def in_sentence(name: str) -> str:
    """The name of an ingredient as it stands inside a sentence."""
    return name[:1].lower() + name[1:]


# --- before and after


def changes(
    mead: Mead, serving_temperature: float, display: Display, vessel: float | None = None
) -> tuple[Change, ...]:
    """The table of before and after; the last rows where a pH is known or predicted, and where the vessel is known."""
    b, a = mead.before, mead.after
    body = (b.viscosity.scaled(1e3), a.viscosity.scaled(1e3))
    cold = cold_body(mead, serving_temperature)
    served = (body[0].scaled(cold), body[1].scaled(cold))
    shown = display.temperature(serving_temperature, 0)
    return (
        _row("Volume", (b.volume, a.volume), Kind.VOLUME, 2, None, display, "At 20 °C."),
        _row("Gravity", (b.gravity, a.gravity), Kind.GRAVITY, 3, None, display, "At 20 °C."),
        _row("Alcohol", (b.alcohol, a.alcohol), Kind.STRENGTH, 1, ALCOHOL_STEP, display, _step("1 % vol", display)),
        _row("Sweetness", (b.sweetness, a.sweetness), Kind.CONCENTRATION, 1, SWEETNESS_STEP, display,
             "As the sucrose that would be as sweet in water; acid and cold make it taste less sweet. "
             + _spread(a.sweetness, Kind.CONCENTRATION, display, "g/L") + _step("4.5 g/L", display)),
        _row("Body", body, Kind.NUMBER, 2, 1e3 * BODY_STEP, display,
             "Viscosity at 20 °C, at which the step was measured. "
             + _spread(body[1], Kind.NUMBER, display) + _step("0.14 mPa·s", display)),
        _row(f"… at {shown}", served, Kind.NUMBER, 2, None, display, "Viscosity at the temperature of serving."),
        _row("Acid", (b.acid, a.acid), Kind.CONCENTRATION, 1, ACID_STEP, display,
             "Titratable, as tartaric acid. " + _spread(a.acid, Kind.CONCENTRATION, display, "g/L")
             + _step("0.5 g/L", display)),
        _row("Fermentable", (b.fermentable, a.fermentable), Kind.CONCENTRATION, 1, None, display,
             "Sugar that living yeast can take, as hexose. " + _spread(a.fermentable, Kind.CONCENTRATION, display, "g/L")),
        *_acidity_row(mead, display),
        *_room_row(mead, vessel, display),
    )  # fmt: skip


def _spread(after: Span, kind: Kind, display: Display, unit: str | None = None) -> str:
    """How far the number after can be trusted: "After: 30 to 42 g/L (90 %). "."""
    return "" if after.is_exact else f"After: {ends(after, kind, display, unit)} (90 % sure). "


def _acidity_row(mead: Mead, display: Display) -> Iterator[Change]:
    before, after = mead.ph_before, mead.ph
    if before is None or after is None:
        return
    places, about = (2, "") if mead.ph_measured else (1, "≈")
    change = (
        ""
        if abs(after.typical - before.typical) < 0.005
        else _signed(display.number(after.typical - before.typical, 2))
    )
    ranges = f"Before {ph_text(before, display)}, after {ph_text(after, display)}: an estimate. Measure it after a day."
    yield Change("pH", "", f"{about}{display.number(before.typical, places)}", f"{about}{display.number(after.typical, places)}",
                 change or display.number(0.0, 0), "", ranges)  # fmt: skip


def ph_text(ph: Span, display: Display) -> str:
    """A pH: measured to the second decimal, else its range."""
    if ph.is_exact:
        return display.number(ph.typical, 2)
    return f"{display.number(ph.low, 1)} to {display.number(ph.high, 1)}"


def _room_row(mead: Mead, vessel: float | None, display: Display) -> Iterator[Change]:
    if vessel is None:
        return
    room = tuple(Span.exactly(vessel - side.volume.typical) for side in (mead.before, mead.after))
    unit = display.unit_for(max(abs(room[0].typical), abs(room[1].typical)), Kind.VOLUME)
    key = unit.key if unit else None
    before, _, symbol = display.volume(room[0], key).partition(SPACE)
    after = display.volume(room[1], key).partition(SPACE)[0]
    change = display.to_scale(room[1].typical, Kind.VOLUME, key) - display.to_scale(room[0].typical, Kind.VOLUME, key)
    places = 2 if abs(change) < 10.0 else 0
    yield Change("Headspace", symbol, before, after, _signed(display.number(change, places)), "",
                 "Room left in the vessel above the mead; below nothing it would run over.")  # fmt: skip


def _row(
    caption: str, pair: tuple[Span, Span], kind: Kind, places: int, step: float | None, display: Display, hover: str
) -> Change:
    before, after = pair
    unit = "g/L" if kind == Kind.CONCENTRATION else None
    preferred = display.unit_for(before.typical, kind)
    if unit is None and preferred is not None:
        unit = preferred.key
    first, _, symbol = display.text(before, kind, unit).partition(SPACE)
    second = display.text(after, kind, unit).partition(SPACE)[0]
    if kind == Kind.GRAVITY and display.gravity_scale == GravityScale.BRIX:
        places = 1
    difference = display.to_scale(after.typical, kind, unit) - display.to_scale(before.typical, kind, unit)
    if kind == Kind.CONCENTRATION and abs(difference) >= 10.0:
        places = 0
    return Change(
        caption=caption,
        unit=BODY_UNIT if kind == Kind.NUMBER else symbol,
        before=first,
        after=second,
        change=_signed(display.number(difference, places)),
        steps=steps_text((after.typical - before.typical) / step, display) if step else "",
        hover=hover,
    )


def steps_text(steps: float, display: Display) -> str:
    """A change in steps that a taster can just notice: "0", "<1", "2.4", "12"."""
    size = abs(steps)
    if size < 0.05:
        return display.number(0.0, 0)
    if size < 1.0:
        return f"<{display.number(1.0, 0)}"
    return display.number(size, 1 if size < 9.95 else 0)


def _step(size: str, display: Display) -> str:
    return f"A step, the least that tasters notice, is about {size.replace('.', display.locale.decimalPoint())}."


# --- where it stands


def properties_text(properties: Properties, display: Display) -> dict[str, str]:
    """The values of the rows of where it stands, by the names of `Properties`."""
    return {
        "alcohol": display.percent_vol(properties.alcohol),
        "fermentable": sugar_text(properties.fermentable, display),
        "acid": display.grams_per_litre(properties.acid),
        "sweetness": display.grams_per_litre(properties.sweetness),
        "viscosity": body_text(properties.viscosity, display),
    }


WIDE = 4.0
"""Width of an interval of sugar from which it is told by its ends. [kg/m^3] Dry and sweet lie so far apart."""


def sugar_text(sugar: Span, display: Display) -> str:
    """Sugar that yeast can take: "1.0 g/L", or "37 to 54 g/L" where no more is known."""
    if sugar.high - sugar.low < WIDE:
        return display.grams_per_litre(sugar)
    low, high = (display.number(max(end, 0.0), 0) for end in (sugar.low, sugar.high))
    return f"{low} to {high}{SPACE}{PER_LITRE}"


def basis_text(mead: Mead, display: Display) -> str:
    """By what the mead before its additions is known, and the ranges of what was not measured."""
    known = mead.known
    if known is None:
        return ""
    told = [*_basis(mead, known, display)]
    if known.kept_at is not None and told:
        kelvin, day = known.kept_at
        when = "planned" if day is None else f"on day{SPACE}{display.number(day, 0)}"
        told.append(f"{display.temperature(kelvin, 0)} {when}.")
    return " ".join(_kept_together(text) for text in told)


def _basis(mead: Mead, known: Standing, display: Display) -> Iterator[str]:
    before, basis = mead.before, mead.basis
    gravity, sugar = ends(before.gravity, Kind.GRAVITY, display), sugar_text(before.fermentable, display)
    day = known.day
    if basis is Basis.EXPECTED:
        yield f"Nothing is measured: as the recipe should end. Gravity {gravity}, {ends(before.volume, Kind.VOLUME, display)}."
    elif basis is Basis.FORECAST and day is not None:
        about = display.number(day.typical, 0)
        between = "" if day.is_exact else f" ({display.number(day.low, 0)} to {display.number(day.high, 0)})"
        yield f"It still ferments: a forecast of its rest, about day {about}{between}, at a gravity of {gravity}."
        if known.present is not None:
            yield f"Now {sugar_text(known.present.sugar, display)} of sugar are left."
    elif basis is Basis.AT_REST and day is not None:
        when = f"day{SPACE}{display.number(day.typical, 0)}"
        word = {STALLED: f"stalled at {display.gravity(before.gravity.typical)}, with {sugar} of sugar left",
                FINISHED: "finished"}.get(known.kind, f"at rest with {sugar} of sugar, finished or stalled: a test would tell")  # fmt: skip
        yield f"By the log, {when}: {word}."
    elif basis is Basis.MEASURED and known.kind and known.kind not in (FINISHED, STALLED, TEST):
        yield "By your gravity; but by the log it still ferments. Measure again before you dose."


def ends(span: Span, kind: Kind, display: Display, unit: str | None = None) -> str:
    """A range, or a number where both ends look alike: "0.997 to 1.016"."""
    preferred = display.unit_for(span.typical, kind)
    key = unit if unit or preferred is None else preferred.key
    low, _, symbol = display.text(span.low, kind, key).partition(SPACE)
    high = display.text(span.high, kind, key).partition(SPACE)[0]
    return f"{low}{SPACE}{symbol}".strip(SPACE) if low == high else f"{low} to {high}{SPACE}{symbol}".strip(SPACE)


def _kept_together(text: str) -> str:
    return text.replace(" to ", f"{SPACE}to{SPACE}")


def body_text(viscosity_span: Span, display: Display) -> str:
    """A viscosity: "1.65 mPa·s"."""
    return f"{display.text(viscosity_span.scaled(1e3), Kind.NUMBER)}{SPACE}{BODY_UNIT}"


def cold_body(mead: Mead, temperature: float) -> float:
    """By how much thicker the mead is at a temperature than at 20 °C. [-]"""
    liquid = mead.mixed.member(0)
    return float(viscosity(liquid, temperature) / viscosity(liquid, REFERENCE_TEMPERATURE))


def with_doubt_of(now: Properties, former: Properties) -> Properties:
    """Fresh typical values with the width of the former spans: for the moment until the new doubt is worked out."""
    return Properties(**{f.name: _moved(getattr(former, f.name), getattr(now, f.name)) for f in fields(Properties)})


def _moved(span: Span, fresh: Span) -> Span:
    now = fresh.typical
    low = max(now - (span.typical - span.low), min(0.0, now))
    return Span(low, now, now + (span.high - span.typical))


# --- will it stay still


def stillness(outcome: Outcome, display: Display) -> Verdict | None:
    """What the figures say where no finding speaks of sugar in the bottle; None where one does."""
    adjustment, mead = outcome.batch.adjustment, outcome.mead
    if mead is None:
        return Verdict(Level.NOTE, "Enter the gravity of the finished mead, or an addition, to see.")
    if mead.basis is Basis.FORECAST and not adjustment.additions:
        return Verdict(Level.NOTE, "It still ferments: nothing to bottle yet.")
    if mead.basis is Basis.EXPECTED and not adjustment.additions:
        return Verdict(Level.NOTE, "Enter the gravity of the finished mead, or an addition, to see.")
    doubts = [f for f in under(outcome.findings, "adjustment") if f.level >= Level.WARNING]
    if any(f.place in ("adjustment", "adjustment.additions") for f in doubts):
        return None
    see = " But an addition carries a warning of its own: see there." if doubts else ""
    sugar = mead.after.fermentable
    most = f"at most {display.number(sugar.high, 1)}{SPACE}g/L of sugar that yeast can take"
    if adjustment.stabilised and sugar.high > STILL_SUGAR:
        held = f"about {display.grams_per_litre(sugar.typical)} of sugar stay only as long as that holds"
        text = f"Yeast is kept from working; {held}."
    elif sugar.high <= STILL_SUGAR:
        text = f"By the figures, yes: {most}. A sugar test makes sure."
    else:
        reached = display.percent_vol(mead.after.alcohol)
        text = f"By the figures, yes: at {reached} this yeast is past its limit; stabilising makes sure."
    return Verdict(Level.WARNING if doubts else Level.NOTE, text + see)


# --- numbers with a sign


def _unbroken(text: str) -> str:
    """A short text in which no line breaks."""
    return text.replace(" ", SPACE)


def _signed(text: str) -> str:
    """A number with its sign, also where that is a plus; none for a zero."""
    number = text.partition(SPACE)[0]
    if not any(c.isdecimal() and int(c) for c in number):
        return text.removeprefix(MINUS)
    return text if text.startswith(MINUS) else f"+{text}"


def _grams(change: float, display: Display) -> str:
    places = 0 if abs(change) >= 99.95 else 1 if abs(change) >= 0.95 else 2
    return f"{_signed(display.number(change, places))}{SPACE}{PER_LITRE}"


def _body(change: float, display: Display) -> str:
    return f"{_signed(display.number(1e3 * change, 2))}{SPACE}{BODY_UNIT}"


def _gravity_change(change: float, near: float, display: Display) -> str:
    if display.gravity_scale == GravityScale.BRIX:
        return _signed(display.gravity_difference(change, near))
    return f"{_signed(display.number(change, 3))} gravity"
