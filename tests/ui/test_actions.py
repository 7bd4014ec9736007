"""The menus: every entry leads to a method of the window, and no key leads to two."""

from __future__ import annotations

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence

from planner.ui.display import Display
from planner.ui.shell.actions import ACTS, Act
from planner.ui.shell.findings_list import FindingsList
from planner.ui.shell.window import Window
from planner.ui.widgets.remarks import counted
from planner.wording.finding import error, note, warning

ENTRIES = [act for act in ACTS if isinstance(act, Act)]
ELSEWHERE = ("Ctrl+Z", "Ctrl+Y", "Ctrl+Shift+Z", "Ctrl+E")
"""Keys of undo, and of the log's own menu."""


@pytest.mark.parametrize("act", ENTRIES, ids=lambda act: act.text)
def test_that_every_entry_does_something(act):
    assert callable(getattr(Window, act.method))


def test_that_no_key_leads_to_two_entries():
    keys = [QKeySequence(key).toString() for act in ENTRIES for key in act.key.split("; ") if key]
    assert all(keys)
    assert max(Counter([*keys, *ELSEWHERE]).values()) == 1


@pytest.mark.parametrize("menu", sorted({act.menu for act in ENTRIES if act.menu}))
def test_that_no_letter_leads_to_two_entries_of_a_menu(menu):
    texts = [act.text for act in ENTRIES if act.menu == menu]
    texts += [act.removeprefix(f"{menu}/") for act in ACTS if isinstance(act, str) and act.startswith(f"{menu}/")]
    letters = [text[text.index("&") + 1].casefold() for text in texts if "&" in text]
    assert max(Counter(letters).values()) == 1


def test_that_the_list_of_findings_tells_each_level_by_sign_and_word(qtbot):
    made = FindingsList()
    qtbot.addWidget(made)
    made.show_findings(
        (error("log", "Wrong."), warning("recipe", "Doubtful."), note("recipe", "By the way.")), Display()
    )
    items = [made._list.item(row) for row in range(3)]
    assert [item.text().split(":")[0] for item in items] == ["Error", "Warning", "Note"]
    pictures = [bytes(item.icon().pixmap(12, 12).toImage().constBits()) for item in items]
    assert len(set(pictures)) == 3


def test_that_what_is_said_of_many_readings_alike_is_listed_once(qtbot):
    made = FindingsList()
    qtbot.addWidget(made)
    alike = [
        warning(f"log.readings.{place}", "This reading lies in the future. Check its date.") for place in range(3, 9)
    ]
    made.show_findings((*alike, note("recipe", "By the way.")), Display())
    texts = [made._list.item(row).text() for row in range(made._list.count())]
    assert texts == [
        "Warning: This reading lies in the future. Check its date. And 5 more like it.",
        "Note: By the way.",
    ]
    with qtbot.waitSignal(made.chosen) as chosen:
        made._list.itemActivated.emit(made._list.item(0))
    assert chosen.args == ["log.readings.3"]


def test_that_what_cannot_be_worked_out_is_counted_as_an_error_and_not_as_a_warning():
    found = (
        error("recipe", "Wrong."),
        warning("recipe", "Doubtful."),
        warning("log", "Doubtful."),
        note("log", "Well."),
    )
    assert counted(found) == "1 error, 2 warnings, 1 note"
    assert counted(()) == "no doubts"


def test_that_a_doubt_about_many_readings_is_counted_once():
    ahead = [warning(f"log.readings.{n}", "This reading lies in the future. Check its date.") for n in range(40)]
    assert counted(tuple(ahead)) == "1 warning"
