"""What the parts of a batch are made of: numbers with their units and limits, and the base of all values."""

# Annotations are not postponed here: the reader of files asks for all of them, and has to compile each that is a text.
import re
from functools import cache
from typing import Annotated, Any

import msgspec
import msgspec.inspect

from planner.document.timestamps import FIRST_YEAR, LAST_YEAR


def quantity(
    unit: str, label: str, *, ge: float | None = None, le: float | None = None, gt: float | None = None
) -> msgspec.Meta:
    """A number's unit, what it is called, and what is impossible for it. [limits in that unit]"""
    meta: msgspec.Meta
    if gt is not None:
        meta = msgspec.Meta(title=label, extra={"unit": unit}, gt=gt, le=le)
    else:
        meta = msgspec.Meta(title=label, extra={"unit": unit}, ge=ge, le=le)
    return meta


Mass = Annotated[float, quantity("kg", "Mass", ge=0.0, le=1e5)]
Volume = Annotated[float, quantity("m3", "Volume", gt=0.0, le=1e3)]
Fraction = Annotated[float, quantity("1", "Fraction", ge=0.0, le=1.0)]
Temperature = Annotated[float, quantity("K", "Temperature", ge=263.15, le=333.15)]
Gravity = Annotated[float, quantity("1", "Specific gravity 20/20 °C", ge=0.7, le=1.6)]
Concentration = Annotated[float, quantity("kg/m3", "Concentration", ge=0.0, le=1000.0)]
Day = Annotated[float, quantity("d", "Days since pitching", ge=-365.0, le=3660.0)]
Key = Annotated[str, msgspec.Meta(min_length=1, max_length=80)]
_YEAR = "(?:19(?:7[6-9]|[89][0-9])|20(?:[0-6][0-9]|7[0-6]))"  # `timestamps.FIRST_YEAR` to `LAST_YEAR`
Moment = Annotated[str, msgspec.Meta(max_length=40, pattern=rf"^(?![0-9]{{4}})|^{_YEAR}")]
"""A moment in ISO 8601, in a year in which a batch can be. A text that does not begin with a year is kept: a finding tells of it."""
Text = Annotated[str, msgspec.Meta(max_length=20_000)]


_NAME = r"^[^./\\:\x00-\x1f][^/\\:\x00-\x1f]*$"
FileName = Annotated[str, msgspec.Meta(min_length=1, max_length=120, pattern=_NAME)]
"""Of a file that lies beside that of the batch: a name and no path, so that it leads nowhere else."""


def without_pattern(refusal: str) -> str:
    """What msgspec says, with what is meant in place of its pattern."""
    meant = (
        "the name of a file, and no path" if "[^./" in refusal else f"a moment in the years {FIRST_YEAR} to {LAST_YEAR}"
    )
    return re.sub("`str` matching regex '.*'", meant, refusal)


def named(name: str, default: Any = msgspec.NODEFAULT) -> Any:
    """A field whose name in the file carries its unit. [-]"""
    return msgspec.field(name=name, default=default)


class Value(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Base of every part of a batch: immutable, compared by value, strict when read."""


def limits(kind: type, name: str) -> tuple[float | None, float | None]:
    """The least and the most that the type of a part of a batch allows for one of its fields.

    Returns
    -------
    float or None, float or None
        None where there is no bound, or one that is itself excluded. [as the field]
    """
    info = _structure(kind)
    assert isinstance(info, msgspec.inspect.StructType)
    of_field = next(part.type for part in info.fields if part.name == name)
    options = of_field.types if isinstance(of_field, msgspec.inspect.UnionType) else (of_field,)
    number = next(part for part in _bare(options) if isinstance(part, msgspec.inspect.FloatType))
    return number.ge, number.le


_structure = cache(msgspec.inspect.type_info)


def _bare(types: tuple[msgspec.inspect.Type, ...]) -> list[msgspec.inspect.Type]:
    """The types without the notes around them."""
    return [part.type if isinstance(part, msgspec.inspect.Metadata) else part for part in types]
