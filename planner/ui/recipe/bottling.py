"""From the fruit to the bottle: what preparation asks for, what stays behind at each step, bottles, and what they cost."""

from __future__ import annotations

import math
from collections.abc import Iterator

from PySide6.QtWidgets import QGridLayout, QWidget

from planner.document import edits
from planner.document.batch import Batch, Losses, Preparation
from planner.document.values import limits
from planner.evaluation.outcome import Outcome
from planner.planning.cost import Cost, cost
from planner.recipe.preparation import prepared
from planner.recipe.vessels import Way, way
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.recipe.actions import Acts
from planner.ui.recipe.folded import FoldedSection
from planner.ui.recipe.section import labelled, small_text
from planner.ui.recipe.texts import name_of
from planner.ui.tab_order import follow
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fields import ChoiceField, QuantityField, TextField
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words
from planner.units import Kind, System
from planner.wording.finding import Finding

MOST_PRICE = 1e6
"""Of a kilogram, or of a bottle; a file holds no more. [currency]"""
_PACKET = 0.01
"""Of yeast and nutrients, by which they are priced. [kg] Packets of 5 to 100 g (common practice, no source)."""

_SIZES = ((0.75e-3,), (0.5e-3,), (0.375e-3,), (0.33e-3,), (0.75e-3, 0.375e-3), (1.5e-3, 0.75e-3), (5e-3, 0.75e-3))
"""Sizes of bottles offered. [m^3]"""


def _sizes(sizes: tuple[float, ...], display: Display) -> str:
    return " and ".join(display.volume(size) for size in sizes)


