"""The amounts in a typed text: decimal numbers as the reader's locale writes them, and fractions."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from PySide6.QtCore import QLocale


class EntryError(ValueError):
    """Typed text that could not be read; the message says what was wrong and what would be accepted."""


class NumberFormat(NamedTuple):
    """The signs with which a locale writes numbers."""

    decimal: str
    group: str

    @classmethod
    def of(cls, locale: QLocale) -> NumberFormat:
        """The signs of a locale."""
        return cls(locale.decimalPoint(), locale.groupSeparator())


class Amount(NamedTuple):
    """One number and the text that follows it, up to the next number."""

    number: float
    unit: str


LONGEST = 80
"""No amount needs more characters; a longer text was pasted by mistake."""

_VULGAR = {"½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5)}
_VULGAR |= {"⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8)}
_SPACE = "[ \u00a0\u2009\u202f]"
_MARKS = ".,'’٫٬"


@lru_cache(maxsize=2)
def _grammar(groups_by_space: bool) -> re.Pattern[str]:
    """One amount: sign, then a mixed fraction or a decimal number, then what is neither."""
    grouped = rf"\d{{1,3}}(?:{_SPACE}\d{{3}})+(?!\d)(?:[{_MARKS}]\d+)?|" if groups_by_space else ""
    number = rf"{grouped}[{_MARKS}]?\d(?:[\d{_MARKS}]*\d)?"
    vulgar = "".join(_VULGAR)
    return re.compile(
        rf"\s*(?P<sign>[-−+]?)\s*"
        rf"(?:(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<over>\d+)\s*[/⁄]\s*(?P<under>\d+)(?![\d{_MARKS}])"
        rf"|(?P<before>\d+)?\s*(?P<vulgar>[{vulgar}])"
        rf"|(?P<number>{number}))"
        rf"(?P<unit>[^\d{vulgar}]*)"
    )


def amounts(text: str, locale: QLocale, wanted: str) -> Iterator[Amount]:
    """The amounts of a text, from left to right.

    Parameters
    ----------
    text : str
        What the person typed.
    locale : QLocale
        How this person writes numbers.
    wanted : str
        The sentence that says what would be accepted; it closes each message.

    Yields
    ------
    Amount
        A finite number and the unit behind it, without the comma or "and" that joins it to the next.

    Raises
    ------
    EntryError
        If there is no number where one must stand, or one that the locale does not write so.
    """
    if not text.strip():
        raise EntryError(f"Nothing was entered. {wanted}")
    if len(text) > LONGEST:
        raise EntryError(f"“{text.strip()[:30]}…” is too long to be read. {wanted}")
    pattern = _grammar(NumberFormat.of(locale).group.isspace())
    position = 0
    while position < len(text):
        match = pattern.match(text, position)
        if match is None:
            raise EntryError(f"“{text.strip()}” could not be read. {wanted}")
        position = match.end()
        sign = -1.0 if match["sign"] in ("-", "−") else 1.0
        yield Amount(sign * _number(match, text, locale), _unit(match["unit"], position == len(text)))


def _unit(raw: str, is_last: bool) -> str:
    """The unit without the sign or word that joins it to the next amount."""
    unit = raw.strip()
    return unit if is_last else re.sub(r"\s*(?:,|\+|&|\band)$", "", unit, flags=re.IGNORECASE)


def _number(match: re.Match[str], text: str, locale: QLocale) -> float:
    """The number of one match: decimal, fraction, or whole and fraction."""
    if match["number"]:
        return _decimal(match["number"], text, locale)
    if match["vulgar"]:
        whole, (over, under) = match["before"], _VULGAR[match["vulgar"]]
    else:
        whole, over, under = match["whole"], int(match["over"]), int(match["under"])
    if under == 0:
        raise EntryError(f"“{text.strip()}” divides by zero. Enter a fraction such as 1/2.")
    return (int(whole) if whole else 0) + over / under


def _decimal(number: str, text: str, locale: QLocale) -> float:
    """A decimal number as the locale writes it; QLocale is the judge."""
    form = NumberFormat.of(locale)
    # Qt wants one certain kind of space, and none at all in locales that group from five digits on.
    written = re.sub(_SPACE, "", number)
    if form.group in "'’":
        written = re.sub("['’]", form.group, written)
    if _is_decimal_elsewhere(written, form):
        written = re.sub("[.,]", form.decimal, written)
    value, ok = locale.toDouble(written)
    if ok and math.isfinite(value) and not _is_two_faced(written, form):
        return value
    raise EntryError(f"“{text.strip()}” {_why_no_number(number, form)}")


def _is_decimal_elsewhere(number: str, form: NumberFormat) -> bool:
    """Whether the other of point and comma can only be a decimal sign, as in "24,8" or "0,998": thousands are three digits."""
    pieces = re.fullmatch(r"(\d*)([.,])(\d+)", number)
    if pieces is None or pieces[2] == form.decimal:
        return False
    return len(pieces[3]) != 3 or len(pieces[1]) > 3 or pieces[1] in ("", "0")


def _is_two_faced(number: str, form: NumberFormat) -> bool:
    """Whether "1,250" might be meant as one and a quarter: people type the comma of home on machines of elsewhere."""
    return form.group in ".," and re.fullmatch(rf"\d{{1,3}}{re.escape(form.group)}\d{{3}}", number) is not None


def _why_no_number(number: str, form: NumberFormat) -> str:
    """What is wrong with a number that the locale refuses, and the ways in which it might have been meant."""
    pieces = re.fullmatch(rf"(\d+)([{_MARKS}])(\d+)", number)
    if pieces is None or pieces[2] == form.decimal:
        return f"holds “{number}”, which is not a number as it is written here, such as 2{form.decimal}5."
    small, large = f"{pieces[1]}{form.decimal}{pieces[3]}", f"{pieces[1]}{pieces[3]}"
    return (
        f"can be read in two ways: is it {small} or {large}? "
        f"The decimal sign here is “{form.decimal}”; write {small} or {large}."
    )
