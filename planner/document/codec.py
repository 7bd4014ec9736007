"""A batch as the bytes of its file, and back: readable JSON in an envelope with a format name and a schema number."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any, Literal

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Batch, Entry
from planner.document.columnar_log import Entries, Run
from planner.document.migrations import MIGRATIONS
from planner.document.refusals import damage, in_words, kind, shown, without_mark
from planner.document.run_columns import KEYS

FORMAT = "fruit-mead-planner/batch"
SCHEMA = 7
SUFFIX = ".meadbatch"
MOST_VALUES = 8_000_000
"""Two million readings of a sensor have so many; a file with more fills the memory long before it is refused."""


class BatchFileError(ValueError):
    """The file cannot be read, or the batch not written; the text says where and why."""


class ImpossibleBatch(ValueError):  # noqa: N818  the word says more than "error"
    """The batch holds what no file can; the text says where and why."""


def encode(batch: Batch) -> bytes:
    """The batch as a file.

    Parameters
    ----------
    batch : Batch
        Any batch.

    Returns
    -------
    bytes
        UTF-8 JSON, sorted and indented so that two versions can be compared line by line.

    Raises
    ------
    BatchFileError
        If `decode` would not read it back the same (a number that is not finite, a value out of its limits).
    """
    try:
        data = _written(batch, "sorted")
        _must_be_read_back(data, batch)
    except ImpossibleBatch as error:
        raise BatchFileError(f"This batch cannot be written so that it could be opened again. {error}") from error
    return msgspec.json.format(data, indent=2) + b"\n"


def encode_quickly(batch: Batch) -> bytes:
    """The batch for a copy that nobody is to compare: neither sorted nor indented nor read back, in a fifth of the time.

    Parameters
    ----------
    batch : Batch
        Any batch.

    Returns
    -------
    bytes
        UTF-8 JSON, which `decode` reads.

    Raises
    ------
    BatchFileError
        A text in it holds half of a character.
    """
    try:
        return _written(batch, None)
    except ImpossibleBatch as error:
        raise BatchFileError(f"This batch cannot be written. {error}") from error


def refuse_impossible(batch: Batch) -> None:
    """Refuse a batch that a file could not hold, such as one that a script made.

    Parameters
    ----------
    batch : Batch
        Any batch.

    Raises
    ------
    ImpossibleBatch
        A value of the wrong type, beyond its limits, or not finite, or a text that no file can hold.

    Notes
    -----
    Of a long run of readings only those with the least and the largest numbers are looked at, so that a season of a
    sensor costs no more than a few readings; the whole is read only to name the place.
    """
    if not isinstance(batch, Batch):
        raise ImpossibleBatch(f"This is not a batch: it is {kind(batch)}.")
    some = batch
    if isinstance(batch.log.readings, Entries) and any(isinstance(piece, Run) for piece in batch.log.readings.pieces):
        few = Entries(*(_utmost(piece) if isinstance(piece, Run) else piece for piece in batch.log.readings.pieces))
        some = msgspec.structs.replace(batch, log=msgspec.structs.replace(batch.log, readings=few))
    try:
        _must_be_read_back(_written(some, None), some)
    except ImpossibleBatch:
        _must_be_read_back(_written(batch, None), batch)
        raise


def _utmost(run: Run[Entry]) -> tuple[Entry, ...]:
    """Of a run the readings that hold the least and the largest of each number; one that is none counts as both."""
    numbers = [column for column in run.columns.values() if column.dtype.kind == "f"]
    places = {0, *(int(find(column)) for column in numbers for find in (np.argmin, np.argmax))}
    return tuple(run.chosen(slice(place, place + 1)).first for place in sorted(places))


def _must_be_read_back(data: bytes, batch: Batch) -> None:
    """Refuse a batch of which its own file would make another."""
    try:
        again = decode(data)
    except BatchFileError as error:
        raise ImpossibleBatch(str(error)) from error
    if again != batch:
        raise ImpossibleBatch(_difference(batch, again, "batch"))


def _difference(given: Any, kept: Any, place: str) -> str:
    """The first place at which a batch is not what its file would hold, and what is wrong there."""
    if type(given) is type(kept) and isinstance(given, msgspec.Struct):
        inside = [
            (getattr(given, f.name), getattr(kept, f.name), f".{f.encode_name}") for f in msgspec.structs.fields(given)
        ]
    elif type(given) is type(kept) and isinstance(given, tuple | Entries) and len(given) == len(kept):
        inside = [(one, other, f"[{n}]") for n, (one, other) in enumerate(zip(given, kept, strict=True))]
    else:
        inside = []
    for one, other, step in inside:
        if one != other:
            return _difference(one, other, place + step)
    if isinstance(given, float):
        return f"In {place}: a number must be finite, and this is {given}."
    return f"In {place}: expected {kind(kept)}, got {kind(given)}."


def _written(batch: Batch, order: Literal["sorted"] | None) -> bytes:
    envelope = {"format": FORMAT, "schema": SCHEMA, "batch": batch}
    try:
        return msgspec.json.encode(envelope, order=order, enc_hook=_in_file)
    except (UnicodeEncodeError, TypeError) as error:
        raise ImpossibleBatch(next(_unwritable(batch, "batch"), f"{error}.")) from error


def _unwritable(part: Any, place: str) -> Iterator[str]:
    """Each place at which a batch holds what JSON cannot, and what that is."""
    if isinstance(part, msgspec.Struct):
        for field in msgspec.structs.fields(part):
            yield from _unwritable(getattr(part, field.name), f"{place}.{field.encode_name}")
    elif isinstance(part, tuple | list | Entries):
        for number, one in enumerate(part):
            yield from _unwritable(one, f"{place}[{number}]")
    else:
        try:
            msgspec.json.encode(part, enc_hook=_in_file)
        except UnicodeEncodeError:
            yield f"In {place}: a text in it holds half of a character."
        except TypeError:
            yield f"In {place}: {kind(part)} cannot stand in a file."


def _in_file(part: Any) -> Any:
    """What msgspec does not know by itself: the entries of a log, and numbers that a library made."""
    if isinstance(part, Entries):
        return _pieces_in_file(part)
    if isinstance(part, float):
        return float(part)
    raise TypeError(f"{kind(part)} cannot stand in a file")


def _pieces_in_file(entries: Entries[Entry]) -> list[Entry | dict[str, Any]]:
    """The entries as they stand in a file: one by one, and each long run of like ones in columns."""
    found: list[Entry | dict[str, Any]] = []
    for piece in entries.gathered().pieces:
        if isinstance(piece, Run) and piece.is_long:
            found.append(_columns(piece))
        else:
            found += piece.made() if isinstance(piece, Run) else piece
    return found


def _columns(run: Run[Entry]) -> dict[str, Any]:
    """A run as `RunInFile` reads it."""
    columns = {name: column[1:] for name, column in run.columns.items() if (column != column[0]).any()}
    if not columns:  # all alike: one column tells how many they are
        columns = {name: column[1:] for name, column in itertools.islice(run.columns.items(), 1)}
    then = {KEYS[name]: msgspec.Raw(b"[" + b",".join(_in_parts(column)) + b"]") for name, column in columns.items()}
    return {"kind": "run", "first": run.first, "then": then}


PART = 10_000
"""Values that are written at once: between two parts another thread, such as the window's, may go on."""


