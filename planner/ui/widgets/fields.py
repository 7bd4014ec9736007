"""Fields in which entering is typing: a text counts once it is accepted, and what is refused says why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QHideEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget

from planner.ui import theme
from planner.ui.display import Display
from planner.ui.entry import EntryError, read
from planner.ui.widgets.edge import paint_edge
from planner.ui.widgets.label import as_it_is
from planner.ui.widgets.note import Note
from planner.ui.widgets.steps import stepped
from planner.units import Kind, System

_KEPT_FOCUS = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)
_NEVER_NEGATIVE = (Kind.MASS, Kind.VOLUME, Kind.CONCENTRATION, Kind.TIME, Kind.FRACTION, Kind.STRENGTH)
_WIDE: Mapping[Kind, tuple[float, ...]] = MappingProxyType(
    {
        Kind.MASS: (40.3695, 0.88888),
        Kind.VOLUME: (0.088888, 8.8888e-4),
        Kind.TEMPERATURE: (361.95,),
        Kind.CONCENTRATION: (88.888,),
        Kind.TIME: (88.8 * 86400.0,),
        Kind.GRAVITY: (1.0888,),
        Kind.FRACTION: (0.8888,),
        Kind.STRENGTH: (0.1888,),
        Kind.NUMBER: (8.888,),
    }
)
"""Numbers for which a field of their kind always keeps room: "88 lb 15.9 oz", "88.888 L". [SI unit of the kind]"""
_LETTERS_IN_HINT = 17
"""Letters "x" for which a line of text keeps room by itself, by the source of Qt."""
_LEAST_NAME = 8
"""Letters of a name that are in sight in the narrowest choice."""
_NEARLY = 1e-9
"""A typed bound may differ from the bound by rounding. [relative]"""


class CommitLine(QLineEdit):
    """A line of text that counts once it is accepted: Enter accepts and moves on, leaving accepts, Esc restores.

    While something else is being typed, the old value stays in sight on the left. Subclasses say how a text is read
    and how a value is written.

    Signals: `committed` with a new value; `problem` with the reason of a refusal, and with "" when it is gone.
    """

    committed = Signal(object)
    problem = Signal(str)

    also_holds: tuple[str, ...] = ()
    """Texts for which it keeps room besides, so that fields below one another are of one width."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._value: object = None
        self._shown = ""
        self._problem = ""
        self._hint = ""
        self._note: Note | None = None
        self.setAcceptDrops(False)  # the window takes what is dropped: a table is no value of a field
        self.textEdited.connect(self._withdraw_problem)

    def holds(self) -> tuple[str, ...]:
        """Texts that are never cut, in whatever letters: the field is as wide as they are. None where it holds words."""
        return self.also_holds

    def sizeHint(self) -> QSize:
        return self._wide_enough(super().sizeHint())

    def minimumSizeHint(self) -> QSize:
        return self._wide_enough(super().minimumSizeHint())

    def _wide_enough(self, hint: QSize) -> QSize:
        texts = self.holds()
        if texts:
            wide = self.fontMetrics().horizontalAdvance
            around = super().sizeHint().width() - _LETTERS_IN_HINT * wide("x")
            hint.setWidth(around + 2 + max(map(wide, texts)))  # the cursor, and what is lost in rounding
        return hint

    @property
    def problem_text(self) -> str:
        """Why the text in the field was refused; empty if it was not."""
        return self._problem

    @property
    def refusal(self) -> str:
        """The same beginning with the name of the field, for where it is told apart from it; empty if there is none."""
        name = self.accessibleName()
        return f"{name}: {self._problem}" if name and self._problem else self._problem

    @property
    def is_pending(self) -> bool:
        """Whether the field holds a text that was neither accepted nor given up."""
        return self.text() != self._shown

    def set_hint(self, hint: str) -> None:
        """What the tool tip says while there is no problem."""
        self._hint = hint
        self.setToolTip(as_it_is(self.refusal) or hint)

    def show_value(self, value: object) -> None:
        """Show a value without announcing it, and without disturbing what is being typed."""
        keeps_text = self.is_pending and (self.hasFocus() or value == self._value)
        self._value = value
        if keeps_text:
            self._shown = self._written(value)
            self.update()
        else:
            self.restore()

    def restore(self) -> None:
        """Give up what was typed and show the value."""
        before, self._shown = self._shown, self._written(self._value)
        self.setText(self._shown)
        if self._shown != before:
            self.updateGeometry()
        self._withdraw_problem()

    def accept(self) -> bool:
        """Take the text as the value; False if it was refused, and then the field says why."""
        if self.is_pending:
            try:
                value = self._read(self.text())
            except EntryError as refusal:
                self._set_problem(str(refusal))
                return False
            self._take(value)
        return True

    def _read(self, text: str) -> object:
        raise NotImplementedError

    def _written(self, value: object) -> str:
        raise NotImplementedError

    def _take(self, value: object) -> None:
        is_new = value != self._value
        self._value = value
        self.restore()
        if is_new:
            self.committed.emit(value)

    def _withdraw_problem(self, _text: str = "") -> None:
        self._set_problem("")

    def _set_problem(self, problem: str) -> None:
        changed = problem != self._problem
        self._problem = problem
        self._show_note(bool(problem) and self.hasFocus())
        if changed:
            self.setToolTip(as_it_is(self.refusal) or self._hint)
            self.setAccessibleDescription(problem)
            self.update()
            self.problem.emit(problem)

    def _show_note(self, shown: bool) -> None:
        if shown:
            self._note = self._note or Note(self)
            self._note.say(self.refusal)
        elif self._note is not None:
            self._note.hide()

    def event(self, event: QEvent) -> bool:
        # A line edit claims undo and redo even with nothing of its own to undo; the batch's undo shall work here too.
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and not self.is_pending:
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if event.matches(undo) or event.matches(redo):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.accept():
                self.focusNextChild()
            event.accept()
        elif event.key() == Qt.Key.Key_Escape and (self.is_pending or self._problem):
            self.restore()
            self.selectAll()
            event.accept()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._show_note(bool(self._problem))

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() not in _KEPT_FOCUS:
            self.accept()
            self._show_note(False)

    def hideEvent(self, event: QHideEvent) -> None:
        self._show_note(False)
        super().hideEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        tones = theme.colours_on(self.palette())
        painter = QPainter(self)
        if self.is_pending:
            self._paint_old_value(painter, tones)
        if self.hasFrame() and self.isEnabled():
            paint_edge(painter, self, bool(self._problem))
        painter.end()

    def _paint_old_value(self, painter: QPainter, tones: theme.Colours) -> None:
        """The old value where the typed text leaves room for it."""
        old = f"{self._shown} →"
        metrics = self.fontMetrics()
        room = self.width() - metrics.horizontalAdvance(self.text()) - 20
        if self._shown and self.alignment() & Qt.AlignmentFlag.AlignRight and metrics.horizontalAdvance(old) < room:
            painter.setPen(QColor(tones.dim))
            painter.drawText(self.rect().adjusted(7, 0, -7, 0), Qt.AlignmentFlag.AlignVCenter, old)


