"""The planner in scripts and notebooks: open a batch, work it out, read what follows, plan, and find a dose.

Everything here is also had from the package itself (`from planner import evaluate, open_batch`); nothing of it opens a
window or loads one. Numbers are SI: kilograms, cubic metres, kelvins, fractions instead of percent, and kg/m³, which is
g/L; gravities are specific gravities 20/20 °C, days count from pitching. An uncertain number is a `Span` of low, typical
and high, between whose ends it lies nine times in ten. Values are frozen; `edits` gives changed ones and refuses what
cannot be.

How a batch stands, and why. A batch is opened by its path, or as here by the name of a sample:

>>> from planner import evaluate, open_batch
>>> damson = open_batch("damson-stopped")
>>> outcome = evaluate(damson)
>>> outcome.headline.stage, outcome.verdict.kind, outcome.verdict.probability > 0.75
('rest', 'stalled', True)
>>> all(str(reason) for reason in outcome.verdict.evidence)
True

What the log says of the sugar that is left, with its range, and of the end of the ferment:

>>> left = outcome.posterior.now.sugar
>>> left.low < left.typical < left.high, round(left.typical, -1)
(True, 50.0)
>>> outcome.posterior.held  # it stays as it is until something is done
True

The expected curve, as arrays of numpy with a band. Here the day on which half of the sugar should be used:

>>> curve = evaluate(open_batch("quince-planned")).curve
>>> half = float(curve.days[curve.used >= 0.5][0])
>>> 2.0 < half < 15.0
True
>>> low, high = curve.band[0], curve.band[3]
>>> bool((low <= high).all())
True

A plan: how much honey and water make 20 litres of must for 12 % vol with the fruit of the recipe. The answer is
"solved", or a "range" where too little is given, or a "conflict"; its `batch` has the recipe that was found:

>>> from planner import plan
>>> answer = plan(damson, left_open=("honey", "water"), volume=0.020, alcohol=0.12)
>>> answer.kind, sorted(answer.amounts)
('solved', ['honey', 'water'])
>>> round(evaluate(answer.batch, members=0).must.volume.typical * 1e3, 1)
20.0

A dose: the least erythritol that makes a dry mead as sweet as 30 g/L of sugar, and what the mead would then be:

>>> from planner import find_dose
>>> raspberry = evaluate(open_batch("raspberry-finished"))
>>> found = find_dose(raspberry, ["erythritol"], sweetness=30.0)
>>> [one.key for one in found.additions], found.is_reached, round(found.values["sweetness"], 1)
(['erythritol'], True, 30.0)
>>> found.missed, 0.3 < found.mass < 1.2
((), True)

What was expected of a batch and what came; `came` is None where it was not measured, `off` tells what differs by more than the
ranges leave open, and `carry` what the next batch may take over:

>>> from planner import lessons
>>> of = {lesson.key: lesson for lesson in lessons(outcome)}
>>> of["strength"].off, of["start"].off, of["acid"].came
(-1, 0, None)

Two to six batches side by side, with what could have made them differ, by what matters most:

>>> from planner import compare
>>> side_by_side = compare([raspberry, outcome])
>>> first = side_by_side.differences[0]
>>> first.of.key, first.steps > 10.0, first.causes[0].key
('finish', True, 'stall')

A comparison of all batches in a folder, here of the samples, by what the planner expected of each. Twenty take some
seconds; `report_data` has every figure of the report by the keys of its JSON:

>>> from planner import open_batches, report_data
>>> from planner.reference.shipped import samples
>>> rows = [report_data(evaluate(batch, members=20)) for batch in open_batches(samples())]
>>> strong = {row["name"]: row["finish"]["alcohol_pct_vol"]["typical"] for row in rows}
>>> len(strong), min(strong, key=strong.get)
(4, 'Canes Raspberry')
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.adjusting import dose
from planner.adjusting.additions import given_doses
from planner.adjusting.dose import Bound, Found
from planner.comparing import comparison
from planner.comparing import lessons as learning
from planner.comparing.comparison import Comparison
from planner.comparing.lessons import Lesson
from planner.document import edits
from planner.document.batch import Batch, Wish
from planner.document.codec import BatchFileError, ImpossibleBatch, encode, refuse_impossible
from planner.document.shelf import shelf_of
from planner.evaluation import outcome as working
from planner.evaluation.outcome import Outcome
from planner.model.random_scores import MEMBERS
from planner.model.span import Span
from planner.planning.solve import Answer, solve_wish
from planner.recipe.house_rules import objections
from planner.reference.catalogue import Catalogue, catalogue
from planner.reporting.batch_file import each, load
from planner.reporting.data import as_data

__all__ = [
    "Answer",
    "Batch",
    "BatchFileError",
    "Comparison",
    "Found",
    "ImpossibleBatch",
    "Lesson",
    "Outcome",
    "Span",
    "Wish",
    "compare",
    "edits",
    "evaluate",
    "find_dose",
    "lessons",
    "open_batch",
    "open_batches",
    "plan",
    "report_data",
    "save_batch",
    "shelf",
]


def open_batch(name: str | os.PathLike[str]) -> Batch:
    """The batch in a file.

    Parameters
    ----------
    name : str or path
        Path of a batch file, name of a sample that comes with the program, or "-" for the standard input. [-]

    Raises
    ------
    BatchFileError
        If there is none, or it cannot be read; the text names the place.
    """
    return load(os.fspath(name))


def open_batches(folder: str | os.PathLike[str]) -> Iterator[Batch]:
    """The batches in a folder, but not in folders within it, by the names of their files.

    Raises
    ------
    BatchFileError
        If there is none in it, or when one that cannot be read is come to.
    """
    return map(load, each(os.fspath(folder)))


def save_batch(batch: Batch, path: str | os.PathLike[str]) -> None:
    """Write a batch into a new file, which the window opens.

    Parameters
    ----------
    path : str or path
        Where no file is yet. [-]

    Raises
    ------
    BatchFileError
        The batch holds what no file can; nothing is written.
    FileExistsError
        There is a file, which stays as it is.
    """
    data = encode(batch)
    with Path(path).open("xb") as file:
        try:
            file.write(data)
            file.flush()
        except OSError:
            os.unlink(path)  # half a batch is worse than none
            raise


def shelf(batch: Batch | None = None) -> Catalogue:
    """The tables that come with the program: fruits, honeys, yeasts, nutrients and additives, each by its key."""
    return catalogue() if batch is None else shelf_of(batch, catalogue())


def evaluate(batch: Batch, members: int = MEMBERS, today: datetime | None = None) -> Outcome:
    """Work out everything that follows from a batch.

    Parameters
    ----------
    members : int
        Possible musts and ferments from which ranges and band are told; 0 for the typical case alone, without verdict. [-]
    today : datetime or None
        The present moment with its offset, for what comes next; None to go by the log alone. [-]

    Returns
    -------
    Outcome
        What cannot be worked out is None in it, and a finding says why. [as its fields]

    Raises
    ------
    ImpossibleBatch
        The batch holds what no file can, such as a negative mass; the text names the place.
    """
    return working.evaluate(batch, catalogue(), members, today)


def report_data(outcome: Outcome) -> dict[str, Any]:
    """What `planner.report --json` tells of a batch, by keys with their units; `--schema` prints what each means."""
    return as_data(outcome, catalogue())


def lessons(outcome: Outcome) -> tuple[Lesson, ...]:
    """What was expected of a batch and what came, from the fruit to the glass."""
    return learning.lessons(outcome, catalogue())


def compare(outcomes: Sequence[Outcome]) -> Comparison:
    """Batches side by side, and what could have made them differ.

    Parameters
    ----------
    outcomes : sequence of Outcome
        Two to six of them; the first is the one that the others are told by. [as their fields]

    Raises
    ------
    ValueError
        With fewer or more.
    """
    return comparison.compared(outcomes, catalogue())


def plan(batch: Batch, **wish: Any) -> Answer:
    """Work out the amounts that a wish leaves open.

    Parameters
    ----------
    batch : Batch
        Amounts that are not left open are given by its recipe. [as its fields]
    **wish
        Fields of `Wish`: `left_open`, of "fruit", "juice", "honey" and "water"; `volume` of the must [m^3], its `gravity`
        [-], `alcohol` [m^3/m^3], `finish` [-] and `acid` [kg/m^3] of the mead. Without any, the wish of the recipe.

    Raises
    ------
    EditRefused
        A field of the wish that cannot be.
    ImpossibleBatch
        As for `evaluate`.
    """
    refuse_impossible(batch)
    return solve_wish(batch, catalogue(), edits.changed(Wish(), **wish) if wish else None)


def find_dose(outcome: Outcome, allowed: Iterable[str], **wanted: float | tuple[float | None, float | None]) -> Found:
    """The smallest additions that make of the mead before its additions what is wanted.

    Parameters
    ----------
    outcome : Outcome
        What follows from a batch; what its log says was stirred in already is the least of each. [as its fields]
    **wanted
        A value, or a low and a high end with None for an open one, of `sweetness` as sucrose [kg/m^3], `viscosity` [Pa s],
        `acid` as tartaric [kg/m^3], `gravity` [-], `alcohol` [m^3/m^3], `fermentable` sugar [kg/m^3] or `volume` [m^3].

    Returns
    -------
    Found
        The additions [kg], what they reach, what is missed, and which limits bind.

    Raises
    ------
    ValueError
        There is no mead; a property that cannot be wanted, or a number that is not finite; an additive that the house
        rules of the batch refuse.
    UnknownIngredient
        A key that the tables do not hold.
    """
    batch, mead, keys = outcome.batch, outcome.mead, list(allowed)
    if mead is None:
        raise ValueError("There is no mead to dose: nothing ferments in this batch.")
    rows = shelf(batch)
    for key in keys:
        for why in objections(batch.recipe.rules, rows.additive(key)):
            raise ValueError(f"{rows.additive(key).name} may not be used. {why}")
    bounds = []
    for what, value in wanted.items():
        low, high = value if isinstance(value, tuple) else (value, value)
        if not all(end is None or math.isfinite(end) for end in (low, high)):
            raise ValueError(f"{what}: a number must be finite, and this is {value}.")
        bounds.append(Bound(what, low, high))
    labels = {line.key: line for line in batch.adjustment.additions}
    given = {key: mass for key, mass in given_doses(batch.log.readings).items() if key in rows.additives}
    return dose.find(mead.base.member(0), bounds, keys, rows, labels, least=given)
