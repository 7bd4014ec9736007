"""Every table copies its rows, with their headings, as a spreadsheet takes them."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence
from PySide6.QtWidgets import QTableView


def copy_rows(table: QTableView) -> None:
    """Put the selected rows on the clipboard, all of them where none is."""
    model, selection = table.model(), table.selectionModel()
    if model is None or selection is None:
        return
    rows = sorted({index.row() for index in selection.selectedIndexes()}) or list(range(model.rowCount()))
    head = table.horizontalHeader()
    shown = [head.logicalIndex(place) for place in range(head.count())]
    columns = [column for column in shown if not table.isColumnHidden(column)]
    across = Qt.Orientation.Horizontal
    lines = [[str(model.headerData(column, across) or "") for column in columns]]
    lines += [[str(model.index(row, column).data() or "") for column in columns] for row in rows]
    QGuiApplication.clipboard().setText("\n".join("\t".join(_plain(cell) for cell in line) for line in lines))


def let_copy(table: QTableView) -> None:
    """Offer it in the menu of a table, and by the usual key."""
    action = QAction("&Copy rows", table)
    action.setShortcut(QKeySequence.StandardKey.Copy)
    action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
    action.triggered.connect(lambda: copy_rows(table))
    table.addAction(action)
    table.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)


def _plain(text: str) -> str:
    """What a cell of a spreadsheet takes: one line."""
    return " ".join(text.split())
