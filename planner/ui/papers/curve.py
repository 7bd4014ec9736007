"""The fermentation curve for paper: the same plot as on the screen, as scalable vector graphics."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO

from matplotlib import rc_context
from matplotlib.figure import Figure

from planner.document.shelf import shelf_of
from planner.evaluation.outcome import Outcome
from planner.papers.tree import Picture, Text
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.curve.artists import PlotFont
from planner.ui.curve.plot import CurvePlot
from planner.ui.curve.plot_data import scene_of, summary
from planner.ui.display import Display

INCHES = (6.7, 3.9)
"""As wide as the text of both sizes of paper."""

_MEASURED = ("STIXGeneral", "DejaVu Sans")
"""Letters of matplotlib by which words are measured; those that are shown are as wide, within a few parts of a hundred."""


def picture(outcome: Outcome, catalogue: Catalogue, display: Display) -> Picture | None:
    """The curve of a batch in the reader's units; None where there is nothing to draw."""
    shelf = shelf_of(outcome.batch, catalogue)
    names = {row.key: row.name for rows in (shelf.additives, shelf.fruits, shelf.honeys, shelf.nutrients)
             for row in rows.values()}  # fmt: skip
    scene = scene_of(outcome, lambda key: names.get(key, key))
    if scene.is_empty:
        return None

    def show(figure: Figure, font: PlotFont) -> None:
        CurvePlot(figure, display, theme.on_sheet(theme.LIGHT), font).show(scene, whole=True)

    return drawn(show, summary(scene))


def drawn(show: Callable[[Figure, PlotFont], None], alt: Text) -> Picture:
    """What is drawn on a figure, as a picture for paper."""
    svg = StringIO()
    # Words stay words, and without a date the same curve gives the same file.
    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "curve"}):
        figure = Figure(figsize=INCHES)
        show(figure, PlotFont(_MEASURED, 8.5))
        figure.savefig(svg, format="svg", metadata={"Date": None})
    return Picture(svg.getvalue().replace(f"'{_MEASURED[0]}'", "'Libertinus Serif', serif"), alt)
