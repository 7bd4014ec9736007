"""Dosing in steps: what is in, what is still to come, and a button that logs the next part as stirred in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from html import escape

from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from planner.adjusting.additions import given_doses
from planner.adjusting.dosing import FIRST_SHARE, Step, next_step
from planner.document import edits
from planner.document.batch import Addition
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.tool import Tool, act, dim, told, write
from planner.ui.display import Display
from planner.ui.log.when import now
from planner.ui.widgets.fields import ChoiceField, QuantityField
from planner.ui.widgets.label import Label
from planner.units import Kind
from planner.wording.phrases import in_a_sentence

_SHARES = ((FIRST_SHARE, "60 %"), (0.5, "half"), (1.0, "all"))
_LEAST = 1e-6
_GO_ON = "Stir it in, wait some days, taste, and come back. The next step counts what is in."
_ALL_IN = "All of it is in. Wait some days, taste it, and measure gravity and volume again before you bottle."


class PortionField(QuantityField):
    """A mass no finer than it is weighed; what was worked out is kept behind it."""

    def _written(self, value: object) -> str:
        return self._display.mass(value) if isinstance(value, float) else ""


class DoseSteps(Tool):
    """The plan in steps: stir a part in, rest, taste, and go on from what was really added."""

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
        self._steps: tuple[Step, ...] = ()
        self.state = told("What was stirred in so far")
        self.column.addWidget(self.state)
        self.share = ChoiceField(_SHARES)
        self.share.show_key(FIRST_SHARE)
        self.share.setAccessibleName("How much of what is left comes next")
        self.share.chosen.connect(self._choose)
        row = QHBoxLayout()
        caption = Label("Next, of what is left:")
        caption.setBuddy(self.share)
        row.addWidget(caption)
        row.addWidget(self.share)
        row.addStretch(1)
        self._row = QWidget()
        row.setContentsMargins(0, 0, 0, 0)
        self._row.setLayout(row)
        self.column.addWidget(self._row)
        self._grid = QGridLayout()
        self._grid.setColumnStretch(0, 1)
        self.column.addLayout(self._grid)
        self._lines: list[tuple[Label, QuantityField]] = []
        self.log = act(
            "Log as stirred in",
            "Writes these amounts into the log, with the moment. Change them if you weighed something else.",
        )
        self.log.clicked.connect(self._log)
        self.column.addWidget(self.log)
        self.rest = dim(_GO_ON)
        self.column.addWidget(self.rest)

    def focus_chain(self) -> list[QWidget]:
        return [self.share, *(field for _, field in self._lines), self.log]

    @property
    def fields(self) -> list[QuantityField]:
        """The amounts of the next step, in the order of the plan."""
        return [field for label, field in self._lines if not label.isHidden()]

    def refresh(self) -> None:
        batch = self.batch
        if batch is None:
            return
        share = self.share.key if isinstance(self.share.key, float) else FIRST_SHARE
        given = given_doses(batch.log.readings)
        self._steps = tuple(
            step for step in next_step(batch.adjustment, given, share) if step.key in self._catalogue.additives
        )
        left = [step for step in self._steps if step.left > _LEAST]
        told_ = [self._line(step) for step in self._steps]
        told_ += [f"{escape(self._name(key))}: {self.display.mass(mass)} in, none planned" for key, mass in given.items()
                  if key in self._catalogue.additives and key not in {step.key for step in self._steps}]  # fmt: skip
        write(self.state, "<br>".join(told_) or "Add something above first. Its amount is then given in steps.")
        while len(self._lines) < len(left):
            self._add_line()
        for place, (label, field) in enumerate(self._lines):
            shown = place < len(left)
            label.setVisible(shown)
            field.setVisible(shown)
            if shown:
                name = self._name(left[place].key)
                write(label, name)
                self.adopt(field)
                field.show_si(left[place].next)
                field.setAccessibleName(f"{name}, next step")
        for part in (self._row, self.log):
            part.setVisible(bool(left))
        self.rest.setVisible(bool(self._steps))
        write(self.rest, _GO_ON if left else _ALL_IN)

    def _line(self, step: Step) -> str:
        name, display = escape(self._name(step.key)), self.display
        if step.given <= 0.0:
            return f"{name}: nothing of {display.mass(step.planned)} in yet"
        if step.left <= _LEAST:
            return f"{name}: {display.mass(step.given)} of {display.mass(step.planned)} in, done"
        return (
            f"{name}: {display.mass(step.given)} of {display.mass(step.planned)} in, {display.mass(step.left)} to come"
        )

    def _name(self, key: str) -> str:
        return self._catalogue.additives[key].name

    def _add_line(self) -> None:
        label, field = Label(), PortionField(Kind.MASS, display=self.display)
        label.setWordWrap(True)
        label.setBuddy(field)
        self._grid.addWidget(label, len(self._lines), 0)
        self._grid.addWidget(field, len(self._lines), 1)
        self._lines.append((label, field))

    def _choose(self, _share: object) -> None:
        self.refresh()

    def _log(self) -> None:
        left = [step for step in self._steps if step.left > _LEAST]
        doses = [
            Addition(key=step.key, mass=field.si)
            for step, (_, field) in zip(left, self._lines, strict=False)
            if field.accept() and field.si
        ]
        if not doses:
            return
        at = self._clock().isoformat(timespec="minutes")
        names = ", ".join(in_a_sentence(self._name(dose.key)) for dose in doses)
        self.edited.emit(partial(_logged, doses=tuple(doses), at=at), f"log a dose of {names}", "")


def _logged(batch: object, doses: tuple[Addition, ...], at: str) -> object:
    return edits.log_doses(batch, *doses, at=at)  # type: ignore[arg-type]
