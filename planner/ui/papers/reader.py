"""Numbers on papers as one person reads them."""

from __future__ import annotations

import msgspec

from planner.papers.tree import Measure
from planner.ui.display import Display
from planner.ui.widgets.remarks import in_words
from planner.wording.phrases import Words


class InUnits(msgspec.Struct, frozen=True):
    """A reader with these habits."""

    display: Display

    def words(self, words: Words) -> str:
        """A sentence with its figures in their units."""
        return in_words(words, self.display)

    def measure(self, measure: Measure) -> str:
        """A number with its range."""
        told = self.display.format_span(measure.span, measure.kind, measure.unit)
        number, space, bounds = told.partition(" (")
        return f"{number}{measure.after}{space}{bounds}"
