"""Steps by which the raw content of an older file becomes that of the next schema.

Each step is a pure function of the raw dictionary of the batch: it asks no setting, no clock and no table, so that a
file opens the same for everyone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Raw = dict[str, Any]

MIGRATIONS: dict[int, Callable[[Raw], Raw]] = {}
"""For each older schema, the step to the next."""


def migration(from_schema: int) -> Callable[[Callable[[Raw], Raw]], Callable[[Raw], Raw]]:
    """Register a step from a schema to the next.

    Parameters
    ----------
    from_schema : int
        The schema that the step reads. [-]

    Raises
    ------
    ValueError
        If there is a step for that schema already.
    """

    def register(step: Callable[[Raw], Raw]) -> Callable[[Raw], Raw]:
        if from_schema in MIGRATIONS:
            raise ValueError(f"schema {from_schema} has a migration already")
        MIGRATIONS[from_schema] = step
        return step

    return register


@migration(from_schema=1)
def long_runs_may_stand_as_columns(raw: Raw) -> Raw:
    """Since schema 2 a long run of like readings stands as columns; one by one they are read as before."""
    return raw


@migration(from_schema=2)
def acid_may_be_titrated(raw: Raw) -> Raw:
    """Since schema 3 a log may hold titratable acids; what it held before is read as before."""
    return raw


@migration(from_schema=3)
def tastings_may_have_marks(raw: Raw) -> Raw:
    """Since schema 4 a tasting may hold marks on a sheet and a photograph, and a batch blind tests; notes are read as before."""
    return raw


@migration(from_schema=4)
def earlier_batches_may_teach(raw: Raw) -> Raw:
    """Since schema 5 a batch may hold what earlier ones taught; one without is read as before."""
    return raw


@migration(from_schema=5)
def instruments_may_be_checked(raw: Raw) -> Raw:
    """Since schema 6 a gravity may be of a liquid that is known, to check its instrument; others are read as before."""
    return raw


@migration(from_schema=6)
def volumes_may_be_measured(raw: Raw) -> Raw:
    """Since schema 7 a log may hold volumes that were measured without a racking; what it held before is read as before."""
    return raw
