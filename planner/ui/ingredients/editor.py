"""My ingredients: copies of rows of the shelf with values of one's own, and yeast or additives from a datasheet."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.reference.own import KINDS, Own, OwnValueError
from planner.reference.own_rows import new_key, row_of
from planner.ui.asking import Answer, Ask, AskWithDialogs
from planner.ui.display import Display
from planner.ui.files import FileError
from planner.ui.ingredients.form import IngredientForm
from planner.ui.ingredients.own_shelf import OwnShelf
from planner.ui.theme import set_tone
from planner.ui.widgets.button import Button
from planner.ui.widgets.fitting import fit
from planner.ui.widgets.label import Label
from planner.ui.widgets.remarks import Remark, small
from planner.ui.widgets.search_field import SearchField
from planner.wording.finding import Level

_WORDS = {"fruits": "fruit", "honeys": "honey", "yeasts": "yeast", "nutrients": "nutrient", "additives": "additive"}
_ROLE = Qt.ItemDataRole.UserRole
_INTRO = "Copy an ingredient of the shelf, and enter what you measured or what its datasheet says. What you leave empty keeps the value of the shelf, shown dim. Each batch keeps a copy of those it uses."
_HOW = "Type in the units you like, such as 9.5 %, 250 mg/L or 64 °F."


class IngredientEditor(QDialog):
    """Lists the person's own ingredients, and changes, adds and removes them. Blocks nothing.

    Signal: `kept` with a row that was saved.
    """

    kept = Signal(object)

    def __init__(
        self, shelf: OwnShelf, display: Display, parent: QWidget | None = None, ask: Ask | None = None
    ) -> None:
        super().__init__(parent)
        self._shelf, self._display = shelf, display
        self._ask: Ask = AskWithDialogs(self) if ask is None else ask
        self._own: Own | None = None
        self.form: IngredientForm | None = None
        """The values of the ingredient that is chosen; None while none is."""
        self.setWindowTitle("My ingredients")
        self.list = QListWidget()
        self.list.setAccessibleName("My ingredients")
        self.nothing = Label("None yet: copy one above.")
        self.copy = SearchField(self._offered(), prompt="Copy an ingredient: type its name")
        self.copy.setAccessibleName("Copy an ingredient of the shelf")
        self.save, self.remove = Button("&Save"), Button("&Remove")
        self.close_button = Button("&Close")
        for button in (self.save, self.remove, self.close_button):
            button.setAutoDefault(False)  # Enter accepts a field
        self.problem = Remark()
        self.title, self._hint = Label(), Label(_HOW)
        self._arrange()
        self.copy.chosen.connect(self._begin)
        self.list.currentItemChanged.connect(self._choose)
        self.save.clicked.connect(self._save_clicked)
        self.remove.clicked.connect(self._remove)
        self.close_button.clicked.connect(self.close)
        shelf.changed.connect(self._fill)
        self._fill()
        self._show(None)
        fit(self, figures=123, lines=40)

    def _arrange(self) -> None:
        intro = Label(_INTRO)
        intro.setWordWrap(True)
        for label in (intro, self._hint, self.nothing):
            label.setFont(small(label.font()))
            set_tone(label, "dim")
        left = QVBoxLayout()
        left.addWidget(self.copy)
        left.addWidget(self.nothing)
        left.addWidget(self.list, 1)
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QScrollArea.Shape.NoFrame)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        right = QVBoxLayout()
        right.addWidget(self.title)
        right.addWidget(self._area, 1)
        right.addWidget(self._hint)
        right.addWidget(self.problem)
        halves = QHBoxLayout()
        halves.setSpacing(14)
        halves.addLayout(left, 2)
        halves.addLayout(right, 3)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        for button in (self.remove, self.save, self.close_button):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setSpacing(8)
        column.addWidget(intro)
        column.addLayout(halves, 1)
        column.addLayout(buttons)

    def _offered(self) -> list[tuple[object, str]]:
        """Every row of the shelf, named with its kind, since a honey may be both in the must and an addition."""
        rows: list[tuple[object, str]] = [
            (f"{kind.KIND}/{key}", f"{row.name} ({_WORDS[kind.KIND]})")
            for kind in KINDS
            for key, row in getattr(self._shelf.base, kind.KIND).items()
        ]
        return sorted(rows, key=_name_of_choice)

    # --- showing

    def _fill(self) -> None:
        """List what there is, keeping what is chosen."""
        self.list.blockSignals(True)
        self.list.clear()
        for row in sorted(self._shelf.rows(), key=_name_of):
            kept = self._shelf.mine.find(row.KIND, row.key) is not None
            item = QListWidgetItem(f"{row.name} ({_WORDS[row.KIND]}{'' if kept else ', from this batch'})")
            item.setData(_ROLE, f"{row.KIND}/{row.key}")
            self.list.addItem(item)
            if self._own is not None and (row.KIND, row.key) == (self._own.KIND, self._own.key):
                self.list.setCurrentItem(item)
        self.list.blockSignals(False)
        self.nothing.setVisible(self.list.count() == 0)

    def _choose(self, item: QListWidgetItem | None, _before: object = None) -> None:
        if item is None:
            return
        if not self._may_leave():
            self._fill()  # what is chosen stays so
        else:
            self._show(next(row for row in self._shelf.rows() if f"{row.KIND}/{row.key}" == item.data(_ROLE)))

    def _begin(self, choice: Any) -> None:
        """Begin a copy of a row of the shelf."""
        if not self._may_leave():
            self.copy.show_key(None)
            return
        kind, _, based_on = str(choice).partition("/")
        base = getattr(self._shelf.base, kind)[based_on]
        name = f"My {base.name[0].lower()}{base.name[1:]}"
        every = self._shelf.mine
        for row in self._shelf.brought.rows():
            every = every.having(row)
        made = next(known for known in KINDS if kind == known.KIND)
        self.copy.show_key(None)
        self.list.clearSelection()
        self.list.setCurrentRow(-1)
        self._show(made(key=new_key(name, kind, self._shelf.base, every), name=name, based_on=based_on))
        if self.form is not None:
            self.form.name.setFocus()
            self.form.name.selectAll()

    def _show(self, own: Own | None) -> None:
        self._own = own
        base = None if own is None else getattr(self._shelf.base, own.KIND).get(own.based_on)
        self.problem.hide()
        self.form = None if own is None or base is None else IngredientForm(own, base, self._display)
        self._area.setWidget(self.form or QWidget())
        self.title.setText("" if base is None or own is None else f"A copy of “{base.name}” ({_WORDS[own.KIND]})")
        self._hint.setVisible(self.form is not None)
        self.save.setEnabled(self.form is not None)
        self.remove.setEnabled(own is not None and self._shelf.mine.find(own.KIND, own.key) is not None)
        if own is not None and base is None:
            self._tell(f"{own.name} is a copy of {own.based_on!r}, which is not on this program's shelf.")

    # --- doing

    def reject(self) -> None:
        """Close, unless something typed would be lost that the person wants to keep."""
        if self._may_leave():
            super().reject()

    def _may_leave(self) -> bool:
        """Whether what was typed is kept, or given up by the person."""
        if self.form is None or not self.form.is_changed:
            return True
        answer = self._ask.save_changes(self.form.name.text().strip() or "My ingredients")
        return self._save() if answer is Answer.SAVE else answer is Answer.DISCARD

    def _save_clicked(self) -> None:
        self._save()

    def _save(self) -> bool:
        """Keep the row, unless a value in it is impossible; whether it was kept."""
        if self.form is None:
            return False
        if not self.form.accept():
            self._tell(" ".join(self.form.refusals()))
            return False
        try:
            row = self.form.make()
            row_of(row, self._shelf.base)
            self._own = row
            row = self._shelf.keep(row)
        except (OwnValueError, FileError) as problem:
            self._tell(str(problem))
            return False
        self._show(row)
        self._fill()
        self.kept.emit(row)
        return True

    def _remove(self) -> None:
        """Take the row out of the file; a batch that uses it keeps it."""
        if self._own is None:
            return
        own, self._own = self._own, None
        try:
            self._shelf.remove(own)
        except FileError as problem:
            self._own = own
            self._tell(str(problem))
            return
        self._show(None)

    def _tell(self, problem: str) -> None:
        self.problem.show_finding(Level.ERROR, problem)
        self.problem.show()


def _name_of(row: Own) -> str:
    return row.name.casefold()


def _name_of_choice(choice: tuple[object, str]) -> str:
    return choice[1].casefold()
