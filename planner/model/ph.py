"""What the pH of a must or mead will be: an estimate, by the balance of charges between acids and salts.

A titration does not see the acid that is bound to potassium, but the pH does. A measured pH together with the
titratable acid tells how much there is of both; those amounts add up when liquids are mixed, and the balance gives
the new pH. Salts of yeast, proteins and tartar that falls out are left out: what comes out is an estimate.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.model import guards
from planner.model.components import ACIDS, COMPONENTS, INDEX
from planner.model.liquid import Liquid, alcohol, volume
from planner.model.numerics import solve_increasing
from planner.model.span import Span

Array = npt.NDArray[np.float64]

DISSOCIATION: dict[str, tuple[float, ...]] = {
    "malic": (3.46, 5.13),
    "citric": (3.13, 4.76, 6.40),
    "tartaric": (3.04, 4.37),
    "lactic": (3.86,),
    "succinic": (4.21, 5.64),
    "acetic": (4.76,),
    "gluconic": (3.86,),
    "quinic": (3.46,),
}
"""-log10 of the dissociation constants in water at 25 °C. [-] From memory of the handbooks' tables; the pH of the
standard buffers of citrate and tartrate comes out within 0.03."""

ALCOHOL_SHIFT = 1.5
"""By how much the constants rise with alcohol by volume. [-] From memory: about 0.15 at 10 % vol."""

_IONIC_STRENGTH = 0.05  # mol/L, of musts and meads with 1 to 2 g/L of potassium
_SQUARE = np.sqrt(_IONIC_STRENGTH)
_SALT = 0.509 * (_SQUARE / (1.0 + _SQUARE) - 0.3 * _IONIC_STRENGTH)  # Davies 1962, 25 °C

_GROUPS = np.array([float(len(DISSOCIATION[key])) for key in ACIDS])
_STEPS = int(_GROUPS.max())
_CONSTANTS = np.array([[*DISSOCIATION[key], *(np.inf,) * (_STEPS - len(DISSOCIATION[key]))] for key in ACIDS])
_DAVIES = (2.0 * np.arange(1, _STEPS + 1) - 1.0) * _SALT
"""The more charged the ion, the more salts help it form; the proton's own share is the electrode's."""
_MOLAR_MASS = _GROUPS / np.array([COMPONENTS[key].acid_equivalents for key in ACIDS])
_ROWS = [INDEX[key] for key in ACIDS]

LOWEST, HIGHEST, NEAR = 1.5, 10.0, 1.5


def charge(ph: Any, strength: Any = 0.0, shift: Any = 0.0) -> Array:
    """Mean negative charge of each acid at a pH.

    Parameters
    ----------
    ph : array-like, shape (n,)
        As an electrode shows it. [-]
    strength : array-like, shape (n,)
        Alcohol by volume. [m^3/m^3]
    shift : array-like, shape (n,)
        Added to every constant, to see what its doubt does. [-]

    Returns
    -------
    numpy.ndarray, shape (acids, n)
        Charge per molecule, in the order of `components.ACIDS`. [-]

    Examples
    --------
    >>> middle = charge(np.array([3.86 - 0.084]))[ACIDS.index("lactic")]
    >>> round(float(middle[0]), 1)
    0.5
    """
    acid, moved = np.asarray(ph, dtype=float), ALCOHOL_SHIFT * np.asarray(strength, dtype=float) + shift
    free = np.broadcast_to(acid - moved, np.broadcast_shapes(acid.shape, np.shape(moved)))
    shape = (1, 1, *free.shape)
    up = np.cumsum(free.reshape(shape) - (_CONSTANTS - _DAVIES).reshape(*_CONSTANTS.shape, *(1,) * free.ndim), axis=1)
    portions = 10.0 ** np.minimum(up, 100.0)
    steps = np.arange(1.0, _STEPS + 1.0).reshape(1, -1, *(1,) * free.ndim)
    return np.asarray((steps * portions).sum(axis=1) / (1.0 + portions.sum(axis=1)))


class Buffer(msgspec.Struct, frozen=True):
    """Acids and the salts that hold part of them, by amount: two buffers mix by adding both.

    Attributes
    ----------
    acids : numpy.ndarray, shape (acids, ...)
        In all, free and bound. [mol]
    salts : array-like, shape (...)
        Positive charge of potassium and its like, less that of chloride and its like. [mol]
    """

    acids: Array
    salts: Any

    def mixed(self, other: Buffer) -> Buffer:
        """Both together. [mol]"""
        return Buffer(self.acids + other.acids, self.salts + other.salts)

    def with_made(self, made: Liquid, salts: float = 0.0) -> Buffer:
        """With acids that were made since, in [kg], those that are gone being negative, and a change of the salts. [mol]"""
        free = np.asarray(made.masses[_ROWS], dtype=float) / _MOLAR_MASS
        return Buffer(np.maximum(self.acids + free, 0.0), self.salts + salts)


def _protons(ph: Array) -> Array:
    """Free acid per volume. [mol/m^3] The electrode's activity over the activity coefficient of Davies."""
    return np.asarray(1e3 * 10.0 ** (_SALT - ph))


