"""The verdict's part of the report: how the ferment stands after its log, why, and what the log makes of the forecast."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from planner.evaluation.outcome import Outcome
from planner.reporting.said import Said, Say
from planner.timeline.particle_filter import DRY
from planner.timeline.verdict_rule import FINISHED


def verdict_data(
    outcome: Outcome, number: Callable[[float], float], span: Callable[..., Any], say: Say = str
) -> dict[str, Any] | None:
    """Verdict and forecast as plain data.

    Returns
    -------
    dict or None
        Numbers in units of the trade, named in the keys; None before the first reading.
    """
    verdict, after = outcome.verdict, outcome.posterior
    if verdict is None or after is None or after.now is None:
        return None
    now = after.now
    return {
        "verdict": verdict.kind,
        "probability": number(verdict.probability),
        "text": say(verdict.sentence),
        "evidence": [say(words) for words in verdict.evidence],
        "decided_by_reading": verdict.decided_by,
        "would_change": say(verdict.would_change),
        "steps": [say(words) for words in verdict.steps],
        "cautions": [say(words) for words in verdict.cautions],
        "stalled_since_day": None if verdict.stalled_since is None else number(verdict.stalled_since),
        "day": number(now.evidence.day),
        "sugar_left_g_per_l": span(now.sugar),
        "alcohol_pct_vol": span(now.alcohol, 1e2),
        "sugar_used_per_day_g_per_l": span(now.uptake),
        "forecast": {
            "stands_still": after.held,
            "gravity_sg20": span(after.finish_gravity),
            "sugar_left_g_per_l": span(after.finish_sugar),
            "alcohol_pct_vol": span(after.finish_alcohol, 1e2),
            "day": span(after.finish_day),
            "probability_dry": number(float(np.mean(np.isfinite(after.dry_days)))),
            "dry_means_g_per_l": DRY,
        },
    }


def verdict_lines(data: dict[str, Any] | None, said: Said) -> list[str]:
    """The same for reading.

    Returns
    -------
    list of str
        Short lines; none without a verdict.
    """
    if data is None:
        return []
    ahead = data["forecast"]
    return [
        "",
        f"Verdict: {data['verdict']} ({data['probability'] * 100:.0f} %)",
        *(f"  {text}" for text in data["evidence"]),
        f"  What would change it: {data['would_change']}",
        *(f"  {place}. {text}" for place, text in enumerate(data["steps"], 1)),
        *(f"  Take care: {text}" for text in data["cautions"]),
        f"  {_ahead(data['verdict'], ahead, said)}"
        + f" {said('alcohol', ahead['alcohol_pct_vol'], 0.01)}, sugar left {said('concentration', ahead['sugar_left_g_per_l'])}",
    ]


def _ahead(verdict: str, ahead: dict[str, Any], said: Said) -> str:
    """Where gravity goes from here; of what has finished, where it stands."""
    gravity = said("gravity", ahead["gravity_sg20"])
    if verdict == FINISHED:
        return f"It stands at {gravity}:"
    if ahead["stands_still"]:
        return f"Forecast: at its present gravity, {gravity}, until something is done:"
    return f"Forecast: stops near {gravity} about day {said('day', ahead['day'])},"
