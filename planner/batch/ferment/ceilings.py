"""What the law allows of ammonium salts as food for yeast, and how feeds stay within it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planner.batch.batch import Feed
from planner.batch.ferment.feeding_plan import Ceiling
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient

AMMONIUM_PHOSPHATE = "diammonium-phosphate"
"""Key of the nutrient whose limit counts for all that holds ammonium."""

JOINT = "Ammonium, counted as the phosphate"
"""What the limit of ammonium phosphate is called where other feeds count towards it, too."""

Fed = Iterable[tuple[Feed, Nutrient]]


class Limit(NamedTuple):
    """A legal limit.

    Attributes
    ----------
    key : str
        The nutrient that it is of.
    name : str
        How that is called.
    nitrogen, salt : float
        The limit, as nitrogen and as the salt itself. [kg/m^3]
    note : str
        Which law.
    """

    key: str
    name: str
    nitrogen: float
    salt: float
    note: str

    def counts(self, row: Nutrient) -> bool:
        """Whether a nutrient counts towards it: ammonium phosphate's holds for all ammonium, as blends do not tell their parts."""
        return row.key == self.key or (self.key == AMMONIUM_PHOSPHATE and not row.organic)

    def used(self, fed: Fed, room: float) -> float:
        """Nitrogen of feeds that count towards it, in a volume of must [m^3]. [kg/m^3]"""
        return sum(feed.mass * row.nitrogen.typical for feed, row in fed if self.counts(row)) / room


def limits(catalogue: Catalogue) -> tuple[Limit, ...]:
    """The limits that the nutrients of the shelf name.

    Parameters
    ----------
    catalogue : Catalogue
        The shelf. [-]
    """
    return tuple(
        Limit(row.key, row.name, row.ceiling * row.nitrogen.typical, row.ceiling, row.ceiling_note)
        for row in catalogue.nutrients.values()
        if row.ceiling is not None
    )


def within(
    rows: Sequence[Nutrient], wanted: float, known: Sequence[Limit], fed: Fed, room: float
) -> tuple[list[float], frozenset[str]]:
    """Divide nitrogen among nutrients so that no limit is passed.

    Parameters
    ----------
    rows : sequence of Nutrient
        Which share alike. [as their fields]
    wanted : float
        Nitrogen in all. [kg/m^3]
    known : sequence of Limit
        The limits. [as their fields]
    fed : iterable of (Feed, Nutrient)
        What was given already. [as their fields]
    room : float
        Volume of must. [m^3]

    Returns
    -------
    list of float
        Nitrogen from each; what one may not bring is brought by others that may. [kg/m^3]
    frozenset of str
        Keys of the limits that bind.
    """
    given = list(fed)
    left = {limit: max(limit.nitrogen - limit.used(given, room), 0.0) for limit in known}
    shares = [0.0] * len(rows)
    binding: set[str] = set()
    open_rows = list(range(len(rows)))
    rest = wanted
    while open_rows and rest > 1e-12:
        each = rest / len(open_rows)
        for index in tuple(open_rows):
            mine = [limit for limit in known if limit.counts(rows[index])]
            part = min([each, *(left[limit] for limit in mine)])
            shares[index] += part
            rest -= part
            for limit in mine:
                left[limit] -= part
            if part < each:
                open_rows.remove(index)
                binding |= {limit.key for limit in mine if left[limit] <= 1e-12}
    return shares, frozenset(binding)


def ceilings(known: Sequence[Limit], fed: Fed, room: float, binding: frozenset[str]) -> tuple[Ceiling, ...]:
    """How near feeds come to each limit that they touch, or that keeps them out.

    Parameters
    ----------
    known : sequence of Limit
        The limits. [as their fields]
    fed : iterable of (Feed, Nutrient)
        All feeds. [as their fields]
    room : float
        Volume of must. [m^3]
    binding : frozenset of str
        Keys of those that bind. [-]
    """
    every, found = list(fed), []
    for limit in known:
        counted = {row.key for _, row in every if limit.counts(row)}
        if counted or limit.key in binding:
            name = limit.name if counted <= {limit.key} else JOINT
            dose = limit.used(every, room) * limit.salt / limit.nitrogen
            found.append(Ceiling(name, dose, limit.salt, limit.note, limit.key in binding))
    return tuple(found)