def buffer(liquid: Liquid, ph: float, shift: float = 0.0) -> Buffer:
    """Acids and salts of a liquid whose titratable acids and pH are known.

    Parameters
    ----------
    liquid : Liquid
        Shape (components,). Its acids are what a titration to pH 8.2 finds, as in the tables of fruit. [kg]
    ph : float
        Measured pH. [-] 2 to 7.
    shift : float
        As for `charge`. [-]

    Returns
    -------
    Buffer
        The acids keep their proportions; salts such that charges balance. [mol]

    Raises
    ------
    guards.BadInput
        A pH outside the range.

    Examples
    --------
    >>> juice = Liquid.of(water=0.85, fructose=0.1, citric=0.02)
    >>> round(1e3 * buffer(juice, 3.2).salts)  # millimoles of potassium and its like
    82
    """
    found = _buffers(liquid, guards.within("pH", ph, 2.0, 7.0), np.asarray(shift))
    return Buffer(found.acids, float(found.salts))


def _buffers(liquid: Liquid, ph: Array, shift: Array, acid: Any = 1.0) -> Buffer:
    """The same for several pH, shifts and factors on the titratable acid at once, each of shape (...)."""
    room, strength = float(volume(liquid)), _strength(liquid)
    titrated = np.asarray(liquid.masses[_ROWS], dtype=float) / _MOLAR_MASS
    free = _protons(ph) * room
    if not titrated.any():
        return Buffer(np.zeros((len(ACIDS), *free.shape)), -free)
    now, neutral = charge(ph, strength, shift), charge(8.2, strength, shift)
    wanted = np.maximum(acid * float((titrated * _GROUPS).sum()) - free, 0.0)
    # A titration sees what goes from the present charge to that at pH 8.2.
    column = titrated.reshape(-1, *(1,) * free.ndim)
    acids = column * wanted / (column * (neutral - now)).sum(axis=0)
    return Buffer(acids, (acids * now).sum(axis=0) - free)


def ph_by_salts(mixture: Buffer, added: Any, room: float, strength: float = 0.0, near: float | None = None) -> Array:
    """pH of one mixture with different amounts of salts.

    Parameters
    ----------
    mixture : Buffer
        Acids and salts. [mol]
    added : array-like, shape (n,)
        Charge of potassium and its like that is added. [mol]
    room : float
        Volume they are dissolved in. [m^3]
    strength : float
        Alcohol by volume. [m^3/m^3]
    near : float or None
        Given, it is looked for no further than `NEAR` from there, and to a thousandth: several times as quick. [-]

    Returns
    -------
    numpy.ndarray, shape (n,)
        pH. [-] As of the balance of charges.
    """
    more = np.asarray(added, dtype=float)
    several = Buffer(np.repeat(mixture.acids[:, None], more.size, axis=1), mixture.salts + more)
    alcoholic, shift = min(max(strength, 0.0), 0.25), np.zeros(more.size)
    if near is None:
        return _acidities(several, room, alcoholic, shift)
    return _acidities(several, room, alcoholic, shift, (near - NEAR, near + NEAR), 1e-3 / NEAR)


