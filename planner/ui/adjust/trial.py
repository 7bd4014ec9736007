"""Trial glasses: how to prepare them, a score for each, and the dose that was liked carried to the batch."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from html import escape, unescape

from PySide6.QtWidgets import QApplication, QGridLayout, QHBoxLayout, QWidget

from planner.adjusting.dosing import weighable
from planner.adjusting.preference import Carried, carried, preferred
from planner.adjusting.trial import STRENGTHS, Pour, TrialPlan, new_trial, plan
from planner.document import edits
from planner.document.batch import Addition, Batch, Trial
from planner.model.liquid import Liquid
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.bench import millilitres, trial_sheet
from planner.ui.adjust.find import with_doses
from planner.ui.adjust.tool import Tool, act, dim, quiet, same_mead, told, write
from planner.ui.display import SPACE, Display
from planner.ui.log.when import now
from planner.ui.theme import set_tone
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.label import Label, as_it_is
from planner.ui.widgets.line_row import link
from planner.ui.widgets.remarks import small
from planner.units import Kind, System
from planner.wording.phrases import in_a_sentence

_MILLILITRES = {System.METRIC: "mL", System.US: "mL"}
_HEADINGS = ("", "dose", "g/L", "stock, mL", "mead, mL", "score")
_STOCKS = (2, 3)
"""Columns that hold a figure for each stock."""
_TWO_STOCKS = "00.0 + 00.0"
"""For which the column of stocks keeps room; more of them stand on further lines."""


class TrialGlasses(Tool):
    """The last trial: stocks, glasses, scores, and what they say. A new one is planned from the additions."""

    follows_batch = True

    def __init__(
        self,
        catalogue: Catalogue,
        display: Display,
        clock: Callable[[], datetime] = now,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(display, parent, catalogue)
        self._clock = clock
        self._plan: TrialPlan | None = None
        self._worked: tuple[object, ...] = ()
        self._worked_on: Liquid | None = None
        self._carried: tuple[Carried, ...] = ()
        self.count = ChoiceField(tuple((n, f"{n} glasses") for n in STRENGTHS))
        self.count.show_key(5)
        self.count.setAccessibleName("Number of glasses")
        self.sample = QuantityField(Kind.VOLUME, low=2e-5, high=1e-3, units=_MILLILITRES, display=display)
        self.sample.show_si(1e-4)
        self.sample.setAccessibleName("Size of a sample")
        self.sample.set_hint("How much is in a glass.")
        self.make = act("Plan a trial", "Glasses with none, some, all and more of what stands among the additions.")
        self.make.clicked.connect(self._make)
        row = QHBoxLayout()
        row.addWidget(self.count)
        of = Label("of")
        of.setBuddy(self.sample)
        row.addWidget(of)
        row.addWidget(self.sample, 1)
        self.column.addLayout(row)
        self.column.addWidget(self.make)
        self.stocks = told("How to make the stocks")
        self.column.addWidget(self.stocks)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(6)
        self._grid.setVerticalSpacing(2)
        self._headings = [self._heading(text) for text in _HEADINGS]
        for place, heading in enumerate(self._headings):
            self._grid.addWidget(heading, 0, place)
            self._grid.setColumnStretch(place, int(place in _STOCKS))
        self.column.addLayout(self._grid)
        self.rows: list[tuple[Label, Label, Label, Label, Label, QuantityField]] = []
        self.by = ChoiceField((("score", "Scores, 10 the best"), ("rank", "Ranks, 1 the best")))
        self.by.show_key("score")
        self.by.setAccessibleName("How the glasses are judged")
        self.by.chosen.connect(self._judge)
        self.column.addWidget(self.by)
        self.doubts = dim("")
        # Above what the scores say, which grows and shrinks with each of them: a button shall not move under the pointer.
        buttons = QHBoxLayout()
        self.column.addLayout(buttons)
        self.column.addWidget(self.doubts)
        self.refused = dim("")
        set_tone(self.refused, "problem")
        self.refused.hide()
        self.column.addWidget(self.refused)
        self.verdict = told("What the scores say")
        self.column.addWidget(self.verdict)
        self.carry = act(
            "Carry to the batch", "Sets the additions to the dose that was liked, for what is left of the mead."
        )
        self.carry.clicked.connect(self._carry)
        self.copy = quiet("Copy", "Copies stocks and glasses with room for the scores, to take them to the bench.")
        self.copy.setAccessibleName("Copy the trial")
        self.copy.clicked.connect(self._copy)
        self.remove = quiet("Remove", "Takes the last trial away; an earlier one is shown again.")
        self.remove.setAccessibleName("Remove the trial")
        self.remove.clicked.connect(self._remove)
        for button in (self.carry, self.copy, self.remove):
            buttons.addWidget(button)
        buttons.addStretch(1)

    def _heading(self, text: str) -> Label:
        label = Label(text)
        label.setFont(small(label.font()))
        set_tone(label, "dim")
        return label

    def focus_chain(self) -> list[QWidget]:
        return [
            self.count,
            self.sample,
            self.make,
            *(row[-1] for row in self.rows),
            self.by,
            self.carry,
            self.copy,
            self.remove,
        ]

    @property
    def trial(self) -> Trial | None:
        """The trial that is shown: the last."""
        return self.batch.adjustment.trials[-1] if self.batch and self.batch.adjustment.trials else None

    # --- showing

    def refresh(self) -> None:
        trial = self.trial
        self.adopt(self.sample)
        ready = bool(self._proposed())
        self.make.setEnabled(ready and self._mead is not None)
        self.make.setText("Plan a trial" if trial is None else "Plan another trial")
        self._work()
        made = self._plan
        for part in (self.stocks, self.verdict, self.carry, self.copy, self.remove, self.by, *self._headings):
            part.setVisible(trial is not None)
        if trial is None or made is None:
            self._show_rows(0)
            self.doubts.setVisible(not ready or trial is not None)
            write(self.doubts, "Put what you want to try among the additions: the glasses hold shares of it." if not ready
                                else "This trial cannot be worked out with the shelf as it is." if trial else "")  # fmt: skip
            return
        write(self.stocks, "<br>".join(self._stock_lines(made)))
        write(self.doubts, " ".join(made.doubts))
        self.doubts.setVisible(bool(made.doubts))
        self._show_rows(len(trial.glasses))
        for place, (labels, pour) in enumerate(zip(self.rows, made.pours, strict=True)):
            number, dose, per_litre, stock, mead, score = labels
            write(number, str(place + 1))
            write(dose, f"{self.display.number(100.0 * pour.strength, 0)}{SPACE}%")
            dose.setToolTip(as_it_is(self._dose_text(trial, pour.doses, pour.doubt)))
            write(per_litre, " + ".join(self._bare(one) for one in pour.doses) if pour.strength else "–")
            per_litre.setToolTip(dose.toolTip())
            write(stock, self._pour_text(pour) if pour.strength else "–")
            write(mead, millilitres(pour.plain, self.display))
            self.adopt(score)
            glass = trial.glasses[place]
            score.show_si(glass.rank if self._ranked else glass.score)
        self._show_verdict(trial)

    def _proposed(self) -> tuple[Addition, ...]:
        """What can be tried: stabilisers are not for tasting."""
        rows, batch = self._catalogue.additives, self.batch
        return tuple(
            line for line in (batch.adjustment.additions if batch else ())
            if line.mass > 0.0 and line.key in rows and rows[line.key].group != "stabiliser"
        )  # fmt: skip

    @property
    def _ranked(self) -> bool:
        return self.by.key == "rank"

    def _judge(self, _key: object) -> None:
        self._ask_judgements()
        self._headings[-1].setText("rank" if self._ranked else "score")
        self.refresh()

    def _ask_judgements(self) -> None:
        for *_, score in self.rows:
            score.set_range(*((1.0, float(len(self.rows))) if self._ranked else (0.0, 10.0)))
            score.setPlaceholderText("rank" if self._ranked else "0–10")

    @property
    def _mead(self) -> object:
        return self.outcome.mead if self.outcome else None

    def _work(self) -> None:
        trial, outcome = self.trial, self.outcome
        if trial is None or outcome is None or outcome.mead is None:
            self._plan, self._worked = None, ()
            return
        if any(part.key not in self._catalogue.additives for part in trial.parts):
            self._plan, self._worked = None, ()
            return
        lines = {line.key: line for line in outcome.batch.adjustment.additions}
        labels = tuple((key, line.alcohol, line.sugar, line.blend) for key, line in lines.items())
        state = (trial.parts, tuple(g.strength for g in trial.glasses), trial.glass, labels)
        if self._worked == state and same_mead(self._worked_on, outcome.mead.base):
            return
        self._worked, self._worked_on = state, outcome.mead.base
        self._plan = plan(trial, outcome.mead.base.member(0), self._catalogue, lines)

    def _stock_lines(self, made: TrialPlan) -> list[str]:
        lines = []
        for place, stock in enumerate(made.stocks):
            which = "Stock" if len(made.stocks) == 1 else f"Stock {place + 1}"
            lines.append(
                f"<b>{which}:</b> {self._grams(stock.mass)} {escape(in_a_sentence(stock.name))}, made up to "
                f"{self._millilitres(stock.made_up_to)} with the mead ({self._millilitres(stock.plain)} of it)."
            )
            if stock.dilution is not None:
                thin = stock.dilution
                lines.append(
                    f"Of that {self._millilitres(thin.taken)}, made up to {self._millilitres(thin.made_up_to)} with the mead. "
                    "The glasses get this one."
                )
        return [*lines, "Give each glass its stock, then the mead; stir."]

    def _pour_text(self, pour: Pour) -> str:
        """Of each stock, in their order: "6.8 + 6.1"."""
        return " + ".join(millilitres(one, self.display) for one in pour.stocks)

    def _bare(self, dose: float) -> str:
        """A dose in the column of grams per litre: no finer than it is tasted."""
        return self.display.number(dose, 0 if dose >= 99.5 else 1 if dose >= 0.995 else 2)

    def _grams(self, mass: float) -> str:
        return f"{self.display.number(mass * 1e3, 1, trim=True)}{SPACE}g"  # stocks are round masses

    def _millilitres(self, volume: float) -> str:
        return f"{self.display.number(volume * 1e6, 0)}{SPACE}mL"

    def _dose_text(self, trial: Trial, doses: tuple[float, ...], doubt: float) -> str:
        parts = [
            f"{self.display.grams_per_litre(dose)} {in_a_sentence(self._catalogue.additives[part.key].name)}"
            for part, dose in zip(trial.parts, doses, strict=True)
        ]
        return f"{', '.join(parts)}; scale and syringe may miss it by {self.display.number(100 * doubt, 0)}{SPACE}%"

    def _show_rows(self, count: int) -> None:
        """Have a row for each glass, and none besides."""
        if len(self.rows) == count:
            return
        while len(self.rows) < count:
            self._add_row()
        while len(self.rows) > count:
            self._drop_row()
        link([self.make, *(row[-1] for row in self.rows), self.by])
        self._ask_judgements()
        self._tell_refused("")

    def _add_row(self) -> None:
        place = len(self.rows)
        labels = tuple(Label() for _ in _HEADINGS[:-1])
        score = QuantityField(Kind.NUMBER, low=0.0, high=10.0, optional=True, display=self.display, placeholder="0–10")
        score.setAccessibleName(f"Score of glass {place + 1}, of ten")
        score.setMaximumWidth(score.fontMetrics().horizontalAdvance("0–10 0"))
        score.setProperty("glass", place)
        score.committed.connect(self._score)
        score.problem.connect(self._tell_refused)
        for column, cell in enumerate((*labels, score)):
            self._grid.addWidget(cell, place + 1, column)
            cell.show()  # at once, so that it can take the focus before the layout gets to it
        number, dose, per_litre, stock, mead = labels
        per_litre.setWordWrap(True)
        stock.setWordWrap(True)
        stock.setMinimumWidth(stock.fontMetrics().horizontalAdvance(_TWO_STOCKS))
        self.rows.append((number, dose, per_litre, stock, mead, score))

    def _drop_row(self) -> None:
        for cell in self.rows.pop():
            self._grid.removeWidget(cell)
            cell.hide()
            cell.deleteLater()

    def _tell_refused(self, _problem: str) -> None:
        """What counts of a glass whose new score is not taken."""
        fields = [(place + 1, row[-1]) for place, row in enumerate(self.rows) if row[-1].problem_text]
        lines = [
            f"Glass {place}: this entry does not count"
            + ("." if field.si is None else f"; {self.display.number(field.si, 1, trim=True)} still counts.")
            for place, field in fields
        ]
        write(self.refused, " ".join(lines))
        self.refused.setVisible(bool(lines))

    def _show_verdict(self, trial: Trial) -> None:
        liked = preferred(trial)
        self.carry.setEnabled(liked is not None)
        self._carried = ()
        outcome = self.outcome
        if liked is None or outcome is None or outcome.mead is None or self._plan is None:
            write(self.verdict, "Taste without knowing which is which, and score three glasses or more: 10 is best.")
            set_tone(self.verdict, "dim")
            return
        set_tone(self.verdict, "")
        drunk = 0.0 if trial.counted else self._plan.drunk
        room = outcome.mead.before.volume
        left = type(room)(*(max(bound - drunk, 0.0) for bound in room))
        poured = [pour for pour in self._plan.pours if pour.strength > 0.0]
        nearest = min(poured, key=lambda pour: abs(pour.strength - liked.strength.typical))
        self._carried = carried(trial, liked, left, nearest.doubts)
        best = self.display
        share = liked.strength.scaled(100.0)
        text = [
            f"Liked best at {best.number(share.typical, 0)}{SPACE}% of the dose "
            f"({best.number(share.low, 0)} to {best.number(share.high, 0)}{SPACE}%): "
            + ", ".join(self._carried_text(one) for one in self._carried)
        ]
        text[0] += f" for the {best.volume(left.typical)} left" + (" after this trial." if drunk else ".")
        here = {line.key: line.mass for line in outcome.batch.adjustment.additions}
        there = all(here.get(one.key) == weighable(one.mass.typical) for one in self._carried)
        self.carry.setEnabled(not there)
        if there:
            text.append("These doses stand among the additions. Next: weigh them, and give them in steps, below.")
        if liked.at_edge:
            text.append("The strongest glass was liked best: try a larger dose before you decide.")
        write(self.verdict, "<br>".join(text))

    def _carried_text(self, one: Carried) -> str:
        name = in_a_sentence(self._catalogue.additives[one.key].name)
        low, high = self.display.mass(one.mass.low), self.display.mass(one.mass.high)
        return f"<b>{self.display.mass(one.mass.typical)}</b> {escape(name)} ({low} to {high})"

    # --- entering

    def _make(self) -> None:
        outcome, batch = self.outcome, self.batch
        if outcome is None or outcome.mead is None or batch is None:
            return
        count = self.count.key if isinstance(self.count.key, int) else 5
        room = outcome.mead.before.volume.typical
        made = new_trial(self._proposed(), room, count, self.sample.si or 1e-4)
        dated = edits.changed(made, at=self._clock().isoformat(timespec="minutes"))
        self.edited.emit(partial(_with_trial, trial=dated), "plan a trial", "")

    def _score(self, value: object) -> None:
        sender, batch = self.sender(), self.batch
        if batch is None or not isinstance(sender, QuantityField):
            return
        index, place = len(batch.adjustment.trials) - 1, int(sender.property("glass"))
        answer = {"rank": round(value) if isinstance(value, float) else None} if self._ranked else {"score": value}
        change = partial(edits.score_glass, index=index, place=place, **answer)
        self.edited.emit(change, f"score of glass {place + 1}", f"trials/{index}/{place}/score")

    def _carry(self) -> None:
        batch, made = self.batch, self._plan
        if batch is None or made is None or not self._carried:
            return
        labels = {line.key: line for line in batch.adjustment.additions}
        additions = tuple(
            edits.changed(labels.get(one.key, Addition(key=one.key, mass=0.0)), mass=round(one.mass.typical, 6))
            for one in self._carried
        )
        self.edited.emit(partial(_carry, additions=additions, drunk=made.drunk), "carry the dose of the trial", "")

    def _copy(self) -> None:
        """Put the plan on the clipboard."""
        if self._plan is not None and self.batch is not None:
            stocks = [unescape(line.replace("<b>", "").replace("</b>", "")) for line in self._stock_lines(self._plan)]
            QApplication.clipboard().setText(trial_sheet(self.batch.name, self._plan, stocks, self.display))

    def _remove(self) -> None:
        batch = self.batch
        if batch is not None and batch.adjustment.trials:
            index = len(batch.adjustment.trials) - 1
            self.edited.emit(partial(edits.remove_trial, index=index), "remove a trial", "")


def _with_trial(batch: Batch, trial: Trial) -> Batch:
    return edits.add_trial(batch, trial)


def _carry(batch: Batch, additions: tuple[Addition, ...], drunk: float) -> Batch:
    """The doses, and what the trial took counted once."""
    index = len(batch.adjustment.trials) - 1
    if not batch.adjustment.trials[index].counted:
        batch = edits.change_trial(batch, index, counted=True)
        batch = edits.change_adjustment(batch, drunk=batch.adjustment.drunk + drunk)
    return with_doses(batch, additions)
