"""Puts each fruit together from the tables that hold its flesh, acids, yields, Brix, nitrogen and what keeps yeast from it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from planner.model.components import COMPONENTS
from planner.model.liquid import TARTARIC_PER_EQUIVALENT, WATER_DENSITY
from planner.model.span import Span
from planner.reference.rows import MINERALS, Fruit, dissolved
from planner.reference.status import Status
from planner.reference.tables import Row, TableError, by_key, read

SPREAD = {"A": 0.10, "B": 0.18, "C": 0.30, "D": 0.40}
"""Relative half width of a range that no source gives, by confidence in the sugars. [-] Estimate."""

SOLUTE_ROOM = 0.62e-3
"""Room that a mass of dissolved fruit takes in juice. [m^3/kg] That of sucrose, 0.618; acids and sorbitol lie near it."""

MOST_JUICE = 0.95
"""No press or enzyme gives more juice than this. [kg/kg] Flesh holds 3 to 7 % of insoluble matter."""

BRIX_APART = 0.005
"""How far what is dissolved and what a refractometer makes of it lie apart. [kg/kg] Estimate: acid, sorbitol, pectin."""

_SHARES = ("malic", "citric", "tartaric", "quinic", "succinic")


def read_fruits(folder: Path, sources: Collection[str], cautions: Collection[str]) -> dict[str, Fruit]:
    """The fruits by key.

    Parameters
    ----------
    folder : pathlib.Path
        Where the tables lie.
    sources, cautions : collection of str
        Keys that rows may name.

    Returns
    -------
    dict of str to Fruit
        In the order of `fruits.csv`.

    Raises
    ------
    TableError
        A table is damaged, or one of them lacks a fruit or has one too many; `fruit_benzoic.csv` holds only fruit that has any.
    """
    flesh = by_key(read(folder / "fruits.csv"))
    others = {name: by_key(read(folder / f"fruit_{name}.csv")) for name in ("acids", "yields", "brix", "nitrogen")}
    for name, rows in others.items():
        astray = sorted(flesh.keys() ^ rows.keys())
        if astray:
            raise TableError(f"fruits.csv and fruit_{name}.csv do not hold the same fruit: {', '.join(astray)}.")
    benzoic = by_key(read(folder / "fruit_benzoic.csv"))
    astray = sorted(benzoic.keys() - flesh.keys())
    if astray:
        raise TableError(f"fruit_benzoic.csv holds fruit that fruits.csv does not: {', '.join(astray)}.")
    return {
        key: _fruit(row, {name: rows[key] for name, rows in others.items()}, benzoic.get(key), sources, cautions)
        for key, row in flesh.items()
    }


def _fruit(
    row: Row,
    others: Mapping[str, Row],
    benzoic: Row | None,
    sources: Collection[str],
    cautions: Collection[str],
) -> Fruit:
    acids, yields, brix, nitrogen = others["acids"], others["yields"], others["brix"], others["nitrogen"]
    parts = {name: row.amount(name) for name in ("glucose", "fructose", "sucrose", "other_sugars")}
    split = sum(parts.values())
    spread = SPREAD[row.one_of("confidence", SPREAD)]
    sugar = _ranged(row, "sugar", split, spread)
    sorbitol = _ranged(row, "sorbitol", 0.0, spread)
    protein, fibre = row.number("protein"), row.number("fibre")
    shares = _acids(acids)
    acid, bound = _in_flesh(acids, shares[0][0], row.number("water"), sugar.typical + sorbitol.typical)
    sour = acid.typical + bound
    water = _closed(row.number("water"), sugar.typical + sorbitol.typical + sour + protein + fibre)
    most = min(MOST_JUICE, water + dissolved(sugar.typical, sorbitol.typical, sour, protein))
    refuse = yields.number("refuse")
    fresh = _juice(yields, "fresh", refuse, most)
    brix_low, brix_typical = _brix(brix, sources)
    rest = dissolved(0.0, sorbitol.typical, sour, protein)
    return Fruit(
        key=row.text("key"),
        name=row.text("name"),
        status=Status(row.one_of("status", Status)),
        water=water,
        protein=protein,
        fibre=fibre,
        pectin=row.number("pectin"),
        sugar=_covering(sugar, brix_typical, water, rest),
        glucose_share=parts["glucose"] / split,
        fructose_share=parts["fructose"] / split,
        sucrose_share=parts["sucrose"] / split,
        maltose_share=parts["other_sugars"] / split,
        sorbitol=sorbitol,
        acid=acid,
        bound_acid=bound,
        acids=shares,
        acid_status=Status(acids.one_of("status", Status)),
        ph=acids.span("ph"),
        ph_status=Status(acids.one_of("ph_status", Status)),
        stone=refuse,
        stone_what=yields.text("refuse_what") if refuse else "",
        has_stone=yields.yes("stone_fruit"),
        yield_fresh=fresh,
        yield_enzyme=_juice(yields, "enzyme", refuse, most) if yields.cell("enzyme_low") else fresh,
        yield_status=Status(yields.one_of("status", Status)),
        brix_low=brix_low,
        brix_typical=brix_typical,
        nitrogen=nitrogen.span("yan"),
        nitrogen_status=Status(nitrogen.one_of("status", Status)),
        cautions=row.keys("cautions", cautions),
        note=row.cell("note"),
        sources=_all_sources((row, acids, yields, nitrogen, *(() if benzoic is None else (benzoic,))), sources, brix),
        benzoic=Span.exactly(0.0) if benzoic is None else benzoic.span("benzoic"),
    )


def _ranged(row: Row, name: str, default: float | None, spread: float) -> Span:
    """A span of which the table may leave out the typical value, for `default`, or the ends, for the spread."""
    typical = row.optional(f"{name}_typical")
    if typical is None:
        typical = row.number(f"{name}_typical") if default is None else default
    low, high = row.optional(f"{name}_low"), row.optional(f"{name}_high")
    return row.ordered(
        name,
        Span(
            typical * (1.0 - spread) if low is None else low,
            typical,
            typical * (1.0 + spread) if high is None else high,
        ),
    )


def _in_flesh(row: Row, main: str, water: float, sugars: float) -> tuple[Span, float]:
    """Acid of juice as so much of the main acid in the flesh it comes from: what titrates, and what minerals hold. [kg/kg]

    The table states titratable acid of the juice as tartaric, and the charge of the minerals that hold the rest of it.
    """
    strength = COMPONENTS[main].acid_equivalents
    titrated = row.span("acid").scaled(1.0 / TARTARIC_PER_EQUIVALENT / strength)
    bound = row.number("cations") / strength
    solvent = water / WATER_DENSITY + SOLUTE_ROOM * (sugars + MINERALS)
    room = solvent / (1.0 - SOLUTE_ROOM * (titrated.typical + bound))
    return titrated.scaled(room), bound * room


def _covering(sugar: Span, brix: float | None, water: float, rest: float) -> Span:
    """The range of sugar, wide enough for the Brix that others measured in the juice: lots differ, and both are the fruit."""
    if brix is None:
        return sugar
    least, most = (max(b / (1.0 - b) * water - rest, 0.0) for b in (brix - BRIX_APART, brix + BRIX_APART))
    return Span(min(sugar.low, least), sugar.typical, max(sugar.high, most))


def _closed(printed: float, rest: float) -> float:
    """Water such that the parts do not exceed the whole: those of one fruit come from several laboratories."""
    return min(printed, 1.0 - rest - MINERALS)


def _acids(row: Row) -> tuple[tuple[str, float], ...]:
    parts = {acid: row.amount(acid) for acid in _SHARES}
    whole = sum(parts.values())
    if whole <= 0.0:
        raise row.refuse("malic", f"no acid has a share; expected one in {', '.join(_SHARES)}.")
    shares = [(acid, part / whole) for acid, part in parts.items() if part > 0.0]
    return tuple(sorted(shares, key=lambda pair: -pair[1]))


def _juice(row: Row, name: str, refuse: float, most: float) -> Span:
    """Juice per flesh; a figure per whole fruit is spread over what is left of it without the refuse."""
    per_flesh = 1.0 / (1.0 - refuse) if row.one_of("basis", ("whole", "flesh")) == "whole" else 1.0
    low, typical, high = row.span(name).scaled(per_flesh)
    return Span(min(low, most), min(typical, most), min(high, most))


def _brix(row: Row, sources: Collection[str]) -> tuple[float | None, float | None]:
    """A low and a typical Brix. The law's minimum is the low one, the customs' average often a high one."""
    method = row.one_of("typical_from", ("midpoint", "minimum", "average", "none"))
    if method == "none":
        return None, None
    row.sources(sources)
    minimum = row.number("minimum")
    average = row.number("average") if method != "minimum" else minimum
    typical = average if method == "average" else (minimum + average) / 2.0
    return min(minimum, average), typical


def _all_sources(rows: tuple[Row, ...], known: Collection[str], brix: Row) -> tuple[str, ...]:
    keys = [key for row in rows for key in row.sources(known)] + list(brix.keys("source", known))
    return tuple(dict.fromkeys(keys))
