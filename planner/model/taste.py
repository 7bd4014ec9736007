"""How sweet, sharp, strong and full a mead will seem, in words, with the doubt of the studies behind them.

Sweetness and sourness mask each other, and how much is badly known: each word is worked out with the mild and with the
strong masking that studies allow. Where they differ, both words are said, and where they differ much, only tasting tells.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from planner.model.span import Span

BALANCED_ACID = 6.0
"""Titratable acid, as tartaric, beside which sweetness seems as it is. [kg/m^3] A usual dry wine has 5 to 8 g/L, from memory."""

ACID_ON_SWEET = Span(0.0, 0.5, 1.0)
"""Power of acid in seeming sweetness: from no effect to that of the plain ratio. [-] Estimate: Schifferstein & Frijters 1990
found that acid lowers sweetness whatever its level, growers' scales take the ratio."""

_MOST_CHANGED = (0.6, 1.5)  # whatever the acid, seeming sweetness is changed by no more than so [-]; estimate

SWEET_ON_SHARP = Span(15.0, 30.0, 60.0)
"""Sweetness that hides one step of the index of sourness. [kg/m^3 sucrose] Estimate: a study of wines of 4.7 to 12 g/L of acid
with up to 200 g/L of sugar gives 27 at most; older work saw little effect."""

UNKNOWN_PH = Span(3.1, 3.4, 3.7)
"""What is taken where no pH is known. [-] Table wines: 3.0 to 3.8, from memory."""

LEAST_DOUBT = {"sweet": 0.10, "acid": 0.3, "ph": 0.05}
"""Doubt that stays about each, whatever its span says: of the sweetness [-], of the acid [kg/m^3], of the pH [-]. Estimate."""


class Scale(NamedTuple):
    """Words for what is below each limit, and the last for what lies above all of them."""

    limits: tuple[float, ...]
    words: tuple[str, ...]

    def place(self, value: float) -> int:
        """Which word fits; a limit belongs to the word above it. [as the limits]"""
        return int(np.searchsorted(self.limits, value, side="right"))

    def middle(self, word: str) -> float | None:
        """What a word stands for: the middle of its class, of the last a fifth above its limit; None for other words. [as the limits]"""
        if word not in self.words:
            return None
        place, ends = self.words.index(word), (0.0, *self.limits, 1.4 * self.limits[-1])
        return 0.5 * (ends[place] + ends[place + 1])


SWEET = Scale(
    (4.0, 12.0, 25.0, 45.0, 80.0, 150.0),
    ("dry", "barely sweet", "off-dry", "medium sweet", "sweet", "very sweet", "syrupy sweet"),
)
"""By seeming sweetness. [kg/m^3] 4, 12 and 45 are the law's steps for wine; the others lie noticeable steps apart: estimate."""

SHARP = Scale((0.5, 1.5, 3.0, 5.0, 7.0), ("flat", "soft", "fresh", "crisp", "sharp", "fiercely sour"))
"""By the index of sourness. [-] Plane, Mattick & Weirs 1980: acid taste goes with titratable acid less pH. Words: estimate, so
that a dry wine of 6 g/L at pH 3.4 is fresh, one of 4 g/L at 3.7 flat, and one of 8 g/L at 3.0 between crisp and sharp."""

STRONG = Scale(
    (0.05, 0.08, 0.11, 0.135, 0.155, 0.18),
    ("very light", "light", "moderate", "as wine", "strong", "very strong", "like a spirit"),
)
"""By alcohol. [m^3/m^3] Estimate; ethanol has no direct effect on sweetness in dry wine: Cretin, Dubourdieu & Marchal 2018."""

FULL = Scale(
    (1.45e-3, 1.60e-3, 1.90e-3, 2.40e-3, 3.0e-3), ("thin", "light", "medium", "full", "very full", "like syrup")
)
"""By viscosity at 20 °C. [Pa s] Estimate: dry wines have 1.45 to 1.70 mPa s, sweet ones 2.7 to 2.8."""


SWEETNESSES = {"dry": 0.0, "half dry": 12.0, "half sweet": 30.0, "sweet": 60.0, "dessert": 100.0}
"""Sweetnesses that are wanted by name. [kg/m^3 as sucrose] Common practice, no source; near the steps of wine labels."""

BODIES = {"medium": 1.7e-3, "full": 2.0e-3, "thick": 2.4e-3}
"""Bodies that are wanted by name, at least. [Pa s at 20 °C] Common practice, no source: about one, three and six of the steps that
tasters notice above a dry mead of 12 % vol."""

