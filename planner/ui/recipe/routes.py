"""The window that compares ways to finish: a card for each, as soon as the worker has it; one is taken by one press."""

from __future__ import annotations

from collections import Counter

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout, QWidget

from planner.adjusting.refermentation_risk import Risk
from planner.document.batch import Batch
from planner.model.span import Span
from planner.planning.rounding import weighable
from planner.planning.route import Route, planned
from planner.planning.routes import each_route, ordered
from planner.planning.routes_in_progress import is_made
from planner.reference.catalogue import Catalogue
from planner.ui.display import SPACE, Display
from planner.ui.recalculator import Recalculator
from planner.ui.recipe.route_card import Line, RouteCard
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words
from planner.ui.widgets.upright import Upright
from planner.units import Kind

RISKS = {
    Risk.NONE: "None: nothing is left to ferment.",
    Risk.HELD: "Stable only while the treatment holds.",
    Risk.UNSURE: "A sugar test decides.",
    Risk.REAL: "Real: the mead would prickle, or push out corks.",
    Risk.GRAVE: "Severe: bottles burst if they get warm.",
}
"""A second fermentation, in words."""


def _decides(batch: Batch) -> tuple[object, ...]:
    """What of a batch that is made decides its routes: not what was planned to be stirred in, which a route replaces."""
    mead = msgspec.structs.replace(batch.adjustment, additions=(), trials=(), stabilising="")
    return batch.recipe, batch.log, mead


def is_taken(route: Route, batch: Batch) -> bool:
    """Whether a batch follows a route: its recipe, what is stirred in, and what keeps yeast from working."""
    if route.batch is None:
        return False
    there, here = route.batch.adjustment, batch.adjustment
    if is_made(batch) and not (here.additions or here.stabilising):
        return False  # nothing was chosen yet
    same = there.additions == here.additions and there.stabilising == here.stabilising
    return same and route.batch.recipe == batch.recipe


def _shown(display: Display, kind: Kind, value: Span | None, unit: str | None = None) -> str:
    """The typical value with its unit, and its bounds where it has some."""
    return "–" if value is None else display.format_span(value, kind, unit)


