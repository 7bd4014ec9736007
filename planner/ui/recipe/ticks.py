"""Boxes to tick in a column of a table with rows of several lines: beside the first line, with an outline that is seen."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QPersistentModelIndex, QRect, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QApplication, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from planner.ui import theme

_ABOVE_AND_BELOW = 1
"""Room of a line besides its letters. [px]"""


class TickDelegate(QStyledItemDelegate):
    """Draws the box of a cell beside the first line of its row, and takes clicks where it is drawn."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        if index.data(Qt.ItemDataRole.CheckStateRole) is None:
            super().paint(painter, option, index)
            return
        full = QStyleOptionViewItem(option)
        self.initStyleOption(full, index)
        style = full.widget.style() if full.widget else QApplication.style()
        style.drawPrimitive(QStyle.PrimitiveElement.PE_PanelItemViewItem, full, painter, full.widget)
        line = _first_line(option)
        super().paint(painter, line, index)
        full.rect = line.rect
        # The style's own outline of an empty box cannot be seen on a dark ground.
        box: QRect = style.subElementRect(QStyle.SubElement.SE_ItemViewItemCheckIndicator, full, full.widget)
        painter.save()
        painter.setPen(QColor(theme.colours_on(full.palette).edge))
        painter.drawRect(box.adjusted(0, 0, -1, -1))
        painter.restore()

    def editorEvent(
        self,
        event: QEvent,
        model: QAbstractItemModel,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> bool:
        return super().editorEvent(event, model, _first_line(option), index)


def _first_line(option: QStyleOptionViewItem) -> QStyleOptionViewItem:
    """The same cell, no higher than a line."""
    line = QStyleOptionViewItem(option)
    height = min(option.rect.height(), option.fontMetrics.height() + _ABOVE_AND_BELOW)
    line.rect = QRect(option.rect.left(), option.rect.top(), option.rect.width(), height)
    return line
