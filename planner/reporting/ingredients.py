"""The report's list of what goes in and what is done to it: the recipe as the person wrote it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from planner.document.batch import Feed, FruitLine, HoneyLine, StepFeed, Wish
from planner.evaluation.outcome import Outcome
from planner.model.constants import ZERO_CELSIUS
from planner.recipe.step_feeding import name_of
from planner.reference.catalogue import Catalogue
from planner.reporting.said import CELSIUS, Said

Number = Callable[[float], float]


class _Named(Protocol):
    @property
    def name(self) -> str: ...


def recipe_data(outcome: Outcome, shelf: Catalogue, number: Number) -> dict[str, Any]:
    """The recipe of a batch as plain data; also where it cannot be worked out.

    Returns
    -------
    dict
        Numbers in units of the trade, named in the keys.
    """
    recipe = outcome.batch.recipe
    made = recipe.preparation
    return {
        "fruits": [_fruit(line, shelf, number) for line in recipe.fruits],
        "honeys": [_honey(line, shelf, number) for line in recipe.honeys],
        "water_kg": number(recipe.water),
        "yeast": {"name": _name(shelf.yeasts, recipe.yeast.key), "mass_g": number(recipe.yeast.pitch * 1e3)},
        "feeds": [_feed(feed, shelf, number) for feed in recipe.feeds],
        "added_while_it_works": [_step_feed(line, shelf, number) for line in recipe.step_feeds],
        "preparation": {
            "frozen": made.frozen, "pectic_enzyme": made.enzyme, "cold_soak_d": number(made.soak),
            "days_on_the_fruit": number(made.on_fruit) if made.whole else None,
        },
        "temperatures_are_of": "the room" if recipe.in_room else "the must",
        "temperatures": [
            {"from_day": number(step.day), "temperature_c": number(step.temperature - ZERO_CELSIUS)}
            for step in sorted(recipe.temperatures, key=lambda step: step.day)
        ],
        "vessel_l": None if recipe.vessel is None else number(recipe.vessel * 1e3),
        "notes": outcome.batch.notes,
    }  # fmt: skip


def wish_data(wish: Wish, number: Number) -> dict[str, Any]:
    """What is wanted of the batch, as plain data."""
    return {
        "must_l": None if wish.volume is None else number(wish.volume * 1e3),
        "starting_gravity_sg20": wish.gravity,
        "alcohol_pct_vol": None if wish.alcohol is None else number(wish.alcohol * 1e2),
        "finishing_gravity_sg20": wish.finish,
        "acid_g_per_l_tartaric": wish.acid,
        "sweetness_g_per_l_sucrose": wish.sweetness,
        "body_mpa_s": None if wish.body is None else number(wish.body * 1e3),
        "may_be_worked_out": list(wish.left_open),
    }


def _name(rows: Mapping[str, _Named], key: str) -> str:
    """What the shelf calls something; the key where it is not there."""
    return rows[key].name if key in rows else key


def _fruit(line: FruitLine, shelf: Catalogue, number: Number) -> dict[str, Any]:
    return {
        "name": _name(shelf.fruits, line.key),
        "mass_kg": number(line.mass),
        "as_juice": line.as_juice,
        "weighed_without_stones": line.stoned,
        "measured_press_yield_pct": None if line.press_yield is None else number(line.press_yield * 1e2),
        "measured_juice_gravity_sg20": line.juice_gravity,
    }


def _honey(line: HoneyLine, shelf: Catalogue, number: Number) -> dict[str, Any]:
    return {
        "name": _name(shelf.honeys, line.key),
        "mass_kg": number(line.mass),
        "measured_water_pct": None if line.moisture is None else number(line.moisture * 1e2),
    }


def _feed(feed: Feed, shelf: Catalogue, number: Number) -> dict[str, Any]:
    return {
        "name": _name(shelf.nutrients, feed.key),
        "mass_g": number(feed.mass * 1e3),
        "day": None if feed.day is None else number(feed.day),
        "at_sugar_used_pct": None if feed.sugar_used is None else number(feed.sugar_used * 1e2),
    }


def _step_feed(line: StepFeed, shelf: Catalogue, number: Number) -> dict[str, Any]:
    return {
        "name": name_of(line.key, shelf),
        "mass_kg": number(line.mass),
        "day": None if line.day is None else number(line.day),
        "at_gravity_sg20": line.gravity if line.day is None else None,
        "at_sugar_used_pct": None if line.sugar_used is None else number(line.sugar_used * 1e2),
    }


# --- for reading


def recipe_lines(recipe: dict[str, Any], plan: dict[str, Any] | None, said: Said) -> list[str]:
    """The same for reading."""
    amounts = [
        *((row["mass_kg"], row["name"] + _told_of_fruit(row, said)) for row in recipe["fruits"]),
        *((row["mass_kg"], row["name"] + _told_of_honey(row, said)) for row in recipe["honeys"]),
        *([(recipe["water_kg"], "water")] if recipe["water_kg"] > 0.0 else []),
        (recipe["yeast"]["mass_g"] * 1e-3, f"{recipe['yeast']['name']} (yeast, dry)"),
        *((row["mass_g"] * 1e-3, row["name"] + _when(row, said)) for row in recipe["feeds"]),
        *((row["mass_kg"], f"{row['name']}, added{_when(row, said)}") for row in recipe["added_while_it_works"]),
    ]
    weighed = [(said("weighed", mass), name) for mass, name in amounts]
    width = max(len(mass) for mass, _ in weighed)
    lines = ["", "Recipe", *(f"  {mass:>{width}}  {name}" for mass, name in weighed)]
    fruit = any(not row["as_juice"] for row in recipe["fruits"])
    lines += [f"  fruit: {_prepared(recipe['preparation'])}"] if fruit else []
    lines += [f"  {_kept(recipe, said)}"] if recipe["temperatures"] else []
    if recipe["vessel_l"] is not None:
        lines.append(f"  vessel of {said('volume', recipe['vessel_l'], 1e-3)}")
    wanted = [] if plan is None else _wanted(plan["wish"], said)
    lines += [f"  targets: {', '.join(wanted)}"] if wanted else []
    return [*lines, *(f"  {line}" for line in recipe["notes"].splitlines())]


def _told_of_fruit(row: dict[str, Any], said: Said) -> str:
    told = [
        "as juice" if row["as_juice"] else "",
        "weighed without stones, stems and cores" if row["weighed_without_stones"] else "",
        "" if row["measured_press_yield_pct"] is None
        else f"gives {said('share', row['measured_press_yield_pct'], 0.01)} of juice, measured",
        "" if row["measured_juice_gravity_sg20"] is None
        else f"juice of {said('gravity', row['measured_juice_gravity_sg20'])}, measured",
    ]  # fmt: skip
    return "".join(f", {part}" for part in told if part)


def _told_of_honey(row: dict[str, Any], said: Said) -> str:
    water = row["measured_water_pct"]
    return "" if water is None else f", {said('percent', water, 0.01)} of water, measured"


def _when(row: dict[str, Any], said: Said) -> str:
    if row["day"] is not None:
        return f", on day {row['day']:g}"
    if row.get("at_gravity_sg20") is not None:
        return f", at {said('gravity', row['at_gravity_sg20'])}"
    used = row["at_sugar_used_pct"]
    return "" if used is None else f", when {said('share', used, 0.01)} of the sugar is used"


def _prepared(made: dict[str, Any]) -> str:
    told = [
        "frozen and thawed" if made["frozen"] else "fresh",
        "with pectic enzyme" if made["pectic_enzyme"] else "without pectic enzyme",
        f"soaked cold for {made['cold_soak_d']:g} days" if made["cold_soak_d"] > 0.0 else "",
        "pressed before it ferments" if made["days_on_the_fruit"] is None
        else f"fermented on the fruit for {made['days_on_the_fruit']:g} days, then pressed",
    ]  # fmt: skip
    return ", ".join(part for part in told if part)


def _kept(recipe: dict[str, Any], said: Said) -> str:
    first, *later = recipe["temperatures"]
    begin = "in a room of" if recipe["temperatures_are_of"] == "the room" else "must kept at"

    def warm(step: dict[str, Any]) -> str:
        return said("temperature", step["temperature_c"] + CELSIUS)

    more = "".join(f", from day {step['from_day']:g}: {warm(step)}" for step in later)
    return f"{begin} {warm(first)}{more}"


_WISHES = (
    ("must_l", "{} of must", "volume", 1e-3),
    ("starting_gravity_sg20", "a start of {}", "gravity", 1.0),
    ("alcohol_pct_vol", "{}", "alcohol", 0.01),
    ("finishing_gravity_sg20", "a finish at {}", "gravity", 1.0),
    ("acid_g_per_l_tartaric", "{} of acid", "concentration", 1.0),
    ("sweetness_g_per_l_sucrose", "as sweet as {} of sugar in the glass", "concentration", 1.0),
)


def _wanted(wish: dict[str, Any], said: Said) -> list[str]:
    told = [form.format(said(kind, wish[key], factor)) for key, form, kind, factor in _WISHES if wish[key] is not None]
    told += [] if wish["body_mpa_s"] is None else [f"a body of {said.fixed(wish['body_mpa_s'], 2, 'mPa·s')}"]
    left = wish["may_be_worked_out"]
    return [*told, f"{' and '.join(left)} left open"] if told and left else told
