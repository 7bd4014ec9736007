"""Three more structures of ferments, so that the verdict is not measured on one alone.

`logistic`    yeast grows along a logistic curve up to what nitrogen allows, and works at a steady pace until a hard stop
`no yeast`    sugar goes at a pace that saturates late, nearly in proportion to what is left, held back exponentially by alcohol
`two sugars`  glucose and fructose each by their own carriers in competition, yeast that dies by alcohol and heat

None is fitted to anything; the constants are chosen for times of common practice, one to three weeks at 20 °C. In each,
an outside cause makes the work fade, as in `verdict_population`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Parts = tuple[Array, ...]


class Drawn(dict[str, Array]):
    """Parameters of many ferments, one array each."""


class Structure(NamedTuple):
    """A way in which sugar may be used up.

    `draw` adds its own parameters to those drawn for every structure; `start` gives the parts of its state, `sugar` the sugar
    in them [g/L], and `change` their rates [1/d] from parameters, parts, temperature [°C], day, and how much of the work still
    runs after an outside cause.
    """

    draw: Callable[[np.random.Generator, Drawn], None]
    start: Callable[[Drawn], Parts]
    sugar: Callable[[Parts], Array]
    change: Callable[[Drawn, Parts, Array, float, Array], Parts]
    food: int | None = None  # which of the parts is nitrogen [g/L]

    def join(self, parts: Parts, glucose: Array, sugar: Array, nitrogen: Array, room: Array) -> Parts:
        """Parts with so much sugar, some of it glucose, and nitrogen in so much more liquid, all per liquid before. [g/L], [-]"""
        two = self.sugar(parts) is not parts[0]
        more = [glucose, sugar - glucose] if two else [sugar]
        joined = [part + more[i] if i < len(more) else part + nitrogen if i == self.food else part
                  for i, part in enumerate(parts)]  # fmt: skip
        return tuple(part / (1.0 + room) for part in joined)


def around(dice: np.random.Generator, n: int, middle: float, factor: float) -> Array:
    """Log-normal, nine in ten within a factor."""
    return np.asarray(middle * np.exp(np.log(factor) / 1.645 * dice.standard_normal(n)))


def _warm(t: Array, per_ten: Array, hot: float = 33.0) -> Array:
    """So many times as fast per ten kelvin, about 20 °C, none from seven kelvin beyond `hot`."""
    return np.asarray(per_ten ** ((t - 20.0) / 10.0) * np.clip((hot + 7.0 - t) / 7.0, 0.0, 1.0))


def _limit(p: Drawn, sugar: Array) -> Array:
    """Share of the strain's alcohol that is reached. [-]"""
    return np.asarray(p["to_ethanol"] * np.maximum(p["sugar"] - sugar, 0.0) / (p["tolerance"] * 7.893))


def _cardinal(t: Array, low: Array, best: Array, high: Array) -> Array:
    """Rosso's cardinal temperature model: one at the best temperature, nothing outside the limits."""
    top = (t - high) * (t - low) ** 2
    bottom = (best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2.0 * t))
    return np.where((t <= low) | (t >= high), 0.0, np.clip(top / bottom, 0.0, 1.0))


def _change_carriers(p: Drawn, parts: Parts, t: Array, day: float, running: Array) -> Parts:
    sugar, nitrogen, yeast, carriers = parts
    heat = _cardinal(t, p["cold"], p["best"], p["hot"])
    there, food = np.maximum(sugar, 0.0), np.maximum(nitrogen, 0.0)
    spared = np.maximum(1.0 - _limit(p, sugar), 0.0) ** p["hold"]
    fed = food / (food + 0.02)
    awake = 1.0 - np.exp(-((day / p["lag"]) ** 3))
    growth = p["grow"] * heat * fed * spared * awake * yeast * running
    took = p["carriers"] * carriers * heat * spared * awake * yeast * running * there / (there + p["bend"])
    alcohol = p["to_ethanol"] * (p["sugar"] - sugar)
    return -took, -growth / p["per_nitrogen"], growth, p["worn"] * carriers * (fed - 1.0) * (1.0 + alcohol / 60.0)


CARRIERS = Structure(
    lambda _dice, _p: None,
    lambda p: (p["sugar"].copy(), p["nitrogen"] / 1000.0, 0.8 * p["pitch"], np.ones(p["sugar"].size)),
    lambda parts: parts[0],
    _change_carriers,
    food=1,
)


def _draw_logistic(dice: np.random.Generator, p: Drawn) -> None:
    n = p["start"].size
    p["rise"] = around(dice, n, 2.0, 1.4)  # growth rate [1/d]
    p["held"] = around(dice, n, 150.0, 1.6)  # alcohol that holds back to a third [g/L]
    p["full"] = 4.5 * (p["nitrogen"] / 180.0) ** 0.45 * around(dice, n, 1.0, 1.3)  # yeast [g/L]
    p["work"] = around(dice, n, 5.6, 1.45)  # sugar per yeast [1/d]
    p["per_ten"] = dice.uniform(1.5, 2.3, n)
    p["tail"] = around(dice, n, 10.0, 1.6)  # sugar that halves the work [g/L]
    p["sharp"] = dice.uniform(0.01, 0.05, n)  # share of the limit within which all ends


