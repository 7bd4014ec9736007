"""The head of the window: what batch this is, how far it has come, what is next, and how many doubts there are."""

from __future__ import annotations

from datetime import datetime, timedelta

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from planner.document.batch import Batch
from planner.evaluation.outcome import Outcome
from planner.planning.task import Task
from planner.reference.catalogue import Catalogue
from planner.ui import theme
from planner.ui.display import SPACE, Display
from planner.ui.log.when import date_text, now
from planner.ui.shell.stage_scale import Stem
from planner.ui.widgets.elided import Elided
from planner.ui.widgets.label import Label
from planner.ui.widgets.picture import Picture
from planner.ui.widgets.remarks import counted, icon, in_words
from planner.wording.finding import Finding, Level

_NARROW = 136
"""Width below which what is next stands under the name, and the badge tells counts alone. [figures]"""
_MOST_NAME, _MOST_NEXT = 34, 36
"""Width of the name and of what is next, at most. [figures]"""
_PICTURES = {
    "thaw": "fruit", "press": "fruit", "enzyme": "fruit", "feed": "feed", "pitch": "yeast", "rest": "reading",
    "restart": "temperature", "sugar": "sugar-test", "dose": "adjust", "bottle": "bottle", "taste": "taste",
    "open": "taste",
}  # fmt: skip
"""What is drawn beside a task, by the first word of its key."""


class Badge(QAbstractButton):
    """How many doubts there are, with the sign of the gravest; pressed, it opens their list."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._findings: tuple[Finding, ...] | None = None
        self._is_short = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.tell_findings(None)

    @property
    def gravest(self) -> Level | None:
        """The gravest level; None where there is no doubt, or none is known yet. Cautions are none."""
        levels = (finding.level for finding in self._findings or () if finding.level != Level.CAUTION)
        return max(levels, default=None)

    def tell_findings(self, findings: tuple[Finding, ...] | None) -> None:
        """Tell of these doubts; None while they are not known yet."""
        self._findings = findings
        told = "…" if findings is None else counted(findings)
        self.setAccessibleName(f"Doubts about this batch: {told}")
        self.setToolTip(f"{told}. Opens the list of doubts (F4)")
        short = " · ".join(part.split()[0] for part in told.split(", "))
        self.setText(short if self._is_short and self.gravest is not None else told.replace(", ", " · "))
        self.updateGeometry()
        self.update()

    def set_short(self, is_short: bool) -> None:
        """Tell counts alone, or counts in words."""
        if is_short != self._is_short:
            self._is_short = is_short
            self.tell_findings(self._findings)

    def sizeHint(self) -> QSize:
        metrics, step = self.fontMetrics(), theme.unit(self.fontMetrics())
        sign = metrics.ascent() + 1 + step if self.gravest is not None else 0
        return QSize(metrics.horizontalAdvance(self.text()) + sign + 6 * step, metrics.height() + 3 * step)

    def paintEvent(self, _event: QPaintEvent) -> None:
        tones, step = theme.colours_on(self.palette()), theme.unit(self.fontMetrics())
        painter, gravest = QPainter(self), self.gravest
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = tones.problem if gravest == Level.ERROR else tones.text
        frame = tones.accent if self.hasFocus() else tones.problem if gravest == Level.ERROR else tones.edge
        painter.setPen(QPen(QColor(frame), 2.0 if self.hasFocus() else 1.0))
        painter.setBrush(QColor(tones.line if self.underMouse() else tones.raised))
        room = QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0)
        painter.drawRoundedRect(room, room.height() / 2.0, room.height() / 2.0)
        left = 3 * step
        if gravest is not None:
            side = self.fontMetrics().ascent() + 1
            icon(gravest, self).paint(painter, left, (self.height() - side) // 2, side, side)
            left += side + step
        painter.setPen(QColor(ink))
        painter.drawText(self.rect().adjusted(left, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, self.text())
        painter.end()


class Head(QWidget):
    """Name, stem, what is next, badge; in a narrow window what is next stands under the name."""

    def __init__(self, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._catalogue = catalogue
        figure = self.fontMetrics().horizontalAdvance("0")
        self.name, self.beneath = Elided(), Elided()
        self.name.setFont(theme.sized(self.font(), theme.STATE, bold=True))
        self.name.setMaximumWidth(_MOST_NAME * figure)
        self.beneath.setMaximumWidth(_MOST_NAME * figure)
        self.stem, self.badge = Stem(), Badge()
        self.picture = Picture("reading")
        caption, self.next = Label("Next"), Elided()
        self.next.setMaximumWidth(_MOST_NEXT * figure)
        self.next.setFont(theme.sized(self.font(), 1.0, bold=True))
        for part in (self.beneath, caption):
            part.setFont(theme.sized(self.font(), theme.NOTE))
            theme.set_tone(part, "dim")
        self._size, self._task = "", ""
        self._coming = QWidget()
        coming, words, names = QHBoxLayout(self._coming), QVBoxLayout(), QVBoxLayout()
        step = theme.unit(self.fontMetrics())
        coming.setContentsMargins(0, 0, 0, 0)
        coming.addWidget(self.picture)
        coming.addLayout(words)
        for column, parts in ((names, (self.name, self.beneath)), (words, (caption, self.next))):
            column.setSpacing(0)
            for part in parts:
                column.addWidget(part)
        row = QHBoxLayout(self)
        row.setContentsMargins(3 * step, step, 3 * step, step)
        row.setSpacing(4 * step)
        row.addLayout(names)
        row.addWidget(self.stem, 1)
        row.addWidget(self._coming)
        row.addWidget(self.badge)

    def show_batch(self, batch: Batch) -> None:
        """Show what batch this is."""
        self.name.show_text(batch.name)

    def forget(self) -> None:
        """Another batch comes: nothing of this one is said of it."""
        self._size = self._task = ""
        self.badge.tell_findings(None)
        self._show()

    def show_outcome(self, outcome: Outcome, display: Display) -> None:
        """Show how much there is, what is next, and how many doubts there are."""
        from planner.planning.due import still_due  # what is next is told when all else is
        from planner.planning.schedule import schedule

        size = None if outcome.must is None else f"{display.volume(outcome.must.volume)} of must"
        if outcome.mead is not None and outcome.headline.stage not in ("plan", "ferment"):
            size = f"{display.volume(outcome.mead.after.volume)} of mead"
        self._size = size or ""
        plan = schedule(outcome, self._catalogue, now())
        due = next(iter(still_due(plan)), None)
        self._task = "" if due is None else _told(due, plan.pitched, display)
        if due is not None:
            self.picture.show_drawing(_PICTURES.get(due.key.partition("-")[0], "schedule"))
        self.picture.draw()
        self.badge.tell_findings(outcome.findings)
        self._show()

    def _show(self) -> None:
        is_narrow = self.width() < _NARROW * self.fontMetrics().horizontalAdvance("0")
        self.badge.set_short(is_narrow)
        self.next.show_text(self._task)
        self._coming.setVisible(bool(self._task) and not is_narrow)
        self.beneath.show_text(f"Next: {self._task}" if is_narrow and self._task else self._size)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show()


def _told(task: Task, pitched: datetime | None, display: Display) -> str:
    """What is next, with its day."""
    title = in_words(task.title, display)
    if pitched is None:
        return title if task.day <= 0.0 else f"{title}, day{SPACE}{display.number(task.day, 0)}"
    when = pitched + timedelta(days=task.day)
    today = now().astimezone(when.tzinfo)  # a day ends where the batch is
    if when.date() <= today.date():
        return f"{title}, now"
    return f"{title}, {date_text(when, display.locale, today.year)}"
