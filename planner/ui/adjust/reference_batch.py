"""As last time, or blended: what another batch was given, scaled to this one, and that batch as an ingredient."""

from __future__ import annotations

from functools import partial
from html import escape
from pathlib import Path

from PySide6.QtCore import QDir
from PySide6.QtWidgets import QHBoxLayout, QWidget

from planner.adjusting.additions import other_mead
from planner.adjusting.base_mead import Basis
from planner.document import edits
from planner.document.batch import Addition, Batch
from planner.document.codec import SUFFIX, BatchFileError, decode
from planner.document.whole_file import FileError, read_whole
from planner.evaluation.outcome import Outcome, evaluate
from planner.evaluation.reference_batch import Difference, LastTime, as_last_time, differences
from planner.model.span import Span
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.find import with_doses
from planner.ui.adjust.text import body_text
from planner.ui.adjust.tool import Tool, act, told, write
from planner.ui.asking import Ask
from planner.ui.display import Display
from planner.ui.theme import set_tone
from planner.wording.phrases import in_a_sentence

MOST_OTHERS = 5
"""Earlier batches that are kept for the map. [-] More crowd it."""

_MEMBERS = 60
"""Members with which the other batch is worked out, so that its log is weighed. [-]"""

_KINDS = f"Batches (*{SUFFIX})"
FIRST_BLEND = 0.1
"""Share of the mead with which blending begins. [-] Estimate; the amount is then the person's."""


class AsLastTime(Tool):
    """Another batch beside this one: what differs first, then its doses for this volume, or the batch to blend with."""

    def __init__(self, catalogue: Catalogue, display: Display, ask: Ask, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self._ask = ask
        self.earlier: Outcome | None = None
        self.others: tuple[Outcome, ...] = ()
        """Batches that were chosen, the last one last; all are on the map."""
        self._problem = ""
        self._folder = Path(QDir.homePath())
        self._last: LastTime | None = None
        self.choose = act("Choose an earlier batch …")
        self.choose.clicked.connect(self._choose)
        self.column.addWidget(self.choose)
        self.answer = told("What the earlier batch was given, and what differs")
        self.column.addWidget(self.answer)
        self.take = act(
            "Take these doses", "Puts these doses among the additions, in place of the same ingredients there."
        )
        self.take.clicked.connect(self._take)
        self.blend = act("Blend with it", "Puts that mead among the additions; then set how much.")
        self.blend.clicked.connect(self._blend)
        row = QHBoxLayout()
        row.addWidget(self.take)
        row.addWidget(self.blend)
        row.addStretch(1)
        self.column.addLayout(row)

    def focus_chain(self) -> list[QWidget]:
        return [self.choose, self.take, self.blend]

    def refresh(self) -> None:
        self._last = as_last_time(self.earlier, self.outcome) if self.earlier and self.outcome else None
        self.take.setEnabled(self._last is not None)
        self.take.setVisible(self.earlier is not None)
        self.blend.setVisible(self.earlier is not None)
        self.blend.setEnabled(bool(self.earlier and self.earlier.mead and self.outcome and self.outcome.mead))
        set_tone(self.answer, "problem" if self._problem else "" if self.earlier else "dim")
        write(self.answer, self._problem or self._text())

    def _text(self) -> str:
        if self.earlier is None:
            return "Its doses per litre are carried to this mead, after what differs between the two."
        name = escape(self.earlier.batch.name)
        then, here = self.earlier.mead, self.outcome.mead if self.outcome else None
        if then is None or here is None:
            return f"Nothing can be worked out of <b>{name}</b>." if then is None else ""
        matter = [difference for difference in differences(then.before, here.before) if difference.matters]
        lines = [self._table(name, matter) if matter else
                 f"Before additions, no difference from <b>{name}</b> that a taster would notice."]  # fmt: skip
        if then.basis in (Basis.FORECAST, Basis.EXPECTED):
            lines.append(f"<b>{name}</b> is not finished: its expected end stands here.")
        if self._last is None:
            return "<br>".join([*lines, "Nothing was added to it that could be carried over. You can blend it in."])
        for part in self._last.parts:
            row = self._catalogue.additives.get(part.key)
            what = in_a_sentence(row.name) if row else part.key
            source = "stirred in" if part.rests_on_log else "planned"
            lines.append(
                f"<b>{self.display.mass(part.mass)}</b> {escape(what)} "
                f"({self.display.grams_per_litre(part.dose)} as {source} then)"
            )
        lines += [f"Noted then: “{escape(note)}”" for note in self._last.notes[-2:]]
        return "<br>".join(lines).replace("</table><br>", "</table>")

    def _table(self, name: str, matter: list[Difference]) -> str:
        """What differs before additions: a row for each, with its value there and here."""
        cell = '<td align="right" style="padding-left: 10px">{}</td>'
        rows = [("Before additions", "then", "here"), *(self._row(difference) for difference in matter)]
        body = "".join(f"<tr><td>{escape(what)}</td>{cell.format(escape(there))}{cell.format(escape(here))}</tr>"
                       for what, there, here in rows)  # fmt: skip
        return f"What differs from <b>{name}</b>:<table>{body}</table>"

    def _row(self, difference: Difference) -> tuple[str, str, str]:
        there, here = (self._value(difference.what, value) for value in (difference.then, difference.now))
        return difference.caption, there, here

    def _value(self, what: str, value: Span) -> str:
        display = self.display
        if what == "gravity":
            return display.gravity(value)
        if what == "alcohol":
            return display.percent_vol(value)
        return body_text(value, display) if what == "viscosity" else display.grams_per_litre(value)

    # --- entering

    def _choose(self) -> None:
        path = self._ask.open_path("Choose an earlier batch", self._folder, _KINDS)
        if path is not None:
            self.open(path)

    def open(self, path: Path) -> None:
        """Read another batch and show it beside this one."""
        self._folder, self._problem = path.parent, ""
        try:
            self.earlier = evaluate(decode(read_whole(path)), self._catalogue, _MEMBERS)
        except (FileError, BatchFileError) as failure:
            self._problem = escape(f"{path.name} cannot be read: {failure}")
        else:
            kept = [other for other in self.others if other.batch.name != self.earlier.batch.name]
            self.others = (*kept, self.earlier)[-MOST_OTHERS:]
        self.refresh()

    def _take(self) -> None:
        if self._last is not None:
            self.edited.emit(partial(with_doses, additions=self._last.additions), "doses of an earlier batch", "")

    def _blend(self) -> None:
        earlier, outcome = self.earlier, self.outcome
        if earlier is None or earlier.mead is None or outcome is None or outcome.mead is None:
            return
        made = other_mead(earlier.batch.name, earlier.mead.mixed.member(0))
        mass = FIRST_BLEND * float(outcome.mead.base.member(0).mass)
        addition = Addition(key="another-mead", mass=round(mass, 2), blend=made)
        self.edited.emit(partial(_blended, addition=addition), "blend with another batch", "")


def _blended(batch: Batch, addition: Addition) -> Batch:
    """The batch blended with it: a line that still waits for its mead takes it, else there is a new line."""
    for index, line in enumerate(batch.adjustment.additions):
        if line.key == addition.key and line.blend is None:
            return edits.change_addition(batch, index, blend=addition.blend)
    return edits.add_addition(batch, addition)
