"""Readings of the log that were taken after something was stirred in: they tell of another liquid than the ferment's.

What a dose does to gravity is no ferment. So these readings take no part in course, alcohol and verdict, and are set
beside the mead as it should be with what was stirred in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import msgspec
import numpy as np
import numpy.typing as npt

from planner.adjusting.bottle_safety import HANDLING
from planner.adjusting.done import done_to, led, left_of_doses, since_first_dose
from planner.adjusting.mead import Mead
from planner.adjusting.stabilisation import Treatment, treatment
from planner.adjusting.sugar_test import SAME_MEAD
from planner.document.batch import Batch, SugarReading
from planner.document.bottled import bottled
from planner.document.reading_kinds import GRAVITIES
from planner.model.liquid import fermentable, gravity, volume
from planner.model.span import Z_90
from planner.reference.catalogue import Catalogue
from planner.timeline.readings import DOSED, Logged, Path, Rows, columns_of, sugar_doubt
from planner.timeline.state import state_of
from planner.wording import phrases
from planner.wording.finding import Finding, error, note

Array = npt.NDArray[np.float64]

NOTICED = 0.0005
"""Least change of gravity by doses from which a reading is of another liquid. [-] Half a line of the stem."""

STILL_AT_WORK = (0.010, 0.002)
"""A gravity so far above dry, and fallen by so much since the one before, is of a ferment at work. [-] What is stirred in
then ferments with the rest. Estimate; ten lines and two lines of the stem."""

UNSEEN = ("maltose",)
"""Sugars that yeast takes and a test for glucose and fructose does not find. From memory."""

OFF = 0.0035
"""Difference between a gravity and that of the mead with what was stirred in that is worth a word. [-] As `evidence.RISE`:
three times the doubt of the difference of two readings."""


def apart_from_doses(batch: Batch, rows: Rows, way: Path, room: float, catalogue: Catalogue) -> Rows:
    """The rows of a log, those after a dose that changed the gravity set apart.

    Parameters
    ----------
    room : float
        Volume of the must, for the mead where its own was not measured. [m^3]

    Returns
    -------
    Rows
        Those set apart tell `DOSED`. A dose into what still ferments sets none apart. [as their fields]
    """
    done = done_to(batch, catalogue)
    doses = since_first_dose(done)
    if not doses:
        return rows
    told = columns_of(rows)
    counted = np.isfinite(told.day) & ~told.excluded & (told.tells == "gravity")
    before = np.flatnonzero(counted & (told.day <= doses[0].when[0]))
    before = before[np.lexsort((told.place[before], told.day[before]))]
    before = before[(told.day[before] < doses[0].when[0]) | (told.place[before] < doses[0].when[1])]
    there, way = told.gravity[before], way.at(doses[0].when[0])
    if not there.size or _is_at_work(there, float(way.gravity[0])):
        return rows
    base = way.like(there[-1:]).member(0)
    racked = [one.room for one in done[: len(done) - len(doses)] if one.room is not None]
    base = base * ((batch.adjustment.volume or (racked or [room])[-1]) / float(volume(base)))
    start = float(gravity(base))
    mixes = zip(doses, led(base, doses, batch.adjustment.additions, catalogue), strict=True)
    first = next((dose.when for dose, mix in mixes if abs(float(gravity(mix)) - start) >= NOTICED), None)
    if first is None:
        return rows
    apart = (told.day > first[0]) | ((told.day == first[0]) & (told.place > first[1]))
    apart &= told.tells != ""
    chosen = set(np.flatnonzero(apart).tolist())
    if not chosen:
        return rows
    changed = Rows(
        msgspec.structs.replace(row, tells=DOSED, alcohol=math.nan, sugar=row.sugar if row.kind == "sugar" else math.nan)
        if row.index in chosen else row
        for row in rows
    )  # fmt: skip
    changed.columns = told._replace(tells=np.where(apart, DOSED, told.tells).astype(object))
    return changed


def _is_at_work(gravities: Array, dry: float) -> bool:
    far, fall = STILL_AT_WORK
    fell = len(gravities) < 2 or gravities[-2] - gravities[-1] > fall
    return bool(gravities[-1] > dry + far and fell)


def beside_doses(batch: Batch, rows: tuple[Logged, ...], mead: Mead, catalogue: Catalogue) -> tuple[Logged, ...]:
    """The rows of a log, those after doses told against the mead with what was stirred in by then.

    Parameters
    ----------
    mead : Mead
        The mead before its additions, and with them. [as its fields]
    """
    if not any(row.tells == DOSED for row in rows):
        return rows
    doses = since_first_dose(done_to(batch, catalogue))
    mixes = list(led(mead.base * (1.0 / mead.left), doses, batch.adjustment.additions, catalogue))
    told = [(float(gravity(mix)[0]), state_of(mix)) for mix in mixes]
    whens = [dose.when for dose in doses]

    def beside(row: Logged) -> Logged:
        if row.tells != DOSED:
            return row
        last = max(n for n, when in enumerate(whens) if when <= (row.day or 0.0, row.index))
        return msgspec.structs.replace(row, expected=told[last][0], dosed=told[last][1])

    found = Rows(map(beside, rows))
    found.columns = columns_of(rows)
    return found


def sugar_by_dosed_test(
    batch: Batch, rows: Sequence[Logged], mead: Mead, catalogue: Catalogue
) -> tuple[float, float] | None:
    """Sugar of the mead before its doses by the last test after one: what the test must have found of them is taken off.

    Parameters
    ----------
    mead : Mead
        The mead before its additions, and with them. [as its fields]

    Returns
    -------
    (float, float) or None
        With its standard deviation; None without such a test. [kg/m^3]
    """
    tests = [row for row in rows if row.tells == DOSED and row.kind == "sugar" and not row.excluded]
    if not tests:
        return None
    test = max(tests, key=lambda row: (row.day or 0.0, row.index))
    doses = [one for one in since_first_dose(done_to(batch, catalogue)) if one.when <= (test.day or 0.0, test.index)]
    base, additions = (mead.base * (1.0 / mead.left)).member(0), batch.adjustment.additions
    *_, mix = led(base, doses, additions, catalogue)
    kept, _ = left_of_doses(base, doses, additions, catalogue)
    base = base * kept
    found = float(fermentable(mix.without(*UNSEEN)) - fermentable(base.without(*UNSEEN)))
    grown, doubt = float(volume(mix) / volume(base)), max(_doubt(batch, test), test.sugar if test.below else 0.2)
    return max(test.sugar * grown - found / float(volume(base)), 0.0), doubt / Z_90 * grown


def _doubt(batch: Batch, test: Logged) -> float:
    """Half width of the 90 % interval of a sugar test. [kg/m^3]"""
    entry = batch.log.readings[test.index]
    return sugar_doubt(test.sugar, entry.doubt if isinstance(entry, SugarReading) and not test.below else None)


def dosed_findings(batch: Batch, rows: tuple[Logged, ...], mead: Mead, catalogue: Catalogue) -> Iterator[Finding]:
    """Doubts about readings after doses: that they are not what was stirred in, or that yeast is at it.

    Parameters
    ----------
    mead : Mead
        The mead before its additions, and with them. [as its fields]
    """
    after = sorted(
        (row for row in rows if row.tells == DOSED and not row.excluded), key=lambda row: (row.day or 0.0, row.index)
    )
    shut = bottled(batch) is not None
    floated = [row for row in after if row.kind in GRAVITIES]
    whens = [one.when for one in since_first_dose(done_to(batch, catalogue))]
    for number, row in enumerate(floated):
        place, now = f"log.readings.{row.index}", (row.day or 0.0, row.index)
        since = max(when for when in whens if when <= now)
        highest = max((r.gravity for r in floated[:number] if (r.day or 0.0, r.index) > since), default=row.gravity)
        off = 0.0 if row.expected is None else row.gravity - row.expected
        if highest - row.gravity > SAME_MEAD + 1e-9:
            lead, act = ("These bottles may burst", f" {HANDLING}") if shut else ("Do not bottle this", "")
            yield error(place, f"{lead}: the gravity fell by {{}} after the additions. Yeast ferments what was stirred in.{act}",
                        phrases.gravity_step(highest - row.gravity))  # fmt: skip
        elif abs(off) > OFF:
            side, why = ("above", "stir it up, let the gas out, and read again") if off > 0.0 else (
                "below", "not all of it is dissolved, there is more mead than was measured, or yeast ferments it")  # fmt: skip
            yield note(place, f"With its additions it should read {{}}; this is {{}} {side}: {why}.",
                       phrases.gravity(row.expected or 0.0), phrases.gravity_step(off))  # fmt: skip
    tests = [row for row in after if row.kind == "sugar"]
    if tests and mead.now is not None:
        test, most = tests[-1], mead.now.fermentable.high
        if test.sugar - _doubt(batch, test) > most and treatment(batch, mead) is not Treatment.DONE:
            lead, act = ("These bottles may burst", HANDLING) if shut else ("Do not bottle this yet", "Test again.")
            yield error("adjustment", f"{lead}: the last sugar test found {{}}, which can still ferment. The additions explain {{}} at most. {act}",
                        phrases.concentration(test.sugar), phrases.concentration(most))  # fmt: skip
