"""A choice among many, found by typing a part of its name."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QHideEvent,
    QKeyEvent,
    QKeySequence,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QComboBox, QCompleter, QLineEdit, QWidget

from planner.ui.widgets.fields import ChoiceField
from planner.ui.widgets.label import as_it_is
from planner.ui.widgets.note import Note

_KEPT_FOCUS = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)
_TELLING = 3
"""Letters from which the beginning of a name tells it from others that hold them further on. [-]"""

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_ARROWS = (Qt.Key.Key_Up, Qt.Key.Key_Down)
_LIST_KEYS = (*_ENTER, *_ARROWS)


class SearchField(ChoiceField):
    """A choice that is typed: any part of a name, or its words in any order, narrows the list; Enter takes what is left.

    What fits nothing, or more than one thing, is refused with a note, which for words of `elsewhere` says where they belong;
    Esc restores. Speaks keys like `ChoiceField`.
    A key that is not offered is shown as it is, so that the person sees what is missing.
    """

    def __init__(
        self,
        choices: Iterable[tuple[object, str]] = (),
        prompt: str = "",
        parent: QWidget | None = None,
        elsewhere: Iterable[tuple[str, str]] = (),
    ) -> None:
        self._problem = ""
        self._elsewhere = tuple(elsewhere)
        self._note: Note | None = None
        super().__init__((), parent)
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self._edit.setPlaceholderText(prompt)
        self._edit.setAcceptDrops(False)
        self._edit.textEdited.connect(self._withdraw_problem)
        completer = QCompleter(self.model(), self)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        self.setCompleter(completer)
        self.set_choices(choices)

    @property
    def problem_text(self) -> str:
        """Why the text in the field was refused; empty if it was not."""
        return self._problem

    @property
    def is_pending(self) -> bool:
        """Whether the field holds a text that was neither taken nor given up."""
        return self._edit.text().strip() != self._name_of(self._key)

    def setAccessibleName(self, name: str) -> None:
        super().setAccessibleName(name)
        self._edit.setAccessibleName(name)  # it is the line in it that is read out

    def show_key(self, key: object) -> None:
        super().show_key(key)
        if self.isEditable():
            self.restore()

    def restore(self) -> None:
        """Give up what was typed and show the choice."""
        self._edit.setText(self._name_of(self._key))
        self._edit.setCursorPosition(0)
        self._withdraw_problem()

    def accept(self) -> bool:
        """Take the typed name as the choice; False if it was refused, and then the field says why."""
        typed = self._edit.text().strip()
        if not typed or not self.is_pending:
            self.restore()
            return True
        fitting = self._fitting(typed)
        if len(fitting) == 1:
            self._withdraw_problem()
            self.setCurrentIndex(fitting[0])
            self._announce(fitting[0])
            return True
        self._refuse(typed, [self.itemText(index) for index in fitting])
        return False

    @property
    def _list(self) -> QAbstractItemView:
        """Asked for anew each time: a reference that is kept does not live as long as the list does."""
        completer = self.completer()
        assert completer is not None, "it was given one when it was made"
        found = completer.popup()
        assert found is not None, "the completer shows its matches in a list"
        return found

    @property
    def _edit(self) -> QLineEdit:
        edit = self.lineEdit()
        assert edit is not None, "the field is editable"
        return edit

    def _name_of(self, key: object) -> str:
        if key is None:
            return ""
        return next((self.itemText(i) for i in range(self.count()) if self.itemData(i) == key), str(key))

    def _fitting(self, typed: str) -> list[int]:
        """The choices a text can mean: the one so called, else the only one that begins so, else those that hold it, else those
        that hold its words."""
        names = [_plain(self.itemText(index)) for index in range(self.count())]
        wanted = _plain(typed)
        if wanted in names:
            return [names.index(wanted)]
        words = [_plain(word) for word in typed.replace(",", " ").split()]
        beginning = [index for index, name in enumerate(names) if name.startswith(wanted)]
        if len(beginning) == 1 and len(wanted) >= _TELLING:
            return beginning
        holding = [index for index, name in enumerate(names) if wanted in name]
        return holding or [index for index, name in enumerate(names) if all(word in name for word in words)]

    def _refuse(self, typed: str, fitting: list[str]) -> None:
        if fitting:
            text = f"“{typed}” fits {' and '.join((', '.join(fitting[:-1]), fitting[-1]))}. Choose one of them."
        else:
            every = [self.itemText(index) for index in range(self.count())]
            plain = {name.casefold(): name for name in every}
            close = [plain[name] for name in get_close_matches(typed.casefold(), plain, n=3, cutoff=0.5)]
            advice = f"Did you mean {' or '.join(close)}?" if close else "Type a part of a name, or open the list."
            text = f"“{typed}” is not on the shelf. {advice}"
            for word, where in self._elsewhere:
                if word in typed.casefold():
                    text = where
        self._problem = text
        self.update()
        self.setToolTip(as_it_is(text))
        self.setAccessibleDescription(text)
        self._note = self._note or Note(self)
        self._note.say(text)

    def _withdraw_problem(self, _text: str = "") -> None:
        if self._problem:
            self._problem = ""
            self.update()
            self.setToolTip("")
            self.setAccessibleDescription("")
        if self._note is not None:
            self._note.hide()

    def event(self, event: QEvent) -> bool:
        # The batch's undo shall work here too, as long as nothing is half typed.
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and not self.is_pending:
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if event.matches(undo) or event.matches(redo):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        popup = self._list
        if (
            popup.isVisible()
            and event.key() in _LIST_KEYS
            and (event.key() in _ARROWS or popup.currentIndex().isValid())
        ):
            event.ignore()  # the list offers keys to the field first, and acts on those it leaves
            return
        if event.key() in _ENTER and popup.isVisible() and len(self._fitting(self._edit.text())) > 1:
            # The list is the question which of them: it stays, with the first marked for the next Enter.
            model = popup.model()
            popup.setCurrentIndex(model.index(0, 0))
        elif event.key() in _ENTER:
            popup.hide()
            if self.accept() and self.hasFocus():
                self.focusNextChild()
        elif event.key() == Qt.Key.Key_Escape and (self.is_pending or self._problem):
            self.restore()
            self._edit.selectAll()
        elif event.key() in _ARROWS:
            self.showPopup()  # stepping through dozens of ingredients would change the recipe at each press
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self._edit.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() not in _KEPT_FOCUS:
            self.accept()
            if self._note is not None:
                self._note.hide()
            if not self.is_pending:
                self._edit.setCursorPosition(0)

    def hideEvent(self, event: QHideEvent) -> None:
        if self._note is not None:
            self._note.hide()
        super().hideEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    @property
    def has_problem(self) -> bool:
        """In sight also after the field was left, as in `CommitLine`."""
        return bool(self._problem)


def _plain(name: str) -> str:
    """A name as it is compared: small letters and digits only."""
    return "".join(sign for sign in name.casefold() if sign.isalnum())
