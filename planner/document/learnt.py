"""What earlier batches taught, as it stands in a batch: the prior that was used, and what of it each batch told.

A batch so stays whole without the folder that it learnt from. How it is told and pooled is the matter of `planner.learning`.
"""

# Annotations are not postponed here: the reader of files asks for all of them, and has to compile each that is a text.
from collections.abc import Collection
from typing import Annotated, Literal

import msgspec

from planner.document.values import Fraction, Value, named, quantity

Trait = Literal[
    "pace", "trend", "lag", "tolerance", "dry_gravity", "juice_yield", "sugar", "acid", "ph", "losses", "scatter"
]
"""What is learnt, always beside the shelf. Logarithms of factors on uptake, on uptake at the end, on the lag, on a fruit's sugar and
acid, on the power of the share that losses leave, and on the scatter of readings [-]; and differences of the strain's tolerance
[m^3/m^3], the gravity when dry [-], a press's yield [kg/kg] and a juice's pH [-]."""

Number = Annotated[float, quantity("1", "Beside the shelf", ge=-3.0, le=3.0)]
Spread = Annotated[float, quantity("1", "Standard deviation", gt=0.0, le=3.0)]
Of = Annotated[str, msgspec.Meta(max_length=80)]
"""Key of the yeast or fruit that it is of; empty where it is of the maker."""


class Told(Value, frozen=True, kw_only=True):
    """One thing that one batch tells."""

    trait: Trait
    of: Of = ""
    value: Number = named("beside_shelf")
    sd: Spread = named("standard_deviation")


class Source(Value, frozen=True, kw_only=True):
    """An earlier batch."""

    name: Annotated[str, msgspec.Meta(min_length=1, max_length=200)]
    file: Annotated[str, msgspec.Meta(max_length=255)] = ""
    """Name of its file in the folder that was read."""
    left_out: bool = False
    told: tuple[Told, ...] = ()


class Learnt(Value, frozen=True, kw_only=True):
    """What all of them teach of the next batch, of one thing."""

    trait: Trait
    of: Of = ""
    mean: Number = named("beside_shelf")
    sd: Spread = named("standard_deviation")
    batches: Annotated[int, msgspec.Meta(title="Batches", ge=1, le=100_000)] = named("batches_count")
    shelf: Fraction = named("shelf_keeps_fraction", 0.0)
    """What part of the say the shelf keeps."""


class Learning(Value, frozen=True, kw_only=True):
    """What a batch was taught by those before it, and whether it goes by that."""

    used: bool = True
    values: tuple[Learnt, ...] = ()
    sources: tuple[Source, ...] = ()

    def of(self, trait: Trait, key: str = "") -> Learnt | None:
        """What is learnt of a thing; None where nothing is, or where it is left out."""
        found = (one for one in self.values if one.trait == trait and one.of == key)
        return next(found, None) if self.used else None

    def concerning(self, things: Collection[str]) -> "Learning":
        """What of it is of a yeast and of fruits, by their keys, or of the maker; with the batches that tell of them."""
        wanted = {"", *things}
        return Learning(
            used=self.used,
            values=tuple(one for one in self.values if one.of in wanted),
            sources=tuple(one for one in self.sources if any(told.of in wanted for told in one.told)),
        )
