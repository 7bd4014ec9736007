"""Pressure, closure and the ways to stability: what a closed bottle would do, and what keeps it from doing so."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from planner.adjusting.additions import given_doses
from planner.adjusting.adjustment_headline import bottled_words
from planner.adjusting.base_mead import Basis
from planner.adjusting.refermentation_risk import Risk, Stillness, stillness
from planner.adjusting.stabilisation import Treatment, treatment
from planner.adjusting.stabilisation_methods import Way, ways
from planner.document.bottled import bottled
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.find import with_doses
from planner.ui.adjust.text import kept_together
from planner.ui.adjust.tool import Tool, dim, listed, told, write
from planner.ui.display import SPACE, Display
from planner.ui.widgets.remarks import in_words, under
from planner.wording.finding import Level, warned
from planner.wording.phrases import in_a_sentence

_TAKE = "take:"
"""Begins the link that puts what a way takes among the additions."""
_HANGING = "margin: 0px 0px 3px 10px; text-indent: -10px"


class KeepStill(Tool):
    """Risk in words, gas at three temperatures, the closure for it, and five ways side by side with the house rules."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self.risk = told("Risk of a second fermentation")
        self.ways = told("Ways to stability")
        self.caution = dim("")
        self.ways.linkActivated.connect(self._toggle)
        self.ways.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self._told: set[str] = set()
        self._found: tuple[Way, ...] = ()
        for part in (self.risk, self.ways, self.caution):
            self.column.addWidget(part)

    def focus_chain(self) -> list[QWidget]:
        return [self.ways]

    def _toggle(self, link: str) -> None:
        """Tell more of a way, or less; or put what it takes among the additions."""
        key = link.removeprefix(_TAKE)
        if link == key:
            self._told ^= {key}
            self.refresh()
            return
        way = next((way for way in self._found if way.key == key), None)
        if way is not None and way.additions:
            self.edited.emit(partial(with_doses, additions=way.additions), "stabilisers among the additions", "")

    def _taking(self, way: Way) -> Iterator[str]:
        """The way to have what it takes among the additions, or that it is there."""
        if not way.additions or way.against or not way.works or self.batch is None:
            return
        there = {line.key: line.mass for line in self.batch.adjustment.additions}
        if all(there.get(one.key, 0.0) > 0.0 for one in way.additions):
            yield "· Both stand among the additions."
        else:
            told_ = listed(
                f"{self.display.mass(one.mass)} {in_a_sentence(self._catalogue.additives[one.key].name)}"
                for one in way.additions
            )
            yield f'· <a href="{_TAKE}{way.key}">Put {escape(told_)} among the additions</a>'

    def refresh(self) -> None:
        mead = self.outcome.mead if self.outcome else None
        self.caution.setText(in_words(warned("refermentation", self._catalogue), self.display))
        if mead is None or self.outcome is None:
            write(self.risk, "Enter a recipe first.")
            write(self.ways, "")
            return
        batch = self.outcome.batch
        yeast = self._catalogue.yeast(batch.recipe.yeast.key)
        still = stillness(mead, yeast.tolerance, treatment(batch, mead) is Treatment.DONE)
        write(self.risk, self._risk(still))
        self._found = ways(
            mead, yeast.tolerance, batch.recipe.rules, given=given_doses(batch.log.readings),
            in_bottles=bottled(batch) is not None,
        )  # fmt: skip
        write(self.ways, "".join(self._way(way) for way in self._found))

    def _risk(self, still: Stillness) -> str:
        lines = [self._margin(still) if self._is_told() else escape(in_words(still.words, self.display))]
        assert self.outcome is not None
        assert self.outcome.mead is not None
        batch, mead = self.outcome.batch, self.outcome.mead
        if bottled(batch) is not None:
            said = bottled_words(batch, mead, self._catalogue)
            lines[:1] = [] if said is None else [escape(in_words(text, self.display)) for text in said]
        elif mead.basis is Basis.FORECAST:
            lines.insert(0, "<b>Still fermenting: do not bottle.</b> By the forecast of its end:")
        if still.food:
            lines.append("Sugar comes from " + escape(listed(
                f"{in_a_sentence(food.name)} ({self.display.number(food.sugar, 1)}{SPACE}g/L)" for food in still.food)) + ".")  # fmt: skip
        if still.eaten.high > 0.0:
            told_ = ", ".join(
                f"{kept_together(self.display.pressure(p.gauge))} at {self.display.temperature(p.temperature, 0)}"
                for p in still.pressures
            )
            lines.append(f"If yeast took it all, above the air: {told_}.")
        if still.risk >= Risk.HELD and bottled(batch) is None:
            lines.append(f"<b>Bottle and closure, if it came to that:</b> {escape(still.vessel.words)}")
        lines += [escape(text) for text in still.bacteria]
        return "".join(f'<p style="margin: 0px 0px 3px 0px">{line}</p>' for line in lines)

    def _is_told(self) -> bool:
        """Whether a finding says already that it would not stay still."""
        told_ = under(self.outcome.findings, "adjustment") if self.outcome is not None else ()
        return any(f.level is Level.ERROR and f.place in ("adjustment", "adjustment.additions") for f in told_)

    def _margin(self, still: Stillness) -> str:
        """Why yeast would take it, where that it would is told above."""
        if still.margin.typical > 0.0:
            return f"This yeast tolerates {self.display.percent_vol(still.margin.typical)} more alcohol than there is."
        return (
            f"This yeast may tolerate up to {self.display.percent_vol(still.margin.high)} more alcohol than there is."
        )

    def _way(self, way: Way) -> str:
        mark = "✕ against the house rules" if way.against else "✓ would work" if way.works else "○ not on its own"
        lines = [f"<b>{escape(way.name)}</b> — {mark}"]
        lines += [escape(in_words(why, self.display)) for why in way.against]
        lines.append(escape(in_words(way.state, self.display)))
        if way.key in self._told:
            lines += [f"· {escape(in_words(dose, self.display))}" for dose in way.doses]
            lines += self._taking(way)
            lines += [
                escape(way.cannot),
                *([escape(in_words(way.caution, self.display))] if way.caution.template else []),
            ]
        lines[-1] += f' <a href="{way.key}">{"less" if way.key in self._told else "how, and its limits"}</a>'
        return f'<p style="{_HANGING}">' + "<br>".join(lines) + "</p>"
