"""The verdict on a ferment: how it stands, how sure that is, why, what would change it, and what to do next."""

from __future__ import annotations

import msgspec

from planner.timeline.posterior import Posterior
from planner.timeline.verdict_rule import STALLED, TEST, Plan, kinds_of, likelihood
from planner.timeline.verdict_text import SUREST, Circumstances, Telling
from planner.wording.phrases import Words


class Verdict(msgspec.Struct, frozen=True):
    """How a ferment stands, why, how sure that is, and what to do.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    probability : float
        How likely it is that this is so. [-]
    sentence : Words
        The day, the reading and the verdict.
    evidence : tuple of Words
        What speaks for it, in figures.
    decided_by : int or None
        Place in the log of the reading from which on this verdict was given.
    would_change : Words
        What would change it.
    steps : tuple of Words
        The next sensible steps, the gentlest first.
    cautions : tuple of Words
        What to mind.
    stalled_since : float or None
        Day on which the yeast most likely ceased, where it is called stalled or may be. [d]
    """

    kind: str
    probability: float
    sentence: Words
    evidence: tuple[Words, ...]
    decided_by: int | None
    would_change: Words
    steps: tuple[Words, ...]
    cautions: tuple[Words, ...]
    stalled_since: float | None


def verdict(after: Posterior, plan: Plan | None, around: Circumstances) -> Verdict:
    """The verdict on a ferment.

    Parameters
    ----------
    after : Posterior
        The course as the log has it, after one reading at least. [as its fields]
    around : Circumstances
        Temperature, pH and yeast, for the next steps; the temperature that the posterior counts with goes before this one.
        [as its fields]
    """
    kinds = kinds_of(after.steps, plan)
    kind, now = kinds[-1], after.steps[-1]
    first = len(kinds) - 1
    while first > 0 and kinds[first - 1] == kind:
        first -= 1
    since = now.ceased_on if kind in (STALLED, TEST) else None
    present = after.met.present
    around = around if present is None else msgspec.structs.replace(around, temperature=_as_read(present))
    told = Telling(kind, after, plan, around, after.steps[first].evidence)
    return Verdict(
        kind=kind,
        probability=min(likelihood(kind, now), SUREST),
        sentence=told.sentence(),
        evidence=told.evidence(),
        decided_by=after.steps[first].evidence.place,
        would_change=told.would_change(),
        steps=told.steps(),
        cautions=told.cautions(),
        stalled_since=since,
    )


def _as_read(kelvin: float) -> float:
    """A temperature to half a degree, as thermometers of the trade show it; a modelled tenth would tell more than is known. [K]"""
    return 273.15 + round(2.0 * (kelvin - 273.15)) / 2.0
