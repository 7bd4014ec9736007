"""Long tables of nothing but plain numbers and moments of one form, read as a whole; all others go cell by cell.

A season of a sensor has a hundred thousand rows that are written alike. A decoder in C reads them in the time in which
Python would look at a few thousand cells. Whatever it does not know is none of its business: then the cells decide.
"""

from __future__ import annotations

import csv
import struct
from collections.abc import Callable, Iterator, Sequence
from typing import Any, overload

import msgspec
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Bytes = npt.NDArray[np.uint8]
Places = npt.NDArray[np.int64]

_CHUNK = 128_000
"""So much is read at once: it stays in the processor's cache until it is in its column, and other threads have their turn.
[bytes]"""
_LINE, _RETURN, _COMMA = b"\n\r,"
_BLANK, _LAST_OF_ASCII = b" ", 127


class NotPlain(Exception):  # noqa: N818  nothing went wrong
    """The table holds something else than plain numbers and moments of one form."""


class Lines(Sequence[tuple[str, ...]]):
    """The rows of a table, each split into its cells when somebody asks for it."""

    def __init__(self, body: memoryview, separator: str, starts: Places) -> None:
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
            self._all = tuple(self._split(iter(str(self._body, "ascii").split("\n"))))
        return iter(self._all)

    def _line(self, index: int) -> str:
        start = int(self._starts[index])
        end = int(self._starts[index + 1]) - 1 if index + 1 < len(self) else len(self._body)
        return str(self._body[start:end], "ascii").rstrip("\r")

    def _split(self, lines: Iterator[str]) -> Iterator[tuple[str, ...]]:
        return (tuple(row) for row in csv.reader(lines, delimiter=self._separator, skipinitialspace=True))


class Figures(msgspec.Struct, frozen=True, eq=False):
    """The cells of a plain table as what they say.

    Attributes
    ----------
    numbers : dict of int to numpy.ndarray, shape (rows,)
        The columns of numbers.
    moments : dict of int to numpy.ndarray of bytes, shape (rows, characters)
        The columns of moments, as they are written.
    rows : int
        How many there are.
    """

    numbers: dict[int, Array]
    moments: dict[int, Bytes]
    rows: int

    def rises(self, column: int) -> bool:
        """Whether each row of a column is later or more than the one before, so that nothing in it repeats.

        Parameters
        ----------
        column : int
            Number of the column, from 0. [-]
        """
        values: npt.NDArray[Any] = self.numbers[column] if column in self.numbers else texts(self.moments[column])
        return bool(np.all(values[1:] > values[:-1]))


def texts(signs: Bytes) -> npt.NDArray[np.bytes_]:
    """Each row as a text.

    Parameters
    ----------
    signs : numpy.ndarray of bytes, shape (rows, characters)
        Texts of one length. [-]
    """
    return np.ascontiguousarray(signs).view(f"S{signs.shape[1]}").ravel()


def figures(body: memoryview, separator: str, width: int, stop: Callable[[], bool]) -> tuple[Figures, Places]:
    """A table of plain numbers and moments of one form.

    Parameters
    ----------
    body : memoryview
        The rows, in an encoding of which ASCII is a part, without headings and line end. [-]
    width : int
        Cells of each row. [-]

    Returns
    -------
    Figures and numpy.ndarray of int
        What the cells say, and where each row begins in the body. [-]

    Raises
    ------
    NotPlain
        If any cell is something else.
    """
    signs = np.frombuffer(body, np.uint8)
    if signs.max() > _LAST_OF_ASCII:
        raise NotPlain
    starts = _starts(signs)
    rows = len(starts)
    first = str(body[: starts[1] if rows > 1 else len(body)], "ascii")
    cells = [cell.strip() for cell in first.split(separator)]
    if len(cells) != width:
        raise NotPlain
    moments = {index: np.empty((rows, len(cell)), np.uint8) for index, cell in enumerate(cells) if is_moment_form(cell)}
    plain = [index for index in range(width) if index not in moments]
    numbers = np.empty((len(plain), rows))
    row = 0
    while row < rows:
        if stop():
            raise NotPlain
        end = int(np.searchsorted(starts, starts[row] + _CHUNK))
        part = signs[starts[row] : starts[end] - 1 if end < rows else len(signs)]
        if moments:
            part = part.copy()
        for index, column in moments.items():
            column[row:end] = _cut_out(part, starts[row:end] - starts[row], index, column.shape[1], separator)
        numbers[:, row:end] = _numbers(part.tobytes(), separator, len(plain), end - row)
        row = end
    return Figures(dict(zip(plain, numbers, strict=True)), moments, rows), starts


def _starts(signs: Bytes) -> Places:
    """Where each row begins."""
    blocks = range(0, len(signs), _CHUNK)
    ends = [np.flatnonzero(signs[block : block + _CHUNK] == _LINE) + block for block in blocks]
    return np.concatenate(([0], *(some + 1 for some in ends)))


def is_moment_form(cell: str) -> bool:
    """Whether a cell is written like a moment in figures, of a form in which all moments have the same length."""
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
    if begins[-1] + length >= len(signs) or np.any(begins[:-1] + length >= starts[1:]):
        raise NotPlain
    # Each moment with the separator behind it as one piece, which is quicker than sign by sign.
    pieces = np.ndarray(len(signs) - length, f"V{length + 1}", signs, strides=(1,))
    found = pieces[begins].view(np.uint8).reshape(len(starts), length + 1)
    if np.any(found[:, -1] != sign) or np.any(found == _RETURN):
        raise NotPlain
    pieces[begins] = np.void(_BLANK * (length + 1))
    return found[:, :-1]


_DECODER = msgspec.json.Decoder(list[float])


def _numbers(part: bytes, separator: str, width: int, rows: int) -> Array:
    """Columns of numbers, shape (width, rows), if each row has so many cells and each cell is a number."""
    part = part.replace(separator.encode(), b",")
    signs = np.frombuffer(part, np.uint8)
    marks = signs[np.flatnonzero((signs == _COMMA) | (signs == _LINE))]
    row = np.array([_COMMA] * (width - 1) + [_LINE], np.uint8)
    if not np.array_equal(marks, np.tile(row, rows)[:-1]):
        raise NotPlain
    try:
        numbers = _DECODER.decode(b"[" + part.replace(b"\n", b",") + b"]")
    except msgspec.MsgspecError as problem:
        raise NotPlain from problem
    if len(numbers) != rows * width:
        raise NotPlain
    # Twice as fast as numpy.fromiter, and four times as numpy.array, which asks each number anew what it is.
    return np.frombuffer(struct.pack(f"{len(numbers)}d", *numbers)).reshape(rows, width).T
