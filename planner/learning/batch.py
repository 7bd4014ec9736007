"""What one batch tells: of its yeast by the log, of its fruit by what was measured of juice and must, and of its losses."""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import NormalDist

import msgspec
import numpy as np
import numpy.typing as npt

from planner.comparing.lessons import YIELD_ERROR, lost
from planner.document.batch import Batch, FruitLine, Losses
from planner.document.learnt import Learning, Source, Told, Trait
from planner.document.shelf import shelf_of
from planner.evaluation.carried_out import Led, led
from planner.evaluation.outcome import evaluate
from planner.evaluation.recipe_findings import unknown_keys
from planner.learning.ferment import ferment_tells
from planner.model.liquid import fermentable, gravity, titratable_acid, volume
from planner.model.random_scores import scores
from planner.model.span import Z_90, Span
from planner.model.stepping import PathError
from planner.recipe.acidity import as_measured, must_ph
from planner.recipe.must import MEASURED_GRAVITY_ERROR, Must, juice, must, press_yield, typical
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Yeast
from planner.timeline.fit_log import observations_of, prior_of_recipe
from planner.timeline.logged_acidity import acid_of_must, ph_of_must
from planner.timeline.start_reading import starting_gravity

Array = npt.NDArray[np.float64]

MEMBERS = 60
"""Musts by which a measurement of the whole is shared out among its parts. [-]"""

WORTH = 0.15
"""Least part of the doubt about a must that one fruit makes, for the must to tell anything of that fruit. [-]"""

STRENGTH_ERROR = 0.006
"""Standard deviation of the alcohol at which a ferment stopped, by its gravity. [m^3/m^3] Estimate."""

BLEND_PH = 0.08
"""What the pH of a must leaves open about that of its main fruit. [-] Estimate: honey and water buffer little."""

NORMAL = NormalDist()

OF_THE_MAKER: tuple[Trait, ...] = ("dry_gravity", "scatter")


def told_by(batch: Batch, catalogue: Catalogue) -> tuple[Told, ...]:
    """What a batch tells beside the shelf; nothing where nothing was measured of it, or its science cannot be worked out."""
    bare = msgspec.structs.replace(batch, learning=Learning())
    shelf = shelf_of(bare, catalogue)
    if unknown_keys(bare, shelf) or not bare.log.readings:
        return tuple(_of_yields(bare, shelf))
    start = must(bare, shelf, MEMBERS)
    if not float(fermentable(start.liquid)[0]) > 0.0:
        return ()
    sour = as_measured(typical(start), bare.recipe, shelf, ph_of_must(bare.log), acid_of_must(bare.log))
    try:
        way = led(bare, sour, shelf)
    except PathError:
        return tuple(_of_yields(bare, shelf))
    found = (
        *_of_yields(bare, shelf),
        *_of_must(bare, start, way, shelf),
        *_of_ferment(bare, way, shelf),
        *_of_losses(bare, catalogue),
    )
    return tuple(one for one in found if abs(one.value) <= 3.0 and 0.0 < one.sd <= 3.0)


def source_of(batch: Batch, file: str, catalogue: Catalogue) -> Source:
    """A batch as a source of what is learnt."""
    return Source(name=batch.name, file=file, told=told_by(batch, catalogue))


def _of_yields(batch: Batch, shelf: Catalogue) -> Iterator[Told]:
    recipe = batch.recipe
    for line in recipe.fruits:
        row = shelf.fruits.get(line.key)
        if row is None or line.mass <= 0.0:
            continue
        if line.press_yield is not None and not line.as_juice:
            usual = press_yield(row, recipe.preparation).typical
            yield Told(trait="juice_yield", of=line.key, value=line.press_yield - usual, sd=YIELD_ERROR / Z_90)
        if line.juice_gravity is not None and line.juice_gravity > 1.0 + MEASURED_GRAVITY_ERROR:
            table = msgspec.structs.replace(line, juice_gravity=None)
            usual = float(gravity(juice(table, row, recipe.preparation, 0)[0])[0])
            # What is dissolved is sugar for the most part, and goes with how far the gravity is above that of water.
            value = math.log((line.juice_gravity - 1.0) / (usual - 1.0))
            sd = max(MEASURED_GRAVITY_ERROR / Z_90 / (line.juice_gravity - 1.0), 0.02)
            yield Told(trait="sugar", of=line.key, value=value, sd=sd)


