"""A must fermented, and told on some days."""

from __future__ import annotations

from typing import Any

from planner.model.simulate import Course, ferment


def run(glucose: Any, fructose: Any, nitrogen: Any, culture: Any, schedule: Any, doses: Any, days: Any, warmer: Any = 0.0,
        **more: Any) -> Course:  # fmt: skip
    """As `ferment`, on days that rise from 0. [d]"""
    return ferment(glucose, fructose, nitrogen, culture, schedule, doses, float(days[-1]), warmer, **more).course(days)