class RoutesDialog(QDialog):
    """Ways to the wished sweetness and strength side by side, of the recipe as it was before one of them was taken.

    Signal: `taken` with the batch of a route and its name.
    """

    taken = Signal(object, str)

    _found_one = Signal(object, object)

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Compare ways to finish")
        fit(self, figures=150, lines=50)
        self._catalogue, self._display = catalogue, display
        self._found: tuple[Route, ...] = ()
        self._batch: Batch | None = None
        self._is_cancelled = False
        self.recalculator = Recalculator((self._work,), parent=self)
        self.recalculator.finished.connect(self._show_all)
        self.recalculator.failed.connect(self._tell_failure)
        self._found_one.connect(self._show_some, Qt.ConnectionType.QueuedConnection)
        self.intro = Label()
        self.intro.setWordWrap(True)
        self.progress = Label()
        set_tone(self.progress, "dim")
        self.cancel = Button("&Cancel")
        self.cancel.clicked.connect(self._cancel)
        self.columns = QWidget()
        self._column = QVBoxLayout(self.columns)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addStretch(1)
        self.cards: dict[str, RouteCard] = {}
        """By the key of the way."""
        self._now: Batch | None = None
        at_work = QHBoxLayout()
        at_work.addWidget(self.progress, 1)
        at_work.addWidget(self.cancel)
        layout = QVBoxLayout(self)
        layout.addWidget(self.intro)
        layout.addLayout(at_work)
        layout.addWidget(Upright(self.columns, self), 1)
        self._tell_progress(None)

    @property
    def buttons(self) -> dict[str, Button]:
        """What takes each way, by its key."""
        return {key: card.take for key, card in self.cards.items()}

    def _work(self, batch: Batch) -> tuple[Batch, tuple[Route, ...]]:
        """On the worker: each way is told of as soon as it is there; no more once it is no longer wanted."""
        found: list[Route] = []
        for route in each_route(batch, self._catalogue):
            made = route.batch
            found.append(route if made is None else msgspec.structs.replace(route, batch=weighable(made, batch)))
            if self._is_cancelled or batch is not self._batch:
                break
            self._found_one.emit(batch, ordered(found))
        return batch, ordered(found)

    def _cancel(self) -> None:
        """Work out no more; what is there can be taken."""
        self._is_cancelled = True
        self.cancel.setEnabled(False)

    def _show_some(self, batch: object, found: object) -> None:
        if batch is self._batch and isinstance(found, tuple) and not self.columns.isEnabled():
            self._show_routes(found, is_whole=False)

    def _show_all(self, answer: object) -> None:
        if isinstance(answer, tuple) and answer[0] is self._batch:
            self._show_routes(answer[1])

    def _tell_progress(self, count: int | None) -> None:
        """How many ways there are so far; None when there is nothing to wait for."""
        ended = f"Cancelled after {len(self.cards)} ways." if self._is_cancelled else ""
        ways = "way" if count == 1 else "ways"
        self.progress.setText(ended if count is None else f"Working out the ways: {count} {ways} so far …")
        self.progress.setVisible(bool(self.progress.text()))
        self.cancel.setVisible(count is not None)
        self.cancel.setEnabled(not self._is_cancelled)

    def _tell_failure(self, failure: object) -> None:
        raise RuntimeError("The ways to finish could not be worked out.") from (
            failure if isinstance(failure, Exception) else None
        )

    def show_batch(self, batch: Batch) -> None:
        """Compare the routes of a batch; until they are worked out the old ones stay.

        A route that was taken, or a step back, changes nothing: all of them stay as they were compared, one is marked.
        """
        self._now = batch
        if self._is_compared(batch):
            self._mark_taken()
            return
        self._batch = batch
        self.intro.setText(self._introduced(batch))
        self.columns.setEnabled(False)
        self._is_cancelled = False
        self._tell_progress(0)
        self.recalculator.request(batch)

    def _is_compared(self, batch: Batch) -> bool:
        """Whether what is shown holds for a batch."""
        if is_made(batch):
            return self._batch is not None and _decides(batch) == _decides(self._batch)
        compared = (self._batch, *(route.batch for route in self._found))
        return any(one is not None and not is_made(one) and one.recipe == batch.recipe for one in compared)

    def _introduced(self, batch: Batch) -> str:
        """What all routes are to reach, and what of that is only assumed."""
        if is_made(batch):
            return self._from_here(batch)
        plan, display = planned(batch), self._display
        strength = f"about {display.percent_vol(plan.alcohol)}"
        if plan.gravity is not None:
            strength = f"a starting gravity of {display.gravity(plan.gravity)}"
        sweet = f"the sweetness of {display.grams_per_litre(plan.sweetness)} of sugar"
        body = f", with a body of {plan.body * 1e3:.1f}{SPACE}mPa·s" if plan.body is not None else ""
        named = " and ".join(plan.unknown)
        silent = {
            "strength": "alcohol" in plan.usual,
            "sweetness": "sweetness" in plan.usual,
        }
        open_ones = [name for name, is_silent in silent.items() if is_silent]
        said = f"You set no {' and no '.join(open_ones)}. " if open_ones else ""
        wanted = f"{strength} and {sweet}"
        return f"{said}The ways are compared for {wanted}{body}. Each has the {named} it needs. Change them in the recipe, under Targets and House rules."

    def _from_here(self, batch: Batch) -> str:
        """The same for one that is made: its strength is what it is."""
        plan, display = planned(batch), self._display
        sweet = f"as sweet as {display.grams_per_litre(plan.sweetness)} of sugar"
        wished = [] if "sweetness" in plan.usual else [sweet]
        wished += [] if plan.body is None else [f"a body of {plan.body * 1e3:.1f}{SPACE}mPa·s"]
        wished += [] if plan.acid is None else [f"{display.grams_per_litre(plan.acid)} of acid"]
        told = [f"Targets: {', '.join(wished)}."] if wished else []
        if "sweetness" in plan.usual:
            told.append(f"You set no sweetness. The ways are compared for a mead {sweet}.")
        told.append("The mead is made, so recipe and log stay. What you can do from here on is compared.")
        return " ".join((*told, "Change it in the recipe under Targets and House rules."))

    def set_display(self, display: Display) -> None:
        """Other units."""
        self._display = display
        if self._batch is not None:
            self.intro.setText(self._introduced(self._batch))
        found, self._found = self._found, ()
        self.cards, old = {}, self.cards
        for card in old.values():
            card.deleteLater()
        self._show_routes(found, is_whole=self.columns.isEnabled())

    def _show_routes(self, found: tuple[Route, ...], is_whole: bool = True) -> None:
        """Show these ways, card by card; only when all are there can one be taken."""
        self._found = found
        self.columns.setEnabled(is_whole)
        lines = self._rows()
        shown = {route.key: card for route in found if (card := self.cards.get(route.key)) and card.route is route}
        for card in set(self.cards.values()) - set(shown.values()):
            self._column.removeWidget(card)
            card.hide()
            card.deleteLater()
        self.cards = {}
        for place, route in enumerate(found):
            card = shown.get(route.key) or self._card(route, lines)
            self.cards[route.key] = card
            self._column.insertWidget(place, card)
        self._share_scales(lines)
        self._set_apart(lines)
        self._tell_progress(None if is_whole else len(found))
        self._mark_taken()

    def _mark_taken(self) -> None:
        """Show which of the routes the batch follows now."""
        for card in self.cards.values():
            card.show_taken(self._now is not None and is_taken(card.route, self._now))

    def _card(self, route: Route, lines: list[Line]) -> RouteCard:
        card = RouteCard(route, lines, {"how": self._how(route)})
        made = route.batch is not None and is_made(route.batch)
        what = "The additions become" if made else "Recipe and additions become"
        card.take.setToolTip(f"{what} those of this way. One undo takes them back.")
        card.wanted.connect(self._take)
        if route.against:
            card.warn("House rules")
        if route.still is not None and route.still.risk >= Risk.REAL:
            card.warn("Second fermentation")
        return card

    def _share_scales(self, lines: list[Line]) -> None:
        """The bars of one line are drawn on one scale, from the lowest end of all to the highest."""
        for line in lines:
            spans = [s for route in self._found if line.span is not None and (s := line.span(route)) is not None]
            if spans:
                low, high = min(s.low for s in spans), max(s.high for s in spans)
                for card in self.cards.values():
                    card.rows[line.caption].set_axis(low, high if high > low else low + 1.0)

    def _set_apart(self, lines: list[Line]) -> None:
        """What most ways have in common is told plainly; what is another in one of them in bold."""
        cards = [card for card in self.cards.values() if card.route.batch is not None]
        for line in lines:
            texts = Counter(card.text_of(line.caption) for card in cards)
            usual = texts.most_common(1)[0] if texts else ("", 0)
            for card in cards:
                card.set_apart(line.caption, usual[1] > 1 and card.text_of(line.caption) != usual[0])

    def _how(self, route: Route) -> str:
        """What is done, step by step; or why there is no such way."""
        display = self._display
        if route.cannot is not None:
            return in_words(route.cannot, display)
        steps = [f"{number}. {in_words(words, display)}" for number, words in enumerate(route.steps, start=1)]
        return "\n".join((*steps, *(in_words(words, display) for words in route.notes)))

    def _rows(self) -> list[Line]:
        display = self._display

        def rules(route: Route) -> str:
            against = [in_words(why, display).removeprefix("House rule: ") for why in route.against]
            out = [row.name for row in route.left_out]
            left = f"Left out: {', '.join(out)}." if out else ""
            return "\n".join((*(f"Against it: {why}" for why in against), left)).strip() or "Nothing against it."

        def price(route: Route) -> Span | None:
            each = None if route.cost is None else route.cost.per_bottle
            return None if each is None else Span.exactly(each)

        def cost(route: Route) -> str:
            each = price(route)
            if each is None or route.cost is None:
                return "–"
            currency = route.batch.recipe.prices.currency if route.batch is not None else ""
            more = " and more" if route.cost.unpriced else ""
            return f"{display.number(each.typical, 2)}{SPACE}{currency} a bottle{more}"

        def body(route: Route) -> str:
            if route.viscosity is None:
                return "–"
            return f"{display.format_span(route.viscosity.scaled(1e3), Kind.NUMBER)}{SPACE}mPa·s"

        def days(route: Route) -> str:
            if route.days is None:
                return "–"
            low, typical, high = (display.number(day, 0) for day in route.days)
            return f"{typical}{SPACE}days" + (f" ({low} to {high})" if low != high else "")

        recipe = [
            Line("Honey in all", lambda r: display.mass(r.honey) if r.batch is not None else "–"),
            Line("Starting gravity", lambda r: _shown(display, Kind.GRAVITY, r.starting_gravity)),
            Line("Yeast", lambda r: r.yeast or "–"),
        ]
        made = self._batch is not None and is_made(self._batch)
        return [
            Line("Alcohol", lambda r: _shown(display, Kind.STRENGTH, r.alcohol), lambda r: r.alcohol),
            Line(
                "Sweet as sugar",
                lambda r: _shown(display, Kind.CONCENTRATION, r.sweetness, "g/L"),
                lambda r: r.sweetness,
            ),
            Line("Time to bottle", days, lambda r: r.days),
            Line("Cost", cost, price),
            Line("Second fermentation", lambda r: RISKS[r.still.risk] if r.still is not None else "–"),
            Line("House rules", rules),
            *(() if made else recipe),
            Line("Gravity in the glass", lambda r: _shown(display, Kind.GRAVITY, r.finish)),
            Line("Body", body),
            Line("Acid", lambda r: _shown(display, Kind.CONCENTRATION, r.acid, "g/L")),
        ]

    def _take(self, key: str) -> None:
        route = self.cards[key].route
        if route.batch is not None:
            self.taken.emit(route.batch, route.name)

    def shut_down(self) -> None:
        """Wait for the worker, before the window goes."""
        self.recalculator.shut_down()
