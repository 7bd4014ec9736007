"""What is wrong with a batch file, in a maker's words: the place, what is accepted there, and what to do."""

from __future__ import annotations

import re

from planner.document.values import without_pattern

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_ACT = "Choose a backup of it, or correct that place in a text editor."

_BROKEN = {
    "keys must be strings": "a name in quotation marks is accepted there",
    "expected ':'": "a colon is accepted there",
    "expected ','": "a comma or a closing bracket is accepted there",
    'expected \'"\'': "a name in quotation marks is accepted there",
    "trailing comma": "nothing follows the comma there",
    "trailing characters": "something follows the end of the batch there",
    "invalid number": "the number there is not written as numbers are",
    "escape": "nothing known follows the backslash there",
    "surrogate": "a sign is cut in half there",
    "invalid character": "what stands there does not belong in a batch",
}  # fmt: skip
"""What the decoder says of JSON that breaks, and what it means."""


def without_mark(data: bytes) -> bytes:
    """A file without the mark that some text editors put before its first sign."""
    return data.removeprefix(_BYTE_ORDER_MARK)


def damage(data: bytes, told: Exception, start: int = 0) -> str:
    """Why the bytes of a file are no batch.

    Parameters
    ----------
    told : Exception
        What the decoder of JSON raised. [-]
    start : int
        Where that began of which the decoder counts. [bytes]
    """
    if not data.lstrip().startswith(b"{"):
        return "This is not a batch file. Choose a file that this program saved."
    said = str(told)
    if "truncated" in said:
        return f"The file is cut off {_place(data, len(data))}: its end is missing. Choose a backup of it."
    try:
        data.decode()
    except UnicodeDecodeError as error:
        return f"The file is damaged {_place(data, error.start)}: what stands there is no text in UTF-8. {_ACT}"
    found = re.search(r"\(byte (\d+)\)", said)
    if found is None:
        return f"The file is damaged: a number in it is beyond all limits. {_ACT}"
    wrong = next((words for sign, words in _BROKEN.items() if sign in said), "what stands there cannot be read")
    return f"The file is damaged {_place(data, _begin(data, start + int(found[1]), said))}: {wrong}. {_ACT}"


def _begin(data: bytes, byte: int, said: str) -> int:
    """Where that begins of which the decoder tells: it has read on by a sign, or by a word such as “true”."""
    if "trailing characters" in said:
        return byte - 1
    if "invalid character" in said:
        return next(
            (byte - n for n in (1, 4, 5) if re.fullmatch(rb"[\s:,\[][tfn]", data[byte - n - 1 : byte - n + 1])), byte
        )
    return byte


def _place(data: bytes, byte: int) -> str:
    """Where a byte stands, as people and text editors count."""
    lines = data[:byte].split(b"\n")
    return f"at line {len(lines):,}, column {len(lines[-1].decode('utf-8', 'replace')) + 1:,}"


_TYPES = {
    "float": "a number", "int": "a whole number", "str": "a text", "bool": "true or false", "object": "an object",
    "array": "a list", "null": "nothing", "list": "a list", "tuple": "a tuple", "dict": "a dictionary", "NoneType": "nothing",
}  # fmt: skip
"""What msgspec and Python call the kinds of values, and what people do."""

_SAID = (
    (r"Object contains unknown field `(.*)`", "“{}” is not known to this program, and may be misspelt."),
    (r"Object missing required field `(.*)`", "“{}” is missing."),
    (r"Invalid enum value '(.*)'", "“{}” is none of the words that are accepted."),
    (r"Invalid value '(.*)'", "“{}” is none of the kinds that are accepted."),
    (r"Number out of range", "the number is beyond all limits."),
    (r"Expected `str` of length >= (\d+)", "expected a text of at least {} characters."),
    (r"Expected `str` of length <= (\d+)", "expected a text of at most {} characters."),
    (r"Expected `array` of length >= (\d+)", "expected a list of at least {}."),
    (r"Expected `array` of length <= (\d+)", "expected a list of at most {}."),
    (r"Expected `(?:int|float)` >= (\S+)", "expected a number of at least {}."),
    (r"Expected `(?:int|float)` <= (\S+)", "expected a number of at most {}."),
    (r"Expected `(?:int|float)` > (\S+)", "expected a number above {}."),
)  # fmt: skip
"""What msgspec says of a value, and what is told."""
_LONGEST = 60
"""Of what stands in a file so many characters are repeated."""


def in_words(message: str) -> str:
    """msgspec's message with the place first: `$.recipe.honeys[0].mass_kg` becomes `batch.recipe.honeys[0].mass_kg`."""
    what, _, place = without_pattern(message).partition(" - at `")
    where = "batch" + place.rstrip("`").removeprefix("$") if place else "batch"
    return f"In {where}: {_in_words(what)}"


def _in_words(what: str) -> str:
    for pattern, words in _SAID:
        if found := re.fullmatch(pattern, what, re.DOTALL):
            return words.format(*(_cut(some) for some in found.groups()))
    named = re.sub(r"`([A-Za-z |]+)`", lambda some: " or ".join(map(_type, some[1].split(" | "))), what)
    return f"{named[:1].lower()}{named[1:] or 'something is wrong'}."


def _type(name: str) -> str:
    return _TYPES.get(name, name)


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


def kind(value: object) -> str:
    """What kind of value something is, in words."""
    name = type(value).__name__
    return _TYPES.get(name, f"a value of the kind {name}")


def shown(value: object) -> str:
    """What stands in a file where something else is accepted."""
    return "missing" if value is None else _cut(repr(value))