def _acidities(
    mixture: Buffer,
    room: float,
    strength: float,
    shift: Array,
    bracket: tuple[float, float] = (LOWEST, HIGHEST),
    tolerance: float = 1e-9,
) -> Array:
    """pH of several mixtures in one volume, each with its shift of the constants, shape (n,)."""

    def excess(ph: Array) -> Array:
        bound = (mixture.acids * charge(ph, strength, shift)).sum(axis=0) / room
        lye = 1e3 * 10.0 ** (ph + _SALT - 14.0)
        return np.asarray(bound + lye - _protons(ph))

    return solve_increasing(excess, np.asarray(mixture.salts) / room, *bracket, tolerance)


SHIFT_DOUBT = 0.10
"""Half width of the 90 % interval of all dissociation constants together. [-] Estimate: alcohol, salts, sources."""

_SHIFTS = np.array([0.0, SHIFT_DOUBT, -SHIFT_DOUBT])

MODEL_DOUBT = 0.05
"""Half width of the 90 % interval of a pH difference by what is left out: phosphate, proteins, tartar. [-] Estimate."""


def ph_after(liquid: Liquid, ph: float, change: Liquid, salts: float = 0.0) -> Span:
    """pH after an addition to a mead whose pH was measured: an estimate.

    Parameters
    ----------
    liquid : Liquid
        Before, shape (components,). [kg]
    ph : float
        Its measured pH. [-] 2 to 7.
    change : Liquid
        What is added, shape (components,): free acids, water, sugar. [kg]
    salts : float
        Potassium or calcium charge that is added: equivalents of a carbonate times its mass. [mol]

    Returns
    -------
    Span
        pH. [-] The measured one is taken as exact; the interval is that of the change.

    Raises
    ------
    guards.BadInput
        Outside the range.

    Examples
    --------
    >>> mead = Liquid.of(water=0.88, ethanol=0.09, citric=0.004, malic=0.003)
    >>> [round(x, 1) for x in ph_after(mead, 3.3, Liquid.of(malic=0.001))]
    [3.2, 3.2, 3.2]
    """
    both = liquid + change
    free = np.asarray(change.masses[_ROWS], dtype=float) / _MOLAR_MASS
    added = Buffer(free[:, None], float(guards.within("salts", salts, -1e9, 1e9, "mol")))
    measured = np.full(_SHIFTS.shape, float(guards.within("pH", ph, 2.0, 7.0)))
    whole = _buffers(liquid, measured, _SHIFTS).mixed(added)
    found = _acidities(whole, float(volume(both)), _strength(both), _SHIFTS)
    left_out = MODEL_DOUBT * min(1.0, 2.0 * abs(float(found[0]) - ph))
    return _with_doubt(found, left_out, left_out)


class Sour(NamedTuple):
    """A part of a must that has a pH of its own.

    Attributes
    ----------
    liquid : Liquid
        Its typical composition, shape (components,). [kg]
    ph : Span
        [-]
    acid : Span
        Titratable acid at the low, the typical and the high pH, over that of `liquid`. [-] Fruit of less acid has the
        higher pH: its minerals hold a larger share.
    """

    liquid: Liquid
    ph: Span
    acid: Span = Span.exactly(1.0)


