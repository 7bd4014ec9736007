"""Readings from a file or the clipboard: what was found, what it is taken for, and what will be added to the log."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from planner.document.batch import Batch, Entry
from planner.importing.mapping import GRAVITIES
from planner.importing.reading import ImportRefused, Mapping, Meaning, added
from planner.ui.display import Display
from planner.ui.importing.preview import Preview
from planner.ui.importing.remarks import ImportRemarks
from planner.ui.importing.text import counted
from planner.ui.importing.work import Answer, ImportWork, Request, usual_offset
from planner.ui.log import when
from planner.ui.recalculator import Recalculator
from planner.ui.theme import Colours, set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.check_box import CheckBox
from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.flow import Flow
from planner.ui.widgets.label import Label

_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_WIDEST_QUESTION = 220
_HERE = "this computer’s"
_OFFSETS = (
    -720, -660, -600, -570, -540, -480, -420, -360, -300, -240, -210, -180, -120, -60, 0, 60, 120, 180, 210, 240, 270,
    300, 330, 345, 360, 390, 420, 480, 525, 540, 570, 600, 630, 660, 720, 765, 780, 840,
)  # fmt: skip
"""Offsets from UTC in use somewhere. [min] From memory."""


class Question(QWidget):
    """A choice with its caption before it."""

    def __init__(self, caption: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = ChoiceField()
        self.field.setMaximumWidth(_WIDEST_QUESTION)
        self.field.setSizeAdjustPolicy(ChoiceField.SizeAdjustPolicy.AdjustToContents)
        label = Label(caption)
        label.setBuddy(self.field)
        self.field.setAccessibleName(caption.replace("&", ""))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(label)
        row.addWidget(self.field)


class ImportDialog(QDialog):
    """Shows a table and what would be imported; adds nothing itself. `result_readings` holds what the person accepted.

    The file is read and each change is worked out on a worker; until an answer comes, what is shown is dim.
    """

    def __init__(
        self,
        source: bytes | Path,
        name: str,
        batch: Batch,
        display: Display,
        colours: Colours,
        parent: QWidget | None = None,
        now: datetime | None = None,
        to_watch: bool = False,
    ) -> None:
        super().__init__(parent)
        self.to_watch = to_watch
        """Whether the file is to be watched from now on; then it may hold nothing yet."""
        self._name = f"“{_short(name)}”" if name else "The clipboard"
        self._answer: Answer | None = None
        self._request = Request(source, None, usual_offset(batch), batch, display, now or when.now(), to_watch)
        self._work = ImportWork()
        self._recalculator = Recalculator((self._work.answer,), delay_ms=0, parent=self)
        self._work.stop = self._recalculator.is_stale
        self._recalculator.finished.connect(self._show_answer)
        self._recalculator.failed.connect(self._show_failure)
        self._recalculator.busy.connect(self._show_busy)
        self.setWindowTitle("Watch a file" if to_watch else "Import readings")
        fit(self, figures=131, lines=43)
        self._build(colours)
        self._recalculator.request(self._request)

    @classmethod
    def from_text(
        cls,
        text: str,
        batch: Batch,
        display: Display,
        colours: Colours,
        parent: QWidget | None = None,
        now: datetime | None = None,
    ) -> ImportDialog:
        """The same for a pasted text."""
        return cls(text.encode("utf-8", "replace"), "", batch, display, colours, parent, now)

    def result_readings(self) -> Sequence[Entry]:
        """The readings that would be added: new ones, from rows that can be read."""
        fresh = self._answer.fresh if self._answer is not None else None
        return fresh.readings if fresh is not None else ()

    def added_to(self, batch: Batch) -> Batch:
        """A batch with these readings in its log; raises `planner.document.edits.EditRefused` where it cannot hold one."""
        fresh = self._answer.fresh if self._answer is not None else None
        return added(batch, fresh) if fresh is not None else batch

    @property
    def mapping(self) -> Mapping | None:
        """What the columns mean, as the person left it; None where there is no table."""
        return self._answer.mapping if self._answer is not None else None

    @property
    def headings(self) -> tuple[str, ...]:
        """The names of the columns."""
        return self._answer.table.headings if self._answer is not None else ()

    @property
    def offset_chosen(self) -> int | None:
        """Offset from UTC of moments that state none; None for this machine's. [min]"""
        return self._request.offset

    def found(self) -> Sequence[Entry]:
        """All readings of the file, those that are in the log already too."""
        imported = self._answer.imported if self._answer is not None else None
        return imported.readings if imported is not None else ()

    def set_colours(self, colours: Colours) -> None:
        """Other colours."""
        self.preview.set_colours(colours)

    def done(self, result: int) -> None:
        self._recalculator.shut_down()
        super().done(result)

    def accept(self) -> None:
        if self.add_button.isEnabled():
            super().accept()

    # --- building

    def _build(self, colours: Colours) -> None:
        self._pages = QStackedWidget()
        self._message = Label(f"{self._name} is being read …")
        self._message.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._message.setWordWrap(True)
        self._message.setMargin(40)
        self._pages.addWidget(self._message)
        self._pages.addWidget(self._table_page(colours))
        layout = QVBoxLayout(self)
        layout.setSpacing(10)
        layout.addWidget(self._pages, 1)
        layout.addLayout(self._foot())

    def _table_page(self, colours: Colours) -> QWidget:
        page = QWidget()
        self._heading = Label()
        self._heading.setWordWrap(True)
        self.preview = Preview(colours)
        self.preview.meaning_chosen.connect(self._change_meaning)
        self.remarks = ImportRemarks()
        self.remarks.taken.connect(self._change_mapping)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._heading)
        column.addWidget(self.preview, 1)
        column.addWidget(self._questions())
        column.addWidget(self.remarks)
        return page

    def _questions(self) -> Flow:
        """What the table leaves open; each is shown only where it arises."""
        self.series, self.offset = Question("&Series"), Question("Time &zone")
        self.dates, self.decimals = Question("Da&tes"), Question("&Decimal sign")
        self.stem = Question("&Read with")
        self.stem.field.set_choices(((False, "hydrometer"), (True, "floating sensor")))
        self.stem.setToolTip(
            "The instrument that read the gravities. A floating sensor reads less exactly: yeast and bubbles cling to it."
        )
        self.stem.field.chosen.connect(self._change_stem)
        self.dates.field.set_choices(((True, "day first"), (False, "month first")))
        self.decimals.field.set_choices(((".", "point"), (",", "comma")))
        known = {self._request.offset} - {None} | set(_OFFSETS)
        self.offset.field.set_choices(((None, _HERE), *((o, _offset_text(o)) for o in sorted(known, key=int))))  # type: ignore[arg-type]
        self.offset.field.show_key(self._request.offset)
        self.offset.setToolTip("Time zone of times in the table that do not state their offset from UTC.")
        self.series.field.chosen.connect(self._change_series)
        self.offset.field.chosen.connect(self._change_offset)
        self.dates.field.chosen.connect(self._change_dates)
        self.decimals.field.chosen.connect(self._change_decimal)
        row = Flow(18)
        for question in (self.stem, self.series, self.offset, self.dates, self.decimals):
            row.add(question)
            question.hide()
        return row

    def _foot(self) -> QVBoxLayout:
        self.sentence = Label()
        self.sentence.setWordWrap(True)
        self.sentence.setMinimumHeight(2 * self.fontMetrics().lineSpacing())
        self.consent = CheckBox()
        kept = self.consent.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.consent.setSizePolicy(kept)
        self.consent.hide()
        self.consent.toggled.connect(self._show_what_can_be_done)
        buttons = QDialogButtonBox()
        self._cancel = Button("&Cancel")
        buttons.addButton(self._cancel, QDialogButtonBox.ButtonRole.RejectRole)
        self._cancel.setAutoDefault(False)
        self.add_button = Button("Add readings")
        self.add_button.setDefault(True)
        self.add_button.setEnabled(False)
        buttons.addButton(self.add_button, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        last = QHBoxLayout()
        last.addWidget(self.consent)
        last.addStretch(1)
        last.addWidget(buttons)
        foot = QVBoxLayout()
        foot.addWidget(self.sentence)
        foot.addLayout(last)
        return foot

    # --- what the person does

    def _change_meaning(self, column: int, meaning: Meaning) -> None:
        if self._answer is not None:
            self._change_mapping(self._answer.mapping.with_meaning(column, meaning))

    def _change_series(self, series: str) -> None:
        if self._answer is not None:
            self._change_mapping(msgspec.structs.replace(self._answer.mapping, series=series))

    def _change_dates(self, day_first: bool) -> None:
        if self._answer is not None:
            self._change_mapping(msgspec.structs.replace(self._answer.mapping, day_first=day_first))

    def _change_stem(self, floats: bool) -> None:
        if self._answer is not None:
            self._change_mapping(msgspec.structs.replace(self._answer.mapping, floats=floats))

    def _change_decimal(self, decimal: str) -> None:
        if self._answer is not None:
            self._change_mapping(msgspec.structs.replace(self._answer.mapping, decimal=decimal))

    def _change_mapping(self, mapping: Mapping) -> None:
        if self._answer is not None:
            self._answer = msgspec.structs.replace(self._answer, mapping=mapping)
            self._ask()

    def _change_offset(self, offset: int | None) -> None:
        self._request = msgspec.structs.replace(self._request, offset=offset)
        self._ask()

    def _ask(self) -> None:
        """Work out the present choices."""
        if self._answer is not None:
            self._request = msgspec.structs.replace(
                self._request, source=self._answer.table, mapping=self._answer.mapping
            )
        self._recalculator.request(self._request)

    # --- what comes back

    def _show_answer(self, answer: Answer) -> None:
        before = self._answer
        self._answer = answer
        if before is None:
            self._heading.setText(self._what_was_found(answer))
            self.preview.show_table(answer.table, answer.mapping)
            self._pages.setCurrentIndex(1)
        refused = answer.imported.refused if answer.imported is not None else ()
        self.preview.show_reading(answer.rows, answer.mapping, answer.refused or {}, answer.known)
        self.remarks.show_notices(answer.notices, refused)
        self.sentence.setText(answer.problem or answer.sentence)
        self._show_questions(answer)
        self._show_consent(len(refused), answer.early)
        self._show_what_can_be_done()
        if before is None:
            self._go_to_what_comes_next(answer)

    def _go_to_what_comes_next(self, answer: Answer) -> None:
        """Let the first key mend what is missing, or take what is there."""
        if answer.problem:
            self.preview.choices.choice(self.preview.choices.logicalIndex(0)).setFocus()
        elif not self.consent.isHidden():
            self.consent.setFocus()
        elif self.result_readings():
            self.add_button.setFocus()

    def _show_questions(self, answer: Answer) -> None:
        self.series.field.set_choices((name, f"{name} ({count})") for name, count in answer.series)
        self.series.field.show_key(answer.mapping.series)
        self.dates.field.show_key(answer.mapping.day_first)
        self.decimals.field.show_key(answer.mapping.decimal)
        self.stem.field.show_key(answer.mapping.floats)
        kinds = answer.mapping.columns(Meaning.KIND)
        self.stem.setVisible(bool(answer.mapping.columns(*GRAVITIES)) and not kinds)
        self.series.setVisible(bool(answer.series))
        self.dates.setVisible(answer.has_slashes)
        self.decimals.setVisible(answer.has_commas)
        self.offset.setVisible(bool(answer.mapping.columns(Meaning.MOMENT)))
        self.offset.setEnabled(answer.imported is None or answer.imported.assumed > 0)

    def _show_consent(self, refused: int, early: int) -> None:
        display = self._request.display
        rows = "row" if refused == 1 else f"{display.number(refused, 0)} rows"
        asked = [f"leave out the {rows} that cannot be read"] if refused else []
        asked += [f"add {counted(early, 'reading', 'readings', display)} from long before pitching"] if early else []
        text = " and ".join(asked)
        text = f"&{text[:1].upper()}{text[1:]}"
        if text != self.consent.text() or not asked:
            self.consent.setChecked(False)  # consent was to other rows
        self.consent.setText(text)
        self.consent.setVisible(bool(asked) and bool(self.result_readings()))

    def _show_what_can_be_done(self, *_: object) -> None:
        count = len(self.result_readings())
        busy = self._recalculator.is_busy
        agreed = self.consent.isHidden() or self.consent.isChecked()
        ready = self._answer is not None and not self._answer.problem
        self.add_button.setEnabled((count > 0 or (self.to_watch and ready)) and agreed and not busy)
        readings = counted(count, "reading", "readings", self._request.display)
        words = f"Add {readings}" if count else "Add readings"
        if self.to_watch:
            words = f"{words} and watch" if count else "Watch"
        self.add_button.setText(words)

    def _show_busy(self, busy: bool) -> None:
        set_tone(self.sentence, "dim" if busy else "")
        self._show_what_can_be_done()

    def _show_failure(self, failure: Exception) -> None:
        if not isinstance(failure, ImportRefused):
            raise failure
        self._answer = None
        self._message.setText(f"{self._name} holds no readings that could be imported.\n\n{failure}")
        self._pages.setCurrentIndex(0)
        self.sentence.clear()
        if self.to_watch:
            self._message.setText(f"{self._name} holds no readings yet.\n\n{failure}\n\nThey are taken when they come.")
            self.add_button.setText("Watch")
            self.add_button.setEnabled(True)
            self.add_button.setFocus()
            return
        self.add_button.hide()
        self._cancel.setText("Close")
        self._cancel.setFocus()

    def _what_was_found(self, answer: Answer) -> str:
        rows = counted(len(answer.table.rows), "row", "rows", self._request.display)
        between = _SEPARATORS[answer.table.separator]
        unnamed = "" if answer.table.named else ", without headings"
        return f"{self._name}: {rows}, {between} between the cells{unnamed}. Say above each column what it holds."


def _short(name: str) -> str:
    """A file's name, a long one without its middle."""
    return name if len(name) <= 60 else f"{name[:40]}…{name[-16:]}"


def _offset_text(minutes: int) -> str:
    """An offset as it is written: UTC+02:00."""
    return f"UTC{'−' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