class BottlingSection(FoldedSection):
    """Press, losses and bottle sizes; below them what they come to."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display) -> None:
        super().__init__("Yield and losses", acts, display, "recipe.losses", "recipe.bottles")
        self._catalogue = catalogue
        self._way: Way | None = None
        low, high = limits(Preparation, "press")
        self.press = QuantityField(
            Kind.VOLUME, low=low or 1e-6, high=high, optional=True, placeholder="not given", display=display
        )
        self.press.set_hint("Room in the basket of the press, for the number of loads.")
        self.lees = self._share("lees", "Lost at the first racking, with the lees.")
        self.racking = self._share("racking", "Lost at each later racking.")
        self.rackings = ChoiceField(tuple((number, str(number)) for number in range(1, 6)))
        self.bottles = ChoiceField(tuple((sizes, _sizes(sizes, display)) for sizes in _SIZES))
        for caption, field in (("Press basket", self.press), ("Lost with the lees", self.lees),
                               ("Lost at each racking", self.racking), ("Rackings", self.rackings),
                               ("Bottles", self.bottles)):  # fmt: skip
            self.inside.addLayout(labelled(caption, field))
        self.text = small_text()
        self.inside.addWidget(self.text)
        for field in (self.press, self.lees, self.racking):
            acts.watch(field)
        self.press.committed.connect(self._change_press)
        self.rackings.chosen.connect(self._change_rackings)
        self.bottles.chosen.connect(self._change_bottles)

    def _share(self, name: str, hint: str) -> QuantityField:
        low, high = limits(Losses, name)
        field = QuantityField(Kind.FRACTION, low=low, high=high, display=self._display)
        field.set_hint(hint)
        field.setProperty("loss", name)
        field.committed.connect(self._change_loss)
        return field

    def show_batch(self, batch: Batch) -> None:
        recipe = batch.recipe
        self.press.show_si(recipe.preparation.press)
        self.lees.show_si(recipe.losses.lees)
        self.racking.show_si(recipe.losses.racking)
        self.rackings.show_key(recipe.losses.rackings)
        if recipe.bottles not in _SIZES:
            choices = (*_SIZES, recipe.bottles)
            self.bottles.set_choices(tuple((sizes, _sizes(sizes, self._display)) for sizes in choices))
        self.bottles.show_key(recipe.bottles)

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        self._way = None
        told: list[str] = []
        if outcome.must is not None:
            mead = None if outcome.mead is None else outcome.mead.after.volume.typical
            self._way = way(outcome.batch, self._catalogue, outcome.must.volume.typical, mead)
            told = [*self._fruit(outcome.batch), *self._vessels(self._way)]
        self.text.setText("\n".join(told))
        self.summary.show_text(self._bottles(self._way) if self._way is not None else "")

    def _fruit(self, batch: Batch) -> Iterator[str]:
        made, display = prepared(batch, self._catalogue), self._display
        if made.fruit <= 0.0:
            return
        yield (f"Fruit {display.mass(made.fruit)}: waste {display.mass(made.waste)}, juice {display.mass(made.juice)} "
               f"(about {display.mass(made.free_run)} runs free), pomace {display.mass(made.pomace)}.")  # fmt: skip
        if made.enzyme:
            yield (f"Pectic enzyme: about {display.mass(float(f'{sum(d.mass for d in made.enzyme):.1g}'), 'g')} of a concentrated powder. Follow the packet first.")  # fmt: skip
        if made.loads is not None:
            loads = made.loads.number
            yield f"Press: {loads} load{'s' if loads != 1 else ''}, about {made.loads.hours:.0f} h."
        for caution in made.cautions:
            yield in_words(caution, display)

    def _vessels(self, made: Way) -> Iterator[str]:
        yield f"Fermenter of {self._about(made.fermenter)} or more, to leave room for foam."
        lost = ", ".join(f"{self._about(step.lost)} ({step.name})" for step in made.steps if step.lost > 1e-6)
        yield f"Lost on the way: {lost}." if lost else "Nothing is lost on the way."
        racked = made.racked
        yield (f"About {self._about(racked)} comes off the lees. Age it in full vessels that hold {self._about(made.ageing)} together; later racking leaves {self._about(made.top_up)} to top up.")  # fmt: skip
        yield f"{self._bottles(made)}, {self._about(made.rest)} over."

    def _about(self, volume: float) -> str:
        """A volume with two figures: losses are shares of an estimate."""
        unit = self._display.unit_for(volume, Kind.VOLUME)
        shown = self._display.to_scale(volume, Kind.VOLUME, None if unit is None else unit.key)
        decimals = max(0, 1 - math.floor(math.log10(shown))) if shown > 0.0 else 0
        return self._display.text(float(f"{volume:.2g}"), Kind.VOLUME, decimals=min(decimals, 2))

    def _bottles(self, made: Way) -> str:
        return ", ".join(f"{b.number} × {self._display.volume(b.size)}" for b in made.bottles) or "not one bottle"

    @property
    def number_of_bottles(self) -> int:
        """How many bottles the batch fills."""
        return sum(b.number for b in self._way.bottles) if self._way is not None else 0

    def _change_press(self, room: float | None) -> None:
        told = "not given" if room is None else self._display.text_for_editing(room, Kind.VOLUME)
        self._acts.do(f"press basket: {told}", edits.change_preparation, merge="recipe/press", press=room)

    def _change_loss(self, share: float) -> None:
        field = self.sender()
        assert isinstance(field, QuantityField)
        name = str(field.property("loss"))
        self._acts.do(
            f"losses: {self._display.percent(share)}", edits.change_losses, merge=f"recipe/{name}", **{name: share}
        )

    def _change_rackings(self, number: int) -> None:
        self._acts.do(f"rackings: {number}", edits.change_losses, rackings=number)

    def _change_bottles(self, sizes: object) -> None:
        assert isinstance(sizes, tuple)
        self._acts.do(f"bottles of {_sizes(sizes, self._display)}", edits.change_recipe, bottles=sizes)


class PricesSection(FoldedSection):
    """The user's own prices, and what a bottle comes to. Nothing is asked for: a line left empty has no price."""

    def __init__(self, acts: Acts, catalogue: Catalogue, display: Display, bottling: BottlingSection) -> None:
        super().__init__("Cost", acts, display, "recipe.prices")
        self._catalogue, self._bottling = catalogue, bottling
        self.currency = TextField()
        self.currency.setMaxLength(8)
        self.currency.set_hint("Your money, such as € or kr; it stays in the file of this batch.")
        self.bottle = self._price("bottle", "What a bottle with its closure costs.")
        self.inside.addLayout(labelled("Currency", self.currency))
        self.inside.addLayout(labelled("Bottle and closure", self.bottle))
        self._holder = QWidget()
        self._grid = QGridLayout(self._holder)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self.lines: dict[str, QuantityField] = {}
        self.inside.addWidget(self._holder)
        self.text = small_text()
        self.text.setFont(theme.tabular(self.text.font()))
        self.inside.addWidget(self.text)
        acts.watch(self.currency)
        self.currency.committed.connect(self._change_currency)

    def _price(self, key: str, hint: str, high: float = MOST_PRICE) -> QuantityField:
        field = QuantityField(Kind.NUMBER, low=0.0, high=high, optional=True, placeholder="none", display=self._display)
        field.set_hint(hint)
        field.setProperty("key", key)
        field.committed.connect(self._change_price)
        self._acts.watch(field)
        return field

    def show_batch(self, batch: Batch) -> None:
        recipe = batch.recipe
        prices = recipe.prices
        self.currency.show_text(prices.currency)
        self.bottle.show_si(prices.bottle or None)
        used = [line.key for line in (*recipe.fruits,)] + [line.key for line in recipe.honeys] + [recipe.yeast.key]
        used += (
            [feed.key for feed in recipe.feeds]
            + [line.key for line in recipe.step_feeds]
            + [a.key for a in batch.adjustment.additions]
        )
        keys = list(dict.fromkeys(used))
        if keys != list(self.lines):
            self._make_lines(keys)
        known = {line.key: line.per_kg for line in prices.lines}
        for key, field in self.lines.items():
            per_kg = known.get(key)
            field.show_si(None if per_kg is None else per_kg * self._lot(key)[0])

    def _make_lines(self, keys: list[str]) -> None:
        empty(self._grid)
        self.lines = {}
        for row, key in enumerate(keys):
            mass, unit = self._lot(key)
            field = self._price(key, f"What {unit} of it costs you.", MOST_PRICE * mass)
            label = Label(f"{self._name(key)}, per {unit.removeprefix('1' + SPACE)}")
            label.setWordWrap(True)
            label.setBuddy(field)
            field.setAccessibleName(label.text())
            self._grid.addWidget(label, row, 0)
            self._grid.addWidget(field, row, 1)
            self.lines[key] = field
        follow(self.bottle, self._holder)

    def _lot(self, key: str) -> tuple[float, str]:
        """The mass that a price is for [kg], and how it is called: what is sold by the packet is priced by a small one."""
        if key in self._catalogue.yeasts or key in self._catalogue.nutrients:
            return _PACKET, "ten grams"
        unit = "lb" if self._display.system == System.US else "kg"
        return self._display.from_scale(1.0, Kind.MASS, unit), f"1{SPACE}{unit}"

    def set_display(self, display: Display) -> None:
        other = display.system != self._display.system
        super().set_display(display)
        if other:
            self._make_lines(list(self.lines))
            self.show_batch(self._acts.batch)

    def _name(self, key: str) -> str:
        shelf = self._catalogue
        for rows in (shelf.fruits, shelf.honeys, shelf.yeasts, shelf.nutrients, shelf.additives):
            if key in rows:
                return name_of(rows, key)
        return key

    def show_outcome(self, outcome: Outcome, findings: tuple[Finding, ...]) -> None:
        super().show_outcome(outcome, findings)
        found = cost(outcome.batch, self._bottling.number_of_bottles)
        self.text.setText(self._told(found, outcome.batch.recipe.prices.currency) if found is not None else
                          "Enter what things cost you to see what a bottle comes to.")  # fmt: skip
        each = None if found is None else found.per_bottle
        told = "no prices"
        if found is not None and each is not None:
            told = f"{self._money(each, outcome.batch.recipe.prices.currency)} a bottle"
            # What is not in the sum stands beside it: a bottle for less than its glass would be believed.
            told += f", {len(found.unpriced)} not priced" if found.unpriced else ""
        self.summary.show_text(told)

    def _money(self, value: float, currency: str) -> str:
        return f"{self._display.number(value, 2)}{SPACE}{currency}".strip()

    def _told(self, found: Cost, currency: str) -> str:
        text = f"In all {self._money(found.total, currency)}"
        if found.per_bottle is not None:
            text += f", {self._money(found.per_bottle, currency)} for each bottle"
        missing = ", ".join(self._name(key) for key in found.unpriced)
        return f"{text}. Without a price: {missing}." if missing else f"{text}."

    def _change_currency(self, currency: str) -> None:
        self._acts.do(f"currency: {currency or 'none'}", edits.change_prices, currency=currency)

    def _change_price(self, price: float | None) -> None:
        field = self.sender()
        assert isinstance(field, QuantityField)
        key = str(field.property("key"))
        if field is self.bottle:
            self._acts.do("price of a bottle", edits.change_prices, merge="price/bottle", bottle=price or 0.0)
        else:
            self._acts.do(f"price: {self._name(key)}", edits.set_price, key,
                          None if price is None else price / self._lot(key)[0], merge=f"price/{key}")  # fmt: skip