_ALSO = {
    "sweetness": {
        "medium": "half sweet", "medium sweet": "half sweet", "semi sweet": "half sweet", "semisweet": "half sweet",
        "medium dry": "half dry", "semi dry": "half dry", "off dry": "off-dry", "bone dry": "dry",
    },
    "sharpness": {"mild": "soft", "tart": "crisp", "sour": "sharp", "very sharp": "fiercely sour"},
    "strength": {
        "moderate strength": "moderate", "of moderate strength": "moderate",
        "wine strength": "as wine", "of wine strength": "as wine", "table wine": "as wine",
    },
    "body": {"of medium body": "medium", "medium body": "medium", "light bodied": "light", "full bodied": "full", "syrupy": "like syrup"},
}  # fmt: skip
"""Other words for those of the scales; those of sweetness are the law's for still wine, in English."""

_CLOYING, _AUSTERE = SWEET.words.index("sweet"), SHARP.words.index("sharp")


class Seems(NamedTuple):
    """A word and how far it may be off.

    Attributes
    ----------
    scale : Scale
        Where it stands.
    low, typical, high : int
        Places of the words at either end of the doubt, and of the likeliest. [-]
    """

    scale: Scale
    low: int
    typical: int
    high: int

    @property
    def words(self) -> str:
        """One word if all agree, both if two are possible; more are left to tasting."""
        names = self.scale.words
        if self.low == self.high:
            return names[self.typical]
        between = f"{names[self.low]} to {names[self.high]}"
        return between if self.high - self.low == 1 else f"{between} (only tasting tells)"

    @property
    def word(self) -> str:
        """The likeliest word."""
        return self.scale.words[self.typical]


class Taste(NamedTuple):
    """How a mead will seem: sweet, sharp, strong and full, each by its scale."""

    sweet: Seems
    sharp: Seems
    strong: Seems
    full: Seems

    @property
    def words(self) -> str:
        """In one phrase, such as "dry and fiercely sour. Strength: as wine; body: light"."""
        return f"{self.sweet.words} and {self.sharp.words}. Strength: {self.strong.words}; body: {self.full.words}"

    @property
    def advice(self) -> str:
        """What to try where sweet and sharp lie far apart; empty otherwise. Estimate."""
        if self.sharp.typical == 0 and self.sweet.typical >= _CLOYING:
            return "That may cloy: try a little acid, in steps that you just notice."
        if self.sharp.typical >= _AUSTERE and self.sweet.typical <= 1:
            return "That may be austere: try a little sweetness, or a little less acid."
        return ""


def seeming_sweetness(sweetness: float, acid: float, power: float = ACID_ON_SWEET.typical) -> float:
    """Sweetness as it seems beside acid.

    Parameters
    ----------
    sweetness : float
        Sucrose equivalent in water. [kg/m^3]
    acid : float
        Titratable, as tartaric. [kg/m^3]
    power : float
        See `ACID_ON_SWEET`. [-]

    Returns
    -------
    float
        As the sucrose that would seem as sweet beside 6 g/L of acid. [kg/m^3]

    Examples
    --------
    >>> round(seeming_sweetness(60.0, 8.0), 1)
    52.0
    """
    changed = float((BALANCED_ACID / max(acid, 1e-3)) ** power)
    return sweetness * min(max(changed, _MOST_CHANGED[0]), _MOST_CHANGED[1])


def sourness(acid: float, ph: float, sweetness: float, masking: float = SWEET_ON_SHARP.typical) -> float:
    """Index of sourness beside sweetness.

    Parameters
    ----------
    acid : float
        Titratable, as tartaric. [kg/m^3]
    ph : float
        [-]
    sweetness : float
        Sucrose equivalent in water. [kg/m^3]
    masking : float
        See `SWEET_ON_SHARP`. [kg/m^3]

    Returns
    -------
    float
        Acid less pH, less what sweetness hides. [-]

    References
    ----------
    .. [1] Plane, Mattick & Weirs 1980.

    Examples
    --------
    >>> round(sourness(9.0, 3.0, 2.0), 2)
    5.93
    """
    return acid - ph - sweetness / masking


