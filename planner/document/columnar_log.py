"""The entries of a log as one immutable sequence, in which a long run of like readings stands as columns of numbers.

A season of a sensor has a hundred thousand readings that differ in four fields. As columns they are read, compared and
worked out at once; whoever wants the reading of a row gets one as if it had been typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from functools import cache
from itertools import accumulate, chain, groupby, pairwise, repeat
from operator import attrgetter, itemgetter
from typing import Any, Generic, TypeVar, cast, overload

import msgspec
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.int64]
T = TypeVar("T", bound=msgspec.Struct)
Kind = TypeVar("Kind", bound=msgspec.Struct)

COLUMNS = ("at", "day", "temperature", "gravity", "excluded", "brix", "lost", "sugar", "below", "ph")
"""Fields that may differ from one reading of a run to the next; the first five are those of a gravity."""
LONG = 100
"""From so many like readings on, they stand as a run."""

_MOMENT = re.compile(
    r"(?!0000)\d{4}-\d\d-\d\dT([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?(Z|[+-]([01]\d|2[0-3]):[0-5]\d)", re.ASCII
)
_OFFSET = re.compile(r"[+-]([01]\d|2[0-3]):[0-5]\d", re.ASCII)


class Run(Generic[T]):
    """Readings of one kind: some fields of each reading stand in columns, the others are those of one of them.

    Parameters
    ----------
    columns : dict of str to numpy.ndarray, shape (n,)
        The fields that differ, at least one of `COLUMNS`. Moments are ASCII bytes of one form; no column has a gap.
        [as the fields]
    """

    __slots__ = ("_made", "columns", "like")

    def __init__(self, like: T, columns: dict[str, npt.NDArray[Any]]) -> None:
        self.like, self.columns = like, columns
        self._made: tuple[T, ...] | None = None
        for column in columns.values():
            column.flags.writeable = False

    def __len__(self) -> int:
        return len(next(iter(self.columns.values())))

    @property
    def is_long(self) -> bool:
        """Whether it is worth to be written as columns."""
        return len(self) >= LONG

    @property
    def first(self) -> T:
        """The first of them."""
        if self._made is not None:
            return self._made[0]
        return msgspec.structs.replace(
            self.like, **{name: self.chosen(slice(1)).values(name)[0] for name in self.columns}
        )

    def chosen(self, which: slice | Flags) -> Run[T]:
        """Some of the readings, in the same order."""
        some = Run(self.like, {name: column[which] for name, column in self.columns.items()})
        if self._made is not None:
            made = self._made
            some._made = made[which] if isinstance(which, slice) else tuple([made[n] for n in np.flatnonzero(which)])
        return some

    def all_with(self, **fields: Any) -> Run[T]:
        """The same readings with other values of fields, alike for all."""
        columns = {name: column for name, column in self.columns.items() if name not in fields}
        return Run(msgspec.structs.replace(self.like, **fields), columns)

    def leaving_out(self, excluded: Flags) -> Run[T]:
        """The same readings, of which others are left out."""
        after = Run(self.like, {**self.columns, "excluded": excluded})
        if self._made is not None:
            made = list(self._made)
            for place in np.flatnonzero(self.flags("excluded") != excluded).tolist():
                made[place] = msgspec.structs.replace(made[place], excluded=bool(excluded[place]))
            after._made = tuple(made)
        return after

    def made(self) -> tuple[T, ...]:
        """Each reading as a value of its own; they are made once."""
        if self._made is None:
            kind: Any = type(self.like)
            usual = COLUMNS[:4]
            if (
                "gravity" in self.columns
                and self.columns.keys() <= set(usual)
                and self.like == kind(**self._of_one(usual, kind))
            ):
                # As nearly all runs are; to name more fields would take twice as long.
                self._made = tuple([
                    kind(at=a, day=d, temperature=t, gravity=g)
                    for a, d, t, g in zip(*(self._each(name) for name in usual), strict=False)
                ])  # fmt: skip
            else:
                names = tuple(self.columns)
                rest = self._of_one([name for name in kind.__struct_fields__ if name not in names], kind)
                self._made = tuple([
                    kind(**dict(zip(names, row, strict=True)), **rest)
                    for row in zip(*map(self.values, names), strict=True)
                ])  # fmt: skip
        return self._made

    def _of_one(self, names: Iterable[str], kind: type[T]) -> dict[str, Any]:
        return {name: getattr(self.like, name) for name in names if name in kind.__struct_fields__}

    def _each(self, name: str) -> Iterable[Any]:
        return self.values(name) if name in self.columns else repeat(getattr(self.like, name, None))

    def values(self, name: str) -> list[Any]:
        """A field of each reading; None where readings of this kind have no such field."""
        column = self.columns.get(name)
        if column is None:
            return [getattr(self.like, name, None)] * len(self)
        if column.dtype.kind == "S":
            return b"\n".join(column.tolist()).decode("ascii").split("\n")
        return list(column.tolist())

    def floats(self, name: str) -> Array:
        """A field of each reading as a number; not a number where there is none, shape (n,). [as the field]"""
        return self._array(name, np.float64, np.nan)

    def flags(self, name: str) -> Flags:
        """A field of each reading as yes or no, shape (n,). [-]"""
        return self._array(name, np.bool_, False)

    def _array(self, name: str, dtype: type, missing: object) -> npt.NDArray[Any]:
        if name in self.columns:
            return self.columns[name]
        value = getattr(self.like, name, None)
        return np.full(len(self), missing if value is None else value, dtype)

    def same(self, other: Run[T]) -> Flags:
        """Which readings are those of another run, place by place, shape (n,). [-]"""
        found = np.full(len(self), type(self.like) is type(other.like))
        for name in self.like.__struct_fields__ if found.any() else ():
            found &= self._to_compare(name) == other._to_compare(name)
        return found

    def _to_compare(self, name: str) -> Any:
        """A field as its column, or as the one value that all have."""
        if name in self.columns:
            return self.columns[name]
        value = getattr(self.like, name)
        return value.encode() if name == "at" and value is not None else value


def _equal(one: Sequence[T], other: Sequence[T]) -> Flags:
    return np.fromiter((a is b or a == b for a, b in zip(one, other, strict=True)), bool, len(one))


def _with(entry: T, fields: dict[str, Any]) -> T:
    alike = all(getattr(entry, name) == value for name, value in fields.items())
    return entry if alike else msgspec.structs.replace(entry, **fields)


Piece = tuple[T, ...] | Run[T]


def _part(piece: Piece[T], start: int, stop: int) -> Piece[T]:
    if (start, stop) == (0, len(piece)):
        return piece
    return piece.chosen(slice(start, stop)) if isinstance(piece, Run) else piece[start:stop]


class Entries(Sequence[T]):
    """Entries in the order they came: a tuple in all that it does, made of pieces that are tuples or runs.

    Edits give other entries, which share with these whatever is the same in both.
    """

    __slots__ = ("_all", "_is_gathered", "_starts", "pieces")

    def __init__(self, *pieces: Piece[T]) -> None:
        joined: list[Piece[T]] = []
        for is_run, some in groupby(filter(len, pieces), lambda piece: isinstance(piece, Run)):
            alike = list(some)
            whole = is_run or len(alike) == 1
            joined += alike if whole else [tuple(chain.from_iterable(cast("list[tuple[T, ...]]", alike)))]
        self.pieces = tuple(joined)
        self._starts = list(accumulate(map(len, joined), initial=0))
        self._all: tuple[T, ...] | None = None
        self._is_gathered = False

    @classmethod
    def of(cls, entries: Iterable[T]) -> Entries[T]:
        """These entries; themselves if they are such a sequence already."""
        return entries if isinstance(entries, Entries) else cls(tuple(entries))

    # --- as a tuple

    def every(self) -> tuple[T, ...]:
        """All of them, each as a value of its own."""
        if self._all is None:
            made = [piece.made() if isinstance(piece, Run) else piece for piece in self.pieces]
            self._all = made[0] if len(made) == 1 else tuple(chain.from_iterable(made))
        return self._all

    def __len__(self) -> int:
        return self._starts[-1]

    def __iter__(self) -> Iterator[T]:
        return iter(self.every())

    @overload
    def __getitem__(self, index: int) -> T: ...

    @overload
    def __getitem__(self, index: slice) -> Entries[T]: ...

    def __getitem__(self, index: int | slice) -> T | Entries[T]:
        if not isinstance(index, slice):
            return (self._all or self.every())[index]
        start, stop, step = index.indices(len(self))
        if step != 1:
            return Entries(self.every()[index])
        return Entries(*(self._between(start, stop)))

    def __add__(self, other: Iterable[T]) -> Entries[T]:
        return Entries(*self.pieces, *Entries.of(other).pieces)

    def __radd__(self, other: Iterable[T]) -> Entries[T]:
        return Entries.of(other) + self

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Entries | tuple):
            return NotImplemented
        return self is other or (len(self) == len(other) and bool(np.all(self.same(Entries.of(other)))))

    def __hash__(self) -> int:
        return hash(self.every())

    def __repr__(self) -> str:
        return f"Entries({self.every()!r})"

    # --- other entries

    def with_one(self, index: int, entry: T) -> Entries[T]:
        """Another entry in the place of one."""
        return Entries(*self._between(0, index), (entry,), *self._between(index + 1, len(self)))

    def without(self, places: Collection[int]) -> Entries[T]:
        """All but some."""
        kept = np.ones(len(self), bool)
        kept[list(places)] = False
        return Entries(*(
            _chosen(piece, mine) if not mine.all() else piece for piece, mine in self._each_with(kept)
        ))  # fmt: skip

    def leaving_out(self, places: Collection[int], excluded: bool = True) -> Entries[T]:
        """The same with some left out of all that is worked out, or counted again."""
        chosen = np.zeros(len(self), bool)
        chosen[list(places)] = True
        return Entries(*(
            _left_out(piece, mine, excluded) if mine.any() else piece for piece, mine in self._each_with(chosen)
        ))  # fmt: skip

    def _between(self, start: int, stop: int) -> Iterator[Piece[T]]:
        for piece, (first, end) in zip(self.pieces, pairwise(self._starts), strict=True):
            if start < end and stop > first:
                yield _part(piece, max(start - first, 0), min(stop, end) - first)

    def _each_with(self, values: Flags) -> Iterator[tuple[Piece[T], Flags]]:
        for piece, (first, end) in zip(self.pieces, pairwise(self._starts), strict=True):
            yield piece, values[first:end]

    def gathered(self) -> Entries[T]:
        """The same, in which each long stretch of like readings is one run."""
        if self._is_gathered or len(self) < LONG:
            return self
        after = Entries(*chain.from_iterable(_runs_in(list(some)) for some in _groups(self.pieces, type)))
        after._is_gathered = True
        return after

    def alike(self, **fields: Any) -> Entries[T]:
        """The same with one value of each of some fields in all of them; what has it already is shared."""
        return Entries(*(
            piece.all_with(**fields) if isinstance(piece, Run) else tuple([_with(entry, fields) for entry in piece])
            for piece in self.pieces
        ))  # fmt: skip

    # --- as columns

    def tells(self, name: str) -> bool:
        """Whether any of them has something in a field."""
        return any(
            name in piece.columns or bool(getattr(piece.like, name, None))
            if isinstance(piece, Run)
            else any(getattr(entry, name, None) for entry in piece)
            for piece in self.pieces
        )

    def values(self, name: str) -> list[Any]:
        """A field of each; None where it has no such field."""
        parts = [
            piece.values(name) if isinstance(piece, Run) else [getattr(entry, name, None) for entry in piece]
            for piece in self.pieces
        ]
        return parts[0] if len(parts) == 1 else list(chain.from_iterable(parts))

    def floats(self, name: str) -> Array:
        """A field of each as a number; not a number where it has none, shape (n,). [as the field]"""
        return np.concatenate([
            np.empty(0),
            *(piece.floats(name) if isinstance(piece, Run)
              else np.array([getattr(entry, name, None) for entry in piece], dtype=float) for piece in self.pieces),
        ])  # fmt: skip

    def flags(self, name: str) -> Flags:
        """A field of each as yes or no, shape (n,). [-]"""
        return np.concatenate([
            np.empty(0, bool),
            *(piece.flags(name) if isinstance(piece, Run)
              else np.array([bool(getattr(entry, name, False)) for entry in piece]) for piece in self.pieces),
        ])  # fmt: skip

    def places(self) -> dict[type[T], Places]:
        """Where the entries of each kind stand, by rising place. [-]"""
        found: dict[type[T], list[Places]] = {}
        for piece, first in zip(self.pieces, self._starts, strict=False):
            if isinstance(piece, Run):
                found.setdefault(type(piece.like), []).append(np.arange(first, first + len(piece)))
                continue
            mine: dict[type[T], list[int]] = {}
            for place, entry in enumerate(piece, start=first):
                mine.setdefault(type(entry), []).append(place)
            for kind, some in mine.items():
                found.setdefault(kind, []).append(np.array(some))
        return {kind: np.concatenate(some) for kind, some in found.items()}

    def of_kind(self, *kinds: type[Kind]) -> Iterator[tuple[int, Kind]]:
        """The place and the entry of each of some kinds; runs of others are not looked at."""
        for piece, first in zip(self.pieces, self._starts, strict=False):
            if isinstance(piece, tuple):
                yield from ((first + n, entry) for n, entry in enumerate(piece) if isinstance(entry, kinds))
            elif isinstance(piece.like, kinds):
                yield from enumerate(cast("tuple[Kind, ...]", piece.made()), start=first)

    def same(self, other: Entries[T]) -> Flags:
        """Which entries are those of others, place by place, as far as both go, shape (n,). [-]"""
        count = min(len(self), len(other))
        bounds = sorted({place for place in (*self._starts, *other._starts) if place < count} | {count})
        found = np.ones(count, bool)
        for start, stop in pairwise(bounds):
            (mine,), (theirs,) = self._between(start, stop), other._between(start, stop)
            if mine is not theirs:
                found[start:stop] = _same(mine, theirs)
        return found


def _same(one: Piece[T], other: Piece[T]) -> Flags:
    if isinstance(one, Run) and isinstance(other, Run):
        return one.same(other)
    return _equal(*(piece.made() if isinstance(piece, Run) else piece for piece in (one, other)))


def _chosen(piece: Piece[T], which: Flags) -> Piece[T]:
    return piece.chosen(which) if isinstance(piece, Run) else tuple([piece[n] for n in np.flatnonzero(which)])


def _left_out(piece: Piece[T], which: Flags, excluded: bool) -> Piece[T]:
    if isinstance(piece, Run):
        return piece.leaving_out(np.where(which, excluded, piece.flags("excluded")))
    return tuple([
        msgspec.structs.replace(entry, excluded=excluded) if chosen else entry
        for entry, chosen in zip(piece, which.tolist(), strict=True)
    ])  # fmt: skip


def _groups(pieces: Iterable[Piece[T]], key: Callable[[T], object]) -> Iterator[Iterator[Piece[T]]]:
    """Pieces that are alike in something, as long as that does not change."""

    def parted() -> Iterator[tuple[object, Piece[T]]]:
        for piece in pieces:
            if isinstance(piece, Run):
                yield key(piece.first), piece
            else:
                yield from ((value, tuple(some)) for value, some in groupby(piece, key))

    for _, some in groupby(parted(), itemgetter(0)):
        yield map(itemgetter(1), some)


def _runs_in(pieces: list[Piece[T]]) -> Iterator[Piece[T]]:
    """Pieces of one kind of entry; those that are a long stretch of like ones as a run."""
    if sum(map(len, pieces)) < LONG:
        yield from pieces
        return
    for group in _groups(pieces, _shape):
        some = list(group)
        yield from [run] if sum(map(len, some)) >= LONG and (run := _joined(some)) is not None else some


def _shape(entry: T) -> tuple[object, ...]:
    """What entries of a kind must have alike to stand in one run."""
    alike, differing = _getters(type(entry))
    told = [value if value is None else len(value) if type(value) is str else ... for value in differing(entry)]
    return alike(entry), told


@cache
def _getters(kind: type[T]) -> tuple[Callable[[T], Any], Callable[[T], Any]]:
    """What gives the fields of an entry that a run has once, and those that may stand in its columns."""
    names = kind.__struct_fields__
    once, each = ([name for name in names if (name in COLUMNS) is may] for may in (False, True))
    return attrgetter(*once), attrgetter(*each)


def _joined(pieces: list[Piece[T]]) -> Run[T] | None:
    """Pieces of one shape as a run; none where their moments are of different forms, or are no moments."""
    if len(pieces) == 1 and isinstance(pieces[0], Run):
        return pieces[0]
    log = Entries(*pieces)
    like = log[0]
    columns = {}
    for name in COLUMNS:
        value = getattr(like, name, None)
        if value is None:
            continue
        column = column_of(name, log.values(name))
        if column is None:
            return None
        if column.dtype != bool or (column != value).any():
            columns[name] = column
    run = Run(like, columns)
    run._made = log.every()
    return run


def _are_moments(column: npt.NDArray[np.bytes_], like: str) -> bool:
    """Whether texts as long as a moment have its signs in their places, and offsets that can be: a pattern for each of a hundred
    thousand would be felt. Days and hours are not looked at."""
    signs, model = column.view(np.uint8).reshape(len(column), -1), np.frombuffer(like.encode(), np.uint8)
    digits = (model >= ord("0")) & (model <= ord("9"))
    fixed = ~digits
    fixed[-6] &= like.endswith("Z")  # the sign of an offset
    if not (signs[:, digits] - ord("0") <= 9).all() or not (signs[:, fixed] == model[fixed]).all():
        return False
    offsets = set() if like.endswith("Z") else set(np.unique(np.ascontiguousarray(signs[:, -6:]).view("S6")).tolist())
    return not (signs[:, :4] == ord("0")).all(axis=1).any() and all(
        _OFFSET.fullmatch(text.decode()) for text in offsets
    )


def column_of(name: str, values: Sequence[Any]) -> npt.NDArray[Any] | None:
    """A field of several readings as a column; None where they are moments of different forms, or not what they should be.

    Parameters
    ----------
    values : sequence
        At least one, and none of them missing. [as the field]
    """
    if name != "at":
        column = np.array(values)
        if column.dtype.kind not in "bif":
            return None  # a script's text for a number: no column makes a number of it
        return column.astype(bool if name in ("excluded", "below") else float, copy=False)
    if len(set(map(len, values))) > 1 or not _MOMENT.fullmatch(values[0]):
        return None
    try:
        column = np.array(values, "S")
    except UnicodeEncodeError:
        return None
    if not _are_moments(column, values[0]):
        return None
    try:
        column.astype(f"S{len(values[0]) - (1 if values[0].endswith('Z') else 6)}").astype("datetime64[s]")
    except ValueError:
        return None  # such as the 30th of February
    return column
