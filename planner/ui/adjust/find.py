"""Find the dose: what is wanted, what may be used, the smallest doses for it, and the trade between two of them."""

from __future__ import annotations

from functools import partial
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QWheelEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QMenu, QSlider, QToolButton, QWidget

from planner.adjusting.additions import given_doses
from planner.adjusting.dose import Bound, Found, Miss, find, sensible
from planner.adjusting.dosing import weighable
from planner.adjusting.mead import Mead
from planner.adjusting.missing_ingredients import helpers
from planner.adjusting.package_sizes import Trade, trade
from planner.document import edits
from planner.document.batch import Addition, Batch
from planner.evaluation.what_if import what_if
from planner.model.liquid import Liquid
from planner.model.taste import UNKNOWN_PH, meant
from planner.recipe.house_rules import offered
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.targets import GRAMS, MOST, OF_RECIPE, TARGETS, TASTERS_SAY, near_enough
from planner.ui.adjust.text import BODY_UNIT, body_text
from planner.ui.adjust.tool import Tool, act, dim, listed, same_mead, told, write
from planner.ui.display import SPACE, Display
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import QuantityField
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.remarks import Remarks, in_words
from planner.units import Kind
from planner.wording.finding import warning
from planner.wording.phrases import concentration, in_a_sentence, literal

_FIRST = ("erythritol", "maltodextrin-10", "malic-acid")
"""What may be used until the person says otherwise."""
_POINTS = 9
_ASK = "?"
"""The link that asks what would help."""
_TASTED = ("sweetness", "viscosity", "acid", "alcohol")
"""What tasters tell steps of."""
_GROUPS = {
    "sweetener": "Sweeteners", "body": "Body", "acid": "Acids", "deacidifier": "Less acid", "liquid": "Liquids",
}  # fmt: skip


