"""The recipe's part of the report: preparation, losses and bottles, cost, house rules, wish and schedule."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.evaluation.outcome import Outcome
from planner.planning.cost import cost
from planner.planning.schedule import schedule
from planner.recipe.house_rules import NAMES
from planner.recipe.preparation import prepared
from planner.recipe.vessels import way
from planner.reference.catalogue import Catalogue
from planner.reporting.ingredients import wish_data
from planner.reporting.said import Said, Say

Number = Callable[[float], float]


def plan_data(outcome: Outcome, shelf: Catalogue, number: Number, say: Say = str) -> dict[str, Any] | None:
    """What a recipe asks for beside the must, as plain data.

    Returns
    -------
    dict or None
        Numbers in units of the trade, named in the keys; None where there is no must.
    """
    batch = outcome.batch
    if outcome.must is None:
        return None
    made = prepared(batch, shelf)
    mead = None if outcome.mead is None else outcome.mead.after.volume.typical
    on_the_way = way(batch, shelf, outcome.must.volume.typical, mead)
    rules = batch.recipe.rules
    bottles = sum(b.number for b in on_the_way.bottles)
    return {
        "preparation": {
            "fruit_kg": number(made.fruit), "waste_kg": number(made.waste), "juice_kg": number(made.juice),
            "free_run_kg": number(made.free_run), "pomace_kg": number(made.pomace),
            "enzyme_g": number(sum(dose.mass for dose in made.enzyme) * 1e3),
            "press_loads": None if made.loads is None else made.loads.number,
            "fermented_on_the_fruit": batch.recipe.preparation.whole,
            "mind": [say(words) for words in made.cautions],
        },
        "fermenter_at_least_l": number(on_the_way.fermenter * 1e3),
        "losses": [{"step": step.name, "lost_l": number(step.lost * 1e3)} for step in on_the_way.steps],
        "bottled_l": number(on_the_way.bottled * 1e3),
        "bottles": [{"size_ml": number(b.size * 1e6), "number": b.number} for b in on_the_way.bottles],
        "cost": _cost(outcome, bottles, number),
        "house_rules": [name for field, name in NAMES.items() if field != "alcohol_ceiling" and getattr(rules, field)],
        "alcohol_ceiling_pct_vol": None if rules.alcohol_ceiling is None else number(rules.alcohol_ceiling * 1e2),
        "wish": wish_data(batch.recipe.wish, number),
        "schedule": _schedule(outcome, shelf, number, say),
    }  # fmt: skip


def _cost(outcome: Outcome, bottles: int, number: Number) -> dict[str, Any] | None:
    found = cost(outcome.batch, bottles)
    if found is None:
        return None
    return {
        "currency": outcome.batch.recipe.prices.currency,
        "total": number(found.total),
        "per_bottle": None if found.per_bottle is None else number(found.per_bottle),
        "without_a_price": list(found.unpriced),
    }


def _schedule(outcome: Outcome, shelf: Catalogue, number: Number, say: Say) -> list[dict[str, Any]]:
    plan = schedule(outcome, shelf)
    rows = []
    for task in plan.tasks:
        moment = plan.moment(task.day)
        rows.append({
            "task": task.key, "title": say(task.title), "how": say(task.text), "day": number(task.day),
            "at": None if moment is None else moment.isoformat(timespec="minutes"),
            "earliest_day": number(task.early), "latest_day": number(task.late), "done": task.done,
        })  # fmt: skip
    return rows


def plan_lines(plan: dict[str, Any] | None, said: Said) -> list[str]:
    """The same for reading, but for the wish, which stands with the recipe."""
    if plan is None:
        return []
    made = plan["preparation"]
    lines = ["", "From the fruit to the bottle"]
    if made["fruit_kg"] > 0.0:
        fruit, juice, free, waste, pomace = (
            said("mass", made[key]) for key in ("fruit_kg", "juice_kg", "free_run_kg", "waste_kg", "pomace_kg")
        )
        lines.append(
            f"  {fruit} of fruit gives {juice} of juice, {free} of it without the press. Waste: {waste}. Pomace: {pomace}."
        )
        if made["press_loads"] is not None:
            lines.append(f"  press loads: {made['press_loads']}")
        lines += [f"  {text}" for text in made["mind"]]
    bottles = (
        ", ".join(
            f"{row['number']} {'bottle' if row['number'] == 1 else 'bottles'} of {said('volume', row['size_ml'], 1e-6)}"
            for row in plan["bottles"]
        )
        or "none"
    )
    lines.append(
        f"  fermenter of {said('rough_volume', plan['fermenter_at_least_l'], 1e-3)} or more; "
        f"{said('volume', plan['bottled_l'], 1e-3)} reaches the bottle: {bottles}"
    )
    if plan["cost"] and plan["cost"]["per_bottle"] is not None:
        missing = plan["cost"]["without_a_price"]
        more = f" (without a price: {', '.join(missing)})" if missing else ""
        lines.append(f"  {said.fixed(plan['cost']['per_bottle'], 2, plan['cost']['currency'])} a bottle{more}")
    rules = list(plan["house_rules"])
    if plan["alcohol_ceiling_pct_vol"] is not None:
        rules.append(f"not above {said('alcohol', plan['alcohol_ceiling_pct_vol'], 0.01)}")
    if rules:
        lines.append(f"  house rules: {', '.join(rules)}")
    if plan["schedule"]:
        lines += ["", "Schedule"]
        lines += [
            f"  day {row['day']:4.0f}  {(row['at'] or '')[:10]:10}  {row['title']}{' (done)' if row['done'] else ''}"
            for row in plan["schedule"]
        ]
    return lines
