"""How fast the science is: an edit with its band, one curve, a log weighed; beside a general-purpose solver of the same rates.

The solver is scipy's LSODA, as one would use it for this: concentrations, `rates` as it stands, piece by piece between
the acts, with the tolerances of the planner's own stepping. Of 500 or 1,000 solves some are timed, evenly spread over the
members, and counted for the rest. `one_curve_floats` gives the solver the rates in plain floats, too, which for four numbers are
many times as fast: what is left then is the stepping itself.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache, partial
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt
from matplotlib.backends.backend_agg import RendererAgg
from PySide6.QtWidgets import QApplication
from scipy.integrate import solve_ivp

from planner.document.batch import Batch, HydrometerReading
from planner.document.codec import decode
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.fermentation import fermented
from planner.model.kinetics import ACTIVE_PER_DRY, Culture, Pace, awake, lag_of, law, pace
from planner.model.liquid import Liquid, gravity, volume
from planner.model.maths import FLOATS
from planner.model.random_scores import MEMBERS
from planner.model.simulate import ABSOLUTE_ERROR, RELATIVE_ERROR, temperature_at
from planner.recipe.must import must
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.timeline import course, posterior
from planner.timeline.course import LONGEST, TAIL, planned
from planner.ui import theme
from planner.ui.curve.canvas import CurveCanvas
from planner.ui.curve.plot_data import scene_of
from planner.ui.display import Display
from tests.benchmarks.measuring import Row, paired, timed
from tests.rates import rates

Array = npt.NDArray[np.float64]

SHELF = catalogue()
BAND = 500
TIMED = 25
"""Solves of the reference that are timed."""


class Pieces(NamedTuple):
    """What a solver needs to know of one member of a planned ferment, in floats."""

    start: tuple[float, float, float, float]
    culture: Culture
    lag: float
    acts: list[float]
    temperatures: list[float]  # from each act on, with what the member is warmer
    fed: list[float]  # nitrogen at each act


def sample(name: str) -> Batch:
    """A sample that comes with the program."""
    return decode((samples() / f"{name}.meadbatch").read_bytes())


def pieces(batch: Batch, members: int) -> list[Pieces]:
    """Every member of the ferment that a recipe plans, its feeds on the days on which the typical member gets them."""
    plan = planned(batch.recipe, must(batch, SHELF, members), SHELF)
    days = plan.fermented(plan.doses, LONGEST + TAIL, alone=True).given
    inputs = plan.inputs()
    acts = sorted({0.0, *(day for day, _ in plan.steps), *(day for day in days if day is not None)})
    found = []
    for i in range(members + 1):
        culture = Culture(*(float(value[i]) for value in inputs.culture))
        warmer = float(inputs.warmer[i])
        found.append(
            Pieces(
                start=(
                    float(inputs.glucose[i]),
                    float(inputs.fructose[i]),
                    float(inputs.nitrogen[i]),
                    culture.pitch * ACTIVE_PER_DRY,
                ),
                culture=culture,
                lag=float(lag_of(plan.steps[0][1] + warmer, culture)),
                acts=acts,
                temperatures=[float(temperature_at(plan.steps, act)) + warmer for act in acts],
                fed=[
                    sum(float(dose.nitrogen[i]) for dose, day in zip(plan.doses, days, strict=True) if day == act)
                    for act in acts
                ],
            )
        )
    return found


def _rates(of: Pieces, now: Pace) -> Callable[[float, Array], Array]:
    started = np.array([of.start[0] + of.start[1]])
    return lambda day, state: rates(state[:, None], started, awake(day, of.lag), now, of.culture)[:, 0]


def _rates_in_floats(of: Pieces, now: Pace) -> Callable[[float, Array], Any]:
    started = of.start[0] + of.start[1]

    def slope(day: float, state: Array) -> list[float]:
        parts = [max(part, 0.0) for part in state.tolist()]
        change = law(started, now, of.culture, FLOATS)(*parts, awake(day, of.lag, FLOATS))
        return [part * rate for part, rate in zip(parts, change, strict=True)]

    return slope


def solved(
    of: Pieces,
    days: Array,
    method: str = "LSODA",
    relative: float = RELATIVE_ERROR,
    tighter: float = 1.0,
    in_floats: bool = False,
) -> Array:
    """Glucose and fructose on some days by a general-purpose solver, shape (2, n)."""
    state = list(of.start)
    absolute = [error / tighter for error in ABSOLUTE_ERROR[:4]]
    rows = []
    for start, stop, kelvin, fed in zip(of.acts, [*of.acts[1:], float(days[-1])], of.temperatures, of.fed, strict=True):
        state[2] += fed
        now = pace(kelvin, of.culture, FLOATS)

        slope = (_rates_in_floats if in_floats else _rates)(of, now)
        moments = days[(days >= start) & (days < stop)]
        found = solve_ivp(slope, (start, stop), state, method, [*moments, stop], rtol=relative, atol=absolute)
        rows.append(found.y[:2, : len(moments)])
        state = found.y[:, -1].tolist()
    return np.concatenate([*rows, np.array(state)[:2, None]], axis=1)


# --- an edit with its band


@cache
def _canvas() -> CurveCanvas:
    global _application  # noqa: PLW0603 - the one application has to outlive its widgets
    _application = QApplication.instance() or QApplication([])
    canvas = CurveCanvas(Display(), theme.LIGHT)
    canvas.resize(760, 440)
    canvas.show()
    return canvas


_application: Any = None


def edited() -> Callable[[], Batch]:
    """A sample, each time with another mass of honey, as when a number is dragged."""
    batch = sample("quince-planned")
    line = batch.recipe.honeys[0]
    masses = itertools.cycle(line.mass * (1.0 + 0.002 * step) for step in range(-20, 21))

    def after() -> Batch:
        honeys = (msgspec.structs.replace(line, mass=next(masses)), *batch.recipe.honeys[1:])
        return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, honeys=honeys))

    return after


def on_canvas(outcome: Outcome) -> None:
    """What the curve does with an outcome, until it is drawn."""
    canvas = _canvas()
    canvas.show_scene(scene_of(outcome, str))
    canvas.draw()


def with_band() -> Callable[[], None]:
    """From an edit to the curve with its band on the canvas."""
    edit = edited()
    return lambda: on_canvas(evaluate(edit(), SHELF, BAND))


def full_draw() -> Callable[[], None]:
    """The same figure drawn whole by matplotlib."""
    on_canvas(evaluate(sample("quince-planned"), SHELF, BAND))
    canvas = _canvas()
    width, height = canvas.get_width_height(physical=True)
    return lambda: canvas.figure.draw(RendererAgg(width, height, canvas.figure.dpi))


def solves(batch: Batch, members: int) -> Callable[[], None]:
    """Single solves of members that are evenly spread over an ensemble."""
    every = pieces(batch, members)[1 :: members // TIMED][:TIMED]
    curve = evaluate(batch, SHELF, 0).curve
    assert curve is not None

    def run() -> None:
        for one in every:
            solved(one, curve.days)

    return run


def edit_band() -> Row:
    """The band against as many single solves."""
    ratios = paired(with_band(), solves(sample("quince-planned"), BAND))
    what = f"an edit → the curve with a band of {BAND} on the canvas"
    reference = f"{BAND} single LSODA solves ({TIMED} timed)"
    return Row("edit_band", what, reference, tuple(ratio * TIMED / BAND for ratio in ratios), 0.01)


def edit_band_draws() -> Row:
    """The band against full draws."""
    return Row(
        "edit_band_draws", "the same", "matplotlib's full draw of the figure", paired(with_band(), full_draw()), 3.0
    )


# --- one curve

STATED = 1e-4
"""Error of gravity that a single curve may have."""


def curve_of(found: Array, batch: Batch) -> Array:
    """Gravities from glucose and fructose per volume of must."""
    liquid = must(batch, SHELF, 0).liquid
    room = volume(liquid)
    by_day = Liquid(liquid.masses[:, None, :])
    return gravity(fermented(by_day, found[0][:, None] * room, found[1][:, None] * room))[:, 0]


def one_curve() -> Row:
    """One curve, whose error is measured against a solve that is far tighter."""
    return _one_curve("one_curve", False)


def one_curve_floats() -> Row:
    """The same beside a solver with the rates in plain floats."""
    return _one_curve("one_curve_floats", True)


def _one_curve(key: str, in_floats: bool) -> Row:
    batch = sample("quince-planned")
    curve = evaluate(batch, SHELF, 0).curve
    assert curve is not None
    days, member = curve.days, pieces(batch, 0)[0]
    plan = planned(batch.recipe, must(batch, SHELF, 0), SHELF)

    def ours() -> Array:
        course = plan.fermented(plan.doses, float(days[-1])).course(days)
        return np.stack((course.glucose[:, 0], course.fructose[:, 0]))

    def theirs(relative: float) -> Array:
        return solved(member, days, "LSODA", relative, RELATIVE_ERROR / relative, in_floats)

    truth = curve_of(solved(member, days, "Radau", 1e-11, 1e8, in_floats=True), batch)

    def off(found: Array) -> float:
        return float(np.max(np.abs(curve_of(found, batch) - truth)))

    error = off(ours())
    if not error <= STATED:
        raise AssertionError(f"The curve is off by {error:.1e} of gravity; stated is {STATED:.0e}.")
    same = next((float(rtol) for rtol in 10.0 ** np.arange(-2.0, -9.0, -0.5) if off(theirs(rtol)) <= error), 1e-9)
    return Row(
        key,
        f"one curve, off by {error:.0e} of gravity",
        f"one LSODA solve{', its rates in plain floats,' if in_floats else ''} as near at a tolerance of {same:.0e}",
        paired(ours, partial(theirs, same), 51),
        0.5,
    )


# --- a log weighed


def logged(readings: int) -> Batch:
    """A sample with gravities read from its own expected course, each off by half a line of the hydrometer or so."""
    batch = sample("quince-planned")
    curve = evaluate(batch, SHELF, 0).curve
    assert curve is not None
    days = np.linspace(0.0, 0.8 * curve.days[-1], readings)
    noise = np.random.default_rng(3).normal(0.0, 0.0005, readings)
    gravities = np.interp(days, curve.days, curve.gravity) + noise
    rows = tuple(
        HydrometerReading(day=round(float(day), 4), gravity=round(float(shown), 4), temperature=293.15)
        for day, shown in zip(days, gravities, strict=True)
    )
    return msgspec.structs.replace(batch, log=msgspec.structs.replace(batch.log, readings=rows))


def condition() -> Row:
    """Sixty readings weighed, with band and verdict."""
    batch = logged(60)

    def ours() -> None:
        forget()
        outcome = evaluate(batch, SHELF, MEMBERS)
        assert outcome.verdict is not None

    ratios = paired(ours, solves(sample("quince-planned"), MEMBERS))
    what = "60 readings weighed, with band and verdict"
    reference = f"1,000 single LSODA solves ({TIMED} timed)"
    return Row("condition", what, reference, tuple(ratio * TIMED / 1000.0 for ratio in ratios), 0.05)


def forget() -> None:
    """What is kept of earlier answers goes, so that the next begins from the pitching."""
    posterior._last_weighed = None
    course._last_asked.clear()


def verdict_step(rounds: int = 21) -> Row:
    """The sixtieth reading appended to a log that was answered before, beside that log answered from its beginning."""
    whole, ratios = logged(60), []
    readings = whole.log.readings
    for turn in range(rounds + 3):
        last = readings[-1]
        assert isinstance(last, HydrometerReading)
        # Each time another reading, so that no round has the answer of the one before.
        other = msgspec.structs.replace(last, gravity=round(last.gravity + 1e-4 * (turn + 1), 4))
        before, after = (
            msgspec.structs.replace(whole, log=msgspec.structs.replace(whole.log, readings=some))
            for some in (readings[:-1], (*readings[:-1], other))
        )
        forget()
        evaluate(before, SHELF, MEMBERS)
        ours = timed(partial(evaluate, after, SHELF, MEMBERS))
        forget()
        ratios.append(ours / timed(partial(evaluate, after, SHELF, MEMBERS)))
    what = "a reading appended to a log of sixty, to the whole answer"
    return Row("verdict_step", what, "the answer from the beginning", tuple(ratios[3:]), 0.3)


ROWS = {
    "verdict_step": verdict_step,
    "edit_band": edit_band,
    "edit_band_draws": edit_band_draws,
    "one_curve": one_curve,
    "one_curve_floats": one_curve_floats,
    "condition": condition,
}
