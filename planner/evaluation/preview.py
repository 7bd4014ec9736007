"""The quick answer to an edit of the adjustment, with what the last whole answer knew of the mead before it."""

from __future__ import annotations

import msgspec

from planner.adjusting.additions import given_doses
from planner.adjusting.mead import mead
from planner.adjusting.mead_findings import mead_findings
from planner.evaluation.outcome import Outcome
from planner.reference.catalogue import Catalogue
from planner.reference.own_rows import shelf_with


def readjusted(quick: Outcome, former: Outcome | None, catalogue: Catalogue) -> Outcome:
    """The quick outcome, its mead by the ensemble of a former one where only the adjustment differs between them.

    Without an ensemble a log cannot be weighed, so the quick answer stands elsewhere than the whole one that follows it.

    Parameters
    ----------
    quick : Outcome
        Without an ensemble. [as its fields]
    former : Outcome or None
        The last whole one. [as its fields]
    catalogue : Catalogue
        The shelf. [-]

    Returns
    -------
    Outcome
        The quick one itself where the former says nothing of its mead, or nothing more than it does. [as its fields]
    """
    if quick.with_band or former is None or not former.with_band or former.mead is None or quick.finish is None:
        return quick
    known, batch, then = former.mead.known, quick.batch, former.batch
    if known is None or not known.by_log or quick.mead is None:
        return quick
    if batch.recipe != then.recipe or batch.log != then.log or batch.own != then.own:
        return quick
    if batch.adjustment.gravity != then.adjustment.gravity:
        return quick
    shelf = shelf_with(catalogue, batch.own)
    given = given_doses(batch.log.readings)
    adjusted = mead(batch.adjustment, known.liquid, former.mead.measured, shelf, given, known)
    kept = [finding for finding in quick.findings if not finding.place.startswith("adjustment")]
    findings = (*kept, *mead_findings(batch, shelf, adjusted, quick.finish))
    return msgspec.structs.replace(
        quick, mead=adjusted, findings=tuple(sorted(findings, key=lambda f: -f.level)), with_band=True
    )
