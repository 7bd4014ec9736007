"""Reads honeys, additives, yeasts, nutrients and the cautions that rows call."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from pathlib import Path

from planner.model.components import COMPONENTS
from planner.model.span import Span
from planner.reference.rows import Additive, Caution, Honey, Nutrient, Yeast
from planner.reference.status import Status
from planner.reference.tables import Row, by_key, read

GROUPS = ("sweetener", "body", "acid", "deacidifier", "enzyme", "tannin", "flavour", "liquid", "stabiliser")
"""What an additive is for."""

WHOLE = 1e-4
"""How far parts may miss their whole. [kg/kg] The tables print at most three decimals of a percent."""


def read_cautions(path: Path, sources: Collection[str]) -> dict[str, Caution]:
    """The cautions by key. Raises `TableError` for a damaged file or an unknown source."""
    return {
        key: Caution(key, row.text("title"), row.text("text"), row.sources(sources))
        for key, row in by_key(read(path)).items()
    }


def read_honeys(path: Path, sources: Collection[str], cautions: Collection[str]) -> dict[str, Honey]:
    """The honeys by key. Raises `TableError` for a damaged table."""
    return {key: _honey(row, sources, cautions) for key, row in by_key(read(path)).items()}


HONEY_PH, USUAL_ASH = Span(3.4, 3.9, 4.5), 0.00169
"""pH of honeys [-] and their mean ash [kg/kg]. White 1962: 3.91, 3.42 to 6.10 in 490 honeys; the end of dark honeydew is left out."""

PH_PER_ASH = 0.7
"""By how much the pH is higher where there is ten times the ash. [-] The balance of charges of gluconic acid with potassium, which is
about a third of the ash, from 205 mg/kg in light to 1676 in dark honeys (Schuette & Remy 1932, from memory)."""


def _honey_ph(ash: float) -> Span:
    """pH of a honey by its minerals, which carry the charge of its acid. [kg/kg]"""
    off = PH_PER_ASH * math.log10(max(ash, 1e-4) / USUAL_ASH)
    return Span(*(value + off for value in HONEY_PH))


def _honey(row: Row, sources: Collection[str], cautions: Collection[str]) -> Honey:
    moisture = row.span("moisture")
    known = {
        name: row.number(name) for name in ("fructose", "glucose", "sucrose", "disaccharides", "higher_sugars", "acid")
    }
    ash_protein = row.number("ash") + row.number("protein")
    undetermined = 1.0 - moisture.typical - sum(known.values()) - ash_protein
    if undetermined < -WHOLE:
        raise row.refuse("moisture_typical", "with the other parts comes to more than 100 %.")
    return Honey(
        key=row.text("key"),
        name=row.text("name"),
        moisture=moisture,
        **known,
        ash_protein=ash_protein,
        ph=_honey_ph(row.number("ash")),
        undetermined=max(undetermined, 0.0),
        fermentable=row.span("fermentable"),
        nitrogen=row.span("nitrogen"),
        cautions=row.keys("cautions", cautions),
        note=row.cell("note"),
        status=Status(row.one_of("status", Status)),
        sources=row.sources(sources),
    )


def read_additives(folder: Path, sources: Collection[str], cautions: Collection[str]) -> dict[str, Additive]:
    """The additives by key.

    Parameters
    ----------
    folder : pathlib.Path
        Where `additives.csv`, `compositions.csv` and `cold_ceilings.csv` lie.
    sources, cautions : collection of str
        Keys that rows may name.

    Raises
    ------
    TableError
        A table is damaged, a component is not known to the model, a composition does not come to 100 %,
        or a row speaks of an additive that `additives.csv` does not hold.
    """
    rows = by_key(read(folder / "additives.csv"))
    compositions = _gather(read(folder / "compositions.csv"), rows)
    ceilings = _gather(read(folder / "cold_ceilings.csv"), rows)
    return {
        key: _additive(row, compositions.get(key, ()), ceilings.get(key, ()), sources, cautions)
        for key, row in rows.items()
    }


def _gather(rows: tuple[Row, ...], known: Mapping[str, Row]) -> dict[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for row in rows:
        key = row.one_of("additive", known)
        found[key] = (*found.get(key, ()), row)
    return found


def _additive(
    row: Row, parts: tuple[Row, ...], ceilings: tuple[Row, ...], sources: Collection[str], cautions: Collection[str]
) -> Additive:
    composition = tuple((part.one_of("component", COMPONENTS), part.number("share")) for part in parts)
    whole = sum(share for _, share in composition)
    if abs(whole - 1.0) > WHOLE:
        raise row.refuse("key", f"its parts in compositions.csv come to {whole:.3%}, not to 100 %.")
    liquid = row.yes("liquid")
    named = [key for one in (row, *parts, *ceilings) for key in one.sources(sources)]
    return Additive(
        key=row.text("key"),
        name=row.text("name"),
        group=row.one_of("group", GROUPS),
        composition=composition,
        solubility_cold=row.optional("solubility_cold"),
        cold_ceilings=tuple(sorted((one.number("ethanol"), one.number("ceiling")) for one in ceilings)),
        teaspoon=row.optional("teaspoon"),
        liquid=liquid,
        density=row.number("density") if liquid else None,
        ceiling=row.optional("ceiling"),
        ceiling_note=row.cell("ceiling_note"),
        fermentable_note=row.text("fermentable_note"),
        allergen=row.cell("allergen"),
        natural=row.yes("natural"),
        cautions=row.keys("cautions", cautions),
        status=Status(row.one_of("status", Status)),
        sources=tuple(dict.fromkeys(named)),
    )


def read_yeasts(path: Path, sources: Collection[str], cautions: Collection[str]) -> dict[str, Yeast]:
    """The yeasts by key. Raises `TableError` for a damaged table."""
    return {
        key: Yeast(
            key=key,
            name=row.text("name"),
            tolerance=row.span("tolerance"),
            t_low=row.number("t_low"),
            t_best=row.number("t_best"),
            t_high=row.number("t_high"),
            demand=row.number("demand"),
            vigour=row.span("vigour"),
            lag=row.number("lag"),
            maltose=row.number("maltose"),
            cautions=row.keys("cautions", cautions),
            note=row.cell("note"),
            status=Status(row.one_of("status", Status)),
            sources=row.sources(sources),
        )
        for key, row in by_key(read(path)).items()
    }


def read_nutrients(path: Path, sources: Collection[str]) -> dict[str, Nutrient]:
    """The nutrients by key. Raises `TableError` for a damaged table."""
    return {
        key: Nutrient(
            key=key,
            name=row.text("name"),
            nitrogen=row.span("nitrogen"),
            organic=row.yes("organic"),
            ceiling=row.optional("ceiling"),
            ceiling_note=row.cell("ceiling_note"),
            note=row.cell("note"),
            status=Status(row.one_of("status", Status)),
            sources=row.sources(sources),
        )
        for key, row in by_key(read(path)).items()
    }