def _in_parts(column: npt.NDArray[Any]) -> Iterator[bytes]:
    for start in range(0, len(column), PART):
        some = column[start : start + PART].tolist()
        yield b'"' + b'","'.join(some) + b'"' if column.dtype.kind == "S" else msgspec.json.encode(some)[1:-1]


def decode(data: bytes) -> Batch:
    """The batch in a file.

    Parameters
    ----------
    data : bytes
        Content of a file.

    Returns
    -------
    Batch
        Migrated to the present schema where the file is older.

    Raises
    ------
    BatchFileError
        Whatever is wrong: one text that names the place in the file and what is expected there.
    """
    if data.count(b",") > MOST_VALUES:
        raise BatchFileError(f"The file holds more than {MOST_VALUES // 10**6} million values, which no batch has.")
    try:
        whole = _DECODER.decode(data)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return _step_by_step(data)
    return whole.batch if (whole.format, whole.schema) == (FORMAT, SCHEMA) else _step_by_step(data)


class _Envelope(msgspec.Struct, forbid_unknown_fields=True):
    """What a file of the present schema holds."""

    format: str
    schema: int
    batch: Batch


_DECODER = msgspec.json.Decoder(_Envelope)
"""Twice as quick as step by step, which an older file needs, and one in which something is wrong."""


def _step_by_step(data: bytes) -> Batch:
    """The batch in a file of any schema, or what is wrong with the file."""
    data = without_mark(data)
    raw = _document(data)
    given, version = _read(raw.get("format"), data), _read(raw.get("schema"), data)
    if given != FORMAT:
        raise BatchFileError(
            f'This is not a batch file: its "format" is {shown(given)}, not {FORMAT!r}. '
            "Choose a file that this program saved."
        )
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise BatchFileError(
            f'The file\'s "schema" is {shown(version)}; it should be a whole number from 1 to {SCHEMA}.'
        )
    if version > SCHEMA:
        raise BatchFileError(
            f"The file was written by a newer version of this program (schema {version}; this one reads up to {SCHEMA})."
        )
    unknown = sorted(set(raw) - {"format", "schema", "batch"})
    if unknown:
        raise BatchFileError(f"The file holds something unknown beside the batch: {', '.join(map(shown, unknown))}.")
    inside = bytes(raw.get("batch", b""))
    if not inside.startswith(b"{"):
        raise BatchFileError('The file holds no "batch".')
    try:
        if version == SCHEMA:  # without the detour, which would fill the memory with what a large file holds
            return msgspec.json.decode(inside, type=Batch)
        body: dict[str, Any] = msgspec.json.decode(inside)
        for step in range(version, SCHEMA):
            body = MIGRATIONS[step](body)
        return msgspec.convert(body, Batch, strict=True)
    except msgspec.ValidationError as error:
        raise BatchFileError(in_words(str(error))) from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise BatchFileError(damage(data, error, data.index(inside))) from error
    except RecursionError as error:
        raise BatchFileError("The file is nested too deeply to be a batch.") from error


def _read(part: msgspec.Raw | None, data: bytes) -> Any:
    """What stands in a part of the envelope."""
    try:
        return None if part is None else msgspec.json.decode(part)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise BatchFileError(damage(data, error, data.index(bytes(part or b"")))) from error


def _document(data: bytes) -> dict[str, msgspec.Raw]:
    """The parts of the envelope; nothing is made of them yet."""
    if not data.strip():
        raise BatchFileError("The file is empty. Choose another, or a backup of it.")
    try:
        return _ENVELOPE.decode(data)
    except msgspec.ValidationError as error:
        raise BatchFileError("This is not a batch file. Choose a file that this program saved.") from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise BatchFileError(damage(data, error)) from error
    except RecursionError as error:
        raise BatchFileError("The file is nested too deeply to be a batch.") from error


_ENVELOPE = msgspec.json.Decoder(dict[str, msgspec.Raw])