class TradeSlider(QSlider):
    """A slider that leaves the wheel to the pane: scrolling past it changes no dose."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class FindDose(Tool):
    """Wishes in, smallest doses out; the limit that binds is named, and a slider trades one ingredient for another."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self._chosen = list(_FIRST)
        self._found: Found | None = None
        self._points: tuple[Trade, ...] = ()
        self._pair: tuple[str, str] | None = None
        self._worked: tuple[object, ...] = ()
        self._worked_on: Liquid | None = None
        self._helpers: tuple[str, ...] | None = None
        self._listed: Catalogue | None = None
        self._menu_shows: tuple[object, ...] = ()
        self.fields: dict[str, QuantityField] = {}
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(2, 1)
        for row, (what, caption, kind, _sides, _factor, hover) in enumerate(TARGETS):
            units = GRAMS if kind == Kind.CONCENTRATION else None
            field = QuantityField(
                kind,
                high=MOST.get(kind),
                units=units,
                optional=True,
                words=partial(self._meant, what),
                display=display,
            )
            field.setProperty("target", what)
            field.set_hint(f"{hover} Leave it empty where it does not matter.")
            field.setAccessibleName(f"Target: {caption}")
            field.committed.connect(self._wish)
            label = Label(caption)
            label.setBuddy(field)
            grid.addWidget(label, row, 0)
            grid.addWidget(field, row, 1)
            self.fields[what] = field
        self.column.addLayout(grid)
        self.usable = QToolButton()
        self.usable.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.usable.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self.usable.setText("May be used …")
        self.usable.setAccessibleName("Which ingredients may be used")
        self.menu = QMenu(self.usable)
        self.menu.setToolTipsVisible(True)
        self.menu.triggered.connect(self._choose)
        self.usable.setMenu(self.menu)
        self.using = dim("")
        self.column.addWidget(self.usable)
        self.column.addWidget(self.using)
        self.answer = told("Smallest doses")
        self.answer.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self.answer.linkActivated.connect(self._follow)
        self.column.addWidget(self.answer)
        self._arrange_trade()
        self.doubts = Remarks(display)
        self.column.addWidget(self.doubts)
        self.take = act(
            "Use these doses", "Puts these doses among the additions, in place of the same ingredients there."
        )
        self.take.clicked.connect(self._take)
        self.column.addWidget(self.take)
        self._fill_menu()

    def _arrange_trade(self) -> None:
        self.slider = TradeSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, _POINTS - 1)
        self.slider.setAccessibleName("More of one ingredient against less of the other")
        self.slider.valueChanged.connect(self._trade)
        self.slider.sliderPressed.connect(self._work_trade)
        self.ends = (dim(""), dim(""))
        self.ends[1].setAlignment(Qt.AlignmentFlag.AlignRight)
        row = QHBoxLayout()
        row.addWidget(self.ends[0], 1)
        row.addWidget(self.ends[1], 1)
        self.column.addLayout(row)
        self.column.addWidget(self.slider)

    def focus_chain(self) -> list[QWidget]:
        return [*self.fields.values(), self.usable, self.answer, self.slider, self.take]

    # --- showing

    def refresh(self) -> None:
        for field in self.fields.values():
            self.adopt(field)
        self._show_targets()
        mead = self._mead
        self.setEnabled(mead is not None)
        if mead is None:
            self._found, self._pair, self._worked = None, None, ()
            self._show_trade()
            self._show_doubts(None)
            write(self.answer, "Enter a recipe first.")
            return
        self._show_now(mead)
        self._show_usable()
        self._work()

    def set_display(self, display: Display) -> None:
        self._worked = ()
        self.doubts.set_display(display)
        super().set_display(display)

    def _show_targets(self) -> None:
        """Show the targets of the recipe; the others are only of this tool."""
        if self.batch is None:
            return
        for what, _caption, _kind, _sides, factor, _hover in TARGETS:
            if what in OF_RECIPE:
                target = getattr(self.batch.recipe.wish, OF_RECIPE[what])
                self.fields[what].show_si(None if target is None else target / factor)

    def _meant(self, what: str, words: str) -> float | None:
        """What a word of a taster stands for, in this mead. [as the field]"""
        mead, said = self._mead, TASTERS_SAY.get(what)
        if mead is None or said is None:
            return None
        wanted = self.fields["sweetness"].si
        sweet = mead.before.sweetness.typical if wanted is None else wanted
        value = meant(said, words, (mead.ph_before or UNKNOWN_PH).typical, sweet)
        factor = next(factor for name, *_, factor, _hover in TARGETS if name == what)
        return None if value is None else value / factor

    @property
    def _mead(self) -> Mead | None:
        return self.outcome.mead if self.outcome is not None else None

    def _show_now(self, mead: Mead) -> None:
        before, display = mead.before, self.display
        now = {
            "sweetness": display.grams_per_litre(before.sweetness),
            "viscosity": body_text(before.viscosity, display),
            "acid": display.grams_per_litre(before.acid),
            "gravity": display.gravity(before.gravity),
            "alcohol": display.percent_vol(before.alcohol),
            "fermentable": display.grams_per_litre(before.fermentable),
        }
        for what, field in self.fields.items():
            if field.placeholderText() != (text := f"now {now[what]}"):
                field.setPlaceholderText(text)

    def _allowed(self) -> list[str]:
        """What was chosen, without what the rules of the house refuse."""
        if self.batch is None:
            return []
        rows, _ = offered(self.batch.recipe.rules, self._catalogue.additives.values())
        fine = {row.key for row in rows}
        return [key for key in self._chosen if key in fine]

    def _show_usable(self) -> None:
        assert self.batch is not None
        allowed = self._allowed()
        names = [in_a_sentence(self._catalogue.additives[key].name) for key in allowed]
        refused = [self._catalogue.additives[key].name for key in self._chosen if key not in allowed]
        text = f"{', '.join(names)}" if names else "No ingredient may be used: choose some."
        write(self.using, text + (f" (house rules refuse {', '.join(refused)})" if refused else ""))
        state = (self.batch.recipe.rules, tuple(self._chosen), self.display)
        if self._listed is self._catalogue and self._menu_shows == state:
            return
        self._menu_shows = state
        self._fill_menu()
        _, out = offered(self.batch.recipe.rules, self._catalogue.additives.values())
        why = {left.name: in_words(left.why, self.display) for left in out}
        for action in self.menu.actions():
            if action.data() is not None:
                name = self._catalogue.additives[action.data()].name
                action.setEnabled(name not in why)
                action.setToolTip(as_it_is(why.get(name, name)))
                action.setChecked(action.data() in self._chosen)

    def _fill_menu(self) -> None:
        """Offer what is on the shelf, if it is not offered yet."""
        if self._listed is self._catalogue:
            return
        self._listed = self._catalogue
        self.menu.clear()
        for group, title in _GROUPS.items():
            self.menu.addSection(title)
            for row in self._catalogue.additives.values():
                if row.group == group and row.key != "another-mead":
                    action = QAction(row.name, self.menu)
                    action.setCheckable(True)
                    action.setData(row.key)
                    self.menu.addAction(action)

    # --- working

    def _bounds(self) -> tuple[Bound, ...]:
        made = []
        for what, _caption, _kind, sides, factor, _hover in TARGETS:
            value = self.fields[what].si
            if value is not None:
                wanted = value * factor
                made.append(Bound(what, wanted if sides != "high" else None, wanted if sides != "low" else None))
        return tuple(made)

    def _given(self) -> dict[str, float]:
        assert self.batch is not None
        given = given_doses(self.batch.log.readings)
        return {key: mass for key, mass in given.items() if key in self._catalogue.additives}

    def _labels(self) -> dict[str, Addition]:
        assert self.batch is not None
        return {line.key: line for line in self.batch.adjustment.additions}

    def _work(self) -> None:
        """Find the doses, if anything they rest on has changed."""
        mead, bounds = self._mead, self._bounds()
        if mead is None:
            return
        allowed = sensible(self._allowed(), bounds, self._catalogue)
        labels = tuple((key, line.alcohol, line.sugar, line.blend) for key, line in self._labels().items())
        state = (bounds, tuple(allowed), tuple(self._given().items()), labels)
        if self._worked == state and same_mead(self._worked_on, mead.base):
            return
        self._worked_on = mead.base
        self._worked, self._points, self._pair, self._helpers = state, (), None, None
        self._found = (
            near_enough(
                find(mead.base.member(0), bounds, allowed, self._catalogue, self._labels(), least=self._given())
            )
            if bounds
            else None
        )
        keys = [addition.key for addition in self._found.additions] if self._found else []
        tradable = [key for key in keys if key in allowed] + [key for key in allowed if key not in keys]
        self._pair = (tradable[0], tradable[1]) if keys and len(tradable) > 1 and len(bounds) > 0 else None
        self._show_found(self._found)
        self._show_trade()

    def _show_found(self, found: Found | None) -> None:
        self.take.setEnabled(bool(found and found.additions))
        self._show_doubts(found)
        if found is None:
            write(self.answer, "Set a target, and the smallest doses appear here.")
            set_tone(self.answer, "dim")
            return
        set_tone(self.answer, "")
        doses = [
            f"<b>{escape(self.display.mass(a.mass))}</b> {escape(in_a_sentence(self._catalogue.additives[a.key].name))}"
            for a in found.additions
        ]
        lines = [", ".join(doses) if doses else "Nothing needs to be added."]
        reached = ", ".join(f"{self._caption(what)} {self._value(what, found.values[what])}" for what in self._asked())
        lines.append(f"gives {escape(reached)}." if doses else escape(f"It has {reached}."))
        if found.missed:
            lines += [f"<b>Not reached:</b> {escape(self._missed(miss))}" for miss in found.missed]
            lines.append(f"In the way: {escape(self._binding(found))}.")
            lines.append(self._help())
        elif found.binding and set(found.binding) != set(self._bounds()):  # all the wishes, and no more, were no news
            lines.append(f"What decides it: {escape(self._binding(found))}.")
        write(self.answer, "<br>".join(lines))

    def _show_doubts(self, found: Found | None) -> None:
        """What would be said of the mead once the doses are used: before they are, and not after."""
        outcome, batch = self.outcome, self.batch
        if found is None or not found.additions or outcome is None or batch is None:
            self.doubts.show_findings(())
            return
        wanted = with_doses(batch, found.additions).adjustment.additions
        ahead = what_if(outcome, wanted, self._catalogue)
        sugar = [
            warning("adjustment.additions", literal(name) + " brings {} of fermentable sugar.",
                    concentration(brought))
            for name, brought in ahead.sugar if any(one.place == "adjustment.additions" for one in ahead.doubts)
        ]  # fmt: skip
        self.doubts.show_findings((*ahead.doubts, *sugar))

    def _missed(self, miss: Miss) -> str:
        """By how much a wish is missed: in steps, where tasters count."""
        over = miss.reached > miss.wanted
        text = f"{self._caption(miss.what)} {self._value(miss.what, miss.reached)}, target "
        text += f"{'at most ' if over else 'at least '}{self._value(miss.what, miss.wanted)}"
        if miss.what in _TASTED:
            text += f": {self.display.number(miss.steps, 1)} steps {'too much' if over else 'short'}"
        return f"{text}."

    def _help(self) -> str:
        """What else would let it be reached, once that was asked for."""
        if self._helpers is None:
            return f'<a href="{_ASK}">What would help?</a>'
        named = [
            f'<a href="{key}">{escape(in_a_sentence(self._catalogue.additives[key].name))}</a>' for key in self._helpers
        ]
        if not named:
            return "No further ingredient that the house rules allow would do. Ease a target."
        return f"With {listed(named, 'or')} as well it would be reached: choose to allow it."

    def _follow(self, link: str) -> None:
        """Look for what would help, or allow what was chosen of it."""
        mead, bounds = self._mead, self._bounds()
        if link != _ASK:
            self._chosen.append(link)
            self._show_usable()
            self._work()
        elif mead is not None and self.batch is not None:
            rows, _ = offered(self.batch.recipe.rules, self._catalogue.additives.values())
            others = [row.key for row in rows if row.group in _GROUPS and row.key != "another-mead"]
            allowed = sensible(self._allowed(), bounds, self._catalogue)
            base = mead.base.member(0)
            self._helpers = helpers(base, bounds, allowed, others, self._catalogue, self._labels(), self._given())
            self._show_found(self._found)

    def _binding(self, found: Found) -> str:
        words = []
        for bound in found.binding:
            if bound.what.startswith("dose:"):
                name = in_a_sentence(self._catalogue.additives[bound.what.removeprefix("dose:")].name)
                limit = self.display.grams_per_litre(bound.high or 0.0)
                words.append(f"{name} at most {limit} ({bound.reason.rstrip('.')})")
            else:
                side, value = ("at most", bound.high) if bound.low is None else ("at least", bound.low)
                side = "of" if bound.low is not None and bound.high is not None else side
                words.append(f"{self._caption(bound.what)} {side} {self._value(bound.what, value or 0.0)}")
        return ", ".join(words) if words else "nothing that may be used helps"

    def _asked(self) -> list[str]:
        return [bound.what for bound in self._bounds()]

    @staticmethod
    def _caption(what: str) -> str:
        return {"viscosity": "body", "fermentable": "fermentable sugar"}.get(what, what)

    def _value(self, what: str, value: float) -> str:
        display = self.display
        if what == "viscosity":
            return f"{display.number(value * 1e3, 2)}{SPACE}{BODY_UNIT}"
        if what == "gravity":
            return display.gravity(value)
        if what == "alcohol":
            return display.percent_vol(value)
        return f"{display.number(value, 1, trim=True)}{SPACE}g/L"

    # --- the trade

    def _show_trade(self) -> None:
        shown = self._pair is not None and bool(self._found and self._found.is_reached)
        for part in (self.slider, *self.ends):
            part.setVisible(shown)
        if not shown or self._pair is None:
            return
        names = [in_a_sentence(self._catalogue.additives[key].name) for key in self._pair]
        write(self.ends[0], f"◂ less {names[0]},\nmore {names[1]}")
        write(self.ends[1], f"more {names[0]}, ▸\nless {names[1]}")
        self.slider.blockSignals(True)
        self.slider.setValue(self._place())
        self.slider.blockSignals(False)

    def _place(self) -> int:
        """Where on the slider the smallest doses lie, as far as it is known."""
        if not self._points or self._found is None or self._pair is None:
            return (_POINTS - 1) // 2
        own = sum(a.mass for a in self._found.additions if a.key == self._pair[0])
        return min(range(len(self._points)), key=lambda i: abs(self._points[i].mass - own))

    def _work_trade(self) -> None:
        mead = self._mead
        if self._points or self._pair is None or mead is None:
            return
        bounds = self._bounds()
        allowed = sensible(self._allowed(), bounds, self._catalogue)
        self._points = trade(mead.base.member(0), bounds, self._pair, allowed, self._catalogue, _POINTS, self._labels())

    def _trade(self, place: int) -> None:
        self._work_trade()
        if place < len(self._points):
            self._found = near_enough(self._points[place].found)
            self._show_found(self._found)

    # --- entering

    def _wish(self, value: float | None) -> None:
        self._work()
        field = self.sender()
        what = field.property("target") if field is not None else None
        if what in OF_RECIPE:
            name, factor = OF_RECIPE[what], next(row[4] for row in TARGETS if row[0] == what)
            told = "not set" if value is None else self._value(what, value * factor)
            change = partial(_with_target, name=name, value=None if value is None else value * factor)
            self.edited.emit(change, f"target, {self._caption(what)}: {told}", f"recipe/wish/{name}")

    def _choose(self, action: QAction) -> None:
        key = str(action.data())
        self._chosen = [k for k in self._chosen if k != key] + ([key] if action.isChecked() else [])
        self._show_usable()
        self._work()

    def _take(self) -> None:
        if self._found is not None:
            self.edited.emit(partial(with_doses, additions=self._found.additions), "use the doses found", "")


def _with_target(batch: Batch, name: str, value: float | None) -> Batch:
    """The batch with another target in its recipe."""
    return edits.change_wish(batch, **{name: value})


def with_doses(batch: Batch, additions: tuple[Addition, ...]) -> Batch:
    """The batch with these additions as they can be weighed, each in place of what it had of the same ingredient."""
    wanted = {one.key: edits.changed(one, mass=weighable(one.mass)) for one in additions}
    kept: list[Addition] = []
    for line in batch.adjustment.additions:
        if line.key not in {addition.key for addition in additions}:
            kept.append(line)
        elif line.key in wanted:
            kept.append(wanted.pop(line.key))
    return edits.change_adjustment(batch, additions=(*kept, *wanted.values()))
