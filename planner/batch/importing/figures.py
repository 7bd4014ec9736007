"""Long tables of nothing but plain numbers and moments of one form, read as a whole; all others go cell by cell.

A season of a sensor has a hundred thousand rows that are written alike. A decoder in C reads them in the time in which
Python would look at a few thousand cells. Whatever it does not know is none of its business: then the cells decide.
"""

from __future__ import annotations

import csv
import struct
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import overload

import msgspec
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Bytes = npt.NDArray[np.uint8]
Places = npt.NDArray[np.int64]

_CHUNK = 4_000_000
"""The decoder lets no other thread work meanwhile, so that it is given no more than this at once. [bytes]"""
_LINE, _RETURN, _BLANK = b"\n\r "
_FORM = "0000-00-00T00:00:00"
"""A moment without its seconds or its offset is shorter by these."""


class NotPlain(Exception):  # noqa: N818  nothing went wrong
    """The table holds something else than plain numbers and moments of one form."""


class Lines(Sequence[tuple[str, ...]]):
    """The rows of a table, each split into its cells when somebody asks for it."""

    def __init__(self, body: bytes, separator: str, starts: Places) -> None:
        self._body, self._separator, self._starts = body, separator, starts
        self._all: tuple[tuple[str, ...], ...] | None = None

    def __len__(self) -> int:
        return len(self._starts)

    @overload
    def __getitem__(self, index: int) -> tuple[str, ...]: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[tuple[str, ...], ...]: ...

    def __getitem__(self, index: int | slice) -> tuple[str, ...] | tuple[tuple[str, ...], ...]:
        if isinstance(index, slice):
            return tuple(self._split(map(self._line, range(len(self))[index])))
        return next(self._split(iter([self._line(range(len(self))[index])])))

    def __iter__(self) -> Iterator[tuple[str, ...]]:
        if self._all is None:
            self._all = tuple(self._split(iter(self._body.decode("ascii").split("\n"))))
        return iter(self._all)

    def _line(self, index: int) -> str:
        start = int(self._starts[index])
        end = int(self._starts[index + 1]) - 1 if index + 1 < len(self) else len(self._body)
        return self._body[start:end].decode("ascii").rstrip("\r")

    def _split(self, lines: Iterator[str]) -> Iterator[tuple[str, ...]]:
        return (tuple(row) for row in csv.reader(lines, delimiter=self._separator, skipinitialspace=True))


@dataclass(frozen=True, eq=False, slots=True)
class Figures:
    """The cells of a plain table as what they say.

    Attributes
    ----------
    numbers : dict of int to list of float
        The columns of numbers.
    moments : dict of int to numpy.ndarray of bytes, shape (rows, characters)
        The columns of moments, as they are written.
    rows : int
        How many there are.
    """

    numbers: dict[int, list[float]]
    moments: dict[int, Bytes]
    rows: int
    _arrays: dict[int, Array] = field(default_factory=dict, repr=False)

    def array(self, column: int) -> Array:
        """A column of numbers.

        Parameters
        ----------
        column : int
            Number of the column, from 0. [-]
        """
        found = self._arrays.get(column)
        if found is None:
            numbers = self.numbers[column]
            # Four times as fast as numpy.array, which asks each number anew what it is.
            found = self._arrays[column] = np.frombuffer(struct.pack(f"{len(numbers)}d", *numbers))
        return found

    def rises(self, column: int) -> bool:
        """Whether each row of a column is later or more than the one before, so that nothing in it repeats.

        Parameters
        ----------
        column : int
            Number of the column, from 0. [-]
        """
        if column in self.numbers:
            values = self.array(column)
            return bool(np.all(values[1:] > values[:-1]))
        written = self.moments[column]
        texts = np.ascontiguousarray(written).view(f"S{written.shape[1]}").ravel()
        return bool(np.all(texts[1:] > texts[:-1]))


