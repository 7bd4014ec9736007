"""Names in planner that no code of planner uses: `python .ci/unreached.py`. What only a test reaches is connected or goes."""

from __future__ import annotations

import sys
from datetime import tzinfo
from pathlib import Path

from PySide6.QtGui import QAccessible, QUndoCommand
from PySide6.QtWidgets import QAbstractButton, QAccessibleWidget, QSplitter, QStyledItemDelegate
from vulture import Vulture

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from planner.ui.shell.actions import ACTS, Act  # noqa: E402  the package of this checkout, not an installed one

EXCEPTIONS = {
    "__getattr__": "asked by Python of a module",
    "attenuation": "read as one of a tuple",
    "cited_as": "held against the docstrings by a test of the sources",
    "draws": "counts what a test of the drawing asks",
    "fills": "read by the template of papers",
    "nitrogen_status": "read by the name of its quantity",
    "ph_status": "read by the name of its quantity",
    "tempdir": "read by the standard library",
    "text_shown": "what the tests and the search for cut texts read of a shortened text",
    "writeable": "read by numpy",
}
"""Why each is used although nothing names it."""


def unreached() -> list[str]:
    """Where each stands that is not used, and exceptions that are not needed any more."""
    overrides = {
        name
        for kind in (
            QAbstractButton,
            QAccessible.State,
            QAccessibleWidget,
            QSplitter,
            QStyledItemDelegate,
            QUndoCommand,
            tzinfo,
        )
        for name in dir(kind)
    }
    commands = {act.method for act in ACTS if isinstance(act, Act)}
    seeker = Vulture(ignore_decorators=["@migration*"])
    seeker.scavenge([str(ROOT / "planner")])
    found = {str(item.name): item for item in seeker.get_unused_code() if item.name not in overrides | commands}
    lines = [
        f"{item.filename}:{item.first_lineno}: {name} is used by nothing in planner"
        for name, item in found.items() if name not in EXCEPTIONS
    ]  # fmt: skip
    return lines + [
        f"{name} is used after all: take it out of the exceptions" for name in EXCEPTIONS.keys() - found.keys()
    ]


if __name__ == "__main__":
    sys.exit("\n".join(map(str, unreached())) or 0)
