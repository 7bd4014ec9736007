"""What was expected of a batch and what came, line by line, and what of that the next batch takes over."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import NamedTuple

import msgspec
import numpy as np

from planner.adjusting.mead import ALCOHOL_ERROR
from planner.comparing.as_made import as_planned
from planner.comparing.pace import expected_half, half, has_stopped, stopped_on
from planner.comparing.vigour import with_vigour
from planner.document import edits
from planner.document.batch import Batch
from planner.document.bottled import bottled
from planner.document.next_batch import next_batch
from planner.document.shelf import shelf_of
from planner.document.tasting import last_mark
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.liquid import gravity
from planner.model.random_scores import MEMBERS
from planner.model.span import Span
from planner.model.sweetness import STEP as SWEETNESS_STEP
from planner.model.viscosity import STEP as BODY_STEP
from planner.recipe.must import MEASURED_GRAVITY_ERROR, juice, press_yield
from planner.recipe.vessels import losing
from planner.reference.catalogue import Catalogue
from planner.tasting.sheet import FITS, LINES
from planner.timeline.actual_recipe import measured_warmth
from planner.timeline.logged_acidity import TITRATION_DOUBT
from planner.timeline.verdict_rule import STALLED
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

YIELD_ERROR = 0.02
"""Doubt about a measured share of juice. [kg/kg] Estimate: what sticks to press and cloth."""

VOLUME_ERROR = 0.02
"""Doubt about a measured volume of mead, as a share of it. [-] Estimate: a marked vessel, or counted bottles."""

WARMTH_ERROR = 0.5
"""Doubt about the mean of measured temperatures of a must. [K] Estimate: a thermometer at home, at one place of the must."""

PH_ERROR = 0.1
"""Doubt about a measured pH. [-] Estimate: a pen for home use."""

WARMTH_STEP = 0.5
"""To which temperatures are taken over. [K] No room is kept more finely."""


class Carry(msgspec.Struct, frozen=True):
    """What the next batch takes over.

    Attributes
    ----------
    told : Words
        What it is, as an offer.
    into : callable
        Gives the next batch with it.
    """

    told: Words
    into: Callable[[Batch], Batch]


class Lesson(msgspec.Struct, frozen=True):
    """One line of what was expected and what came.

    Attributes
    ----------
    key, name : str
        What it is of.
    kind : str
        What its figures are: one of the keys of `figures.TELLERS`.
    expected, came : Span or None
        In SI; None where nothing was expected, or measured.
    step : float
        Least difference that counts. [as its figures]
    told : Words
        What that means, and what to do.
    carry : Carry or None
        What of it the next batch may take over.
    """

    key: str
    name: str
    kind: str
    expected: Span | None
    came: Span | None
    step: float
    told: Words
    carry: Carry | None = None

    @property
    def off(self) -> int:
        """1 where more came than was expected, -1 where less did, 0 where it lies within the doubt of both. [-]"""
        return 0 if self.expected is None or self.came is None else off(self.expected, self.came, self.step)


def off(expected: Span, came: Span, step: float) -> int:
    """Whether two uncertain numbers differ by more than their doubts and by more than a step.

    Parameters
    ----------
    expected, came : Span
        Two numbers. [any]
    step : float
        Least difference that counts. [as they]

    Returns
    -------
    int
        1 where the second is larger, -1 where it is smaller, 0 where they agree. [-]

    Examples
    --------
    >>> off(Span(1.08, 1.09, 1.10), Span.exactly(1.12), 0.002), off(Span(1.08, 1.09, 1.10), Span.exactly(1.095), 0.002)
    (1, 0)
    """
    gap = came.typical - expected.typical
    sides = (expected.high - expected.typical, came.typical - came.low)
    if gap < 0.0:
        sides = (expected.typical - expected.low, came.high - came.typical)
    return 0 if abs(gap) <= max(math.hypot(*sides), step) else 1 if gap > 0.0 else -1


def lessons(outcome: Outcome, catalogue: Catalogue, members: int = MEMBERS) -> tuple[Lesson, ...]:
    """What was expected of a batch and what came.

    Parameters
    ----------
    members : int
        Of the ensemble on which the expectation rests. [-]

    Returns
    -------
    tuple of Lesson
        From the fruit to the glass; none where nothing ferments. [as their fields]
    """
    planned = evaluate(as_planned(outcome.batch), catalogue, members, to_draw=False)
    if planned.must is None or planned.finish is None or planned.curve is None or outcome.finish is None:
        return ()
    shelf = shelf_of(outcome.batch, catalogue)
    return (
        *_of_fruit(outcome, shelf, members),
        _start(outcome, planned),
        *_warmth(outcome, planned),
        _pace(outcome, planned, catalogue),
        _days(outcome, planned),
        _finish(outcome, planned),
        _strength(outcome, planned),
        _losses(outcome),
        _acid(outcome, planned),
        _ph(outcome, planned),
        *_taste(outcome),
    )


def taken_over(batch: Batch, chosen: Iterable[Carry]) -> Batch:
    """The next batch, with what was chosen to be taken over."""
    following = next_batch(batch)
    for one in chosen:
        following = one.into(following)
    return following


def _about(value: float, error: float) -> Span:
    return Span(value - error, value, value + error)


_EARLY = say("The ferment has not stopped yet.")


def _told(expected: Span, came: Span | None, step: float, missing: str, more: str, less: str, same: str) -> Words:
    """One of four sentences."""
    if came is None:
        return say(missing)
    return say({1: more, -1: less, 0: same}[off(expected, came, step)])


# --- the must


def _of_fruit(outcome: Outcome, shelf: Catalogue, members: int) -> Iterator[Lesson]:
    """What was measured of the fruit, beside the table."""
    recipe = outcome.batch.recipe
    for place, line in enumerate(recipe.fruits):
        row = shelf.fruit(line.key)
        name = in_a_sentence(row.name)
        if line.press_yield is not None and not line.as_juice:
            usual, came = press_yield(row, recipe.preparation), _about(line.press_yield, YIELD_ERROR)
            told = _told(usual, came, YIELD_ERROR, "", "Your press gave more juice than most do.",
                         "Your press gave less juice than most do. Enzyme, freezing or a longer soak gives more.",
                         "Your press gave what is usual.")  # fmt: skip
            told = say(f"{told.template} The next recipe keeps your figure.")
            yield Lesson(f"yield_{place}", f"Juice of the {name}", "share", usual, came, 0.0, told)
        if line.juice_gravity is not None:
            table = msgspec.structs.replace(line, juice_gravity=None)
            usual = Span.of(gravity(juice(table, row, recipe.preparation, members)[0]))
            came = _about(line.juice_gravity, MEASURED_GRAVITY_ERROR)
            told = _told(usual, came, 0.002, "", "This fruit was sweeter than most.", "This fruit was less sweet than most.",
                         "This fruit was as sweet as most.")  # fmt: skip
            told = say(f"{told.template} Measure the next harvest, too.")
            carry = Carry(say(f"Forget the gravity of this harvest’s {name} juice"), partial(_unmeasured, line.key))
            yield Lesson(f"juice_{place}", f"Gravity of the {name} juice", "gravity", usual, came, 0.002, told, carry)


def _unmeasured(key: str, batch: Batch) -> Batch:
    for place, line in enumerate(batch.recipe.fruits):
        if line.key == key:
            batch = edits.change_line(batch, "fruits", place, juice_gravity=None)
    return batch


def _start(outcome: Outcome, planned: Outcome) -> Lesson:
    assert planned.must is not None
    read = outcome.starting_gravity
    came = None if read is None else _about(read, MEASURED_GRAVITY_ERROR)
    told = _told(
        planned.must.first, came, 0.002,
        "No starting gravity is in the log. Read the next must before you pitch.",
        "It started higher than the recipe says. The fruit was sweeter, or honey and water were not as weighed.",
        "It started lower than the recipe says. The fruit was less sweet, or honey lay undissolved below.",
        "It started as the recipe says.",
    )  # fmt: skip
    return Lesson("start", "Starting gravity", "gravity", planned.must.first, came, 0.002, told)


def _warmth(outcome: Outcome, planned: Outcome) -> Iterator[Lesson]:
    assert planned.curve is not None
    after = outcome.posterior
    until = math.inf if after is None else after.finish_day.typical
    read = [
        (day, kelvin) for day, kelvin in measured_warmth(outcome.log, outcome.batch.log.hydrometer.calibration)
        if day <= until
    ]  # fmt: skip
    if not read:
        return
    days, warmth = np.array(read).T
    expected = Span.exactly(float(np.mean(np.interp(days, planned.curve.days, planned.curve.temperature))))
    came = _about(float(np.mean(warmth)), WARMTH_ERROR)
    told = _told(expected, came, 2.0 * WARMTH_STEP, "", "The must was warmer than planned.", "The must was colder than planned.",
                 "The must was as warm as planned.")  # fmt: skip
    shift = round((came.typical - expected.typical) / WARMTH_STEP) * WARMTH_STEP
    carry = None
    if off(expected, came, 2.0 * WARMTH_STEP) and not outcome.batch.recipe.in_room and not _stalled(outcome):
        carry = Carry(
            say("Plan for a must of {} on average", phrases.temperature(expected.typical + shift)),
            partial(_shifted, shift),
        )
    yield Lesson("temperature", "Temperature", "temperature", expected, came, 2.0 * WARMTH_STEP, told, carry)


def _shifted(kelvin: float, batch: Batch) -> Batch:
    for place, step in enumerate(batch.recipe.temperatures):
        batch = edits.change_line(batch, "temperatures", place, temperature=step.temperature + kelvin)
    return batch


# --- the ferment


def _pace(outcome: Outcome, planned: Outcome, catalogue: Catalogue) -> Lesson:
    usual, came = expected_half(planned) or Span.exactly(0.0), half(outcome)
    told = _told(
        usual, came, 0.5,
        "The log does not show yet when half of the fall was done.",
        "Half of the expected fall took longer.",
        "Half of the expected fall was done sooner.",
        "The pace was as expected.",
    )  # fmt: skip
    learnt = None if came is None or _stalled(outcome) else with_vigour(outcome, came, catalogue)
    carry = None
    if learnt is not None:
        row, share, into = learnt
        name = in_a_sentence(row)
        word = "quicker" if share > 1.0 else "slower"
        carry = Carry(say(f"Expect the {name} to be {{}} {word}", phrases.share(abs(share - 1.0))), into)
        told = say(
            f"{told.template} A part of this comes from the yeast, the rest from this must.",
            *told.figures,
        )
    return Lesson("pace", "Half of the fall", "day", usual, came, 0.5, told, carry)


def _stalled(outcome: Outcome) -> bool:
    return outcome.verdict is not None and outcome.verdict.kind == STALLED


def _days(outcome: Outcome, planned: Outcome) -> Lesson:
    assert planned.finish is not None
    came = stopped_on(outcome)
    told = _EARLY if came is None else say("It stalled before it was dry.") if _stalled(outcome) else _told(
        planned.finish.day, came, 1.0, "",
        "It fermented longer than expected.", "It stopped sooner than expected.", "It stopped when it was expected to.",
    )  # fmt: skip
    return Lesson("days", "Stopped", "day", planned.finish.day, came, 1.0, told)


def _finish(outcome: Outcome, planned: Outcome) -> Lesson:
    assert planned.finish is not None
    after = outcome.posterior
    came = after.finish_gravity if after is not None and after.now is not None and has_stopped(outcome) else None
    told = _EARLY if came is None else _told(
        planned.finish.gravity, came, 0.002, "",
        "It stopped higher than expected. Sugar is left, or the must holds more that yeast does not take.",
        "It stopped lower than expected. The yeast took more, or less body came with the fruit.",
        "It stopped where it was expected to.",
    )  # fmt: skip
    return Lesson("finish", "Finishing gravity", "gravity", planned.finish.gravity, came, 0.002, told)


def _strength(outcome: Outcome, planned: Outcome) -> Lesson:
    assert planned.finish is not None
    own = outcome.batch.adjustment.alcohol
    came = None
    if own is not None:
        came = _about(own, ALCOHOL_ERROR)
    elif outcome.so_far is not None and has_stopped(outcome):
        came = outcome.so_far.alcohol
    told = _EARLY if came is None else _told(
        planned.finish.alcohol, came, 0.003, "",
        "It is stronger than expected.", "It is weaker than expected.", "It is as strong as expected.",
    )  # fmt: skip
    return Lesson("strength", "Strength", "alcohol", planned.finish.alcohol, came, 0.003, told)


# --- what is left of it, and how it tastes


class Lost(NamedTuple):
    """Share that should be left up to where the volume was known last, and share that stayed behind; None where it is not known."""

    kept: float  # [m^3/m^3]
    came: Span | None  # [m^3/m^3]


def lost(outcome: Outcome) -> Lost:
    """What of the mead stayed behind, of a batch that ferments."""
    batch, finish, mead = outcome.batch, outcome.finish, outcome.mead
    assert finish is not None
    end, adjustment, losses = bottled(batch), batch.adjustment, batch.recipe.losses
    racked = (1.0 - losses.lees) * (1.0 - losses.racking) ** (losses.rackings - 1)
    kept, left = racked * (1.0 - losses.bottling), None
    full = None if end is None or not end.lots else [size for _, size in end.lots]
    if end is not None and full and all(size is not None for size in full):
        more = 0.0 if mead is None else sum(effect.volume for effect in mead.effects)
        left = sum(number * (size or 0.0) for number, size in end.lots) + adjustment.drunk - more
    elif adjustment.volume is not None:
        kept, left = racked, adjustment.volume
    if left is None:
        return Lost(kept, None)
    low, middle, high = (1.0 - left / (room * factor) for room, factor in zip(
        finish.volume, (1.0 - VOLUME_ERROR, 1.0, 1.0 + VOLUME_ERROR), strict=True
    ))  # fmt: skip
    return Lost(kept, Span(low, middle, high))


def _losses(outcome: Outcome) -> Lesson:
    kept, came = lost(outcome)
    expected, carry = Span.exactly(1.0 - kept), None
    if came is not None:
        middle = came.typical
        if 0.0 < middle < 1.0 and kept < 1.0 and off(expected, came, VOLUME_ERROR):
            carry = Carry(
                say("Count on losing {} in all, in the proportions of the recipe", phrases.share(middle)),
                partial(_losing, math.log(1.0 - middle) / math.log(kept)),
            )
    told = _told(
        expected, came, VOLUME_ERROR,
        "The volume is not known. Enter it in the adjustment, or log how many bottles of which size.",
        "More stayed behind than the recipe counts on.", "Less stayed behind than the recipe counts on.",
        "As much stayed behind as the recipe counts on.",
    )  # fmt: skip
    return Lesson("losses", "Lost up to the bottle", "share", expected, came, VOLUME_ERROR, told, carry)


def _losing(power: float, batch: Batch) -> Batch:
    now = losing(batch.recipe.losses, power)
    return edits.change_losses(batch, lees=now.lees, racking=now.racking, bottling=now.bottling)


def _acid(outcome: Outcome, planned: Outcome) -> Lesson:
    assert planned.finish is not None
    read, known = outcome.batch.adjustment.acid, None if outcome.mead is None else outcome.mead.known
    came = None if read is None else _about(read, TITRATION_DOUBT)
    if came is None and known is not None and known.acid_from_log and outcome.mead is not None:
        came = outcome.mead.before.acid
    told = _told(
        planned.finish.acid, came, TITRATION_DOUBT,
        "No titration of the mead is in the log.",
        "It is sharper than expected, because the fruit was.", "It is less sharp than expected, because the fruit was.",
        "It is as sharp as expected.",
    )  # fmt: skip
    return Lesson("acid", "Acid", "concentration", planned.finish.acid, came, TITRATION_DOUBT, told)


def _ph(outcome: Outcome, planned: Outcome) -> Lesson:
    usual = None if planned.mead is None else planned.mead.ph_before
    read, known = outcome.batch.adjustment.ph, None if outcome.mead is None else outcome.mead.known
    came = None if read is None else _about(read, PH_ERROR)
    if came is None and known is not None and known.ph_from_log:
        came = known.ph
    missing = "No pH of the mead is in the log."
    told = say(missing) if usual is None else _told(
        usual, came, PH_ERROR, missing,
        "The pH is higher than expected. Sulphite protects less at a high pH.", "The pH is lower than expected.",
        "The pH is what was expected.",
    )  # fmt: skip
    return Lesson("ph", "pH", "ph", usual, came, PH_ERROR, told)


def _taste(outcome: Outcome) -> Iterator[Lesson]:
    """What you wanted, beside the mead with all that was added."""
    wish, mead = outcome.batch.recipe.wish, outcome.mead
    if mead is None:
        return
    for key, name, kind, wanted, came, step in (
        ("sweetness", "Sweetness", "concentration", wish.sweetness, mead.after.sweetness, SWEETNESS_STEP),
        ("body", "Body", "viscosity", wish.body, mead.after.viscosity, BODY_STEP),
    ):
        if wanted is None:
            continue
        found = came if has_stopped(outcome) else None
        expected = Span.exactly(wanted)
        more, less = ("sweeter", "less sweet") if key == "sweetness" else ("thicker", "thinner")
        told = _EARLY if found is None else _told(
            expected, found, step, "", f"It is {more} than you wanted.", f"It is {less} than you wanted.",
            "A taster would not notice a difference from your target.",
        )  # fmt: skip
        yield Lesson(key, name, kind, expected, found, step, told)
    for key in ("sweet", "sour", "body", "warming"):
        marks = (one.mark(key) for one in reversed(outcome.batch.tastings))
        fit = next((mark.fit for mark in marks if mark is not None and mark.fit is not None), None)
        if fit is not None:
            told = say(f"Your last sheet says {FITS[fit]}." + (f" {_TURN[key][fit > 0]}" if fit else ""))
            mark = last_mark(outcome.batch.tastings, key)
            tasted = None if mark is None else Span.exactly(mark)
            yield Lesson(f"tasted_{key}", f"{LINES[key].name}, tasted", "score", None, tasted, 0.0, told)


_TURN = {
    "sweet": ("Plan more sweetness under Targets.", "Plan less sweetness under Targets."),
    "sour": ("Plan more acid under Targets.", "Plan less acid under Targets."),
    "body": ("Plan more body under Targets.", "Plan less body under Targets."),
    "warming": ("Plan more strength under Targets.", "Plan less strength under Targets."),
}
"""What to do about too little and too much."""
