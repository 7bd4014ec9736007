"""What the formulas are given is looked at once, at the door: numbers that cannot be are refused by name."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from planner.model.constants import ZERO_CELSIUS

Array = npt.NDArray[np.float64]


class BadInput(ValueError):  # noqa: N818  the word says more than "error"
    """A number that no formula can use. Its text names the argument, what it was, and what is accepted.

    Attributes
    ----------
    argument : str
        Name of the argument.
    value : float
        What it was; of an array, the first that is not accepted.
    accepted : str
        What would be.
    """

    def __init__(self, argument: str, value: float, accepted: str, was: str = "") -> None:
        super().__init__(f"{argument} was {was or f'{value:g}'}; accepted is {accepted}.")
        self.argument = argument
        self.value = value
        self.accepted = accepted


class NotANumber(BadInput):
    """Nothing was measured, or an earlier step of the arithmetic had no answer."""


class OutOfRange(BadInput):
    """A number outside what the formula holds for, or outside what can be at all."""


def _refuse(argument: str, values: Array, good: Any, accepted: str, shown: Any) -> None:
    value = float(np.ravel(values)[np.flatnonzero(~np.ravel(good))[0]])
    kind = NotANumber if np.isnan(value) else OutOfRange
    raise kind(argument, value, accepted, "not a number" if np.isnan(value) else shown(value))


def _plain(unit: str) -> Any:
    return lambda value: f"{value:g} {unit}".strip()


def within(argument: str, value: Any, low: float, high: float, unit: str = "") -> Array:
    """A value, or an array of them, that lies within bounds.

    Parameters
    ----------
    value : array-like
        To be looked at. [as `unit`]
    low, high : float
        Smallest and largest value accepted; infinite where there is none. [as `unit`]

    Returns
    -------
    numpy.ndarray
        The same as floats. [as `unit`]

    Raises
    ------
    NotANumber, OutOfRange
        Any of them is not a number, or outside the bounds.

    Examples
    --------
    >>> within("gravity", 1.085, 0.95, 1.6)
    array(1.085)
    """
    values = np.asarray(value, dtype=float)
    good = (values >= low) & (values <= high)  # false for what is not a number
    if not good.all():
        show = _plain(unit)
        accepted = f"{show(low)} or more" if np.isinf(high) else f"{low:g} to {show(high)}"
        _refuse(argument, values, good, accepted, show)
    return values


def amount(argument: str, value: Any, unit: str = "kg") -> Array:
    """A mass, volume, concentration or pressure: nothing or more, and finite. [as `unit`] See `within`."""
    values = np.asarray(value, dtype=float)
    good = (values >= 0.0) & (values < np.inf)
    if not good.all():
        _refuse(argument, values, good, f"{_plain(unit)(0.0)} or more", _plain(unit))
    return values


def masses(value: Any) -> Array:
    """Masses of a liquid's components, first axis; a hair below nothing is rounding of the whole. [kg] See `within`.

    Examples
    --------
    >>> masses([1.0, -0.1])
    Traceback (most recent call last):
    planner.model.guards.OutOfRange: mass of a component was -0.1 kg; accepted is 0 kg or more.
    """
    values = np.asarray(value, dtype=float)
    good = (values >= -1e-12 * values.sum(axis=0)) & (values < np.inf)
    if not good.all():
        _refuse("mass of a component", values, good, "0 kg or more", _plain("kg"))
    return values


def share(argument: str, value: Any, high: float = 1.0) -> Array:
    """A part of a whole, from nothing to all of it. [-] The message also says it in percent. See `within`.

    Examples
    --------
    >>> share("moisture", 1.2)
    Traceback (most recent call last):
    planner.model.guards.OutOfRange: moisture was 1.2 (120 %); accepted is 0 to 1 (0 to 100 %).
    """
    values = np.asarray(value, dtype=float)
    good = (values >= 0.0) & (values <= high)
    if not good.all():
        accepted = f"0 to {high:g} (0 to {100.0 * high:g} %)"
        _refuse(argument, values, good, accepted, lambda v: f"{v:g} ({100.0 * v:g} %)")
    return values


def temperature(argument: str, value: Any, low: float = ZERO_CELSIUS, high: float = 313.15) -> Array:
    """A temperature within what the formula holds for. [K] The message speaks of °C. See `within`.

    Examples
    --------
    >>> temperature("temperature", -26.85)
    Traceback (most recent call last):
    planner.model.guards.OutOfRange: temperature was -300 °C; accepted is 0 to 40 °C.
    """
    values = np.asarray(value, dtype=float)
    good = (values >= low - 1e-9) & (values <= high + 1e-9)  # 40 °C in other units may come back a hair above
    if not good.all():
        accepted = f"{_celsius(low)} to {_celsius(high)} °C"
        _refuse(argument, values, good, accepted, lambda v: f"{_celsius(v)} °C")
    return values


def _celsius(kelvin: float) -> str:
    return f"{kelvin - ZERO_CELSIUS:.6g}"
