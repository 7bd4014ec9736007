"""When a batch was pitched, and when the entries of its log were, for all of them at once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Entry, Log
from planner.document.columnar_log import Entries, Run
from planner.document.timestamps import SECONDS_PER_DAY, parsed

Array = npt.NDArray[np.float64]

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


def pitching(batch: Batch) -> datetime | None:
    """When the yeast was pitched by the log, or else is to be by the recipe; None while neither is known."""
    stated = (batch.log.pitched_at, batch.recipe.pitch_planned)
    return next((moment for at in stated if at and (moment := parsed(at)) is not None), None)


def days(log: Log) -> Array:
    """Days since pitching of each entry, as `moments.day_of` tells them; not a number where it cannot, shape (n,). [d]"""
    stated = log.entries.floats("day")
    pitched = parsed(log.pitched_at) if log.pitched_at else None
    if pitched is None or not log.entries.tells("at"):
        return stated
    since = (ticks(log.entries) - (pitched - _EPOCH) // _MICROSECOND) / 1e6 / SECONDS_PER_DAY
    return np.where(np.isnan(since), stated, since)


def moments(log: Log, days: Array) -> list[datetime | None]:
    """When each entry was, as stated or by its day, in the offset of the pitching; None where that is not known.

    Parameters
    ----------
    days : numpy.ndarray, shape (n,)
        Days since pitching, as `days` tells them. [d]
    """
    if log.entries.tells("at"):
        stated = [parsed(at) if at else None for at in log.entries.values("at")]
    else:
        stated = [None] * len(days)
    pitched = parsed(log.pitched_at) if log.pitched_at else None
    if pitched is None:
        return stated
    return [
        _after(pitched, day) if moment is None else moment
        for moment, day in zip(stated, days.tolist(), strict=True)
    ]  # fmt: skip


def _after(pitched: datetime, day: float) -> datetime | None:
    try:
        return None if day != day else pitched + timedelta(days=day)  # not a number
    except OverflowError:
        return None


def ticks(entries: Entries[Entry]) -> Array:
    """The moment of each entry, in microseconds since 1970 (POSIX); not a number where it states none, shape (n,). [1e-6 s]"""
    return np.concatenate([np.empty(0), *(_ticks(piece) for piece in entries.pieces)])


def _ticks(piece: tuple[Entry, ...] | Run[Entry]) -> Array:
    if isinstance(piece, Run) and "at" in piece.columns:
        return _of_texts(piece.columns["at"])
    if isinstance(piece, Run):
        return np.full(len(piece), np.nan)
    moments = [parsed(entry.at) if entry.at else None for entry in piece]
    return np.array([np.nan if moment is None else (moment - _EPOCH) // _MICROSECOND for moment in moments], float)


def _of_texts(texts: npt.NDArray[np.bytes_]) -> Array:
    """Moments in ISO 8601, all of one form, that end with Z or with an offset such as +02:00."""
    signs = texts.view(np.uint8).reshape(len(texts), -1)
    if signs[0, -1] == ord("Z"):
        local, offset = texts.astype(f"S{signs.shape[1] - 1}"), np.zeros(1)
    else:
        local = texts.astype(f"S{signs.shape[1] - 6}")
        tens, ones, _, six, minutes = (signs[:, -5:] - ord("0")).T.astype(np.int64)
        offset = (600 * tens + 60 * ones + 10 * six + minutes) * np.where(signs[:, -6] == ord("-"), -60, 60)
    return (local.astype("datetime64[s]").astype(np.int64) - offset) * 1e6
