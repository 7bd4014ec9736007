"""The questions the program asks a person, behind an interface, so that nothing else opens a dialog."""

from __future__ import annotations

import re
from enum import Enum, auto
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon, QPagedPaintDevice, QPageSize, QShowEvent
from PySide6.QtWidgets import QAbstractButton, QFileDialog, QMessageBox, QWidget

from planner.ui.files import is_there


class Answer(Enum):
    """What to do with changes that are not saved."""

    SAVE = auto()
    DISCARD = auto()
    CANCEL = auto()


class Clash(Enum):
    """What to do with a file that something else has changed since it was opened or saved here."""

    KEEP_BOTH = auto()
    REPLACE = auto()
    CANCEL = auto()


class NoPrinting(Exception):  # noqa: N818  the words say it
    """This machine cannot print; the text says why."""


class Ask(Protocol):
    """The questions. `AskWithDialogs` puts them to a person; tests answer them from a list."""

    def save_changes(self, name: str) -> Answer:
        """Whether the changes to a batch are to be saved before it is closed."""

    def add_typed(self, text: str) -> Answer:
        """Whether a reading that was typed and not added is to be added to the log before the batch is left."""

    def file_changed(self, name: str) -> Clash:
        """What to do before saving to a file that something else has changed meanwhile."""

    def open_path(self, title: str, folder: Path, kinds: str) -> Path | None:
        """Which file to open; None if none. `kinds` as in "Batches (*.batch)"."""

    def folder_path(self, title: str, folder: Path) -> Path | None:
        """Which folder to use; None if none."""

    def save_path(self, title: str, suggestion: Path, kinds: str) -> Path | None:
        """Where to save; None if nowhere. A name without a suffix of these kinds gets the suggestion's, or the chosen one's."""

    def paper(self, title: str, name: str, size: QPageSize, pages: int) -> QPagedPaintDevice | None:
        """What to print so many pages of that name and size on; None if nothing. Raises `NoPrinting` where this machine cannot print
        at all."""

    def confirm(self, question: str, details: str, act: str) -> bool:
        """Whether to do something that loses something; `act` is the verb on the button."""

    def tell(self, text: str, details: str = "") -> None:
        """Say something that the person must know before going on."""


class _Box(QMessageBox):
    """A question whose buttons are words, as everywhere in the program."""

    def showEvent(self, event: QShowEvent) -> None:
        for button in self.buttons():
            button.setIcon(QIcon())
        super().showEvent(event)


