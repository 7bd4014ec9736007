"""The part of the report on the alcohol so far: balance, rules of thumb with their error, and pairs of instruments."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.reporting.said import Say
from planner.timeline import alcohol_text
from planner.timeline.instruments import AlcoholSoFar

Number = Callable[[float], float]
SpanData = Callable[[Span, float], Any]


def alcohol_data(outcome: Outcome, number: Number, span: SpanData, say: Say = str) -> dict[str, Any] | None:
    """Alcohol by every way that the log allows, as plain data.

    Returns
    -------
    dict or None
        Numbers in units of the trade, named in the keys; None before the first reading after pitching.
    """
    told = outcome.so_far
    if told is None:
        return None
    return {
        "reading": told.reading,
        "day": number(told.day),
        "gravity_sg20": number(told.gravity),
        "starting_gravity_sg20": number(told.start.gravity),
        "starting_gravity_is": "measured" if told.start.measured else "expected from the recipe",
        "starting_gravity_counts_what_went_in_later": told.start.grown,
        "by_mass_balance_pct_vol": span(told.balance, 1e2),
        "alcohol_pct_vol": span(told.alcohol, 1e2),
        "rules_of_thumb": [
            {
                "rule": alcohol_text.RULES[rule.rule],
                "alcohol_pct_vol": number(rule.alcohol * 1e2),
                "off_the_balance_pct_vol": number(rule.off * 1e2),
            }
            for rule in told.shortcuts
        ],
        "hydrometer_with_refractometer": _pairs(told, number, span),
        "in_words": [say(text) for text in alcohol_text.sentences(told)],
    }


def _pairs(told: AlcoholSoFar, number: Number, span: SpanData) -> list[dict[str, Any]]:
    return [
        {
            "day": number(pair.day),
            "hydrometer_reading": pair.hydrometer,
            "refractometer_reading": pair.refractometer,
            "gravity_sg20": number(pair.gravity),
            "brix_at_20_c": number(pair.brix),
            "alcohol_pct_vol": span(pair.alcohol, 1e2),
            "extract_g_per_l": span(pair.extract, 1.0),
            "fermentable_sugar_g_per_l": span(pair.sugar, 1.0),
            "implied_starting_gravity_sg20": span(pair.start, 1.0),
            "by_mass_balance_pct_vol": number(pair.balance * 1e2),
            "agrees_with_the_balance": pair.agrees,
            "fits_this_must": pair.fits,
        }
        for pair in told.pairs
    ]


def alcohol_lines(data: dict[str, Any] | None) -> list[str]:
    """The same for reading.

    Returns
    -------
    list of str
        Short lines; none without a reading.
    """
    return [] if data is None else ["", "Alcohol so far", *(f"  {text}" for text in data["in_words"])]
