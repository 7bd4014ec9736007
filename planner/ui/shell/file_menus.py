"""The two menus whose entries are files: the samples, and what was opened last."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

from planner.reference.shipped import samples
from planner.ui.settings import Settings
from planner.ui.shell.documents import Documents


class FileMenus(QObject):
    """Fills the menus and opens what is chosen in them."""

    def __init__(
        self, recent: QMenu, shipped: QMenu, documents: Documents, settings: Settings, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._recent, self._documents, self._settings = recent, documents, settings
        self._samples = samples()
        recent.aboutToShow.connect(self._fill_recent)
        for path in sorted(self._samples.glob("*.meadbatch")):
            self._offer(shipped, path, path.stem.replace("-", " ").capitalize())

    def _fill_recent(self) -> None:
        self._recent.clear()
        for path in self._settings.recent_files:
            self._offer(self._recent, path, path.name)
        if self._recent.isEmpty():
            self._recent.addAction("None yet").setEnabled(False)

    def _offer(self, menu: QMenu, path: Path, name: str) -> None:
        action = menu.addAction(name)
        action.setData(str(path))
        action.setStatusTip(str(path))
        action.triggered.connect(self._open_chosen)

    def _open_chosen(self) -> None:
        action = self.sender()
        if not isinstance(action, QAction):
            return
        path = Path(str(action.data()))
        if path.parent == self._samples:
            self._documents.open_sample(path)
        else:
            self._documents.open(path)
