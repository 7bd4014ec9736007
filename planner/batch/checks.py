"""What is doubtful about a batch, found by comparing it with the limits of the yeast, the vessel, the model and the law."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from planner.batch import words
from planner.batch.batch import Batch, Event, HydrometerReading, SensorReading, What
from planner.batch.ferment.course import UNPLANNED, Expected
from planner.batch.ferment.readings import Logged
from planner.batch.findings import Finding, error, note, warning
from planner.batch.headline import REST_FALL
from planner.batch.moments import parsed
from planner.batch.recipe.preparation import solids
from planner.batch.recipe.rules import rule_findings
from planner.batch.recipe.vessels import CAP_ROOM, FOAM_ROOM
from planner.batch.results import MustOutcome
from planner.model.constants import ETHANOL_DENSITY
from planner.model.kinetics import NORMAL_PITCH, VALID_SUGAR, VALID_TEMPERATURE
from planner.model.liquid import alcohol, concentration
from planner.reference.catalogue import Catalogue, UnknownIngredient
from planner.reference.own_rows import impossible

PITCH_RANGE = (0.4, 4.0)
"""Multiples of the usual pitch outside which it is worth a word. [-] Common practice, no source."""

CLOCKS_DIFFER = timedelta(hours=1)
"""A reading this much ahead of the clock may still be of now."""

FAR_OFF = 0.030
"""Jump between a reading and both its neighbours that looks like a slip of the pen. [-] Estimate."""


def unknown_keys(batch: Batch, catalogue: Catalogue) -> tuple[Finding, ...]:
    """Ingredients that the shelf does not hold, each with its place.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    tuple of Finding
        Errors; empty when all is known.
    """
    recipe = batch.recipe
    asked = [
        *((f"recipe.fruits.{i}", catalogue.fruit, line.key) for i, line in enumerate(recipe.fruits)),
        *((f"recipe.honeys.{i}", catalogue.honey, line.key) for i, line in enumerate(recipe.honeys)),
        *((f"recipe.feeds.{i}", catalogue.nutrient, feed.key) for i, feed in enumerate(recipe.feeds)),
        ("recipe.yeast", catalogue.yeast, recipe.yeast.key),
        *_keys_of_events(batch, catalogue),
        *((f"adjustment.additions.{i}", catalogue.additive, a.key) for i, a in enumerate(batch.adjustment.additions)),
    ]
    found = []
    for place, lookup, key in asked:
        try:
            lookup(key)
        except UnknownIngredient as failure:
            found.append(error(place, str(failure).replace("{", "(").replace("}", ")")))
    reasons = impossible(catalogue, batch.own) if found else ()
    return (*found, *(error("recipe", why.replace("{", "(").replace("}", ")")) for why in reasons))


def _keys_of_events(batch: Batch, catalogue: Catalogue) -> Iterator[tuple[str, Callable[[str], object], str]]:
    """Nutrients that the log says were given. What a dose was made of changes nothing that is worked out."""
    for index, entry in enumerate(batch.log.readings):
        if isinstance(entry, Event) and entry.what is What.FEED and entry.key:
            yield f"log.readings.{index}", catalogue.nutrient, entry.key


def recipe_findings(
    batch: Batch, catalogue: Catalogue, must: MustOutcome | None, ahead: Expected | None
) -> tuple[Finding, ...]:
    """Doubts about the recipe.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    catalogue : Catalogue
        The shelf, holding every key of the batch. [-]
    must : MustOutcome or None
        The must. [as its fields]
    ahead : Expected or None
        Its course. [as its fields]
    """
    if must is None:
        return (note("recipe", "Enter fruit, honey or water to see the must."),)
    found = [
        *_temperatures(batch, catalogue),
        *_vessel(batch, catalogue, must),
        *_pitch(batch, must),
        *_cautions(batch, catalogue),
        *rule_findings(batch, catalogue, None if ahead is None else float(alcohol(ahead.finished.member(0)))),
    ]
    if ahead is None:
        return (*found, warning("recipe", "There is no sugar in this must, so nothing will ferment."))
    return (*found, *_strength(batch, catalogue, must, ahead), *_nitrogen(batch, catalogue, must))


def _temperatures(batch: Batch, catalogue: Catalogue) -> Iterator[Finding]:
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    for index, step in enumerate(batch.recipe.temperatures):
        place, shown = f"recipe.temperatures.{index}", words.temperature(step.temperature)
        if step.temperature < yeast.t_low:
            yield warning(place, "{} is below this yeast's range, which begins at {}: it may not start, or stall.",
                          shown, words.temperature(yeast.t_low))  # fmt: skip
        elif step.temperature > yeast.t_high:
            yield warning(place, "{} is above this yeast's range, which ends at {}: it may stop early and taste of it.",
                          shown, words.temperature(yeast.t_high))  # fmt: skip
        if not VALID_TEMPERATURE[0] <= step.temperature <= VALID_TEMPERATURE[1]:
            yield note(place, "The curve is extrapolated: its model was measured from {} to {}.",
                       *(words.temperature(t) for t in VALID_TEMPERATURE))  # fmt: skip
    days = [step.day for step in batch.recipe.temperatures]
    if not days:
        yield note("recipe.temperatures", "No temperature is planned: {} is assumed.", words.temperature(UNPLANNED))
    elif days[0] > 0.0 or sorted(days) != days:
        yield note(
            "recipe.temperatures", "Temperatures are taken in the order of their days, the first from pitching on."
        )


def _vessel(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> Iterator[Finding]:
    vessel, whole = batch.recipe.vessel, batch.recipe.preparation.whole
    if vessel is None:
        return
    full = must.volume.typical + (solids(batch, catalogue) if whole else 0.0)
    shown = (words.volume(full), words.volume(vessel))
    what, over = ("must with its fruit", "the cap") if whole else ("must", "foam")
    if full > vessel:
        yield error("recipe.vessel", f"The {what} ({{}}) does not fit into the vessel ({{}}).", *shown)
    elif full > (1.0 - (CAP_ROOM if whole else FOAM_ROOM)) * vessel:
        yield warning("recipe.vessel", f"The {what} ({{}}) leaves little room for {over} in the vessel ({{}}).", *shown)


def _pitch(batch: Batch, must: MustOutcome) -> Iterator[Finding]:
    dose = batch.recipe.yeast.pitch / must.volume.typical
    usual = words.mass(NORMAL_PITCH * must.volume.typical)
    if dose <= 0.0:
        yield error("recipe.yeast", "No yeast is pitched. Usual for this must: about {}.", usual)
    elif dose < PITCH_RANGE[0] * NORMAL_PITCH:
        yield warning("recipe.yeast", "Little yeast for this must: a long lag is likely. Usual: about {}.", usual)
    elif dose > PITCH_RANGE[1] * NORMAL_PITCH:
        yield note("recipe.yeast", "Much yeast for this must. Usual: about {}.", usual)


def _cautions(batch: Batch, catalogue: Catalogue) -> Iterator[Finding]:
    seen: set[str] = set()
    for index, line in enumerate(batch.recipe.fruits):
        for key in catalogue.fruit(line.key).cautions:
            if key not in seen:
                seen.add(key)
                yield note(f"recipe.fruits.{index}", _plain(catalogue.cautions[key].text))
    rows = [(f"recipe.honeys.{i}", catalogue.honey(pot.key).cautions) for i, pot in enumerate(batch.recipe.honeys)]
    for place, keys in (*rows, ("recipe.yeast", catalogue.yeast(batch.recipe.yeast.key).cautions)):
        for key in keys:
            if key not in seen:
                seen.add(key)
                yield note(place, _plain(catalogue.cautions[key].text))
    for index, pot in enumerate(batch.recipe.honeys):
        if pot.moisture is not None and not 0.10 <= pot.moisture <= 0.26:
            yield warning(f"recipe.honeys.{index}", "{} is an unlikely water content for honey; 13 to 23 % is usual.",
                          words.share(pot.moisture))  # fmt: skip
        elif pot.moisture is not None and pot.moisture > 0.20:
            yield note(f"recipe.honeys.{index}", "Honey with more than 20 % water may already ferment ({}).",
                       words.share(pot.moisture))  # fmt: skip


def _strength(batch: Batch, catalogue: Catalogue, must: MustOutcome, ahead: Expected) -> Iterator[Finding]:
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    dry = ahead.dry.member(0)
    possible = float(concentration(dry, "ethanol")) / ETHANOL_DENSITY
    if possible > yeast.tolerance.typical:
        yield warning("recipe.yeast", "Dry, this must would reach {}; this yeast stops near {}. Expect it to stay sweet.",
                      words.alcohol(possible), words.alcohol(yeast.tolerance.typical))  # fmt: skip
    if must.sugar.typical > VALID_SUGAR[1]:
        yield warning("recipe", "{} of sugar is beyond the musts the model was measured on (up to {}): a strong must starts "
                      "slowly and may stick.", words.concentration(must.sugar.typical),
                      words.concentration(VALID_SUGAR[1]))  # fmt: skip
    elif must.sugar.typical < VALID_SUGAR[0]:
        yield note("recipe", "{} of sugar is below the musts the model was measured on (from {}): the days are less certain.",
                   words.concentration(must.sugar.typical), words.concentration(VALID_SUGAR[0]))  # fmt: skip
    for index, feed in enumerate(batch.recipe.feeds):
        if index not in {moment.feed for moment in ahead.feeds}:
            yield warning(f"recipe.feeds.{index}", "This feed never falls due: the ferment does not use {} of its sugar.",
                          words.share(feed.sugar_used or 0.0))  # fmt: skip


def _nitrogen(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> Iterator[Finding]:
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    need = yeast.demand * must.sugar.typical
    given = sum(feed.mass * catalogue.nutrient(feed.key).nitrogen.typical for feed in batch.recipe.feeds)
    have = must.nitrogen.typical + given / must.volume.typical
    if have < 0.75 * need:
        yield warning("recipe.feeds", "The must holds about {} of nitrogen for the yeast, feeds included; this yeast wants "
                      "about {} for so much sugar. Feed it, or expect a slow end.", words.trace(have), words.trace(need))  # fmt: skip
    elif have > 2.0 * need:
        yield note("recipe.feeds", "About {} of nitrogen is more than this yeast takes up ({}); what it leaves feeds others.",
                   words.trace(have), words.trace(need))  # fmt: skip
    for key in sorted({feed.key for feed in batch.recipe.feeds}):
        row = catalogue.nutrient(key)
        dose = sum(feed.mass for feed in batch.recipe.feeds if feed.key == key) / must.volume.typical
        if row.ceiling is not None and dose > row.ceiling:
            yield warning("recipe.feeds", _plain(row.name) + ": {} exceeds the legal ceiling of {}. " + _plain(row.ceiling_note), words.trace(dose), words.trace(row.ceiling))  # fmt: skip


def log_findings(batch: Batch, rows: tuple[Logged, ...], today: datetime | None = None) -> tuple[Finding, ...]:
    """Doubts about the log.

    Parameters
    ----------
    batch : Batch
        The batch. [as its fields]
    rows : tuple of Logged
        Its readings. [as their fields]
    today : datetime or None
        The present moment with its offset, to notice readings from the future; None to leave that. [-]
    """
    return (*_dating(batch, rows, today), *_values(batch, rows), *_jumps(rows), *_doings(batch, rows))


def _dating(batch: Batch, rows: tuple[Logged, ...], today: datetime | None) -> Iterator[Finding]:
    if batch.log.pitched_at and parsed(batch.log.pitched_at) is None:
        yield error(
            "log.pitched_at", "The moment of pitching cannot be read: it needs a date, a time and an offset from UTC."
        )
    for row in rows:
        place = f"log.readings.{row.index}"
        at = batch.log.readings[row.index].at
        if at and parsed(at) is None:
            yield error(
                place, "The moment of this reading cannot be read: it needs a date, a time and an offset from UTC."
            )
        elif row.day is None:
            yield warning(place, "This reading cannot be placed on the curve: enter when the yeast was pitched.")
        elif today is not None and row.moment is not None and row.moment - today > CLOCKS_DIFFER:
            yield warning(place, "This reading lies in the future: check its date.")
        elif row.day < -1.0:
            yield note(place, "This reading was taken {} days before pitching.", words.day(-row.day))


def _values(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Finding]:
    for row in rows:
        reading = batch.log.readings[row.index]
        if isinstance(reading, HydrometerReading | SensorReading) and not 0.97 <= reading.gravity <= 1.25:
            yield warning(f"log.readings.{row.index}", "A gravity of {} is unlikely for a must or mead.",
                          words.gravity(reading.gravity))  # fmt: skip
        if row.temperature is not None and not 273.15 <= row.temperature <= 313.15:
            yield warning(f"log.readings.{row.index}", "{} is outside the range of the temperature correction, {} to {}.",
                          *(words.temperature(t) for t in (row.temperature, 273.15, 313.15)))  # fmt: skip

        if row.ph is not None and not 2.5 <= row.ph <= 5.0:
            yield warning(f"log.readings.{row.index}", "A pH of {} is unlikely for a must or mead.", words.ph(row.ph))
        if not row.fits and row.kind == "weight":
            yield warning(f"log.readings.{row.index}", "More weight is gone than the sugar could give as gas: something else "
                          "left the vessel, or it was weighed otherwise.")  # fmt: skip
        elif not row.fits:
            yield warning(f"log.readings.{row.index}", "This must shows no such °Brix by refractometer at any stage: check the "
                          "reading, or what the must is made of.")  # fmt: skip


def _doings(batch: Batch, rows: tuple[Logged, ...]) -> Iterator[Finding]:
    """What was done to the batch, and what that does to readings."""
    racked = min((row.day for row in rows if row.day is not None and not row.excluded
                  and _is(batch, row, What.RACKING)), default=None)  # fmt: skip
    for row in rows:
        place, entry = f"log.readings.{row.index}", batch.log.readings[row.index]
        if racked is not None and row.counts and row.kind == "weight" and (row.day or 0.0) > racked:
            yield warning(
                place, "Weighed after a racking: what was left behind counts as gas here. Leave this reading out."
            )
        if not isinstance(entry, Event) or row.excluded:
            continue
        if entry.what is What.FEED and (not entry.key or entry.mass is None):
            yield note(place, "This feed takes no part in the curve: say how much of which nutrient.")
        if entry.what is What.TEMPERATURE and entry.temperature is None:
            yield note(place, "This change takes no part in the curve: say to which temperature.")


def _is(batch: Batch, row: Logged, what: What) -> bool:
    entry = batch.log.readings[row.index]
    return isinstance(entry, Event) and entry.what is what


def _jumps(rows: tuple[Logged, ...]) -> Iterator[Finding]:
    counted = sorted((r for r in rows if r.counts and r.kind == "hydrometer"), key=lambda r: r.day or 0.0)
    for before, row, after in zip(counted, counted[1:], counted[2:], strict=False):
        up, down = row.gravity - before.gravity, row.gravity - after.gravity
        if min(up, down) > FAR_OFF or max(up, down) < -FAR_OFF:
            yield warning(f"log.readings.{row.index}", "{} lies far from the readings before and after it. If it was misread, "
                          "exclude it.", words.gravity(row.gravity))  # fmt: skip
    for before, row in itertools.pairwise(counted):
        if REST_FALL * 2.5 < row.gravity - before.gravity <= FAR_OFF:
            yield note(f"log.readings.{row.index}", "Gravity rose since the reading before: stir or degas the sample, or "
                       "check the temperature.")  # fmt: skip


def _plain(text: str) -> str:
    """A text of the tables, safe as a template."""
    return text.replace("{", "(").replace("}", ")")