def taste(sweetness: Span, acid: Span, ph: Span | None, alcohol: Span, viscosity: Span) -> Taste:
    """How a mead will seem.

    Parameters
    ----------
    sweetness : Span
        Sucrose equivalent. [kg/m^3]
    acid : Span
        Titratable, as tartaric. [kg/m^3]
    ph : Span or None
        None where it is not known. [-]
    alcohol : Span
        By volume. [m^3/m^3]
    viscosity : Span
        At 20 °C. [Pa s]

    Returns
    -------
    Taste
        In a glass at cellar temperature, without gas: cold makes it seem less sweet and sharper, as gas does.

    Examples
    --------
    >>> dry = taste(Span(2, 2, 2), Span(17, 17, 17), Span(3.0, 3.0, 3.0), Span.exactly(0.12), Span.exactly(1.5e-3))
    >>> dry.sweet.words, dry.sharp.words
    ('dry', 'fiercely sour')
    """
    known = UNKNOWN_PH if ph is None else ph
    sweets = _ends(sweetness, LEAST_DOUBT["sweet"] * sweetness.typical)
    acids, phs = _ends(acid, LEAST_DOUBT["acid"]), _ends(known, LEAST_DOUBT["ph"])
    sweet = [seeming_sweetness(*case) for case in itertools.product(sweets, acids, ACID_ON_SWEET)]
    sharp = [sourness(a, p, s, m) for a, p, s, m in itertools.product(acids, phs, sweets, SWEET_ON_SHARP)]
    return Taste(
        _seems(SWEET, sweet, seeming_sweetness(sweetness.typical, acid.typical)),
        _seems(SHARP, sharp, sourness(acid.typical, known.typical, sweetness.typical)),
        _seems(STRONG, alcohol, alcohol.typical),
        _seems(FULL, viscosity, viscosity.typical),
    )


def _ends(span: Span, least: float) -> tuple[float, float]:
    return max(min(span.low, span.typical - least), 0.0), max(span.high, span.typical + least)


def _seems(scale: Scale, cases: Sequence[float], typical: float) -> Seems:
    return Seems(scale, scale.place(min(cases)), scale.place(typical), scale.place(max(cases)))


def meant(what: str, words: str, ph: float = UNKNOWN_PH.typical, sweetness: float = 0.0) -> float | None:
    """The target that words of a taster stand for.

    Parameters
    ----------
    ph : float
        Of the mead, where it is to be sharp. [-]
    sweetness : float
        Sucrose equivalent that hides some of that. [kg/m^3]

    Returns
    -------
    float or None
        Sucrose equivalent [kg/m^3], titratable acid as tartaric [kg/m^3], alcohol [m^3/m^3] or viscosity [Pa s]; None for words
        that say nothing of it.

    Examples
    --------
    >>> meant("sweetness", "half-sweet"), meant("body", "Full")
    (30.0, 0.002)
    >>> round(meant("sharpness", "fresh", 3.4, 30.0), 2)
    6.65
    """
    plain = " ".join(words.casefold().replace("-", " ").split())
    word = _ALSO[what].get(plain, plain)
    named = {"sweetness": SWEETNESSES, "body": BODIES}.get(what, {})
    scale = {"sweetness": SWEET, "sharpness": SHARP, "strength": STRONG, "body": FULL}[what]
    value = named[word] if word in named else scale.middle(word)
    return value + ph + sweetness / SWEET_ON_SHARP.typical if value is not None and what == "sharpness" else value


LAW = Scale((), ("dry", "medium dry", "medium", "sweet"))
"""Words of the law for still wine of the grape; mead is none, so that they describe and do not certify. Commission Delegated
Regulation (EU) 2019/33, article 52 and Annex III."""


def word_of_the_law(sugar: float, acid: float) -> str:
    """What a still wine of so much sugar and acid may be called.

    Parameters
    ----------
    sugar : float
        Glucose and fructose. [kg/m^3]
    acid : float
        Titratable, as tartaric. [kg/m^3] Sharp wine may hold more sugar under the same word.

    Returns
    -------
    str
        One of `LAW`.

    References
    ----------
    .. [1] Commission Delegated Regulation (EU) 2019/33, Annex III.

    Examples
    --------
    >>> word_of_the_law(9.0, 7.0), word_of_the_law(9.0, 5.0)
    ('dry', 'medium dry')
    """
    limits = (max(4.0, min(9.0, acid + 2.0)), max(12.0, min(18.0, acid + 10.0)))
    if sugar >= 45.0:
        return LAW.words[3]
    return LAW.words[sum(sugar > limit for limit in limits)]
