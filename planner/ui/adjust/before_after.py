"""Before and after the additions, in words and figures: the rows of the table, and how far they can be trusted."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planner.adjusting.mead import TASTED, Mead, noticed
from planner.model.constants import REFERENCE_TEMPERATURE
from planner.model.span import Span
from planner.model.sweetness import ACID_SHARE, ACID_STEP, SHARE
from planner.model.sweetness import STEP as SWEETNESS_STEP
from planner.model.viscosity import viscosity
from planner.ui.adjust.text import BODY_UNIT, ends, kept_together, ph_text, signed, steps_text
from planner.ui.display import SPACE, Display
from planner.units import GravityScale, Kind


class Change(NamedTuple):
    """One row of the table of before and after, in words."""

    caption: str
    unit: str
    before: str
    after: str
    change: str
    steps: str
    hover: str
    what: str
    """The property, by its name in `Mead`'s properties."""


_AT_ROOM = "At the temperature that hydrometers are calibrated at."
"""Of a volume or a gravity: 20 °C."""


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
        _row("volume", "Volume", (b.volume, a.volume), Kind.VOLUME, 2, display, _AT_ROOM),
        _row("gravity", "Gravity", (b.gravity, a.gravity), Kind.GRAVITY, 3, display, _AT_ROOM),
        _row("alcohol", "Alcohol", (b.alcohol, a.alcohol), Kind.STRENGTH, 1, display, _step("1 % vol", display)),
        _row("sweetness", "Sweetness", (b.sweetness, a.sweetness), Kind.CONCENTRATION, 1, display,
             "As the sucrose that would be as sweet in water; acid and cold make it taste less sweet. "
             + _spread(a.sweetness, Kind.CONCENTRATION, display, "g/L") + _step(_least("sweetness", a.sweetness.typical, display), display)),
        _row("viscosity", "Body", body, Kind.NUMBER, 2, display,
             "Viscosity, at the temperature at which its step was measured. "
             + _spread(body[1], Kind.NUMBER, display) + _step("0.14 mPa·s", display)),
        _row("viscosity", f"… at {shown}", served, Kind.NUMBER, 2, display, "Viscosity at the temperature of serving.", tasted=False),
        _row("acid", "Acid", (b.acid, a.acid), Kind.CONCENTRATION, 1, display,
             "Titratable, as tartaric acid. " + _spread(a.acid, Kind.CONCENTRATION, display, "g/L")
             + _step(_least("acid", a.acid.typical, display), display)),
        _row("fermentable", "Fermentable", (b.fermentable, a.fermentable), Kind.CONCENTRATION, 1, display,
             "Sugar that living yeast can ferment, as hexose. " + _spread(a.fermentable, Kind.CONCENTRATION, display, "g/L")),
        *_acidity_row(mead, display),
        *_room_row(mead, vessel, display),
    )  # fmt: skip


def ranges_text(mead: Mead, display: Display) -> str:
    """How far the mead after its additions may lie from what is told of it, where that is a step or more."""
    after = mead.after
    told = (
        ("sweetness", "sweetness", after.sweetness, ends(after.sweetness, Kind.CONCENTRATION, display, "g/L")),
        (
            "body",
            "viscosity",
            after.viscosity,
            f"{ends(after.viscosity.scaled(1e3), Kind.NUMBER, display)}{SPACE}{BODY_UNIT}",
        ),
        ("acid", "acid", after.acid, ends(after.acid, Kind.CONCENTRATION, display, "g/L")),
        ("alcohol", "alcohol", after.alcohol, ends(after.alcohol, Kind.STRENGTH, display)),
    )
    wide = [
        f"{name} {kept_together(text)}" for name, what, span, text in told if noticed(what, span.low, span.high) >= 1.0
    ]
    return f"Nine in ten: {', '.join(wide)}." if wide else ""


def _spread(after: Span, kind: Kind, display: Display, unit: str | None = None) -> str:
    """How far the number after can be trusted: "After: 30 to 42 g/L (90 %). "."""
    return "" if after.is_exact else f"After: {ends(after, kind, display, unit)} (90 % sure). "


def _acidity_row(mead: Mead, display: Display) -> Iterator[Change]:
    before, after = mead.ph_before, mead.ph
    if before is None or after is None:
        return
    places, about = (2, "") if mead.ph_measured else (1, "≈")
    change = signed(display.number(after.typical - before.typical, places))
    ranges = f"Before {ph_text(before, display)}, after {ph_text(after, display)}: an estimate. Measure it after a day."
    yield Change("pH", "", f"{about}{display.number(before.typical, places)}", f"{about}{display.number(after.typical, places)}",
                 change, "", ranges, "ph")  # fmt: skip


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
    yield Change("Headspace", symbol, before, after, signed(display.number(change, places)), "",
                 "Room left in the vessel above the mead. Below zero it would run over.", "volume")  # fmt: skip


def _row(
    what: str,
    caption: str,
    pair: tuple[Span, Span],
    kind: Kind,
    places: int,
    display: Display,
    hover: str,
    tasted: bool = True,
) -> Change:
    before, after = pair
    si = 1e-3 if kind == Kind.NUMBER else 1.0
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
        change=signed(display.number(difference, places, trim=abs(difference) < 0.5 * 10.0**-places)),
        steps=steps_text(noticed(what, si * before.typical, si * after.typical), display)
        if tasted and what in TASTED
        else "",
        hover=hover,
        what=what,
    )


def _least(what: str, near: float, display: Display) -> str:
    """The least difference of sweetness or acid that is noticed near a value. [kg/m^3]"""
    least, share = (SWEETNESS_STEP, SHARE) if what == "sweetness" else (ACID_STEP, ACID_SHARE)
    return f"{display.number(max(least, share * near), 1)} g/L"


def _step(size: str, display: Display) -> str:
    return f"A step, the least that tasters notice, is about {size.replace('.', display.locale.decimalPoint())}."


def cold_body(mead: Mead, temperature: float) -> float:
    """By how much thicker the mead is at a temperature than at 20 °C. [-]"""
    liquid = mead.mixed.member(0)
    return float(viscosity(liquid, temperature) / viscosity(liquid, REFERENCE_TEMPERATURE))