def _of_must(batch: Batch, start: Must, way: Led, shelf: Catalogue) -> Iterator[Told]:
    recipe, free = batch.recipe, start.free()
    read, acid, ph = starting_gravity(way.rows), acid_of_must(batch.log), ph_of_must(batch.log)
    plain = [line for line in recipe.fruits if line.juice_gravity is None and line.mass > 0.0]
    if read is not None:
        for line in plain:
            yield from _shared(
                "sugar", line, gravity(free), read, MEASURED_GRAVITY_ERROR / Z_90, shelf.fruit(line.key).sugar
            )
    if acid is not None:
        for line in recipe.fruits:
            error = 0.5 * (acid.high - acid.low) / Z_90
            yield from _shared("acid", line, titratable_acid(free), acid.typical, error, shelf.fruit(line.key).acid)
    if ph is not None and recipe.fruits:
        sour = [float((titratable_acid(part) * volume(part))[0]) for part in start.juices]
        usual = must_ph(recipe, start, shelf)
        main = int(np.argmax(sour))
        if usual is not None and sour[main] > 0.5 * sum(sour):
            sd = math.hypot(0.5 * (ph.high - ph.low) / Z_90, BLEND_PH)
            yield Told(trait="ph", of=recipe.fruits[main].key, value=ph.typical - usual.typical, sd=sd)


def _shared(trait: Trait, line: FruitLine, members: Array, read: float, error: float, usual: Span) -> Iterator[Told]:
    """What a measurement of the must tells of one fruit: what of the doubt about the must is that fruit's, by regression."""
    score = scores(f"fruit/{line.key}/{trait}", members.size - 1)[1:]
    off = members[1:] - members[1:].mean()
    slope = float(off @ score / (score @ score))
    whole = float(np.mean(off**2))
    if whole <= 0.0 or slope**2 < WORTH * whole or usual.typical <= 0.0 or usual.low <= 0.0:
        return
    per_score = math.log(usual.high / usual.low) / (2.0 * Z_90)
    rest = math.hypot(math.sqrt(max(whole - slope**2, 0.0)), error)
    value = (read - float(members[0])) / slope
    yield Told(trait=trait, of=line.key, value=value * per_score, sd=max(abs(rest / slope) * per_score, 1e-3))


def _of_ferment(batch: Batch, way: Led, shelf: Catalogue) -> Iterator[Told]:
    if way.done.yeast.pitch <= 0.0:
        return
    log = observations_of(batch, way.rows, way.anchored)
    if not log:
        return
    found = ferment_tells(prior_of_recipe(way.done, way.ahead, shelf, 1), log)
    if found is None:
        return
    yeast = shelf.yeast(batch.recipe.yeast.key)
    for trait, (value, sd) in found.told.items():
        yield Told(trait=trait, of="" if trait in OF_THE_MAKER else yeast.key, value=value, sd=sd)
    yield from _of_strength(yeast, found.stopped, found.dry)


def _of_strength(yeast: Yeast, stopped: float | None, dry: float | None) -> Iterator[Told]:
    """Where it stopped sweet at about the strain's strength, that is its limit; where it went dry beyond, the limit is higher."""
    low, usual, high = yeast.tolerance
    sd = max(high - low, 0.01) / (2.0 * Z_90)
    if stopped is not None and low - 2.0 * sd <= stopped <= high + 3.0 * sd:
        yield Told(trait="tolerance", of=yeast.key, value=stopped - usual, sd=STRENGTH_ERROR)
    elif dry is not None:
        # The mean and variance of a normal distribution of which the part below is cut off, and what that adds to it.
        wide = math.hypot(sd, STRENGTH_ERROR)
        z = (usual - dry) / wide
        ratio = NORMAL.pdf(z) / max(NORMAL.cdf(z), 1e-12)
        mean, variance = sd**2 / wide * ratio, sd**2 * (1.0 - (sd / wide) ** 2 * ratio * (z + ratio))
        if variance < 0.9 * sd**2:
            kept = 1.0 - variance / sd**2
            yield Told(trait="tolerance", of=yeast.key, value=mean / kept, sd=math.sqrt(variance / kept))


def _of_losses(batch: Batch, catalogue: Catalogue) -> Iterator[Told]:
    if batch.adjustment.volume is None and not any(getattr(entry, "size", None) for entry in batch.log.readings):
        return
    usual = msgspec.structs.replace(Losses(), rackings=batch.recipe.losses.rackings)
    batch = msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, losses=usual))
    outcome = evaluate(batch, catalogue, 0, to_draw=False)
    found = None if outcome.finish is None else lost(outcome)
    if found is None or found.came is None:
        return
    kept, came = found.kept, found.came
    if 0.0 < kept < 1.0 and 0.002 < came.typical < 0.9:
        power = math.log(1.0 - came.typical) / math.log(kept)
        sd = max((came.high - came.low) / (2.0 * Z_90) / came.typical, 0.05)
        yield Told(trait="losses", value=math.log(power), sd=min(sd, 3.0))