class AskWithDialogs:
    """Asks with the dialogs of the desktop, over a window."""

    def __init__(self, window: QWidget | None = None) -> None:
        self._window = window

    def speak_over(self, window: QWidget) -> None:
        """Put the questions over this window from now on."""
        self._window = window

    def save_changes(self, name: str) -> Answer:
        return self._kept(self.save_box(name))

    def add_typed(self, text: str) -> Answer:
        return self._kept(self.add_box(text))

    def _kept(self, box: QMessageBox) -> Answer:
        box.exec()
        button = box.standardButton(box.clickedButton())
        box.deleteLater()
        if button == QMessageBox.StandardButton.Save:
            return Answer.SAVE
        return Answer.DISCARD if button == QMessageBox.StandardButton.Discard else Answer.CANCEL

    def file_changed(self, name: str) -> Clash:
        box, answers = self.clash_box(name)
        box.exec()
        answer = next((answer for button, answer in answers.items() if button is box.clickedButton()), Clash.CANCEL)
        box.deleteLater()
        return answer

    def open_path(self, title: str, folder: Path, kinds: str) -> Path | None:
        path, _ = QFileDialog.getOpenFileName(self._window, title, str(folder), f"{kinds};;All files (*)")
        return Path(path) if path else None

    def folder_path(self, title: str, folder: Path) -> Path | None:
        path = QFileDialog.getExistingDirectory(self._window, title, str(folder))
        return Path(path) if path else None

    def save_path(self, title: str, suggestion: Path, kinds: str) -> Path | None:
        path, kind = QFileDialog.getSaveFileName(self._window, title, str(suggestion), kinds)
        if not path:
            return None
        chosen = as_kind(Path(path), suggestion.suffix, kind, kinds)
        # The dialog asked about the name as it was typed; with its suffix it may be another file.
        if chosen != Path(path) and is_there(chosen):
            question = f"“{chosen.name}” exists already. Replace it?"
            if not self.confirm(question, f"It is in {chosen.parent}.", "Replace"):
                return None
        return chosen

    def paper(self, title: str, name: str, size: QPageSize, pages: int) -> QPagedPaintDevice | None:
        try:
            from PySide6.QtPrintSupport import QPrintDialog, QPrinter
        except ImportError as failure:  # on some desktops it needs a library that is not there
            raise NoPrinting(str(failure)) from failure
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(name)
        printer.setPageSize(size)
        dialog = QPrintDialog(printer, self._window)
        dialog.setMinMax(1, pages)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
        dialog.setWindowTitle(title)
        agreed = dialog.exec() == QPrintDialog.DialogCode.Accepted
        dialog.deleteLater()
        return printer if agreed else None

    def confirm(self, question: str, details: str, act: str) -> bool:
        box = self.confirm_box(question, details, act)
        box.exec()
        role = box.buttonRole(box.clickedButton())
        box.deleteLater()
        return role == QMessageBox.ButtonRole.AcceptRole

    def tell(self, text: str, details: str = "") -> None:
        box = self.tell_box(text, details)
        box.exec()
        box.deleteLater()

    def save_box(self, name: str) -> QMessageBox:
        """The question before changes are lost."""
        text = f"Save the changes to “{name}”?"
        return self._keeping_box(text, "If you do not save, the changes are lost.")

    def add_box(self, typed: str) -> QMessageBox:
        """The question before a reading that was typed is lost."""
        text = "Add the reading that you typed to the log?"
        box = self._keeping_box(text, f"“{typed}” is not in the log yet. If you do not add it, it is lost.")
        box.button(QMessageBox.StandardButton.Save).setText("Add")
        return box

    def _keeping_box(self, text: str, details: str) -> QMessageBox:
        box = self._box(QMessageBox.Icon.Warning, text)
        box.setInformativeText(details)
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
        box.setDefaultButton(buttons.Save)
        box.setEscapeButton(buttons.Cancel)
        return box

    def clash_box(self, name: str) -> tuple[QMessageBox, dict[QAbstractButton, Clash]]:
        """The question before a file that something else has changed is replaced, and what its buttons answer."""
        box = self._box(QMessageBox.Icon.Warning, f"“{name}” was changed by something else.")
        box.setInformativeText(
            "Another window, another program or a synchronised folder wrote to it after it was opened here. “Keep both” "
            "saves your batch under another name. “Replace” loses the other changes."
        )
        keep = box.addButton("Keep both…", QMessageBox.ButtonRole.AcceptRole)
        replace = box.addButton("Replace", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.setDefaultButton(keep)
        box.setEscapeButton(QMessageBox.StandardButton.Cancel)
        return box, {keep: Clash.KEEP_BOTH, replace: Clash.REPLACE}

    def confirm_box(self, question: str, details: str, act: str) -> QMessageBox:
        """A question with a verb to agree and a way out; Enter takes the way out."""
        box = self._box(QMessageBox.Icon.Question, question)
        box.setInformativeText(details)
        box.addButton(act, QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(box.addButton(QMessageBox.StandardButton.Cancel))
        box.setEscapeButton(QMessageBox.StandardButton.Cancel)
        return box

    def tell_box(self, text: str, details: str) -> QMessageBox:
        """A message; what is long and technical folds away."""
        box = self._box(QMessageBox.Icon.Information, text)
        if "\n" in details:
            box.setDetailedText(details)
        else:
            box.setInformativeText(details)
        return box

    def _box(self, icon: QMessageBox.Icon, text: str) -> QMessageBox:
        title = self._window.window().windowTitle() if self._window else ""
        box = _Box(icon, title.replace("[*]", ""), text, QMessageBox.StandardButton.NoButton, self._window)
        box.setTextFormat(Qt.TextFormat.PlainText)  # names come from files
        return box


def with_suffix(path: Path, suffix: str) -> Path:
    """The path with the suffix, unless its name has it already, in whatever letter case."""
    return path if path.name.lower().endswith(suffix.lower()) else path.with_name(path.name + suffix)


def as_kind(path: Path, usual: str, chosen: str, kinds: str) -> Path:
    """The path with a suffix of these kinds: its own, if that was typed, else the chosen kind's, else the usual one."""
    own, known = path.suffix.lower(), _suffixes(kinds)
    of_chosen = _suffixes(chosen) or [usual.lower()]
    if own in known and (own != usual.lower() or own in of_chosen):
        return path
    suffix = usual if usual.lower() in of_chosen else of_chosen[0]
    return path.with_suffix(suffix) if own in known else with_suffix(path, suffix)


def _suffixes(kinds: str) -> list[str]:
    """The suffixes in "Pictures (*.png *.svg);;Text (*.txt)"."""
    return [suffix.lower() for suffix in re.findall(r"\*(\.\w+)", kinds)]