class TextField(CommitLine):
    """A name or a remark. Space at its ends does not count."""

    def show_text(self, text: str) -> None:
        """Show a text without announcing it."""
        self.show_value(text)

    def _read(self, text: str) -> str:
        return text.strip()

    def _written(self, value: object) -> str:
        return "" if value is None else str(value)


_ROOMY: dict[tuple[object, ...], tuple[str, ...]] = {}
"""How the numbers of `_WIDE` are written, by kind of field and habits; writing them anew for each field would cost a start."""


class QuantityField(CommitLine):
    """A number with its unit, in the reader's own habits; speaks SI.

    Up and Down step by a sensible amount, ten times as much with Shift. `low`, `high` and `step` are in SI; `units`
    fixes the unit of a system, which otherwise follows the size of the number. An empty text means "unknown" where
    that is `optional`. `words` tells what a word such as "dry" stands for, in SI. What is out of range is refused with the range, never altered.
    """

    def __init__(
        self,
        kind: Kind,
        *,
        low: float | None = None,
        high: float | None = None,
        units: Mapping[System, str] | None = None,
        step: float | None = None,
        optional: bool = False,
        placeholder: str = "",
        words: Callable[[str], float | None] = lambda _text: None,
        display: Display | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._words = words
        self._kind = kind
        self._low = 0.0 if low is None and kind in _NEVER_NEGATIVE else low
        self._high = high
        self._units = dict(units or {})
        self._step = step
        self._optional = optional
        self._display = display or Display()
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFont(theme.tabular(self.font()))
        self.setPlaceholderText(placeholder)

    def holds(self) -> tuple[str, ...]:
        display = self._display
        unit = self._units.get(display.system, "")
        habits = (type(self), self._kind, unit, display.system, display.gravity_scale, display.locale.name())
        if habits not in _ROOMY:
            _ROOMY[habits] = tuple(self._written(value) for value in _WIDE.get(self._kind, ()))
        return (*self.also_holds, *_ROOMY[habits], self._shown, self.placeholderText())

    def setPlaceholderText(self, text: str) -> None:
        if text != self.placeholderText():
            super().setPlaceholderText(text)
            self.updateGeometry()

    @property
    def si(self) -> float | None:
        """The value that was last shown or accepted. [SI unit of the kind]"""
        return self._value if isinstance(self._value, float) else None

    def show_si(self, value: float | None) -> None:
        """Show a value without announcing it; None shows the placeholder."""
        self.show_value(None if value is None else float(value))

    def set_display(self, display: Display) -> None:
        """Show the same value in other units."""
        self._display = display
        self.restore()

    def set_range(self, low: float | None, high: float | None) -> None:
        """What is accepted from now on; the value shown stays."""
        self._low, self._high = low, high

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not self.isReadOnly():
            times = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            self.step_by(times if event.key() == Qt.Key.Key_Up else -times)
            event.accept()
        else:
            super().keyPressEvent(event)

    def step_by(self, steps: int) -> None:
        """Accept what was typed and go some steps up or down, as far as the range reaches."""
        if not self.accept():
            return
        value = stepped(self.si, steps, self._kind, self._display, self._unit_key(), self._step)
        bound = self._low if steps < 0 else self._high
        if bound is not None and (value - bound) * steps > 0:
            value = bound
        if value == self._value:
            self._set_problem(self._range_text())
        else:
            self._take(value)

    def _unit_key(self) -> str | None:
        """The unit of a bare number: the one that the field shows now."""
        if self._display.system in self._units:
            return self._units[self._display.system]
        unit = self._display.unit_for(self.si, self._kind)
        return unit.key if unit else None

    def _read(self, text: str) -> float | None:
        if self._optional and not text.strip():
            return None
        display = self._display
        named = self._words(text)
        if named is not None:
            return self._in_range(named, text)
        return self._in_range(
            read(text, self._kind, display.locale, self._unit_key() or "", display.gravity_scale), text
        )

    def _in_range(self, value: float, text: str) -> float:
        """The value, unless it is out of range."""
        for bound, side in ((self._low, -1.0), (self._high, 1.0)):
            if bound is None:
                continue
            if abs(value - bound) <= _NEARLY * abs(bound):
                return bound
            if (value - bound) * side > 0.0:
                raise EntryError(f"“{text.strip()}” is out of range. {self._range_text()}")
        return value

    def _written(self, value: object) -> str:
        if not isinstance(value, float):
            return ""
        return self._display.text_for_editing(value, self._kind, self._units.get(self._display.system))

    def _range_text(self) -> str:
        low, high = (None if bound is None else self._written(bound) for bound in (self._low, self._high))
        if low and high:
            return f"From {low} to {high} is accepted."
        return f"The least accepted is {low}." if low else f"The most accepted is {high}."


class ChoiceField(QComboBox):
    """A choice among a few; speaks keys. The wheel scrolls the pane unless the field has the focus.

    Signal: `chosen` with the key of another choice made by the person.
    """

    chosen = Signal(object)

    also_holds: tuple[str, ...] = ()
    """Texts for which it keeps room besides, so that fields below one another are of one width."""

    def __init__(self, choices: Iterable[tuple[object, str]] = (), parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._key: object = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMaxVisibleItems(20)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(_LEAST_NAME)
        self.activated.connect(self._announce)
        self.set_choices(choices)

    def sizeHint(self) -> QSize:
        return self._wide_enough(super().sizeHint())

    def minimumSizeHint(self) -> QSize:
        return self._wide_enough(super().minimumSizeHint())

    def _wide_enough(self, hint: QSize) -> QSize:
        """Names may be cut, amounts may not."""
        amounts = [text for n in range(self.count()) if (text := self.itemText(n))[:1].isdecimal()]
        texts = (*self.also_holds, *amounts)
        if texts:
            wide = self.fontMetrics().horizontalAdvance
            around = hint.width() - self.minimumContentsLength() * wide("X")
            hint.setWidth(max(hint.width(), around + 4 + max(map(wide, texts))))
        return hint

    @property
    def key(self) -> object:
        """The key of the choice that is shown."""
        return self._key

    def set_choices(self, choices: Iterable[tuple[object, str]]) -> None:
        """Offer these keys, under these names; the choice shown stays, if it is among them."""
        with QSignalBlocker(self):
            self.clear()
            for key, name in choices:
                self.addItem(name, key)
        self.show_key(self._key)

    def show_key(self, key: object) -> None:
        """Show a choice without announcing it; a key that is not offered shows none."""
        self._key = key
        with QSignalBlocker(self):
            self.setCurrentIndex(next((i for i in range(self.count()) if self.itemData(i) == key), -1))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.isEnabled():
            painter = QPainter(self)
            paint_edge(painter, self, self.has_problem)
            painter.end()

    @property
    def has_problem(self) -> bool:
        """Whether what was typed in it was refused."""
        return False

    def showPopup(self) -> None:
        theme.select_quietly(self.view())
        super().showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def choose(self, key: object) -> None:
        """Choose by its key, as the person does."""
        index = next((i for i in range(self.count()) if self.itemData(i) == key), -1)
        if index >= 0:
            self.setCurrentIndex(index)
            self._announce(index)

    def _announce(self, index: int) -> None:
        key = self.itemData(index)
        if key != self._key:
            self._key = key
            self.chosen.emit(key)


def accept_pending() -> bool:
    """Accept what is being typed in the field that has the focus, before a save or a close; False if it was refused."""
    focused = QApplication.focusWidget()
    return focused.accept() if isinstance(focused, CommitLine) else True
