"""How well measured ferments are foreseen: `python -m tests.benchmarks.ferments CSV...`.

Of each ferment in the files, with columns as of "Lab-scale red wine fermentation" (Stellenbosch University 2022): Descr (its
key), Day, Must Temp, Fructose(g/L), Glucose(g/L) and Total Sugar(g/L). Three questions, with one and the same setting for
all ferments:

unseen       only the starting sugar and the temperature are known; error on all later readings
after day 3  calibrated on the readings of the first three days; error on those after
fitted       calibrated on all readings; error on all after the start

The last line is for machines: means over the ferments, in g/L of sugar. Reach: 10, 6 and 2 at most.

The settings, none fitted to these files: a red must on its skins (`calibrate.ON_SOLIDS`), with the mean nitrogen of grape
musts, the usual pitch, and a yeast of high tolerance from the shelf, as such musts need.
"""

from __future__ import annotations

import argparse
import csv
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.model.constants import ETHANOL_DENSITY, ZERO_CELSIUS
from planner.model.fermentation import ETHANOL_YIELD, fully_fermented
from planner.model.kinetics import NORMAL_PITCH, Culture
from planner.model.liquid import Liquid, volume
from planner.model.span import Span
from planner.reference.catalogue import catalogue
from planner.timeline.calibrate import ON_SOLIDS, Factors, Ferment, calibrated

Array = npt.NDArray[np.float64]

NITROGEN = Span(0.100, 0.213, 0.350)
"""Of a grape must. [kg/m^3] Mean of a compiled table, and the range of grape juices."""

YEAST = "dry-finisher"
ACID, EXTRACT = 6.0, 20.0
"""Of a grape must besides its sugar. [kg/m^3] Common practice, no source; they only share in the volume."""

GLUCOSE_SHARE = 0.5  # where a file does not tell glucose from fructose
FIRST_DAYS = 3.0

PRIORS = ON_SOLIDS._replace(nitrogen=NITROGEN.scaled(1.0 / NITROGEN.typical))


class Measured(NamedTuple):
    """Readings of one ferment, in the order of their days from the first."""

    name: str
    days: Array  # [d]
    sugar: Array  # [kg/m^3]
    glucose: float  # at the start [kg/m^3]
    schedule: tuple[tuple[float, float], ...]  # [d], [K]


class Errors(NamedTuple):
    """Root-mean-square errors of one ferment. [kg/m^3]; not a number where there is no such reading."""

    unseen: float
    after: float
    fitted: float
    factors: Factors


def _number(row: dict[str, str | None], heading: str) -> float:
    text = (row.get(heading) or "").strip()
    try:
        return float(text)
    except ValueError:
        return math.nan


def read(path: Path) -> list[Measured]:
    """The ferments of a file. Small negative sugars of infrared spectra mean none. Rows without day or sugar are left out."""
    with path.open(newline="", encoding="utf-8-sig") as file:
        table = csv.DictReader(file)
        headings = set(table.fieldnames or ())
        missing = {"Descr", "Day"} - headings
        if missing or not headings & {"Total Sugar(g/L)", "Glucose(g/L)"}:
            raise SystemExit(f"{path}: no column {', '.join(sorted(missing)) or 'of sugar'}; columns are {headings}.")
        rows: dict[str, list[tuple[float, float, float, float]]] = {}
        for row in table:
            glucose, fructose = (max(_number(row, f"{name}(g/L)"), 0.0) for name in ("Glucose", "Fructose"))
            whole = glucose + fructose
            if math.isnan(whole):
                whole = max(_number(row, "Total Sugar(g/L)"), 0.0)
            day = _number(row, "Day")
            if not math.isnan(day + whole):
                rows.setdefault(str(row["Descr"]), []).append((day, whole, glucose, _number(row, "Must Temp")))
    return [_measured(name, sorted(found)) for name, found in rows.items() if len(found) > 2]


def _measured(name: str, rows: list[tuple[float, float, float, float]]) -> Measured:
    days, sugar, glucose, celsius = np.array(rows).T
    days = days - days[0]
    known = ~np.isnan(celsius)
    warmth = [(float(d), float(c) + ZERO_CELSIUS) for d, c in zip(days[known], celsius[known], strict=True)]
    if not warmth or warmth[0][0] > 0.0:
        warmth.insert(0, (0.0, warmth[0][1] if warmth else 20.0 + ZERO_CELSIUS))
    first = GLUCOSE_SHARE * sugar[0] if math.isnan(glucose[0]) else glucose[0]
    return Measured(name, days, sugar, float(first), tuple(dict(warmth).items()))


def ferment_of(measured: Measured) -> Ferment:
    """What is expected of a ferment of which only starting sugar and temperature are known."""
    fructose = float(measured.sugar[0]) - measured.glucose
    must = Liquid.of(
        water=0.88, glucose=measured.glucose / 1e3, fructose=fructose / 1e3, tartaric=ACID / 1e3, other=EXTRACT / 1e3
    )
    shrunk = float(volume(fully_fermented(must)) / volume(must))
    yeast = Culture(
        tolerance=catalogue().yeast(YEAST).tolerance.typical * ETHANOL_DENSITY * shrunk,
        vigour=1.0, growth=1.0, decline=1.0, lag=1.0, pitch=NORMAL_PITCH, ethanol_yield=ETHANOL_YIELD.typical,
    )  # fmt: skip
    return Ferment(measured.glucose, fructose, NITROGEN.typical, yeast, measured.schedule, ramps=True, shrunk=shrunk)


def errors(measured: Measured) -> Errors:
    """Ask the three questions of one ferment."""
    expected = ferment_of(measured)
    later, early = measured.days > 0.0, measured.days <= FIRST_DAYS

    def off(known: npt.NDArray[np.bool_], asked: npt.NDArray[np.bool_]) -> tuple[float, Factors]:
        fit = calibrated(expected, measured.days[known], measured.sugar[known], PRIORS)
        if not asked.any():
            return math.nan, fit.factors
        found = expected.sugar(fit.factors, measured.days)[:, 0]
        return float(np.sqrt(np.mean((found - measured.sugar)[asked] ** 2))), fit.factors

    unseen, _ = off(np.zeros_like(later), later)
    after, _ = off(early & later, ~early)
    fitted, factors = off(later, later)
    return Errors(unseen, after, fitted, factors)


def main(arguments: list[str] | None = None) -> None:
    """Print the table and the line for machines."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("files", nargs="+", type=Path)
    ferments = [one for path in parser.parse_args(arguments).files for one in read(path)]
    if not ferments:
        raise SystemExit("No ferment with at least three readings was found.")
    print("RMSE of sugar, g/L         readings  unseen  after day 3  fitted   factors of the fit:", *Factors._fields)
    table = []
    for measured in ferments:
        found = errors(measured)
        table.append(found[:3])
        factors = "  ".join(f"{float(f):.2f}" for f in found.factors)
        print(f"{measured.name[:26]:26s} {len(measured.days):8d}  {found.unseen:6.1f}  {found.after:11.1f}"
              f"  {found.fitted:6.1f}   {factors}")  # fmt: skip
    unseen, after, fitted = np.nanmean(np.array(table), axis=0)
    print(f"unseen {unseen:.1f} after_day_3 {after:.1f} fitted {fitted:.1f}")


if __name__ == "__main__":
    main()
