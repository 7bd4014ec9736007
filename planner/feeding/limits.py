"""What the law allows of ammonium salts as food for yeast, what is usual of organic food, and how feeds stay within both."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from planner.document.batch import Feed
from planner.feeding.feeding_plan import Ceiling
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient

AMMONIUM_PHOSPHATE = "diammonium-phosphate"
"""Key of the nutrient whose limit counts for all that holds ammonium."""

JOINT = "Ammonium, counted as the phosphate"
"""What the limit of ammonium phosphate is called where other feeds count towards it, too."""

USUAL_ORGANIC = 2.0
"""Most that is given of an organic food whose label is not known. [kg/m^3] Common practice, no source: 1 to 2 g/L. Older
texts say 0.2 to 0.4 g/L of autolysate, from memory. 27 CFR 24.246 (2015 text) sets no number for autolysed yeast."""

USUAL_NOTE = "Follow the product's label first; enter it under Batch > My ingredients. The usual dose has no source. 27 CFR 24.246 (USA, 2015 text) sets no number for autolysed yeast."
"""What is said of it."""

Fed = Iterable[tuple[Feed, Nutrient]]


def nitrogen_of(fed: Fed) -> float:
    """Nitrogen that feeds bring. [kg]"""
    return sum(feed.mass * row.nitrogen.typical for feed, row in fed)


class Limit(msgspec.Struct, frozen=True):
    """A limit of the law, or of what is usual.

    Attributes
    ----------
    key : str
        The nutrient that it is of.
    name : str
        How that is called.
    nitrogen, salt : float
        The limit, as nitrogen and as the salt itself. [kg/m^3]
    note : str
        Which law, or what is usual.
    usual : bool
        Whether it is no law, but the most that is usual.
    """

    key: str
    name: str
    nitrogen: float
    salt: float
    note: str
    usual: bool = False

    def counts(self, row: Nutrient) -> bool:
        """Whether a nutrient counts towards it: ammonium phosphate's holds for all ammonium, as blends do not tell their parts."""
        return row.key == self.key or (self.key == AMMONIUM_PHOSPHATE and row.is_food and not row.organic)

    def used(self, fed: Fed, room: float) -> float:
        """Nitrogen of feeds that count towards it, in a volume of must [m^3]. [kg/m^3]"""
        return nitrogen_of((feed, row) for feed, row in fed if self.counts(row)) / room


def limits(catalogue: Catalogue) -> tuple[Limit, ...]:
    """The limits that the nutrients of the shelf name, and what is usual of organic ones that name none."""
    found = []
    for row in catalogue.nutrients.values():
        if row.ceiling is not None:
            found.append(Limit(row.key, row.name, row.ceiling * row.nitrogen.typical, row.ceiling, row.ceiling_note))
        elif row.organic and row.is_food:
            nitrogen = USUAL_ORGANIC * row.nitrogen.typical
            found.append(Limit(row.key, row.name, nitrogen, USUAL_ORGANIC, USUAL_NOTE, usual=True))
    return tuple(found)


def within(
    rows: Sequence[Nutrient], wanted: float, known: Sequence[Limit], fed: Fed, room: float
) -> tuple[list[float], frozenset[str]]:
    """Divide nitrogen among nutrients so that no limit is passed.

    Parameters
    ----------
    wanted : float
        Nitrogen in all. [kg/m^3]
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
    room : float
        Volume of must. [m^3]
    """
    every, found = list(fed), []
    for limit in known:
        counted = {row.key for _, row in every if limit.counts(row)}
        if counted or limit.key in binding:
            name = limit.name if counted <= {limit.key} else JOINT
            dose = limit.used(every, room) * limit.salt / limit.nitrogen
            found.append(Ceiling(name, dose, limit.salt, limit.note, limit.key in binding, limit.usual))
    return tuple(found)
