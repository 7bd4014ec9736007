"""What is taken to the bench: what to weigh, and how to fill the glasses of a trial, as plain text to copy."""

from __future__ import annotations

from collections.abc import Iterable

from planner.adjusting.trial import TrialPlan
from planner.document.batch import Batch
from planner.ui.display import SPACE, Display
from planner.ui.widgets.remarks import in_words
from planner.wording.finding import Finding


def weighing_sheet(
    batch: Batch, volume: float | None, lines: Iterable[str], doubts: Iterable[Finding], display: Display
) -> str:
    """What to weigh, under the name of the batch and its volume [m^3], with what is doubtful about it."""
    title = batch.name if volume is None else f"{batch.name}: {display.volume(volume)} of mead"
    told = [title, *lines, "Spoons and cups are approximate; the weight counts."]
    return _plain([*told, *(in_words(doubt.text, display) for doubt in doubts)])


def trial_sheet(name: str, made: TrialPlan, stocks: Iterable[str], display: Display) -> str:
    """How to fill the glasses of a trial, with room for the scores: columns apart by tabs, as a spreadsheet takes them."""
    columns = [
        f"stock {place}, mL" if len(made.stocks) > 1 else "stock, mL" for place in range(1, len(made.stocks) + 1)
    ]
    rows = ["\t".join(("glass", "dose", *columns, "mead, mL", "score"))]
    for place, pour in enumerate(made.pours, start=1):
        share = f"{display.number(100.0 * pour.strength, 0)}{SPACE}%"
        poured = [millilitres(one, display) if one > 0.0 else "–" for one in pour.stocks]
        rows.append("\t".join((str(place), share, *poured, millilitres(pour.plain, display), "")))
    return _plain([f"{name}: trial glasses", *stocks, *rows])


def millilitres(volume: float, display: Display) -> str:
    """A volume in mL, as finely as a syringe is read: to half of one."""
    return display.number(round(volume * 2e6) / 2.0, 1, trim=True)


def _plain(lines: Iterable[str]) -> str:
    """Lines without the joiners of the window, as other programs take them."""
    return "\n".join(lines).replace(SPACE, " ")
