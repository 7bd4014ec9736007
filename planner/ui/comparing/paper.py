"""The paper of batches side by side, made ready to be written: their curves drawn, their numbers in a reader's units."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from planner.comparing.comparison import Comparison
from planner.comparing.lessons import Lesson
from planner.papers.comparison_paper import comparison_paper
from planner.papers.lessons_paper import lessons_paper
from planner.papers.tree import Picture
from planner.ui import theme
from planner.ui.comparing.curves import course_of, draw
from planner.ui.display import Display
from planner.ui.papers.curve import drawn
from planner.ui.papers.making import Document
from planner.units import GravityScale, System
from planner.wording.phrases import literal, say


def paper_for(found: Comparison, display: Display) -> Document:
    """The paper of a comparison for one reader."""
    return Document((comparison_paper(found, _curves(found, display)),), display)


def lessons_for(name: str, found: Sequence[Lesson], display: Display) -> Document:
    """The paper of what was expected of a batch and what came, for one reader."""
    return Document((lessons_paper(name, found),), display)


def paper(found: Comparison, units: str, gravity: str) -> Document:
    """The same for who names units and scale of gravity, and writes numbers as programs do."""
    return paper_for(found, Display(System(units), GravityScale(gravity)))


def _curves(found: Comparison, display: Display) -> Picture | None:
    courses = [course_of(outcome) for outcome in found.outcomes]
    if not any(courses):
        return None
    names = literal(", ".join(outcome.batch.name for outcome in found.outcomes))
    show = partial(draw, courses=courses, view="gravity", display=display, tones=theme.on_sheet(theme.LIGHT))
    return drawn(show, say(f"Gravity by day of {names}."))