def ph_of_blend(parts: Sequence[Sour | tuple[Liquid, Span]], made: Liquid | None = None, salts: float = 0.0) -> Span:
    """pH of a must or mead from what it is blended of: an estimate.

    Parameters
    ----------
    parts : sequence of Sour
        Each part, or a pair of its liquid and pH. Parts without acids, as water, may have any pH. [as their fields]
    made : Liquid, optional
        What fermentation has made since: succinic, acetic and lactic acid, ethanol; sugar gone is negative. [kg]
    salts : float
        Charge gained or lost: each mole of ammonium that yeast takes up costs one. [mol]

    Returns
    -------
    Span
        pH. [-] A measured one is always better.

    Raises
    ------
    guards.BadInput
        A pH outside the range, or nothing to blend.

    Examples
    --------
    >>> honey = Liquid.of(water=0.172, fructose=0.4, glucose=0.4, gluconic=0.0057)
    >>> juice = Liquid.of(water=0.88, fructose=0.05, glucose=0.05, citric=0.021)
    >>> must = [(honey, Span(3.4, 3.9, 4.5)), (juice, Span(3.2, 3.3, 3.5)), (Liquid.of(water=1.5), Span(7.0, 7.0, 7.0))]
    >>> round(ph_of_blend(must).typical, 1)
    3.5
    """
    if not parts:
        raise guards.BadInput("parts", 0.0, "one or more")
    total = made if made is not None else Liquid.of()
    sour = [Sour(*part) for part in parts]
    for part in sour:
        total = total + part.liquid
    # One column for each doubt: the three shifts, then each part's own pH at either end.
    columns = len(_SHIFTS) + 2 * len(parts)
    shift = np.concatenate([_SHIFTS, np.zeros(2 * len(parts))])
    free = np.zeros(len(ACIDS)) if made is None else np.asarray(made.masses[_ROWS], dtype=float) / _MOLAR_MASS
    mixture = Buffer(np.repeat(free[:, None], columns, axis=1), np.full(columns, float(salts)))
    for place, part in enumerate(sour):
        if part.liquid.masses[_ROWS].any():
            ph, acid = np.full(columns, part.ph.typical), np.full(columns, part.acid.typical)
            ends = slice(len(_SHIFTS) + 2 * place, len(_SHIFTS) + 2 * place + 2)
            ph[ends], acid[ends] = (part.ph.low, part.ph.high), (part.acid.low, part.acid.high)
            mixture = mixture.mixed(_buffers(part.liquid, guards.within("pH", ph, 2.0, 7.0), shift, acid))
    found = _acidities(mixture, float(volume(total)), _strength(total), shift)
    apart = found[len(_SHIFTS) :].reshape(-1, 2) - found[0]
    below = np.hypot(MODEL_DOUBT, np.linalg.norm(np.minimum(apart[:, 0], 0.0)))
    above = np.hypot(MODEL_DOUBT, np.linalg.norm(np.maximum(apart[:, 1], 0.0)))
    return _with_doubt(found, float(below), float(above))


def _strength(liquid: Liquid) -> float:
    return min(max(float(alcohol(liquid)), 0.0), 0.25)


def _with_doubt(found: Array, below: float, above: float) -> Span:
    """The typical pH, and what the doubt about the constants makes of it together with another doubt."""
    typical = float(found[0])
    moved = float(np.max(np.abs(found[1 : len(_SHIFTS)] - typical)))
    return Span(typical - float(np.hypot(moved, below)), typical, typical + float(np.hypot(moved, above)))


def ph_words(before: float, after: Span) -> str:
    """Which way the pH goes, for users.

    Parameters
    ----------
    before : float
        pH before. [-]
    after : Span
        pH after, estimated. [-]

    Returns
    -------
    str
        A sentence that says that it is an estimate.

    Examples
    --------
    >>> ph_words(3.3, Span(3.35, 3.5, 3.65))
    'The pH rises to about 3.5 (3.4 to 3.6, estimate). Measure it after a day.'
    >>> ph_words(3.3, Span(3.25, 3.31, 3.37))
    'The pH hardly changes (estimate).'
    """
    change = after.typical - before
    if abs(change) < 0.05:
        return "The pH hardly changes (estimate)."
    way = "rises" if change > 0.0 else "falls"
    return (
        f"The pH {way} to about {after.typical:.1f} ({after.low:.1f} to {after.high:.1f}, estimate). "
        "Measure it after a day."
    )
