"""The part of the window that explains: what is pointed at, where figures come from, and what the program is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialogButtonBox, QMainWindow

from planner.ui.shell import help as helping
from planner.ui.widgets.button import Button

if TYPE_CHECKING:
    from planner.evaluation.outcome import Outcome
    from planner.reference.catalogue import Catalogue
    from planner.ui.settings import Settings
    from planner.ui.shell.actions import Menus
    from planner.ui.shell.explaining import Explaining


class SelfExplaining(QMainWindow):
    """What the menu of help does; the window itself says of what."""

    catalogue: Catalogue
    menus: Menus
    outcome: Outcome | None
    settings: Settings

    @property
    def explaining(self) -> Explaining:
        """Where the results come from."""
        raise NotImplementedError

    def explain(self) -> None:
        """Explain what has the focus, else what is under the pointer."""
        self.explaining.tell()
        helping.explain(self)

    def show_keys(self) -> None:
        """Every key, by where it works."""
        self._read("Keyboard shortcuts", helping.keys_page(self.menus.by_menu))

    def show_sources(self) -> None:
        """Every source of tables and formulas."""
        self._read("Sources", helping.sources_page(self.catalogue))

    def show_provenance(self) -> None:
        """Every result with its method, sources and assumptions."""
        from planner.ui.shell.explaining import page

        self._read("Where the figures come from", page(self.outcome, self.catalogue, self.settings.display))

    def about(self) -> None:
        """What this program is."""
        reader = self._read("About", helping.about_page())
        copy = Button("&Copy details")
        reader.buttons.addButton(copy, QDialogButtonBox.ButtonRole.ActionRole)
        copy.setToolTip("Versions of the program, its parts and this system; nothing of you or the batch")
        copy.clicked.connect(_copy_details)

    def _read(self, title: str, html: str) -> helping.Reader:
        reader = helping.Reader(title, html, self)
        reader.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        reader.show()
        return reader


def _copy_details() -> None:
    from planner.ui.shell.parts import details

    QGuiApplication.clipboard().setText(details())
