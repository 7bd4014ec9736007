"""One reader, one system of units: every text of the window on every sample, in metric and in American measures."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, QObject, Qt
from PySide6.QtGui import QAction, QTextDocument
from PySide6.QtWidgets import QAbstractItemView, QApplication, QComboBox, QTextEdit, QWidget

from planner.reference.shipped import samples
from planner.ui.log.reading_form import CALIBRATIONS
from tests.quantities_in_text import faults

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))
ROLES = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)
TOLD = ("text", "toolTip", "statusTip", "whatsThis", "accessibleName", "accessibleDescription", "placeholderText",
        "title", "windowTitle", "prefix", "suffix")  # fmt: skip
DIALOGS = ("show_findings", "show_schedule", "show_reasons", "show_routes", "show_provenance", "scale_batch")
"""Entries of the menus that open a window of their own."""

CHOICES = ("°Brix", "US units", "&US units", "°&Brix")
"""Names of the choice itself."""


def in_model(model: QAbstractItemModel) -> Iterator[str]:
    if isinstance(model, QAbstractListModel):  # its columns are nobody's business
        indices = [model.index(row) for row in range(model.rowCount(QModelIndex()))]
        yield from (str(value) for index in indices for role in ROLES if isinstance(value := index.data(role), str))
        return
    for column in range(model.columnCount(QModelIndex())):
        yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
    for row in range(min(model.rowCount(QModelIndex()), 200)):
        for column in range(model.columnCount(QModelIndex())):
            index = model.index(row, column, QModelIndex())
            yield from (str(value) for role in ROLES if isinstance(value := index.data(role), str))


def texts(top: QObject) -> Iterator[str]:
    """All that a window says or would say."""
    for one in (top, *top.findChildren(QObject)):
        if not isinstance(one, QWidget | QAction):
            continue
        for name in TOLD:
            told = getattr(one, name, None)
            if callable(told):
                try:
                    value = told()
                except TypeError:  # an overload that asks for more
                    continue
                if isinstance(value, str) and value:
                    yield value
        if isinstance(one, QTextEdit):
            yield one.toPlainText()
        if isinstance(one, QAbstractItemView | QComboBox) and one.model() is not None:
            yield from in_model(one.model())


def plain(text: str) -> str:
    if not re.search(r"<[a-z/]", text):
        return html.unescape(text) if re.search(r"&\w+;|&#", text) else text
    document = QTextDocument()
    document.setHtml(text)
    return document.toPlainText()


def not_ours(made) -> tuple[str, ...]:
    """What the maker wrote, and what is quoted: titles of sources, and what is engraved on instruments."""
    batch, quoted = made.batch, made.window.catalogue.sources.values()
    return (
        *(source.citation for source in quoted),
        *(engraved for _, engraved in CALIBRATIONS),
        batch.notes,
        *(row.note for row in batch.tastings),
        *(row.note for row in batch.log.readings if row.note),
    )


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("sample", SAMPLES)
def test_that_no_text_of_the_window_is_in_foreign_units(visit, sample, system):
    made = visit(sample=sample)
    made.act(f"set_system/{system}")
    made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
    assert made.outcome is not None
    made.qtbot.wait(1)
    for name in DIALOGS:
        made.act(name)
        QApplication.processEvents()
    own = not_ours(made)
    said = {
        part
        for top in QApplication.topLevelWidgets()
        for text in texts(top)
        for part in plain(text).splitlines()
        if part.strip()
        and part not in CHOICES
        and not any(part in note or (note and note in part and len(note) > 3) for note in own)
    }
    assert len(said) > 300
    found = {part: wrong for part in sorted(said) if (wrong := faults(part, system, rounded=False))}
    for top in QApplication.topLevelWidgets():
        if top is not made.window:
            top.close()
    assert not found, "\n".join(f"{wrong}: {part[:300]}" for part, wrong in found.items())
