"""The next batch from one that was made: what was decided is kept, what was measured and done is left behind."""

from __future__ import annotations

import re

import msgspec

from planner.document.batch import Adjustment, Batch, Log

_NUMBER = re.compile(r"\d+(?=\D*$)")
_LONGEST_NAME = 200


def next_batch(batch: Batch) -> Batch:
    """The same recipe, to be made once more.

    Returns
    -------
    Batch
        With its recipe, house rules, wish, prices, notes and own ingredients, the same instruments and the temperature at
        which it is drunk; without log, adjustment, tastings and dates. [as its fields]

    Examples
    --------
    >>> from planner.document.batch import new_batch
    >>> next_batch(new_batch()).name
    'New batch 2'
    """
    return msgspec.structs.replace(
        batch,
        name=_next_name(batch.name),
        recipe=msgspec.structs.replace(batch.recipe, pitch_planned=None, calendar=""),
        log=Log(hydrometer=batch.log.hydrometer, refractometer=batch.log.refractometer),
        adjustment=Adjustment(serving_temperature=batch.adjustment.serving_temperature),
        tastings=(),
        tests=(),
    )


def _next_name(name: str) -> str:
    """The name with its last number, a year for instance, one higher; with a number of its own where it has none."""
    found = _NUMBER.search(name)
    if found is None or len(found.group()) > 9:
        return f"{name[: _LONGEST_NAME - 2]} 2"
    figures = found.group()
    return f"{name[: found.start()]}{int(figures) + 1:0{len(figures)}d}{name[found.end() :]}"[:_LONGEST_NAME]
