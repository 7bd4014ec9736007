"""The whole window takes what is dropped on it: a batch, a table, or the text of one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImageReader

from planner.document.codec import SUFFIX

if TYPE_CHECKING:
    from planner.ui.asking import Ask
    from planner.ui.shell.documents import Documents
    from planner.ui.shell.exchange import Exchange
    from planner.ui.theme import Colours


class Dropping:
    """Fields take no drops of their own: a table dropped on one would end up in it."""

    ask: Ask
    colours: Colours
    documents: Documents

    @property
    def exchange(self) -> Exchange:
        """The way of readings, reports and pictures in and out."""
        raise NotImplementedError

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        data = event.mimeData()
        if len(_files(data)) == 1 or (data.hasText() and not data.hasUrls()) or data.hasImage():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.take_dropped(event.mimeData())

    def take_dropped(self, data: QMimeData) -> None:
        """Open a batch, or show what would be taken from a table."""
        file = next(iter(_files(data)), None)
        if file is None and not data.hasImage():
            self.exchange.import_text(data.text(), self.colours)
        elif file is None or file.suffix[1:].lower() in _PICTURES:
            self.ask.tell(
                "A picture cannot be read.",
                "Copy the text of the table instead, and drop or paste it here.",
            )
        elif file.suffix == SUFFIX:
            self.documents.open(file)
        else:
            self.exchange.import_file(file, self.colours)


_PICTURES = frozenset(bytes(kind.data()).decode() for kind in QImageReader.supportedImageFormats())
"""Endings of the pictures that Qt knows."""


def _files(data: QMimeData) -> list[Path]:
    return [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]
