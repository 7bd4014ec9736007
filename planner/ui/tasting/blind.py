"""The window of blind tests: a plan with codes, what was answered, and what that bears out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QListWidget,
    QVBoxLayout,
    QWidget,
)

from planner.document import edits
from planner.document.batch import Batch, Trial
from planner.document.tasting import MOST_SAMPLES, BlindTest, Serving
from planner.document.timestamps import parsed
from planner.tasting.blind import PROTOCOL, planned, result
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.log.when import date_text, now
from planner.ui.store import BatchStore
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.emptying import empty
from planner.ui.widgets.fields import ChoiceField, TextField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import in_words
from planner.ui.widgets.splitter import TurningSplitter
from planner.ui.widgets.upright import Upright
from planner.wording.phrases import tabled

KINDS = (
    ("paired", "Which has more? (two glasses)"),
    ("preference", "Which is better? (two glasses)"),
    ("triangle", "Which is the odd one? (three glasses)"),
    ("ranking", "From the best down (all glasses)"),
)
"""Kinds of tests. At home the question which of two has more finds the most with the fewest glasses."""

_QUESTIONS = {
    "paired": "Which is sweeter?", "preference": "Which do you like better?", "triangle": "Which is the odd one?",
    "ranking": "From the best down?",
}  # fmt: skip
_CODE = 4
"""Room for the figures of a code. [letters]"""

_ROUNDS, _MOST_ROUNDS = 8, 30


class BlindDialog(QDialog):
    """Tests of the open batch; plan and answers are edits that can be undone."""

    def __init__(
        self,
        store: BatchStore,
        display: Display,
        clock: Callable[[], datetime] = now,
        dice: np.random.Generator | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Blind tests")
        self._store, self._display, self._clock = store, display, clock
        self._dice = dice or np.random.default_rng()
        self.answers: list[list[ChoiceField]] = []
        self._shown: BlindTest | None = None
        self._make()
        self._arrange()
        fit(self, figures=150, lines=46)
        store.changed.connect(self.show_batch)
        self._choose_kind()
        self.show_batch(store.batch)

    # --- making

    def _make(self) -> None:
        self.list = theme.dress(QListWidget())
        self.list.setAccessibleName("Blind tests")
        self.list.currentRowChanged.connect(self._show_chosen)
        self.remove = Button("&Remove")
        self.remove.clicked.connect(self._remove)
        self.kind = ChoiceField(KINDS)
        self.kind.setAccessibleName("Kind of test")
        self.kind.also_holds = tuple(name for _, name in KINDS)
        self.kind.show_key(KINDS[0][0])
        self.kind.chosen.connect(self._choose_kind)
        self.question, self.samples, self.tasters = TextField(), TextField(), TextField()
        self.question.setAccessibleName("Question")
        self.samples.setAccessibleName("Samples, apart by commas")
        self.samples.setPlaceholderText("plain mead, with 20 g/L erythritol")
        self.tasters.setAccessibleName("Tasters, apart by commas")
        self.tasters.setPlaceholderText("one taster without a name")
        self.rounds = ChoiceField(tuple((number, str(number)) for number in range(1, _MOST_ROUNDS + 1)))
        self.rounds.show_key(_ROUNDS)
        self.rounds.setAccessibleName("Servings for each taster")
        self.plan = Button("&Plan the test")
        self.plan.set_due(True)
        self.plan.clicked.connect(self._plan)
        self.from_trial = Button("From the trial &glasses")
        self.from_trial.setToolTip("A ranking of the glasses of the last trial")
        self.from_trial.clicked.connect(self._from_trial)
        self.take = Button("Take over as ranks of the &trial glasses")
        self.take.setToolTip("The dose that was liked best follows from them, in the adjustment under trial glasses")
        self.take.clicked.connect(self._take_ranks)
        self.told = Label()
        self.told.setWordWrap(True)
        self.key = CheckBox("Show the &key: only for who pours")
        self.key.toggled.connect(self._show_servings)
        self.copy = Button("&Copy the plan")
        self.copy.setToolTip("Copies servings, codes and key as text")
        self.copy.clicked.connect(self._copy)
        self.servings = QWidget()
        self._grid = QGridLayout(self.servings)
        self._grid.setHorizontalSpacing(12)

    def _arrange(self) -> None:
        form = QGridLayout()
        rows = (
            ("&Kind", self.kind), ("&Question", self.question), ("&Samples", self.samples), ("&Tasters", self.tasters),
            ("Servings for &each", self.rounds),
        )  # fmt: skip
        for row, (caption, field) in enumerate(rows):
            label = Label(caption)
            label.setBuddy(field)
            form.addWidget(label, row, 0)
            form.addWidget(field, row, 1)
        acts = Flow()
        acts.add(self.plan)
        acts.add(self.from_trial)
        form.addWidget(acts, len(rows), 1)
        form.setColumnStretch(1, 1)
        self.how = Label("")
        self.how.setWordWrap(True)
        left, right = QWidget(), QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(Label("A new test"))
        column.addLayout(form)
        column.addWidget(self.list, 1)
        column.addWidget(self.remove, 0, Qt.AlignmentFlag.AlignLeft)
        acts = Flow()
        acts.add(self.key)
        acts.add(self.copy)
        acts.add(self.take)
        below, inside = QWidget(), QVBoxLayout()
        inside.setContentsMargins(0, 0, 0, 0)
        for part in (self.servings, self.how):
            inside.addWidget(part)
        inside.addStretch(1)
        below.setLayout(inside)
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.told)
        column.addWidget(acts)
        column.addWidget(Upright(below, self), 1)
        whole = TurningSplitter()
        figure = self.fontMetrics().horizontalAdvance("0")
        for part in (left, right):
            whole.addWidget(part)
        whole.setSizes([60 * figure, 90 * figure])
        QVBoxLayout(self).addWidget(whole)

    # --- a new test

    def _choose_kind(self, *_: object) -> None:
        kind = str(self.kind.key)
        self.question.show_text(_QUESTIONS[kind])
        self.samples.setToolTip(
            "Two to six, apart by commas" if kind == "ranking" else
            "Two, apart by a comma. The second is the one that has more." if kind == "paired" else "Two, apart by a comma"
        )  # fmt: skip

    def _from_trial(self) -> None:
        """The last trial's glasses as samples of a ranking."""
        trial = self._trial
        if trial is not None:
            self.kind.choose("ranking")
            self.samples.show_text(", ".join(_names(trial, self._display)))

    @property
    def _trial(self) -> Trial | None:
        trials = self._store.batch.adjustment.trials
        return trials[-1] if trials and len(trials[-1].glasses) <= MOST_SAMPLES else None

    def _is_of_trial(self, test: BlindTest | None) -> bool:
        """Whether a ranking is of the glasses of the last trial."""
        trial = self._trial
        return (
            test is not None and trial is not None and test.kind == "ranking"
            and test.samples == _names(trial, self._display)
        )  # fmt: skip

    def _take_ranks(self) -> None:
        """Give the glasses of the trial the ranks that came out, from which the dose that was liked best is worked out."""
        test = self._test
        ranks = result(test).ranks if test is not None else ()
        if self._is_of_trial(test) and ranks:
            batch, last = self._store.batch, len(self._store.batch.adjustment.trials) - 1
            for rank, place in enumerate(sorted(range(len(ranks)), key=ranks.__getitem__), start=1):
                batch = edits.score_glass(batch, last, place, rank=rank)
            self._store.edit(batch, "ranks of the trial glasses")

    def _plan(self) -> None:
        fields = (self.question, self.samples, self.tasters)
        if not all(field.accept() for field in fields):
            return
        names = _listed(self.samples.text())
        kind = str(self.kind.key)
        wanted = f"2 to {MOST_SAMPLES}" if kind == "ranking" else "2"
        if not (2 <= len(names) <= MOST_SAMPLES if kind == "ranking" else len(names) == 2):
            self.told.setText(f"Enter {wanted} samples, apart by commas. There are {len(names)}.")
            return
        at = self._clock().isoformat(timespec="minutes")
        try:
            test = planned(
                BlindTest(kind=kind, question=self.question.text(), samples=names, at=at),  # type: ignore[arg-type]
                _listed(self.tasters.text()), int(str(self.rounds.key)), self._dice,
            )  # fmt: skip
            after = edits.add_test(self._store.batch, test)
        except (ValueError, edits.EditRefused) as refusal:
            self.told.setText(str(refusal))
            return
        self._store.edit(after, "new blind test")
        self.list.setCurrentRow(len(self._store.batch.tests) - 1)

    # --- showing

    def show_batch(self, batch: Batch) -> None:
        """Show the tests of a batch; the one that is chosen stays so."""
        names = [f"{self._day(test)}, {test.question or test.kind}" for test in batch.tests]
        if names != [self.list.item(n).text() for n in range(self.list.count())]:
            row = min(max(self.list.currentRow(), 0), len(names) - 1)
            with QSignalBlocker(self.list):
                self.list.clear()
                self.list.addItems(names)
                self.list.setCurrentRow(row)
        self._show_chosen()

    def _day(self, test: BlindTest) -> str:
        moment = parsed(test.at) if test.at else None
        return "undated" if moment is None else date_text(moment.date(), self._display.locale)

    def set_display(self, display: Display) -> None:
        """Other habits of writing numbers."""
        self._display = display
        self.show_batch(self._store.batch)

    def _show_chosen(self, _row: int = 0) -> None:
        test = self._test
        steps = (in_words(tabled(step), self._display) for step in PROTOCOL)
        self.how.setText("\n".join(f"{number}. {step}" for number, step in enumerate(steps, start=1)))
        self.remove.setEnabled(test is not None)
        self.copy.setEnabled(test is not None)
        self.from_trial.setVisible(self._trial is not None)
        self.take.setVisible(self._is_of_trial(test) and bool(result(test).ranks) if test is not None else False)
        if test is None:
            self.told.setText("Plan a test: the glasses get codes, and the order is drawn at random.")
        else:
            self.told.setText(in_words(result(test).told, self._display))
        if test != self._shown:
            is_same = test is not None and self._shown is not None and _unanswered(test) == _unanswered(self._shown)
            self._shown = test
            if is_same:
                self._show_answers()
            else:
                with QSignalBlocker(self.key):
                    self.key.setChecked(False)
                self._show_servings()

    def _show_servings(self, *_: object) -> None:
        empty(self._grid)
        self.answers = []
        test = self._shown
        if test is None:
            return
        heads = ("", "Taster", "Glasses, from the left", "Answer", "Key" if self.key.isChecked() else "")
        for column, head in enumerate(heads):
            self._grid.addWidget(Label(head), 0, column)
        for row, serving in enumerate(test.servings, start=1):
            codes = f"{SPACE}{SPACE}".join(str(code) for code in serving.codes)
            texts = (str(row), serving.taster, codes)
            for column, text in enumerate(texts):
                self._grid.addWidget(Label(text), row, column)
            answers, line = QWidget(), QHBoxLayout()
            line.setContentsMargins(0, 0, 0, 0)
            answers.setLayout(line)
            places = len(serving.codes) if test.kind == "ranking" else 1
            fields = [self._answer_field(row - 1, rank, serving) for rank in range(places)]
            for field in fields:
                line.addWidget(field)
            self.answers.append(fields)
            self._grid.addWidget(answers, row, 3)
            if self.key.isChecked():
                told = ", ".join(test.samples[sample] for sample in serving.samples)
                self._grid.addWidget(Label(told), row, 4)
        self._grid.setRowStretch(len(test.servings) + 1, 1)
        self._grid.setColumnStretch(4, 1)
        self._show_answers()

    def _answer_field(self, row: int, rank: int, serving: Serving) -> ChoiceField:
        field = ChoiceField(((None, "–"), *((place, str(code)) for place, code in enumerate(serving.codes))))
        field.setMinimumContentsLength(_CODE)
        field.setMaximumWidth(field.sizeHint().width())
        field.setAccessibleName(f"Answer {rank + 1} of serving {row + 1}")
        field.chosen.connect(partial(self._answer, row))
        return field

    def _show_answers(self) -> None:
        test = self._shown
        if test is None:
            return
        for serving, fields in zip(test.servings, self.answers, strict=True):
            for rank, field in enumerate(fields):
                if serving.answer or len(fields) == 1:
                    field.show_key(serving.answer[rank] if rank < len(serving.answer) else None)

    # --- edits

    @property
    def _test(self) -> BlindTest | None:
        tests = self._store.batch.tests
        row = self.list.currentRow()
        return tests[row] if 0 <= row < len(tests) else None

    def _answer(self, row: int, _place: object) -> None:
        """Of a ranking the answer counts once each glass has its rank."""
        given = tuple(place for field in self.answers[row] if isinstance(place := field.key, int))
        whole = len(given) == len(self.answers[row]) and len(set(given)) == len(given)
        answer = given if whole else ()
        test = self._test
        if test is not None and answer != test.servings[row].answer:
            after = edits.answer_test(self._store.batch, self.list.currentRow(), row, answer)
            self._store.edit(after, "answer of a blind test", f"tests/{self.list.currentRow()}/{row}")

    def _remove(self) -> None:
        if self._test is not None:
            self._store.edit(edits.remove_test(self._store.batch, self.list.currentRow()), "remove a blind test")

    def _copy(self) -> None:
        test = self._test
        if test is None:
            return
        rows = [test.question, "serving\ttaster\tcodes\tkey"]
        for number, serving in enumerate(test.servings, start=1):
            codes = " ".join(map(str, serving.codes))
            key = ", ".join(test.samples[sample] for sample in serving.samples)
            rows.append(f"{number}\t{serving.taster}\t{codes}\t{key}")
        QApplication.clipboard().setText("\n".join(rows))


def _listed(text: str) -> tuple[str, ...]:
    """Names apart by commas."""
    return tuple(name for part in text.split(",") if (name := part.strip()))


def _names(trial: Trial, display: Display) -> tuple[str, ...]:
    """What the glasses of a trial are called: shares of the full dose."""
    shares = [f"{display.number(100.0 * glass.strength, 0)}{SPACE}% of the dose" for glass in trial.glasses]
    return tuple(
        f"plain{SPACE}mead" if glass.strength == 0.0 else share
        for glass, share in zip(trial.glasses, shares, strict=True)
    )


def _unanswered(test: BlindTest) -> tuple[object, ...]:
    return test.kind, test.samples, tuple((one.taster, one.samples, one.codes) for one in test.servings)
