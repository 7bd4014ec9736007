"""A sample as of its own day: its moments move with the calendar, so that half way stays half way."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec

from planner.document.batch import Batch
from planner.document.timestamps import parsed


def as_of(batch: Batch, now: datetime) -> Batch:
    """The batch with all its moments moved by whole days, the last of them to the day before.

    Parameters
    ----------
    now : datetime
        The present moment, with its offset. [-]

    Returns
    -------
    Batch
        Unchanged where nothing in it is dated. [as its fields]
    """
    log, adjustment = batch.log, batch.adjustment
    dated = (log.pitched_at, *(one.at for one in (*log.readings, *adjustment.trials, *batch.tastings)))
    moments = [moment for at in dated if at is not None and (moment := parsed(at)) is not None]
    if not moments:
        return batch
    last = max(moments)
    by = now.astimezone(last.tzinfo).date() - last.date() - timedelta(days=1)

    def moved(at: str | None) -> str | None:
        moment = None if at is None else parsed(at)
        return at if moment is None else (moment + by).isoformat(timespec="minutes")

    replace = msgspec.structs.replace
    return replace(
        batch,
        log=replace(
            log,
            pitched_at=moved(log.pitched_at),
            readings=tuple(replace(one, at=moved(one.at)) for one in log.readings),
        ),
        adjustment=replace(adjustment, trials=tuple(replace(one, at=moved(one.at)) for one in adjustment.trials)),
        tastings=tuple(replace(one, at=moved(one.at)) for one in batch.tastings),
    )
