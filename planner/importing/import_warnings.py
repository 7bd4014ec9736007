"""What the user should know about readings taken from a table, and what may be tried instead."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice, pairwise

import msgspec
import numpy as np

from planner.document.batch import Entry
from planner.document.timestamps import parsed
from planner.importing.cells import day_order, decimal_evidence, number
from planner.importing.columns import Reader
from planner.importing.fast_path import Taken, orders_of
from planner.importing.mapping import GRAVITIES, NUMBERS, SUGARS, Mapping, Meaning
from planner.importing.table import Table
from planner.wording.finding import Level

_LOOKED_AT = 1000
"""Different cells of a column in which evidence is sought."""


class Notice(msgspec.Struct, frozen=True):
    """A remark on the import.

    Attributes
    ----------
    text : str
        For the user.
    offer : str
        What another mapping would do, in words for a button; empty without one.
    mapping : Mapping or None
        That mapping.
    level : Level
        How serious it is; an offer is always a warning.
    """

    text: str
    offer: str = ""
    mapping: Mapping | None = None
    level: Level = Level.NOTE


def notices(
    table: Table,
    mapping: Mapping,
    reader: Reader,
    found: Sequence[Entry],
    lines: Sequence[int],
    now: datetime | None,
) -> tuple[Notice, ...]:
    """All remarks, those that change numbers first.

    Parameters
    ----------
    lines : sequence of int
        The line of each. [-]
    now : datetime or None
        The present moment with its offset. [-]
    """
    return (
        *_temperature(mapping, reader),
        *_decimal(table, mapping),
        *_order_of_dates(table, mapping),
        *_future(found, lines, now),
        *unit_notices(table, mapping),
        *_scales(mapping, reader),
        *_twice(mapping, reader),
        *_repeated(mapping, found),
        *_disorder(found),
        *_small(reader),
    )


def notices_at_once(
    table: Table,
    mapping: Mapping,
    reader: Reader,
    plain: Taken,
    lines: Sequence[int],
    now: datetime | None,
) -> tuple[Notice, ...]:
    """The same for a table that was read at once; what such a table cannot hold is not looked for.

    Parameters
    ----------
    lines : sequence of int
        The line of each. [-]
    now : datetime or None
        The present moment with its offset. [-]
    """
    late: tuple[Notice, ...] = ()
    if now is not None and plain.times is not None:
        lately = plain.times > np.datetime64(now.replace(tzinfo=None) - timedelta(days=2))  # whatever the offset
        near = [lines[place] for place in np.flatnonzero(lately).tolist()]
        late = tuple(_future(plain.readings.chosen(lately).made(), near, now))
    return (
        *_temperature(mapping, reader),
        *_order_of_dates(table, mapping),
        *late,
        *unit_notices(table, mapping),
        *unit_notices(table, mapping),
        *_scales(mapping, reader),
        *_twice(mapping, reader),
        *((*_repeated(mapping, plain.readings.made()), *_disorder(plain.readings.made())) if plain.repeats else ()),
    )


def _warning(text: str, offer: str = "", mapping: Mapping | None = None) -> Notice:
    return Notice(text, offer, mapping, Level.WARNING)


def _swapped(mapping: Mapping, one: Meaning, other: Meaning) -> Mapping:
    return msgspec.structs.replace(mapping, meanings=tuple(other if m is one else m for m in mapping.meanings))


def _temperature(mapping: Mapping, reader: Reader) -> Iterator[Notice]:
    hot, cold = reader.seen["hot"], reader.seen["cold"]
    all_of_them = hot + cold + reader.seen["warm"]
    if hot:
        text = f"{_many(hot, 'temperature lies', 'temperatures lie')} above 45 °C, where yeast dies: {'is it' if hot == 1 else 'are they'} in °F?"
        as_f = _swapped(mapping, Meaning.CELSIUS, Meaning.FAHRENHEIT)
        those = msgspec.structs.replace(mapping, hot_in_fahrenheit=True)
        yield _warning(text, *(("Read as °F", as_f) if 2 * hot >= all_of_them else ("Read those as °F", those)))
    if taken := reader.seen["taken for °F"]:
        text = f"{_many(taken, 'number', 'numbers')} above 45 in the column of °C {'is' if taken == 1 else 'are'} read as °F."
        yield _warning(text, "Read as °C", msgspec.structs.replace(mapping, hot_in_fahrenheit=False))
    if cold:
        text = f"{_many(cold, 'temperature lies', 'temperatures lie')} below 40 °F, where yeast sleeps: {'is it' if cold == 1 else 'are they'} in °C?"
        as_c = _swapped(mapping, Meaning.FAHRENHEIT, Meaning.CELSIUS)
        yield _warning(text, "Read as °C", as_c) if 2 * cold >= all_of_them else _warning(text)


def _different(table: Table, column: int) -> Iterable[str]:
    return islice(dict.fromkeys(table.column(column)), _LOOKED_AT)


def _decimal(table: Table, mapping: Mapping) -> Iterator[Notice]:
    """Numbers such as 1,060 that may be one or a thousand. In gravities both mean the same."""
    perhaps = ""
    for column in mapping.columns(*NUMBERS):
        for cell in _different(table, column):
            sign, ambiguous = decimal_evidence(cell)
            if sign and not ambiguous:
                return
            if ambiguous and sign != "." and mapping.meanings[column] not in GRAVITIES:
                perhaps = perhaps or cell.strip()
    if not perhaps:
        return
    one, thousand = perhaps.replace(",", "."), perhaps.replace(",", "")
    if mapping.decimal == ",":
        yield _warning(
            f"“{perhaps}” is read as {one}.", f"Read as {thousand}", msgspec.structs.replace(mapping, decimal=".")
        )
    else:
        yield _warning(
            f"“{perhaps}” is read as {thousand}.", f"Read as {one}", msgspec.structs.replace(mapping, decimal=",")
        )


def _order_of_dates(table: Table, mapping: Mapping) -> Iterator[Notice]:
    column = mapping.column(Meaning.MOMENT)
    if column is None:
        return
    if table.figures is not None and column in table.figures.moments:
        orders = orders_of(table.figures.moments[column])
    else:
        orders = {day_order(cell): cell.strip() for cell in _different(table, column)}
    if "either" in orders and "day" not in orders and "month" not in orders:
        now, other = ("day", "month") if mapping.day_first else ("month", "day")
        text = f"Dates such as “{orders['either']}” are read with the {now} first."
        yield _warning(
            text, f"Read the {other} first", msgspec.structs.replace(mapping, day_first=not mapping.day_first)
        )


def _future(found: Sequence[Entry], lines: Sequence[int], now: datetime | None) -> Iterator[Notice]:
    if now is None:
        return
    late = [
        line for reading, line in zip(found, lines, strict=True)
        if reading.at and (moment := parsed(reading.at)) is not None and moment > now
    ]  # fmt: skip
    if late:
        yield _warning(
            f"{_many(len(late), 'reading lies', 'readings lie')} in the future, the first on line {late[0]}."
        )


def _scales(mapping: Mapping, reader: Reader) -> Iterator[Notice]:
    used = [name for name in ("near one", "near a thousand", "above water", "brix") if reader.seen[name]]
    if len(used) > 1:
        cells = " and such as ".join(f"“{reader.sample[name].strip()}”" for name in used)
        yield _warning(f"The gravities are on more than one scale, such as {cells}. Each was read on its own.")
    elif used == ["above water"]:
        yield Notice(f"Points are counted from water: “{reader.sample['above water'].strip()}” is read as "
                     f"{_as_gravity(reader.sample['above water'], mapping.decimal)}.")  # fmt: skip
    if Meaning.BRIX in mapping.meanings:
        yield _warning(
            "°Brix counts as read from a hydrometer. A refractometer shows more once there is alcohol.",
            "Read as a refractometer",
            mapping.with_meaning(mapping.meanings.index(Meaning.BRIX), Meaning.REFRACTOMETER),
        )
    if Meaning.DENSITY in mapping.meanings:
        yield Notice("Densities count as at 20 °C, and are divided by that of water.")
    if len(mapping.columns(*SUGARS)) > 1:
        yield Notice(f"The sugars of {len(mapping.columns(*SUGARS))} columns are added up.")


def unit_notices(table: Table, mapping: Mapping) -> Iterator[Notice]:
    """Units that stand in headings: those that are not known, and those that may be meant in another way."""
    for column in mapping.unclear:
        yield _warning(
            f"“{table.headings[column]}” is left out, because its unit is not known. If its kind is offered above the column, choose it."
        )
    for column in mapping.columns(Meaning.SUGAR_PERCENT):
        if "%" in table.headings[column]:
            without = mapping.with_meaning(column, Meaning.IGNORED)
            yield _warning(f"“{table.headings[column]}” is read as grams in 100 mL.", "Leave it out", without)
    if mapping.columns(Meaning.SUGAR_MMOL):
        yield Notice("A millimole of sugar counts as 0.18 g, as of glucose or fructose.")


def _as_gravity(cell: str, decimal: str) -> str:
    found = number(cell, decimal)
    return f"{1.0 + found.value / 1000.0:.3f}" if found else cell


def _twice(mapping: Mapping, reader: Reader) -> Iterator[Notice]:
    """Lines that were written twice."""
    again = reader.seen["again"]
    if not again:
        return
    other = msgspec.structs.replace(mapping, repeats=not mapping.repeats)
    text = _many(again, "row repeats another to the last figure", "rows repeat others to the last figure")
    if mapping.repeats:
        yield _warning(f"{text}, and {'is' if again == 1 else 'are'} taken too.", "Leave out", other)
    else:
        yield _warning(f"{text}, and {'is' if again == 1 else 'are'} left out.", "Take too", other)


def _repeated(mapping: Mapping, found: Sequence[Entry]) -> Iterator[Notice]:
    if mapping.column(Meaning.SERIES) is not None:
        return
    times = Counter(
        (type(reading), reading.at, reading.day) for reading in found if reading.at or reading.day is not None
    )
    repeated = sum(times.values()) - len(times)
    if repeated >= 2 and repeated >= 0.2 * len(found):
        yield _warning(
            "Many times occur more than once. If the table holds several batches, say “series” above the column "
            "that tells them apart."
        )


def _disorder(found: Sequence[Entry]) -> Iterator[Notice]:
    """Rows that do not follow each other in time, where that can be told without a doubt."""
    times: list[float] | list[str] = [reading.day for reading in found if reading.day is not None]
    if len(times) < len(found):
        times = [reading.at for reading in found if reading.at]
        if len(times) < len(found) or len({at[19:] for at in times}) > 1:
            return
    falling = sum(before > after for before, after in pairwise(times))  # type: ignore[operator]
    if falling and falling < len(times) - 1:
        yield Notice("The rows are not in the order of time; the log puts them in order.")


def _small(reader: Reader) -> Iterator[Notice]:
    seen = reader.seen
    if seen["below zero"]:
        yield Notice(
            f"{_many(seen['below zero'], 'small negative sugar is', 'small negative sugars are')} taken as zero."
        )
    if seen["noon"]:
        yield Notice(f"{_many(seen['noon'], 'date', 'dates')} without a time of day {'is' if seen['noon'] == 1 else 'are'} "
                     "taken at noon.")  # fmt: skip
    if seen["nothing"]:
        yield Notice(f"{_many(seen['nothing'], 'row', 'rows')} without a gravity or sugar "
                     f"{'is' if seen['nothing'] == 1 else 'are'} passed over.")  # fmt: skip
    if seen["control"]:
        yield _warning(
            f"{_many(seen['control'], 'note holds', 'notes hold')} signs that no screen shows. They are kept."
        )
    if seen["no time"]:
        yield _warning(
            f"{_many(seen['no time'], 'reading has', 'readings have')} no date: in the log, but not on the curve."
        )


def _many(count: int, one: str, several: str) -> str:
    return f"{count} {one if count == 1 else several}"