def figures(body: bytes, separator: str, width: int, stop: Callable[[], bool]) -> tuple[Figures, Places]:
    """A table of plain numbers and moments of one form.

    Parameters
    ----------
    body : bytes
        The rows, in an encoding of which ASCII is a part, without headings and line end. [-]
    separator : str
        What stands between cells. [-]
    width : int
        Cells of each row. [-]
    stop : callable
        Asked now and then whether to give up, by NotPlain. [-]

    Returns
    -------
    Figures and numpy.ndarray of int
        What the cells say, and where each row begins in the body. [-]

    Raises
    ------
    NotPlain
        If any cell is something else.
    """
    if not body.isascii() or b"n" in body:  # the decoder knows a word with it
        raise NotPlain
    signs = np.frombuffer(body, np.uint8)
    ends = np.flatnonzero(signs == _LINE)
    starts = np.concatenate(([0], ends + 1))
    first = body[: ends[0]] if len(ends) else body
    cells = [cell.strip() for cell in first.decode().split(separator)]
    if len(cells) != width:
        raise NotPlain
    dated = [index for index, cell in enumerate(cells) if is_moment_form(cell)]
    moments: dict[int, Bytes] = {}
    if dated:
        signs = signs.copy()
        moments = {index: _cut_out(signs, starts, index, len(cells[index]), separator) for index in dated}
        body = signs.tobytes()
    plain = [index for index in range(width) if index not in moments]
    columns = _numbers(body, separator, len(plain), len(starts), stop)
    return Figures(dict(zip(plain, columns, strict=True)), moments, len(starts)), starts


def is_moment_form(cell: str) -> bool:
    """Whether a cell is written like a moment in figures, of a form in which all moments have the same length.

    Parameters
    ----------
    cell : str
        Text of a cell. [-]
    """
    return any("".join("0" if sign.isdecimal() else sign for sign in cell[:16]) == form for form in FORMS) and (
        len(cell) <= 25
    )


FORMS = (
    "0000-00-00T00:00", "0000-00-00 00:00", "0000/00/00 00:00", "00.00.0000 00:00", "00/00/0000 00:00",
    "00-00-0000 00:00",
)  # fmt: skip
"""How the first characters of such moments are written, each figure as a nought."""


def _cut_out(signs: Bytes, starts: Places, index: int, length: int, separator: str) -> Bytes:
    """The moments of a column; in their place, and that of the separator behind, blanks are left."""
    sign = ord(separator)
    begins = starts
    if index:
        between = np.flatnonzero(signs == sign)
        if len(between) % len(starts):
            raise NotPlain
        begins = between.reshape(len(starts), -1)[:, index - 1] + 1
    if begins[-1] + length >= len(signs):
        raise NotPlain
    places = begins[:, None] + np.arange(length + 1)
    found = signs[places]
    if not np.all(found[:, -1] == sign) or np.any((found == _LINE) | (found == _RETURN)):
        raise NotPlain
    signs[places] = _BLANK
    return np.asarray(found[:, :-1])


_DECODER = msgspec.json.Decoder(list[float | None])


def _numbers(body: bytes, separator: str, width: int, rows: int, stop: Callable[[], bool]) -> list[list[float]]:
    """The columns of a table of numbers. Behind each row a mark is set, so that no cell can slip into another."""
    columns: list[list[float]] = [[] for _ in range(width)]
    start = 0
    while start < len(body):
        if stop():
            raise NotPlain
        end = body.find(b"\n", start + _CHUNK) if len(body) - start > _CHUNK else -1
        part = body[start : end if end >= 0 else len(body)]
        start = end + 1 if end >= 0 else len(body)
        if separator != ",":
            part = part.replace(separator.encode(), b",")
        try:
            flat = _DECODER.decode(b"[" + part.replace(b"\n", b",null,") + b",null]")
        except msgspec.MsgspecError as problem:
            raise NotPlain from problem
        marks = flat[width :: width + 1]
        if len(flat) != len(marks) * (width + 1) or marks.count(None) != len(marks):
            raise NotPlain
        for index, column in enumerate(columns):
            cells: list[float] = flat[index :: width + 1]  # type: ignore[assignment]
            columns[index] = column + cells if column else cells
    if any(len(column) != rows for column in columns):
        raise NotPlain
    return columns
