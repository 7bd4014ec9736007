"""From the bytes of a file or a pasted text to a table: rows of cells, each with its line; nothing is interpreted yet."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence

import msgspec

from planner.importing.cells import clock, moment, number
from planner.importing.numeric_table import Figures, Lines, NotPlain, figures

LARGEST = 200 * 1000 * 1000
"""A larger file is no table of readings. [bytes]"""

SEPARATORS = "\t;|,"
"""What may stand between cells; where two fit equally well, the first."""

_SAMPLE = 200
"""Rows by which separator and headings are told."""
_LONG = 1000
"""Lines from which on it pays to try whether the table is a plain one."""
_LONG_LINES = 100
"""Longer lines are no plain table. [characters]"""
_LONGEST_HEADING = 80
"""Characters of a heading that are kept."""
LONGEST_LINE = 131_072
"""A longer line is no row of readings; the decoder of CSV takes no longer cell. [characters]"""
MOST_ROWS = 250_000
"""Of a table that holds more than plain numbers and moments, and so goes cell by cell, in up to 400 MB; two years of a reading each five
minutes. A plain one may have ten times as many."""
_STOP_EVERY = 2048
"""Rows between two questions whether to go on."""
CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")
"""Signs that are no text, and that no screen shows."""
_QUOTED = re.compile(r'"[^"]*"')
"""A quoted cell may hold whatever it likes."""
_UNIT = re.compile(
    r"[\[(]?\s*(?:°?\s?[cfk]|deg\s?[cf]|s\.?g\.?|°?\s?(?:bx|brix|plato|oe)|%(?:\s?[wmv]/[wmv])?|d|days?|h|hours?|min|minutes?|s|"
    r"sec|seconds?|-|(?:[kmµ]?g|m?mol|lbs?|oz)(?:\s?(?:/|per)\s?(?:100\s?)?(?:[mdch]?l|k?g|[cd]?m[3³]))?)?\s*[\])]?", re.I
)  # fmt: skip
_LONGEST_UNIT = 16
"""Characters of a cell that may be a unit."""


class ImportRefused(ValueError):  # noqa: N818  the word says more than "error"
    """The file holds no table of readings; the text says why and what would be accepted."""


class ImportStopped(Exception):  # noqa: N818  nothing went wrong
    """Whoever asked for the table no longer wants it."""


def never() -> bool:
    """Nobody stops the work."""
    return False


class Table(msgspec.Struct, frozen=True, eq=False):
    """A table as text.

    Attributes
    ----------
    headings : tuple of str
        Name of each column; "Column 2" and so on where the file has none.
    rows : sequence of tuple of str
        The cells, without headings, empty rows and what stands above the table. A row may be shorter or longer than
        the headings.
    lines : sequence of int
        The line of the file on which each row begins, from 1.
    named : bool
        Whether the file has headings.
    separator, encoding : str
        How the file was read.
    above : int
        Lines above the table that belong to no column.
    figures : Figures or None
        What the cells say, where the table is long and holds nothing but plain numbers and moments of one form.
    """

    headings: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    lines: Sequence[int]
    named: bool
    separator: str
    encoding: str
    above: int = 0
    figures: Figures | None = None
    _columns: dict[int, list[str]] = msgspec.field(default_factory=dict)

    @property
    def width(self) -> int:
        """Number of columns."""
        return len(self.headings)

    def column(self, index: int) -> list[str]:
        """The cells of one column, an empty one where a row is too short."""
        cells = self._columns.get(index)
        if cells is None:
            cells = [row[index] if index < len(row) else "" for row in self.rows]
            self._columns[index] = cells
        return cells


def read_table(data: bytes, stop: Callable[[], bool] = never) -> Table:
    """The table in a file.

    Parameters
    ----------
    data : bytes
        UTF-8 with or without a byte order mark, UTF-16, or the Western code page 1252; cells between tabs, semicolons,
        bars or commas, quoted where they hold such a sign (RFC 4180). [-]

    Raises
    ------
    ImportRefused
        If the file is empty, too large, not text, or no table of at least two columns.
    ImportStopped
        If `stop` said so.
    """
    if len(data) > LARGEST:
        raise ImportRefused(
            f"The file is larger than {LARGEST // 10**6} MB. Choose a file that holds only the readings."
        )
    if not (data[:_HEAD].strip(_NOTHING) or data.strip(_NOTHING)):
        raise ImportRefused("The file is empty. It needs a table with one row for each reading.")
    if data.startswith(_NO_TEXT):
        raise ImportRefused("The file is a workbook or a document, not a text. Save the sheet as CSV and import that.")
    for encoding in _encodings(data):
        try:
            return _table_as(data, encoding, stop)
        except UnicodeError:
            continue
    raise ImportRefused("The file is not text. Save the table as CSV or text, in UTF-8, UTF-16 or Windows-1252.")


_HEAD = 1000
"""So many bytes tell most of what is asked of a file before it is read. [bytes]"""
_NOTHING = b"\x00\r\n\t \xef\xbb\xbf\xff\xfe"
"""Spaces, line ends and byte order marks."""
_NO_TEXT = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")
"""How zipped workbooks, older workbooks and documents begin."""


def _encodings(data: bytes) -> tuple[str, ...]:
    """Encodings to try, in order."""
    if data.startswith(b"\xef\xbb\xbf"):
        return ("utf-8-sig",)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return ("utf-16",)
    head = data[:_HEAD]
    # Text in a Latin alphabet has a zero in every other byte of UTF-16.
    if head[1::2].count(0) > 0.4 * len(head[1::2]):
        return ("utf-16-le",)
    if head[::2].count(0) > 0.4 * len(head[::2]):
        return ("utf-16-be",)
    return ("utf-8", "cp1252")


def _refuse_endless_lines(data: bytes, encoding: str) -> None:
    """Refuse a line that is too long before anything tries to make sense of it."""
    start = end = 0
    for place in range(0, len(data), LONGEST_LINE // 2):  # a line that is longer fills one of these pieces
        if place < end or _line_end(data, place, place + LONGEST_LINE // 2) >= 0:
            continue
        start = max(data.rfind(b"\n", 0, place), data.rfind(b"\r", 0, place)) + 1
        end = _line_end(data, place, len(data))
        end = len(data) if end < 0 else end
        if end - start > LONGEST_LINE and len(data[start:end].decode(encoding, "replace")) > LONGEST_LINE:
            before = max(data.count(sign, 0, start) for sign in (b"\n", b"\r"))
            raise ImportRefused(_ENDLESS.format(before + 1, LONGEST_LINE))


def _line_end(data: bytes, start: int, stop: int) -> int:
    found = [place for sign in (b"\n", b"\r") if (place := data.find(sign, start, stop)) >= 0]
    return min(found, default=-1)


_ENDLESS = "Line {} is longer than {:,} characters. Each reading needs a line of its own."


_TOO_MANY = (
    "The table has more than {:,} rows, and some hold words or gaps. Leave out columns of words, or divide the file."
)


def _opened(data: bytes, encoding: str) -> io.TextIOWrapper:
    """The text, decoded while it is read, with line ends as they are."""
    return io.TextIOWrapper(io.BytesIO(data), encoding, newline="")


def _table_as(data: bytes, encoding: str, stop: Callable[[], bool]) -> Table:
    """The table in a file of this encoding."""
    _refuse_endless_lines(data, encoding)
    sample = list(itertools.islice(_opened(data, encoding), _SAMPLE))
    if CONTROL.search(_QUOTED.sub("", "".join(sample))):
        raise UnicodeError
    told = _TOLD.fullmatch(sample[0])
    separator = told[1] if told else max(SEPARATORS, key=lambda sign: _fits(sample, sign))
    if encoding.startswith("utf-8") and (plain := _plain(data, encoding, separator, told is not None, stop)):
        return plain
    text = _opened(data, encoding)
    if told:
        next(text)
    rows, lines = _rows(text, separator, stop)
    if told:
        lines = [line + 1 for line in lines]
    if lines and _unclosed(_opened(data, encoding), lines[-1], separator):
        raise ImportRefused(f"The quotation mark that opens a cell on line {lines[-1]} is never closed.")
    return _shaped(rows, lines, separator, encoding)


def _plain(data: bytes, encoding: str, separator: str, told: bool, stop: Callable[[], bool]) -> Table | None:
    """The table if it is a long one of plain numbers and moments, by its first rows and then as a whole; else None."""
    if data.count(b"\n", 0, max(_LONG, 1) * _LONG_LINES) < _LONG:
        return None
    head = list(itertools.islice(_opened(data, encoding), 2 * _SAMPLE + 2))
    try:
        rows, lines = _rows(head[told:], separator, stop)
        table = _shaped(rows, [line + told for line in lines], separator, encoding)
    except ImportRefused:
        return None  # the whole may tell more
    start = sum(len(line.encode()) for line in head[: table.lines[0] - 1]) + (3 if encoding == "utf-8-sig" else 0)
    end = len(data)
    while end > start and data[end - 1] in b"\r\n \t":
        end -= 1
    body = memoryview(data)[start:end]
    try:
        found, starts = figures(body, separator, table.width, stop)
    except NotPlain:
        return None
    rest = Lines(body, separator, starts)
    return msgspec.structs.replace(
        table, rows=rest, lines=range(table.lines[0], table.lines[0] + found.rows), figures=found
    )


_TOLD = re.compile(r"sep=([;,|\t])[ \t]*[\r\n]*", re.IGNORECASE)
"""A first line that names the separator, as spreadsheets write it."""


def _fits(sample: list[str], separator: str) -> float:
    """How well a separator explains the first lines: rows of one width, cells that are numbers or dates."""
    try:
        rows = [row for row in csv.reader(sample, delimiter=separator, skipinitialspace=True) if any(row)]
    except (
        csv.Error
    ):  # a cell without end: it is as good as any sign that explains nothing, and the whole table tells where
        return 1e-9
    widths = Counter(len(row) for row in rows if len(row) > 1)
    if not widths:
        return 0.0
    width, often = widths.most_common(1)[0]
    cells = [cell for row in rows if len(row) == width for cell in row if cell.strip()]
    typed = sum(is_value(cell) for cell in cells) / max(1, len(cells))
    return often / len(rows) * (0.05 + typed)


def is_value(cell: str) -> bool:
    """Whether a cell is a number, with at most a short unit, or a moment or time of day."""
    found = number(cell, ".")
    if found is not None and len(found.unit) <= 4:
        return True
    return any(read is not None for read in (moment(cell, day_first=True), moment(cell, day_first=False), clock(cell)))


def _rows(text: Iterable[str], separator: str, stop: Callable[[], bool]) -> tuple[list[tuple[str, ...]], list[int]]:
    """All rows that are not empty, and the line on which each begins."""
    # The loop is one in Python on purpose: between its steps other threads, such as that of the window, have their turn.
    reader = csv.reader(text, delimiter=separator, skipinitialspace=True)
    rows: list[tuple[str, ...]] = []
    lines: list[int] = []
    line = 1
    try:
        for count, row in enumerate(reader):
            if any(row):
                rows.append(tuple(row))
                lines.append(line)
            line = reader.line_num + 1
            if len(rows) > MOST_ROWS:
                raise ImportRefused(_TOO_MANY.format(MOST_ROWS))
            if count % _STOP_EVERY == 0 and stop():
                raise ImportStopped
    except csv.Error as problem:
        if "field limit" in str(problem):
            raise ImportRefused(_ENDLESS.format(line, LONGEST_LINE)) from problem
        raise ImportRefused(
            f"Line {line} cannot be split into cells. Is a quotation mark there never closed?"
        ) from problem
    return rows, lines


def _unclosed(text: Iterable[str], line: int, separator: str) -> bool:
    """Whether the last row opens a quotation mark that swallows all that follows."""
    last = list(itertools.islice(text, line - 1, None))
    if len(last) < 2:
        return False
    try:
        for _ in csv.reader(last, delimiter=separator, skipinitialspace=True, strict=True):
            pass
    except csv.Error:
        return True
    return False


def _filled(row: Sequence[str]) -> int:
    """Cells of a row without the empty ones at its end."""
    width = len(row)
    while width and not row[width - 1].strip():
        width -= 1
    return width


def _has_value(row: Sequence[str]) -> bool:
    return any(is_value(cell) for cell in row)


def _shaped(rows: list[tuple[str, ...]], lines: list[int], separator: str, encoding: str) -> Table:
    """Tell what stands above the table, its headings, and its columns."""
    widths = Counter(len(row) for row in rows[:_SAMPLE] if len(row) > 1)
    if not widths:
        raise ImportRefused(
            "The file has only one column. Each row needs a time and a reading, separated by commas, semicolons, tabs or bars."
        )
    usual = widths.most_common(1)[0][0]
    above = _rows_above(rows, usual)
    rows, lines, before = rows[above:], lines[above:], rows[:above]
    named = not _has_value(rows[0])
    if named and len(rows) < 2:
        raise ImportRefused("The file has headings, but no rows below them.")
    body = rows[1 : _SAMPLE + 1] if named else rows[:_SAMPLE]
    headings = [" ".join(cell.split()) for cell in rows[0]] if named else []
    first = int(named)
    if named and _are_units(body):
        pairs = itertools.zip_longest(headings, body[0], fillvalue="")
        headings = [f"{heading} {unit.strip()}".strip() for heading, unit in pairs]
        first, body = 2, body[1:]
    filled = Counter(_filled(row) for row in body).most_common(1)[0][0]
    if before and not named and _filled(before[-1]) > 1:
        headings = list(before[-1][: _filled(before[-1])])
    _refuse_cells_without_a_place(headings, filled, body, separator)
    most = max(_filled(row) for row in body)
    width = max(_filled(headings), min(filled, len(headings))) if named else max(usual, min(most, usual + 1))
    names = (headings if named else []) + [""] * width
    return Table(
        headings=tuple(
            name[:_LONGEST_HEADING] or f"Column {index}" for index, name in enumerate(names[:width], start=1)
        ),
        rows=tuple(rows[first:]),
        lines=tuple(lines[first:]),
        named=named,
        separator=separator,
        encoding=encoding,
        above=lines[0] - 1,
    )


def _rows_above(rows: list[tuple[str, ...]], width: int) -> int:
    """Rows before the first that has the width of the table: a title, a name, remarks."""
    for index, row in enumerate(rows[:_SAMPLE]):
        if len(row) >= width and (_has_value(row) or sum(1 for cell in row if cell.strip()) > 1):
            return index
    return 0


def _are_units(body: list[tuple[str, ...]]) -> bool:
    """Whether the row below the headings holds units, and values begin below it."""
    if len(body) < 2 or _has_value(body[0]) or any(len(cell.strip()) > _LONGEST_UNIT for cell in body[0]):
        return False
    units = [bool(_UNIT.fullmatch(cell.strip())) for cell in body[0] if cell.strip()]
    # Among units that are known one that is not may stand; words alone are a row of the table.
    return any(units) and (all(units) or _has_value(body[1]))


def _refuse_cells_without_a_place(
    headings: list[str], filled: int, body: list[tuple[str, ...]], separator: str
) -> None:
    """Cells under wrong names cannot be read; most often a decimal comma was taken for one between cells."""
    hint = " Decimal commas cannot be told from commas between cells: save the table with semicolons or tabs."
    if headings and filled > len(headings):
        raise ImportRefused(
            f"The file has {len(headings)} headings, but most rows have {filled} cells.{hint if separator == ',' else ''}"
        )
    if separator != ",":
        return
    for ones, rest in itertools.pairwise(zip(*(row for row in body if len(row) >= filled), strict=False)):
        halves = all(cell.strip() in ("0", "1") for cell in ones) and all(cell.strip().isdecimal() for cell in rest)
        if halves and any(cell.strip().startswith("0") and len(cell.strip()) > 1 for cell in rest):
            raise ImportRefused(f"Numbers of the file fall apart at their commas.{hint}")


def crooked_rows(table: Table) -> Iterator[tuple[int, int]]:
    """Rows with more filled cells than the table has columns, and how many they have."""
    width = table.width
    for index, row in enumerate(table.rows):
        if len(row) > width and (filled := _filled(row)) > width:
            yield index, filled
