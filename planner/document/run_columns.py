"""The columns of a long run of like readings, as they stand in a file."""

# Annotations are not postponed here: the reader of files asks for all of them.
from typing import Annotated, Any

import msgspec

from planner.document.timestamps import FIRST_YEAR, LAST_YEAR
from planner.document.values import Concentration, Day, Gravity, Mass, Temperature, Value, named


class Columns(Value, frozen=True, kw_only=True, omit_defaults=True):
    """Fields of many readings, each as a list of one value for each of them."""

    at: tuple[Annotated[str, msgspec.Meta(max_length=40)], ...] = ()
    day: tuple[Day, ...] = named("days_since_pitch_d", ())
    temperature: tuple[Temperature, ...] = named("temperature_k", ())
    gravity: tuple[Gravity, ...] = named("indicated_gravity", ())
    excluded: tuple[bool, ...] = ()
    brix: tuple[Annotated[float, msgspec.Meta(ge=-2.0, le=80.0)], ...] = named("indicated_brix", ())
    lost: tuple[Mass, ...] = named("lost_kg", ())
    sugar: tuple[Concentration, ...] = named("sugar_kg_per_m3", ())
    below: tuple[bool, ...] = ()
    ph: tuple[Annotated[float, msgspec.Meta(ge=0.0, le=14.0)], ...] = named("ph", ())

    def given(self) -> dict[str, tuple[Any, ...]]:
        """Those that hold something, by the field."""
        return {name: values for name in self.__struct_fields__ if (values := getattr(self, name))}

    def checked(self) -> dict[str, tuple[Any, ...]]:
        """The same, if they are of one length and their moments in years in which a batch can be.

        Raises
        ------
        ValueError
            If they are not; the text says which.
        """
        columns = self.given()
        if len({len(values) for values in columns.values()}) != 1:
            told = ", ".join(f"{len(values)} of {KEYS[name]}" for name, values in columns.items())
            raise ValueError(f"the columns of a run must be of one length; there are {told or 'none'}")
        years = {at[:4] for at in self.at}  # quicker than a pattern for each of a hundred thousand
        wrong = sorted(
            year for year in years
            if year.isascii() and year.isdecimal() and len(year) == 4 and not FIRST_YEAR <= int(year) <= LAST_YEAR
        )  # fmt: skip
        if wrong:
            raise ValueError(
                f"the year {wrong[0]} in the moments of a run cannot be; {FIRST_YEAR} to {LAST_YEAR} are accepted"
            )
        return columns


KEYS = {field.name: field.encode_name for field in msgspec.structs.fields(Columns)}
"""What each is called in a file."""