def _change_logistic(p: Drawn, parts: Parts, t: Array, day: float, running: Array) -> Parts:
    sugar, yeast = parts
    warm = _warm(t, p["per_ten"])
    stop = np.clip((1.0 - _limit(p, sugar)) / p["sharp"], 0.0, 1.0)
    awake = 1.0 / (1.0 + np.exp(-8.0 * (day / p["lag"] - 1.0)))
    there = np.maximum(sugar, 0.0)
    held = np.exp(-p["to_ethanol"] * (p["sugar"] - sugar) / p["held"])
    took = p["work"] * warm * yeast * awake * stop * held * running * there / (there + p["tail"])
    return -took, p["rise"] * warm * awake * stop * running * yeast * (1.0 - yeast / p["full"])


LOGISTIC = Structure(
    _draw_logistic, lambda p: (p["sugar"].copy(), 0.6 * p["pitch"]), lambda parts: parts[0], _change_logistic
)


def _draw_no_yeast(dice: np.random.Generator, p: Drawn) -> None:
    n = p["start"].size
    p["work"] = 40.0 * (p["nitrogen"] / 180.0) ** 0.35 * around(dice, n, 1.0, 1.5)  # sugar per day [g/(L d)]
    p["tail"] = around(dice, n, 45.0, 1.6)  # sugar that halves it [g/L]
    p["per_ten"] = dice.uniform(1.4, 2.4, n)
    p["held"] = around(dice, n, 150.0, 1.6)  # alcohol that holds back to a third [g/L]
    p["power"] = dice.uniform(4.0, 9.0, n)
    p["wake"] = dice.uniform(1.5, 4.0, n)


def _change_no_yeast(p: Drawn, parts: Parts, t: Array, day: float, running: Array) -> Parts:
    (sugar,) = parts
    spared = np.clip(1.0 - _limit(p, sugar) ** p["power"], 0.0, 1.0)
    awake = 1.0 - np.exp(-((day / (1.6 * p["lag"])) ** p["wake"]))
    held = np.exp(-p["to_ethanol"] * (p["sugar"] - sugar) / p["held"])
    there = np.maximum(sugar, 0.0)
    return (-p["work"] * _warm(t, p["per_ten"]) * held * spared * awake * running * there / (there + p["tail"]),)


NO_YEAST = Structure(_draw_no_yeast, lambda p: (p["sugar"].copy(),), lambda parts: parts[0], _change_no_yeast)


def _draw_two_sugars(dice: np.random.Generator, p: Drawn) -> None:
    n = p["start"].size
    p["rise"] = around(dice, n, 3.4, 1.4)
    p["yield"] = around(dice, n, 20.0, 1.35)  # yeast per nitrogen [g/g]
    p["work"] = around(dice, n, 17.0, 1.45)  # of glucose [1/d]
    p["likes"] = dice.uniform(0.45, 0.85, n)  # fructose's pace by glucose's [-]
    p["per_ten"] = dice.uniform(1.3, 2.0, n)
    p["bend"] = around(dice, n, 6.0, 1.6)
    p["death"] = around(dice, n, 0.0008, 2.0)  # per alcohol [L/(g d)]
    p["power"] = dice.uniform(0.3, 1.2, n)


def _change_two_sugars(p: Drawn, parts: Parts, t: Array, day: float, running: Array) -> Parts:
    glucose, fructose, nitrogen, yeast = (np.maximum(part, 0.0) for part in parts)
    sugar = glucose + fructose
    spared = np.maximum(1.0 - _limit(p, sugar), 0.0) ** p["power"]
    awake = 1.0 - np.exp(-((day / p["lag"]) ** 2))
    warm = _warm(t, p["per_ten"], 31.0)
    pace = p["work"] * warm * spared * awake * running * yeast
    growth = (
        p["rise"]
        * _warm(t, p["per_ten"] + 0.4, 31.0)
        * nitrogen
        / (nitrogen + 0.015)
        * spared
        * awake
        * running
        * yeast
    )
    death = p["death"] * p["to_ethanol"] * (p["sugar"] - sugar) * np.exp(0.09 * np.maximum(t - 20.0, 0.0)) * yeast
    return (
        -pace * glucose / (glucose + p["bend"] * (1.0 + fructose / 60.0)),
        -pace * p["likes"] * fructose / (fructose + p["bend"] * (1.0 + glucose / 25.0)),
        -growth / p["yield"],
        growth - death,
    )


TWO_SUGARS = Structure(
    _draw_two_sugars,
    lambda p: (p["glucose"] * p["sugar"], (1.0 - p["glucose"]) * p["sugar"], p["nitrogen"] / 1000.0, 0.8 * p["pitch"]),
    lambda parts: parts[0] + parts[1],
    _change_two_sugars,
    food=2,
)

STRUCTURES = {"carriers": CARRIERS, "logistic": LOGISTIC, "no yeast": NO_YEAST, "two sugars": TWO_SUGARS}
