"""That a batch was bottled, when, and into what: with it the story of its making ends, and that of its ageing begins."""

from __future__ import annotations

from datetime import datetime

import msgspec
import numpy as np

from planner.document import pitch_date
from planner.document.batch import Batch, Event, WarmthReading, What
from planner.document.timestamps import SECONDS_PER_DAY, day_of, moment_of, parsed

TASTING_DAYS = 30.0
"""Between tastings while it ages. [d] Common practice, no source."""

RESTING_DAYS = 60.0
"""In the bottle before the first is opened. [d] Common practice, no source: two months at least."""


class Bottled(msgspec.Struct, frozen=True):
    """The bottling of a batch, by its log.

    Attributes
    ----------
    day : float or None
        Since pitching, of the last bottling; None where that cannot be told. [d]
    moment : datetime or None
        When that was, where it is known.
    lots : tuple of (int, float or None)
        Numbers of bottles, and what each of them holds [m^3], in the order of the log.
    """

    day: float | None
    moment: datetime | None
    lots: tuple[tuple[int, float | None], ...]

    @property
    def number(self) -> int | None:
        """How many bottles in all; None where none were counted. [-]"""
        return sum(number for number, _ in self.lots) or None

    @property
    def size(self) -> float | None:
        """What each bottle holds, where all hold the same. [m^3]"""
        sizes = {size for _, size in self.lots}
        return sizes.pop() if len(sizes) == 1 else None

    def age(self, at: str | None) -> float | None:
        """Days in the bottle at a moment.

        Parameters
        ----------
        at : str or None
            ISO 8601 with its offset. [-]

        Returns
        -------
        float or None
            Below nothing before it was bottled; None where either is not dated. [d]
        """
        moment = parsed(at) if at else None
        if moment is None or self.moment is None:
            return None
        return (moment - self.moment).total_seconds() / SECONDS_PER_DAY


def bottled(batch: Batch) -> Bottled | None:
    """The bottling of a batch, by its log.

    Returns
    -------
    Bottled or None
        None where nothing was bottled yet, or the entry of it is left out. [as its fields]
    """
    log = batch.log
    entries = [entry for _, entry in log.entries.of_kind(Event) if entry.what is What.BOTTLED and not entry.excluded]
    if not entries:
        return None
    days = [day_of(entry.at, entry.day, log.pitched_at) for entry in entries]
    moments = [
        (parsed(entry.at) if entry.at else None) or (None if day is None else moment_of(day, log.pitched_at))
        for entry, day in zip(entries, days, strict=True)
    ]
    return Bottled(
        day=max((day for day in days if day is not None), default=None),
        moment=max((moment for moment in moments if moment is not None), default=None),
        lots=tuple((entry.bottles, entry.size) for entry in entries if entry.bottles is not None),
    )


def opened(batch: Batch) -> list[float]:
    """Days in the bottle, rising, of each that was opened: it was tasted, or what the log measured came out of it. [d]"""
    end = bottled(batch)
    if end is None:
        return []
    ages = [end.age(tasting.at) for tasting in batch.tastings]
    if end.day is not None:
        days = pitch_date.days(batch.log)
        since = ((batch.log.entries[place], float(days[place])) for place in np.flatnonzero(days > end.day).tolist())
        ages += [
            day - end.day for entry, day in since if not (entry.excluded or isinstance(entry, Event | WarmthReading))
        ]
    return sorted(age for age in ages if age is not None and age > 0.0)
