"""The entries of a log as one immutable sequence, in which a long run of gravities stands as columns of numbers.

A season of a sensor has a hundred thousand readings that differ in four fields. As columns they are read, compared and
worked out at once; whoever wants the reading of a row gets one as if it had been typed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import accumulate, chain, pairwise, repeat
from typing import Any, Generic, TypeVar, cast, overload

import msgspec
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.int64]
T = TypeVar("T", bound=msgspec.Struct)
Kind = TypeVar("Kind", bound=msgspec.Struct)

COLUMNS = ("at", "day", "temperature", "gravity", "excluded")
"""Fields that may differ from one reading of a run to the next."""


class Run(Generic[T]):
    """Gravities by one instrument: some fields of each reading stand in columns, the others are those of one of them.

    Parameters
    ----------
    like : entry
        A reading whose other fields all have. [as its fields]
    columns : dict of str to numpy.ndarray, shape (n,)
        The fields that differ, among `COLUMNS`; "gravity" is always one. Moments are ASCII bytes; no column has a gap.
        [as the fields]
    """

    __slots__ = ("_made", "columns", "like")

    def __init__(self, like: T, columns: dict[str, npt.NDArray[Any]]) -> None:
        self.like, self.columns = like, columns
        self._made: tuple[T, ...] | None = None
        for column in columns.values():
            column.flags.writeable = False

    def __len__(self) -> int:
        return len(self.columns["gravity"])

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
            at, day, warmth, gravity, out = (self._each(name) for name in COLUMNS)
            if "excluded" not in self.columns and self.like == kind(**self._of_one(COLUMNS[:4])):
                # As nearly all runs are; to name more fields would take twice as long.
                self._made = tuple([
                    kind(at=a, day=d, temperature=t, gravity=g)
                    for a, d, t, g in zip(at, day, warmth, gravity, strict=False)
                ])  # fmt: skip
            else:
                rest = self._of_one([name for name in kind.__struct_fields__ if name not in COLUMNS])
                self._made = tuple([
                    kind(at=a, day=d, temperature=t, gravity=g, excluded=e, **rest)
                    for a, d, t, g, e in zip(at, day, warmth, gravity, out, strict=False)
                ])  # fmt: skip
        return self._made

    def _of_one(self, names: Iterable[str]) -> dict[str, Any]:
        return {name: getattr(self.like, name) for name in names}

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
        if self._shared() != other._shared():
            return _equal(self.made(), other.made())
        found = np.ones(len(self), bool)
        for name, column in self.columns.items():
            found &= column == other.columns[name]
        return found

    def _shared(self) -> tuple[type, dict[str, Any]]:
        """What two runs must have alike so that their columns tell all."""
        return type(self.like), self._of_one(n for n in self.like.__struct_fields__ if n not in self.columns)


def _equal(one: Sequence[T], other: Sequence[T]) -> Flags:
    return np.fromiter((a is b or a == b for a, b in zip(one, other, strict=True)), bool, len(one))


Piece = tuple[T, ...] | Run[T]


def _part(piece: Piece[T], start: int, stop: int) -> Piece[T]:
    if (start, stop) == (0, len(piece)):
        return piece
    return piece.chosen(slice(start, stop)) if isinstance(piece, Run) else piece[start:stop]


class Entries(Sequence[T]):
    """Entries in the order they came: a tuple in all that it does, made of pieces that are tuples or runs.

    Edits give other entries, which share with these whatever is the same in both.
    """

    __slots__ = ("_all", "_starts", "pieces")

    def __init__(self, *pieces: Piece[T]) -> None:
        joined: list[Piece[T]] = []
        for piece in pieces:
            if joined and isinstance(piece, tuple) and isinstance(joined[-1], tuple):
                joined[-1] = (*joined[-1], *piece)
            elif len(piece):
                joined.append(piece)
        self.pieces = tuple(joined)
        self._starts = list(accumulate(map(len, joined), initial=0))
        self._all: tuple[T, ...] | None = None

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
