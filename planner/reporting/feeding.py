"""The part of the report that speaks of food for the yeast and of the must's own warmth."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from planner.evaluation.outcome import Outcome
from planner.feeding.nitrogen_feeds import day_now, propose, usual_food
from planner.model.span import Span
from planner.reference.catalogue import Catalogue
from planner.reporting.said import CELSIUS, Said, Say
from planner.wording.figures import joined, told
from planner.wording.phrases import in_a_sentence

Number = Callable[[float], float]
SpanData = Callable[[Span, float], Any]


def feeding_data(
    outcome: Outcome, shelf: Catalogue, number: Number, span: SpanData, today: datetime | None = None, say: Say = str
) -> dict[str, Any] | None:
    """Feeds that would give the yeast what the must lacks, with the nutrients of the recipe.

    Parameters
    ----------
    today : datetime or None
        The present moment; None to go by the log alone. [-]

    Returns
    -------
    dict or None
        None where nothing ferments.
    """
    batch = outcome.batch
    if outcome.must is None or outcome.curve is None:
        return None
    plan = propose(
        batch, shelf, outcome.must, outcome.curve, usual_food(batch, shelf), day_now(batch, today), outcome.log,
        outcome.starting_gravity,
    )  # fmt: skip
    return {
        "nitrogen_wanted_mg_per_l": span(plan.need, 1e3),
        "nitrogen_of_the_must_mg_per_l": span(plan.has, 1e3),
        "nitrogen_fed_so_far_mg_per_l": number(plan.given * 1e3),
        "nitrogen_missing_mg_per_l": span(plan.lack, 1e3),
        "nitrogen_short_of_the_limit_mg_per_l": number(plan.short * 1e3),
        "proposed": [
            {
                "mass_g": number(step.feed.mass * 1e3),
                "name": shelf.nutrient(step.feed.key).name,
                "about_day": number(step.day),
                "at_sugar_used": None if step.feed.sugar_used is None else number(step.feed.sugar_used),
                "brings_nitrogen_to_mg_per_l": number(step.reaches * 1e3),
                "why": say(step.why),
            }
            for step in plan.offered
        ],
        "in_all": [{"name": shelf.nutrient(total.key).name, "mass_g": span(total.mass, 1e3)} for total in plan.totals],
        "ceilings": [
            {"of": at.name, "dose_g_per_l": number(at.dose), "limit_g_per_l": number(at.limit), "binds": at.binds,
             "is_law": not at.usual, "law": at.note}
            for at in plan.ceilings
        ],
        "none_after_day": None if plan.last_day is None else number(plan.last_day),
        "left_out": [{"name": out.name, "why": say(out.why)} for out in plan.refused],
        "in_words": " ".join(say(words) for words in plan.summary),
    }  # fmt: skip


def feeding_lines(feeding: dict[str, Any] | None, said: Said) -> list[str]:
    """The same for reading."""
    if feeding is None:
        return []
    lines = ["", "Feeding", f"  {feeding['in_words']}"]
    for row in feeding["proposed"]:
        when = f"about day {said('day', row['about_day'])}"
        if row["at_sugar_used"] is not None:
            when = f"at {said('share', row['at_sugar_used'])} of the sugar, {when}"
        lines.append(f"  {said('mass', row['mass_g'], 1e-3)} of {in_a_sentence(row['name'])}, {when}: "
                     f"it brings nitrogen to {said('trace', row['brings_nitrogen_to_mg_per_l'], 1e-3)}. {row['why']}")  # fmt: skip
    lines += [
        f"  {row['of']}: {said.trimmed(row['dose_g_per_l'], 2)} of the {said.trimmed(row['limit_g_per_l'], 2, 'g/L')} "
        f"{'allowed' if row['is_law'] else 'that are usual'}{'; this limit binds' if row['binds'] else ''}. {row['law']}"
        for row in feeding["ceilings"]
    ]
    lines += [f"  {row['name']} is left out. {row['why']}" for row in feeding["left_out"]]
    return lines


def warmth_data(outcome: Outcome, number: Number) -> dict[str, Any] | None:
    """How warm the must gets by its own heat; None where nothing ferments."""
    warm = outcome.warmth
    if warm is None:
        return None
    return {
        "temperatures_are_of": "the room" if warm.in_room else "the must",
        "warmest_c": number(warm.warmest - 273.15),
        "room_then_c": number(warm.room - 273.15),
        "on_day": number(warm.day),
    }


def warmth_lines(warm: dict[str, Any] | None, said: Said) -> list[str]:
    """The same for reading."""
    if warm is None:
        return []
    begins = "the must is" if warm["temperatures_are_of"] == "the room" else "left uncooled, the must is"
    warmest, room = (
        told("temperature", round(warm[key]) + CELSIUS, said.reader) for key in ("warmest_c", "room_then_c")
    )
    return [
        f"  {begins} warmest on day {said('day', warm['on_day'])}, at about {joined(warmest, said.reader)} in a room of {joined(room, said.reader)}"
    ]
